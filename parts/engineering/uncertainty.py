"""Uncertainty of a figure that is calculated from measured sizes."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import sqrt

from .calculation import Origin
from .errors import finite

LARGEST_MM = 50_000.0


@dataclass(frozen=True, eq=False)
class Size:
    """One measured size. Use the same object twice where one measurement serves two bodies.

    Args:
        value: The size [mm], or a count.
        u: Its standard uncertainty [mm].
        origin: Where it came from.
        source: Who measured it and when, the drawing, or the reason for assuming it.
    """

    value: float
    u: float
    origin: Origin
    source: str = ""

    @property
    def plus_minus(self) -> float:
        """Half the width of the interval that it lies in, all values equally likely: u √3. [mm]"""
        return self.u * sqrt(3)


def within(value: float, plus_minus: float, source: str = "") -> Size:
    """Return a measured size that lies within ± `plus_minus` [mm] of the true one.

    Any value between the ends is taken as equally likely: u = a / √3 (JCGM 100:2008, 4.3.7).
    """
    half_width = finite("uncertainty", plus_minus, "mm", least=0.0, upto=LARGEST_MM)
    return Size(value, half_width / sqrt(3), Origin.MEASURED, source)


def spread(
    measure: Callable[[Mapping[int, float]], float], sizes: Sequence[Size]
) -> tuple[float, dict[int, float]]:
    """Return the standard uncertainty of a figure and the share of each size in it.

    The shares come from partial derivatives.

    Args:
        measure: Function of the change of sizes, by id(size), that returns the figure.
        sizes: The independent sizes.

    Returns:
        The standard uncertainty, and id(size) -> its share, both in the figure's unit.
    """
    shares = {}
    for size in sizes:
        if size.u:
            step = min(size.u, abs(size.value) * 1e-4) or size.u
            up, down = measure({id(size): step}), measure({id(size): -step})
            shares[id(size)] = abs(up - down) / (2 * step) * size.u
    return sqrt(sum(share * share for share in shares.values())), shares


def interval(value: float, u: float) -> tuple[float | None, float | None, str]:
    """Return low, high and their meaning for a Calculation, empty where `u` is 0."""
    if not u:
        return None, None, ""
    return value - 2 * u, value + 2 * u, "two standard uncertainties either way, about 95 in 100"
