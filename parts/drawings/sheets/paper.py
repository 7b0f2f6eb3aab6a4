"""A drawing on paper, with its title block and part list: A4, A3 or letter, lying."""

from __future__ import annotations

import re
from datetime import date

from parts.drafting import paper

# Asked for in the address: the paper, and how many lines of the part list stand beside the drawing.
PAPERS = {"A4": 21, "a3": 34, "letter": 22}


def pdf(
    drawn,
    *,
    title: str,
    engine,
    day: date,
    paper_size: str = "A4",
    drawn_up: str = "",
    note: str = "",
) -> tuple[str, str, bytes]:
    """Lay a drawing on paper; return file name, type and bytes.

    Args:
        drawn: A `general_arrangement.Drawing` or an `own_sheet.OwnSheet`; pictures in it are named
            `media:path`.
        title: For the title block.
        engine: Whose it is.
        day: As it stood on which day.
        paper_size: A key of `PAPERS`.
        drawn_up: Who drew it up.
        note: What is said of the sheet.
    """
    rest = getattr(drawn, "unseen", None) or getattr(drawn, "left_over", ())
    lines = sorted((*drawn.lines, *rest), key=lambda one: one.shown.number)
    beside = len(lines) <= PAPERS[paper_size]
    content = paper.write_pdf(
        "drawings/paper.html",
        {
            "drawing": drawn,
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
