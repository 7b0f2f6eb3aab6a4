"""A sheet of one's own: an uploaded picture in its zone border, with balloons round it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from parts import elevation as ga
from parts.drafting import pen
from parts.drafting.balloons import radius_for
from parts.drafting.pen import Markup
from parts.drafting.zones import BORDER
from parts.elevation import render
from parts.elevation.layout import Row, stand

from ..queries import Mark, Shown
from .arrangement import Line, note_of

# The tallest that a picture is shown, for how wide it is.
TALLEST = 1.25


@dataclass(frozen=True)
class OwnLine(Line):
    """A balloon of the sheet, as the list says it."""

    pk: int = 0
    across: str = ""
    down: str = ""


@dataclass(frozen=True)
class OwnSheet:
    """The sheet drawn, and its balloons as a list; `left_over` had no room round it."""

    svg: Markup
    lines: tuple[OwnLine, ...]
    left_over: tuple[OwnLine, ...]
    width: float
    height: float


@dataclass(frozen=True)
class _Place:
    """Where the picture stands on the sheet, and the rows for balloons round it. [px]"""

    x: float
    y: float
    wide: float
    high: float
    width: float
    height: float
    rows: tuple[Row, ...]


def _set_out(width: float, ratio: float, count: int, radius: float) -> _Place:
    """Set out a sheet for a picture that is `ratio` times as high as it is wide."""
    made = None
    for second in (False, True):
        step = 2 * radius + 5 if second else 0.0
        band = BORDER + 9 + 2 * radius + step + 14
        side = BORDER + 2 * radius + 18
        wide = width - 2 * side
        high = min(wide * ratio, width * TALLEST)
        wide = min(wide, high / ratio)
        height = float(round(2 * band + high))
        x, inner, edge = (width - wide) / 2, BORDER + 9 + radius + step, BORDER + radius + 5
        pitch = radius + 5 if second else 2 * radius + 7
        rows = [
            Row("top", inner, edge, width - edge, pitch, step, radius + 2),
            Row("bottom", height - inner, edge, width - edge, pitch, step, radius + 2),
        ]
        ends = (band + radius, height - band - radius)
        for name, at in (("left", x - radius - 12), ("right", x + wide + radius + 12)):
            rows.append(Row(name, at, *ends, 2 * radius + 7))
        made = _Place(x, band, wide, high, width, height, tuple(rows))
        if sum(row.room for row in rows) >= count:
            break
    return made


def _state_of(shown: Shown) -> str:
    return shown.counts.drawn


def draw(
    marks: Sequence[Mark],
    picture: str,
    pixels: tuple[int, int],
    *,
    title: str,
    picked: Shown | None = None,
    state: str = "",
    href: Callable[[Shown], str] = lambda shown: "",
    width: float = ga.WIDTH,
) -> OwnSheet:
    """Draw a sheet of one's own.

    Args:
        marks: Its balloons, in number order.
        picture: The address of the picture.
        pixels: Its width and height.
        title: What the sheet is called.
        picked: What is picked.
        state: Only balloons of what has pieces in this state are shown.
        href: Where the balloon of a component or part leads.
        width: Of the sheet at 1:1. [px]
    """
    if state:
        marks = [m for m in marks if getattr(m.shown.counts, state)]
    radius = max((radius_for(m.shown.number, "in_place", 13) for m in marks), default=13.0)
    ratio = pixels[1] / pixels[0] if pixels[0] and pixels[1] else 0.66
    place = _set_out(float(width), ratio, len(marks), radius)
    ends = tuple(
        (round(place.x + m.x * place.wide, 1), round(place.y + m.y * place.high, 1)) for m in marks
    )
    stood = stand(ends, place.rows)
    leaders, balloons = [], []
    for balloon in stood:
        mark = marks[balloon.index]
        mine = mark.shown == picked
        how = state or _state_of(mark.shown)
        named = ga.Mark(
            mark.shown.number,
            mark.shown.name,
            0,
            None,
            how,
            href(mark.shown),
            note_of(mark.shown, how),
        )
        line = render.draw_leader(balloon, ends[balloon.index], radius, f"s-{how}", mine)
        leaders.append(pen.group(line, data_leader=mark.pk))
        ring = render.draw_balloon(balloon, named, radius, (), mine)
        balloons.append(pen.group(ring, data_balloon=mark.pk, data_version=mark.version))
    image = pen.el(
        "image",
        href=picture,
        x=float(place.x),
        y=float(place.y),
        width=float(place.wide),
        height=float(place.high),
        preserveAspectRatio="none",
        css="sheet-picture",
    )
    frame = pen.rect(place.x, place.y, place.wide, place.high, "none", "ink", 1.0)
    svg = render.whole(
        place.width,
        place.height,
        render.border(place.width, place.height),
        image,
        frame,
        *leaders,
        *balloons,
        title=title,
    )
    has = {b.index for b in stood}
    lines = [
        OwnLine(
            m.shown,
            state or _state_of(m.shown),
            note_of(m.shown, state or _state_of(m.shown)),
            ga.zone_of(*ends[i], place.width, place.height),
            m.pk,
            m.across,
            m.down,
        )
        for i, m in enumerate(marks)
    ]
    return OwnSheet(
        svg,
        tuple(line for i, line in enumerate(lines) if i in has),
        tuple(line for i, line in enumerate(lines) if i not in has),
        place.width,
        place.height,
    )
