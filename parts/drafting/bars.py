"""Bars with their cuts, drawn to scale along their length."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from . import pen
from .lining import hatch, rectangle
from .pen import Drawn

TOP, DEEP = 4.0, 36.0  # where the bar begins and how deep it is drawn, px
LETTER = 12.5
PLATE = 3.0


@dataclass(frozen=True)
class Piece:
    """A piece of a bar: what is written in it, and how long it is. [mm]"""

    mark: str
    length_mm: float
    from_mm: float


def bar_drawing(
    length_mm: float,
    pieces: Sequence[Piece],
    left_mm: float,
    *,
    kerf_mm: float,
    trim_mm: float = 0.0,
    longest_mm: float | None = None,
    write: Callable[[float], str] = lambda mm: f"{mm:g} mm",
    width: float = 720.0,
    said: str = "",
) -> Drawn:
    """Draw one bar with its cuts: pieces white, saw cuts black, what is left lined.

    Args:
        length_mm: Length of the bar.
        pieces: In the order they are sawn; places counted from the trimmed end.
        left_mm: What is left at the far end.
        kerf_mm, trim_mm: Saw cut, and what is sawn off the first end.
        longest_mm: The bar that fills the width, so that several are drawn to one scale.
        write: Writes a length.
        width: Of the drawing, px.
        said: What it shows, for those who do not see it.
    """
    scale = (width - 2) / max(longest_mm or length_mm, length_mm)
    end = 1 + length_mm * scale
    drawn = [pen.rect(1, TOP, length_mm * scale, DEEP, fill="sheet")]
    start = 1 + trim_mm * scale
    if trim_mm:
        drawn.append(_lined(1, start))
    for piece in pieces:
        x1 = start + piece.from_mm * scale
        x2 = x1 + piece.length_mm * scale
        drawn.append(_labels(x1, x2, piece.mark, write(piece.length_mm)))
        # A saw cut is drawn as wide as it is, and never so thin that it is lost.
        kerf = min(max(kerf_mm * scale, 1.2), max(end - x2, 0.0))
        if kerf > 0:
            drawn.append(pen.rect(x2, TOP, kerf, DEEP, fill="ink"))
    if left_mm * scale > 1:
        drawn.append(_lined(end - left_mm * scale, end))
        drawn.append(_on_plate(end - left_mm * scale, end, write(left_mm)))
    drawn.append(pen.rect(1, TOP, length_mm * scale, DEEP, stroke="ink", width=1.4))
    return pen.sheet(width, TOP * 2 + DEEP, *drawn, title=said, css="bar-cuts")


def _lined(x1: float, x2: float) -> Drawn:
    return hatch(rectangle(x1, TOP, max(x2 - x1, 0.1), DEEP), 7, 45.0, width=0.7, stroke="edge")


def _labels(x1: float, x2: float, mark: str, length: str) -> Drawn:
    """The number of the part over the length, as far as there is room for them."""
    middle, room = (x1 + x2) / 2, x2 - x1 - 2 * PLATE
    tall = pen.letters_width(length, LETTER) <= room
    lines = []
    if pen.letters_width(mark, LETTER) <= room:
        y = TOP + (DEEP / 2 - 3 if tall else DEEP / 2 + LETTER * 0.36)
        lines.append(pen.letters(middle, y, mark, LETTER, anchor="middle", weight=600))
    if tall:
        y = TOP + DEEP / 2 + LETTER - 1
        lines.append(pen.letters(middle, y, length, LETTER, fill="ink2", anchor="middle"))
    return pen.group(*lines) if lines else Drawn("")


def _on_plate(x1: float, x2: float, text: str) -> Drawn:
    wide = pen.letters_width(text, LETTER) + 2 * PLATE
    if wide > x2 - x1:
        return Drawn("")
    middle, y = (x1 + x2) / 2, TOP + DEEP / 2
    return pen.group(
        pen.rect(middle - wide / 2, y - LETTER * 0.7, wide, LETTER * 1.4, fill="sheet"),
        pen.letters(middle, y + LETTER * 0.36, text, LETTER, anchor="middle"),
    )
