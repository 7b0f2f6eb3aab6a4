"""The general arrangement of an engine on a day, with balloons and line types by status.

The record is tied to the pieces of the drawing by name, against the starter list of its kind, and
by the ties that leads have set. Pieces without a component in the record are not drawn.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

from parts import elevation
from parts.drafting.pen import Markup
from parts.elevation.bare import bare
from parts.elevation.ties import propose
from parts.engineering.starters import starter

from ..queries import EngineOnDay, Target

# Numbers above those of any starter list, for rows tied by a lead that the list does not have.
_OWN = 10_000_000


@dataclass(frozen=True)
class Line:
    """A component or part of the drawing, as a line of a list.

    Args:
        target: The component or part, with its counts.
        state: The status in which it is drawn.
        note: "5 of 8" where its pieces have several statuses.
        zone: The zone in which its leader ends; empty when this view does not show it.
    """

    target: Target
    state: str
    note: str
    zone: str


@dataclass(frozen=True)
class Drawing:
    """The general arrangement of an engine on a day.

    Args:
        svg: The drawing.
        lines: The balloons in number order.
        unseen: Targets that this view has no place or no room for.
        picked: The line of the selected target, or None.
        sentences: What could not be drawn as recorded.
        width, height: The size of the drawing at 1:1. [px]
    """

    svg: Markup
    lines: tuple[Line, ...]
    unseen: tuple[Line, ...]
    picked: Line | None
    sentences: tuple[str, ...]
    width: float
    height: float


@dataclass(frozen=True)
class RecordTies:
    """The ties between a record and the pieces of its drawing.

    Args:
        part_of, component_of: Numbers on the drawing by the pk of the row.
        pieces: By the key of a piece, its component and part in place of the starter list's.
    """

    part_of: dict[int, int]
    component_of: dict[int, int]
    pieces: dict[str, tuple[int, int | None] | None]


def can_draw(kind: str) -> bool:
    """Whether there is an elevation of this kind of engine."""
    return kind in elevation.KINDS


@lru_cache(maxsize=64)
def _proposed(kind: str, components: tuple, parts: tuple) -> tuple[dict, dict]:
    return propose(kind, components, parts)


def _view(record: EngineOnDay, ties: elevation.Ties | None = None) -> elevation.View:
    return elevation.tied_view(elevation.proportions(record.engine.kind, record.sizes_mm)[0], ties)


def record_ties(record: EngineOnDay) -> RecordTies:
    """Return the ties between the pieces of the drawing and the record."""
    components = tuple((c.number, c.name) for c, _ in record.components)
    parts = tuple((item, component, name) for _, item, name, component, _ in record.names)
    by_number, by_item = _proposed(record.engine.kind, components, parts)
    component_of = {
        c.pk: by_number[c.number] for c, _ in record.components if c.number in by_number
    }
    part_of = {pk: by_item[item] for pk, item, *_ in record.names if item in by_item}
    pk_of = {c.number: c.pk for c, _ in record.components}
    owner = {pk: pk_of[component] for pk, _, _, component, _ in record.names}
    ties: dict[str, tuple[int, int | None] | None] = {}
    known_components = set(component_of.values())
    known_parts = set(part_of.values())
    # A record that hardly resembles the list is drawn whole, thin and grey.
    sparse = 3 * len(known_components) < len(starter(record.engine.kind).components)
    for piece in _view(record).pieces:
        if piece.key in record.ties:
            target = record.ties[piece.key]
            if target is None:
                ties[piece.key] = None
                continue
            what, pk = target
            if what == "component":
                number = component_of.setdefault(pk, _OWN + pk)
                ties[piece.key] = (number, None)
            elif pk in owner:
                number = component_of.setdefault(owner[pk], _OWN + owner[pk])
                ties[piece.key] = (number, part_of.setdefault(pk, _OWN + pk))
        elif (
            not sparse
            and piece.component
            and piece.component not in known_components
            and piece.part not in known_parts
        ):
            ties[piece.key] = None
    return RecordTies(part_of, component_of, ties)


def note_of(target: Target, state: str) -> str:
    """Return "5 of 8" where the pieces have several statuses; else ""."""
    n = getattr(target.counts, state)
    return f"{n} of {target.counts.need}" if 0 < n < target.counts.need else ""


def _heads(record: EngineOnDay, ties: RecordTies, seen: list[Target]) -> dict[int, Target]:
    """Return the part on which the leader of each component ends, by the pk of the component.

    If that piece is not in the record, this is the first of its parts in the view.
    """
    view = _view(record, ties.pieces)
    places, part_of_piece = view.places, {p.key: p.part for p in view.pieces}
    pk_of = {number: pk for pk, number in ties.part_of.items()}
    number_of = {c.pk: c.number for c, _ in record.components}
    heads = {}
    for pk, number in ties.component_of.items():
        key = places.get(("component", number), ("",))[0]
        part = record.target("part", pk_of.get(part_of_piece.get(key), 0))
        if part is None or not part.counts.need:
            candidates = (
                one for one in seen if one.component == number_of.get(pk) and one.counts.need
            )
            part = next(candidates, None)
        if part is not None:
            heads[pk] = part
    return heads


def _mark(target: Target, ties: RecordTies, state: str, href: str) -> elevation.Mark:
    numbers = ties.component_of if target.what == "component" else ties.part_of
    number = numbers.get(target.pk, -target.pk)
    return elevation.Mark(
        target.number,
        target.name,
        number if target.what == "component" else 0,
        None if target.what == "component" else number,
        state,
        href,
        # The counts of a component are in the list: its name takes the room here.
        note_of(target, state) if target.what == "part" else "",
    )


def _seen_parts(record: EngineOnDay, ties: RecordTies) -> list[Target]:
    """Return the parts that have a place in the view."""
    places = _view(record, ties.pieces).places
    return [
        Target("part", pk, item, name, component, record.counts_of(pk))
        for pk, item, name, component, _ in record.names
        if ("part", ties.part_of.get(pk)) in places
    ]


def _with_balloon(record: EngineOnDay, ties: RecordTies, seen: list[Target]) -> list[Target]:
    """Return the visible parts that get a balloon: those with an outline that are no fasteners."""
    outlined = {p.part for p in _view(record, ties.pieces).pieces}
    fasteners = {pk for pk, *_, fastener in record.names if fastener}
    return [one for one in seen if ties.part_of[one.pk] in outlined and one.pk not in fasteners]


def draw(
    record: EngineOnDay,
    *,
    balloons: str = "components",
    picked: Target | None = None,
    state: str = "",
    href: Callable[[Target], str] = lambda target: "",
    width: float = elevation.WIDTH,
    labels: bool = True,
    dimensions: bool = True,
    title: str = "",
) -> Drawing:
    """Draw the general arrangement.

    Args:
        record: The engine on a day.
        balloons: "components", "parts", or "" for none.
        picked: The selected target; it gets a balloon if it has a place.
        state: Draw only what has pieces in this state in its line, the rest thin and grey.
        href: The address that the balloon of a target links to.
        width: The width at 1:1. [px]
        labels: Whether names are drawn beside balloons.
        dimensions: Whether dimensions are drawn.
        title: The first words of the text alternative.

    Raises:
        KeyError: there is no elevation of this kind of engine.
    """
    ties = record_ties(record)
    seen = _seen_parts(record, ties)
    states = {ties.part_of[one.pk]: _line_of(one, state) for one in seen}
    if balloons == "components":
        targets = [
            Target("component", c.pk, c.number, c.name, c.number, counts)
            for c, counts in record.components
        ]
    else:
        targets = _with_balloon(record, ties, seen) if balloons == "parts" else []
    heads = _heads(record, ties, seen)
    if record.has_counts:
        targets = [one for one in targets if _line_of(one, state)]
    if picked is not None and picked not in targets:
        targets.append(picked)
    marks = {_mark(one, ties, _ring_of(one, heads, state), href(one)): one for one in targets}
    picked_mark = next((mark for mark, one in marks.items() if one == picked), None)
    arrangement = elevation.arrange(
        record.engine.kind,
        record.sizes_mm,
        list(marks),
        picked_mark,
        width,
        labels,
        states=_all_states(record, states),
        ties=ties.pieces,
        written=record.written,
        metric=record.metric,
        dimensions=dimensions,
        title=title,
    )

    def line(mark: elevation.Mark, zone: str) -> Line:
        return Line(marks[mark], mark.state, note_of(marks[mark], mark.state), zone)

    lines = tuple(line(one.mark, one.zone) for one in arrangement.listed if one.ballooned)
    unseen = tuple(line(one.mark, one.zone) for one in arrangement.listed if not one.ballooned)
    return Drawing(
        arrangement.svg,
        lines,
        unseen,
        next((one for one in (*lines, *unseen) if one.target == picked), None),
        arrangement.sentences,
        arrangement.width,
        arrangement.height,
    )


def picture(record: EngineOnDay, *, width: float = 440.0, title: str = "") -> Markup | None:
    """Return the engine alone, for a report; None when there is no elevation of its kind."""
    if not can_draw(record.engine.kind):
        return None
    ties = record_ties(record)
    states = {ties.part_of[one.pk]: _line_of(one, "") for one in _seen_parts(record, ties)}
    sizes, kind = record.sizes_mm, record.engine.kind
    return bare(kind, sizes, states, ties=ties.pieces, width=width, title=title)


def _line_of(target: Target, state: str) -> str | None:
    """Return the state in which a target is drawn; None when only another state is drawn."""
    counts = target.counts
    if state:
        return state if getattr(counts, state) else None
    # Nothing is needed of what is left off altogether, or has no part.
    return counts.drawn if counts.need else None


def _ring_of(target: Target, heads: dict[int, Target], state: str) -> str:
    """Return the state of the ring of a balloon: for a component, of the part at its leader."""
    if state and getattr(target.counts, state):
        return state
    head = heads.get(target.pk) if target.what == "component" else None
    return (head or target).counts.drawn


def _all_states(record: EngineOnDay, states: dict[int, str | None]) -> dict[int, str | None]:
    """Return the states of all parts of the list: None for those not in the record."""
    return {part.number: None for part in starter(record.engine.kind).parts} | states


def zone_of(record: EngineOnDay, pk: int) -> str:
    """Return the zone in which the drawing shows a part; "" when it does not."""
    part = record.target("part", pk)
    if part is None or not can_draw(record.engine.kind):
        return ""
    drawing = draw(record, picked=part)
    return drawing.picked.zone if drawing.picked else ""


@dataclass(frozen=True)
class PieceLine:
    """A piece of the elevation, and its tie to the record.

    Args:
        key: Its name in the drawing.
        usual: Its name in the starter list.
        now: The component or part that it is, or None.
        by_lead: Whether a lead has set the tie.
        choice: The tie set by a lead: "part-12", "component-3", "nothing"; else "".
    """

    key: str
    usual: str
    now: Target | None
    by_lead: bool
    choice: str

    @property
    def word(self) -> str:
        """Its name in the drawing in words, to distinguish pieces of one part."""
        return self.key.rstrip("0123456789").replace("_", " ").strip()


def pieces_of(record: EngineOnDay) -> tuple[tuple[PieceLine, ...], tuple[str, ...]]:
    """Return each piece of the elevation with its tie, and what could not be drawn as recorded."""
    starter_list = starter(record.engine.kind)
    names = {part.number: part.name for part in starter_list.parts}
    names |= {-c.number: c.name for c in starter_list.components}
    ties = record_ties(record)
    part_pk = {number: pk for pk, number in ties.part_of.items()}
    component_pk = {number: pk for pk, number in ties.component_of.items()}
    lines = []
    for piece in _view(record).pieces:
        if not piece.component:
            continue
        key = piece.key
        component, part = ties.pieces.get(key, (piece.component, piece.part)) or (0, None)
        now = record.target("part", part_pk.get(part, 0)) if part else None
        if now is None and component in component_pk and part is None:
            now = record.target("component", component_pk[component])
        tie_target = record.ties.get(key, ())
        lines.append(
            PieceLine(
                key,
                names.get(piece.part, names.get(-piece.component, key)),
                now,
                key in record.ties,
                ""
                if tie_target == ()
                else "nothing"
                if tie_target is None
                else f"{tie_target[0]}-{tie_target[1]}",
            )
        )
    _, sentences = elevation.proportions(record.engine.kind, record.sizes_mm)
    return tuple(lines), sentences
