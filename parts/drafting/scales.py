"""Scales: bars on a steel rule, ranges as dimension lines, the worth of an hour."""

from __future__ import annotations

from math import floor, log10

from . import pen
from .lettering import money, short_money
from .lines import STATES
from .lining import hatch, rectangle
from .pen import Markup, num


def nice_step(span: float, at_most: int = 6) -> float:
    """Return the step, 1, 2 or 5 times a power of ten, that divides a span into few enough.

    >>> nice_step(212), nice_step(60000), nice_step(0.7), nice_step(9)
    (50.0, 10000.0, 0.2, 2.0)
    """
    if span <= 0:
        return 1.0
    rough = span / at_most
    power = 10.0 ** floor(log10(rough))
    for factor in (1, 2, 5, 10):
        if factor * power >= rough * (1 - 1e-9):
            return round(factor * power, 10)
    return 10 * power


def nice_top(largest: float, at_most: int = 6) -> float:
    """Return the end of a scale, in whole steps, that includes `largest`.

    >>> nice_top(212), nice_top(55900), nice_top(0)
    (250.0, 60000.0, 1.0)
    """
    if largest <= 0:
        return 1.0
    step = nice_step(largest, at_most)
    whole = -(-largest // step)
    return round(whole * step, 10)


def figure(value: float) -> str:
    """Write a figure on a scale, with commas and without trailing zeros.

    >>> figure(1500.0), figure(0.25)
    ('1,500', '0.25')
    """
    return f"{value:,.6f}".rstrip("0").rstrip(".")


def rule(x: float, y: float, width: float, top: float, at_most: int, write=figure) -> Markup:
    """Return a steel rule: long ticks at the step, middle at half, short at the fifth or tenth.

    Args:
        x, y: The left end of its edge, px.
        width: Its length, px, for `top` units.
        top: The value at its right end.
        at_most: The most long ticks it may have.
        write: Function that formats the figure below a tick.
    """
    step = nice_step(top, at_most)
    # The finest division with at least 4 px between ticks.
    parts = next((p for p in (10, 5, 2) if step / p / top * width >= 4), 1)
    ticks, labels = [], []
    count = floor(top / step * parts + 1e-6) if top else 0
    for i in range(count + 1):
        at = x + i * step / parts / top * width
        if i % parts == 0:
            long = 10
            anchor = "start" if i == 0 else "end" if at > x + width - 8 else "middle"
            labels.append(
                pen.letters(at, y + 22, write(i * step / parts), 12, "ink2", anchor, css="tnum")
            )
        elif parts % 2 == 0 and i % (parts // 2) == 0:
            long = 7
        else:
            long = 4
        ticks.append(f"M{num(at)} {num(y)}V{num(y + long)}")
    edge = f"M{num(x)} {num(y)}H{num(x + width)}"
    return pen.group(pen.path(edge + "".join(ticks), 1.0), *labels)


def state_fill(state: str, x: float, y: float, width: float, height: float) -> Markup:
    """Return the fill of one state in a bar, distinct in ink alone."""
    outline = rectangle(x, y, width, height)
    box = pen.rect(x, y, width, height, "sheet", "ink", 1.2)
    mark = {
        "fitted": lambda: (
            pen.rect(x, y, width, height, "green", "ink", 1.2)
            + pen.path(f"M{num(x + 2)} {num(y + height / 2)}H{num(x + width - 2)}", 1.6, "sheet")
        ),
        "in_place": lambda: pen.rect(x, y, width, height, "ink", "ink", 1.2),
        "found": lambda: box,
        "being_made": lambda: box + hatch(outline, 4, 45),
        "to_be_made": lambda: box + hatch(outline, 3.4, 45, dashes=(1.3, 3.4), width=1.3),
        "beyond_repair": lambda: box + hatch(outline, 5, 45) + hatch(outline, 5, 135),
        "missing": lambda: box + hatch(outline, 8, 135),
    }[state]
    return Markup(mark())


def state_chip(state: str) -> Markup:
    """Return a small sample of the fill of a state, for beside its word."""
    return pen.sheet(22, 14, state_fill(state, 0.6, 0.6, 20.8, 12.8), css="swatch")


def state_bar(counts: dict[str, int], width: float = 354, title: str = "") -> Markup:
    """Return the bar of the states of the pieces, to scale.

    Args:
        counts: Pieces by state key; states that are left out have none.
        width: Its width, px.
        title: Said aloud; made from the counts when empty.
    """
    total = sum(counts.values())
    top = float(total or 1)
    label = title or ", ".join(
        f"{kind.word} {counts[key]}" for key, kind in STATES.items() if counts.get(key)
    )
    x, y, bar_height = 1.0, 18.0, 16.0
    run = width - 2
    parts, edge = [], x
    right_of_last = -10.0
    for key in STATES:
        count = counts.get(key, 0)
        if not count:
            continue
        bar_width = count / top * run
        parts.append(state_fill(key, edge, y, max(bar_width, 1), bar_height))
        text = str(count)
        room = pen.letters_width(text, 12.5)
        middle = min(max(edge + bar_width / 2, room / 2), width - room / 2)
        if middle - room / 2 > right_of_last + 3:
            parts.append(pen.letters(middle, y - 5, text, 12.5, "ink", "middle", css="tnum"))
            right_of_last = middle + room / 2
        edge += bar_width
    if not total:
        parts.append(pen.rect(x, y, run, bar_height, "none", "ink", 1.2))
    if total:
        parts.append(rule(x, y + bar_height + 4, run, top, 5))
    label = label or "No pieces listed yet"
    return pen.sheet(width, y + bar_height + 30, *parts, title=label, fit=True)


def cost_bar(
    spent: float,
    in_hand: float,
    low: float | None,
    likely: float | None,
    high: float | None,
    currency: str = "GBP",
    width: float = 354,
) -> Markup:
    """Return the money spent, the money in hand and the total cost, on one rule.

    Args:
        spent: Paid so far.
        in_hand: Received or promised and not yet spent.
        low, likely, high: The total cost; None when there is no estimate.
        currency: Its letters.
        width: px.
    """
    largest = max(spent + in_hand, high or 0, likely or 0, 1)
    top = nice_top(largest * 1.02, 5)
    run = width - 2

    def at(value: float) -> float:
        return 1 + value / top * run

    y, tall = 20.0, 16.0
    parts = [
        pen.rect(at(0), y, at(spent) - at(0), tall, "green", "green", 1.2),
        pen.rect(at(spent), y, at(spent + in_hand) - at(spent), tall, "green-wash", "green", 1.2),
    ]
    spent_text = f"{money(spent, currency, False)} spent"
    if letters_fit(spent_text, at(spent) - 1):
        parts.append(pen.letters(at(spent) - 6, y + 12.3, spent_text, 12, "sheet", "end"))
    if letters_fit("in hand", at(spent + in_hand) - at(spent)):
        parts.append(pen.letters(at(spent + in_hand) - 6, y + 12.3, "in hand", 12, "green", "end"))
    total_text = money(spent + in_hand, currency, False)
    total_end = max(at(spent + in_hand), pen.letters_width(total_text, 12.5))
    parts.append(pen.letters(total_end, y - 6, total_text, 12.5, "green", "end"))
    label = f"{spent_text}, {money(in_hand, currency, False)} in hand"
    if likely is not None:
        low, high = (likely if low is None else low), (likely if high is None else high)
        text = f"likely {money(likely, currency, False)}"
        room = pen.letters_width(text, 12.5)
        middle = min(max(at(likely), room / 2), width - room / 2)
        parts.append(dimension(at(low), at(likely), at(high), y + tall / 2))
        # Left out where it would overlap the sum in hand; the text beside the bar has it too.
        if middle - room / 2 > total_end + 6:
            parts.append(pen.letters(middle, y - 6, text, 12.5, "brass", "middle"))
        elif width - 1 - room > total_end + 6:
            parts.append(pen.letters(width - 1, y - 6, text, 12.5, "brass", "end"))
        label += (
            f", cost in all likely {money(likely, currency, False)}, from "
            f"{money(low, currency, False)} to {money(high, currency, False)}"
        )
    parts.append(rule(1, y + tall + 4, run, top, 6, lambda v: short_money(v, currency)))
    return pen.sheet(width, y + tall + 30, *parts, title=label, fit=True)


def letters_fit(text: str, room: float, size: float = 12) -> bool:
    return pen.letters_width(text, size) + 10 < room


def dimension(low: float, likely: float | None, high: float, y: float) -> Markup:
    """Return a range as a dimension line, with a diamond at `likely`. [px]"""
    d = f"M{num(low)} {num(y)}H{num(high)}M{num(low)} {num(y - 6)}V{num(y + 6)}"
    d += f"M{num(high)} {num(y - 6)}V{num(y + 6)}"
    parts = [pen.path(d, 1.1)]
    if likely is not None:
        parts.append(
            pen.el("path", d=f"M{num(likely)} {num(y - 6.5)}l4 6.5l-4 6.5l-4 -6.5Z", fill="brass")
        )
    return pen.group(*parts)


def range_line(
    low: float, likely: float | None, high: float, top: float, width: float = 100, title: str = ""
) -> Markup:
    """Return one range on the scale of its column.

    Args:
        low, likely, high: The range, in the unit of the scale.
        top: The value at the right end of the scale, one for the whole column.
        width: px.
        title: The range in words, with its unit.
    """
    run = width - 10

    def at(value: float) -> float:
        return 5 + min(max(value / top if top else 0, 0), 1) * run

    words = title or f"{figure(low)} to {figure(high)}" + (
        f", likely {figure(likely)}" if likely is not None else ""
    )
    return pen.sheet(
        width,
        18,
        pen.line(5, 9, 5 + run, 9, 1, "hair"),
        dimension(at(low), None if likely is None else at(likely), at(high), 9),
        title=words,
        css="range",
    )


def range_head(top: float, width: float = 100, currency: str = "GBP") -> Markup:
    """Return the scale in the head of a column of ranges: 0, half and end."""
    run = width - 10
    marks = [(0.0, "start", 0.0), (top / 2, "middle", 5 + run / 2), (top, "end", width)]
    return pen.sheet(
        width,
        14,
        *(
            pen.letters(x, 11, short_money(value, currency), 12, "ink2", anchor, css="tnum")
            for value, anchor, x in marks
        ),
        title=f"Scale from {short_money(0, currency)} to {short_money(top, currency)}",
        css="range",
    )


def worth_bar(worth: float, cost: float, top: float, width: float = 72, title: str = "") -> Markup:
    """Return a bar of the worth of the next hour, with a mark at its cost.

    Args:
        worth, cost: Worth and cost of an hour, in money.
        top: The value at the right end, one for the whole column.
        width: px.
        title: Worth and cost in words.
    """
    top = top or 1
    long = min(max(worth / top, 0), 1) * (width - 4)
    mark = 2 + min(max(cost / top, 0), 1) * (width - 4)
    return pen.sheet(
        width,
        18,
        pen.rect(2, 6, max(long, 1.5), 6, "green" if worth > cost else "ink2"),
        pen.line(mark, 1, mark, 17, 1.6, "ink"),
        title=title or f"{figure(worth)} against {figure(cost)}",
        css="worth",
    )
