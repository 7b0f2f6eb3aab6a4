"""Balloons: item numbers in a ring whose line shows the state of the part."""

from __future__ import annotations

from functools import lru_cache
from math import hypot

from . import pen
from .lines import STATES, dash_text, ring_dashes
from .pen import Markup

# The least size of a number [px], and the width and height of a digit as parts of the size.
LEAST = 11.5
_WIDE, _HIGH = 0.6, 0.7


def _room(state: str, radius: float) -> float:
    """Return the radius that is free for the number inside the ring or rings."""
    kind = STATES[state]
    return radius - (kind.width / 2 + 1.2 if kind.rings == 1 else kind.width + 2.9)


def _corner(text: str, size: float) -> float:
    """Return the distance from the middle of a number to its corner, px."""
    return hypot(len(text) * _WIDE * size, _HIGH * size) / 2


def radius_for(number: int | str, state: str, least: float = 11) -> float:
    """Return the radius for a legible number: `least`, or more for three or more digits."""
    extra = _corner(str(number), LEAST) - _room(state, 0)
    return least if extra <= least + 1.5 else round(extra, 1)


def ring(
    x: float, y: float, number: int | str, state: str, radius: float = 13, picked: bool = False
) -> Markup:
    """Return a balloon to place in a larger drawing.

    Args:
        x, y: Its centre, px.
        number: The item number: one to four characters.
        state: A key of `STATES`, which decides the line of the ring.
        radius: 13 on a drawing, 11 in tables, 23 on a part page, px.
        picked: Solid blue with a second ring.
    """
    kind = STATES[state]
    text = str(number)
    # As large as fits inside the ring, but no larger than its radius.
    size = min(radius * 0.98, _room(state, radius) / _corner(text, 1.0))
    if picked:
        parts = [
            pen.el("circle", cx=float(x), cy=float(y), r=float(radius), fill="blue"),
            pen.el(
                "circle",
                cx=float(x),
                cy=float(y),
                r=float(radius + 3.5),
                fill="none",
                stroke="blue",
                stroke_width=1.4,
            ),
        ]
    else:
        weight = kind.width * (1.0 if radius < 18 else 1.1)
        parts = [
            pen.el(
                "circle",
                cx=float(x),
                cy=float(y),
                r=float(radius),
                fill=kind.wash,
                stroke=kind.colour,
                stroke_width=weight,
                stroke_dasharray=dash_text(ring_dashes(radius, kind.dashes)),
            )
        ]
        if kind.rings == 2:
            parts.append(
                pen.el(
                    "circle",
                    cx=float(x),
                    cy=float(y),
                    r=float(radius - weight / 2 - 1.9),
                    fill="none",
                    stroke=kind.colour,
                    stroke_width=0.9,
                )
            )
    parts.append(
        pen.letters(
            x, y + size * 0.355, text, size, "on-blue" if picked else kind.colour, "middle", 600
        )
    )
    return pen.group(*parts, css="balloon-ring")


# Long lists draw the same few again and again.
@lru_cache(maxsize=2048)
def balloon(
    number: int | str, state: str, radius: float = 11, picked: bool = False, title: str = ""
) -> Markup:
    """Return a balloon as a drawing of its own, for a table or a page, sized for its number."""
    radius = radius_for(number, state, radius)
    room = radius + (4.5 if picked else 1.6)
    return pen.sheet(
        2 * room,
        2 * room,
        ring(room, room, number, state, radius, picked),
        title=title,
        css="balloon",
    )
