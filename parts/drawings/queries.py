"""The data of the drawings: counts of every part on a day, sizes, ties and balloons.

`parts.drawings.sheets` draws what these return.
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
class Target:
    """A component or a part that a balloon points at.

    Args:
        what: "component" or "part".
        number: The number in the balloon: of the component, or the item number of the part.
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
        """The query string that selects it on the drawing."""
        return f"?{self.what}={self.pk}"


@dataclass(frozen=True)
class EngineOnDay:
    """An engine on a day, ready to be drawn.

    Args:
        day: The day; None counts every entry of the record.
        counts: The counts of the whole engine.
        components: Each component with the counts of its own parts, in number order.
        names: (pk, item, name, number of the component, whether a fastener) of each part, in
            item order.
        ties: By the key of a piece, ("part" or "component", pk), or None for nothing.
        sizes_mm: Leading sizes, and the numbers of arms and wheels.
        written: Leading sizes as entered.
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
    def has_counts(self) -> bool:
        """Whether the counts were read, and not only the names."""
        return self._table is not None

    @property
    def metric(self) -> bool:
        return self.engine.length_unit == "mm"

    def counts_of(self, pk: int) -> Counts:
        """Return the counts of one part."""
        rows = self._table
        if rows is None:
            return Counts()
        at = int(np.searchsorted(rows[:, 0], pk))
        if at >= len(rows) or rows[at, 0] != pk:
            return Counts()
        return Counts(parts=1, **dict(zip(TABLE, rows[at, 1:].tolist(), strict=True)))

    @property
    def pieces_to_decide(self) -> dict[int, int]:
        """Pieces missing or beyond repair by the pk of the part, without parts that have none."""
        rows = self._table
        pieces = rows[:, 1 + TABLE.index("missing")] + rows[:, 1 + TABLE.index("beyond_repair")]
        return {pk: n for pk, n in zip(rows[:, 0].tolist(), pieces.tolist(), strict=True) if n}

    def target(self, what: str, pk: int) -> Target | None:
        """Return a component or part with its counts; None when it is not of this engine."""
        if what == "component":
            matches = ((c, n) for c, n in self.components if c.pk == pk)
            return next((Target(what, pk, c.number, c.name, c.number, n) for c, n in matches), None)
        for key, item, name, component, _ in self.names:
            if key == pk:
                return Target(what, pk, item, name, component, self.counts_of(pk))
        return None


def engine_on_day(engine: Engine, day: date | None = None) -> EngineOnDay:
    """Return an engine on a day, for its drawing. Five queries, whatever its size."""
    parts = Part.objects.filter(engine=engine)
    components = list(Component.objects.filter(engine=engine).order_by("number"))
    number = {c.pk: c.number for c in components}
    columns = ("pk", "item", "name", "component_id", "fastener")
    part_rows = list(parts.order_by("item").values_list(*columns))
    table = status_table(parts, day)
    table = table[np.argsort(table[:, 0], kind="stable")]
    component_of = {pk: component for pk, _, _, component, _ in part_rows}
    owners = np.array([component_of.get(pk, 0) for pk in table[:, 0].tolist()], dtype=np.int64)
    return EngineOnDay(
        engine,
        day,
        counts_in_all(table),
        tuple((c, counts_in_all(table[owners == c.pk])) for c in components),
        tuple((pk, item, name, number[c], f) for pk, item, name, c, f in part_rows if c in number),
        _ties(engine),
        *_sizes(engine),
        table,
    )


def outline(engine: Engine, component: Component) -> EngineOnDay:
    """Return what is needed to find parts of one component on the drawing. Four queries."""
    components = Component.objects.filter(engine=engine).order_by("number")
    parts = Part.objects.filter(component=component).order_by("item")
    return EngineOnDay(
        engine,
        None,
        Counts(),
        tuple((c, Counts()) for c in components),
        tuple(
            (pk, item, name, component.number, fastener)
            for pk, item, name, fastener in parts.values_list("pk", "item", "name", "fastener")
        ),
        _ties(engine),
        *_sizes(engine),
    )


def _ties(engine: Engine) -> dict[str, tuple[str, int] | None]:
    """Return the ties of pieces of the drawing that leads have set. One query."""
    rows = Tie.objects.filter(engine=engine).values_list("piece", "part_id", "component_id")
    return {
        piece: ("part", part) if part else ("component", component) if component else None
        for piece, part, component in rows
    }


def _sizes(engine: Engine) -> tuple[dict[str, float], dict[str, str]]:
    """Return leading sizes in mm, and as entered. One query."""
    rows = EngineSize.objects.filter(engine=engine).values_list("name", "value_mm", "written")
    sizes = {name: value for name, value, _ in rows}
    sizes |= {"arms": engine.wheel_arms, "wheels": engine.wheels}
    return sizes, {name: written for name, _, written in rows}


@dataclass(frozen=True)
class DayLink:
    """A day for which the drawing can be shown, with its label."""

    day: date
    word: str


def days_of(engine: Engine, today: date) -> tuple[DayLink, ...]:
    """Return the first day of the record, the last day of each report, and today. One query."""
    first = PieceEntry.objects.filter(engine=engine).order_by().values("engine")
    first = first.annotate(first_day=Min("day")).values_list("first_day")
    reports = engine.reports.order_by().values_list("last_day")
    days = sorted({day for (day,) in first.union(reports) if day and day < today})
    links = [DayLink(day, f"{day:%-d %b %Y}") for day in days]
    return (*links, DayLink(today, "Today"))


@dataclass(frozen=True)
class Mark:
    """A balloon of an uploaded sheet.

    Args:
        pk, version: Of the balloon.
        target: What it points at.
        x, y: The end of its leader, as a share of the width and height of the sheet.
    """

    pk: int
    version: int
    target: Target
    x: float
    y: float

    @property
    def across(self) -> str:
        """Its place across the sheet in per cent."""
        return f"{100 * self.x:.1f}"

    @property
    def down(self) -> str:
        return f"{100 * self.y:.1f}"


def sheets_of(engine: Engine):
    """Return the uploaded sheets of an engine, in order."""
    rows = Drawing.objects.filter(engine=engine, picture__removed_at__isnull=True)
    return rows.select_related("picture")


def marks_of(drawing: Drawing, day: date | None = None) -> tuple[Mark, ...]:
    """Return the balloons of a sheet with the counts on a day. Four queries at most."""
    rows = list(
        Balloon.objects.filter(drawing=drawing)
        .select_related("part", "part__component", "component")
        .order_by("pk")
    )
    parts = {balloon.part_id for balloon in rows if balloon.part_id}
    components = {balloon.component_id for balloon in rows if balloon.component_id}
    part_counts = _counts_by(Part.objects.filter(pk__in=parts), day, "pk") if parts else {}
    component_counts = (
        _counts_by(Part.objects.filter(component__in=components), day, "component_id")
        if components
        else {}
    )
    marks = []
    for balloon in rows:
        row = balloon.part or balloon.component
        if row.removed_at is not None:
            continue
        if balloon.part:
            counts = part_counts.get(row.pk, Counts())
            target = Target("part", row.pk, row.item, row.name, row.component.number, counts)
        else:
            counts = component_counts.get(row.pk, Counts())
            target = Target("component", row.pk, row.number, row.name, row.number, counts)
        marks.append(Mark(balloon.pk, balloon.version, target, balloon.x, balloon.y))
    return tuple(sorted(marks, key=lambda m: (m.target.number, m.pk)))


def _counts_by(parts, day: date | None, by: str) -> dict[int, Counts]:
    table = status_table(parts, day, by=by)
    return {int(k): counts_in_all(table[table[:, 0] == k]) for k in np.unique(table[:, 0])}
