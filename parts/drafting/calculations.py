"""Formats a Calculation for a page or sheet, in the units of an engine."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.safestring import mark_safe

from parts.engineering.calculation import Calculation, Origin
from parts.engineering.measures import Units, show
from parts.engineering.sentences import Sentence, in_units
from parts.engineering.showing import same_for_all, show_within

from .lettering import money, set_measure


def _currency(unit: str) -> bool:
    """Return whether a unit is a currency: its three capital letters."""
    return len(unit) == 3 and unit.isupper()


def _measure(number: str, name: str) -> str:
    return mark_safe(str(set_measure(f"{number} {name}".strip())))


def _set(value, unit: str, units: Units, figures: int = 4) -> str:
    if _currency(unit) and not isinstance(value, str):
        return money(value, unit)
    return _measure(*show(value, unit, units, figures))


def _other(units: Units) -> Units:
    """Return the units of the other system."""
    return Units.metric() if units.length == "in" else Units.customary()


@dataclass(frozen=True)
class InputLine:
    letter: str
    name: str
    value: str
    origin: str
    source: str
    assumed: bool


@dataclass(frozen=True)
class CalculationSheet:
    """The texts of a Calculation, as the template shows them."""

    name: str
    answer: str
    also: str
    verdict: str
    refused: bool
    formula: str
    figures: str
    inputs: tuple[InputLine, ...]
    source: str
    interval: str
    low: str
    high: str
    cautions: tuple
    limits: str
    parts: tuple[Calculation, ...]


def answer(calculation: Calculation, units: Units) -> tuple[str, str, str]:
    """Return answer, low and high, with the digits that the interval supports."""
    if calculation.value is None:
        return "", "", ""
    if (
        _currency(calculation.unit)
        or calculation.low is None
        or calculation.high is None
        or calculation.low >= calculation.high
    ):
        low, high = (
            _set(end, calculation.unit, units) if end is not None else ""
            for end in (calculation.low, calculation.high)
        )
        return _set(calculation.value, calculation.unit, units), low, high
    *texts, name = show_within(
        calculation.value, calculation.low, calculation.high, calculation.unit, units
    )
    return tuple(_measure(text, name) for text in texts)


def _may_show(calculation: Calculation, units: Units) -> bool:
    """Return whether the figures can be shown: without quantities as markup they are metric."""
    if isinstance(calculation.figures, Sentence) or (units.length == "mm" and units.mass == "kg"):
        return True
    units_used = {
        calculation.unit,
        *(entry.unit for entry in calculation.inputs if not isinstance(entry.value, str)),
    }
    return all(same_for_all(unit) or _currency(unit) for unit in units_used)


def lay_out(calculation: Calculation, units: Units) -> CalculationSheet:
    """Return the texts of a Calculation in `units`, with the answer in the other units too."""
    answer_text, low, high = answer(calculation, units)
    other_units = answer(calculation, _other(units))[0]

    def write(text: str) -> str:
        return in_units(text, units)

    inputs = tuple(
        InputLine(
            entry.letter,
            write(entry.name),
            # Masses are added up: six figures, so that they agree with their sum.
            _set(entry.value, entry.unit, units, 6 if entry.unit == "kg" else 4),
            entry.origin.capitalize(),
            write(entry.source),
            entry.origin is Origin.ASSUMED,
        )
        for entry in calculation.inputs
    )
    has_range = calculation.low is not None and calculation.high is not None
    figures = write(calculation.figures)
    return CalculationSheet(
        write(calculation.name),
        answer_text,
        other_units if other_units != answer_text else "",
        write(calculation.verdict),
        calculation.refused,
        write(calculation.formula),
        figures if _may_show(calculation, units) else "",
        inputs,
        write(calculation.source),
        write(calculation.interval),
        low if has_range else "",
        high if has_range else "",
        calculation.cautions,
        write(calculation.limits),
        calculation.parts,
    )
