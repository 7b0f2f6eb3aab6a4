"""The bearing sheet on paper."""

from datetime import date

from parts.drafting import bench_sheet
from parts.engineering.measures import Units

from .queries import BearingSheet


def pdf(
    sheet: BearingSheet, *, units: Units, day: date, size: str = "A4", drawn_up: str = ""
) -> tuple[str, str, bytes]:
    """Return (file name, type, bytes) of the bearing sheet as a PDF."""
    return bench_sheet.bench_pdf(
        "workshop/bearings/paper.html",
        {"shown": sheet, "units": units},
        title=f"Bearing sheet, {sheet.part}",
        engine=sheet.part.engine,
        day=day,
        size=size,
        drawn_up=drawn_up,
    )
