"""Job sheets on paper: one page for each job, many in one PDF."""

from datetime import date

from parts.drafting import bench_sheet
from parts.drafting.pen import Markup
from parts.engineering.measures import Units
from parts.workshop.shapes.sheets import sketch_of

from ..queries.by_person import JobSheet


def pdf(
    sheets: list[JobSheet],
    codes: list[Markup],
    *,
    engine,
    units: Units,
    day: date,
    size: str = "A4",
    drawn_up: str = "",
) -> tuple[str, str, bytes]:
    """Return (file name, type, bytes) of job sheets as a PDF.

    Args:
        sheets: One job each.
        codes: The square code of the page of each.
        engine: Whose they are.
        units: The units of the sizes.
        day: The day they were taken from the record.
        size: "A4" or "letter".
        drawn_up: The name of whoever prints them.
    """
    sketches = [sketch_of(one.shapes, one.metal, units, width=420, letter=15) for one in sheets]
    if len(sheets) == 1:
        title = f"Job sheet, {sheets[0].part}"
    else:
        people = {one.job.who for one in sheets}
        title = "Job sheets" + (f", {people.pop()}" if len(people) == 1 and all(people) else "")
    return bench_sheet.bench_pdf(
        "workshop/jobs/paper.html",
        {"jobs": list(zip(sheets, codes, sketches, strict=True)), "units": units},
        title=title,
        engine=engine,
        day=day,
        size=size,
        drawn_up=drawn_up,
    )
