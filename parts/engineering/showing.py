"""Writes figures in the units that the project of an engine uses."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal, localcontext
from fractions import Fraction

from . import constants as c


@dataclass(frozen=True)
class Units:
    """The units an engine's project uses.

    Args:
        length: "in" or "mm".
        mass: "lb" or "kg".
        tape: "ft" or "m", for distances on the site.
        ton: "long", "short" or "metric". With pounds, a long ton brings the imperial gallon and a
            short ton the US gallon.
    """

    length: str = "in"
    mass: str = "lb"
    tape: str = "ft"
    ton: str = "long"

    @classmethod
    def customary(cls, ton: str = "long") -> Units:
        """Inches, pounds and feet."""
        return cls("in", "lb", "ft", ton)

    @classmethod
    def metric(cls) -> Units:
        """Millimetres, kilograms and metres."""
        return cls("mm", "kg", "m", "metric")


def _plain(number: Decimal) -> str:
    text = format(number, "f")
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _ratio(value: Fraction) -> Decimal:
    """Return a Fraction as a Decimal of 40 figures."""
    with localcontext() as context:
        context.prec = 40
        return Decimal(value.numerator) / Decimal(value.denominator)


def significant(value: Fraction | float, figures: int) -> str:
    """Write a number to so many significant figures, without exponent or trailing noughts.

    >>> significant(26318.945, 4), significant(0.0045678, 3)
    ('26320', '0.00457')
    """
    number = _ratio(Fraction(value))
    if not number:
        return "0"
    step = Decimal(1).scaleb(number.adjusted() - figures + 1)
    with localcontext() as context:
        context.prec = 400
        return _plain(number.quantize(step, rounding=ROUND_HALF_EVEN))


def decimal(value: Fraction | float, places: int, figures: int = 4) -> str:
    """Write a number to `places` decimals, or more where `figures` need them (0: never)."""
    number = _ratio(Fraction(value))
    if not number:
        return "0"
    if figures:
        places = max(places, min(figures - 1 - number.adjusted(), 18))
    with localcontext() as context:
        context.prec = 400
        return _plain(number.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_EVEN))


# Canonical unit -> the choice in Units that decides, then (divisor, unit) for customary and
# metric units.
_TABLE: dict[str, tuple[str, tuple[Fraction, str], tuple[Fraction, str]]] = {
    unit: (choice, (Fraction(divide), customary), (Fraction(1), metric))
    for unit, choice, divide, customary, metric in (
        ("mm2", "length", c.MM_PER_IN**2, "in²", "mm²"),
        ("kg", "mass", c.KG_PER_LB, "lb", "kg"),
        ("kg_m", "mass", c.KG_PER_LB / (c.MM_PER_FT / 1000), "lb/ft", "kg/m"),
        ("kg_h", "mass", c.KG_PER_LB, "lb/h", "kg/h"),
        ("kg_kWh", "mass", c.KG_PER_LB / c.KW_PER_HP, "lb/hp·h", "kg/kWh"),
        ("kg_m2", "length", c.KG_PER_LB * (c.MM_PER_FT / 1000) ** 2, "lb·ft²", "kg·m²"),
        ("kg_m3", "length", c.KG_M3_PER_LB_IN3, "lb/in³", "kg/m³"),
        ("N", "length", c.N_PER_LBF, "lbf", "N"),
        ("kN", "length", c.N_PER_LBF / 1000, "lbf", "kN"),
        ("Nm", "length", c.NM_PER_LBFT, "lb·ft", "N·m"),
        ("kPa", "length", c.KPA_PER_PSI, "psi", "kPa"),
        ("MPa", "length", c.KPA_PER_PSI / 1000, "psi", "MPa"),
        ("kPa/mm", "length", c.KPA_PER_PSI / c.MM_PER_IN, "psi/in", "kPa/mm"),
        ("kPa_m_s", "length", c.KPA_PER_PSI * c.MM_PER_FT / 60_000, "psi·ft/min", "kPa·m/s"),
        ("kW", "length", c.KW_PER_HP, "hp", "kW"),
        ("J", "length", c.NM_PER_LBFT, "ft·lbf", "J"),
        ("kJ", "length", c.KJ_PER_BTU, "Btu", "kJ"),  # of heat
        ("kJ_work", "length", c.NM_PER_LBFT / 1000, "ft·lbf", "kJ"),
        ("MJ", "length", c.KJ_PER_BTU / 1000, "Btu", "MJ"),
        ("kJ_kg", "mass", Fraction(2326, 1000), "Btu/lb", "kJ/kg"),
        ("MJ_kg", "mass", Fraction(2326, 10**6), "Btu/lb", "MJ/kg"),
        ("kJ_kgK", "mass", Fraction(41868, 10000), "Btu/lb·°F", "kJ/kg·°C"),
        ("m", "tape", c.MM_PER_FT / 1000, "ft", "m"),
        ("m_fall", "length", c.MM_PER_FT / 1000, "ft", "m"),  # no distance on the site
        ("m2", "tape", (c.MM_PER_FT / 1000) ** 2, "ft²", "m²"),
        ("m3", "tape", (c.MM_PER_FT / 1000) ** 3, "ft³", "m³"),
        ("m_s", "length", c.MM_PER_FT / 60_000, "ft/min", "m/s"),
        ("m_min", "length", c.MM_PER_FT / 1000, "ft/min", "m/min"),
        ("m3_h", "tape", (c.MM_PER_FT / 1000) ** 3, "ft³/h", "m³/h"),
        ("degC_diff", "length", Fraction(5, 9), "°F", "°C"),
    )
}
# Units that are the same for everyone.
_SAME = {
    "": "",
    "percent": "%",
    "deg": "°",
    "rad": "rad",
    "rpm": "rpm",
    "h": "h",
    "min": "min",
    "s": "s",
    "kWh": "kWh",
    "tpi": "tpi",
    "ug_m3": "µg/m³",
}
_LITRES = {"l": "", "l_min": "/min", "l_s": "/s", "l_h": "/h"}


def same_for_all(unit: str) -> bool:
    """Return whether a figure in this unit reads the same in every system."""
    return unit in _SAME


KNOWN = frozenset(_TABLE) | frozenset(_SAME) | frozenset(_LITRES) | {"mm", "mm3", "degC", "t"}
"""The units that a Calculation may use: those that `show` can convert."""


def show(value: float | str | None, unit: str, units: Units, figures: int = 4) -> tuple[str, str]:
    """Return a figure as (number text, unit text) in the units of the project.

    Args:
        value: The figure in `unit`. A word comes back as it is, None as nothing.
        unit: One of `KNOWN`; any other is shown as it stands.
        units: The units of the engine's project.
        figures: Significant figures. Lengths go at least to a thousandth of an inch or a
            hundredth of a millimetre, and inches that are whole 64ths print as fractions.

    >>> show(34.925, "mm", Units.customary()), show(100, "kg", Units.customary())
    (('1 3/8', 'in'), ('220.5', 'lb'))
    """
    if value is None:
        return "", ""
    if isinstance(value, str):
        return value, ""
    number = float(value)
    if number != number or number in (float("inf"), float("-inf")):
        return "–", _SAME.get(unit, unit)
    if unit == "mm":
        return _length(Fraction(number), units, figures)
    if unit == "degC":
        return _temperature(Fraction(number), units)
    divisor, name = _other(unit, units)
    return significant(Fraction(number) / divisor, figures), name


def show_within(
    value: float, low: float, high: float, unit: str, units: Units, figures: int = 4
) -> tuple[str, str, str, str]:
    """Return a figure and the ends of its interval, with the digits that the interval supports.

    The last digit is of the size of half the interval; the ends are rounded outwards, so that
    the interval written is never narrower than the one meant.

    Returns:
        The texts of value, low and high, and the unit.

    >>> show_within(4.377, 2.77, 8.4, "kg", Units.customary())
    ('10', '6', '19', 'lb')
    """
    ends = [_in_unit(end, unit, units) for end in (value, low, high)]
    half = (ends[2] - ends[1]) / 2
    plain_text, name = show(value, unit, units, figures)
    if half <= 0:
        return plain_text, plain_text, plain_text, name
    place = _ratio(half).adjusted()
    if ends[0]:
        finest = _ratio(ends[0]).adjusted() - figures + 1
        if unit == "mm":
            finest = min(finest, -2 if units.length == "mm" else -3)
        place = max(place, finest)
    step = Decimal(1).scaleb(place)
    rounded = zip(ends, (ROUND_HALF_EVEN, ROUND_FLOOR, ROUND_CEILING), strict=True)
    return *(_to_step(number, step, how) for number, how in rounded), name


def _to_step(number: Fraction, step: Decimal, rounding: str) -> str:
    with localcontext() as context:
        context.prec = 400
        # a figure that lies on a step but for its last bits is not pushed to the next
        steps = (_ratio(number) / step).quantize(Decimal("1e-9"), rounding=ROUND_HALF_EVEN)
        return _plain(steps.to_integral_value(rounding=rounding) * step)


def _in_unit(value: float, unit: str, units: Units) -> Fraction:
    """Return a figure as a number in the unit of the project."""
    number = Fraction(float(value))
    if unit == "mm":
        return number if units.length == "mm" else number / c.MM_PER_IN
    if unit == "degC":
        return number if units.length == "mm" else number * Fraction(9, 5) + 32
    return number / _other(unit, units)[0]


def _length(mm: Fraction, units: Units, figures: int) -> tuple[str, str]:
    if units.length == "mm":
        return decimal(mm, places=2, figures=figures), "mm"
    inches = mm / c.MM_PER_IN
    nearest = Fraction(round(inches * 64), 64)
    if inches < 0 or abs(inches - nearest) > max(Fraction(1, 10**7), inches / 10**12):
        return decimal(inches, places=3, figures=figures), "in"
    whole, part = divmod(nearest, 1)
    if not part:
        return str(whole), "in"
    return (f"{whole} {part}" if whole else str(part)), "in"


def _temperature(degC: Fraction, units: Units) -> tuple[str, str]:
    if units.length == "mm":
        return decimal(degC, places=0, figures=0), "°C"
    return decimal(degC * Fraction(9, 5) + 32, places=0, figures=0), "°F"


def _other(unit: str, units: Units) -> tuple[Fraction, str]:
    """Return the divisor of a figure and the unit that it is then in."""
    if unit in _SAME:
        return Fraction(1), _SAME[unit]
    if unit in _LITRES:
        if units.mass == "kg":
            return Fraction(1), "l" + _LITRES[unit]
        is_short_ton = units.ton == "short"
        gallon = c.L_PER_US_GAL if is_short_ton else c.L_PER_IMP_GAL
        return gallon, ("US gal" if is_short_ton else "imp. gal") + _LITRES[unit]
    if unit == "mm3":
        return (c.MM3_PER_IN3, "in³") if units.length == "in" else (Fraction(1000), "cm³")
    if unit == "t":
        tons = c.TONS[units.ton][0] / 1000
        return tons, "t" if units.ton == "metric" else f"{units.ton} tons"
    if unit in _TABLE:
        choice, customary, metric = _TABLE[unit]
        is_customary = getattr(units, choice) in ("in", "lb", "ft")
        return customary if is_customary else metric
    return Fraction(1), unit
