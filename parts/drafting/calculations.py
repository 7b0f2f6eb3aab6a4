"""Lays a Calculation out as words for a sheet, in the units of an engine."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.safestring import mark_safe

from parts.engineering.calculation import Calculation, Origin
from parts.engineering.measures import Units, show
from parts.engineering.sentences import Sentence, in_units
from parts.engineering.showing import same_for_all, show_within

from .lettering import money, set_measure


def _currency(unit: str) -> bool:
    """Money goes by the letters of its currency."""
    return len(unit) == 3 and unit.isupper()


def _measure(number: str, name: str) -> str:
    return mark_safe(str(set_measure(f"{number} {name}".strip())))


def _set(value, unit: str, units: Units, figures: int = 4) -> str:
    if _currency(unit) and not isinstance(value, str):
        return money(value, unit)
    return _measure(*show(value, unit, units, figures))


def _other(units: Units) -> Units:
    """The units of the other system, for those who think in them."""
    return Units.metric() if units.length == "in" else Units.customary()


@dataclass(frozen=True)
class InputLine:
    letter: str
    name: str
    shown: str
    origin: str
    source: str
    on_trust: bool


@dataclass(frozen=True)
class CalculationSheet:
    """A Calculation in words: what the template puts down."""

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


def answer(w: Calculation, units: Units) -> tuple[str, str, str]:
    """Return answer, low and high, with the digits that the interval supports."""
    if w.value is None:
        return "", "", ""
    if _currency(w.unit) or w.low is None or w.high is None or w.low >= w.high:
        low, high = (_set(end, w.unit, units) if end is not None else "" for end in (w.low, w.high))
        return _set(w.value, w.unit, units), low, high
    *texts, name = show_within(w.value, w.low, w.high, w.unit, units)
    return tuple(_measure(text, name) for text in texts)


def _may_show(w: Calculation, units: Units) -> bool:
    """Figures that no quantities were set into are in metric units, where they have any."""
    if isinstance(w.figures, Sentence) or (units.length == "mm" and units.mass == "kg"):
        return True
    used = {w.unit, *(g.unit for g in w.inputs if not isinstance(g.value, str))}
    return all(same_for_all(unit) or _currency(unit) for unit in used)


def lay_out(w: Calculation, units: Units) -> CalculationSheet:
    """Return a Calculation in words: figures in `units`, the answer in the other units too."""
    shown, low, high = answer(w, units)
    also = answer(w, _other(units))[0]

    def say(text: str) -> str:
        return in_units(text, units)

    inputs = tuple(
        InputLine(
            given.letter,
            say(given.name),
            # Masses are added up: with more figures than the sum, so that they come to it.
            _set(given.value, given.unit, units, 6 if given.unit == "kg" else 4),
            given.origin.capitalize(),
            say(given.source),
            given.origin is Origin.ASSUMED,
        )
        for given in w.inputs
    )
    stated = w.low is not None and w.high is not None
    figures = say(w.figures)
    return CalculationSheet(
        say(w.name),
        shown,
        also if also != shown else "",
        say(w.verdict),
        w.refused,
        say(w.formula),
        figures if _may_show(w, units) else "",
        inputs,
        say(w.source),
        say(w.interval),
        low if stated else "",
        high if stated else "",
        w.cautions,
        say(w.limits),
        w.parts,
    )
