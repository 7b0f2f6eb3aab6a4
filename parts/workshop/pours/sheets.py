"""The foundry-day sheet: castings, charge, heat, checks, and room to write."""

from datetime import date

from parts.drafting import paper
from parts.drafting.calculations import lay_out
from parts.drafting.table_csv import file_name

from .queries.pour import PourSheet


def pdf(
    sheet: PourSheet, *, engine, drawn_up: str, day: date, paper_size: str = "A4"
) -> tuple[str, str, bytes]:
    """Return (file name, type, bytes) of the sheet of one pour.

    Args:
        sheet: The pour, from `queries.pour.pour_sheet`.
        engine: Its name and units are used.
        drawn_up: The name of whoever prints it.
        day: The day of printing.
        paper_size: "A4" or "letter".
    """
    pour, units = sheet.pour, engine.units
    content = paper.write_pdf(
        "workshop/pours/paper.html",
        {
            "title": f"Pour {pour.number}: {sheet.metal_word}",
            "engine_name": engine.name,
            "engine": engine,
            "drawn_up": drawn_up,
            "date": f"{day:%-d %b %Y}",
            "taken": f"{day:%-d %b %Y}",
            "paper": paper_size,
            "told": sheet,
            "pour": pour,
            "units": units,
            "figures_of": {
                name: lay_out(w, units) if (w := getattr(sheet, name)) else None
                for name in ("limit", "temperature", "fuel", "time")
            },
            "figures": [lay_out(w, units) for w in sheet.calculations],
            "elements": [lay_out(w, units) for w in sheet.charge.analysis],
        },
    )
    name = file_name(engine.name, f"pour {pour.number}", suffix="pdf")
    return name, "application/pdf", content
