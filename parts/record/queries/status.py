"""How the engine stands: counts of pieces by state, on any day."""

from bisect import bisect_left
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, make_dataclass
from datetime import date

import numpy as np
from django.db.models import Q, QuerySet

from parts.drafting.lines import DRAWN_FIRST

from ..models import Component, Engine, Part, PieceEntry, State
from ..models.status import NEED, TOTALS, counted

KEY_ORDER = tuple(State.values)
TABLE = (*KEY_ORDER, *NEED)


@dataclass(frozen=True)
class Counts(make_dataclass("_Counts", [(n, int, 0) for n in TABLE], frozen=True)):
    """Pieces by state: one attribute a state, which sum to `need`.

    Args:
        need: Pieces the engine should have, less those left off.
        left_off: Pieces that will not be replaced.
        spare: Pieces on hand over the need.
        over_made: Jobs over the need: a piece has turned up.
        parts: Parts (kinds of piece) counted.
    """

    parts: int = 0

    @property
    def on_engine(self) -> int:
        return self.in_place + self.fitted

    @property
    def accounted(self) -> int:
        """Pieces found, in place or fitted."""
        return self.in_place + self.fitted + self.found

    @property
    def wanting(self) -> int:
        """Pieces missing or beyond repair."""
        return self.missing + self.beyond_repair

    @property
    def states(self) -> list[tuple[str, int]]:
        """Each state with its count, in the order of the key."""
        return [(state, getattr(self, state)) for state in KEY_ORDER]

    @property
    def by_state(self) -> dict[str, int]:
        return dict(self.states)

    @property
    def drawn(self) -> str:
        """The state in whose line the part is drawn."""
        return next((s for s in DRAWN_FIRST if getattr(self, s)), "found")

    @property
    def of_drawn(self) -> str:
        """ "5 of 8" where pieces stand in several ways, else nothing."""
        n = getattr(self, self.drawn)
        return f"{n} of {self.need}" if 0 < n < self.need else ""


def counts_of(row: Part | dict) -> Counts:
    """The counts of one part that came from `Part.objects.status()`, or of a dict of sums."""
    get = row.get if isinstance(row, dict) else lambda name: getattr(row, name)
    return Counts(parts=1, **{name: get(name) or 0 for name in TABLE})


def status_table(parts: QuerySet, day: date | None = None, by: str = "pk") -> np.ndarray:
    """How each of many parts stands: a row to a part, one query.

    The sums of entries are made in SQL; they are capped by the need here, for all parts at once.
    SQLite sums an entry again for every column that names it, so that asking it for all eleven
    columns of `status()` takes three times as long.

    Returns:
        An array of whole numbers: the column `by` of the part, then the columns of `TABLE`.
    """
    rows = parts.order_by().values(*{"pk", "quantity", by}).running(day)
    found = list(rows.values_list(by, "quantity", *TOTALS))
    key, quantity, *totals = np.array(found, dtype=np.int64).reshape(-1, 2 + len(TOTALS)).T
    return _rows(key, quantity, totals)


def tables_over_time(
    parts: QuerySet, days: Iterable[date], by: str = "pk"
) -> Iterator[tuple[date, np.ndarray]]:
    """A `status_table` for each of many days, in their order. One query.

    What the entries of each day add to the running totals comes from SQL, and is added up from day
    to day: asking for each of a hundred days would take a hundred times as long.
    """
    days = sorted(set(days))
    rows = parts.order_by().values(*{"pk", "quantity", by, "entries__day"}).running()
    rows = list(rows.values_list("entries__day", "pk", by, "quantity", *TOTALS))
    told = np.array([row[1:] for row in rows], dtype=np.int64).reshape(-1, 3 + len(TOTALS))
    # An entry counts from the first of the days that is not before its own.
    since = np.array([bisect_left(days, row[0]) if row[0] else 0 for row in rows])
    _, first, place = np.unique(told[:, 0], return_index=True, return_inverse=True)
    _, key, quantity, *_ = told[first].T
    running = np.zeros((len(first), len(TOTALS)), dtype=np.int64)
    for n, day in enumerate(days):
        now = since == n
        np.add.at(running, place[now], told[now, 3:])
        yield day, _rows(key, quantity, running.T)


def _rows(key: np.ndarray, quantity: np.ndarray, totals) -> np.ndarray:
    """Rows of a status table, from the sums of each part."""
    of_part = dict(zip(TOTALS, totals, strict=True))
    counts = counted(of_part, quantity, np.minimum, np.maximum)
    return np.column_stack([key, *(counts[name] for name in TABLE)])


def counts_in_all(table: np.ndarray) -> Counts:
    """The rows of a `status_table` added up."""
    sums = table[:, 1:].sum(axis=0).tolist()
    return Counts(parts=len(table), **dict(zip(TABLE, sums, strict=True)))


def counts_by(table: np.ndarray) -> dict[int, Counts]:
    """The rows of a `status_table` added up for each value of its first column."""
    return {int(key): counts_in_all(table[table[:, 0] == key]) for key in np.unique(table[:, 0])}


def engine_counts(engine: Engine, day: date | None = None) -> Counts:
    """The counts of the whole engine on a day. One query."""
    return counts_in_all(status_table(Part.objects.filter(engine=engine), day))


def component_counts(engine: Engine, day: date | None = None) -> list[tuple[Component, Counts]]:
    """Each component of the engine with the counts of its own parts. Two queries."""
    return counts_of_whole(engine, day)[1]


def counts_of_whole(
    engine: Engine, day: date | None = None
) -> tuple[Counts, list[tuple[Component, Counts]]]:
    """The counts of the whole engine, and of each component. Two queries."""
    parts = Part.objects.filter(engine=engine)
    table = status_table(parts, day, by="component_id")
    counts = counts_by(table)
    components = Component.objects.filter(engine=engine).order_by("number")
    return counts_in_all(table), [(c, counts.get(c.pk, Counts())) for c in components]


def engines_with_counts(engines) -> list[tuple[Engine, Counts]]:
    """Each engine with its counts today. Two queries however many engines."""
    engines = list(engines)
    parts = Part.objects.filter(engine__in=engines)
    counts = counts_by(status_table(parts, by="engine_id"))
    return [(engine, counts.get(engine.pk, Counts())) for engine in engines]


def first_day(engine: Engine) -> date | None:
    """The day of the first entry of the record."""
    return (
        PieceEntry.objects.filter(Q(engine=engine))
        .order_by("day")
        .values_list("day", flat=True)
        .first()
    )


Kind = PieceEntry.Kind


def counts_now(part: Part) -> Counts:
    """How the pieces of a part stand. One query."""
    return counts_in_all(status_table(Part.objects.filter(pk=part.pk)))
