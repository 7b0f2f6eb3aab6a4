"""Survey: where a find lies, from tapes, offsets and bearings.

Positions are (east, north) in metres from the zero of the site; bearings run clockwise from
north; a side is the left or right hand of someone who walks from the first peg to the second.
Latitude and longitude are in `geodesy`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from ..calculation import Calculation, Input, Origin
from ..errors import Infeasible, OutOfRange, UnknownName, finite
from ..figures import full
from ..sentences import amount
from .adjusting import tapes
from .fixes import (
    TAPE_SIGMA_M,
    Fix,
    Point,
    TapesDisagree,
    check_point,
    make_fix,
    rotated_variances,
    tape_inputs,
    variances_of,
)

__all__ = [
    "Fix",
    "TapesDisagree",
    "baseline_offset",
    "bearing_distance",
    "level_distance",
    "tapes",
    "two_tapes",
]

GOOD_CUT_DEG = (30.0, 120.0)  # Nautical Archaeology Society guide, p. 121


def two_tapes(
    peg_a: Point,
    peg_b: Point,
    tape_a_m: float,
    tape_b_m: float,
    side: str,
    *,
    sigma_m: float = TAPE_SIGMA_M,
    names: Sequence[str] = ("peg A", "peg B"),
) -> Fix:
    """Position from two tapes.

    Args:
        peg_a, peg_b: Pegs (east, north). [m]
        tape_a_m, tape_b_m: Level tapes to the find. [m]
        side: "left" or "right" of the way from A to B.
        sigma_m: Standard error of a tape. [m]

    Raises:
        Infeasible: the tapes do not meet; says by how much.
        OutOfRange: pegs on one spot, a tape that cannot be.

    Source: x = (rA² − rB² + c²) / 2c; angle of cut, Nautical Archaeology Society guide, p. 121.
    """
    a, b = check_point(names[0], peg_a), check_point(names[1], peg_b)
    ra = finite(f"tape from {names[0]}", tape_a_m, "m", upto=1e5)
    rb = finite(f"tape from {names[1]}", tape_b_m, "m", upto=1e5)
    sigma = finite("error of a tape", sigma_m, "m", upto=100)
    if side not in ("left", "right"):
        raise UnknownName(f"Say left or right, going from {names[0]} to {names[1]}.")
    c = math.dist(a, b)
    if c < 1e-6:
        raise OutOfRange(f"{names[0]} and {names[1]} stand on one spot.")
    if ra + rb < c:
        raise Infeasible(
            f"The tapes do not meet: {ra:g} m and {rb:g} m are {c - ra - rb:.3f} m short of the "
            f"{c:.3f} m between {names[0]} and {names[1]}. Measure again."
        )
    if abs(ra - rb) > c:
        longer, shorter = (names[0], names[1]) if ra > rb else (names[1], names[0])
        raise Infeasible(
            f"The tapes do not meet: the one from {longer} is {abs(ra - rb) - c:.3f} m too long, "
            f"or the one from {shorter} too short by as much. Measure again."
        )
    x = (ra * ra - rb * rb + c * c) / (2 * c)
    y = math.sqrt(max(ra * ra - x * x, 0.0)) * (1 if side == "left" else -1)
    u = ((b[0] - a[0]) / c, (b[1] - a[1]) / c)
    east, north = a[0] + x * u[0] - y * u[1], a[1] + x * u[1] + y * u[0]
    crossing_deg = math.degrees(
        math.acos(max(-1.0, min(1.0, (ra * ra + rb * rb - c * c) / (2 * ra * rb))))
    )
    rows = [((east - p[0]) / r, (north - p[1]) / r) for p, r in ((a, ra), (b, rb))]
    verdict = f"The tapes cross at {crossing_deg:.0f}°."
    weak = not GOOD_CUT_DEG[0] <= crossing_deg <= GOOD_CUT_DEG[1]
    if weak:
        verdict = (
            f"The tapes cross at {crossing_deg:.0f}°: a weak fix. Take a third tape, or pegs from "
            "which they cross between 30° and 120°."
        )
    return make_fix(
        "Position by two tapes",
        east,
        north,
        variances_of(rows, sigma),
        formula="x = (r₁² − r₂² + c²) / 2c, y = √(r₁² − x²)",
        inputs=(
            *tape_inputs((a, b), (ra, rb), sigma, names),
            Input("c", "Between the pegs", c, "m", Origin.CALCULATED),
            Input("", f"Side, from {names[0]} to {names[1]}", side, "", Origin.ENTERED),
        ),
        source="geometry; angle of cut from the Nautical Archaeology Society guide, p. 121",
        verdict=verdict,
        limits="Two tapes cannot show a mistake: take a third.",
    )


def baseline_offset(
    peg_a: Point,
    peg_b: Point,
    along_m: float,
    offset_m: float,
    side: str,
    *,
    sigma_m: float = TAPE_SIGMA_M,
    square_deg: float = 3.0,
) -> Fix:
    """Position from a distance along a base line and an offset square to it.

    Args:
        along_m: From A towards B; negative runs back behind A. [m]
        offset_m: Square to the line. [m]
        side: "left" or "right" of the way from A to B.
        square_deg: Error of a right angle judged by eye (1 with a 3-4-5 triangle). [deg]

    Source: geometry; the NAS guide, p. 121, on keeping offsets short.
    """
    a, b = check_point("peg A", peg_a), check_point("peg B", peg_b)
    along = finite("distance along the line", along_m, "m", above=-1e5, upto=1e5)
    offset = finite("offset", offset_m, "m", least=0.0, upto=1e5)
    sigma = finite("error of a tape", sigma_m, "m", upto=100)
    slack = finite("error of the right angle", square_deg, "deg", least=0.0, upto=45)
    if side not in ("left", "right"):
        raise UnknownName("Say left or right of the base line, going from A to B.")
    c = math.dist(a, b)
    if c < 1e-6:
        raise OutOfRange("The two pegs of the base line stand on one spot.")
    u = ((b[0] - a[0]) / c, (b[1] - a[1]) / c)
    sign = 1 if side == "right" else -1
    v = (sign * u[1], -sign * u[0])
    east = a[0] + along * u[0] + offset * v[0]
    north = a[1] + along * u[1] + offset * v[1]
    lean = offset * math.radians(slack)
    var_u, var_v = sigma**2 + lean**2, sigma**2
    return make_fix(
        "Position by base line and offset",
        east,
        north,
        rotated_variances(u, var_u, var_v),
        formula="P = A + s × u + o × v",
        inputs=(
            Input("s", "Along the line from A", along, "m", Origin.MEASURED),
            Input("o", f"Offset to the {side}", offset, "m", Origin.MEASURED),
            Input("σ", "Error of a tape", sigma, "m", Origin.ASSUMED, "common practice, no source"),
            Input("ε", "Error of the right angle", slack, "deg", Origin.ASSUMED, "judged by eye"),
        ),
        source="geometry",
        verdict="Keep offsets short: the right angle is the weak point."
        if lean > 2 * sigma
        else "",
        limits="The base line is taut, straight and level.",
    )


def bearing_distance(
    origin: Point,
    bearing_deg: float,
    distance_m: float,
    *,
    declination_deg: float = 0.0,
    sigma_m: float = TAPE_SIGMA_M,
    sigma_deg: float = 1.0,
) -> Fix:
    """Position from a bearing and a level distance.

    Args:
        bearing_deg: Clockwise from north, 0 up to 360. [deg]
        distance_m: Level. [m]
        declination_deg: East positive; added to a magnetic bearing. [deg]
        sigma_deg: Error of the bearing, 1 for a hand compass. [deg]

    Source: E = E₀ + d sin b, N = N₀ + d cos b.
    """
    o = check_point("the peg", origin)
    bearing = finite("bearing", bearing_deg, "deg", least=0.0, upto=360.0)
    turn = finite("declination", declination_deg, "deg", above=-180.0, upto=180.0)
    d = finite("distance", distance_m, "m", upto=1e5)
    sigma = finite("error of the distance", sigma_m, "m", upto=100)
    spread = finite("error of the bearing", sigma_deg, "deg", least=0.0, upto=45)
    b = math.radians(bearing + turn)
    u = (math.sin(b), math.cos(b))
    across = d * math.radians(spread)
    return make_fix(
        "Position by bearing and distance",
        o[0] + d * u[0],
        o[1] + d * u[1],
        rotated_variances(u, sigma**2, across**2),
        formula="E = E₀ + d × sin b, N = N₀ + d × cos b",
        inputs=(
            Input("b", "Bearing", bearing, "deg", Origin.MEASURED),
            Input("δ", "Declination, east", turn, "deg", Origin.ENTERED),
            Input("d", "Distance", d, "m", Origin.MEASURED),
            Input("σ", "Error of the bearing", spread, "deg", Origin.ASSUMED, "hand compass"),
        ),
        source="geometry",
        verdict=f"Iron swings a compass: stand {amount(3, 'm', 1)} or more from castings.",
        limits="How far to stand is common practice, no source.",
    )


def level_distance(
    slope_m: float, *, rise_m: float | None = None, slope_deg: float | None = None
) -> Calculation:
    """Level distance from a tape laid on a slope. [m]

    Args:
        slope_m: The tape. [m]
        rise_m, slope_deg: Difference of height [m], or angle of the slope [deg]: one of them.

    Source: √(s² − h²), s cos a.
    """
    s = finite("tape", slope_m, "m", upto=1e5)
    if (rise_m is None) == (slope_deg is None):
        raise OutOfRange("Give either the rise or the angle of the slope.")
    if rise_m is not None:
        h = abs(finite("rise", rise_m, "m", above=-1e5, upto=1e5))
        if h >= s:
            raise OutOfRange(f"A rise of {h:g} m is as long as the tape of {s:g} m itself.")
        value = math.sqrt((s - h) * (s + h))
        formula = "√(s² − h²)"
        figures = f"√(({full(s, 'm')})² − ({full(h, 'm')})²) = {amount(value, 'm', 6)}"
        height_input = Input("h", "Rise", h, "m", Origin.MEASURED)
    else:
        a = finite("angle of the slope", slope_deg, "deg", above=-80.0, upto=80.0)
        value = s * math.cos(math.radians(a))
        formula, figures = (
            "s × cos a",
            f"{full(s, 'm')} × cos {full(a)}° = {amount(value, 'm', 6)}",
        )
        height_input = Input("a", "Slope", a, "deg", Origin.MEASURED)
    return Calculation(
        "Level distance",
        value,
        "m",
        formula,
        figures,
        (Input("s", "Tape on the slope", s, "m", Origin.MEASURED), height_input),
        "geometry",
    )
