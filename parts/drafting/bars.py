"""Bars with their cuts, drawn to scale along their length."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from . import pen
from .lining import hatch, rectangle
from .pen import Markup

TOP, DEEP = 4.0, 36.0  # where the bar begins and how deep it is drawn, px
LETTER = 12.5
PLATE = 3.0


@dataclass(frozen=True)
class Piece:
    """A piece of a bar: its mark, its length and where it begins. [mm]"""

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
    title: str = "",
) -> Markup:
    """Draw one bar with its cuts: pieces white, saw cuts black, trim and remnant hatched.

    Args:
        length_mm: Length of the bar.
        pieces: In the order they are sawn; places counted from the trimmed end.
        left_mm: The remnant at the far end.
        kerf_mm, trim_mm: Width of a saw cut, and length sawn off the first end.
        longest_mm: The bar that fills the width, so that several are drawn to one scale.
        write: Function that formats a length.
        width: Width of the drawing, px.
        title: Text for screen readers.
    """
    scale = (width - 2) / max(longest_mm or length_mm, length_mm)
    end = 1 + length_mm * scale
    shapes = [pen.rect(1, TOP, length_mm * scale, DEEP, fill="sheet")]
    start = 1 + trim_mm * scale
    if trim_mm:
        shapes.append(_hatched(1, start))
    for piece in pieces:
        x1 = start + piece.from_mm * scale
        x2 = x1 + piece.length_mm * scale
        shapes.append(_labels(x1, x2, piece.mark, write(piece.length_mm)))
        # A saw cut is drawn to scale, but wide enough to be seen.
        kerf = min(max(kerf_mm * scale, 1.2), max(end - x2, 0.0))
        if kerf > 0:
            shapes.append(pen.rect(x2, TOP, kerf, DEEP, fill="ink"))
    if left_mm * scale > 1:
        shapes.append(_hatched(end - left_mm * scale, end))
        shapes.append(_on_plate(end - left_mm * scale, end, write(left_mm)))
    shapes.append(pen.rect(1, TOP, length_mm * scale, DEEP, stroke="ink", width=1.4))
    return pen.sheet(width, TOP * 2 + DEEP, *shapes, title=title, css="bar-cuts")


def _hatched(x1: float, x2: float) -> Markup:
    return hatch(rectangle(x1, TOP, max(x2 - x1, 0.1), DEEP), 7, 45.0, width=0.7, stroke="edge")


def _labels(x1: float, x2: float, mark: str, length: str) -> Markup:
    """Return the number of the part above the length, each where there is room for it."""
    middle, room = (x1 + x2) / 2, x2 - x1 - 2 * PLATE
    tall = pen.letters_width(length, LETTER) <= room
    lines = []
    if pen.letters_width(mark, LETTER) <= room:
        y = TOP + (DEEP / 2 - 3 if tall else DEEP / 2 + LETTER * 0.36)
        lines.append(pen.letters(middle, y, mark, LETTER, anchor="middle", weight=600))
    if tall:
        y = TOP + DEEP / 2 + LETTER - 1
        lines.append(pen.letters(middle, y, length, LETTER, fill="ink2", anchor="middle"))
    return pen.group(*lines) if lines else Markup("")


def _on_plate(x1: float, x2: float, text: str) -> Markup:
    width = pen.letters_width(text, LETTER) + 2 * PLATE
    if width > x2 - x1:
        return Markup("")
    middle, y = (x1 + x2) / 2, TOP + DEEP / 2
    return pen.group(
        pen.rect(middle - width / 2, y - LETTER * 0.7, width, LETTER * 1.4, fill="sheet"),
        pen.letters(middle, y + LETTER * 0.36, text, LETTER, anchor="middle"),
    )
