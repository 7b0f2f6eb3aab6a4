"""The sheet of the foundry day: what is poured, the charge, the heat, what to look at, and room
to write."""

from dataclasses import dataclass
from datetime import date

from django.utils.safestring import mark_safe

from ..reckoning.pour_sheet import PourSheet
from ..trade.measures import Units, show
from ..trade.working import Working
from . import paper
from .svg.lettering import set_measure
from .table_csv import file_name


@dataclass(frozen=True)
class FigureLine:
    """A figure as it stands on the sheet, in the units of the engine."""

    name: str
    answer: str
    low: str
    high: str
    how: str
    words: str
    refused: bool


def figure_line(w: Working, units: Units) -> FigureLine:
    """Return a Working in a line: its answer, its range and how it was reached."""

    def shown(value) -> str:
        if value is None:
            return ""
        number, unit = show(value, w.unit, units)
        return mark_safe(str(set_measure(f"{number} {unit}".strip())))

    how = w.formula if units.mass == "lb" else w.figures
    return FigureLine(
        w.name, shown(w.value), shown(w.low), shown(w.high), how, w.verdict, w.refused
    )


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
        "documents/pour_sheet.html",
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
                name: figure_line(w, units) if (w := getattr(told, name)) else None
                for name in ("limit", "temperature", "fuel", "time")
            },
            "figures": [figure_line(w, units) for w in told.workings],
            "elements": [figure_line(w, units) for w in told.charge.analysis],
        },
    )
    name = file_name(engine.name, f"pour {pour.number}", suffix="pdf")
    return name, "application/pdf", content
