"""A position with its error, the result of each method of surveying."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..calculation import Calculation, Input, Origin
from ..errors import Infeasible, OutOfRange, finite
from ..figures import sig
from ..sentences import amount

TAPE_SIGMA_M = 0.02  # a fibre tape up to 30 m, common practice
IN_95 = 2.448  # scales the standard ellipse to hold 95 in 100
ALONE_95 = 1.96

Point = tuple[float, float]


@dataclass(frozen=True)
class Fix:
    """A position with its error.

    Args:
        east_m, north_m: From the zero of the site. [m]
        major_m, minor_m: Half axes of the standard error ellipse. [m]
        bearing_deg: Bearing of its long axis. [deg]
        residuals_m: Of each tape: calculated less measured. [m] Empty with two tapes.
        doubtful: Numbers (from 0) of the tapes that do not fit.
        calculation: What is shown; its parts are east and north.
    """

    east_m: float
    north_m: float
    major_m: float
    minor_m: float
    bearing_deg: float
    calculation: Calculation
    residuals_m: tuple[float, ...] = ()
    doubtful: tuple[int, ...] = ()


class TapesDisagree(Infeasible):
    """Tapes that cannot all be right. `fix` holds the best compromise, refused."""

    def __init__(self, message: str, fix: Fix):
        super().__init__(message)
        self.fix = fix


def check_point(name: str, point: Point) -> Point:
    east, north = point
    return (
        finite(f"east of {name}", east, "m", above=-1e7, upto=1e7),
        finite(f"north of {name}", north, "m", above=-1e7, upto=1e7),
    )


def _ellipse(see: float, sen: float, snn: float) -> tuple[float, float, float]:
    """Return half axes and the bearing of the longer from variances of east and north."""
    mean, half = (see + snn) / 2, math.hypot((see - snn) / 2, sen)
    bearing = math.degrees(0.5 * math.atan2(2 * sen, snn - see)) % 180
    return math.sqrt(mean + half), math.sqrt(max(mean - half, 0.0)), bearing


def make_fix(
    name: str,
    east: float,
    north: float,
    variances: tuple[float, float, float],
    *,
    formula: str,
    inputs: tuple[Input, ...],
    source: str,
    verdict: str = "",
    limits: str = "",
    residuals: tuple[float, ...] = (),
    doubtful: tuple[int, ...] = (),
    refused: bool = False,
) -> Fix:
    see, sen, snn = variances
    major, minor, bearing = _ellipse(see, sen, snn)
    parts = tuple(
        Calculation(
            word,
            value,
            "m",
            formula,
            f"{sig(value, 6)} m",
            inputs,
            source,
            low=value - ALONE_95 * math.sqrt(variance),
            high=value + ALONE_95 * math.sqrt(variance),
            interval="holds 95 in 100",
            refused=refused,
        )
        for word, value, variance in (("East", east, see), ("North", north, snn))
    )
    place = (
        f"{amount(east, 'm')} east and {amount(north, 'm')} north, within "
        f"{amount(IN_95 * major, 'm', 2)} (95 in 100)."
    )
    calculation = Calculation(
        name,
        None,
        "",
        formula,
        "",
        inputs,
        source,
        verdict=" ".join(part for part in (place, verdict) if part),
        refused=refused,
        limits=limits,
        parts=parts,
    )
    return Fix(east, north, major, minor, bearing, calculation, residuals, doubtful)


def tape_inputs(pegs, tapes, sigma, names) -> tuple[Input, ...]:
    return (
        *(
            Input(
                f"r{i}", f"Tape from {name}", tape, "m", Origin.MEASURED, f"peg at {e:g}, {n:g} m"
            )
            for i, ((e, n), tape, name) in enumerate(zip(pegs, tapes, names, strict=True), start=1)
        ),
        Input("σ", "Error of a tape", sigma, "m", Origin.ASSUMED, "common practice, no source"),
    )


def rotated_variances(u: Point, var_u: float, var_v: float) -> tuple[float, float, float]:
    """Return variances of east, both and north from those along and across a direction u."""
    e, n = u
    return (
        var_u * e * e + var_v * n * n,
        (var_u - var_v) * e * n,
        var_u * n * n + var_v * e * e,
    )


def variances_of(rows, sigma: float) -> tuple[float, float, float]:
    """Return σ² (JᵀJ)⁻¹ as variances of east, of both, and of north."""
    aa = sum(e * e for e, _ in rows)
    ab = sum(e * n for e, n in rows)
    bb = sum(n * n for _, n in rows)
    det = aa * bb - ab * ab
    if det < 1e-12:
        raise OutOfRange("The tapes run along one line: the find could be anywhere across it.")
    s2 = sigma * sigma
    return s2 * bb / det, -s2 * ab / det, s2 * aa / det
