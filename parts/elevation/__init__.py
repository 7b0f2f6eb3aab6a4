"""The general arrangement: an engine in elevation, each piece in the line of how it stands.

    drawn = arrange(
        "horizontal_slide_valve",
        {"bore": 304.8, "stroke": 457.2, "flywheel": 2133.6},     # mm; what is known of the engine
        [Mark(10, "Crosshead", 10, None, "missing", "/engines/1/components/10"),
         Mark(1601, "Foundation bolt", 16, 1601, "found", "/parts/7", note="5 of 8")],
        states={1001: "missing", 1006: "found"},                  # parts that have no balloon
        picked=10,
    )
    drawn.svg         # markup, put into a page or a PDF as it is
    drawn.listed      # every mark in number order, with its zone: the same for screen readers
    drawn.left_over   # marks that got no balloon, with why
    drawn.sentences   # what could not be drawn as the record says

A mark names a component or a part by the numbers of the *starter list of the kind*
(`engineering/starters.py`): its own number may be another. A piece is drawn in its part's state: from
`states`, else from the part's mark, else from its component's mark. A piece that nothing tells of
is drawn thin and grey. `numbers_drawn(kind)` says which components and parts have a place to point
at. Everything is worked out from the arguments alone: no record, no clock.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib import import_module

from parts.drafting.balloons import radius_for
from parts.drafting.lines import DRAWN_FIRST
from parts.drafting.pen import Markup
from parts.drafting.zones import BORDER, LETTERS

from . import render
from .layout import Balloon, Row, stand
from .pieces import View, retied
from .proportions import PRACTICE, Proportions, proportions
from .shapes import Paper

__all__ = [
    "KINDS",
    "WIDTH",
    "Arrangement",
    "Left",
    "Listed",
    "Mark",
    "View",
    "arrange",
    "numbers_drawn",
    "proportions",
    "tied_view",
    "view_of",
    "zone_of",
]

KINDS = tuple(PRACTICE)
Ties = Mapping[str, tuple[int, int | None] | None]
ACROSS, DOWN = 8, 5
WIDTH = 888.0
# A cell of a labelled row, the columns at the sides, and the corner of the title. [px]
_LABEL_ROOM, _COLUMN, _TITLE = 86.0, 100.0, 158.0
NOT_SEEN = "not seen in this view"
NO_ROOM = "no room on this sheet"


@dataclass(frozen=True)
class Mark:
    """A balloon that is wanted.

    Args:
        number: What stands in it: the number of the part or component in its engine.
        name: Its name.
        component_number: The component of the starter list that it is tied to.
        part_number: The part of the starter list; None for the component as a whole.
        state: A key of `STATES`.
        href: Where the balloon leads.
        note: How many of how many: "5 of 8".
    """

    number: int
    name: str
    component_number: int
    part_number: int | None
    state: str
    href: str
    note: str = ""


@dataclass(frozen=True)
class Listed:
    """A mark with the zone its leader ends in; empty when this view does not show it."""

    mark: Mark
    zone: str
    ballooned: bool


@dataclass(frozen=True)
class Left:
    """A mark without a balloon, and why: `NOT_SEEN` or `NO_ROOM`."""

    mark: Mark
    why: str


@dataclass(frozen=True)
class Arrangement:
    """A sheet drawn. `width` and `height` are its size at 1:1. [px]"""

    svg: Markup
    listed: tuple[Listed, ...]
    left_over: tuple[Left, ...]
    sentences: tuple[str, ...]
    width: float
    height: float


@lru_cache(maxsize=32)
def view_of(p: Proportions) -> View:
    """Return the engine drawn at its proportions, in inches about the crank centre."""
    return import_module(f".{p.kind}.engine", __name__).draw(p)


def tied_view(p: Proportions, ties: Ties | None) -> View:
    """Return the same with its pieces tied; what was worked out of it is kept."""
    return _retied(p, frozenset(ties.items())) if ties else view_of(p)


@lru_cache(maxsize=32)
def _retied(p: Proportions, ties: frozenset) -> View:
    return retied(view_of(p), dict(ties))


def numbers_drawn(kind: str) -> tuple[frozenset[int], frozenset[int]]:
    """Return the components and the parts of the starter list that the kind's view shows."""
    made, _ = proportions(kind)
    places = view_of(made).places
    return (
        frozenset(n for what, n in places if what == "component"),
        frozenset(n for what, n in places if what == "part"),
    )


def zone_of(x: float, y: float, width: float, height: float) -> str:
    """Return the zone of a place on a sheet.

    >>> zone_of(375, 240, 888, 480)
    'C4'
    """
    along = min(max(int(x / width * ACROSS), 0), ACROSS - 1)
    down = min(max(int(y / height * DOWN), 0), DOWN - 1)
    return f"{LETTERS[down]}{along + 1}"


@dataclass(frozen=True)
class Sheet:
    """A sheet before balloons: its size, where the engine stands, and the rows round it."""

    width: float
    height: float
    paper: Paper
    rows: tuple[Row, ...]
    labels: bool
    radius: float


def _modes(labels: bool):
    """Yield ways of setting out, the airiest first: (labels, columns, second row)."""
    if labels:
        yield True, False, False
        yield True, True, False
    yield False, False, False
    yield False, True, False
    yield False, True, True


@lru_cache(maxsize=128)
def _sheet(p: Proportions, width: float, count: int, labels: bool, radius: float) -> Sheet:
    made = None
    for mode in _modes(labels):
        made = _set_out(p, width, radius, *mode)
        # A column lets leaders stay short, so that labelled rows are never packed full without.
        full = 0.6 if mode == (True, False, False) else 1.0
        if sum(row.room for row in made.rows) * full >= count:
            break
    return made


def _set_out(p: Proportions, width: float, radius: float, labels: bool, columns: bool, second: bool) -> Sheet:
    left, foot, right, top = view_of(p).box
    step = 2 * radius + 5 if second else 0.0
    band = BORDER + 9 + 2 * radius + step + 14
    side = _COLUMN if columns and labels else BORDER + 2 * radius + 16 if columns else 30
    room_x = width - 2 * side
    wide, high = right - left, top - foot
    room_y = min(max(room_x * high / wide, 0.3 * width), 0.7 * width)
    scale = min(room_x / wide, room_y / high)
    height = float(round(2 * band + room_y))
    paper = Paper(
        round(width / 2 - scale * (left + right) / 2, 2),
        round(band + room_y / 2 + scale * (top + foot) / 2, 2),
        round(scale, 4),
    )
    inner = BORDER + 9 + radius + step
    edge = BORDER + radius + 5
    if labels:
        pitch = 2 * radius + 5 + _LABEL_ROOM + 9
        ends = (edge, width - BORDER - pitch + radius + 5)
    else:
        # In two rows a leader of the outer one runs between two of the inner.
        pitch = radius + 5 if second else 2 * radius + 7
        ends = (edge, width - edge)
    rows = [
        Row("top", inner, *ends, pitch, step, radius + 2),
        Row("bottom", height - inner, max(ends[0], _TITLE), ends[1], pitch, step, radius + 2),
    ]
    if columns:
        tall = 2 * radius + 38 if labels else 2 * radius + 7
        x = BORDER + (side - BORDER) / 2 if labels else BORDER + radius + 7
        low = band + (0 if labels else radius)
        # The foot of the left column is kept for the title.
        rows.append(Row("left", x, low, height - band - 78, tall))
        rows.append(Row("right", width - x, low, height - band - (40 if labels else radius), tall))
    return Sheet(width, height, paper, tuple(rows), labels, radius)


def _anchors(marks: Sequence[Mark], places: dict, paper: Paper) -> dict[int, tuple[str, tuple]]:
    """Return for each mark, by its place in the list, its piece and where its leader ends."""
    found: dict[int, tuple[str, tuple]] = {}
    taken: dict[tuple, int] = {}
    for i, mark in enumerate(marks):
        what = ("component", mark.component_number)
        if mark.part_number is not None:
            what = ("part", mark.part_number)
        if what not in places:
            continue
        key, point = places[what]
        x, y = paper.at(point)
        # Two that point at one spot end side by side.
        again = taken.get(point, 0)
        taken[point] = again + 1
        x, y = x + 5.5 * ((again + 1) // 2) * (1 if again % 2 else -1), y + 2.0 * again
        found[i] = (key, (round(x, 1), round(y, 1)))
    return found


def _states(marks: Sequence[Mark], states: Mapping[int, str | None]) -> tuple[dict, dict]:
    """Return the states of parts and of components; where several tell, the one drawn first."""
    rank = {state: i for i, state in enumerate(DRAWN_FIRST)}
    parts: dict[int, str | None] = {}
    components: dict[int, str] = {}
    for mark in marks:
        held, key = (components, mark.component_number) if mark.part_number is None else (parts, mark.part_number)
        if key not in held or rank[mark.state] < rank[held[key]]:
            held[key] = mark.state
    parts.update(states)
    return parts, components


def arrange(
    kind: str,
    sizes_mm: Mapping[str, float],
    marks: Sequence[Mark],
    picked: int | Mark | None = None,
    width: float = WIDTH,
    labels: bool = True,
    *,
    states: Mapping[int, str | None] | None = None,
    ties: Ties | None = None,
    written: Mapping[str, str] | None = None,
    metric: bool = False,
    crank_angle: float | None = None,
    title: str = "",
    dimensions: bool = True,
) -> Arrangement:
    """Return the general arrangement of an engine.

    Args:
        kind: A key of `KINDS`. Raises KeyError.
        sizes_mm: What is known: bore, stroke, flywheel, flywheel_face, rod, piston_rod, shaft, in
            mm; arms and wheels as plain numbers. The rest is drawn in usual proportion.
        marks: The balloons wanted, in any order. An unknown state raises KeyError.
        picked: The balloon that is picked, or its number.
        width: Of the sheet at 1:1; its height follows the engine. [px]
        labels: Whether names stand beside balloons as long as there is room.
        states: States of parts that have no mark, by starter number; they outrank marks. None
            draws a part thin and grey.
        ties: By the key of a piece, the (component, part) that it is instead of what the starter
            list says; None leaves it out. The numbers are those that marks and states use.
        written: Sizes as the record has them written, for the dimensions.
        metric: Whether dimensions and scale bar are in mm.
        crank_angle: Anticlockwise from level at the right; a usual one when None. [degrees]
        title: Said aloud before the links; the title of the view when empty.
        dimensions: Whether dimensions are drawn.
    """
    p, sentences = proportions(kind, sizes_mm, crank_angle=crank_angle)
    view = tied_view(p, ties)
    places = view.places
    marks = sorted(marks, key=lambda m: m.number)
    seen = [
        m
        for m in marks
        if (("part", m.part_number) if m.part_number is not None else ("component", m.component_number)) in places
    ]
    radius = max((radius_for(m.number, "in_place", 13) for m in seen), default=13.0)
    sheet = _sheet(p, float(width), len(seen), labels, radius)
    found = _anchors(seen, places, sheet.paper)
    stood = stand(tuple(found[i][1] for i in range(len(seen))), sheet.rows)
    told = _told(marks, seen, stood, found, sheet)
    drawn = _draw(view, p, sheet, seen, stood, found, picked, states or {})
    spans = []
    if dimensions:
        measures = {
            s.size: render.measure(s.size, sizes_mm, written or {}, metric) for s in view.spans if s.size in p.given
        }
        spans = _spans(view, p, sheet, measures, [(b.start, found[b.index][1]) for b in stood])
    svg = render.whole(
        sheet.width,
        sheet.height,
        render.border(sheet.width, sheet.height),
        *drawn["pieces"],
        render.draw_centres(view, sheet.paper),
        *(lines for lines, _ in spans),
        render.draw_title(view.title, sheet.paper, BORDER + 14, sheet.height - BORDER - 10, metric),
        *drawn["leaders"],
        *(words for _, words in spans),
        *drawn["balloons"],
        title=title or f"General arrangement. {view.title}",
    )
    listed, left = told
    return Arrangement(svg, listed, left, sentences, sheet.width, sheet.height)


def _spans(view: View, p: Proportions, sheet: Sheet, measures: Mapping[str, str], leaders: Sequence[tuple]) -> list:
    """The dimensions of the sizes that are given, each with its measure."""
    pair = {"flywheel": ", a pair"} if p.wheels == 2 else {}
    return [
        render.draw_span(
            span,
            sheet.paper,
            span.before + measures[span.size] + span.after + pair.get(span.size, ""),
            (sheet.width, sheet.height),
            leaders,
        )
        for span in view.spans
        if span.size in measures
    ]


def _told(
    marks: Sequence[Mark], seen: Sequence[Mark], stood: Sequence[Balloon], found: Mapping[int, tuple], sheet: Sheet
) -> tuple[tuple[Listed, ...], tuple[Left, ...]]:
    has = {b.index for b in stood}
    zones = {id(m): (zone_of(*found[i][1], sheet.width, sheet.height), i in has) for i, m in enumerate(seen)}
    listed = tuple(Listed(m, *zones.get(id(m), ("", False))) for m in marks)
    left = tuple(Left(entry.mark, NO_ROOM if entry.zone else NOT_SEEN) for entry in listed if not entry.ballooned)
    return listed, left


def _draw(
    view: View,
    p: Proportions,
    sheet: Sheet,
    seen: Sequence[Mark],
    stood: Sequence[Balloon],
    found: Mapping[int, tuple],
    picked: int | Mark | None,
    states: Mapping[int, str | None],
) -> dict[str, list]:
    parts, components = _states(seen, states)
    chosen = next((m for m in seen if picked in (m, m.number)), None)
    chosen_key = next((found[i][0] for i, m in enumerate(seen) if m is chosen), None)

    def is_picked(piece) -> bool:
        if chosen is None or piece.pale:
            return False
        if chosen.part_number is None:
            return piece.component == chosen.component_number
        return piece.part == chosen.part_number or (piece.key == chosen_key and chosen.part_number not in parts_drawn)

    parts_drawn = {piece.part for piece in view.pieces}
    pieces = [
        render.draw_piece(
            traced, parts.get(traced.piece.part, components.get(traced.piece.component)), is_picked(traced.piece)
        )
        for traced in render.trace(view, sheet.paper)
    ]
    leaders, balloons = [], []
    for balloon in stood:
        mark = seen[balloon.index]
        mine = mark is chosen
        anchor = found[balloon.index][1]
        leaders.append(render.draw_leader(balloon, anchor, sheet.radius, f"s-{mark.state}", mine))
        room = _LABEL_ROOM if balloon.side in ("top", "bottom") else _LABEL_ROOM - 6
        lines = render.label_lines(mark.name, mark.note, room) if sheet.labels else ()
        balloons.append(render.draw_balloon(balloon, mark, sheet.radius, lines, mine))
    return {"pieces": pieces, "leaders": leaders, "balloons": balloons}
