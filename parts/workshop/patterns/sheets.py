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
    """A finished size against its pattern or core. Nothing where there is no figure."""
    if line.size is None:
        return Markup("")
    off = ""
    if line.allowance is not None and line.allowance.value:
        where = "side" if line.kind.inside else "end"
        which = f"each {where}" if line.kind.machined == 2 else f"one {where}"
        off = f"to machine off, {_length(line.allowance.value, units)} {which}"
    return pattern_bar(
        _length(line.row.measurement.value, units),
        _length(line.size.value, units),
        off=off,
        contraction=f"contraction, {_length(line.shrinks_mm, units)} in all"
        if line.shrinks_mm
        else "",
        material=metal,
        inside=line.kind.inside,
        ends=line.kind.machined,
        **size,
    )


def pdf(
    shown: PatternSheet, *, units: Units, day: date, size: str = "A4", drawn_up: str = ""
) -> tuple[str, str, bytes]:
    """The pattern sheet as a PDF for the bench: file name, type and bytes."""
    return bench_sheet.bench_pdf(
        "workshop/patterns/paper.html",
        {
            "shown": shown,
            "units": units,
            "sketch": sketch_of(shown.body_rows, shown.metal, units, width=560, letter=16),
            "faces": [
                (line, face_sketch(line, shown.metal, units, width=330, letter=15))
                for line in shown.lines
            ],
        },
        title=f"Pattern sheet, {shown.part}",
        engine=shown.part.engine,
        day=day,
        size=size,
        drawn_up=drawn_up,
    )
