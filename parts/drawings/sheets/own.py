"""An uploaded sheet: a picture in a zone border, with balloons round it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from parts import elevation
from parts.drafting import pen
from parts.drafting.balloons import radius_for
from parts.drafting.pen import Markup
from parts.drafting.zones import BORDER
from parts.elevation import render
from parts.elevation.layout import Row, stand

from ..queries import Mark, Target
from .arrangement import Line, note_of

# The greatest height of a picture as a share of the width of the sheet.
MOST_HEIGHT = 1.25


@dataclass(frozen=True)
class OwnLine(Line):
    """A balloon of the sheet, as a line of the list."""

    pk: int = 0
    across: str = ""
    down: str = ""


@dataclass(frozen=True)
class OwnSheet:
    """The drawn sheet, and its balloons as a list; `left_over` are those without room."""

    svg: Markup
    lines: tuple[OwnLine, ...]
    left_over: tuple[OwnLine, ...]
    width: float
    height: float


@dataclass(frozen=True)
class _Place:
    """The place of the picture on the sheet, and the rows for balloons round it. [px]"""

    x: float
    y: float
    wide: float
    high: float
    width: float
    height: float
    rows: tuple[Row, ...]


def _lay_out(width: float, ratio: float, count: int, radius: float) -> _Place:
    """Lay out a sheet for a picture that is `ratio` times as high as it is wide."""
    place = None
    for second in (False, True):
        step = 2 * radius + 5 if second else 0.0
        band = BORDER + 9 + 2 * radius + step + 14
        side = BORDER + 2 * radius + 18
        wide = width - 2 * side
        high = min(wide * ratio, width * MOST_HEIGHT)
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
        place = _Place(x, band, wide, high, width, height, tuple(rows))
        if sum(row.room for row in rows) >= count:
            break
    return place


def _state_of(target: Target) -> str:
    return target.counts.drawn


def draw(
    marks: Sequence[Mark],
    picture: str,
    pixels: tuple[int, int],
    *,
    title: str,
    picked: Target | None = None,
    state: str = "",
    href: Callable[[Target], str] = lambda target: "",
    width: float = elevation.WIDTH,
) -> OwnSheet:
    """Draw an uploaded sheet.

    Args:
        marks: Its balloons, in number order.
        picture: The address of the picture.
        pixels: Its width and height.
        title: The name of the sheet.
        picked: The selected target.
        state: Show only balloons of targets with pieces in this state.
        href: The address that the balloon of a target links to.
        width: The width of the sheet at 1:1. [px]
    """
    if state:
        marks = [m for m in marks if getattr(m.target.counts, state)]
    radius = max((radius_for(m.target.number, "in_place", 13) for m in marks), default=13.0)
    ratio = pixels[1] / pixels[0] if pixels[0] and pixels[1] else 0.66
    place = _lay_out(float(width), ratio, len(marks), radius)
    ends = tuple(
        (round(place.x + m.x * place.wide, 1), round(place.y + m.y * place.high, 1)) for m in marks
    )
    placed = stand(ends, place.rows)
    leaders, balloons = [], []
    for balloon in placed:
        mark = marks[balloon.index]
        is_picked = mark.target == picked
        mark_state = state or _state_of(mark.target)
        labelled = elevation.Mark(
            mark.target.number,
            mark.target.name,
            0,
            None,
            mark_state,
            href(mark.target),
            note_of(mark.target, mark_state),
        )
        line = render.draw_leader(
            balloon, ends[balloon.index], radius, f"s-{mark_state}", is_picked
        )
        leaders.append(pen.group(line, data_leader=mark.pk))
        ring = render.draw_balloon(balloon, labelled, radius, (), is_picked)
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
    placed_indexes = {b.index for b in placed}
    lines = [
        OwnLine(
            m.target,
            state or _state_of(m.target),
            note_of(m.target, state or _state_of(m.target)),
            elevation.zone_of(*ends[i], place.width, place.height),
            m.pk,
            m.across,
            m.down,
        )
        for i, m in enumerate(marks)
    ]
    return OwnSheet(
        svg,
        tuple(line for i, line in enumerate(lines) if i in placed_indexes),
        tuple(line for i, line in enumerate(lines) if i not in placed_indexes),
        place.width,
        place.height,
    )
