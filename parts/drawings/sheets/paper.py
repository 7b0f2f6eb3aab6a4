"""A drawing on paper, with title block and part list: A4, A3 or letter, landscape."""

from __future__ import annotations

import re
from datetime import date

from parts.drafting import paper

# The lines of the part list that fit beside the drawing, by paper size.
PAPERS = {"A4": 21, "a3": 34, "letter": 22}


def pdf(
    drawing,
    *,
    title: str,
    engine,
    day: date,
    paper_size: str = "A4",
    drawn_up: str = "",
    note: str = "",
) -> tuple[str, str, bytes]:
    """Return (file name, type, bytes) of a drawing as a PDF.

    Args:
        drawing: An `arrangement.Drawing` or an `own.OwnSheet`; pictures in it are named
            `media:path`.
        title: The title in the title block.
        day: The day of the counts.
        paper_size: A key of `PAPERS`.
        drawn_up: The name of whoever prints it.
        note: A note on the sheet.
    """
    unplaced = getattr(drawing, "unseen", None) or getattr(drawing, "left_over", ())
    lines = sorted((*drawing.lines, *unplaced), key=lambda one: one.target.number)
    beside = len(lines) <= PAPERS[paper_size]
    content = paper.write_pdf(
        "drawings/paper.html",
        {
            "drawing": drawing,
            "lines": lines,
            "beside": beside,
            "title": title,
            "engine": engine,
            "engine_name": engine.name,
            "date": f"{day:%-d %b %Y}",
            "taken": f"{day:%-d %b %Y}",
            "drawn_up": drawn_up,
            "note": note,
            "paper": f"{paper_size.lower()}-wide",
        },
    )
    name = re.sub(r"[^a-z0-9]+", "-", f"{engine.name} {title} {day}".lower()).strip("-")
    return f"{name}.pdf", "application/pdf", content
