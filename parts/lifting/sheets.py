"""The lift calculation on paper, and its sketches for paper and screen."""

from datetime import date

from parts.drafting import bench_sheet
from parts.drafting.pen import Markup
from parts.drafting.rigging import off_centre_sketch, rigging_sketch
from parts.engineering.measures import Units, show

from .queries.lifts import LiftSheet


def in_words(value: float | None, unit: str, units: Units) -> str:
    """Return a figure with its unit: "1650 kg"; "" for None."""
    return " ".join(show(value, unit, units)).strip() if value is not None else ""


def sketch(sheet: LiftSheet, units: Units, *, width: float = 342.0, letter: float = 13.0) -> Markup:
    """Return the rigging of a lift, drawn at its true angle, with the loads."""
    load, leg = "", ""
    if sheet.total:
        load = f"{in_words(sheet.total.value, 'kg', units)} at most"
    if sheet.leg and sheet.leg.value is not None:
        leg = f"{in_words(sheet.leg.value, 'kg', units)} in each leg"
    return rigging_sketch(
        sheet.lift.legs,
        sheet.lift.angle_deg,
        load=load,
        leg=leg,
        refused=sheet.refused,
        counted=sheet.counted,
        width=width,
        letter=letter,
    )


def two_legs(calculation, near: float, far: float, height: float, units: Units) -> Markup:
    """Return two legs over an off-centre load [mm], with their loads."""
    near, far = sorted((near, far))
    return off_centre_sketch(
        near,
        far,
        height,
        texts=tuple(in_words(mm, "mm", units) for mm in (near, far, height)),
        legs=tuple(in_words(part.value, "kg", units) for part in calculation.parts),
    )


def pdf(
    sheet: LiftSheet,
    *,
    units: Units,
    address: Markup,
    day: date,
    size: str = "A4",
    drawn_up: str = "",
) -> tuple[str, str, bytes]:
    """Return (file name, type, bytes) of the lift calculation as a PDF.

    Args:
        sheet: The lift with its figures.
        units: The units of its figures.
        address: The square code of the page of the lift.
        day: The day of its figures.
        size: "A4" or "letter".
        drawn_up: The name of whoever prints it.
    """
    return bench_sheet.bench_pdf(
        "lifting/paper.html",
        {
            "shown": sheet,
            "lift": sheet.lift,
            "units": units,
            "qr": address,
            "sketch": sketch(sheet, units, width=420, letter=15),
        },
        title=f"Lift calculation, {sheet.lift.name}",
        engine=sheet.lift.engine,
        day=day,
        size=size,
        drawn_up=drawn_up,
    )
