"""Balloons: the numbers of the parts, ringed in the line of how they stand."""

from __future__ import annotations

from . import pen
from .lines import STATES, dash_text, ring_dashes
from .pen import Drawn

# Text size as a part of the radius, by how many signs the number has.
_SIZES = {1: 1.0, 2: 1.0, 3: 0.84, 4: 0.66}


def ring(
    x: float,
    y: float,
    number: int | str,
    state: str,
    radius: float = 13,
    picked: bool = False,
) -> Drawn:
    """Return a balloon to be set into a larger drawing.

    Args:
        x, y: Its centre, px.
        number: The item number: one to four signs.
        state: A key of `STATES`; it gives the line of the ring.
        radius: 13 on a drawing, 11 in tables, 23 on a part page, px.
        picked: Solid blue with a second ring.
    """
    kind = STATES[state]
    text = str(number)
    size = max(7.0, radius * _SIZES.get(len(text), 0.5))
    if kind.rings == 2 and len(text) > 2:
        size *= 0.9
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
            x,
            y + size * 0.355,
            text,
            size,
            "on-blue" if picked else kind.colour,
            "middle",
            600,
        )
    )
    return pen.group(*parts, css="balloon-ring")


def balloon(
    number: int | str,
    state: str,
    radius: float = 11,
    picked: bool = False,
    title: str = "",
) -> Drawn:
    """Return a balloon standing alone, for a table or a page. See `ring`."""
    room = radius + (4.5 if picked else 1.6)
    return pen.sheet(
        2 * room,
        2 * room,
        ring(room, room, number, state, radius, picked),
        title=title,
        css="balloon",
    )
