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
    """Job sheets as a PDF: file name, type and bytes.

    Args:
        sheets: One job each.
        codes: The square code of the page of each.
        engine: Whose they are.
        units: In which they are written.
        day: The day they were taken from the record.
        size: "A4" or "letter".
        drawn_up: Who drew them up.
    """
    drawn = [sketch_of(one.bodies, one.metal, units, width=420, letter=15) for one in sheets]
    if len(sheets) == 1:
        title = f"Job sheet, {sheets[0].part}"
    else:
        hands = {one.job.who for one in sheets}
        title = "Job sheets" + (f", {hands.pop()}" if len(hands) == 1 and all(hands) else "")
    return bench_sheet.bench_pdf(
        "workshop/jobs/paper.html",
        {"jobs": list(zip(sheets, codes, drawn, strict=True)), "units": units},
        title=title,
        engine=engine,
        day=day,
        size=size,
        drawn_up=drawn_up,
    )
