"""The crank: its effort round the turn, and the stress in the shaft."""

from __future__ import annotations

import math
from dataclasses import dataclass

from . import tables
from .errors import OutOfRange, UnknownName, finite
from .figures import full, sig
from .steam import ATMOSPHERE_KPA, HP_W, NOT_LEAVE_TO_STEAM, Cylinder, Pressure, absolute_kpa
from .working import Caution, Given, Origin, Working

OLD_SHAFT = Caution(
    "Have an old crankshaft looked at for cracks before any load goes on it.",
    "The stress holds for sound metal. Flaws, sharp corners and old key ways are not in it; an "
    "engineer decides.",
)


@dataclass(frozen=True)
class CrankEffort:
    """The turning effort over one turn.

    Args:
        angle_deg: Crank angle from the head-end dead centre, one row a step. [deg]
        torque_n_m: Effort at each angle. [N m]
        mean_n_m, peak_n_m, least_n_m: Of the turn. [N m]
        peak_deg: Where it is greatest. [deg]
        swing_j: Energy that the flywheel takes up and gives back. [J]
        working: The peak, as a figure to act on.
    """

    angle_deg: object
    torque_n_m: object
    mean_n_m: float
    peak_n_m: float
    least_n_m: float
    peak_deg: float
    swing_j: float
    working: Working


def crank_effort(
    cylinder: Cylinder,
    steam: Pressure,
    back: Pressure,
    cutoff: float,
    *,
    rod_length_mm: float = 0.0,
    clearance: float = 0.0,
    compression: float = 0.0,
    factor: float = 1.0,
    steps: int = 720,
) -> CrankEffort:
    """Step the crank through a turn.

    Args:
        rod_length_mm: Connecting rod between centres [mm]; 0 stands for a very long one.
        factor: Diagram factor, a figure; the whole effort is brought down by it.
        steps: Steps of the turn, 72 or more.
        The rest as in `steam.mean_pressure`.

    Returns:
        CrankEffort, with arrays of `steps` rows.

    Raises:
        OutOfRange: as in `steam.mean_pressure`, or a rod shorter than twice the crank.

    Source: geometry of crank and rod; hyperbolic expansion and compression.
    """
    import numpy as np

    p1, pb = absolute_kpa("steam pressure", steam), absolute_kpa("back pressure", back)
    if p1 <= pb:
        raise OutOfRange("The steam must be at a higher pressure than the exhaust.")
    c = finite("cut-off", cutoff, upto=1.0)
    a = finite("clearance", clearance, above=-1e-12, upto=1.0)
    x = finite("compression", compression, above=-1e-12, upto=0.95)
    f = finite("diagram factor", factor, upto=1.0)
    if x > 0 and a == 0:
        raise OutOfRange("Compression needs a clearance to be squeezed into: give one over 0.")
    n = int(finite("number of steps", steps, above=71, upto=100000))
    r = cylinder.stroke_mm / 2000
    lam = 0.0
    if rod_length_mm:
        rod = finite("connecting rod", rod_length_mm, upto=50000)
        lam = cylinder.stroke_mm / 2 / rod
        if lam > 0.5:
            raise OutOfRange("The connecting rod must be at least as long as the stroke.")

    theta = np.arange(n) * (2 * np.pi / n)
    root = np.sqrt(1 - (lam * np.sin(theta)) ** 2)
    rod_part = (1 - root) / lam if lam else 0.0
    travel = (1 - np.cos(theta) + rod_part) / 2  # part of the stroke, from the head end
    arm = r * np.sin(theta) * (1 + lam * np.cos(theta) / root)
    out = theta < np.pi

    def working_side(y):
        return np.where(y <= c, p1, p1 * (c + a) / np.maximum(y + a, 1e-12))

    def exhaust_side(y):
        if x == 0:
            return np.full_like(y, pb)
        return np.where(y >= x, pb, pb * (a + x) / (a + y))

    head = np.where(out, working_side(travel), exhaust_side(travel))
    if cylinder.double_acting:
        rest = 1 - travel
        crank = np.where(out, exhaust_side(rest), working_side(rest))
    else:
        crank = np.full_like(travel, ATMOSPHERE_KPA)
    air = ATMOSPHERE_KPA * (cylinder.head_m2 - cylinder.crank_m2)
    force = 1000 * (head * cylinder.head_m2 - crank * cylinder.crank_m2 - air)
    effort = f * force * arm
    mean = float(effort.mean())
    over = np.cumsum(effort - mean) * (2 * np.pi / n)
    swing = float(max(over.max(), 0.0) - min(over.min(), 0.0))
    top = int(effort.argmax())
    peak, least = float(effort[top]), float(effort.min())
    if abs(least) < 1e-9 * abs(peak):  # nought at the dead centres, but for rounding
        least = 0.0
    at = float(np.degrees(theta[top]))
    givens = (
        *cylinder.givens(),
        Given("p₁", "Steam, absolute", p1, "kPa", Origin.CALCULATED),
        Given("p_b", "Back pressure, absolute", pb, "kPa", Origin.ENTERED),
        Given("c", "Cut-off, part of the stroke", c, "", Origin.ENTERED),
        Given("l", "Connecting rod", rod_length_mm or "taken as very long", "mm", Origin.ENTERED),
        Given("f", "Diagram factor", f, "", Origin.ENTERED),
    )
    working = Working(
        "Greatest turning effort",
        peak,
        "Nm",
        "(force on the piston) × (travel of the piston for each part of the turn)",
        f"greatest {sig(peak)} N m at {sig(at, 3)}°, mean {sig(mean)} N m",
        givens,
        "geometry of crank and rod; hyperbolic expansion",
        verdict=f"The effort runs from {sig(least)} to {sig(peak)} N m, {sig(peak / mean, 3)} "
        f"times its mean; the flywheel takes up and gives back {sig(swing)} J."
        if mean > 0
        else "",
        cautions=(NOT_LEAVE_TO_STEAM,),
        limits="The weight and inertia of piston and rods are left out; cut-off is taken as the "
        "same at both ends.",
    )
    return CrankEffort(np.degrees(theta), effort, mean, peak, least, at, swing, working)


def shaft_stress(
    torque_n_m: float,
    diameter_mm: float,
    *,
    bending_n_m: float = 0.0,
    greatest: str = "shear",
) -> Working:
    """Stress at the skin of a solid round shaft. [MPa]

    Args:
        torque_n_m: The greatest torque. [N m]
        diameter_mm: Diameter at its thinnest. [mm]
        bending_n_m: Bending at the same place. [N m]
        greatest: "shear" takes √(M² + T²) (for steel); "direct" takes M + √(M² + T²) as the
            equivalent torque, as the old books do.

    Source: τ = 16 T / (π d³); Lineham, Text Book of Mechanical Engineering, Example 35.
    """
    t = finite("torque", torque_n_m, above=-1e-12, upto=1e8)
    m = finite("bending", bending_n_m, above=-1e-12, upto=1e8)
    d = finite("shaft diameter", diameter_mm, upto=5000)
    if greatest not in ("shear", "direct"):
        raise UnknownName(
            'Say whether the greatest "shear" or the greatest "direct" stress counts.'
        )
    both = math.hypot(m, t)
    equal = both if greatest == "shear" else m + both
    stress = 16 * equal / (math.pi * (d / 1000) ** 3) / 1e6
    rule = "√(M² + T²)" if greatest == "shear" else "M + √(M² + T²)"
    return Working(
        "Stress in the shaft",
        stress,
        "MPa",
        f"16 × Tₑ / (π × d³), Tₑ = {rule}",
        f"16 × {full(equal)} / (π × {full(d / 1000)}³) = {sig(stress)} MPa",
        (
            Given("T", "Torque", t, "Nm", Origin.ENTERED),
            Given("M", "Bending", m, "Nm", Origin.ENTERED),
            Given("d", "Diameter", d, "mm", Origin.ENTERED),
        ),
        "Lineham, Text Book of Mechanical Engineering, Example 35",
        cautions=(OLD_SHAFT, NOT_LEAVE_TO_STEAM),
        limits="A solid round shaft, no key way, no sharp corner.",
    )


def shaft_by_old_rule(diameter_mm: float, rpm: float, rule: str, power_kw: float = 0.0) -> Working:
    """Power that an old shop rule lets a shaft carry. [kW]

    Args:
        diameter_mm: Shaft diameter. [mm]
        rpm: Turns a minute.
        rule: Key of the table: "steel", "wrought_iron", "head_shaft", "line_shaft".
        power_kw: Power it shall carry [kW]; 0 leaves the verdict out.

    Source: HP = d³ N / C with d in inches. The rules differ by almost four to one, for they
    cover different bending, so the steady stress that each stands for is said.
    """
    d = finite("shaft diameter", diameter_mm, upto=5000)
    n = finite("speed", rpm, upto=5000)
    asked = finite("power", power_kw, above=-1e-12, upto=1e5)
    row = next((r for r in tables.read("shaft_rules") if r["key"] == rule), None)
    if row is None:
        raise UnknownName(f"There is no old shaft rule called {rule!r}.")
    divisor = float(row["divisor"])
    hp = (d / 25.4) ** 3 * n / divisor
    kw = hp * HP_W / 1000
    # 16/π × 33000 × 12 / 2π psi
    stress_psi = 16 / math.pi * 33000 * 12 / (2 * math.pi) / divisor
    words = f"At that power the steady twist alone makes {sig(stress_psi * 0.00689476)} MPa."
    if asked > kw:
        words = (
            f"Over the old rule: {sig(asked)} kW is more than the {sig(kw)} kW it allows. " + words
        )
    elif asked:
        words = f"{sig(asked)} kW is within the {sig(kw)} kW that the old rule allows. " + words
    return Working(
        f"Power by the old rule for a {row['name']}",
        kw,
        "kW",
        "d³ × N / C horsepower, d in inches",
        f"{sig(d / 25.4)}³ × {sig(n)} / {sig(divisor)} = {sig(hp)} hp = {sig(kw)} kW",
        (
            Given("d", "Diameter", d, "mm", Origin.ENTERED),
            Given("N", "Speed", n, "rpm", Origin.ENTERED),
            Given("C", "Divisor", divisor, "", Origin.TABLE, row["source"]),
        ),
        row["source"],
        verdict=words,
        refused=asked > kw,
        cautions=(OLD_SHAFT, NOT_LEAVE_TO_STEAM),
        limits="A shop rule of its day; it knows nothing of this shaft.",
    )
