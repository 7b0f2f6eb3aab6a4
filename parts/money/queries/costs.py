"""Each cost as it stands on a day: spent, ordered and still to come, nothing counted twice.

Of each cost the newest amount of the highest basis but paid says what the whole will come to.
What is paid is spent; the rest of the whole is still to come, unless a payment said that nothing
more is to pay. What was handed on to another cost (the metal and fuel of a pour) is spent there
and no longer here. Ranges are added up: lows with lows, likely with likely, highs with highs.
"""

from collections.abc import Iterable
from dataclasses import dataclass, fields
from datetime import date
from decimal import Decimal
from functools import cached_property

import numpy as np
from django.db.models import Case, F, IntegerField, Q, QuerySet, Sum, Value, When
from django.db.models.functions import Coalesce

from parts.engineering.measures.reading import whole
from parts.record.models import Basis, Engine, Heading, Part
from parts.record.models.status import Whole

from ..models import CostAmount, CostItem

NOTHING = Decimal("0.00")
PENNY = Decimal("0.01")
# Replacement fasteners and castings come first, then the other headings.
HEADINGS = tuple(Heading.values)
AMOUNTS = ("low", "likely", "high")
PAGEFUL = 500  # up to so many rows are asked for by their keys, more by whose they are


@dataclass(frozen=True, slots=True)
class Range:
    """An amount of money that is not certain."""

    low: Decimal = NOTHING
    likely: Decimal = NOTHING
    high: Decimal = NOTHING

    def __add__(self, other: "Range") -> "Range":
        return Range(self.low + other.low, self.likely + other.likely, self.high + other.high)

    def less(self, paid: Decimal) -> "Range":
        """What is left of it once `paid` is paid: never less than nothing."""
        return Range(
            max(self.low - paid, NOTHING),
            max(self.likely - paid, NOTHING),
            max(self.high - paid, NOTHING),
        )

    @property
    def certain(self) -> bool:
        return self.low == self.high


NO_RANGE = Range()


@dataclass(frozen=True, slots=True)
class Sums:
    """Costs added up.

    Args:
        spent: Paid.
        committed: Ordered and not yet paid.
        open: Still to come and not yet committed: quoted or estimated, less what is paid.
        items: How many costs were added up.
    """

    spent: Decimal = NOTHING
    committed: Range = NO_RANGE
    open: Range = NO_RANGE
    items: int = 0

    def __add__(self, other: "Sums") -> "Sums":
        return Sums(
            self.spent + other.spent,
            self.committed + other.committed,
            self.open + other.open,
            self.items + other.items,
        )

    @property
    def to_come(self) -> Range:
        """Still to come in all: committed and not."""
        return self.committed + self.open

    @property
    def total(self) -> Range:
        """Spent and still to come."""
        to_come = self.to_come
        return Range(
            self.spent + to_come.low, self.spent + to_come.likely, self.spent + to_come.high
        )


def added_up(sums: Iterable[Sums]) -> Sums:
    """Return sums added up, in one pass and with no sum between: a tally adds up thousands."""
    spent, items = NOTHING, 0
    low = likely = high = open_low = open_likely = open_high = NOTHING
    for one in sums:
        spent += one.spent
        items += one.items
        if one.committed is not NO_RANGE:
            low += one.committed.low
            likely += one.committed.likely
            high += one.committed.high
        if one.open is not NO_RANGE:
            open_low += one.open.low
            open_likely += one.open.likely
            open_high += one.open.high
    committed, not_committed = Range(low, likely, high), Range(open_low, open_likely, open_high)
    return Sums(spent, committed, not_committed, items)


@dataclass(frozen=True, slots=True)
class CostLine:
    """One cost as it stands on a day, drawn up from a row of a `CostTable`.

    Args:
        basis: The highest basis that an amount rests on; "" when there is no amount.
        stands: The basis of what is still to come, or paid when nothing is.
        standing: What the whole will come to by that basis; nothing when only payments are known.
        paid: All payments written in it.
        settled: A payment said that nothing more is to pay.
        handed_on: How much of it counts in other costs instead.
        sums: What is spent and still to come of it, to add up with others.
    """

    pk: int
    heading: str
    what: str
    supplier: str
    component_id: int | None
    component: str
    part_id: int | None
    item: int | None
    part: str
    job_id: int | None
    pour_id: int | None
    pour: int | None
    basis: str
    stands: str
    standing: Range
    paid: Decimal
    settled: bool
    handed_on: Decimal
    sums: Sums

    @property
    def spent(self) -> Decimal:
        """Paid, less what was handed on."""
        return self.sums.spent

    @property
    def to_come(self) -> Range:
        return self.sums.to_come

    @property
    def total(self) -> Range:
        return self.sums.total

    @property
    def over(self) -> Decimal:
        """What was paid beyond the quote or order."""
        if self.basis not in (Basis.QUOTED, Basis.ORDERED):
            return NOTHING
        return max(self.paid - self.standing.high, NOTHING)

    @property
    def overdrawn(self) -> Decimal:
        """What was handed on beyond all that it will come to."""
        return max(-self.total.high, NOTHING)

    @property
    def stands_word(self) -> str:
        return Basis(self.stands).label if self.stands else "No amount yet"

    @property
    def heading_word(self) -> str:
        return Heading(self.heading).label


@dataclass(frozen=True)
class CostFilters:
    """Which costs are listed. An empty word keeps all; component "none": of no component."""

    heading: str = ""
    basis: str = ""
    component: str = ""
    text: str = ""


BASES = ("", *Basis.values)
_PAID, _ORDERED = BASES.index(Basis.PAID), BASES.index(Basis.ORDERED)


@dataclass(frozen=True)
class CostTable:
    """Costs as they stand on a day: a row to a cost, in the order of headings.

    Every rule of how a cost stands is here, for all costs at once and in whole pennies: an engine
    has thousands. A line is drawn up only for what is shown.

    Args:
        items: The costs as rows of the database, to fetch their words.
        pk, heading, component, part, job, pour: Of each cost; 0 for none. The heading is its
            place among `HEADINGS`.
        basis: Place among `BASES` of the highest basis that an amount rests on, but paid.
        standing: What the whole will come to by that basis: low, likely and high.
        paid: All payments written in it.
        settled: A payment said that nothing more is to pay.
        handed_on: How much of it counts in other costs instead. More than was paid makes `spent`
            less than nothing, so that the sum over all costs stays what was really paid.
    """

    items: QuerySet
    pk: np.ndarray
    heading: np.ndarray
    component: np.ndarray
    part: np.ndarray
    job: np.ndarray
    pour: np.ndarray
    basis: np.ndarray
    standing: np.ndarray
    paid: np.ndarray
    settled: np.ndarray
    handed_on: np.ndarray

    def __len__(self) -> int:
        return len(self.pk)

    @property
    def rows(self) -> np.ndarray:
        """The numbers of the rows, to page through."""
        return np.arange(len(self))

    def kept(self, rows: np.ndarray) -> "CostTable":
        """Only these rows."""
        columns = {name: column[rows] for name, column in vars(self).items() if name in _COLUMNS}
        return CostTable(self.items, **columns)

    @cached_property
    def spent(self) -> np.ndarray:
        return self.paid - self.handed_on

    @cached_property
    def to_come(self) -> np.ndarray:
        """Low, likely and high still to come: what is left once the paid is paid."""
        left = np.maximum(self.standing - self.paid[:, None], 0)
        return np.where(self.settled[:, None], 0, left)

    @cached_property
    def stands(self) -> np.ndarray:
        """Place among `BASES` of the basis of what is still to come; of paid when nothing is."""
        done = ((self.paid > 0) | (self.pour > 0)) & (self.to_come[:, 2] == 0)
        return np.where(done, _PAID, self.basis)

    @cached_property
    def amounts(self) -> np.ndarray:
        """A row of what `Sums` adds up for each cost."""
        ordered = (self.basis == _ORDERED)[:, None]
        committed, not_yet = self.to_come * ordered, self.to_come * ~ordered
        ones = np.ones_like(self.pk)
        return np.column_stack([self.spent, committed, not_yet, ones])

    @property
    def sums(self) -> Sums:
        """All costs added up."""
        return _sums(self.amounts.sum(axis=0).tolist())

    @property
    def pence(self) -> bool:
        """Any cost has small money, so that a column of them is written with it."""
        return bool((self.amounts[:, :-1] % 100).any())

    def sums_by(self, keys: np.ndarray) -> dict[int, Sums]:
        """The costs added up for each key, of which there is one to a cost."""
        found, place = np.unique(keys, return_inverse=True)
        amounts = np.zeros((len(found), self.amounts.shape[1]), dtype=np.int64)
        np.add.at(amounts, place, self.amounts)
        return dict(zip(found.tolist(), map(_sums, amounts.tolist()), strict=True))

    def chosen(self, filters: CostFilters) -> "CostTable":
        """The costs that filters keep. One query when words are looked for."""
        keep = np.ones(len(self), dtype=bool)
        for asked, column, names in (
            (filters.heading, self.heading, HEADINGS),
            (filters.basis, self.stands, BASES),
        ):
            if asked:
                keep &= column == (names.index(asked) if asked in names else -1)
        if filters.component:
            pk = 0 if filters.component == "none" else whole(filters.component) or -1
            keep &= self.component == pk
        if words := filters.text.lower().split():
            told = {
                line.pk: f"{line.what} {line.supplier} {line.item or ''} {line.part}".lower()
                for line in self.lines()
            }
            keep &= [all(word in told[pk] for word in words) for pk in self.pk.tolist()]
        return self.kept(np.flatnonzero(keep))

    def lines(self, rows: slice | np.ndarray = slice(None)) -> list[CostLine]:
        """The lines of these rows, in their order. One query."""
        table = self.kept(rows)
        items = self.items if len(table) > PAGEFUL else self.items.filter(pk__in=table.pk.tolist())
        words = {row[0]: row for row in items.values_list(*_WORDS)}
        columns = (
            *(table.pk, table.basis, table.stands, table.standing),
            *(table.paid, table.settled, table.handed_on, table.amounts),
        )
        return [
            CostLine(
                *(*words[pk], BASES[basis], BASES[stands]),
                *(_range(standing), from_pennies(paid), settled, from_pennies(handed_on)),
                _sums(amounts),
            )
            for pk, basis, stands, standing, paid, settled, handed_on, amounts in zip(
                *(column.tolist() for column in columns), strict=True
            )
        ]


_COLUMNS = {one.name for one in fields(CostTable)} - {"items"}
# The component of a cost: of its part, its job, or its own.
_COMPONENT = Coalesce("part__component_id", "job__part__component_id", "component_id")
_PART = Coalesce("part_id", "job__part_id")
_WORDS = (
    "pk",
    "heading",
    "what",
    "supplier",
    _COMPONENT,
    Coalesce("part__component__name", "job__part__component__name", "component__name", Value("")),
    _PART,
    Coalesce("part__item", "job__part__item"),
    Coalesce("part__name", "job__part__name", Value("")),
    "job_id",
    "pour_id",
    "pour__number",
)


def from_pennies(pennies: int) -> Decimal:
    return Decimal(pennies).scaleb(-2)


def _range(pennies: list[int]) -> Range:
    return Range(*map(from_pennies, pennies)) if any(pennies) else NO_RANGE


def _sums(row: list[int]) -> Sums:
    spent, *ranges, items = row
    return Sums(from_pennies(spent), _range(ranges[:3]), _range(ranges[3:]), items)


RISING = Case(
    When(basis=Basis.ORDERED, then=Value(3)),
    When(basis=Basis.QUOTED, then=Value(2)),
    default=Value(1),
    output_field=IntegerField(),
)


def cost_lines(engine: Engine, day: date | None = None, only: Q | None = None) -> list[CostLine]:
    """Costs of the engine as they stand, in the order of headings. Four queries."""
    return cost_table(engine, day, only).lines()


def cost_table(engine: Engine, day: date | None = None, only: Q | None = None) -> CostTable:
    """Every cost of the engine as it stands. Three queries.

    Args:
        day: As it stood on this day; None counts every amount of the record. On a day, costs
            that had no amount yet are left out.
        only: Keeps some of the cost items.
    """
    items = CostItem.objects.filter(only or Q(), engine=engine)
    place = {heading: i for i, heading in enumerate(HEADINGS)}
    rows = [
        (pk, place[heading], *(key or 0 for key in keys))
        for pk, heading, *keys in items.order_by("pk").values_list(
            "pk", "heading", _COMPONENT, _PART, "job_id", "pour_id"
        )
    ]
    keys = np.array(rows, dtype=np.int64).reshape(-1, 6).T
    amounts = amounts_of(engine, day)
    if only is not None:
        amounts = amounts.filter(item__in=items.values("pk"))
    table = CostTable(items, *keys, *_stand(keys[0], amounts), _handed_on(engine, day, keys[0]))
    kept = np.lexsort([table.pk, table.heading])
    if day is not None:
        told = (table.basis > 0) | (table.paid > 0) | (table.handed_on > 0)
        kept = kept[told[kept]]
    return table.kept(kept)


def _stand(pk: np.ndarray, amounts: QuerySet) -> tuple[np.ndarray, ...]:
    """Basis, standing, paid and settled of costs, whose keys rise. One query."""
    rows = amounts.order_by(RISING, "day", "pk").values_list(
        "item_id", "basis", *(Whole(F(name)) for name in ("settles", *AMOUNTS))
    )
    told = [(item, BASES.index(basis), *more) for item, basis, *more in rows]
    item, basis, settles, *pounds = np.array(told, dtype=float).reshape(-1, 6).T
    at, pennies = np.searchsorted(pk, item), np.rint(100 * np.array(pounds).T).astype(np.int64)
    paid, settled = np.zeros_like(pk), np.zeros(len(pk), dtype=bool)
    is_paid = basis == _PAID
    np.add.at(paid, at[is_paid], pennies[is_paid, 1])
    settled[at[settles > 0]] = True
    # The last that is written to a place stays there: the newest of the highest basis.
    stands, standing = np.zeros_like(pk), np.zeros((len(pk), 3), dtype=np.int64)
    stands[at[~is_paid]], standing[at[~is_paid]] = basis[~is_paid], pennies[~is_paid]
    return stands, standing, paid, settled


def costs_to_come(part: Part) -> list[CostLine]:
    """The costs of a part, its jobs' too, of which something is still to come. Four queries."""
    lines = cost_lines(part.engine, None, Q(part=part) | Q(job__part=part))
    return [line for line in lines if line.to_come.high]


def open_costs(
    engine: Engine, *, part: int | None, component: int | None, heading: str
) -> list[CostLine]:
    """Costs with something still to come that a new receipt, order or quote may settle.

    Those of the same part; and, under the same heading, those of its component, or of no one
    component, that are of no part. Four queries.
    """
    return [
        line
        for line in cost_lines(engine)
        if line.to_come.high
        and (
            (part is not None and line.part_id == part)
            or (line.part_id is None and line.component_id == component and line.heading == heading)
        )
    ]


def amounts_of(engine: Engine, day: date | None):
    """The amounts of kept costs up to a day."""
    rows = CostAmount.objects.filter(item__engine=engine, item__removed_at__isnull=True)
    return rows if day is None else rows.filter(day__lte=day)


# The cost that the money of an amount was paid under before it was handed on, where that cost is
# kept. One that was removed is not in the tally, so nothing is taken from it.
HANDED_ON_FROM = Case(
    When(out_of__isnull=False, out_of__removed_at__isnull=True, then=F("out_of_id")),
    When(
        out_of__isnull=True,
        lot__bought_as__isnull=False,
        lot__bought_as__removed_at__isnull=True,
        then=F("lot__bought_as_id"),
    ),
    default=None,
    output_field=IntegerField(),
)


def payments_of(engine: Engine, day: date | None):
    """What was really paid up to a day: nothing that was only handed on from another cost."""
    rows = amounts_of(engine, day).filter(basis=Basis.PAID).annotate(source=HANDED_ON_FROM)
    return rows.filter(source__isnull=True)


def _handed_on(engine: Engine, day: date | None, pk: np.ndarray) -> np.ndarray:
    """What was handed on from each of these costs to others. One query."""
    rows = amounts_of(engine, day).filter(Q(out_of__isnull=False) | Q(lot__isnull=False))
    rows = rows.filter(basis=Basis.PAID).annotate(source=HANDED_ON_FROM)
    rows = rows.filter(source__isnull=False).order_by().values_list("source")
    of = {source: int(100 * exact(amount)) for source, amount in rows.annotate(n=Sum("likely"))}
    return np.array([of.get(one, 0) for one in pk.tolist()], dtype=np.int64)


def amounts_handed_on(item: CostItem) -> list[CostAmount]:
    """The amounts of other costs that were paid under this one. One query."""
    rows = amounts_of(item.engine, None).annotate(source=HANDED_ON_FROM).filter(source=item.pk)
    return list(rows.select_related("item__pour").order_by("day", "pk"))


def exact(amount: Decimal | None) -> Decimal:
    """A sum from the database, to the penny: SQLite adds in binary."""
    return (amount or NOTHING).quantize(PENNY)
