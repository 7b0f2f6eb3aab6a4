"""Sentences whose quantities can be written in the units of the reader.

Quantities are set into a sentence as values:

    words = f"Worn out at about {amount(worn_mm, 'mm')}."

`Calculation`, `Input`, `Caution` and every `EngineeringError` turn such text into a `Sentence`,
which reads in metric units; `in_units` writes it in any others.
"""

from __future__ import annotations

import re

from .showing import Units, show, show_within

_NUMBER = r"-?(?:\d+(?:\.\d+)?(?:e[+-]?\d+)?|nan|inf)"
OPENS, CLOSES = "\u27e6", "\u27e7"  # mark a quantity: characters that nobody types
_AMOUNT = re.compile(
    rf"{OPENS}({_NUMBER})\|([^|{CLOSES}]*)\|(\d+)\|((?:{_NUMBER})?)\|((?:{_NUMBER})?){CLOSES}"
)


def amount(
    value: float | str,
    unit: str,
    figures: int = 4,
    *,
    low: float | None = None,
    high: float | None = None,
) -> str:
    """Return a quantity as markup for a sentence.

    Args:
        value: In `unit`, one of `showing.KNOWN`.
        figures: Significant figures.
        low, high: Ends of its interval, in `unit`: they limit the digits that are written.

    >>> str(sentence(f"Worn out at {amount(2.54, 'mm')}."))
    'Worn out at 2.54 mm.'
    """
    ends = ("", "") if low is None or high is None else (repr(float(low)), repr(float(high)))
    return f"{OPENS}{float(value)!r}|{unit}|{figures}|{'|'.join(ends)}{CLOSES}"


class Sentence(str):
    """Text with quantities: reads in metric units, and can be written in others."""

    words: str

    def __new__(cls, words: str) -> Sentence:
        text = super().__new__(cls, _written(words, Units.metric()))
        text.words = words
        return text

    def __str__(self) -> str:
        return self

    def __add__(self, other: str) -> Sentence:
        return Sentence(self.words + _words(other))

    def __radd__(self, other: str) -> Sentence:
        return Sentence(_words(other) + self.words)


def _words(text: str) -> str:
    return text.words if isinstance(text, Sentence) else text


def sentence(text: str) -> str:
    """Return a text as a Sentence where it has quantities, else as it is."""
    return Sentence(text) if OPENS in text else text


def joined(texts, between: str = " ") -> str:
    """Join texts into one, leaving out the empty ones."""
    return sentence(between.join(_words(text) for text in texts if text))


def in_units(text: object, units: Units) -> str:
    """Return a text, or the message of an error, with its quantities in these units.

    >>> in_units(sentence(f"Worn out at {amount(25.4, 'mm')}."), Units.customary())
    'Worn out at 1 in.'
    """
    return _written(_words(str(text)), units)


def _written(words: str, units: Units) -> str:
    def write(match: re.Match) -> str:
        value, unit, figures, low, high = match.groups()
        if low:
            number, _, _, name = show_within(float(value), float(low), float(high), unit, units)
        else:
            number, name = show(float(value), unit, units, int(figures))
        return number + name if name in ("°", "") else f"{number} {name}"

    return _AMOUNT.sub(write, words)
