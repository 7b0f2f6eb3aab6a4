"""Outlines as signed distances (negative inside), joined and cut like tin plate.

Lengths are drawing units: 1200 to the width of a picture.
"""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from math import cos, hypot, pi, radians, sin

import numpy as np


@dataclass(frozen=True)
class Outline:
    """A shape in a part's own plane: its signed distance and the box round it."""

    distance: Callable
    box: tuple

    def __or__(self, other):
        a, b = self.box, other.box
        box = (min(a[0], b[0]), max(a[1], b[1]), min(a[2], b[2]), max(a[3], b[3]))
        return Outline(lambda u, v: np.minimum(self.distance(u, v), other.distance(u, v)), box)

    def __sub__(self, other):
        return Outline(
            lambda u, v: np.maximum(self.distance(u, v), -other.distance(u, v)), self.box
        )

    def __and__(self, other):
        return Outline(lambda u, v: np.maximum(self.distance(u, v), other.distance(u, v)), self.box)


def circle(u0, v0, radius):
    """A disc."""
    return Outline(
        lambda u, v: np.hypot(u - u0, v - v0) - radius,
        (u0 - radius, u0 + radius, v0 - radius, v0 + radius),
    )


def box(u0, v0, half_u, half_v, corner=0.0, turn=0.0):
    """A rectangle by its centre and half sides, corners rounded, turned by degrees."""
    c, s = cos(radians(turn)), sin(radians(turn))

    def distance(u, v):
        a, b = u - u0, v - v0
        if turn:
            a, b = a * c + b * s, b * c - a * s
        a = np.abs(a) - (half_u - corner)
        b = np.abs(b) - (half_v - corner)
        return (
            np.hypot(np.maximum(a, 0), np.maximum(b, 0)) + np.minimum(np.maximum(a, b), 0) - corner
        )

    eu, ev = abs(half_u * c) + abs(half_v * s), abs(half_u * s) + abs(half_v * c)
    return Outline(distance, (u0 - eu, u0 + eu, v0 - ev, v0 + ev))


def bar(a, b, radius, end_radius=None):
    """A straight bar with round ends, tapering from radius to end_radius."""
    last = radius if end_radius is None else end_radius
    du, dv = b[0] - a[0], b[1] - a[1]
    square = du * du + dv * dv or 1.0

    def distance(u, v):
        t = np.clip(((u - a[0]) * du + (v - a[1]) * dv) / square, 0, 1)
        return np.hypot(u - a[0] - du * t, v - a[1] - dv * t) - (radius + (last - radius) * t)

    r = max(radius, last)
    return Outline(
        distance,
        (min(a[0], b[0]) - r, max(a[0], b[0]) + r, min(a[1], b[1]) - r, max(a[1], b[1]) + r),
    )


def polygon(points, corner=0.0):
    """A closed polygon, swollen by `corner` so that its outer corners are round."""
    pts = [(float(x), float(y)) for x, y in points]

    def distance(u, v):
        best = np.full(u.shape, 1e12, np.float32)
        inside = np.zeros(u.shape, bool)
        for (x0, y0), (x1, y1) in zip(pts, pts[1:] + pts[:1], strict=True):
            dx, dy = x1 - x0, y1 - y0
            pu, pv = u - x0, v - y0
            t = np.clip((pu * dx + pv * dy) / (dx * dx + dy * dy or 1.0), 0, 1)
            best = np.minimum(best, (pu - dx * t) ** 2 + (pv - dy * t) ** 2)
            if dy:
                crosses = (v >= y0) != (v >= y1)
                inside ^= crosses & (u < x0 + pv * (dx / dy))
        far = np.sqrt(best)
        return np.where(inside, -far, far) - corner

    xs, ys = [p[0] for p in pts], [p[1] for p in pts]
    return Outline(
        distance, (min(xs) - corner, max(xs) + corner, min(ys) - corner, max(ys) + corner)
    )


def hexagon(u0, v0, across, turn=0.0):
    """A hexagon by its width across flats."""
    r = across / 3**0.5
    return polygon(
        [
            (u0 + r * cos(radians(turn) + i * pi / 3), v0 + r * sin(radians(turn) + i * pi / 3))
            for i in range(6)
        ]
    )


def ring(u0, v0, inner, outer):
    """A flat ring."""
    return circle(u0, v0, outer) - circle(u0, v0, inner)


def sector(u0, v0, inner, outer, start, end):
    """A piece of a ring between two angles (degrees, clockwise), under a half turn."""
    a0, a1 = radians(start), radians(end)

    def distance(u, v):
        x, y = u - u0, v - v0
        r = np.hypot(x, y)
        side0 = x * sin(a0) - y * cos(a0)
        side1 = -x * sin(a1) + y * cos(a1)
        return np.maximum(np.maximum(r - outer, inner - r), np.maximum(side0, side1))

    angles = np.linspace(a0, a1, 25)
    xs = np.concatenate([inner * np.cos(angles), outer * np.cos(angles)]) + u0
    ys = np.concatenate([inner * np.sin(angles), outer * np.sin(angles)]) + v0
    return Outline(distance, (xs.min(), xs.max(), ys.min(), ys.max()))


def path(points, radius):
    """A bent rod: bars end to end."""
    whole = bar(points[0], points[1], radius)
    for a, b in pairwise(points[1:]):
        whole = whole | bar(a, b, radius)
    return whole


def around(count, radius, u0=0.0, v0=0.0, start=0.0):
    """Centres of holes on a pitch circle."""
    return [
        (
            u0 + radius * cos(radians(start) + i * 2 * pi / count),
            v0 + radius * sin(radians(start) + i * 2 * pi / count),
        )
        for i in range(count)
    ]


def broken(points, rng, rough=6.0, pieces=5):
    """Return the polygon's points with each side made ragged, as a fracture is."""
    out = []
    for (x0, y0), (x1, y1) in zip(points, points[1:] + points[:1], strict=True):
        length = hypot(x1 - x0, y1 - y0) or 1.0
        nx, ny = -(y1 - y0) / length, (x1 - x0) / length
        for i in range(pieces):
            t, push = i / pieces, rng.normal() * rough * (i > 0)
            out.append((x0 + (x1 - x0) * t + nx * push, y0 + (y1 - y0) * t + ny * push))
    return out
