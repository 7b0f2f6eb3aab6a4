"""Measures as people write them, and figures in the units people use.

Lengths are held in mm, masses in kg, temperatures in degC; what was written is kept beside the
value. Arithmetic is exact (Fractions) until the last step.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from .constants import (
    G_M_S2,
    KG_PER_LB,
    KG_PER_OZ,
    KPA_PER_ATM,
    KPA_PER_PSI,
    KW_PER_HP,
    MM_PER_FT,
    MM_PER_IN,
    MM_PER_YD,
    N_PER_LBF,
    NM_PER_LBFT,
    TONS,
)
from .errors import OutOfRange, UnknownName, finite
from .reading import Kind, MeasureError, Reader, Unit
from .showing import Units, decimal, show, significant

__all__ = [
    "Measure",
    "MeasureError",
    "Units",
    "angle_from_taper",
    "pitch_mm",
    "read_angle",
    "read_force",
    "read_length",
    "read_mass",
    "read_power",
    "read_pressure",
    "read_temperature",
    "read_thread_pitch",
    "read_torque",
    "show",
    "taper_from_angle",
    "threads_per_inch",
    "write_length",
    "write_mass",
    "write_temperature",
]

LENGTH = Kind(
    "length",
    (
        Unit("in", MM_PER_IN, "foot", ("inch", "inches", "ins", '"', "″", "”", "''", "′′", "’’")),
        Unit("ft", MM_PER_FT, "foot", ("foot", "feet", "'", "′", "’")),
        Unit("yd", MM_PER_YD, "foot", ("yard", "yards", "yds")),
        Unit("thou", MM_PER_IN / 1000, "foot", ("thous", "thousandths", "mil", "mils")),
        Unit("mm", Fraction(1), "metre", ("millimetre", "millimetres", "millimeters")),
        Unit("cm", Fraction(10), "metre", ("centimetre", "centimetres", "centimeters")),
        Unit("m", Fraction(1000), "metre", ("metre", "metres", "meter", "meters")),
    ),
    ("1 3/8 in", "36.5 mm"),
    Fraction(10_000_000),
    "10 km",
)

TEMPERATURE = Kind(
    "temperature",
    (
        Unit("F", Fraction(5, 9), "F", ("°F", "° F", "deg F", "degF", "degrees F", "Fahrenheit")),
        Unit("C", Fraction(1), "C", ("°C", "° C", "deg C", "degC", "degrees C", "Celsius")),
        Unit("°", Fraction(1), "", ("deg", "degrees")),
    ),
    ("2150 F", "1180 C"),
    Fraction(4000),
    "4000 °C",
    signed=True,
)
ABSOLUTE_ZERO_C = Fraction(-27315, 100)

ANGLE = Kind(
    "angle",
    (
        Unit("deg", Fraction(1), "deg", ("°", "degree", "degrees")),
        Unit("min", Fraction(1, 60), "deg", ("'", "′", "’", "minutes")),
        Unit("s", Fraction(1, 3600), "deg", ('"', "″", "”", "''", "sec", "seconds")),
    ),
    ("55 deg", "1° 30'"),
    Fraction(360),
    "a full turn",
)
PRESSURE = Kind(
    "pressure",
    (
        Unit("psi", KPA_PER_PSI, "", ("lb/in2", "lb/in²", "lbs/in2", "lb per sq in", "psig")),
        Unit("kPa", Fraction(1)),
        Unit("MPa", Fraction(1000)),
        Unit("bar", Fraction(100), "", ("bars",)),
        Unit("atm", KPA_PER_ATM),
        Unit("kg/cm2", G_M_S2 * 10, "", ("kg/cm²", "kgf/cm2")),
    ),
    ("100 psi", "7 bar"),
    Fraction(10**6),
    "1000 MPa",
)
FORCE = Kind(
    "force",
    (
        Unit("lbf", N_PER_LBF, "", ("lb", "lbs", "pounds")),
        Unit("N", Fraction(1), "", ("newton", "newtons")),
        Unit("kN", Fraction(1000)),
        Unit("kgf", G_M_S2, "", ("kg", "kp")),
    ),
    ("1200 lbf", "5 kN"),
    Fraction(10**8),
    "100 MN",
)
TORQUE = Kind(
    "torque",
    (
        Unit("lb·ft", NM_PER_LBFT, "", ("lb ft", "lbf ft", "ft lb", "ft·lb", "ft-lb", "lb-ft")),
        Unit("lb·in", NM_PER_LBFT / 12, "", ("lb in", "lbf in", "in lb", "in-lb", "lb-in")),
        Unit("N·m", Fraction(1), "", ("N m", "Nm", "N-m")),
        Unit("kN·m", Fraction(1000), "", ("kN m", "kNm")),
    ),
    ("60 lb ft", "80 Nm"),
    Fraction(10**8),
    "100 MN·m",
)
POWER = Kind(
    "power",
    (
        Unit("hp", KW_PER_HP, "", ("horsepower", "horse power", "ihp", "bhp")),
        Unit("kW", Fraction(1)),
        Unit("W", Fraction(1, 1000), "", ("watt", "watts")),
    ),
    ("175 hp", "130 kW"),
    Fraction(10**6),
    "1000 MW",
)
THREAD = Kind(
    "thread pitch",
    (
        Unit("tpi", Fraction(0), "", ("threads per inch", "threads per in", "per inch", "per in")),
        Unit("mm", Fraction(1)),
        Unit("in", MM_PER_IN, "", ('"', "″", "inch")),
    ),
    ("13 tpi", "1.75 mm"),
    Fraction(1000),
    "1 m",
)


@cache
def mass_kind(ton: str) -> Kind:
    """Return how masses are read when `ton` ("long", "short" or "metric") is meant."""
    if ton not in TONS:
        raise UnknownName(f"There is no ton called {ton!r}; it is long, short or metric.")
    tons, cwt, quarter = TONS[ton]
    family = "kilogram" if ton == "metric" else "pound"
    return Kind(
        "mass",
        (
            Unit("oz", KG_PER_OZ, "pound", ("ounce", "ounces", "ozs")),
            Unit("lb", KG_PER_LB, "pound", ("lbs", "pound", "pounds")),
            Unit("qr", quarter, family, ("qrs", "quarter", "quarters")),
            Unit("cwt", cwt, family, ("cwts", "hundredweight", "hundredweights")),
            Unit("ton", tons, family, ("tons",)),
            Unit("long ton", TONS["long"][0], "pound", ("long tons",)),
            Unit("short ton", TONS["short"][0], "pound", ("short tons",)),
            Unit("g", Fraction(1, 1000), "kilogram", ("gram", "grams", "gramme", "grammes")),
            Unit("kg", Fraction(1), "kilogram", ("kgs", "kilo", "kilos", "kilogram", "kilograms")),
            Unit("t", Fraction(1000), "kilogram", ("tonne", "tonnes", "metric ton", "metric tons")),
        ),
        ("12 lb 6 oz", "5.6 kg"),
        Fraction(10_000_000),
        "10,000 t",
    )


@dataclass(frozen=True)
class Measure:
    """A measure as it was written, and what it comes to.

    Args:
        written: What the person wrote, without spaces round it.
        unit: The unit it was written in, the largest one of a row: lengths "in", "ft", "yd",
            "thou", "mm", "cm", "m"; masses "lb", "oz", "qr", "cwt", "ton", "kg", "g", "t";
            temperatures "F", "C".
        value: Lengths in mm, masses in kg, temperatures in degC, pressures in kPa, forces in N,
            torques in N m, powers in kW, angles in degrees, thread pitches in mm.
    """

    written: str
    unit: str
    value: float


def _read(text: str, kind: Kind, default: str) -> Measure:
    if default not in kind.by_name:
        raise UnknownName(f"There is no unit of {kind.word} called {default!r}.")
    if not isinstance(text, str):
        raise MeasureError(
            f"This {kind.word} is no text. Write it like {kind.examples[0]}.", 0, kind.examples[0]
        )
    reader = Reader(text, kind)
    sign, terms = reader.terms()
    fallback = kind.by_name[default]
    total = sum(term.number * (term.unit or fallback).factor for term in terms) * sign
    if total > kind.upto:
        raise reader.error(
            terms[0].place, f"it comes to more than can be here ({kind.most} at most)"
        )
    unit = (terms[0].unit or fallback).name
    return Measure(text.strip(), unit, float(total))


def read_length(text: str, default: str = "in") -> Measure:
    """Read a length as people write it.

    Args:
        text: `1 3/8`, `1-3/8"`, `3' 0 1/2"`, `3 ft 6 in`, `⅞`, `36.5 mm`, `1,250 mm` …
        default: The unit when none is written.

    Returns:
        The Measure, its value in mm.

    Raises:
        MeasureError: it cannot be read, is negative, a range, or over 10 km.

    >>> read_length('3\\' 0 1/2"').value
    927.1
    """
    return _read(text, LENGTH, default)


def read_mass(text: str, default: str = "lb", ton: str = "long") -> Measure:
    """Read a mass as people write it: `12 lb 6 oz`, `3 cwt 2 qr`, `2 tons`, `5.6 kg`.

    Args:
        text: What was written.
        default: The unit when none is written.
        ton: Which ton, hundredweight and quarter are meant: "long" (2240, 112, 28 lb), "short"
            (2000, 100, 25 lb) or "metric" (1000, 50, 12.5 kg). `t` and `tonne` are 1000 kg always.

    Returns:
        The Measure, its value in kg.

    Raises:
        MeasureError: it cannot be read, is negative, a range, or over 10,000 t.

    >>> round(read_mass("3 cwt 2 qr").value, 3)
    177.808
    """
    measure = _read(text, mass_kind(ton), default)
    if measure.unit in ("long ton", "short ton"):
        return Measure(measure.written, "ton", measure.value)
    return measure


def read_temperature(text: str, default: str = "F") -> Measure:
    """Read a temperature: `2150 F`, `2150 °F`, `-10 C`.

    Returns:
        The Measure, its value in degC.

    Raises:
        MeasureError: it cannot be read, is under absolute zero or over 4000 degC.

    >>> read_temperature("212 F").value
    100.0
    """
    if default not in ("F", "C"):
        raise UnknownName(f"There is no unit of temperature called {default!r}.")
    if not isinstance(text, str):
        return _read(text, TEMPERATURE, default)
    reader = Reader(text, TEMPERATURE)
    sign, terms = reader.terms()
    unit = terms[0].unit.name if terms[0].unit and terms[0].unit.name != "°" else default
    number = sign * terms[0].number
    value = (number - 32) * Fraction(5, 9) if unit == "F" else number
    if value < ABSOLUTE_ZERO_C:
        raise reader.error(terms[0].place, "nothing can be so cold")
    if value > TEMPERATURE.upto:
        raise reader.error(
            terms[0].place, f"it comes to more than can be here ({TEMPERATURE.most} at most)"
        )
    return Measure(text.strip(), unit, float(value))


def read_angle(text: str, default: str = "deg") -> Measure:
    """Read an angle (`55`, `1 1/2 deg`, `1° 30'`), in degrees, up to a full turn."""
    return _read(text, ANGLE, default)


def read_pressure(text: str, default: str = "psi") -> Measure:
    """Read a pressure, in kPa. Whether it is gauge or absolute is for the field to say."""
    return _read(text, PRESSURE, default)


def read_force(text: str, default: str = "lbf") -> Measure:
    """Read a force, in N. A pound or kilogram here is its weight under standard gravity."""
    return _read(text, FORCE, default)


def read_torque(text: str, default: str = "lb·ft") -> Measure:
    """Read a torque, in N m."""
    return _read(text, TORQUE, default)


def read_power(text: str, default: str = "hp") -> Measure:
    """Read a power, in kW. The horse-power is 550 ft lbf/s."""
    return _read(text, POWER, default)


def read_thread_pitch(text: str, default: str = "tpi") -> Measure:
    """Read a thread's pitch, in mm, from threads per inch (`13 tpi`) or a pitch (`1.75 mm`)."""
    measure = _read(text, THREAD, default)
    if measure.unit != "tpi":
        return measure
    reader = Reader(text, THREAD)
    count = reader.terms()[1][0].number
    if not 0 < count <= 1000:
        raise reader.error(0, "threads per inch run from a few to a hundred or so")
    return Measure(measure.written, "tpi", float(MM_PER_IN / count))


def pitch_mm(threads_per_in: float) -> float:
    """Return the pitch [mm] of so many threads per inch. Raises OutOfRange."""
    return 25.4 / finite("count of threads per inch", threads_per_in, upto=1000)


def threads_per_inch(pitch: float) -> float:
    """Return the threads per inch of a pitch [mm]. Raises OutOfRange."""
    return 25.4 / finite("pitch", pitch, upto=1000)


def angle_from_taper(taper_in_per_ft: float) -> float:
    """Return the angle [deg] of a face that leans `taper_in_per_ft` inches in a foot.

    >>> round(angle_from_taper(1 / 8), 3)
    0.597
    """
    from math import atan, degrees

    return degrees(atan(finite("taper", taper_in_per_ft, above=None) / 12))


def taper_from_angle(angle_deg: float) -> float:
    """Return the lean [inches in a foot] of a face at `angle_deg` to the draw. Under 90 deg."""
    from math import radians, tan

    return 12 * tan(radians(finite("angle", angle_deg, above=-90, upto=89.999)))


# Lengths print as fractions when they are one, but for the noise of a float.
_NOISE_IN = Fraction(1, 10**7)


def _inches(inches: Fraction, finest: int) -> str:
    """Write a count of inches as a mixed number of 1/finest, or else as a decimal."""
    steps = round(inches * finest)
    exact = Fraction(steps, finest)
    if abs(inches - exact) > max(_NOISE_IN, abs(inches) / 10**12):
        return decimal(inches, places=3)
    whole, part = divmod(exact, 1)
    if not part:
        return str(whole)
    return f"{whole} {part}" if whole else str(part)


def write_length(mm: float, unit: str = "in", finest: int = 64) -> str:
    """Write a length for people, with its unit.

    Inches that are whole 1/finest (a power of 2) print as fractions (`1 3/8 in`), others as
    decimals to a thousandth or four figures (`1.372 in`); feet print as feet and inches;
    other units as decimals to a thousandth of the unit or four figures. Reading it back gives the
    same length within that rounding, and a printed fraction exactly. A negative length (a
    difference) prints with a minus and does not read back.

    Raises:
        OutOfRange: the length is no finite number, or `finest` is no power of two up to 1024.
        UnknownName: the unit is none of length.

    >>> write_length(34.925), write_length(1066.8, "ft"), write_length(36.5, "mm")
    ('1 3/8 in', '3 ft 6 in', '36.5 mm')
    """
    if unit not in LENGTH.by_name:
        raise UnknownName(f"There is no unit of length called {unit!r}.")
    if finest not in (1, 2, 4, 8, 16, 32, 64, 128, 256, 512, 1024):
        raise OutOfRange("The finest fraction must be a power of two: 8, 16, 32 or 64.")
    exact = Fraction(finite("length", mm, above=None, upto=1e12))
    if exact < 0:
        return "-" + write_length(-mm, unit, finest)
    if unit == "in":
        return f"{_inches(exact / MM_PER_IN, finest)} in"
    if unit == "ft":
        return _feet(exact / MM_PER_IN, finest)
    return f"{decimal(exact / LENGTH.by_name[unit].factor, places=3)} {unit}"


def _feet(inches: Fraction, finest: int) -> str:
    nearest = Fraction(round(inches * finest), finest)
    if abs(inches - nearest) <= max(_NOISE_IN, inches / 10**12):
        inches = nearest
    elif inches >= 12:
        inches = round(inches, 3)  # rounded before it is split, so that 2 ft 12 in cannot come
    feet, rest = divmod(inches, 12)
    if not feet:
        return f"{_inches(rest, finest)} in"
    return f"{feet} ft {_inches(rest, finest)} in" if rest else f"{feet} ft"


def write_mass(kg: float, unit: str = "lb", ton: str = "long", figures: int | None = 3) -> str:
    """Write a mass for people, with its unit, to so many significant figures (None: twelve).

    Reading it back with the same `ton` gives the same mass within that rounding.

    Raises:
        OutOfRange: the mass is no finite number.
        UnknownName: the unit or the ton is none.

    >>> write_mass(5.613), write_mass(2032.0938, "ton"), write_mass(68.2, "kg")
    ('12.4 lb', '2 tons', '68.2 kg')
    """
    kind = mass_kind(ton)
    if unit not in kind.by_name:
        raise UnknownName(f"There is no unit of mass called {unit!r}.")
    exact = Fraction(finite("mass", kg, above=None, upto=1e12)) / kind.by_name[unit].factor
    number = significant(exact, figures or 12)
    plural = "s" if unit.endswith("ton") and number not in ("1", "-1") else ""
    return f"{number} {unit}{plural}"


def write_temperature(degC: float, unit: str = "F") -> str:
    """Write a temperature to a tenth of a degree, whole where it is whole: `2150 °F`.

    Raises:
        OutOfRange: the temperature is no finite number.
        UnknownName: the unit is not F or C.
    """
    if unit not in ("F", "C"):
        raise UnknownName(f"There is no unit of temperature called {unit!r}.")
    exact = Fraction(finite("temperature", degC, above=None, upto=1e9))
    value = exact * Fraction(9, 5) + 32 if unit == "F" else exact
    return f"{decimal(value, places=1, figures=1)} °{unit}"
