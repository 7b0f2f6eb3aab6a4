"""The pattern sheet on paper, and its sketches."""

from datetime import date

from parts.drafting import bench_sheet
from parts.drafting.pattern_bar import pattern_bar
from parts.drafting.pen import Markup
from parts.engineering.measures import Units, show
from parts.workshop.shapes.sheets import sketch_of

from .queries.faces import FaceLine
from .queries.pattern import PatternSheet


def _length(mm: float, units: Units) -> str:
    return " ".join(show(mm, "mm", units))


def face_sketch(line: FaceLine, metal: str, units: Units, **size) -> Markup:
    """Return a drawing of a finished size against its pattern or core; empty without a figure."""
    if line.size is None:
        return Markup("")
    machined = ""
    if line.allowance is not None and line.allowance.value:
        place = "side" if line.kind.inside else "end"
        machined_at = f"each {place}" if line.kind.machined == 2 else f"one {place}"
        machined = f"to machine off, {_length(line.allowance.value, units)} {machined_at}"
    return pattern_bar(
        _length(line.row.measurement.value, units),
        _length(line.size.value, units),
        off=machined,
        contraction=f"contraction, {_length(line.shrinks_mm, units)} in all"
        if line.shrinks_mm
        else "",
        material=metal,
        inside=line.kind.inside,
        ends=line.kind.machined,
        **size,
    )


def pdf(
    sheet: PatternSheet, *, units: Units, day: date, size: str = "A4", drawn_up: str = ""
) -> tuple[str, str, bytes]:
    """Return (file name, type, bytes) of the pattern sheet as a PDF."""
    return bench_sheet.bench_pdf(
        "workshop/patterns/paper.html",
        {
            "shown": sheet,
            "units": units,
            "sketch": sketch_of(sheet.shape_rows, sheet.metal, units, width=560, letter=16),
            "faces": [
                (line, face_sketch(line, sheet.metal, units, width=330, letter=15))
                for line in sheet.lines
            ],
        },
        title=f"Pattern sheet, {sheet.part}",
        engine=sheet.part.engine,
        day=day,
        size=size,
        drawn_up=drawn_up,
    )
