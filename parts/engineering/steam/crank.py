"""The crank: its effort round the turn, and the stress in the shaft."""

from __future__ import annotations

import math
from dataclasses import dataclass

from .. import tables
from ..calculation import Calculation, Caution, Input, Origin, origin_of, value_of
from ..errors import OutOfRange, UnknownName, finite
from ..figures import full, sig
from ..sentences import amount
from .cylinder import (
    ATMOSPHERE_KPA,
    HP_W,
    NOT_LEAVE_TO_STEAM,
    Cylinder,
    Pressure,
    absolute_kpa,
    pressure_input,
)

OLD_SHAFT = Caution(
    "Have an old crankshaft looked at for cracks before any load goes on it.",
    "The stress holds for sound metal. Flaws, sharp corners and old key ways are not in it; an "
    "engineer decides.",
)


TORQUE_ONLY = "Torque only; the bending of an overhung crank is usually the larger: no verdict."
KHURMI = "Khurmi and Gupta, A Textbook of Machine Design, ch. 32, side or overhung crankshaft"
# Shear by peak torque with bending, 6000 to 9000 psi: practice, from memory.
SHAFT_USUAL_MPA = (41.37, 62.05)


@dataclass(frozen=True)
class CrankEffort:
    """The turning effort over one turn.

    Args:
        angle_deg: Crank angle from the head-end dead centre, one row a step. [deg]
        torque_n_m: Effort at each angle. [N m]
        mean_n_m, peak_n_m, least_n_m: Of the turn. [N m]
        peak_deg: Where it is greatest. [deg]
        swing_j: Energy that the flywheel takes up and gives back. [J]
        calculation: The peak, as a figure to act on.
    """

    angle_deg: object
    torque_n_m: object
    mean_n_m: float
    peak_n_m: float
    least_n_m: float
    peak_deg: float
    swing_j: float
    calculation: Calculation


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
    """Return the turning effort at each step of a turn. [N m]

    Args:
        rod_length_mm: Connecting rod between centres [mm]; 0 stands for a very long one.
        factor: Diagram factor, a figure that the whole effort is multiplied by.
        steps: Steps of the turn, 72 or more.
        The rest as in `cylinder.mean_pressure`.

    Returns:
        CrankEffort, with arrays of `steps` rows.

    Raises:
        OutOfRange: as in `cylinder.mean_pressure`, or a rod shorter than twice the crank.

    Source: geometry of crank and rod; hyperbolic expansion and compression.
    """
    import numpy as np

    p1, pb = absolute_kpa("steam pressure", steam), absolute_kpa("back pressure", back)
    if p1 <= pb:
        raise OutOfRange("The steam must be at a higher pressure than the exhaust.")
    c = finite("cut-off", cutoff, upto=1.0)
    a = finite("clearance", clearance, least=0.0, upto=1.0)
    x = finite("compression", compression, least=0.0, upto=0.95)
    f = finite("diagram factor", factor, upto=1.0)
    if x > 0 and a == 0:
        raise OutOfRange("Compression needs a clearance to be squeezed into: give one over 0.")
    n = int(finite("number of steps", steps, least=72, upto=100000))
    r = cylinder.stroke_mm / 2000
    lam = 0.0
    if rod_length_mm:
        rod = finite("connecting rod", rod_length_mm, "mm", upto=50000)
        lam = cylinder.stroke_mm / 2 / rod
        if lam > 0.5:
            raise OutOfRange("The connecting rod must be at least as long as the stroke.")

    theta = np.arange(n) * (2 * np.pi / n)
    root = np.sqrt(1 - (lam * np.sin(theta)) ** 2)
    rod_part = (1 - root) / lam if lam else 0.0
    travel = (1 - np.cos(theta) + rod_part) / 2  # part of the stroke, from the head end
    arm = r * np.sin(theta) * (1 + lam * np.cos(theta) / root)
    out = theta < np.pi

    def steam_side(y):
        return np.where(y <= c, p1, p1 * (c + a) / np.maximum(y + a, 1e-12))

    def exhaust_side(y):
        if x == 0:
            return np.full_like(y, pb)
        return np.where(y >= x, pb, pb * (a + x) / (a + y))

    head = np.where(out, steam_side(travel), exhaust_side(travel))
    if cylinder.double_acting:
        rest = 1 - travel
        crank = np.where(out, exhaust_side(rest), steam_side(rest))
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
    inputs = (
        *cylinder.inputs(),
        pressure_input("p₁", "Steam", steam, p1),
        pressure_input("p_b", "Back pressure", back, pb),
        Input("c", "Cut-off, part of the stroke", c, "", Origin.ENTERED),
        Input("l", "Connecting rod", rod_length_mm, "mm", Origin.ENTERED)
        if rod_length_mm
        else Input("l", "Connecting rod", "taken as very long", "", Origin.ASSUMED, "not entered"),
        Input("f", "Diagram factor", f, "", Origin.ENTERED),
    )
    calculation = Calculation(
        "Greatest turning effort",
        max(peak, -least),
        "Nm",
        "(force on the piston) × (travel of the piston for each part of the turn)",
        f"greatest {amount(peak, 'Nm')} at {sig(at, 3)}°, mean {amount(mean, 'Nm')}",
        inputs,
        "geometry of crank and rod; hyperbolic expansion",
        verdict=f"The effort runs from {amount(least, 'Nm', 3)} to {amount(peak, 'Nm', 3)}, "
        f"{sig(peak / mean, 3)} times its mean; the flywheel takes up and gives back "
        f"{amount(swing, 'J', 3)}."
        if mean > 0
        else "",
        cautions=(NOT_LEAVE_TO_STEAM,),
        limits="The weight and inertia of piston and rods are left out; cut-off is taken as the "
        "same at both ends.",
    )
    return CrankEffort(np.degrees(theta), effort, mean, peak, least, at, swing, calculation)


def piston_load(cylinder: Cylinder, steam: Pressure, back: Pressure) -> Calculation:
    """Greatest load on the piston, with full steam on one side. [N]

    Source: pressures by areas, the air on the end of the rod.
    """
    p1, pb = absolute_kpa("steam pressure", steam), absolute_kpa("back pressure", back)
    if p1 <= pb:
        raise OutOfRange("The steam must be at a higher pressure than the exhaust.")
    head, crank = cylinder.head_m2 * 1e6, cylinder.crank_m2 * 1e6
    other = pb if cylinder.double_acting else ATMOSPHERE_KPA
    out = p1 * head - other * crank - ATMOSPHERE_KPA * (head - crank)
    home = p1 * crank - pb * head + ATMOSPHERE_KPA * (head - crank)
    load = max(out, home if cylinder.double_acting else 0.0) / 1000
    return Calculation(
        "Greatest load on the piston",
        load,
        "N",
        "p₁ × A₁ − p₂ × A₂ − air × (A₁ − A₂), the greater of the two strokes",
        "",
        (
            pressure_input("p₁", "Steam", steam, p1),
            pressure_input("p₂", "Back pressure", back, pb)
            if cylinder.double_acting
            else Input("p₂", "Air on the open side", other, "kPa", Origin.TABLE, "ISO 2533"),
            Input("A₁", "Piston, head side", head, "mm2", Origin.CALCULATED, "from the bore"),
            Input("A₂", "Piston, crank side", crank, "mm2", Origin.CALCULATED, "less the rod"),
        ),
        "pressures by areas",
        cautions=(NOT_LEAVE_TO_STEAM,),
        limits="With full steam at its pressure by the gauge: a card mostly shows less. The weight "
        "and inertia of piston and rods are left out.",
    )


def overhung_bending(load: Calculation | float, overhang_mm: float) -> Calculation:
    """Bending of an overhung crankshaft at the centre of its bearing. [N m]  M = F × a.

    Args:
        load: On the crank pin [N], a figure or the Calculation of `piston_load`.
        overhang_mm: From the centre of the crank pin to the centre of the bearing. [mm]

    Source: Khurmi and Gupta, A Textbook of Machine Design, ch. 32, side or overhung crankshaft.
    """
    parts = (load,) if isinstance(load, Calculation) else ()
    force = finite("load on the piston", parts[0].value if parts else load, "N", upto=1e8)
    arm = finite("overhang of the crank pin", overhang_mm, "mm", upto=5000)
    value = force * arm / 1000
    return Calculation(
        "Bending at the bearing",
        value,
        "Nm",
        "F × a",
        f"{full(force, 'N')} × {full(arm, 'mm')} = {amount(value, 'Nm')}",
        (
            Input(
                "F",
                "Load on the piston",
                force,
                "N",
                Origin.CALCULATED if parts else Origin.ENTERED,
            ),
            Input("a", "Overhang, pin's centre to bearing's centre", arm, "mm", Origin.ENTERED),
        ),
        KHURMI,
        cautions=(NOT_LEAVE_TO_STEAM,),
        limits="The bearing is taken to hold at its centre. The weight of wheel and belt bends the "
        "shaft besides.",
        parts=parts,
    )


def shaft_stress(
    torque: Calculation | float,
    diameter_mm: float,
    *,
    bending: Calculation | float | None = None,
    greatest: str = "shear",
) -> Calculation:
    """Stress at the skin of a solid round shaft. [MPa]

    Args:
        torque: The greatest torque [N m], a figure or a Calculation.
        diameter_mm: Diameter at its thinnest. [mm]
        bending: At the same place [N m], a figure or the Calculation of `overhung_bending`. Where
            it is None, the stress is of the torque alone, without a verdict.
        greatest: "shear" takes √(M² + T²) (for steel); "direct" takes M + √(M² + T²) as the
            equivalent torque, as the old books do.

    Source: τ = 16 T / (π d³); Lineham, Text Book of Mechanical Engineering, Example 35.
    """
    parts = tuple(each for each in (torque, bending) if isinstance(each, Calculation))
    t, m = (0.0 if each is None else value_of(each) for each in (torque, bending))
    t = finite("torque", t, "Nm", least=0.0, upto=1e8)
    m = finite("bending", m, "Nm", least=0.0, upto=1e8)
    d = finite("shaft diameter", diameter_mm, "mm", upto=5000)
    if greatest not in ("shear", "direct"):
        raise UnknownName(
            'Say whether the greatest "shear" or the greatest "direct" stress counts.'
        )
    combined = math.hypot(m, t)
    equivalent = combined if greatest == "shear" else m + combined
    stress = 16 * equivalent / (math.pi * (d / 1000) ** 3) / 1e6
    rule = "T"
    inputs = [Input("T", "Torque", t, "Nm", origin_of(torque))]
    verdict, refused = TORQUE_ONLY, False
    if bending is not None:
        rule = "√(M² + T²)" if greatest == "shear" else "M + √(M² + T²)"
        inputs.append(Input("M", "Bending", m, "Nm", origin_of(bending)))
        verdict, refused = _stress_verdict(stress)
    return Calculation(
        "Stress in the shaft" if bending is not None else "Stress in the shaft by torque only",
        stress,
        "MPa",
        f"16 × Tₑ / (π × d³), Tₑ = {rule}",
        f"16 × {full(equivalent, 'Nm')} / (π × ({full(d, 'mm')})³) = {amount(stress, 'MPa')}",
        (*inputs, Input("d", "Diameter", d, "mm", Origin.ENTERED)),
        "Lineham, Text Book of Mechanical Engineering, Example 35",
        verdict=verdict,
        refused=refused,
        cautions=(OLD_SHAFT, NOT_LEAVE_TO_STEAM),
        limits="A solid round shaft, no key way, no sharp corner."
        + (" Greatest torque and bending are taken together." if bending is not None else ""),
        parts=parts,
    )


def _stress_verdict(stress_mpa: float) -> tuple[str, bool]:
    """Return the verdict on the stress of a shaft bent and twisted, and if it is over the usual."""
    low, high = (amount(end, "MPa", 2) for end in SHAFT_USUAL_MPA)
    usual = (
        f" Usual for mild steel, bending included: {low} to {high} at most (from memory); wrought "
        "iron takes less. An engineer decides."
    )
    if stress_mpa > SHAFT_USUAL_MPA[1]:
        return "Over the usual: do not load it so." + usual, True
    return ("Near the limit." if stress_mpa > SHAFT_USUAL_MPA[0] else "Below it.") + usual, False


def shaft_by_old_rule(
    diameter_mm: float, rpm: float, rule: str, power_kw: float = 0.0
) -> Calculation:
    """Power that an old shop rule lets a shaft carry. [kW]

    Args:
        diameter_mm: Shaft diameter. [mm]
        rpm: Turns a minute.
        rule: Key of the table: "steel", "wrought_iron", "head_shaft", "line_shaft".
        power_kw: Power to carry [kW]; 0 gives no verdict on it.

    Source: HP = d³ N / C with d in inches. The rules differ by almost four to one, for they
    allow for different bending, so the verdict gives the steady stress that each stands for.
    """
    d = finite("shaft diameter", diameter_mm, "mm", upto=5000)
    n = finite("speed", rpm, "rpm", upto=5000)
    required = finite("power", power_kw, "kW", least=0.0, upto=1e5)
    row = next((r for r in tables.read("shaft_rules") if r["key"] == rule), None)
    if row is None:
        raise UnknownName(f"There is no old shaft rule called {rule!r}.")
    divisor = float(row["divisor"])
    hp = (d / 25.4) ** 3 * n / divisor
    kw = hp * HP_W / 1000
    # 16/π × 33000 × 12 / 2π psi
    stress_psi = 16 / math.pi * 33000 * 12 / (2 * math.pi) / divisor
    steady = amount(stress_psi * 0.00689476, "MPa")
    verdict = f"At that power the steady twist alone makes {steady}."
    if required > kw:
        verdict = (
            f"Over the old rule: {amount(required, 'kW')} is more than the {amount(kw, 'kW')} it "
            f"allows. {verdict}"
        )
    elif required:
        verdict = (
            f"{amount(required, 'kW')} is within the {amount(kw, 'kW')} that the old rule allows. "
            f"{verdict}"
        )
    return Calculation(
        f"Power by the old rule for a {row['name']}",
        kw,
        "kW",
        "d³ × N / C horsepower, d in inches",
        f"{sig(d / 25.4)}³ × {sig(n)} / {sig(divisor)} horsepower = {amount(kw, 'kW')}",
        (
            Input("d", "Diameter", d, "mm", Origin.ENTERED),
            Input("N", "Speed", n, "rpm", Origin.ENTERED),
            Input("C", "Divisor", divisor, "", Origin.TABLE, row["source"]),
        ),
        row["source"],
        verdict=verdict,
        refused=required > kw,
        cautions=(OLD_SHAFT, NOT_LEAVE_TO_STEAM),
        limits="A shop rule of its day; it knows nothing of this shaft.",
    )
