"""Measures as people write them, and figures in the units people use.

Lengths are stored in mm, masses in kg, temperatures in degC, beside the text as written.
Arithmetic is exact (Fractions) until the last step. Import from here, not from `reading`,
`writing` or `showing`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from math import atan, degrees, radians, tan

from ..constants import KPA_PER_ATM, MM_PER_IN
from ..errors import UnknownName, finite
from ..sentences import amount
from ..showing import Units, show
from .kinds import (
    ABSOLUTE_ZERO_C,
    ANGLE,
    FORCE,
    LENGTH,
    POWER,
    PRESSURE,
    TEMPERATURE,
    THREAD,
    TORQUE,
    mass_kind,
)
from .reading import Kind, MeasureError, Reader
from .writing import write_again, write_length, write_mass, write_temperature

__all__ = [
    "Measure",
    "MeasureError",
    "Units",
    "angle_from_taper",
    "pitch_mm",
    "read_angle",
    "read_exhaust",
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
    "write_again",
    "write_length",
    "write_mass",
    "write_temperature",
]


@dataclass(frozen=True)
class Measure:
    """A measure as it was written, and its value.

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
            f"This {kind.word} is no text. Enter it like {kind.examples[0]}.", 0, kind.examples[0]
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
    """Read a pressure, in kPa. The field decides whether it is gauge or absolute."""
    return _read(text, PRESSURE, default)


_VACUUM = re.compile(r"^(.*?)\s*\(?(?:of\s+)?(?:vacuum|vac\.?|below(?: the air)?)\)?$", re.I | re.S)
_ABSOLUTE = re.compile(r"^(.*?)\s*\(?(?:absolute|abs\.?)\)?$", re.I | re.S)
_INCHES = re.compile(r"\s*(?:inches|inch|ins?\.?|\"|″)$", re.I)


def read_exhaust(text: str, default: str = "psi") -> Measure:
    """Read the pressure that an engine exhausts against, as gauge pressure in kPa.

    Args:
        text: `2 psi` or `0.1 bar` (gauge), `26 inHg vacuum` or `26 in vacuum` (below the air: a
            negative value), `2 psi absolute` or `2 psia`.
        default: The unit when none is written; of a vacuum it is inches of mercury.

    Raises:
        MeasureError: it cannot be read, or the absolute pressure is not above 0.

    >>> round(read_exhaust("26 inHg vacuum").value, 2), round(read_exhaust("2 psi").value, 2)
    (-88.05, 13.79)
    """
    air = float(KPA_PER_ATM)
    written = text.strip()
    if vacuum := _VACUUM.match(written):
        number_text = _INCHES.sub(" inHg", vacuum[1])
        measure = read_pressure(number_text, default="inHg" if default == "psi" else default)
        gauge = -measure.value
    elif absolute := _ABSOLUTE.match(re.sub("psia$", "psi absolute", written, flags=re.I)):
        measure = read_pressure(absolute[1], default=default)
        gauge = measure.value - air
    else:
        measure = read_pressure(written, default=default)
        gauge = measure.value
    if gauge <= -air:
        raise MeasureError(
            f"No exhaust is emptier than empty: {amount(air, 'kPa')} of vacuum would be all of the "
            "air. Enter it like 26 inHg vacuum.",
            0,
            "26 inHg vacuum",
        )
    return Measure(written, measure.unit, gauge)


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
    """Return the pitch [mm] for a count of threads per inch. Raises OutOfRange."""
    return 25.4 / finite("count of threads per inch", threads_per_in, upto=1000)


def threads_per_inch(pitch: float) -> float:
    """Return the threads per inch of a pitch [mm]. Raises OutOfRange."""
    return 25.4 / finite("pitch", pitch, "mm", upto=1000)


def angle_from_taper(taper_in_per_ft: float) -> float:
    """Return the angle [deg] of a taper in inches per foot.

    >>> round(angle_from_taper(1 / 8), 3)
    0.597
    """
    return degrees(atan(finite("taper", taper_in_per_ft, above=None) / 12))


def taper_from_angle(angle_deg: float) -> float:
    """Return the taper [inches per foot] of a face at `angle_deg` to the draw, under 90 deg."""
    return 12 * tan(radians(finite("angle", angle_deg, "deg", above=-90, upto=89.999)))
