"""Dimensions of a sketch: their rows and arrow heads; closed outlines."""

from __future__ import annotations

from dataclasses import dataclass

from . import pen
from .pen import Markup


@dataclass(frozen=True)
class Dim:
    """A dimension along one axis of a view, from `low` to `high` [mm], with its text."""

    low: float
    high: float
    text: str
    over: float = 0.0  # how far its text extends past each end [mm]


def apart(a: Dim, b: Dim) -> bool:
    """Return whether two dimensions with their texts fit in one row."""
    return a.high + a.over <= b.low - b.over + 1e-9 or a.low - a.over >= b.high + b.over - 1e-9


def rows(dims: list[Dim], most: int) -> list[list[Dim]]:
    """Arrange dimensions in rows, short ones nearest the part, none overlapping, spans once."""
    rows_found: list[list[Dim]] = []
    spans = set()
    for dim in sorted(dims, key=lambda d: d.high - d.low):
        span = (round(dim.low, 3), round(dim.high, 3))
        if span in spans:
            continue
        spans.add(span)
        for row in rows_found:
            if all(apart(dim, other) for other in row):
                row.append(dim)
                break
        else:
            if len(rows_found) < most:
                rows_found.append([dim])
    return rows_found


def arrow(x: float, y: float, dx: int, dy: int) -> Markup:
    """Return an arrow head at a point, its body in the direction (dx, dy)."""
    tips = [(x, y), (x + 7 * dx + 2.2 * dy, y + 7 * dy + 2.2 * dx)]
    tips.append((x + 7 * dx - 2.2 * dy, y + 7 * dy - 2.2 * dx))
    d = "M" + "L".join(f"{pen.num(a)} {pen.num(b)}" for a, b in tips) + "Z"
    return pen.path(d, 0.4, fill="ink")


def closed(outline) -> str:
    """Return the path of a closed polygon."""
    return "M" + "L".join(f"{pen.num(x)} {pen.num(y)}" for x, y in outline) + "Z"
