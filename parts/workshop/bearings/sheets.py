"""The bearing sheet on paper."""

from datetime import date

from parts.drafting import bench_sheet
from parts.engineering.measures import Units

from .queries import BearingSheet


def pdf(
    shown: BearingSheet, *, units: Units, day: date, size: str = "A4", drawn_up: str = ""
) -> tuple[str, str, bytes]:
    """The bearing sheet as a PDF for the bench: file name, type and bytes."""
    return bench_sheet.bench_pdf(
        "workshop/bearings/paper.html",
        {"shown": shown, "units": units},
        title=f"Bearing sheet, {shown.part}",
        engine=shown.part.engine,
        day=day,
        size=size,
        drawn_up=drawn_up,
    )
