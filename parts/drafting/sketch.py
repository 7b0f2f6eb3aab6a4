"""A dimensioned sketch of a part, cut through its middle, drawn to scale from its shapes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import cos, pi, radians, sin, sqrt

from parts.engineering.solids.masses import AXES
from parts.engineering.solids.shapes import SHAPES

from . import lining, pen
from .dimensions import Dim, arrow, closed, rows
from .pen import Markup

ROUND = {"bar", "tube", "cone", "ring", "sphere", "flange", "flywheel"}
PART_ROUND = {"sector", "half_shell"}
"""Shapes that go only part of the way round: they are drawn as seen along their axis."""
GAP = 5.0  # px between the last dimension and the notes
ACROSS = ("diameter", "far_diameter", "bore", "rim_inside", "hub", "flange_diameter")
Box = tuple[tuple[float, float], tuple[float, float], tuple[float, float]]


@dataclass(frozen=True)
class Piece:
    """One shape of the part.

    Args:
        shape: A key of `SHAPES` of parts/engineering/solids/shapes.py.
        sizes: Its sizes by key [mm], counts as they are.
        texts: The text of the dimension of each size, as it was written.
        away: True for a shape that is taken away.
        at: Place of the middle of its first face [mm].
        along: Its axis, "x", "y" or "z".
        times: How many.
        set_out: How several are set out: "circle", or a row along "x", "y" or "z"; "" not known.
        spacing: Diameter of the circle, or distance from one to the next [mm].
        spacing_text: The spacing as text.
    """

    shape: str
    sizes: Mapping[str, float]
    texts: Mapping[str, str] = field(default_factory=dict)
    away: bool = False
    at: tuple[float, float, float] = (0.0, 0.0, 0.0)
    along: str = "z"
    times: int = 1
    set_out: str = ""
    spacing: float = 0.0
    spacing_text: str = ""

    def own(self) -> tuple[float, float, float]:
        """Return its extent along its own axes [mm]."""
        return tuple(high - low for low, high in self._own_box())

    def _own_box(self) -> Box:
        s = self.sizes
        if self.shape in PART_ROUND:
            return self._arc_box()
        if self.shape == "plate":
            across = s["width"], s["thickness"]
        elif self.shape in ("square", "hexagon", "octagon"):
            flats = s["across_flats"]
            across = (flats * 2 / sqrt(3) if self.shape == "hexagon" else flats), flats
        elif self.shape == "ring":
            across = (s["mean_diameter"] + s["section"],) * 2
        else:
            across = (max(s.get("diameter", 0.0), s.get("far_diameter", 0.0)),) * 2
        if self.shape == "flywheel":
            middle, long = s["face"] / 2, max(s["face"], s["hub_length"]) / 2
            ends = middle - long, middle + long
        else:
            keys = ("length", "thickness", "section", "diameter")
            ends = 0.0, next((s[key] for key in keys if s.get(key)), 0.0)
        wide, high = across
        return (-wide / 2, wide / 2), (-high / 2, high / 2), ends

    def _arc_box(self) -> Box:
        s, half = self.sizes, radians(self.angle / 2)
        outer, inner = max(s["diameter"], s.get("flange_diameter", 0.0)) / 2, s["bore"] / 2
        wide = outer * sin(min(half, pi / 2))
        foot = min(outer * cos(half), inner * cos(half))
        return (-wide, wide), (foot, outer), (0.0, s["length"])

    @property
    def angle(self) -> float:
        """The angle that it covers [deg]."""
        return self.sizes.get("angle", 180.0) if self.shape in PART_ROUND else 360.0

    def box(self) -> Box:
        """Return where it begins and ends along x, y and z [mm]."""
        own = self._own_box()
        return tuple(
            (self.at[axis] + own[which][0], self.at[axis] + own[which][1])
            for axis, which in enumerate(AXES[self.along])
        )

    def copies(self, up: int | None = None) -> list[Piece]:
        """Return a piece for each of `times`, in its place; none where the places are not known.

        Args:
            up: The axis (0, 1, 2) of the part towards which the first of a circle stands.
        """
        if self.times == 1:
            return [self]
        if not self.set_out or self.times > MOST_DRAWN:
            return []
        one = replace(self, times=1, texts={})
        if self.set_out != "circle":
            axis = "xyz".index(self.set_out)
            first = -(self.times - 1) / 2
            return [one._moved(axis, (first + n) * self.spacing) for n in range(self.times)]
        axes = [axis for axis in range(3) if AXES[self.along][axis] != 2]
        if up == axes[0]:
            axes.reverse()
        copies = []
        for n in range(self.times):
            angle = 2 * pi * n / self.times
            first_move = one._moved(axes[1], self.spacing / 2 * cos(angle))
            copies.append(first_move._moved(axes[0], self.spacing / 2 * sin(angle)))
        return copies

    def _moved(self, axis: int, by: float) -> Piece:
        at = tuple(place + by * (n == axis) for n, place in enumerate(self.at))
        return replace(self, at=at)

    def bolt_holes(self) -> Piece | None:
        """Return the bolt holes of a flange, as a piece that is taken away."""
        s = self.sizes
        if self.shape != "flange" or not s.get("holes"):
            return None
        hole = {"diameter": s["hole"], "length": s["thickness"]}
        return Piece(
            "bar", hole, {}, True, self.at, self.along, int(s["holes"]), "circle", s["bolt_circle"]
        )


MOST_DRAWN = 60  # more holes than this are named, not drawn


def _bulk(piece: Piece) -> float:
    wide, high, long = piece.own()
    return wide * high * long


class _View:
    """The section through the middle: axis `u` is horizontal on the sheet, axis `v` vertical.

    A part with a half ring in it is cut across its axis. Converts millimetres to px.
    """

    def __init__(self, pieces: Sequence[Piece], width: float, letter: float):
        self.pieces, self.letter = pieces, letter
        solid = [p for p in pieces if not p.away] or list(pieces)
        boxes = [one.box() for p in solid for one in p.copies() or [p]]
        self.reach = [(min(b[i][0] for b in boxes), max(b[i][1] for b in boxes)) for i in range(3)]
        biggest = max(solid, key=_bulk)
        self.arched = max((p for p in pieces if p.shape in PART_ROUND), key=_bulk, default=None)
        if self.arched:
            self.u, self.v, self.w = (AXES[self.arched.along].index(own) for own in range(3))
        else:
            self.u, self.v, self.w = self._lying(biggest)
        self.middle = sum(self.reach[self.w]) / 2
        # The scale depends on the rows of dimensions and they on it: begin with two on each side.
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
        self.notes = self._wrapped(self.unseen())
        self.height = self.drawn_to + row * len(self.notes) + (GAP if self.notes else 0)

    def _lying(self, biggest: Piece) -> tuple[int, int, int]:
        """Return the horizontal axis, the vertical one and the one across the sheet."""
        lying = "xyz".index(biggest.along)
        spans = [high - low for low, high in self.reach]
        if biggest.own()[2] < max(biggest.own()[:2]) and biggest.shape not in ROUND:
            lying = spans.index(max(spans))
        # The wider of the two others is vertical.
        rest = sorted((i for i in range(3) if i != lying), key=lambda i: -spans[i])
        return lying, *rest

    def span(self, axis: int) -> float:
        return self.reach[axis][1] - self.reach[axis][0]

    def x(self, u: float) -> float:
        return self.x0 + (u - self.reach[self.u][0]) * self.scale

    def y(self, v: float) -> float:
        return self.y0 + (self.reach[self.v][1] - v) * self.scale

    def _dims(self):
        """Return the dimensions below (lengths), at the left (outsides) and right (holes)."""
        below: list[Dim] = []
        left: list[Dim] = []
        right: list[Dim] = []
        for p in self.pieces:
            if p.times > 1:
                continue
            for key, text in p.texts.items():
                axis, low, high = self._where(p, key)
                mark = "Ø " if key in ACROSS and p.shape in ROUND | PART_ROUND else ""
                if axis == self.u:
                    below.append(self._dim(low, high, mark + text))
                elif axis == self.v:
                    inside = p.away or key in ("bore", "rim_inside")
                    (right if inside else left).append(self._dim(low, high, mark + text))
        return rows(below, 4), rows(left, 3), rows(right, 3)

    def _dim(self, low: float, high: float, text: str) -> Dim:
        wide = pen.letters_width(text, self.letter) + 8
        return Dim(low, high, text, max(0.0, wide / self.scale - (high - low)) / 2)

    def _where(self, p: Piece, key: str) -> tuple[int, float, float]:
        """Return the axis of a size and its ends [mm]; -1: not in this view."""
        box, along = p.box(), "xyz".index(p.along)
        if key in ("length", "face", "hub_length") or (key == "thickness" and p.shape == "flange"):
            low, high = box[along]
            middle, size = (low + high) / 2, p.sizes[key]
            return along, middle - size / 2, middle + size / 2
        if key in ("width", "thickness") and p.shape == "plate":
            which = 0 if key == "width" else 1
            axis = AXES[p.along].index(which)
            return axis, *box[axis]
        if p.shape in PART_ROUND:
            whole = p.angle >= 180 and along == self.w
            if key not in ACROSS or not whole:
                return -1, 0.0, 0.0
            middle, size = p.at[self.u], p.sizes[key]
            return self.u, middle - size / 2, middle + size / 2
        if key in (*ACROSS, "across_flats"):
            axis = self.v if self.v != along else self.u
            if key == "across_flats":
                axis = AXES[p.along].index(1)
            middle, size = p.at[axis], p.sizes[key]
            return axis, middle - size / 2, middle + size / 2
        return -1, 0.0, 0.0

    # What is drawn

    def outlines(self, p: Piece) -> list[list[tuple[float, float]]]:
        """Return the cut faces of a shape, each a closed polygon, in px."""
        box, along = p.box(), "xyz".index(p.along)
        (u1, u2), (v1, v2) = box[self.u], box[self.v]
        if p.shape in PART_ROUND and along == self.w:
            return [self._arc(p, p.sizes["bore"], p.sizes["diameter"])]
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
        """Return the holes of a shape: the bore of a tube or flange, and its bolt holes."""
        outlines, bore = [], p.sizes.get("bore", 0)
        if bore and p.shape in ("tube", "flange"):
            ends = {"diameter": bore, "length": p.sizes.get("length") or p.sizes["thickness"]}
            outlines += self.outlines(Piece("bar", ends, at=p.at, along=p.along))
        bolts = p.bolt_holes()
        for one in bolts.copies(self.v) if bolts else ():
            if "xyz".index(p.along) == self.w or self.is_cut(one):
                outlines += self.outlines(one)
        return outlines

    def is_cut(self, p: Piece) -> bool:
        """Return whether the cut goes through it, so that it is not hidden behind the cut."""
        low, high = p.box()[self.w]
        return low < self.middle < high

    def _arc(self, p: Piece, inner: float, outer: float) -> list[tuple[float, float]]:
        """Return a ring sector as seen along its axis, in px."""
        half, u, v = radians(p.angle / 2), p.at[self.u], p.at[self.v]
        steps = max(4, round(p.angle / 5))
        turns = [half - 2 * half * k / steps for k in range(steps + 1)]

        def arc(diameter: float, turns) -> list[tuple[float, float]]:
            r = diameter / 2
            return [(self.x(u + r * sin(t)), self.y(v + r * cos(t))) for t in turns]

        inside = arc(inner, reversed(turns)) if inner else [(self.x(u), self.y(v))]
        return arc(outer, turns) + inside

    def behind(self, p: Piece) -> list[list[tuple[float, float]]]:
        """Return what is visible behind the cut: the flange of a half shell."""
        if p.shape != "half_shell" or not p.sizes.get("flanges") or "xyz".index(p.along) != self.w:
            return []
        return [self._arc(p, p.sizes["bore"], p.sizes["flange_diameter"])]

    def _wheel(self, p: Piece) -> list[list[tuple[float, float]]]:
        s, m, start = p.sizes, p.at[self.v], p.at[self.u]
        middle, outlines = start + s["face"] / 2, []
        for sign in (1, -1):
            for inner, outer, wide in (
                (s["rim_inside"] / 2, s["diameter"] / 2, s["face"]),
                (s.get("bore", 0) / 2, s["hub"] / 2, s["hub_length"]),
            ):
                outlines.append(
                    self._polygon(
                        [
                            (middle - wide / 2, m + sign * inner),
                            (middle + wide / 2, m + sign * inner),
                            (middle + wide / 2, m + sign * outer),
                            (middle - wide / 2, m + sign * outer),
                        ]
                    )
                )
        return outlines

    def arms(self, p: Piece) -> list[list[tuple[float, float]]]:
        """Return the arms of a wheel, which are not cut: drawn without lining."""
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
        """Return the sizes that have no dimension in this view, and the shapes that repeat."""
        notes: list[str] = []
        repeats: Counter[str] = Counter()
        for p in self.pieces:
            if p.times > 1:
                mark = "Ø " if p.shape in ROUND else ""
                repeats[f"{mark}{next(iter(p.texts.values()), '')}{_set_out(p)}"] += p.times
            elif p.shape == "flange" and p.sizes.get("holes") and "hole" in p.texts:
                circle = (
                    f" on a circle of Ø {p.texts['bolt_circle']}"
                    if "bolt_circle" in p.texts
                    else ""
                )
                notes.append(f"{p.sizes['holes']:g} × Ø {p.texts['hole']}{circle}")
            elif not p.away and p.shape in {"plate", *PART_ROUND}:
                notes += [
                    f"{SHAPES[p.shape].sizes[key][1]} {text}"
                    for key, text in p.texts.items()
                    if self._where(p, key)[0] not in (self.u, self.v)
                    and key not in SHAPES[p.shape].counts
                    and not (key == "angle" and p.angle == 180)
                ]
        notes += [f"{times} × {what}" for what, times in repeats.items()]
        return list(dict.fromkeys(notes))[:6]

    def _wrapped(self, notes: list[str]) -> list[str]:
        """Return the notes under the drawing, as many to a line as fit."""
        lines: list[str] = []
        for text in notes:
            longer = f"{lines[-1]}, {text}" if lines else text
            if lines and pen.letters_width(longer, self.letter) > self.width - 8:
                lines.append(text)
            else:
                lines[-1:] = [longer]
        return lines

    def _circle(self, at, radius: float) -> list[tuple[float, float]]:
        x, y, r = self.x(at[self.u]), self.y(at[self.v]), radius * self.scale
        return [(x + r * cos(pi * k / 24), y + r * sin(pi * k / 24)) for k in range(48)]

    def _polygon(self, corners) -> list[tuple[float, float]]:
        return [(self.x(u), self.y(v)) for u, v in corners]

    def centre_lines(self) -> list[Markup]:
        """Return the centre lines: along the part, or both through the centre of a half ring."""
        places = [(self.u, self.arched.at[self.v] if self.arched else sum(self.reach[self.v]) / 2)]
        if self.arched:
            places.append((self.v, self.arched.at[self.u]))
        lines = []
        for axis, at in places:
            low, high = self.reach[axis]
            if axis == self.u:
                ends = self.x(low) - 7, self.y(at), self.x(high) + 7, self.y(at)
            else:
                ends = self.x(at), self.y(high) - 7, self.x(at), self.y(low) + 7
            look = {"stroke_dasharray": "18 3 3 3", "opacity": "0.75"}
            lines.append(pen.line(*ends, 0.7, "ink2", **look))
        return lines

    def dimensions(self) -> list[Markup]:
        shapes = []
        foot = self.y(self.reach[self.v][0])
        for n, row in enumerate(self.below):
            for dim in row:
                shapes += self._level(dim, foot + 10 + self.row * (n + 0.6), foot)
        for side, beside in ((-1, self.left), (1, self.right)):
            edge = self.x(self.reach[self.u][0 if side < 0 else 1])
            for n, row in enumerate(beside):
                for dim in row:
                    shapes += self._upright(dim, edge + side * (10 + self.row * (n + 0.4)), edge)
        return shapes

    def _level(self, dim: Dim, y: float, edge: float) -> list[Markup]:
        a, b = self.x(dim.low), self.x(dim.high)
        wide = pen.letters_width(dim.text, self.letter) + 6
        inside = wide < b - a - 8
        middle = min(max((a + b) / 2, wide / 2 + 2), self.width - wide / 2 - 2)
        shapes = [
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
        return [*shapes, *self._plate(dim.text, middle, y, wide)]

    def _upright(self, dim: Dim, x: float, edge: float) -> list[Markup]:
        a, b = self.y(dim.high), self.y(dim.low)
        wide = pen.letters_width(dim.text, self.letter) + 6
        middle = min(max((a + b) / 2, wide / 2 + 2), self.height - wide / 2 - 2)
        back = 2 if x > edge else -2
        shapes = [
            pen.line(edge + back, a, x + back, a, 0.7, "ink2"),
            pen.line(edge + back, b, x + back, b, 0.7, "ink2"),
            pen.line(x, a, x, b, 0.7),
            arrow(x, a, 0, 1),
            arrow(x, b, 0, -1),
        ]
        rotated_text = pen.group(
            *self._plate(dim.text, x, middle, wide),
            transform=f"rotate(-90 {pen.num(x)} {pen.num(middle)})",
        )
        return [*shapes, rotated_text]

    def _plate(self, text: str, x: float, y: float, wide: float) -> list[Markup]:
        size = self.letter
        return [
            pen.rect(x - wide / 2, y - size * 0.6, wide, size * 1.2, fill="sheet"),
            pen.letters(x, y + size * 0.36, text, size, anchor="middle"),
        ]


def _set_out(p: Piece) -> str:
    if p.set_out == "circle":
        return f" on a circle of Ø {p.spacing_text}"
    return f", {p.spacing_text} apart" if p.set_out else ""


def _middle(box: Box) -> list[float]:
    return [(low + high) / 2 for low, high in box]


def part_sketch(
    pieces: Sequence[Piece],
    material: str,
    *,
    width: float = 342.0,
    letter: float = 12.5,
    title: str = "Sketch of the part, cut through its middle",
) -> Markup:
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
        return Markup("")
    view = _View(pieces, width, letter)
    shapes = []
    for piece in (one for p in pieces if not p.away for one in p.copies(view.v)):
        shapes += [pen.path(closed(o), 0.8, "ink", "sheet") for o in view.behind(piece)]
        shapes += [pen.path(closed(arm), 0.8, "ink", "sheet") for arm in view.arms(piece)]
        for outline in view.outlines(piece):
            shapes.append(pen.path(closed(outline), 1.4, "ink", "sheet"))
            shapes.append(lining.fill_lining(material, outline, 1.2, 0.7))
        shapes += [pen.path(closed(hole), 1.1, "ink", "sheet") for hole in view.holes(piece)]
    for piece in (one for p in pieces if p.away for one in p.copies(view.v)):
        look = (1.1, "ink", "sheet") if view.is_cut(piece) else (0.8, "ink2", "none")
        dashes = {} if view.is_cut(piece) else {"stroke_dasharray": "4 2.5"}
        shapes += [pen.path(closed(o), *look, **dashes) for o in view.outlines(piece)]
    return pen.sheet(
        width,
        view.height,
        *shapes,
        *view.centre_lines(),
        *view.dimensions(),
        *(
            pen.letters(
                width / 2,
                view.drawn_to + GAP + view.row * n + letter,
                line,
                letter,
                "ink2",
                "middle",
            )
            for n, line in enumerate(view.notes)
        ),
        title=title,
        fit=True,
        css="sketch",
    )
