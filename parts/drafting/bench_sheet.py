"""Sheets for the bench: file name, paper size and title block."""

import re
from datetime import date

from . import paper

PAPERS = ("A4", "letter")


def bench_pdf(
    template: str, context: dict, *, title: str, engine, day: date, size: str, drawn_up: str = ""
) -> tuple[str, str, bytes]:
    """Return a sheet for the bench as a PDF: file name, type and bytes.

    Args:
        template: Extends shared/paper.html.
        context: Values for the template.
        title: For the title block and the file name.
        engine: The engine of the sheet.
        day: The day its figures were taken.
        size: "A4" or "letter".
        drawn_up: Its author.
    """
    content = paper.write_pdf(
        template,
        context
        | {
            "title": title,
            "engine": engine,
            "engine_name": engine.name,
            "date": f"{day:%-d %b %Y}",
            "taken": f"{day:%-d %b %Y}",
            "drawn_up": drawn_up,
            "paper": size,
        },
    )
    name = re.sub(r"[^a-z0-9]+", "-", f"{engine.name} {title}".lower()).strip("-")
    return f"{name}.pdf", "application/pdf", content
