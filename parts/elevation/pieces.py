"""Pieces: what a general arrangement is made of, each tied to the starter list of its kind."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from .shapes import Point, Shape, extent, scaled
from .sight import Seen, spot_in_sight

Box = tuple[float, float, float, float]


@dataclass(frozen=True, eq=False)
class Piece:
    """One drawn piece. All lengths are inches about the crank centre, y up.

    Args:
        key: Its name in this drawing.
        component: Number of its component in the starter list of the kind; 0 for ground.
        part: Number of its part, or None when it stands for the whole component.
        outline: Closed shapes, drawn in the line of the part's state and filled with the sheet.
        details: Edges inside it, always thin and whole.
        depth: Far pieces have low ones and are drawn first.
        anchor: Where a leader ends.
        spots: Where leaders end that belong to further parts seen on this piece.
        cut: Key of the material that lines a cut face, or empty.
        pale: Ground and masonry: grey as long as nothing is wrong with it.
    """

    key: str
    component: int
    part: int | None
    outline: tuple[Shape, ...]
    details: tuple[Shape, ...] = ()
    depth: float = 0.0
    anchor: Point = (0.0, 0.0)
    spots: Mapping[int, Point] = field(default_factory=dict)
    cut: str = ""
    pale: bool = False


@dataclass(frozen=True)
class Span:
    """A dimension from one point to another, for a size of the record.

    Args:
        size: Key of the size: "flywheel".
        start, end: What is measured. [in]
        off: How far the dimension line stands off, to the right of an upright one and above a
            level one; negative to the other side. [in]
        after: What follows the measure: " dia."
    """

    size: str
    start: Point
    end: Point
    off: float
    before: str = ""
    after: str = ""


@dataclass(frozen=True, eq=False)
class View:
    """An engine drawn: its pieces, far first, its centre lines, dimensions and extent.

    `leads` names the piece that a component is pointed at, where that is not its first part.
    """

    title: str
    pieces: tuple[Piece, ...]
    centres: tuple[Shape, ...]
    spans: tuple[Span, ...]
    box: Box
    leads: Mapping[int, str] = field(default_factory=dict)

    @cached_property
    def places(self) -> dict[tuple[str, int], tuple[str, Point]]:
        """Where each component and part is pointed at: (piece key, spot).

        A leader ends where the piece is seen, as near as can be to its anchor; on the nearest
        piece of a part of which anything is seen. What is hidden altogether is pointed at where
        it lies.
        """
        nearest = self.pieces[::-1]
        wanted: dict[tuple[str, int], list[tuple[Piece, Point]]] = {}
        for piece in nearest:
            if piece.part is not None:
                wanted.setdefault(("part", piece.part), []).append((piece, piece.anchor))
        for piece in nearest:
            for part, spot in piece.spots.items():
                wanted.setdefault(("part", part), []).append((piece, spot))
        # A component is pointed at where its first part is, unless a piece stands for the whole.
        by_part = sorted(nearest, key=lambda p: (self.leads.get(p.component) != p.key, p.part is not None, p.part or 0))
        for piece in by_part:
            if piece.component:
                key = ("component", piece.component)
                wanted.setdefault(key, []).append((piece, piece.anchor))
        return {key: self._first_in_sight(pieces) for key, pieces in wanted.items()}

    def _first_in_sight(self, wanted: Sequence[tuple[Piece, Point]]) -> tuple[str, Point]:
        for piece, at in wanted:
            above = [
                seen
                for other, seen in self._covering
                if other.depth > piece.depth and other.component != piece.component
            ]
            if spot := spot_in_sight(Seen(piece.outline), at, above):
                return piece.key, spot
        piece, at = wanted[0]
        return piece.key, at

    @cached_property
    def _covering(self) -> list[tuple[Piece, Seen]]:
        return [(p, Seen(p.outline)) for p in self.pieces if p.outline and not p.pale]


def retied(view: View, ties: Mapping[str, tuple[int, int | None] | None]) -> View:
    """Return a view whose pieces are of other components and parts; None takes a piece off.

    Args:
        ties: (component, part) by the key of a piece.
    """
    pieces = tuple(
        p if p.key not in ties else replace(p, component=ties[p.key][0], part=ties[p.key][1])
        for p in view.pieces
        if ties.get(p.key, p) is not None
    )
    return replace(view, pieces=pieces)


class Board:
    """The drawing board: pieces are laid down on it, and taken off as a `View`."""

    def __init__(self, title: str) -> None:
        self.title = title
        self._pieces: list[Piece] = []
        self.centres: list[Shape] = []
        self.spans: list[Span] = []
        self.leads: dict[int, str] = {}

    def add(
        self,
        key: str,
        component: int,
        part: int | None,
        outline: Shape | Sequence[Shape],
        details: Sequence[Shape] = (),
        *,
        depth: float,
        at: Point | None = None,
        spots: Mapping[int, Point] | None = None,
        cut: str = "",
        pale: bool = False,
    ) -> None:
        """Lay down a piece. Without `at` its leader ends in the middle of its first outline."""
        one = outline and isinstance(outline[0][0], str)
        shapes = tuple(tuple(shape) for shape in ([outline] if one else outline))
        if at is None:
            left, foot, right, top = extent(shapes[:1])
            at = ((left + right) / 2, (foot + top) / 2)
        self._pieces.append(
            Piece(
                key, component, part, shapes, tuple(tuple(s) for s in details), depth, at, dict(spots or {}), cut, pale
            )
        )

    def view(self, box: Box | None = None, inches: float = 1.0) -> View:
        """Take the drawing off the board.

        Args:
            box: The least that it takes in; more where a piece reaches further.
            inches: What one unit of the board is. A kind may draw in bores. [in]
        """
        pieces = sorted(self._pieces, key=lambda p: p.depth)
        whole = extent(s for p in pieces if not p.pale for s in p.outline)
        far = [span.start[0] + span.off for span in self.spans if span.start[0] == span.end[0]]
        low, foot, high, top = whole if box is None else box
        box = (min(low, whole[0], *far), min(foot, whole[1]), max(high, whole[2], *far), max(top, whole[3]))
        k = inches
        return View(
            self.title,
            tuple(_in_inches(p, k) for p in pieces),
            tuple(scaled(s, k) for s in self.centres),
            tuple(replace(s, start=_far(s.start, k), end=_far(s.end, k), off=s.off * k) for s in self.spans),
            tuple(v * k for v in box),
            dict(self.leads),
        )


def _far(point: Point, k: float) -> Point:
    return point[0] * k, point[1] * k


def _in_inches(piece: Piece, k: float) -> Piece:
    return replace(
        piece,
        outline=tuple(scaled(s, k) for s in piece.outline),
        details=tuple(scaled(s, k) for s in piece.details),
        anchor=_far(piece.anchor, k),
        spots={part: _far(spot, k) for part, spot in piece.spots.items()},
    )
