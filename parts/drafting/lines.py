"""Line types: the line that each state is drawn in (after ISO 128)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import pi

from . import pen
from .pen import Markup


@dataclass(frozen=True)
class LineType:
    """The line of one state.

    Args:
        word: What people read.
        gloss: One short explanation for the key.
        width: Its width on a drawing, px.
        dashes: Lengths of dashes and gaps in turn, px; empty for a continuous line.
        sample_width, sample_dashes: The heavier line in keys and tables.
        colour: The name of its colour, which adds nothing that the line does not show.
        wash: The fill of a part in this state.
        rings: The number of rings of its balloon.
    """

    word: str
    gloss: str
    width: float
    dashes: tuple[float, ...]
    sample_width: float
    sample_dashes: tuple[float, ...]
    colour: str
    wash: str = "sheet"
    rings: int = 1


# In the order of the key; bars, tables and totals keep it.
STATES = {
    "in_place": LineType("In place", "standing where it worked", 2.2, (), 3.4, (), "ink"),
    "fitted": LineType("Fitted", "back on the engine", 2.2, (), 3.4, (), "ink", rings=2),
    "found": LineType("Found", "tagged, in store", 1.0, (), 1.2, (), "ink"),
    "being_made": LineType(
        "Being made",
        "in the foundry or on a bench",
        2.2,
        (13, 3.5, 2.4, 3.5),
        3.0,
        (13, 4, 2.6, 4),
        "brass",
        "brass-wash",
    ),
    "to_be_made": LineType(
        "To be made",
        "drawn or waiting to be drawn",
        1.5,
        (12, 3, 2, 3, 2, 3),
        2.0,
        (15, 4, 2.2, 4, 2.2, 4),
        "brass",
    ),
    "beyond_repair": LineType(
        "Beyond repair", "found, but beyond repair", 1.4, (1.4, 2.8), 2.2, (2.2, 3.6), "red"
    ),
    "missing": LineType("Missing", "still looked for", 1.4, (5, 3.2), 2.0, (7, 4.5), "red"),
}
CENTRE_LINE = (18, 3, 3, 3)
# The state that a part with pieces in several states is drawn in: the first that applies.
DRAWN_FIRST = (
    "missing",
    "beyond_repair",
    "to_be_made",
    "being_made",
    "found",
    "in_place",
    "fitted",
)


def dash_text(dashes: tuple[float, ...]) -> str | None:
    """Return the value of `stroke-dasharray`, None for a continuous line."""
    return " ".join(pen.fine(d) for d in dashes) or None


def ring_dashes(radius: float, dashes: tuple[float, ...]) -> tuple[float, ...]:
    """Return dashes stretched so that a whole number of them closes the circle.

    Args:
        radius: The radius of the ring, px.
        dashes: Lengths of dashes and gaps in turn, px.

    >>> [round(d, 3) for d in ring_dashes(13, (5, 3.2))]
    [4.981, 3.188]
    """
    if not dashes:
        return ()
    around = 2 * pi * radius
    repeats = max(1, round(around / sum(dashes)))
    stretch = around / (repeats * sum(dashes))
    return tuple(d * stretch for d in dashes)


# Long lists draw the same few again and again.
@lru_cache(maxsize=64)
def line_sample(state: str, width: float = 54, title: str = "") -> Markup:
    """Return the sample of a state's line for keys and tables.

    Args:
        state: A key of `STATES`.
        width: Its length, px.
        title: Said aloud; leave it empty where the word stands beside it.
    """
    kind = STATES[state]
    height = 12.0

    def run(y: float, weight: float) -> Markup:
        return pen.path(
            f"M0 {pen.num(y)}H{pen.num(width)}",
            weight,
            kind.colour,
            stroke_dasharray=dash_text(kind.sample_dashes),
        )

    lines = [run(6, kind.sample_width)]
    if kind.rings == 2:
        lines = [run(4, 2.6), run(9, 1.0)]
    return pen.sheet(width, height, *lines, title=title, css="line-sample")
