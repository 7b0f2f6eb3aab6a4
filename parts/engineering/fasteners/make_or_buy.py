"""Make a lot of fasteners or buy them: the cost of each, and the break-even number.

Money in the unit of the prices, times in minutes. Making costs its setting up once and its time
and bar for each piece; buying costs its carriage once and its price for each, with a least order.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..calculation import Calculation, Caution, Input, Origin
from ..errors import OutOfRange, finite
from ..figures import sig

SOURCE = "common practice, no source: fixed cost and cost of each, compared"
DEFER = Caution(
    "Price is not strength.",
    "A bolt that holds pressure, a flywheel or a load is chosen by a competent engineer first, "
    "and by its price last.",
)


@dataclass(frozen=True)
class Making:
    """The cost of making.

    Args:
        setting: Cost of setting up, once for the lot.
        each: Cost of the time for one piece.
        bar: Cost of the bar for one piece; None when no bar is priced, then it is not counted.
    """

    setting: float
    each: float
    bar: float | None = None

    @property
    def piece(self) -> float:
        """The cost of one more piece."""
        return self.each + (self.bar or 0.0)

    def cost(self, pieces: int) -> float:
        return self.setting + self.piece * pieces if pieces else 0.0


@dataclass(frozen=True)
class Buying:
    """The cost of buying: carriage once, a price for each piece, and no fewer than `least`."""

    carriage: float
    each: float
    least: int = 1

    def ordered(self, pieces: int) -> int:
        """Return how many have to be ordered for so many pieces."""
        return max(pieces, self.least) if pieces else 0

    def cost(self, pieces: int) -> float:
        return self.carriage + self.each * self.ordered(pieces) if pieces else 0.0


def making(
    minutes_setting: float, minutes_each: float, rate: float, bar: float | None = None
) -> Making:
    """Return the cost of making, from its times [min] and the cost of an hour at the bench.

    Raises:
        OutOfRange: a time, a rate or a price that cannot be.
    """
    setting = finite("minutes to set up", minutes_setting, least=0.0, upto=100_000)
    each = finite("minutes to make one", minutes_each, least=0.0, upto=100_000)
    hour = finite("cost of an hour", rate, least=0.0, upto=1e6)
    if bar is not None:
        bar = finite("bar for one", bar, least=0.0, upto=1e9)
    return Making(setting / 60 * hour, each / 60 * hour, bar)


def _count(pieces: int) -> int:
    if pieces != int(pieces) or not 1 <= pieces <= 1_000_000:
        raise OutOfRange(f"How many? {pieces!r} pieces cannot be made or bought.")
    return int(pieces)


def making_cost(
    pieces: int,
    minutes_setting: float,
    minutes_each: float,
    rate: float,
    bar: float | None = None,
    *,
    bar_from: str = "",
    money: str = "",
) -> Calculation:
    """Cost of making a lot: (set + n × t) ÷ 60 × r + n × b.

    Args:
        pieces: How many.
        minutes_setting, minutes_each: Setting up once, and making one. [min]
        rate: What an hour at the bench costs.
        bar: What the bar for one costs; None when no bar is priced.
        bar_from: The bar, in words.
        money: Letters of the currency.

    Raises:
        OutOfRange: a count, a time or a price that cannot be.

    >>> making_cost(10, 20, 12, 30, 1.5).value
    85.0
    """
    n = _count(pieces)
    cost = making(minutes_setting, minutes_each, rate, bar)
    value = cost.cost(n)
    hours = (minutes_setting + n * minutes_each) / 60
    inputs = [
        Input("s", "Minutes to set up", float(minutes_setting), "", Origin.ENTERED),
        Input("n", "How many", float(n), "", Origin.CALCULATED),
        Input("t", "Minutes to make one", float(minutes_each), "", Origin.ENTERED),
        Input("r", "An hour at the bench", float(rate), money, Origin.ENTERED, "the engine's data"),
    ]
    with_bar = bar is not None
    if with_bar:
        inputs.append(Input("b", "Bar for one", float(bar), money, Origin.CALCULATED, bar_from))
    return Calculation(
        "Cost to make them",
        value,
        money,
        "(s + n × t) ÷ 60 × r" + (" + n × b" if with_bar else ""),
        f"({sig(minutes_setting)} + {n} × {sig(minutes_each)}) ÷ 60 × {sig(float(rate), 6)}"
        + (f" + {n} × {sig(float(bar), 5)}" if with_bar else "")
        + f" = {sig(value, 6)}",
        tuple(inputs),
        "common practice, no source",
        verdict=f"{sig(hours, 3)} hours at the bench for {n}."
        + ("" if with_bar else " No bar of that size is priced: the metal is not counted."),
        limits="Tools worn out, dies to buy and pieces spoilt are not counted.",
    )


def buying_cost(
    pieces: int,
    each: float,
    carriage: float = 0.0,
    least: int = 1,
    *,
    quoted: str = "",
    money: str = "",
) -> Calculation:
    """Cost of buying a lot: c + e × max(n, m).

    Args:
        pieces: How many are wanted.
        each, carriage: Price of one, and of the carriage for all.
        least: The least that can be ordered.
        quoted: Who quoted it, and when.
        money: Letters of the currency.

    Raises:
        OutOfRange: a count or a price that cannot be.

    >>> buying_cost(6, 4, 10, 10).value
    50.0
    """
    n, m = _count(pieces), _count(least)
    price = finite("price of one", each, least=0.0, upto=1e9)
    on_top = finite("carriage", carriage, least=0.0, upto=1e9)
    buying = Buying(on_top, price, m)
    value, ordered = buying.cost(n), buying.ordered(n)
    return Calculation(
        "Cost to buy them",
        value,
        money,
        "c + e × max(n, m)",
        f"{sig(on_top, 6)} + {sig(price, 6)} × {ordered} = {sig(value, 6)}",
        (
            Input("c", "Carriage", on_top, money, Origin.ENTERED, quoted),
            Input("e", "Price of one", price, money, Origin.ENTERED, quoted),
            Input("n", "How many", float(n), "", Origin.CALCULATED),
            Input("m", "Least order", float(m), "", Origin.ENTERED, quoted),
        ),
        "common practice, no source",
        verdict=f"{ordered} have to be ordered: {ordered - n} more than wanted."
        if ordered > n
        else "",
        limits="A price asked holds as long as the supplier says.",
    )


def turning_points(make: Making, buy: Buying, most: int = 100_000) -> list[tuple[int, str]]:
    """Return the numbers of pieces from which making or buying is the cheaper, smallest first.

    [(1, "make"), (12, "buy")] means that up to 11 are cheaper made. A tie goes to making. Both
    costs are straight lines on either side of the least order, so the choice can change only where
    the lines cross or at the least order itself.

    >>> turning_points(Making(15.0, 6.0, 1.5), Buying(10.0, 9.0))
    [(1, 'buy'), (4, 'make')]
    """
    marks = {1, buy.least, buy.least + 1}
    for fixed, slope in (
        (buy.carriage + buy.each * buy.least, 0.0),
        (buy.carriage, buy.each),
    ):
        rise = make.piece - slope
        if abs(rise) > 1e-12:
            at = (fixed - make.setting) / rise
            if 0 < at < most:
                marks |= {math.floor(at), math.floor(at) + 1, math.ceil(at) + 1}
    turns: list[tuple[int, str]] = []
    for n in sorted(mark for mark in marks if 1 <= mark <= most):
        cheaper = "make" if make.cost(n) <= buy.cost(n) + 1e-9 else "buy"
        if not turns or turns[-1][1] != cheaper:
            turns.append((n, cheaper))
    return turns


def break_even(pieces: int, make: Making, buy: Buying, *, money: str = "") -> Calculation:
    """Number of pieces at which making and buying cost the same; the verdict compares `pieces`.

    A least order can make the choice change more than once: then the value is the change nearest
    to `pieces`, and the verdict names all. Where it never changes there is no value.
    """
    n = _count(pieces)
    turns = turning_points(make, buy)
    later = [at for at, _ in turns[1:]]
    value = float(min(later, key=lambda at: abs(at - n))) if later else None
    steps = []
    for i, (at, way) in enumerate(turns):
        upto = turns[i + 1][0] - 1 if i + 1 < len(turns) else None
        span = (
            f"from {at} on"
            if upto is None
            else f"up to {upto}"
            if at == 1
            else f"from {at} to {upto}"
        )
        steps.append(f"{span} {way} them" if later else f"{way} them, however many")
    a, b = make.cost(n), buy.cost(n)
    cheaper, less = ("Making", b - a) if a <= b else ("Buying", a - b)
    return Calculation(
        "Break-even number",
        value,
        "",
        "n where s + n × (t + b) = c + e × max(n, m)",
        f"{sig(make.setting, 6)} + n × {sig(make.piece, 6)} = {sig(buy.carriage, 6)} + "
        f"{sig(buy.each, 6)} × max(n, {buy.least})",
        (
            Input("s", "Setting up, once", make.setting, money, Origin.CALCULATED),
            Input("t + b", "Time and bar for one", make.piece, money, Origin.CALCULATED),
            Input("c", "Carriage, once", buy.carriage, money, Origin.ENTERED),
            Input("e", "Price of one", buy.each, money, Origin.ENTERED),
            Input("m", "Least order", float(buy.least), "", Origin.ENTERED),
        ),
        SOURCE,
        verdict=f"{'; '.join(steps).capitalize()}. For {n}: "
        + (
            "both cost alike."
            if less < 0.005
            else f"{cheaper.lower()} is cheaper by {less:.2f}{f' {money}' if money else ''}."
        )
        + (" The bar is not counted, for want of a price." if make.bar is None else ""),
        cautions=(DEFER,),
        limits="Whose evenings they are, and how long the post takes, is not in it.",
    )
