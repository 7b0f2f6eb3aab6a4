"""A small dimensioned sketch of a part, cut through its middle, drawn from its shapes to scale."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import cos, pi, sin, sqrt

from ...trade.solids import AXES
from . import lining, pen
from .dimensions import Dim, arrow, closed, rows
from .pen import Drawn

ROUND = {"bar", "tube", "cone", "ring", "sphere", "flange", "flywheel"}
Box = tuple[tuple[float, float], tuple[float, float], tuple[float, float]]


@dataclass(frozen=True)
class Piece:
    """One shape of the part.

    Args:
        shape: A key of `trade.shapes.SHAPES`.
        sizes: Its sizes by key [mm], counts as they are.
        texts: What stands on the dimension of each size: as it was written.
        away: True for what is taken away.
        at: Where the middle of its first face stands [mm].
        along: Its axis, "x", "y" or "z".
        times: How many; several stand round the place that is given, so none is drawn there.
    """

    shape: str
    sizes: Mapping[str, float]
    texts: Mapping[str, str] = field(default_factory=dict)
    away: bool = False
    at: tuple[float, float, float] = (0.0, 0.0, 0.0)
    along: str = "z"
    times: int = 1

    def own(self) -> tuple[float, float, float]:
        """How far it reaches along its own axes [mm]."""
        s = self.sizes
        if self.shape == "plate":
            return s["width"], s["thickness"], s["length"]
        if self.shape in ("square", "hexagon", "octagon"):
            flats = s["across_flats"]
            corners = flats * 2 / sqrt(3) if self.shape == "hexagon" else flats
            return corners, flats, s["length"]
        if self.shape == "ring":
            across = s["mean_diameter"] + s["section"]
            return across, across, s["section"]
        if self.shape == "sphere":
            return (s["diameter"],) * 3
        across = max(s.get("diameter", 0.0), s.get("far_diameter", 0.0))
        long = s.get("length") or s.get("thickness") or 0.0
        if self.shape == "flywheel":
            long = max(s["face"], s["hub_length"])
        return across, across, long

    def box(self) -> Box:
        """Where it begins and ends along x, y and z [mm]."""
        own, found = self.own(), []
        for axis in range(3):
            which = AXES[self.along][axis]
            start = self.at[axis]
            if which != 2:
                found.append((start - own[which] / 2, start + own[which] / 2))
            elif self.shape == "flywheel":
                middle = start + self.sizes["face"] / 2
                found.append((middle - own[2] / 2, middle + own[2] / 2))
            else:
                found.append((start, start + own[2]))
        return tuple(found)


class _View:
    """The cut through the middle: `u` runs level along the part, `v` stands upright on the sheet.

    Millimetres become px here.
    """

    def __init__(self, pieces: Sequence[Piece], width: float, letter: float):
        self.pieces, self.letter = pieces, letter
        solid = [p for p in pieces if not p.away] or list(pieces)
        boxes = [p.box() for p in solid]
        self.reach = [(min(b[i][0] for b in boxes), max(b[i][1] for b in boxes)) for i in range(3)]
        biggest = max(solid, key=lambda p: p.own()[0] * p.own()[1] * p.own()[2])
        lying = "xyz".index(biggest.along)
        if biggest.own()[2] < max(biggest.own()[:2]) and biggest.shape not in ROUND:
            spans = [high - low for low, high in self.reach]
            lying = spans.index(max(spans))
        self.u = lying
        # The wider of the two others stands upright; the third is across the sheet.
        rest = [i for i in range(3) if i != lying]
        rest.sort(key=lambda i: self.reach[i][0] - self.reach[i][1])
        self.v, self.w = rest
        # Rows of dimensions take room from the part; two on each side are reckoned with first.
        spans = [max(self.span(i), 1e-6) for i in (self.u, self.v)]
        self.scale = min((width - 8 * letter) / spans[0], 190 * letter / 12.5 / spans[1])
        self.below, self.left, self.right = self._dims()
        row = letter * 1.7
        self.pad_left = 10 + row * len(self.left)
        self.pad_right = 10 + row * len(self.right)
        room = width - self.pad_left - self.pad_right
        du, dv = (max(self.span(i), 1e-6) for i in (self.u, self.v))
        self.scale = min(room / du, 190 * letter / 12.5 / dv)
        self.x0 = self.pad_left + (room - du * self.scale) / 2
        self.y0 = 10.0
        self.width, self.row = width, row
        self.drawn_to = self.y0 + dv * self.scale + 10 + row * len(self.below)
        self.height = self.drawn_to + (row if self.unseen() else 0)

    def span(self, axis: int) -> float:
        return self.reach[axis][1] - self.reach[axis][0]

    def x(self, u: float) -> float:
        return self.x0 + (u - self.reach[self.u][0]) * self.scale

    def y(self, v: float) -> float:
        return self.y0 + (self.reach[self.v][1] - v) * self.scale

    def _dims(self):
        """Dimensions below (lengths), at the left (outsides) and at the right (what is away)."""
        below: list[Dim] = []
        left: list[Dim] = []
        right: list[Dim] = []
        for p in self.pieces:
            if p.times > 1:
                continue
            for key, text in p.texts.items():
                axis, low, high = self._where(p, key)
                if axis == self.u:
                    below.append(self._dim(low, high, text))
                elif axis == self.v:
                    mark = "Ø " if p.shape in ROUND and key != "thickness" else ""
                    inside = p.away or key in ("bore", "rim_inside")
                    (right if inside else left).append(self._dim(low, high, mark + text))
        return rows(below, 4), rows(left, 3), rows(right, 3)

    def _dim(self, low: float, high: float, text: str) -> Dim:
        wide = pen.letters_width(text, self.letter) + 8
        return Dim(low, high, text, max(0.0, wide / self.scale - (high - low)) / 2)

    def _where(self, p: Piece, key: str) -> tuple[int, float, float]:
        """Which axis a size runs along, and from where to where [mm]; -1: not on this view."""
        box, along = p.box(), "xyz".index(p.along)
        if key in ("length", "face", "hub_length") or (key == "thickness" and p.shape == "flange"):
            low, high = box[along]
            middle, size = (low + high) / 2, p.sizes[key]
            return along, middle - size / 2, middle + size / 2
        if key in ("width", "thickness") and p.shape == "plate":
            which = 0 if key == "width" else 1
            axis = AXES[p.along].index(which)
            return axis, *box[axis]
        if key in ("diameter", "far_diameter", "bore", "rim_inside", "hub", "across_flats"):
            axis = self.v if self.v != along else self.w
            if key == "across_flats":
                axis = AXES[p.along].index(1)
            middle, size = p.at[axis], p.sizes[key]
            return axis, middle - size / 2, middle + size / 2
        return -1, 0.0, 0.0

    # What is drawn

    def outlines(self, p: Piece) -> list[list[tuple[float, float]]]:
        """The cut faces of a shape, each a closed polygon, in px."""
        box, along = p.box(), "xyz".index(p.along)
        (u1, u2), (v1, v2) = box[self.u], box[self.v]
        if p.shape == "sphere" or (along not in (self.u, self.v) and p.shape in ROUND):
            return [self._circle(p.at if p.shape != "sphere" else _middle(box), (v2 - v1) / 2)]
        if p.shape == "cone" and along == self.u:
            a, b, m = p.sizes.get("diameter", 0), p.sizes.get("far_diameter", 0), p.at[self.v]
            corners = [(u1, m - a / 2), (u2, m - b / 2), (u2, m + b / 2), (u1, m + a / 2)]
            return [self._polygon(corners)]
        if p.shape == "flywheel" and along == self.u:
            return self._wheel(p)
        return [self._polygon([(u1, v1), (u2, v1), (u2, v2), (u1, v2)])]

    def holes(self, p: Piece) -> list[list[tuple[float, float]]]:
        """What of a shape is empty by itself: the bore of a tube, of a flange."""
        bore, along = p.sizes.get("bore", 0), "xyz".index(p.along)
        if not bore or p.shape == "flywheel":
            return []
        if along != self.u:
            return [self._circle(p.at, bore / 2)] if along == self.w else []
        u1, u2 = p.box()[self.u]
        m = p.at[self.v]
        return [
            self._polygon(
                [(u1, m - bore / 2), (u2, m - bore / 2), (u2, m + bore / 2), (u1, m + bore / 2)]
            )
        ]

    def _wheel(self, p: Piece) -> list[list[tuple[float, float]]]:
        s, m, start = p.sizes, p.at[self.v], p.at[self.u]
        middle, found = start + s["face"] / 2, []
        for sign in (1, -1):
            for inner, outer, wide in (
                (s["rim_inside"] / 2, s["diameter"] / 2, s["face"]),
                (s.get("bore", 0) / 2, s["hub"] / 2, s["hub_length"]),
            ):
                found.append(
                    self._polygon(
                        [
                            (middle - wide / 2, m + sign * inner),
                            (middle + wide / 2, m + sign * inner),
                            (middle + wide / 2, m + sign * outer),
                            (middle - wide / 2, m + sign * outer),
                        ]
                    )
                )
        return found

    def arms(self, p: Piece) -> list[list[tuple[float, float]]]:
        """The arms of a wheel, which the cut does not go through: drawn whole, without lining."""
        if p.shape != "flywheel" or "xyz".index(p.along) != self.u or not p.sizes.get("arms"):
            return []
        s, m, middle = p.sizes, p.at[self.v], p.at[self.u] + p.sizes["face"] / 2
        near, far = s.get("arm_thickness", 0) / 2, s.get("arm_thickness_at_rim", 0) / 2
        hub, rim = s["hub"] / 2, s["rim_inside"] / 2
        return [
            self._polygon(
                [
                    (middle - near, m + sign * hub),
                    (middle + near, m + sign * hub),
                    (middle + far, m + sign * rim),
                    (middle - far, m + sign * rim),
                ]
            )
            for sign in (1, -1)
        ]

    def unseen(self) -> list[str]:
        """Sizes across the sheet, and shapes that stand there several times."""
        across = [
            f"{key.replace('_', ' ')} {text}"
            for p in self.pieces
            if p.shape == "plate" and p.times == 1
            for key, text in p.texts.items()
            if self._where(p, key)[0] == self.w
        ]
        several = [
            f"{p.times} × {'Ø ' if p.shape in ROUND else ''}{next(iter(p.texts.values()), '')}"
            for p in self.pieces
            if p.times > 1
        ]
        return [*across[:2], *several[:2]]

    def _circle(self, at, radius: float) -> list[tuple[float, float]]:
        x, y, r = self.x(at[self.u]), self.y(at[self.v]), radius * self.scale
        return [(x + r * cos(pi * k / 24), y + r * sin(pi * k / 24)) for k in range(48)]

    def _polygon(self, corners) -> list[tuple[float, float]]:
        return [(self.x(u), self.y(v)) for u, v in corners]

    def centre_line(self) -> Drawn:
        y = self.y(sum(self.reach[self.v]) / 2)
        ends = self.x(self.reach[self.u][0]) - 7, self.x(self.reach[self.u][1]) + 7
        return pen.line(
            ends[0], y, ends[1], y, 0.7, "ink2", stroke_dasharray="18 3 3 3", opacity="0.75"
        )

    def dimensions(self) -> list[Drawn]:
        drawn = []
        foot = self.y(self.reach[self.v][0])
        for n, row in enumerate(self.below):
            for dim in row:
                drawn += self._level(dim, foot + 10 + self.row * (n + 0.6), foot)
        for side, beside in ((-1, self.left), (1, self.right)):
            edge = self.x(self.reach[self.u][0 if side < 0 else 1])
            for n, row in enumerate(beside):
                for dim in row:
                    drawn += self._upright(dim, edge + side * (10 + self.row * (n + 0.4)), edge)
        return drawn

    def _level(self, dim: Dim, y: float, edge: float) -> list[Drawn]:
        a, b = self.x(dim.low), self.x(dim.high)
        wide = pen.letters_width(dim.text, self.letter) + 6
        inside = wide < b - a - 8
        middle = min(max((a + b) / 2, wide / 2 + 2), self.width - wide / 2 - 2)
        drawn = [
            pen.line(a, edge + 2, a, y + 3, 0.7, "ink2"),
            pen.line(b, edge + 2, b, y + 3, 0.7, "ink2"),
            pen.line(a, y, b, y, 0.7),
            arrow(a, y, 1, 0),
            arrow(b, y, -1, 0),
        ]
        if not inside:  # the text stands beside the dimension
            middle = b + wide / 2 + 4
            if middle + wide / 2 > self.width:
                middle = a - wide / 2 - 4
        return [*drawn, *self._plate(dim.text, middle, y, wide)]

    def _upright(self, dim: Dim, x: float, edge: float) -> list[Drawn]:
        a, b = self.y(dim.high), self.y(dim.low)
        wide = pen.letters_width(dim.text, self.letter) + 6
        middle = min(max((a + b) / 2, wide / 2 + 2), self.height - wide / 2 - 2)
        back = 2 if x > edge else -2
        drawn = [
            pen.line(edge + back, a, x + back, a, 0.7, "ink2"),
            pen.line(edge + back, b, x + back, b, 0.7, "ink2"),
            pen.line(x, a, x, b, 0.7),
            arrow(x, a, 0, 1),
            arrow(x, b, 0, -1),
        ]
        turned = pen.group(
            *self._plate(dim.text, x, middle, wide),
            transform=f"rotate(-90 {pen.num(x)} {pen.num(middle)})",
        )
        return [*drawn, turned]

    def _plate(self, text: str, x: float, y: float, wide: float) -> list[Drawn]:
        size = self.letter
        return [
            pen.rect(x - wide / 2, y - size * 0.6, wide, size * 1.2, fill="sheet"),
            pen.letters(x, y + size * 0.36, text, size, anchor="middle"),
        ]


def _middle(box: Box) -> list[float]:
    return [(low + high) / 2 for low, high in box]


def part_sketch(
    pieces: Sequence[Piece],
    material: str,
    *,
    width: float = 342.0,
    letter: float = 12.5,
    title: str = "Sketch of the part, cut through its middle",
) -> Drawn:
    """Draw a part, cut through its middle, to scale, with its sizes.

    Args:
        pieces: Its shapes, as they stand in the record.
        material: A key of `lining.MATERIALS`.
        width: Of the drawing, px.
        letter: Size of the letters, px.
        title: Said aloud.

    Returns:
        The drawing; nothing when there is no shape with a size.
    """
    if not pieces or all(max(p.own()) <= 0 for p in pieces):
        return Drawn("")
    view = _View(pieces, width, letter)
    unseen = view.unseen()
    drawn = []
    for piece in pieces:
        if piece.away or piece.times > 1:
            continue
        drawn += [pen.path(closed(arm), 0.8, "ink", "sheet") for arm in view.arms(piece)]
        for outline in view.outlines(piece):
            drawn.append(pen.path(closed(outline), 1.4, "ink", "sheet"))
            drawn.append(lining.fill_lining(material, outline, 1.2, 0.7))
        drawn += [pen.path(closed(hole), 1.1, "ink", "sheet") for hole in view.holes(piece)]
    for piece in pieces:
        if piece.away and piece.times == 1:
            drawn += [pen.path(closed(o), 1.1, "ink", "sheet") for o in view.outlines(piece)]
    return pen.sheet(
        width,
        view.height,
        *drawn,
        view.centre_line(),
        *view.dimensions(),
        *(
            [
                pen.letters(
                    width / 2, view.drawn_to + letter, ", ".join(unseen), letter, "ink2", "middle"
                )
            ]
            if unseen
            else []
        ),
        title=title,
        fit=True,
        css="sketch",
    )
