"""Where the boiler of the portable engine and the engine on it stand."""

from __future__ import annotations

from dataclasses import dataclass

from ..proportions import Proportions


@dataclass(frozen=True)
class Lines:
    """Where the boiler and the engine on it stand, bores about the crank centre."""

    front: float
    back: float
    top: float
    foot: float
    fire_left: float
    fire_right: float
    fire_foot: float
    smoke_left: float
    smoke_right: float
    ground: float


def lines(p: Proportions) -> Lines:
    r = p.crank
    front = -(p.rod + r + 0.85)
    back = front - (p.stroke + 0.95)
    top = -(r + 0.62)
    barrel = 2.5 + 0.5 * p.stroke
    fire_left, fire_right = back - 0.25, min(front + 0.35, back + 2.9)
    smoke_left = r + 0.55
    fire_foot = top - barrel - 0.85
    return Lines(
        front,
        back,
        top,
        top - barrel,
        fire_left,
        fire_right,
        fire_foot,
        smoke_left,
        smoke_left + 1.35,
        min(fire_foot - 1.5, -p.flywheel / 2 - 0.4),
    )
