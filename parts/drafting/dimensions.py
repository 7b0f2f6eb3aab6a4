"""Dimensions of a sketch: which stand in one row, their arrow heads, and closed outlines."""

from __future__ import annotations

from dataclasses import dataclass

from . import pen
from .pen import Drawn


@dataclass(frozen=True)
class Dim:
    """A dimension along one axis of a view, from `low` to `high` [mm], with its text."""

    low: float
    high: float
    text: str
    over: float = 0.0  # by how much its text reaches past each end [mm]


def apart(a: Dim, b: Dim) -> bool:
    """Whether two dimensions, texts and all, can stand in one row."""
    return a.high + a.over <= b.low - b.over + 1e-9 or a.low - a.over >= b.high + b.over - 1e-9


def rows(dims: list[Dim], most: int) -> list[list[Dim]]:
    """Dimensions in rows, short ones nearest the part, none over another; each span once."""
    found: list[list[Dim]] = []
    seen = set()
    for dim in sorted(dims, key=lambda d: d.high - d.low):
        mark = (round(dim.low, 3), round(dim.high, 3))
        if mark in seen:
            continue
        seen.add(mark)
        for row in found:
            if all(apart(dim, other) for other in row):
                row.append(dim)
                break
        else:
            if len(found) < most:
                found.append([dim])
    return found


def arrow(x: float, y: float, dx: int, dy: int) -> Drawn:
    """An arrow head at a place, its body in the direction (dx, dy)."""
    tips = [(x, y), (x + 7 * dx + 2.2 * dy, y + 7 * dy + 2.2 * dx)]
    tips.append((x + 7 * dx - 2.2 * dy, y + 7 * dy - 2.2 * dx))
    d = "M" + "L".join(f"{pen.num(a)} {pen.num(b)}" for a, b in tips) + "Z"
    return pen.path(d, 0.4, fill="ink")


def closed(outline) -> str:
    """The path of a closed polygon."""
    return "M" + "L".join(f"{pen.num(x)} {pen.num(y)}" for x, y in outline) + "Z"
