"""What the general arrangement is drawn from: how every part stood on a day, sizes and ties.

It reads; `parts.drawings.sheets.arrangement` draws what it returns.
"""

from dataclasses import dataclass, field
from datetime import date

import numpy as np
from django.db.models import Min

from parts.engine.models import EngineSize
from parts.record.models import Component, Engine, Part, PieceEntry
from parts.record.queries.status import TABLE, Counts, counts_in_all, status_table

from .models import Balloon, Drawing, Tie


@dataclass(frozen=True)
class Shown:
    """A component or a part that a balloon may stand for.

    Args:
        what: "component" or "part".
        number: What stands in the balloon: the component's number, the part's item number.
        component: The number of the part's component; its own for a component.
    """

    what: str
    pk: int
    number: int
    name: str
    component: int
    counts: Counts

    @property
    def href(self) -> str:
        """The query that picks it on the drawing."""
        return f"?{self.what}={self.pk}"


@dataclass(frozen=True)
class AsItStood:
    """An engine as it stood on a day, ready to be drawn.

    Args:
        engine: Whose it is.
        day: The day; None counts every entry of the record.
        counts: Of the whole engine.
        components: Each component with the counts of its own parts, in number order.
        names: (pk, item, name, component's number, whether a fastener) of each part, in item
            order.
        ties: By the key of a piece, ("part" or "component", pk), or None for nothing.
        sizes_mm: Leading sizes, and arms and wheels as plain numbers.
        written: Leading sizes as they were written.
    """

    engine: Engine
    day: date | None
    counts: Counts
    components: tuple[tuple[Component, Counts], ...]
    names: tuple[tuple[int, int, str, int, bool], ...]
    ties: dict[str, tuple[str, int] | None]
    sizes_mm: dict[str, float]
    written: dict[str, str]
    _table: np.ndarray | None = field(default=None, repr=False, compare=False)

    @property
    def told(self) -> bool:
        """Whether it was read how the parts stood, and not only what they are."""
        return self._table is not None

    @property
    def metric(self) -> bool:
        return self.engine.length_unit == "mm"

    def counts_of(self, pk: int) -> Counts:
        """How the pieces of one part stand."""
        rows = self._table
        if rows is None:
            return Counts()
        at = int(np.searchsorted(rows[:, 0], pk))
        if at >= len(rows) or rows[at, 0] != pk:
            return Counts()
        return Counts(parts=1, **dict(zip(TABLE, rows[at, 1:].tolist(), strict=True)))

    @property
    def pieces_to_decide(self) -> dict[int, int]:
        """How many pieces of a part are missing or past use, by pk; no part with none of them."""
        rows = self._table
        wanting = rows[:, 1 + TABLE.index("missing")] + rows[:, 1 + TABLE.index("beyond_repair")]
        return {pk: n for pk, n in zip(rows[:, 0].tolist(), wanting.tolist(), strict=True) if n}

    def shown(self, what: str, pk: int) -> Shown | None:
        """A component or a part by its pk, with its counts; None when it is not of this engine."""
        if what == "component":
            found = ((c, n) for c, n in self.components if c.pk == pk)
            return next((Shown(what, pk, c.number, c.name, c.number, n) for c, n in found), None)
        for key, item, name, component, _ in self.names:
            if key == pk:
                return Shown(what, pk, item, name, component, self.counts_of(pk))
        return None


def as_it_stood(engine: Engine, day: date | None = None) -> AsItStood:
    """Read how the engine stood on a day, for its drawing. Five queries, whatever its size."""
    parts = Part.objects.filter(engine=engine)
    components = list(Component.objects.filter(engine=engine).order_by("number"))
    number = {c.pk: c.number for c in components}
    wanted = ("pk", "item", "name", "component_id", "fastener")
    named = list(parts.order_by("item").values_list(*wanted))
    table = status_table(parts, day)
    table = table[np.argsort(table[:, 0], kind="stable")]
    of = {pk: component for pk, _, _, component, _ in named}
    owner = np.array([of.get(pk, 0) for pk in table[:, 0].tolist()], dtype=np.int64)
    return AsItStood(
        engine,
        day,
        counts_in_all(table),
        tuple((c, counts_in_all(table[owner == c.pk])) for c in components),
        tuple((pk, item, name, number[c], f) for pk, item, name, c, f in named if c in number),
        _ties(engine),
        *_sizes(engine),
        table,
    )


def outline(engine: Engine, component: Component) -> AsItStood:
    """Read what the drawing needs to find a part of one component on it. Four queries."""
    components = Component.objects.filter(engine=engine).order_by("number")
    named = Part.objects.filter(component=component).order_by("item")
    return AsItStood(
        engine,
        None,
        Counts(),
        tuple((c, Counts()) for c in components),
        tuple(
            (pk, item, name, component.number, fastener)
            for pk, item, name, fastener in named.values_list("pk", "item", "name", "fastener")
        ),
        _ties(engine),
        *_sizes(engine),
    )


def _ties(engine: Engine) -> dict[str, tuple[str, int] | None]:
    """What leads said that pieces of the drawing are. One query."""
    rows = Tie.objects.filter(engine=engine).values_list("piece", "part_id", "component_id")
    return {
        piece: ("part", part) if part else ("component", component) if component else None
        for piece, part, component in rows
    }


def _sizes(engine: Engine) -> tuple[dict[str, float], dict[str, str]]:
    """Leading sizes in mm, and as they were written. One query."""
    rows = EngineSize.objects.filter(engine=engine).values_list("name", "value_mm", "written")
    sizes = {name: value for name, value, _ in rows}
    sizes |= {"arms": engine.wheel_arms, "wheels": engine.wheels}
    return sizes, {name: written for name, _, written in rows}


@dataclass(frozen=True)
class DayLink:
    """A day on which the drawing can be looked at, and why that day."""

    day: date
    word: str


def days_of(engine: Engine, today: date) -> tuple[DayLink, ...]:
    """The first day of the record, the last day of each report, and today. One query."""
    first = PieceEntry.objects.filter(engine=engine).order_by().values("engine")
    first = first.annotate(told=Min("day")).values_list("told")
    reports = engine.reports.order_by().values_list("last_day")
    days = sorted({day for (day,) in first.union(reports) if day and day < today})
    links = [DayLink(day, f"{day:%-d %b %Y}") for day in days]
    return (*links, DayLink(today, "Today"))


@dataclass(frozen=True)
class Mark:
    """A balloon of a sheet of one's own.

    Args:
        pk, version: Of the balloon.
        shown: What it stands for.
        x, y: Where its leader ends, in parts of the sheet's width and height.
    """

    pk: int
    version: int
    shown: Shown
    x: float
    y: float

    @property
    def across(self) -> str:
        """How far across the place lies, in parts of a hundred."""
        return f"{100 * self.x:.1f}"

    @property
    def down(self) -> str:
        return f"{100 * self.y:.1f}"


def sheets_of(engine: Engine):
    """The engine's own sheets, in their order."""
    rows = Drawing.objects.filter(engine=engine, picture__removed_at__isnull=True)
    return rows.select_related("picture")


def marks_of(drawing: Drawing, day: date | None = None) -> tuple[Mark, ...]:
    """The balloons of a sheet with how their parts stood on a day. Four queries at most."""
    rows = list(
        Balloon.objects.filter(drawing=drawing)
        .select_related("part", "part__component", "component")
        .order_by("pk")
    )
    parts = {b.part_id for b in rows if b.part_id}
    components = {b.component_id for b in rows if b.component_id}
    of_part = _counts_by(Part.objects.filter(pk__in=parts), day, "pk") if parts else {}
    of_component = (
        _counts_by(Part.objects.filter(component__in=components), day, "component_id")
        if components
        else {}
    )
    marks = []
    for b in rows:
        of = b.part or b.component
        if of.removed_at is not None:
            continue
        if b.part:
            counts = of_part.get(of.pk, Counts())
            shown = Shown("part", of.pk, of.item, of.name, of.component.number, counts)
        else:
            counts = of_component.get(of.pk, Counts())
            shown = Shown("component", of.pk, of.number, of.name, of.number, counts)
        marks.append(Mark(b.pk, b.version, shown, b.x, b.y))
    return tuple(sorted(marks, key=lambda m: (m.shown.number, m.pk)))


def _counts_by(parts, day: date | None, by: str) -> dict[int, Counts]:
    table = status_table(parts, day, by=by)
    return {int(k): counts_in_all(table[table[:, 0] == k]) for k in np.unique(table[:, 0])}
