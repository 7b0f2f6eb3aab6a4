"""Shapes in inches, x to the right and y up, that every piece of the drawing is made of.

A shape is a tuple of strokes of the pen: `("M", x, y)`, `("L", x, y)`,
`("A", r, large, sweep, x, y)`, `("C", x1, y1, x2, y2, x, y)` and `("Z",)`. Sweep 1 runs
anticlockwise as seen, for y is up. Shapes can be moved, turned and joined, and are put on the
sheet by `Paper`, which turns y down.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import acos, atan2, cos, degrees, hypot, pi, radians, sin

from parts.drafting.pen import num

Point = tuple[float, float]
Shape = tuple[tuple, ...]


def poly(*points: Point) -> Shape:
    """Return a closed polygon."""
    return (*run(*points), ("Z",))


def run(*points: Point) -> Shape:
    """Return an open line through points."""
    return tuple(("L" if i else "M", x, y) for i, (x, y) in enumerate(points))


def box(x1: float, y1: float, x2: float, y2: float) -> Shape:
    """Return an upright rectangle between two corners."""
    return poly((x1, y1), (x2, y1), (x2, y2), (x1, y2))


def circle(x: float, y: float, r: float) -> Shape:
    return (("M", x + r, y), ("A", r, 0, 1, x - r, y), ("A", r, 0, 1, x + r, y), ("Z",))


def oval(x: float, y: float, a: float, b: float) -> Shape:
    """Return an ellipse of half axes a and b, by the usual four curves."""
    c = 0.5523
    return (
        ("M", x + a, y),
        ("C", x + a, y + c * b, x + c * a, y + b, x, y + b),
        ("C", x - c * a, y + b, x - a, y + c * b, x - a, y),
        ("C", x - a, y - c * b, x - c * a, y - b, x, y - b),
        ("C", x + c * a, y - b, x + a, y - c * b, x + a, y),
        ("Z",),
    )


def arc(x: float, y: float, r: float, start: float, end: float) -> Shape:
    """Return an open arc from one direction to another, degrees, anticlockwise when end > start."""
    a, b = radians(start), radians(end)
    return (
        ("M", x + r * cos(a), y + r * sin(a)),
        ("A", r, int(abs(end - start) > 180), int(end > start), x + r * cos(b), y + r * sin(b)),
    )


def rounded(points: Iterable[Point], r: float | Iterable[float]) -> Shape:
    """Return a closed polygon with its corners rounded.

    Args:
        points: The corners.
        r: The radius of all corners, or one for each; held to what the sides leave room for.
    """
    corners = list(points)
    radii = [r] * len(corners) if isinstance(r, (int, float)) else list(r)
    made: list[tuple] = []
    for i, (px, py) in enumerate(corners):
        (ax, ay), (bx, by) = corners[i - 1], corners[(i + 1) % len(corners)]
        a, b = hypot(ax - px, ay - py) or 1e-9, hypot(bx - px, by - py) or 1e-9
        ux, uy, vx, vy = (ax - px) / a, (ay - py) / a, (bx - px) / b, (by - py) / b
        turn = ux * vy - uy * vx
        half = acos(max(-1.0, min(1.0, ux * vx + uy * vy))) / 2
        if radii[i] <= 0 or abs(turn) < 1e-3:
            made.append(("L", px, py))
            continue
        tangent = sin(half) / max(cos(half), 1e-9)
        back = min(radii[i] / tangent, a / 2, b / 2)
        made.append(("L", px + ux * back, py + uy * back))
        made.append(("A", back * tangent, 0, int(turn < 0), px + vx * back, py + vy * back))
    made[0] = ("M", *made[0][1:])
    return (*made, ("Z",))


def rounded_box(x1: float, y1: float, x2: float, y2: float, r: float) -> Shape:
    return rounded([(x1, y1), (x2, y1), (x2, y2), (x1, y2)], r)


def tube(points: Iterable[Point], width: float, r: float, closed: bool = True) -> Shape:
    """Return a pipe of a width along a line of level and upright runs, its bends rounded."""
    line = list(points)
    sides: list[list[Point]] = [[], []]
    for i, (x, y) in enumerate(line):
        before = line[i - 1] if i else None
        after = line[i + 1] if i + 1 < len(line) else None
        ways = []
        for one, two in ((before, (x, y)), ((x, y), after)):
            if one and two:
                d = hypot(two[0] - one[0], two[1] - one[1]) or 1e-9
                ways.append(((two[0] - one[0]) / d, (two[1] - one[1]) / d))
        nx, ny = -sum(w[1] for w in ways), sum(w[0] for w in ways)
        if len(ways) == 2:
            # Where it bends the walls meet on the line that halves the angle.
            k = 1 / max(1 + ways[0][0] * ways[1][0] + ways[0][1] * ways[1][1], 0.2)
            nx, ny = nx * k, ny * k
        for side, sign in ((sides[0], 0.5), (sides[1], -0.5)):
            side.append((x + sign * width * nx, y + sign * width * ny))
    ends = {0, len(line) - 1, len(line), 2 * len(line) - 1}
    corners = [*sides[0], *reversed(sides[1])]
    made = rounded(corners, [0 if i in ends else r for i in range(len(corners))])
    return made if closed else made[:-1]


def link(a: Point, b: Point, ra: float, rb: float | None = None) -> Shape:
    """Return the outline drawn round two circles, as of a lever or a plain rod."""
    rb = ra if rb is None else rb
    d = hypot(b[0] - a[0], b[1] - a[1]) or 1e-9
    way = atan2(b[1] - a[1], b[0] - a[0])
    lean = acos(max(-1.0, min(1.0, (ra - rb) / d)))
    up, down = way + lean, way - lean
    return (
        ("M", a[0] + ra * cos(up), a[1] + ra * sin(up)),
        ("A", ra, int(lean < pi / 2), 1, a[0] + ra * cos(down), a[1] + ra * sin(down)),
        ("L", b[0] + rb * cos(down), b[1] + rb * sin(down)),
        ("A", rb, int(lean > pi / 2), 1, b[0] + rb * cos(up), b[1] + rb * sin(up)),
        ("Z",),
    )


def join(*shapes: Shape) -> Shape:
    """Return several shapes as one; where they lie inside each other they are holes."""
    return tuple(stroke for shape in shapes for stroke in shape)


def moved(shape: Shape, dx: float, dy: float) -> Shape:
    return tuple(_each(stroke, lambda x, y: (x + dx, y + dy)) for stroke in shape)


def turned(shape: Shape, angle: float, about: Point = (0.0, 0.0)) -> Shape:
    """Return a shape turned anticlockwise. [degrees]"""
    c, s, (ox, oy) = cos(radians(angle)), sin(radians(angle)), about
    return tuple(
        _each(stroke, lambda x, y: (ox + (x - ox) * c - (y - oy) * s, oy + (x - ox) * s + (y - oy) * c))
        for stroke in shape
    )


def mirrored(shape: Shape, at: float = 0.0) -> Shape:
    """Return a shape mirrored left to right about an upright line."""
    return tuple(
        _each((*stroke[:3], 1 - stroke[3], *stroke[4:]) if stroke[0] == "A" else stroke, lambda x, y: (2 * at - x, y))
        for stroke in shape
    )


def scaled(shape: Shape, by: float) -> Shape:
    """Return a shape made larger or smaller about the origin."""
    return tuple(_each((s[0], s[1] * by, *s[2:]) if s[0] == "A" else s, lambda x, y: (x * by, y * by)) for s in shape)


def _each(stroke: tuple, change) -> tuple:
    kind = stroke[0]
    if kind == "Z":
        return stroke
    if kind == "A":
        return (*stroke[:4], *change(stroke[4], stroke[5]))
    out: list = [kind]
    for i in range(1, len(stroke), 2):
        out += change(stroke[i], stroke[i + 1])
    return tuple(out)


def at_angle(x: float, y: float, r: float, angle: float) -> Point:
    """Return the point at a distance and direction from another. [degrees]"""
    return x + r * cos(radians(angle)), y + r * sin(radians(angle))


def direction(a: Point, b: Point) -> float:
    """Return the direction from one point to another. [degrees]"""
    return degrees(atan2(b[1] - a[1], b[0] - a[0]))


def along(a: Point, b: Point, part: float) -> Point:
    return a[0] + (b[0] - a[0]) * part, a[1] + (b[1] - a[1]) * part


def extent(shapes: Iterable[Shape]) -> tuple[float, float, float, float]:
    """Return left, foot, right and top of shapes; arcs are taken at their widest."""
    xs: list[float] = []
    ys: list[float] = []
    for shape in shapes:
        x = y = 0.0
        for stroke in shape:
            if stroke[0] == "Z":
                continue
            if stroke[0] == "A":
                for px, py in _on_arc(x, y, stroke, 8):
                    xs.append(px)
                    ys.append(py)
            else:
                xs += stroke[1::2]
                ys += stroke[2::2]
            x, y = stroke[-2:]
            xs.append(x)
            ys.append(y)
    return min(xs), min(ys), max(xs), max(ys)


def corners(shape: Shape) -> list[list[Point]]:
    """Return the closed runs of a shape as polygons, arcs as short straights."""
    runs: list[list[Point]] = []
    x = y = 0.0
    for stroke in shape:
        kind = stroke[0]
        if kind == "M":
            runs.append([])
        if kind == "Z":
            continue
        if kind == "A":
            runs[-1] += _on_arc(x, y, stroke, 10)
        elif kind == "C":
            _, x1, y1, x2, y2, x3, y3 = stroke
            for t in (0.25, 0.5, 0.75):
                u = 1 - t
                runs[-1].append(
                    (
                        u**3 * x + 3 * u * u * t * x1 + 3 * u * t * t * x2 + t**3 * x3,
                        u**3 * y + 3 * u * u * t * y1 + 3 * u * t * t * y2 + t**3 * y3,
                    )
                )
        x, y = stroke[-2:]
        runs[-1].append((x, y))
    return runs


def _on_arc(x1: float, y1: float, stroke: tuple, steps: int) -> list[Point]:
    _, r, large, sweep, x2, y2 = stroke
    chord = hypot(x2 - x1, y2 - y1)
    if chord < 1e-9 or r <= 0:
        return []
    r = max(r, chord / 2)
    off = max(r * r - chord * chord / 4, 0.0) ** 0.5
    # With y up, an anticlockwise arc of less than half a turn has its centre at the left.
    side = 1 if bool(sweep) != bool(large) else -1
    cx = (x1 + x2) / 2 - side * off * (y2 - y1) / chord
    cy = (y1 + y2) / 2 + side * off * (x2 - x1) / chord
    a, b = atan2(y1 - cy, x1 - cx), atan2(y2 - cy, x2 - cx)
    if sweep and b < a:
        b += 2 * pi
    if not sweep and b > a:
        b -= 2 * pi
    return [(cx + r * cos(a + (b - a) * i / steps), cy + r * sin(a + (b - a) * i / steps)) for i in range(1, steps)]


@dataclass(frozen=True)
class Paper:
    """Where the crank centre stands on the sheet, and how many px an inch has."""

    x0: float
    y0: float
    scale: float

    def at(self, point: Point) -> Point:
        return self.x0 + point[0] * self.scale, self.y0 - point[1] * self.scale

    def path(self, shape: Shape) -> str:
        """Return a shape as the `d` of a path."""
        made: list[str] = []
        for stroke in shape:
            kind = stroke[0]
            if kind == "Z":
                made.append("Z")
            elif kind == "A":
                x, y = self.at(stroke[4:])
                r = num(max(stroke[1] * self.scale, 0.1))
                # y is turned down, so that what ran anticlockwise is written the other way.
                made.append(f"A{r} {r} 0 {stroke[2]} {1 - stroke[3]} {num(x)} {num(y)}")
            else:
                pairs = (self.at(stroke[i : i + 2]) for i in range(1, len(stroke), 2))
                made.append(kind + " ".join(f"{num(x)} {num(y)}" for x, y in pairs))
        return "".join(made)
