"""Lays a Working out as words for a sheet, in the units of an engine."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.safestring import mark_safe

from ..documents.svg.lettering import money, set_measure
from ..trade.measures import Units, show
from ..trade.working import Origin, Working


def _set(value, unit: str, units: Units, figures: int = 4) -> str:
    if len(unit) == 3 and unit.isupper() and not isinstance(value, str):
        return money(value, unit)  # a currency, by its letters
    number, name = show(value, unit, units, figures)
    return mark_safe(str(set_measure(f"{number} {name}".strip())))


def _other(units: Units) -> Units:
    """The units of the other system, for those who think in them."""
    return Units.metric() if units.length == "in" else Units.customary()


@dataclass(frozen=True)
class GivenLine:
    letter: str
    name: str
    shown: str
    origin: str
    source: str
    on_trust: bool


@dataclass(frozen=True)
class WorkingSheet:
    """A Working in words: what the template puts down."""

    name: str
    answer: str
    also: str
    verdict: str
    refused: bool
    formula: str
    figures: str
    givens: tuple[GivenLine, ...]
    source: str
    interval: str
    low: str
    high: str
    cautions: tuple
    limits: str
    parts: tuple[Working, ...]


def lay_out(w: Working, units: Units) -> WorkingSheet:
    """Return a Working as words, its figures in `units` and the answer in the other ones too."""
    answer = _set(w.value, w.unit, units) if w.value is not None else ""
    also = _set(w.value, w.unit, _other(units)) if w.value is not None else ""
    givens = tuple(
        GivenLine(
            given.letter,
            given.name,
            # Masses are added up: with more figures than the sum, so that they come to it.
            _set(given.value, given.unit, units, 6 if given.unit == "kg" else 4),
            given.origin.capitalize(),
            given.source,
            given.origin is Origin.ASSUMED,
        )
        for given in w.givens
    )
    stated = w.low is not None and w.high is not None
    return WorkingSheet(
        w.name,
        answer,
        also if also != answer else "",
        w.verdict,
        w.refused,
        w.formula,
        w.figures,
        givens,
        w.source,
        w.interval,
        _set(w.low, w.unit, units) if stated else "",
        _set(w.high, w.unit, units) if stated else "",
        w.cautions,
        w.limits,
        w.parts,
    )
