"""The calculation of a lift on paper, and the sketches that stand on it and on the screen."""

from datetime import date

from parts.drafting import bench_sheet
from parts.drafting.pen import Markup
from parts.drafting.rigging import off_centre_sketch, rigging_sketch
from parts.engineering.measures import Units, show

from .queries.lifts import LiftSheet


def said(value: float | None, unit: str, units: Units) -> str:
    """A figure in words, as people use it: "1650 kg". Nothing for None."""
    return " ".join(show(value, unit, units)).strip() if value is not None else ""


def sketch(shown: LiftSheet, units: Units, *, width: float = 342.0, letter: float = 13.0) -> Markup:
    """The rigging of a lift, its angle true, with the loads written to it."""
    load, leg = "", ""
    if shown.total:
        load = f"{said(shown.total.value, 'kg', units)} at most"
    if shown.leg and shown.leg.value is not None:
        leg = f"{said(shown.leg.value, 'kg', units)} in each leg"
    return rigging_sketch(
        shown.lift.legs,
        shown.lift.angle_deg,
        load=load,
        leg=leg,
        refused=shown.refused,
        counted=shown.counted,
        width=width,
        letter=letter,
    )


def two_legs(calculation, near: float, far: float, height: float, units: Units) -> Markup:
    """Two legs over an off-centre balance [mm], with their loads."""
    near, far = sorted((near, far))
    return off_centre_sketch(
        near,
        far,
        height,
        texts=tuple(said(mm, "mm", units) for mm in (near, far, height)),
        legs=tuple(said(part.value, "kg", units) for part in calculation.parts),
    )


def pdf(
    shown: LiftSheet,
    *,
    units: Units,
    address: Markup,
    day: date,
    size: str = "A4",
    drawn_up: str = "",
) -> tuple[str, str, bytes]:
    """The calculation of a lift as a PDF for the site: file name, type and bytes.

    Args:
        shown: The lift with its figures.
        units: In which it is written.
        address: The square code of the lift's own page.
        day: The day its figures were taken.
        size: "A4" or "letter".
        drawn_up: Who drew it up.
    """
    return bench_sheet.bench_pdf(
        "lifting/paper.html",
        {
            "shown": shown,
            "lift": shown.lift,
            "units": units,
            "qr": address,
            "sketch": sketch(shown, units, width=420, letter=15),
        },
        title=f"Lift calculation, {shown.lift.name}",
        engine=shown.lift.engine,
        day=day,
        size=size,
        drawn_up=drawn_up,
    )
