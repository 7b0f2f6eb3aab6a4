"""Section lining: the pattern of lines for each material on a cut face."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import cos, radians, sin

from . import pen
from .pen import Markup

Point = tuple[float, float]


@dataclass(frozen=True)
class Lining:
    """The lining of one material.

    Args:
        word: The name of the material.
        runs: Sets of parallel lines: (offset, dashes, angle), each repeated every `repeat` px.
        repeat: The distance after which the pattern repeats, px.
        form: lines, grain (wavy horizontal lines), loose (strokes in groups) or blank.
    """

    word: str
    repeat: float = 5.0
    runs: tuple[tuple[float, tuple[float, ...], float], ...] = ((0.0, (), 45.0),)
    form: str = "lines"


_DASH = (4.5, 2.5)
MATERIALS = {
    "cast_iron": Lining("Cast iron", 5),
    "steel": Lining("Steel", 8, ((0, (), 45), (2.5, (), 45))),
    "wrought_iron": Lining("Wrought iron", 8, ((0, (), 45), (4, (6, 2, 1.4, 2), 45))),
    "brass": Lining("Brass", 8, ((0, (), 45), (4, _DASH, 45))),
    "bronze": Lining("Bronze", 8, ((0, (), 45), (4, _DASH, 45))),
    "copper": Lining("Copper", 11, ((0, (), 45), (3.5, (), 45), (7, _DASH, 45))),
    "white_metal": Lining("White metal", 6, ((0, (), 45), (0, (), 135))),
    "lead": Lining("Lead", 8, ((0, (), 45), (4, (1.2, 3), 45))),
    "aluminium": Lining("Aluminium", 7, ((0, (), 45), (0, (3, 4), 135))),
    "wood": Lining("Wood", 4, form="grain"),
    "leather": Lining("Leather", 8, ((0, (5, 4), 0), (4, (5, 4), 0))),
    "rubber": Lining("Rubber", 6, ((0, (4, 3), 0), (3, (4, 3), 0))),
    "packing": Lining("Packing", 7, ((0, (2.4, 4), 0), (3.5, (2.4, 4), 0))),
    "glass": Lining("Glass", 14, ((0, (), 45), (3, (5, 4), 45), (6, (2, 5), 45))),
    "stone": Lining("Stone", 7, form="loose"),
    "brick": Lining("Brick", 6, ((0, (), 0), (3, (1.2, 6), 45))),
    "not_known": Lining("Not known", form="blank"),
}
# The choice on site; all others are in the longer list.
FIRST_LOOK = (
    "cast_iron",
    "steel",
    "wrought_iron",
    "brass",
    "white_metal",
    "copper",
    "wood",
    "not_known",
)


def rectangle(x: float, y: float, width: float, height: float) -> list[Point]:
    return [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]


def parallels(
    outline: list[Point], spacing: float, angle: float = 45.0, offset: float = 0.0
) -> list[tuple[Point, Point]]:
    """Return the pieces of parallel lines that lie inside an outline.

    Args:
        outline: The corners of a closed polygon, px.
        spacing: The distance from line to line, px.
        angle: Their direction in degrees, anticlockwise from the horizontal.
        offset: Moves the whole set across its direction, px.
    """
    angle_rad = radians(angle)
    c, s = cos(angle_rad), sin(angle_rad)
    # Rotated so that the lines are horizontal. On a screen y runs down.
    rotated = [(x * c - y * s, x * s + y * c) for x, y in outline]
    low, high = min(v for _, v in rotated), max(v for _, v in rotated)
    first = -((offset - low) // spacing) * spacing + offset
    pieces = []
    v = first - spacing
    while v < high:
        v += spacing
        if v <= low:
            continue
        crossings = []
        for (u1, v1), (u2, v2) in zip(rotated, rotated[1:] + rotated[:1], strict=True):
            if (v1 <= v < v2) or (v2 <= v < v1):
                crossings.append(u1 + (v - v1) / (v2 - v1) * (u2 - u1))
        crossings.sort()
        for a, b in zip(crossings[::2], crossings[1::2], strict=False):
            pieces.append(((a * c + v * s, -a * s + v * c), (b * c + v * s, -b * s + v * c)))
    return pieces


def _run(pieces: list[tuple[Point, Point]]) -> str:
    return "".join(
        f"M{pen.num(a[0])} {pen.num(a[1])}L{pen.num(b[0])} {pen.num(b[1])}" for a, b in pieces
    )


def hatch(
    outline: list[Point],
    spacing: float,
    angle: float = 45.0,
    offset: float = 0.0,
    dashes: tuple[float, ...] = (),
    width: float = 1.0,
    stroke: str = "ink",
    stagger: float = 0.0,
) -> Markup:
    """Return one set of parallel lines across an outline, as one path."""
    d = _run(parallels(outline, spacing, angle, offset))
    if not d:
        return Markup("")
    return pen.path(
        d,
        width,
        stroke,
        stroke_dasharray=" ".join(pen.fine(v) for v in dashes) or None,
        stroke_dashoffset=pen.fine(stagger) if stagger else None,
    )


def fill_lining(
    material: str, outline: list[Point], scale: float = 1.0, width: float = 1.0, stroke: str = "ink"
) -> Markup:
    """Return the lining of a material across an outline. Unknown materials are left blank.

    Args:
        material: A key of `MATERIALS`.
        outline: The corners of a closed polygon, px.
        scale: Stretches the spacing.
        width, stroke: Of the lines.
    """
    lining = MATERIALS.get(material, MATERIALS["not_known"])
    if lining.form == "grain":
        return _grain(outline, lining.repeat * scale, width, stroke)
    if lining.form == "loose":
        return _loose(outline, lining.repeat * scale, width, stroke)
    if lining.form == "blank":
        return Markup("")
    return Markup(
        "".join(
            hatch(
                outline,
                lining.repeat * scale,
                angle,
                offset * scale,
                tuple(d * scale for d in dashes),
                width,
                stroke,
                # Every second set begins half a dash later, to stagger horizontal dashes.
                stagger=sum(dashes[:2]) / 2 * scale if dashes and angle == 0 and offset else 0,
            )
            for offset, dashes, angle in lining.runs
        )
    )


def _grain(outline: list[Point], spacing: float, width: float, stroke: str) -> Markup:
    waves = []
    for row, ((x1, y), (x2, _)) in enumerate(parallels(outline, spacing, 0.0, spacing / 2)):
        x1, x2 = min(x1, x2), max(x1, x2)
        step = 4 * spacing
        d, x, up = f"M{pen.num(x1)} {pen.num(y)}", x1, row % 3 - 1
        while x2 - x > 0.5:
            half = min(step, x2 - x)
            up = 1 if up <= 0 else -1
            d += f"q{pen.num(half / 2)} {pen.num(up * spacing * 0.3)} {pen.num(half)} 0"
            x += half
        waves.append(d)
    return pen.path("".join(waves), width, stroke) if waves else Markup("")


def _loose(outline: list[Point], spacing: float, width: float, stroke: str) -> Markup:
    strokes = (5, 4, 3, 11)
    parts = [
        hatch(outline, spacing * 1.6, 45.0, 0, strokes, width, stroke),
        hatch(outline, spacing * 1.6, 45.0, 2.5, (4, 8, 3, 8), width, stroke, stagger=6),
    ]
    return Markup("".join(parts))


# Long lists draw the same few again and again.
@lru_cache(maxsize=256)
def swatch(
    material: str, width: float = 30, height: float = 18, title: str = "", scale: float = 1.0
) -> Markup:
    """Return the swatch of a material: its lining inside an ink edge.

    Args:
        material: A key of `MATERIALS`.
        width, height: The size, px: 30 by 18 in tables, 88 by 46 on the phone.
        title: Said aloud; leave it empty where the word stands beside it.
        scale: Stretches the lining.
    """
    inner = rectangle(0.5, 0.5, width - 1, height - 1)
    mark = fill_lining(material, inner, scale)
    if MATERIALS.get(material, MATERIALS["not_known"]).form == "blank":
        size = min(height * 0.72, 26)
        mark = pen.letters(
            width / 2, height / 2 + size * 0.36, "?", size, anchor="middle", weight=700
        )
    return pen.sheet(
        width,
        height,
        pen.rect(0, 0, width, height, fill="sheet"),
        mark,
        pen.rect(0.5, 0.5, width - 1, height - 1, stroke="ink", width=1),
        title=title,
        css="swatch",
        # The lining keeps its angle where a style sheet changes the shape.
        preserveAspectRatio="xMidYMid slice",
    )
