"""Leading places of the oil engine."""

from __future__ import annotations

from dataclasses import dataclass

from ..proportions import Proportions


@dataclass(frozen=True)
class Lines:
    """Leading places, bores about the crank centre: cylinder's ends, base, skids, ground."""

    head: float
    end: float
    base: float
    skid: float
    ground: float
    right: float


def lines(p: Proportions) -> Lines:
    r = p.crank
    base = -(r + 0.85)
    skid = base - 0.62
    return Lines(-(p.rod + r + 0.95), -(p.rod - r) + 0.15, base, skid, min(-p.flywheel / 2 - 0.3, skid - 0.5), r + 0.75)
