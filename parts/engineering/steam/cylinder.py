"""Steam: what the cylinder sweeps, and the power that the steam can give.

Planning figures for restoring and describing an engine. Pressures are never bare numbers: say
`Gauge(550)` or `Absolute(650)` [kPa], for the rules of expansion take absolute pressures.
No figure of this module says that an engine may be steamed: that is for an inspector.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from .. import tables
from ..calculation import Calculation, Caution, Input, Origin
from ..constants import KW_PER_HP
from ..errors import OutOfRange, UnknownName, finite
from ..figures import full, sig
from ..sentences import amount

ATMOSPHERE_KPA = 101.325  # standard atmosphere, ISO 2533
HP_W = 1000 * float(KW_PER_HP)

NOT_LEAVE_TO_STEAM = Caution(
    "No figure here says that this engine may be steamed.",
    "Whether it may is for a licensed boiler and engine inspector to say, under the code of the "
    "place. Boiler, stop valve, governor and wheel are proved first.",
)


@dataclass(frozen=True)
class Absolute:
    """A pressure above a vacuum. [kPa]"""

    kpa: float


@dataclass(frozen=True)
class Gauge:
    """A pressure as a gauge shows it, above the air round it. [kPa]"""

    kpa: float


Pressure = Absolute | Gauge


def absolute_kpa(name: str, pressure: Pressure) -> float:
    """Return the absolute pressure. [kPa]

    Raises:
        OutOfRange: a bare number, or an absolute pressure below 0 or above 10 MPa.
    """
    if isinstance(pressure, Gauge):
        return finite(name, pressure.kpa, "kPa", above=-ATMOSPHERE_KPA, upto=1e4) + ATMOSPHERE_KPA
    if isinstance(pressure, Absolute):
        return finite(name, pressure.kpa, "kPa", upto=1e4)
    raise OutOfRange(
        f"Say whether the {name} of {pressure!r} is as the gauge shows it or absolute."
    )


def pressure_input(letter: str, name: str, pressure: Pressure, kpa: float) -> Input:
    if isinstance(pressure, Gauge):
        air = amount(ATMOSPHERE_KPA, "kPa")
        why = f"{amount(pressure.kpa, 'kPa')} by the gauge + {air} of air"
        if pressure.kpa < 0:
            why = f"{air} of air - {amount(-pressure.kpa, 'kPa')} of vacuum"
        return Input(letter, f"{name}, absolute", kpa, "kPa", Origin.CALCULATED, why)
    return Input(letter, f"{name}, absolute", kpa, "kPa", Origin.ENTERED)


@dataclass(frozen=True)
class Cylinder:
    """The sizes of a cylinder.

    Args:
        bore_mm: Bore. [mm]
        stroke_mm: Stroke of the piston. [mm]
        rod_mm: Piston rod, 0 when single acting. [mm]
        tail_rod_mm: Rod through the back cover, 0 when there is none. [mm]
        double_acting: True when steam works on both sides of the piston.
    """

    bore_mm: float
    stroke_mm: float
    rod_mm: float = 0.0
    tail_rod_mm: float = 0.0
    double_acting: bool = True

    def __post_init__(self):
        bore = finite("bore", self.bore_mm, "mm", upto=5000)
        finite("stroke", self.stroke_mm, "mm", upto=10000)
        for name, rod in (("piston rod", self.rod_mm), ("tail rod", self.tail_rod_mm)):
            if finite(name, rod, "mm", least=0.0, upto=5000) >= bore:
                raise OutOfRange(
                    f"A {name} of {amount(rod, 'mm')} does not go into a bore of "
                    f"{amount(bore, 'mm')}."
                )

    @property
    def head_m2(self) -> float:
        """Piston area on the side of the back cover. [m²]"""
        return math.pi / 4 * (self.bore_mm**2 - self.tail_rod_mm**2) / 1e6

    @property
    def crank_m2(self) -> float:
        """Piston area on the side of the crank. [m²]"""
        return math.pi / 4 * (self.bore_mm**2 - self.rod_mm**2) / 1e6

    @property
    def area_turn_m2(self) -> float:
        """Areas that steam works on in one turn, added up. [m²]"""
        return self.head_m2 + (self.crank_m2 if self.double_acting else 0.0)

    def inputs(self) -> tuple[Input, ...]:
        rods = [Input("d", "Piston rod", self.rod_mm, "mm", Origin.ENTERED)] if self.rod_mm else []
        if self.tail_rod_mm:
            rods.append(Input("t", "Tail rod", self.tail_rod_mm, "mm", Origin.ENTERED))
        return (
            Input("D", "Bore", self.bore_mm, "mm", Origin.ENTERED),
            Input("S", "Stroke", self.stroke_mm, "mm", Origin.ENTERED),
            *rods,
        )


def swept_volume(cylinder: Cylinder) -> Calculation:
    """Volume that the piston sweeps on the head side; the verdict has the crank side too. [mm³]

    Source: geometry; V = π/4 × D² × S.
    """
    head = cylinder.head_m2 * cylinder.stroke_mm
    crank = cylinder.crank_m2 * cylinder.stroke_mm
    verdict = f"The piston sweeps {amount(head * 1e6, 'mm3')} on the head side"
    verdict += (
        f" and {amount(crank * 1e6, 'mm3')} on the crank side, "
        f"{amount((head + crank) * 1e6, 'mm3')} in a turn."
        if cylinder.double_acting
        else "; steam works on one side only."
    )
    return Calculation(
        "Swept volume",
        head * 1e6,
        "mm3",
        "π/4 × (D² − t²) × S" if cylinder.tail_rod_mm else "π/4 × D² × S",
        f"{full(cylinder.head_m2 * 1e6, 'mm2')} × {full(cylinder.stroke_mm, 'mm')} = "
        f"{amount(head * 1e6, 'mm3')}",
        cylinder.inputs(),
        "geometry",
        verdict=verdict,
        cautions=(NOT_LEAVE_TO_STEAM,),
        limits="Clearance at the ends and in the ports is not in it.",
    )


def piston_speed(stroke_mm: float, rpm: float) -> Calculation:
    """Mean speed of the piston. [m/s]

    Source: v = 2 S N, any engine handbook.
    """
    stroke = finite("stroke", stroke_mm, "mm", upto=10000)
    speed_rpm = finite("speed", rpm, "rpm", upto=5000)
    value = 2 * stroke / 1000 * speed_rpm / 60
    return Calculation(
        "Mean piston speed",
        value,
        "m_s",
        "2 × S × N",
        f"2 × {full(stroke, 'mm')} × {full(speed_rpm, 'rpm')} = {amount(value, 'm_s')}",
        (
            Input("S", "Stroke", stroke, "mm", Origin.ENTERED),
            Input("N", "Speed", speed_rpm, "rpm", Origin.ENTERED),
        ),
        "definition",
        verdict=f"Slow stationary engines ran at {amount(2, 'm_s', 1)} to {amount(3, 'm_s', 1)}, "
        "small ones slower.",
        cautions=(NOT_LEAVE_TO_STEAM,),
        limits="The usual speeds are common practice, no source.",
    )


def expansion_ratio(cutoff: float, clearance: float = 0.0) -> float:
    """Mean forward pressure over the steam pressure, both absolute.

    Args:
        cutoff: Part of the stroke at which the valve shuts off steam.
        clearance: Volume at the dead end as a part of the swept volume.

    Source: hyperbolic expansion, c + (c + a) ln((1 + a)/(c + a)).

    >>> round(expansion_ratio(0.5), 4)
    0.8466
    """
    c = finite("cut-off", cutoff, upto=1.0)
    a = finite("clearance", clearance, least=0.0, upto=1.0)
    return c + (c + a) * math.log((1 + a) / (c + a))


def back_ratio(compression: float, clearance: float = 0.0) -> float:
    """Mean back pressure over the exhaust pressure, both absolute.

    Args:
        compression: Part of the return stroke left when the exhaust shuts.
        clearance: As for `expansion_ratio`; more than 0 when there is compression.
    """
    x = finite("compression", compression, least=0.0, upto=0.95)
    a = finite("clearance", clearance, least=0.0, upto=1.0)
    if x == 0:
        return 1.0
    if a == 0:
        raise OutOfRange("Compression needs a clearance to be squeezed into: give one over 0.")
    return (1 - x) + (a + x) * math.log((a + x) / a)


def _factor(factor: float | str) -> tuple[float, float | None, float | None, Input]:
    if isinstance(factor, str):
        for row in tables.read("diagram_factors"):
            if row["key"] == factor:
                value = float(row["value"])
                source = f"{row['name']}; {row['source']}" + (
                    " (from memory)" if row["status"] == "memory" else ""
                )
                factor_input = Input("f", "Diagram factor", value, "", Origin.TABLE, source)
                return value, float(row["low"]), float(row["high"]), factor_input
        raise UnknownName(f"There is no diagram factor for {factor!r}.")
    value = finite("diagram factor", factor, upto=1.0)
    return value, None, None, Input("f", "Diagram factor", value, "", Origin.ENTERED)


def mean_pressure(
    steam: Pressure,
    back: Pressure,
    cutoff: float,
    *,
    factor: float | str,
    clearance: float = 0.0,
    compression: float = 0.0,
) -> Calculation:
    """Mean effective pressure on the piston over a stroke. [kPa]

    Args:
        steam: Pressure in the valve chest.
        back: Pressure that the exhaust goes against.
        cutoff: Part of the stroke with steam on, over 0 to 1.
        factor: Diagram factor: a figure, or a key of the table ("throttled", "textbook",
            "well_designed", "drop_valve"), which brings its range.
        clearance: Part of the swept volume.
        compression: Part of the return stroke, 0 for none.

    Raises:
        OutOfRange: a bare pressure, a cut-off outside 0 to 1, steam no higher than the back
            pressure, or so early a cut-off that the steam would drag the piston.
        UnknownName: no such diagram factor.

    Source: hyperbolic (pv constant) expansion as in Agrawal and Agrawal, Basic Mechanical
    Engineering, ch. 13.
    """
    p1 = absolute_kpa("steam pressure", steam)
    pb = absolute_kpa("back pressure", back)
    if p1 <= pb:
        raise OutOfRange(
            f"Steam at {amount(p1, 'kPa')} absolute cannot push against {amount(pb, 'kPa')} "
            "absolute. Look "
            "whether one of them is a gauge pressure."
        )
    f, low, high, factor_input = _factor(factor)
    ratio = expansion_ratio(cutoff, clearance)
    rise = back_ratio(compression, clearance)
    ideal = p1 * ratio - pb * rise
    if ideal <= 0:
        raise OutOfRange(
            f"With steam shut off at {sig(cutoff)} of the stroke the steam does no work against "
            f"{amount(pb, 'kPa')}: cut off later."
        )
    plain = clearance == 0
    formula = "f × (p₁ × c × (1 + ln(1/c)) − p_b)"
    if not plain:
        formula = "f × (p₁ × (c + (c + a) × ln((1 + a)/(c + a))) − p_b × k)"
    inputs = [
        pressure_input("p₁", "Steam", steam, p1),
        pressure_input("p_b", "Back pressure", back, pb),
        Input("c", "Cut-off, part of the stroke", cutoff, "", Origin.ENTERED),
        factor_input,
    ]
    if not plain:
        inputs.append(
            Input("a", "Clearance, part of the swept volume", clearance, "", Origin.ENTERED)
        )
        inputs.append(
            Input(
                "k",
                "Rise of the back pressure",
                rise,
                "",
                Origin.CALCULATED,
                "by compression",
            )
        )
    return Calculation(
        "Mean effective pressure",
        f * ideal,
        "kPa",
        formula,
        f"{sig(f)} × ({amount(p1, 'kPa')} × {sig(ratio)} − {amount(pb, 'kPa')} × {sig(rise)}) "
        f"= {amount(f * ideal, 'kPa')}",
        tuple(inputs),
        "Hyperbolic expansion: Agrawal and Agrawal, Basic Mechanical Engineering, ch. 13",
        low=low * ideal if low is not None else None,
        high=high * ideal if high is not None else None,
        interval="from the range of the diagram factor" if low is not None else "",
        cautions=(NOT_LEAVE_TO_STEAM,),
        limits="Condensation in the cylinder and wire-drawing are in the diagram factor only.",
    )


def pressure_from_card(area_mm2: float, length_mm: float, spring_kpa_mm: float) -> Calculation:
    """Mean effective pressure from an indicator card. [kPa]

    Args:
        area_mm2: Area of the card. [mm²]
        length_mm: Its length. [mm]
        spring_kpa_mm: Pressure for each millimetre of height. [kPa/mm]

    Source: Machinery's Reference Series No. 70, Steam Engines, p. 32.
    """
    area = finite("area of the card", area_mm2, "mm2", upto=1e5)
    length = finite("length of the card", length_mm, "mm", upto=1000)
    spring = finite("scale of the spring", spring_kpa_mm, "kPa/mm", upto=1000)
    value = area / length * spring
    return Calculation(
        "Mean effective pressure from the card",
        value,
        "kPa",
        "A / l × s",
        f"{full(area, 'mm2')} / {full(length, 'mm')} × {full(spring, 'kPa/mm')} = "
        f"{amount(value, 'kPa')}",
        (
            Input("A", "Area of the card", area, "mm2", Origin.MEASURED),
            Input("l", "Length of the card", length, "mm", Origin.MEASURED),
            Input("s", "Pressure for a unit of height", spring, "kPa/mm", Origin.ENTERED),
        ),
        "Machinery's Reference Series No. 70, Steam Engines, p. 32",
        cautions=(NOT_LEAVE_TO_STEAM,),
    )


def indicated_power(cylinder: Cylinder, pressure: Calculation | float, rpm: float) -> Calculation:
    """Indicated power of one cylinder. [kW]

    Args:
        cylinder: Its sizes; the rod is taken off where steam works beside it.
        pressure: Mean effective pressure [kPa], a figure or the Calculation of `mean_pressure`.
        rpm: Turns a minute.

    Source: P L A N. Machinery's Reference Series No. 70 prints the area as (2A − a)/2.
    """
    parts = (pressure,) if isinstance(pressure, Calculation) else ()
    mep = finite("mean effective pressure", parts[0].value if parts else pressure, "kPa", upto=1e4)
    n = finite("speed", rpm, "rpm", upto=5000)
    per_turn = cylinder.area_turn_m2 * cylinder.stroke_mm / 1000
    kw = mep * per_turn * n / 60
    low, high = (parts[0].low, parts[0].high) if parts else (None, None)
    ends = (None, None) if low is None else (kw * low / mep, kw * high / mep)
    acting = "double acting" if cylinder.double_acting else "single acting"
    origin = Origin.CALCULATED if parts else Origin.ENTERED
    return Calculation(
        f"Indicated power, {acting}",
        kw,
        "kW",
        "p × S × (areas on which steam works in a turn) × N",
        f"{amount(mep, 'kPa')} × {amount(cylinder.stroke_mm, 'mm')} × "
        f"{full(cylinder.area_turn_m2 * 1e6, 'mm2')} × {full(n, 'rpm')} = {amount(kw, 'kW')}",
        (
            Input("p", "Mean effective pressure", mep, "kPa", origin),
            *cylinder.inputs(),
            Input("N", "Speed", n, "rpm", Origin.ENTERED),
        ),
        "P L A N / 33000; the rod taken off as in Machinery's Reference Series No. 70",
        low=ends[0],
        high=ends[1],
        interval="from the range of the diagram factor" if low is not None else "",
        verdict=f"{amount(kw, 'kW', low=ends[0], high=ends[1])} in the cylinder; the belt gets two "
        "thirds to nine tenths of it.",
        cautions=(NOT_LEAVE_TO_STEAM,),
        limits="A planning figure. Friction of the engine is not taken off.",
        parts=parts,
    )


def pressure_from_power(cylinder: Cylinder, power_kw: float, rpm: float) -> Calculation:
    """Mean effective pressure that a power needs. [kPa] The inverse of `indicated_power`."""
    kw = finite("power", power_kw, "kW", upto=1e5)
    n = finite("speed", rpm, "rpm", upto=5000)
    value = kw * 60 / (cylinder.area_turn_m2 * cylinder.stroke_mm / 1000 * n)
    return Calculation(
        "Mean effective pressure needed",
        value,
        "kPa",
        "P / (S × areas × N)",
        f"{amount(kw, 'kW')} / ({amount(cylinder.stroke_mm, 'mm')} × "
        f"{full(cylinder.area_turn_m2 * 1e6, 'mm2')} × {full(n, 'rpm')}) = "
        f"{amount(value, 'kPa')}",
        (
            Input("P", "Power", kw, "kW", Origin.ENTERED),
            *cylinder.inputs(),
            Input("N", "Speed", n, "rpm", Origin.ENTERED),
        ),
        "P L A N / 33000",
        cautions=(NOT_LEAVE_TO_STEAM,),
    )


def torque(power: Calculation | float, rpm: float) -> Calculation:
    """Mean torque on the shaft. [N m]  T = P / ω.

    Args:
        power: In kW, a figure or the Calculation of `indicated_power`.
    """
    parts = (power,) if isinstance(power, Calculation) else ()
    kw = finite("power", parts[0].value if parts else power, "kW", upto=1e5)
    low, high = (parts[0].low, parts[0].high) if parts else (None, None)
    n = finite("speed", rpm, "rpm", upto=5000)
    value = kw * 1000 * 60 / (2 * math.pi * n)
    return Calculation(
        "Mean torque",
        value,
        "Nm",
        "P / (2π × N)",
        f"{full(kw, 'kW')} / (2π × {full(n, 'rpm')}) = {amount(value, 'Nm')}",
        (
            Input("P", "Power", kw, "kW", Origin.CALCULATED if parts else Origin.ENTERED),
            Input("N", "Speed", n, "rpm", Origin.ENTERED),
        ),
        "definition of power",
        low=None if low is None else value * low / kw,
        high=None if high is None else value * high / kw,
        interval="from the range of the diagram factor" if low is not None else "",
        cautions=(NOT_LEAVE_TO_STEAM,),
        limits="The mean. The crank feels two to three times as much at its worst.",
    )
