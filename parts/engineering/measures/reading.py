"""Reads a measure as people write it. Import from `measures`."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from ..errors import EngineeringError

LONGEST = 80
SPACES = " \t\u00a0\u2007\u2009\u202f"
VULGAR = {
    "¼": (1, 4),
    "½": (1, 2),
    "¾": (3, 4),
    "⅐": (1, 7),
    "⅑": (1, 9),
    "⅒": (1, 10),
    "⅓": (1, 3),
    "⅔": (2, 3),
    "⅕": (1, 5),
    "⅖": (2, 5),
    "⅗": (3, 5),
    "⅘": (4, 5),
    "⅙": (1, 6),
    "⅚": (5, 6),
    "⅛": (1, 8),
    "⅜": (3, 8),
    "⅝": (5, 8),
    "⅞": (7, 8),
}
_GAP = f"[{SPACES}]*"
_NUMBER = re.compile(r"[0-9][0-9,]*(?:\.[0-9]*)?|\.[0-9]+")
_GROUPED = re.compile(r"[1-9][0-9]{0,2}(?:,[0-9]{3})+(?:\.[0-9]+)?")
_OVER = re.compile(rf"{_GAP}[/⁄]{_GAP}([0-9]*)")
_MIXED = re.compile(rf"(?:{_GAP}|[-‐‑–])(?:([0-9]+){_GAP}[/⁄]{_GAP}([0-9]+)|([{''.join(VULGAR)}]))")
_RANGE = re.compile(r"(?:-|–|—|‐|‑|\.\.|…|to\b|or\b|bis\b)", re.IGNORECASE)
_TIMES = re.compile(r"(?:×|\*|x(?![a-z])|by\b)", re.IGNORECASE)


def whole(text: str | None, digits: int = 18) -> int | None:
    """Read a whole number in plain figures; None where it is none, or longer than `digits`.

    18 figures fit the widest whole number of any database.

    >>> whole("12"), whole("²"), whole("\u0663"), whole("-1"), whole("9" * 19)
    (12, None, None, None, None)
    """
    return int(text) if text and re.fullmatch(rf"[0-9]{{1,{digits}}}", text) else None


class MeasureError(EngineeringError):
    """A measure that cannot be read. The message names the place and shows an example.

    Args:
        message: A whole sentence.
        place: Where in the text reading failed, counted from 0.
        example: A measure of the same kind that can be read.
    """

    def __init__(self, message: str, place: int = 0, example: str = ""):
        super().__init__(message)
        self.place = place
        self.example = example


@dataclass(frozen=True)
class Unit:
    """A unit of measure: canonical short name, factor to the stored unit, and its family.

    Units of one family may follow each other in one measure, the larger first ("3 ft 6 in").
    """

    name: str
    factor: Fraction
    family: str = ""
    aliases: tuple[str, ...] = ()


@dataclass(frozen=True)
class Kind:
    """A kind of measure that people write: its units, limits and examples.

    Args:
        word: What it is called in a sentence ("length").
        units: The units known.
        examples: Two examples, shown when reading fails.
        upto: The most that can be, in the stored unit, and `most` in words.
        signed: True when it may be less than nothing.
    """

    word: str
    units: tuple[Unit, ...]
    examples: tuple[str, ...]
    upto: Fraction
    most: str
    signed: bool = False

    @cached_property
    def by_name(self) -> dict[str, Unit]:
        return {unit.name: unit for unit in self.units}

    @cached_property
    def by_alias(self) -> dict[str, Unit]:
        return {
            alias.replace(" ", "").lower(): unit
            for unit in self.units
            for alias in (unit.name, *unit.aliases)
        }

    @cached_property
    def pattern(self) -> re.Pattern[str]:
        names = {alias for unit in self.units for alias in (unit.name, *unit.aliases)}
        options = []
        for name in sorted(names, key=len, reverse=True):
            option = _GAP.join(re.escape(piece) for piece in name.split(" "))
            # A name in letters may end in a full stop, and no letter may follow it.
            options.append(option + r"(?![A-Za-z])\.?" if name[-1].isalpha() else option)
        return re.compile("|".join(options), re.IGNORECASE | re.ASCII)


@dataclass(frozen=True)
class Term:
    """One number of a measure with its unit (None when none was written)."""

    number: Fraction
    unit: Unit | None
    place: int


class Reader:
    """Reads one text as one kind of measure."""

    def __init__(self, text: str, kind: Kind):
        self.text = text
        self.kind = kind
        self.position = 0

    def error(self, place: int, why: str) -> MeasureError:
        excerpt = "".join(sign if sign.isprintable() else "?" for sign in self.text.strip())
        excerpt = excerpt if len(excerpt) <= 40 else excerpt[:39] + "…"
        examples = " or ".join(self.kind.examples)
        where = f' at sign {place + 1} of "{excerpt}"' if excerpt else ""
        return MeasureError(
            f"This {self.kind.word} cannot be read{where}: {why}. Enter it like {examples}.",
            place,
            self.kind.examples[0],
        )

    @property
    def ended(self) -> bool:
        return self.position >= len(self.text)

    def skip(self) -> None:
        while not self.ended and self.text[self.position] in SPACES:
            self.position += 1

    def terms(self) -> tuple[int, list[Term]]:
        """Return the sign (1 or -1) and the terms in the order written."""
        if len(self.text) > LONGEST:
            raise self.error(LONGEST, f"it is longer than {LONGEST} signs")
        self.text = self.text.rstrip()
        self.position = len(self.text) - len(self.text.lstrip())
        if self.ended:
            raise MeasureError(
                f"No {self.kind.word} is written. Enter it like {' or '.join(self.kind.examples)}.",
                0,
                self.kind.examples[0],
            )
        sign = self.sign()
        terms = [self.term()]
        while not self.ended:
            self.skip_joint(terms[-1])
            terms.append(self.term())
            self.check_units(terms)
        return sign, terms

    def sign(self) -> int:
        mark = self.text[self.position]
        if mark not in "-−–+":
            return 1
        if not self.kind.signed:
            raise self.error(self.position, f"a {self.kind.word} takes no sign before it")
        self.position += 1
        self.skip()
        return 1 if mark == "+" else -1

    def term(self) -> Term:
        place = self.position
        number = self.number()
        self.skip()
        match = self.kind.pattern.match(self.text, self.position)
        if not match:
            self.reject_rest()
            return Term(number, None, place)
        self.position = match.end()
        alias = match.group().lower().rstrip(".")
        for space in SPACES:
            alias = alias.replace(space, "")
        self.skip()
        return Term(number, self.kind.by_alias[alias], place)

    def reject_rest(self) -> None:
        """Raise an error about what stands in place of a unit, unless the text has ended."""
        if self.ended:
            return
        rest = self.text[self.position :]
        if rest[0] in "0123456789." or rest[0] in VULGAR:
            raise self.error(self.position, "two numbers stand side by side without a unit between")
        self.reject_range()
        word = re.match(r"[^\W\d_]+|.", rest, re.DOTALL).group()
        if not word.isprintable():
            word = "?"
        raise self.error(self.position, f'"{word}" is no unit of {self.kind.word}')

    def reject_range(self) -> None:
        rest = self.text[self.position :]
        if rest[0] == "±" or rest.startswith("+"):
            raise self.error(
                self.position, "give the size alone, and how sure it is in its own place"
            )
        if _RANGE.match(rest):
            raise self.error(self.position, "give one size, not a range")
        if _TIMES.match(rest):
            raise self.error(self.position, "give one size at a time")

    def skip_joint(self, before: Term) -> None:
        """Skip what joins two terms: nothing, or the hyphen of 3'-6"."""
        if self.text[self.position] in "-‐‑–" and before.unit and before.unit.name == "ft":
            self.position += 1
            self.skip()
            if self.ended:
                raise self.error(self.position - 1, "nothing follows the hyphen")
        elif (
            self.text[self.position] not in "0123456789." and self.text[self.position] not in VULGAR
        ):
            self.reject_range()
            raise self.error(self.position, "nothing more was expected here")

    def check_units(self, terms: list[Term]) -> None:
        """Check that the last term may follow the one before it."""
        before, last = terms[-2], terms[-1]
        if last.unit is None and before.unit and before.unit.name == "ft":
            last = terms[-1] = Term(last.number, self.kind.by_name["in"], last.place)
        if last.unit is None or before.unit is None:
            raise self.error(last.place, "this number has no unit")
        related = last.unit.family and last.unit.family == before.unit.family
        if not related or last.unit.factor >= before.unit.factor:
            raise self.error(
                last.place, f"{last.unit.name} cannot follow {before.unit.name} in one measure"
            )
        if before.number.denominator != 1:
            raise self.error(before.place, "only the last number may have a fraction")

    def number(self) -> Fraction:
        """Read a whole number, fraction, mixed number or decimal."""
        place = self.position
        if not self.ended and self.text[place] in VULGAR:
            self.position += 1
            return Fraction(*VULGAR[self.text[place]])
        match = _NUMBER.match(self.text, place)
        if not match:
            raise self.error(min(place, len(self.text) - 1), "a number was expected")
        digits = match.group()
        self.position = match.end()
        if "," in digits:
            digits = self.without_commas(digits, place)
        if "." in digits:
            return Fraction(digits if digits[-1] != "." else digits[:-1])
        whole = Fraction(int(digits))
        fraction = _OVER.match(self.text, self.position)
        if fraction:
            return self.fraction(whole, fraction)
        mixed = _MIXED.match(self.text, self.position)
        if not mixed:
            return whole
        top, bottom, mark = mixed.groups()
        if mark is None and int(bottom) == 0:
            raise self.error(mixed.start(2), "nothing can be divided by nought")
        part = Fraction(*VULGAR[mark]) if mark else Fraction(int(top), int(bottom))
        if part >= 1:
            raise self.error(mixed.start(1), "a fraction after a whole number must be less than 1")
        self.position = mixed.end()
        return whole + part

    def fraction(self, top: Fraction, match: re.Match[str]) -> Fraction:
        if not match.group(1):
            raise self.error(min(match.end(), len(self.text) - 1), "the fraction has no lower part")
        if int(match.group(1)) == 0:
            raise self.error(match.start(1), "nothing can be divided by nought")
        self.position = match.end()
        return top / int(match.group(1))

    def without_commas(self, digits: str, place: int) -> str:
        if not _GROUPED.fullmatch(digits):
            raise self.error(
                place + digits.index(","),
                "a comma parts thousands, with three figures after it; "
                "write a full stop for decimals",
            )
        return digits.replace(",", "")
