"""The engine alone, without border, balloons and dimensions: for a report, two side by side."""

from __future__ import annotations

from collections.abc import Mapping

from parts.drafting import pen
from parts.drafting.pen import Markup

from . import Ties, proportions, render, tied_view
from .shapes import Paper


def bare(
    kind: str,
    sizes_mm: Mapping[str, float],
    states: Mapping[int, str | None],
    *,
    ties: Ties | None = None,
    width: float = 440.0,
    title: str = "",
) -> Markup:
    """Return the engine drawn in the lines of its parts.

    Args:
        kind: A key of `KINDS`. Raises KeyError.
        sizes_mm: As for `arrange`.
        states: By the starter list's number of a part; None or no entry is thin and grey.
        ties: As for `arrange`.
        width: Of the picture at 1:1. [px]
        title: What it says, for those who do not see it.
    """
    p, _ = proportions(kind, sizes_mm)
    view = tied_view(p, ties)
    left, foot, right, top = view.box
    margin = 6.0
    scale = (width - 2 * margin) / (right - left)
    height = float(round(scale * (top - foot) + 2 * margin))
    paper = Paper(round(margin - scale * left, 2), round(margin + scale * top, 2), round(scale, 4))
    pieces = [render.draw_piece(traced, states.get(traced.piece.part), False) for traced in render.trace(view, paper)]
    return pen.sheet(width, height, *pieces, render.draw_centres(view, paper), title=title, fit=True)
