"""Draws an engine as `reckoning.arrangement` says that it stood: which balloons, which lines.

The record is tied to the pieces of the drawing by name, against the starter list of its kind, and
by what leads said. What the record has no component for is not drawn.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

from parts import elevation as ga
from parts.drafting.pen import Markup
from parts.elevation.bare import bare
from parts.elevation.ties import propose
from parts.engineering.starters import starter

from ..queries import AsItStood, Shown

# Numbers above those of any starter list: what a lead tied that the list does not have.
_OWN = 10_000_000


@dataclass(frozen=True)
class Line:
    """A component or part of the drawing, as a list says it.

    Args:
        shown: What it is, with its counts.
        state: How it is drawn.
        note: "5 of 8" where its pieces stand in several ways.
        zone: Where its leader ends; empty when this view does not show it.
    """

    shown: Shown
    state: str
    note: str
    zone: str


@dataclass(frozen=True)
class Drawing:
    """The general arrangement of an engine on a day.

    Args:
        svg: The drawing.
        lines: What has a balloon, in number order: the same as a list.
        unseen: What was asked for that this view has no place or no room for.
        picked: The one that is picked, or None.
        sentences: What could not be drawn as the record says.
        width, height: Of the drawing at 1:1. [px]
    """

    svg: Markup
    lines: tuple[Line, ...]
    unseen: tuple[Line, ...]
    picked: Line | None
    sentences: tuple[str, ...]
    width: float
    height: float


@dataclass(frozen=True)
class Tied:
    """How a record is tied to the pieces of its drawing.

    Args:
        part_of, component_of: Number on the drawing by the pk of the record's row.
        ties: By the key of a piece, what it is instead of what the starter list says.
    """

    part_of: dict[int, int]
    component_of: dict[int, int]
    ties: dict[str, tuple[int, int | None] | None]


def can_draw(kind: str) -> bool:
    """Whether there is an elevation of this kind of engine."""
    return kind in ga.KINDS


@lru_cache(maxsize=64)
def _proposed(kind: str, components: tuple, parts: tuple) -> tuple[dict, dict]:
    return propose(kind, components, parts)


def _view(record: AsItStood, ties: ga.Ties | None = None) -> ga.View:
    return ga.tied_view(ga.proportions(record.engine.kind, record.sizes_mm)[0], ties)


def tie(record: AsItStood) -> Tied:
    """Tie the pieces of the drawing to the record."""
    components = tuple((c.number, c.name) for c, _ in record.components)
    parts = tuple((item, component, name) for _, item, name, component, _ in record.names)
    by_number, by_item = _proposed(record.engine.kind, components, parts)
    component_of = {
        c.pk: by_number[c.number] for c, _ in record.components if c.number in by_number
    }
    part_of = {pk: by_item[item] for pk, item, *_ in record.names if item in by_item}
    pk_of = {c.number: c.pk for c, _ in record.components}
    owner = {pk: pk_of[component] for pk, _, _, component, _ in record.names}
    tied: dict[str, tuple[int, int | None] | None] = {}
    known = set(component_of.values())
    known_parts = set(part_of.values())
    # Of a record that hardly resembles the list the whole is drawn, thin and grey.
    sparse = 3 * len(known) < len(starter(record.engine.kind).components)
    for piece in _view(record).pieces:
        if piece.key in record.ties:
            said = record.ties[piece.key]
            if said is None:
                tied[piece.key] = None
                continue
            what, pk = said
            if what == "component":
                number = component_of.setdefault(pk, _OWN + pk)
                tied[piece.key] = (number, None)
            elif pk in owner:
                number = component_of.setdefault(owner[pk], _OWN + owner[pk])
                tied[piece.key] = (number, part_of.setdefault(pk, _OWN + pk))
        elif (
            not sparse
            and piece.component
            and piece.component not in known
            and piece.part not in known_parts
        ):
            tied[piece.key] = None
    return Tied(part_of, component_of, tied)


def note_of(shown: Shown, state: str) -> str:
    """How many of how many, where its pieces stand in several ways."""
    n = getattr(shown.counts, state)
    return f"{n} of {shown.counts.need}" if 0 < n < shown.counts.need else ""


def _heads(record: AsItStood, tied: Tied, seen: list[Shown]) -> dict[int, Shown]:
    """The part on which the leader of each component ends, by the component's pk.

    Where that piece is no part of the record it is the first of its parts that is seen.
    """
    view = _view(record, tied.ties)
    places, part_of_piece = view.places, {p.key: p.part for p in view.pieces}
    pk_of = {number: pk for pk, number in tied.part_of.items()}
    number_of = {c.pk: c.number for c, _ in record.components}
    heads = {}
    for pk, number in tied.component_of.items():
        key = places.get(("component", number), ("",))[0]
        part = record.shown("part", pk_of.get(part_of_piece.get(key), 0))
        if part is None or not part.counts.need:
            mine = (one for one in seen if one.component == number_of.get(pk) and one.counts.need)
            part = next(mine, None)
        if part is not None:
            heads[pk] = part
    return heads


def _mark(shown: Shown, tied: Tied, state: str, href: str) -> ga.Mark:
    numbers = tied.component_of if shown.what == "component" else tied.part_of
    number = numbers.get(shown.pk, -shown.pk)
    return ga.Mark(
        shown.number,
        shown.name,
        number if shown.what == "component" else 0,
        None if shown.what == "component" else number,
        state,
        href,
        # The pieces of a whole component are told by the list: its name has the room here.
        note_of(shown, state) if shown.what == "part" else "",
    )


def _seen_parts(record: AsItStood, tied: Tied) -> list[Shown]:
    """The parts that the view has a place for."""
    places = _view(record, tied.ties).places
    return [
        Shown("part", pk, item, name, component, record.counts_of(pk))
        for pk, item, name, component, _ in record.names
        if ("part", tied.part_of.get(pk)) in places
    ]


def _numbered(record: AsItStood, tied: Tied, seen: list[Shown]) -> list[Shown]:
    """Of the parts that are seen those that get a balloon: with an outline, and no fasteners."""
    outlined = {p.part for p in _view(record, tied.ties).pieces}
    fasteners = {pk for pk, *_, fastener in record.names if fastener}
    return [one for one in seen if tied.part_of[one.pk] in outlined and one.pk not in fasteners]


def draw(
    record: AsItStood,
    *,
    balloons: str = "components",
    picked: Shown | None = None,
    state: str = "",
    href: Callable[[Shown], str] = lambda shown: "",
    width: float = ga.WIDTH,
    labels: bool = True,
    dimensions: bool = True,
    title: str = "",
) -> Drawing:
    """Draw the general arrangement.

    Args:
        record: The engine as it stood.
        balloons: "components", "parts", or "" for none.
        picked: What is picked; it gets a balloon if it has a place.
        state: Only what has pieces in this state is drawn in its line, the rest thin and grey.
        href: Where the balloon of a component or part leads.
        width: At 1:1. [px]
        labels: Whether names stand beside balloons.
        dimensions: Whether dimensions are drawn.
        title: Said aloud first.

    Raises:
        KeyError: there is no elevation of this kind of engine.
    """
    tied = tie(record)
    seen = _seen_parts(record, tied)
    states = {tied.part_of[one.pk]: _line_of(one, state) for one in seen}
    if balloons == "components":
        wanted = [
            Shown("component", c.pk, c.number, c.name, c.number, counts)
            for c, counts in record.components
        ]
    else:
        wanted = _numbered(record, tied, seen) if balloons == "parts" else []
    heads = _heads(record, tied, seen)
    if record.told:
        wanted = [one for one in wanted if _line_of(one, state)]
    if picked is not None and picked not in wanted:
        wanted.append(picked)
    marks = {_mark(one, tied, _ring_of(one, heads, state), href(one)): one for one in wanted}
    chosen = next((mark for mark, one in marks.items() if one == picked), None)
    made = ga.arrange(
        record.engine.kind,
        record.sizes_mm,
        list(marks),
        chosen,
        width,
        labels,
        states=_of_all(record, states),
        ties=tied.ties,
        written=record.written,
        metric=record.metric,
        dimensions=dimensions,
        title=title,
    )

    def line(mark: ga.Mark, zone: str) -> Line:
        return Line(marks[mark], mark.state, note_of(marks[mark], mark.state), zone)

    lines = tuple(line(one.mark, one.zone) for one in made.listed if one.ballooned)
    unseen = tuple(line(one.mark, one.zone) for one in made.listed if not one.ballooned)
    return Drawing(
        made.svg,
        lines,
        unseen,
        next((one for one in (*lines, *unseen) if one.shown == picked), None),
        made.sentences,
        made.width,
        made.height,
    )


def picture(record: AsItStood, *, width: float = 440.0, title: str = "") -> Markup | None:
    """Return the engine alone, for a report; None when there is no elevation of its kind."""
    if not can_draw(record.engine.kind):
        return None
    tied = tie(record)
    states = {tied.part_of[one.pk]: _line_of(one, "") for one in _seen_parts(record, tied)}
    sizes, kind = record.sizes_mm, record.engine.kind
    return bare(kind, sizes, states, ties=tied.ties, width=width, title=title)


def _line_of(shown: Shown, state: str) -> str | None:
    """The state in whose line it is drawn; None when only another state is asked for."""
    counts = shown.counts
    if state:
        return state if getattr(counts, state) else None
    # Left off altogether, or without a part: nothing of it stands in any way.
    return counts.drawn if counts.need else None


def _ring_of(shown: Shown, heads: dict[int, Shown], state: str) -> str:
    """The state of a balloon's ring: for a component that of the part its leader ends on."""
    if state and getattr(shown.counts, state):
        return state
    head = heads.get(shown.pk) if shown.what == "component" else None
    return (head or shown).counts.drawn


def _of_all(record: AsItStood, known: dict[int, str | None]) -> dict[int, str | None]:
    """The states of all parts of the list: what the record does not tell of is thin and grey."""
    return {part.number: None for part in starter(record.engine.kind).parts} | known


def zone_of(record: AsItStood, pk: int) -> str:
    """Return the zone in which the drawing shows a part, or nothing."""
    part = record.shown("part", pk)
    if part is None or not can_draw(record.engine.kind):
        return ""
    drawn = draw(record, picked=part)
    return drawn.picked.zone if drawn.picked else ""


@dataclass(frozen=True)
class PieceLine:
    """A piece of the elevation, and what it is.

    Args:
        key: Its name in the drawing.
        usual: What the starter list calls it.
        now: What of the record it is, or None.
        said: A lead said so.
        choice: What a lead chose: "part-12", "component-3", "nothing"; empty when nothing.
    """

    key: str
    usual: str
    now: Shown | None
    said: bool
    choice: str

    @property
    def word(self) -> str:
        """Its name in the drawing in words, to tell pieces of one part apart."""
        return self.key.rstrip("0123456789").replace("_", " ").strip()


def pieces_of(record: AsItStood) -> tuple[tuple[PieceLine, ...], tuple[str, ...]]:
    """Return each piece of the elevation with what it is, and what could not be drawn as told."""
    listed = starter(record.engine.kind)
    names = {part.number: part.name for part in listed.parts}
    names |= {-c.number: c.name for c in listed.components}
    tied = tie(record)
    part_pk = {number: pk for pk, number in tied.part_of.items()}
    component_pk = {number: pk for pk, number in tied.component_of.items()}
    lines = []
    for piece in _view(record).pieces:
        if not piece.component:
            continue
        key = piece.key
        component, part = tied.ties.get(key, (piece.component, piece.part)) or (0, None)
        now = record.shown("part", part_pk.get(part, 0)) if part else None
        if now is None and component in component_pk and part is None:
            now = record.shown("component", component_pk[component])
        said = record.ties.get(key, ())
        lines.append(
            PieceLine(
                key,
                names.get(piece.part, names.get(-piece.component, key)),
                now,
                key in record.ties,
                "" if said == () else "nothing" if said is None else f"{said[0]}-{said[1]}",
            )
        )
    _, sentences = ga.proportions(record.engine.kind, record.sizes_mm)
    return tuple(lines), sentences
