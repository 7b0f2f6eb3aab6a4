"""Charts: the progress curve, bars, and a chance that grows with hours."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from . import pen
from .lining import hatch
from .pen import Markup, num
from .scales import figure, nice_step, nice_top

Series = Sequence[tuple[float, float]]


@dataclass
class Frame:
    """The place of a chart on its sheet, and its two scales."""

    left: float
    top: float
    width: float
    height: float
    x_low: float
    x_high: float
    y_high: float

    def x(self, value: float) -> float:
        span = (self.x_high - self.x_low) or 1
        return self.left + (value - self.x_low) / span * self.width

    def y(self, value: float) -> float:
        return self.top + self.height - value / (self.y_high or 1) * self.height

    def curve(self, points: Series) -> str:
        """Return the path through points, with straight lines."""
        return "".join(
            f"{'L' if i else 'M'}{num(self.x(x))} {num(self.y(y))}"
            for i, (x, y) in enumerate(points)
        )

    def levels(self, at_most: int = 5, write: Callable[[float], str] = figure) -> Markup:
        """Return the horizontal lines and the figures at their left."""
        step = 25.0 if self.y_high == 100 and at_most >= 4 else nice_step(self.y_high, at_most)
        parts = []
        for i in range(int(self.y_high / step + 1e-6) + 1):
            y = self.y(i * step)
            if i:
                parts.append(pen.line(self.left, y, self.left + self.width, y, 1, "hair"))
            parts.append(
                pen.letters(
                    self.left - 8, y + 4.3, write(i * step), 12.5, "ink2", "end", css="tnum"
                )
            )
        return pen.group(*parts)

    def foot(self, marks: Sequence[tuple[float, str]], small: Sequence[float] = ()) -> Markup:
        """Return the horizontal axis: long ticks with words, and short ticks between."""
        y = self.top + self.height
        d = f"M{num(self.left)} {num(y)}H{num(self.left + self.width)}"
        d += "".join(f"M{num(self.x(v))} {num(y)}v4" for v in small)
        d += "".join(f"M{num(self.x(v))} {num(y)}v10" for v, _ in marks)
        words = []
        free = -99.0
        for value, text in marks:
            room = pen.letters_width(text, 12.5)
            x = self.x(value)
            anchor = "middle"
            if x - room / 2 < self.left - 30:
                anchor, left = "start", x
            elif x + room / 2 > self.left + self.width + 14:
                anchor, left = "end", x - room
            else:
                left = x - room / 2
            if left > free + 6:
                words.append(pen.letters(x, y + 25, text, 12.5, "ink2", anchor))
                free = left + room
        return pen.group(pen.path(d, 1.2), *words)


def s_curve(
    planned: Series,
    done: Series,
    likely: Series = (),
    low: Series = (),
    high: Series = (),
    *,
    marks: Sequence[tuple[float, str]],
    small: Sequence[float] = (),
    planned_word: str = "Planned",
    head: str = "Work done, %, weighed by hours of labour",
    top: float = 100.0,
    write: Callable[[float], str] = figure,
    width: float = 620,
    height: float = 250,
    title: str = "",
) -> Markup:
    """Return the progress curve: work planned, done and to come.

    The plan is a thin line in ink, work done wide in blue, likely dashed, the range hatched.

    Args:
        planned, done, likely, low, high: Points (time, amount), in order of time; any but `done`
            may be empty. Time is a number of the caller's choice, such as a day's ordinal.
        marks: Times with the words for the foot.
        small: Times that have a short tick.
        planned_word: Name of the plan: "Planned in January 2025".
        head: What the vertical axis measures.
        top: The end of the vertical axis; 0 takes whole steps above the largest value.
        write: Turns an amount into the figure at the left.
        width, height: Size of the sheet, px. Under 480 px wide the words are in a key below.
        title: Said aloud.
    """
    points = [*planned, *done, *likely, *low, *high]
    times = [x for x, _ in points] + [v for v, _ in marks] or [0, 1]
    top = top or nice_top(max([y for _, y in points] or [1]), 5)
    longest = max(len(write(top)), 3)
    # On a phone the words are under the chart, where they cannot overlap the lines.
    narrow = width < 480
    ranged = bool(low and high)
    key = _key(planned and planned_word, done and write(done[-1][1]), bool(likely), ranged)
    room_below = 34 + (20 * len(key) + 4 if narrow else 0)
    frame = Frame(
        12 + longest * 7.2,
        26,
        width - longest * 7.2 - 12 - 16,
        height - 26 - room_below,
        min(times),
        max(times),
        top,
    )
    parts = [pen.letters(frame.left, 12, head, 12.5, "ink2"), frame.levels(5, write)]
    if low and high:
        outline = [(frame.x(x), frame.y(y)) for x, y in [*high, *reversed(list(low))]]
        parts.append(hatch(outline, 6, 45, stroke="blue", width=0.7, dashes=()))
    parts.append(frame.foot(marks, small))
    if planned:
        parts.append(pen.path(frame.curve(planned), 1.2, "ink", stroke_linejoin="round"))
    if likely:
        parts.append(pen.path(frame.curve(likely), 2.2, "blue", stroke_dasharray="7 4.5"))
    if done:
        parts.append(pen.path(frame.curve(done), 3.2, "blue", stroke_linejoin="round"))
        x, y = frame.x(done[-1][0]), frame.y(done[-1][1])
        parts.append(pen.el("circle", cx=x, cy=y, r=5.5, fill="blue"))
        if not narrow:
            text = f"Done, {write(done[-1][1])}"
            parts.append(_words_by(frame, x, y + 20, text, "blue", 600))
    if planned and not narrow:
        parts.append(_plan_words(frame, planned, planned_word))
    if likely and not narrow:
        parts.append(_likely_words(frame, likely, low, ranged))
    if narrow:
        parts += [
            pen.group(row, transform=f"translate({num(frame.left)} {height - 20 * (len(key) - i)})")
            for i, row in enumerate(key)
        ]
    label = title or f"{head}. Done {write(done[-1][1]) if done else 'nothing yet'}."
    return pen.sheet(width, height, *parts, title=label, fit=True)


def _at(points: Series, x: float) -> float:
    """Return the amount at a time, interpolated between points and constant beyond them."""
    for (x1, y1), (x2, y2) in pairwise(points):
        if x1 <= x <= x2 and x2 > x1:
            return y1 + (x - x1) / (x2 - x1) * (y2 - y1)
    return points[0][1] if x < points[0][0] else points[-1][1]


def _likely_words(frame: Frame, likely: Series, low: Series, ranged: bool) -> Markup:
    """Return the label of the likely curve, under it at the right, with a leader."""
    text = "Likely, and the range" if ranged else "Likely"
    room = pen.letters_width(text, 13)
    left = frame.left + frame.width - room
    # The curve rises, so that its lowest point over the label is at the left end.
    start = frame.x_low + (left - frame.left) / frame.width * (frame.x_high - frame.x_low)
    under = _at(low if ranged else likely, max(start, likely[0][0]))
    y = min(frame.y(under) + 22, frame.top + frame.height - 6)
    x, amount = likely[len(likely) * 2 // 3]
    return pen.group(
        pen.line(frame.x(x), frame.y(amount), left + room * 0.45, y - 13, 0.9, "blue"),
        pen.el("circle", cx=frame.x(x), cy=frame.y(amount), r=2.3, fill="blue"),
        pen.letters(frame.left + frame.width, y, text, 13, "blue", "end"),
    )


def _key(planned: str, done: str, likely: bool, ranged: bool) -> list[Markup]:
    """Return the rows of the key: a sample of each line and its label."""
    rows = []
    if planned:
        rows.append((pen.line(0, 8, 30, 8, 1.2), planned, "ink"))
    if done:
        rows.append((pen.line(0, 8, 30, 8, 3.2, "blue"), f"Done, {done}", "blue"))
    if likely:
        sample = pen.line(0, 8, 30, 8, 2.2, "blue", stroke_dasharray="7 4.5")
        rows.append((sample, "Likely, and the range" if ranged else "Likely", "blue"))
    return [pen.group(s, pen.letters(38, 12.3, text, 12.5, fill)) for s, text, fill in rows]


def _words_by(frame: Frame, x: float, y: float, text: str, colour: str, weight: int) -> Markup:
    """Return a label near a point, on a plate, inside the frame."""
    room = pen.letters_width(text, 13)
    x = min(max(x + 6, frame.left + 6), frame.left + frame.width - room)
    y = min(max(y, frame.top + 12), frame.top + frame.height - 6)
    return pen.group(
        pen.rect(x - 3, y - 12, room + 4, 16, "sheet"),
        pen.letters(x, y, text, 13, colour, weight=weight),
    )


def _plan_words(frame: Frame, planned: Series, text: str) -> Markup:
    """Return the label of the plan at its left, about half way up, with a leader."""
    half = (planned[0][1] + planned[-1][1]) / 2
    x, y = next(((x, y) for x, y in planned if y >= half), planned[-1])
    px, py = frame.x(x), frame.y(y)
    room = pen.letters_width(text, 12.5)
    end = px - 44
    if end - room < frame.left:
        return pen.letters(px + 12, py + 4, text, 12.5, "ink")
    return pen.group(
        pen.line(end + 4, py - 6, px, py, 0.9),
        pen.el("circle", cx=px, cy=py, r=2.3, fill="ink"),
        pen.rect(end - room, py - 17, room + 2, 15, "sheet"),
        pen.letters(end, py - 5, text, 12.5, "ink", "end"),
    )


def bars(
    rows: Sequence[tuple[str, float]],
    *,
    write: Callable[[float], str] = figure,
    width: float = 460,
    title: str = "",
    colour: str = "ink2",
) -> Markup:
    """Return a chart of horizontal bars, a row each: the word, the bar, the figure.

    Args:
        rows: Words and amounts of 0 or more.
        write: Turns an amount into its figure.
        width: px.
        title: Said aloud; the rows themselves when empty.
        colour: Colour of the bars.
    """
    left = min(max([pen.letters_width(word, 13) for word, _ in rows] or [40]) + 10, width * 0.45)
    right = max([pen.letters_width(write(v), 13) for _, v in rows] or [30]) + 8
    top = nice_top(max([v for _, v in rows] or [1]), 4)
    run = width - left - right
    parts = []
    for i, (word, value) in enumerate(rows):
        y = i * 26.0
        parts.append(pen.letters(0, y + 17, word, 13, "ink"))
        parts.append(pen.rect(left, y + 7, max(value / top * run, 0), 12, colour))
        parts.append(
            pen.letters(left + value / top * run + 6, y + 17, write(value), 13, "ink", css="tnum")
        )
    foot = len(rows) * 26.0 + 4
    step = nice_step(top, 4)
    d = f"M{num(left)} {num(foot)}H{num(left + run)}"
    for i in range(int(top / step + 1e-6) + 1):
        at = left + i * step / top * run
        d += f"M{num(at)} {num(foot)}v8"
        parts.append(pen.letters(at, foot + 22, write(i * step), 12, "ink2", "middle", css="tnum"))
    parts.append(pen.path(d, 1.1))
    parts.append(pen.line(left, 2, left, foot, 1))
    label = title or "; ".join(f"{word}: {write(v)}" for word, v in rows)
    return pen.sheet(width, foot + 28, *parts, title=label, fit=True)


def reach_curve(
    points: Series,
    picked: tuple[float, float] | None = None,
    limit: tuple[float, str] | None = None,
    *,
    foot_word: str = "hours of search from now",
    write: Callable[[float], str] = figure,
    picked_word: str = "",
    width: float = 330,
    height: float = 170,
    title: str = "",
) -> Markup:
    """Return the curve of an amount over a scale from 0: a chance over hours of search.

    Args:
        points: Points (along, amount) in order.
        picked: The point to mark, with lines to both scales.
        limit: A value on the scale to mark in red, and why.
        foot_word: What the horizontal axis measures.
        write: Turns an amount into the figure at the left.
        picked_word: The label of the marked point.
        width, height: px.
        title: Said aloud.
    """
    along = max([x for x, _ in points] or [1])
    top = nice_top(max([y for _, y in points] or [1]) * 1.1, 4)
    frame = Frame(34, 10, width - 34 - 12, height - 10 - 46, 0, along, top)
    step = nice_step(along, 5)
    marks = [(i * step, figure(i * step)) for i in range(int(along / step + 1e-6) + 1)]
    parts = [frame.levels(4, write), frame.foot(marks)]
    if limit:
        at = frame.x(limit[0])
        parts.append(
            pen.line(at, frame.top, at, frame.top + frame.height, 1.4, "red",
                     stroke_dasharray="5 3.2")
        )  # fmt: skip
        rows = two_rows(limit[1])
        room = max(pen.letters_width(row, 12) for row in rows)
        x = at + 6 if at + 6 + room < width else max(frame.left + 4, at - 6 - room)
        foot = frame.top + frame.height - 8
        parts.append(pen.rect(x - 2, foot - 14 * len(rows) + 2, room, 14 * len(rows), "sheet"))
        for i, row in enumerate(reversed(rows)):
            parts.append(pen.letters(x, foot - 14 * i, row, 12, "red"))
    parts.append(pen.path(frame.curve(points), 2.2, "ink", stroke_linejoin="round"))
    if picked:
        x, y = frame.x(picked[0]), frame.y(picked[1])
        parts.append(
            pen.path(
                f"M{num(frame.left)} {num(y)}H{num(x)}V{num(frame.top + frame.height)}", 1.4, "blue"
            )
        )
        parts.append(pen.el("circle", cx=x, cy=y, r=4.5, fill="blue"))
        if picked_word:
            room = pen.letters_width(picked_word, 12.5)
            parts.append(
                pen.letters(
                    max(frame.left + 4, x - room), y - 7, picked_word, 12.5, "blue", weight=600
                )
            )
    parts.append(pen.letters(frame.left + frame.width, height - 4, foot_word, 12.5, "ink2", "end"))
    label = title or "; ".join(
        f"{figure(x)}: {write(y)}" for x, y in points[:: max(1, len(points) // 6)]
    )
    return pen.sheet(width, height, *parts, title=label, fit=True)


def two_rows(text: str, longest: int = 18) -> list[str]:
    """Split a text into two rows at the space nearest its middle, unless it is short.

    >>> two_rows("after 11 h an hour costs more than it is worth")
    ['after 11 h an hour costs', 'more than it is worth']
    """
    if len(text) <= longest or " " not in text:
        return [text]
    middle = len(text) / 2
    at = min((i for i, c in enumerate(text) if c == " "), key=lambda i: abs(i - middle))
    return [text[:at], text[at + 1 :]]
