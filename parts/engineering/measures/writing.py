"""Writes a measure for people. Import from `measures`."""

from fractions import Fraction

from ..constants import MM_PER_IN
from ..errors import OutOfRange, UnknownName, finite
from ..showing import decimal, significant
from .kinds import LENGTH, mass_kind

_COMMON_UNITS = {"mass": ("lb", "kg"), "length": ("in", "mm")}
_NOISE_IN = Fraction(1, 10**7)  # a float this near to a fraction of an inch counts as one


def _inches(inches: Fraction, finest: int) -> str:
    """Write inches as a mixed number of 1/finest, or else as a decimal."""
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
    same length within that rounding (never finer than 1e-7 in), a printed fraction exactly. A
    negative length (a difference) prints with a minus and does not read back.

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
    if not rest:
        return f"{feet} ft"
    nought = "0 " if rest < 1 and rest == nearest - feet * 12 else ""
    return f"{feet} ft {nought}{_inches(rest, finest)} in"


def write_mass(kg: float, unit: str = "lb", ton: str = "long", figures: int | None = 3) -> str:
    """Write a mass for people, with its unit, to `figures` significant figures (None: twelve).

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


def write_again(quantity: str, value: float, unit: str, ton: str = "long") -> str:
    """Write a mass or length whose original text is not known, so that it reads back the same.

    In `unit` where the figure is short there, else in the first common unit where it is.

    Args:
        quantity: "mass" or "length".
        value: In kg or mm.
        unit: The unit it was likely written in.
        ton: Which ton is meant.

    >>> write_again("mass", 19.95806428, "lb"), write_again("mass", 20, "lb")
    ('44 lb', '20 kg')
    >>> write_again("length", 26.590625, "mm"), write_again("length", 7 / 3, "in")
    ('1 3/64 in', '2.3333333333333335 mm')
    """
    kind = mass_kind(ton) if quantity == "mass" else LENGTH
    for other in dict.fromkeys((unit, *_COMMON_UNITS[quantity])):
        figure = Fraction(value) / kind.by_name[other].factor
        noise = abs(figure) / 10**9
        if other == "in" and abs(figure - Fraction(round(figure * 64), 64)) <= noise:
            return write_length(value)
        text = significant(figure, 6)
        if abs(Fraction(text) - figure) <= noise:
            return f"{text} {other}"
    return f"{value!r} {_COMMON_UNITS[quantity][-1]}"


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
    return f"{decimal(value, places=1, figures=0)} °{unit}"
