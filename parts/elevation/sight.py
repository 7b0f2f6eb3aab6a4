"""What of a piece is seen: nearer pieces hide what lies behind them."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

from .shapes import Point, Shape, corners, extent

_STEPS = 14  # how finely a piece is searched for a spot in sight, across and up


class Seen:
    """The outline of a piece as polygons, to ask what it covers."""

    def __init__(self, outline: Sequence[Shape]) -> None:
        self.outline = outline
        self.box = extent(outline) if outline else (0.0, 0.0, 0.0, 0.0)

    @cached_property
    def polygons(self) -> list[list[Point]]:
        # Shape by shape: where two of a piece overlap, both cover.
        return [corners(shape) for shape in self.outline]

    def covers(self, point: Point) -> bool:
        x, y = point
        left, foot, right, top = self.box
        if not (left <= x <= right and foot <= y <= top):
            return False
        return any(_inside(point, runs) for runs in self.polygons)


def _inside(point: Point, runs: list[list[Point]]) -> bool:
    x, y = point
    inside = False
    for run in runs:
        for (x1, y1), (x2, y2) in zip(run, [*run[1:], run[0]], strict=True):
            if (y1 > y) != (y2 > y) and x < (x2 - x1) * (y - y1) / (y2 - y1) + x1:
                inside = not inside
    return inside


def in_sight(point: Point, above: Sequence[Seen]) -> bool:
    """Whether no piece of another component that lies nearer covers a point."""
    return not any(piece.covers(point) for piece in above)


def spot_in_sight(seen: Seen, at: Point, above: Sequence[Seen]) -> Point | None:
    """Return the spot of a piece in sight that is nearest to `at`; None when all is hidden."""
    if in_sight(at, above):
        return at
    left, foot, right, top = seen.box
    across, up = (right - left) / _STEPS, (top - foot) / _STEPS
    spots = [(left + across * (i + 0.5), foot + up * (j + 0.5)) for i in range(_STEPS) for j in range(_STEPS)]
    spots.sort(key=lambda spot: (spot[0] - at[0]) ** 2 + (spot[1] - at[1]) ** 2)
    near = 0.3 * min(across, up)
    for spot in spots:
        # A little way round it must be in sight too: a leader's dot has a size.
        round_it = [(spot[0] + dx, spot[1] + dy) for dx in (-near, near) for dy in (-near, near)]
        if seen.covers(spot) and all(in_sight(place, above) for place in (spot, *round_it)):
            return spot
    return None
