"""The sheet of the foundry day: what is poured, the charge, the heat, what to look at, and room
to write."""

from datetime import date

from parts.drafting import paper
from parts.drafting.calculations import lay_out
from parts.drafting.table_csv import file_name

from .queries.pour import PourSheet


def pdf(
    told: PourSheet, *, engine, drawn_up: str, day: date, paper_size: str = "A4"
) -> tuple[str, str, bytes]:
    """Return (file name, type, bytes) of the sheet of one pour.

    Args:
        told: The pour, from `reckoning.pour_sheet.pour_sheet`.
        engine: For its name and units.
        drawn_up: Who had it drawn up.
        day: The day it was drawn up.
        paper_size: "A4" or "letter".
    """
    pour, units = told.pour, engine.units
    content = paper.write_pdf(
        "workshop/pours/paper.html",
        {
            "title": f"Pour {pour.number}: {told.metal_word}",
            "engine_name": engine.name,
            "engine": engine,
            "drawn_up": drawn_up,
            "date": f"{day:%-d %b %Y}",
            "taken": f"{day:%-d %b %Y}",
            "paper": paper_size,
            "told": told,
            "pour": pour,
            "units": units,
            "figures_of": {
                name: lay_out(w, units) if (w := getattr(told, name)) else None
                for name in ("limit", "temperature", "fuel", "time")
            },
            "figures": [lay_out(w, units) for w in told.calculations],
            "elements": [lay_out(w, units) for w in told.charge.analysis],
        },
    )
    name = file_name(engine.name, f"pour {pour.number}", suffix="pdf")
    return name, "application/pdf", content
