"""Sentences whose quantities are written in the units of whoever reads them.

Quantities are set into a sentence as values:

    words = f"Worn out at about {amount(worn_mm, 'mm')}."

`Calculation`, `Input`, `Caution` and every `EngineeringError` turn such text into a `Sentence`,
which reads in metric units; `in_units` writes it in any others.
"""

from __future__ import annotations

import re

from .showing import Units, show, show_within

_NUMBER = r"-?(?:\d+(?:\.\d+)?(?:e[+-]?\d+)?|nan|inf)"
OPENS, CLOSES = "\u27e6", "\u27e7"  # round a quantity: signs that nobody writes
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
    """Return a quantity to be set into a sentence.

    Args:
        value: In `unit`, one of `showing.KNOWN`.
        figures: Significant figures.
        low, high: Ends of its interval, in `unit`: it is written no finer than they allow.

    >>> str(sentence(f"Worn out at {amount(2.54, 'mm')}."))
    'Worn out at 2.54 mm.'
    """
    ends = ("", "") if low is None or high is None else (repr(float(low)), repr(float(high)))
    return f"{OPENS}{float(value)!r}|{unit}|{figures}|{'|'.join(ends)}{CLOSES}"


class Sentence(str):
    """Words with quantities: reads in metric units, and can be written in others."""

    words: str

    def __new__(cls, words: str) -> Sentence:
        made = super().__new__(cls, _written(words, Units.metric()))
        made.words = words
        return made

    def __str__(self) -> str:
        return self

    def __add__(self, other: str) -> Sentence:
        return Sentence(self.words + _words(other))

    def __radd__(self, other: str) -> Sentence:
        return Sentence(_words(other) + self.words)


def _words(text: str) -> str:
    return text.words if isinstance(text, Sentence) else text


def sentence(text: str) -> str:
    """Return words as a Sentence where quantities are set into them, else as they are."""
    return Sentence(text) if OPENS in text else text


def joined(texts, between: str = " ") -> str:
    """Return several texts as one; what is empty is left out."""
    return sentence(between.join(_words(text) for text in texts if text))


def in_units(text: object, units: Units) -> str:
    """Return words, or the message of an error, with their quantities in these units.

    >>> in_units(sentence(f"Worn out at {amount(25.4, 'mm')}."), Units.customary())
    'Worn out at 1 in.'
    """
    return _written(_words(str(text)), units)


def _written(words: str, units: Units) -> str:
    def write(found: re.Match) -> str:
        value, unit, figures, low, high = found.groups()
        if low:
            number, _, _, name = show_within(float(value), float(low), float(high), unit, units)
        else:
            number, name = show(float(value), unit, units, int(figures))
        return number + name if name in ("°", "") else f"{number} {name}"

    return _AMOUNT.sub(write, words)
