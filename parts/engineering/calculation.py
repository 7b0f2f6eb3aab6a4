"""Calculations: figures that carry their inputs, formula, source and cautions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum

from .sentences import sentence


class Origin(StrEnum):
    """Where an input came from."""

    MEASURED = "measured"
    TABLE = "table"
    ASSUMED = "assumed"
    ENTERED = "entered"
    CALCULATED = "calculated"


def _as_sentences(instance, *names: str) -> None:
    """Turn the named texts into sentences, whose quantities can be written in other units."""
    for name in names:
        object.__setattr__(instance, name, sentence(getattr(instance, name)))


@dataclass(frozen=True)
class Input:
    """One input of a Calculation.

    Args:
        letter: The letter that stands for it in the formula ("L").
        name: What it is ("Finished length").
        value: Its value: a number in `unit`, or a word (a grade, a material).
        unit: The unit of a number, as written in `measures` ("mm", "kg", "degC", "" for none).
        origin: Where it came from; there is no default, so that it is never left to chance.
        source: The table, the person and date, or the reason for assuming it.
    """

    letter: str
    name: str
    value: float | str
    unit: str
    origin: Origin
    source: str = ""

    def __post_init__(self):
        _as_sentences(self, "name", "source")


@dataclass(frozen=True)
class Caution:
    """A hazard, shown beside the figure that it belongs to.

    Args:
        act: What to do, one sentence, shown first and bold.
        why: The reason, and which code or licensed practice it defers to.
    """

    act: str
    why: str = ""

    def __post_init__(self):
        _as_sentences(self, "act", "why")


@dataclass(frozen=True)
class Calculation:
    """A figure that people act on, with how it was reached.

    Args:
        name: What the figure is ("Pattern length").
        value: The answer, in `unit`; None when there is none and `verdict` says why.
        unit: The unit of the answer ("mm", "kg", "N", "degC", "").
        formula: The rule in letters a fitter reads: "(L + n × m) × (1 + c)".
        figures: The same rule with the numbers put in: "(444.5 + 2 × 3.0) × 1.01 = 455.0".
        inputs: The inputs, in the order of the formula.
        source: The published source of the rule, or "common practice, no source".
        low, high: The ends of an interval round the value, in `unit`, where one can be stated.
        interval: What the interval means ("from the limits of the contraction").
        verdict: The answer in words, where a figure alone would not do.
        refused: True when the figure is past its limit and must not be acted on.
        cautions: What can hurt.
        limits: What the rule does not cover.
        parts: Calculations that this one was built from.
    """

    name: str
    value: float | None
    unit: str
    formula: str
    figures: str = ""
    inputs: tuple[Input, ...] = ()
    source: str = "common practice, no source"
    low: float | None = None
    high: float | None = None
    interval: str = ""
    verdict: str = ""
    refused: bool = False
    cautions: tuple[Caution, ...] = ()
    limits: str = ""
    parts: tuple[Calculation, ...] = field(default=())

    def __post_init__(self):
        _as_sentences(self, "name", "formula", "figures", "source", "interval", "verdict", "limits")

    def with_origins(self, origins: Mapping[str, tuple[Origin, str]]) -> Calculation:
        """Return the calculation with other origins of its inputs.

        Args:
            origins: Letter of an input -> its origin and source. The same input of a Calculation
                that this one was built from changes too.
        """
        by_input = {
            (entry.letter, entry.name): origins[entry.letter]
            for entry in self.inputs
            if entry.letter in origins
        }
        return self._replace_origins(by_input)

    def _replace_origins(
        self, by_input: Mapping[tuple[str, str], tuple[Origin, str]]
    ) -> Calculation:
        inputs = []
        for entry in self.inputs:
            origin, source = by_input.get((entry.letter, entry.name), (entry.origin, entry.source))
            inputs.append(replace(entry, origin=origin, source=source))
        parts = tuple(part._replace_origins(by_input) for part in self.parts)
        return replace(self, inputs=tuple(inputs), parts=parts)


def value_of(figure: Calculation | float) -> float:
    """Return the value of a figure that is entered or calculated."""
    return figure.value if isinstance(figure, Calculation) else figure


def origin_of(figure: Calculation | float) -> Origin:
    """Return where a figure came from that is entered or calculated."""
    return Origin.CALCULATED if isinstance(figure, Calculation) else Origin.ENTERED
