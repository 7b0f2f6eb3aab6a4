"""Each cost on a day: spent, ordered and still to come, nothing counted twice.

The newest amount of the highest basis except paid is the expected total of a cost. What is paid is
spent; the rest of the expected total is still to come, unless a payment settled the cost. What was
handed on to another cost (the metal and fuel of a pour) counts there and no longer here. Ranges are
added up: lows with lows, likely with likely, highs with highs.
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
MOST_IDS = 500  # more rows than this are queried by engine, not by id


@dataclass(frozen=True, slots=True)
class Range:
    """An uncertain amount of money."""

    low: Decimal = NOTHING
    likely: Decimal = NOTHING
    high: Decimal = NOTHING

    def __add__(self, other: "Range") -> "Range":
        return Range(self.low + other.low, self.likely + other.likely, self.high + other.high)

    def less(self, paid: Decimal) -> "Range":
        """Return what remains after `paid`, never less than nothing."""
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


def add_up(sums: Iterable[Sums]) -> Sums:
    """Return the total of sums, in one pass without intermediate sums: there may be thousands."""
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
    """One cost on a day, from a row of a `CostTable`.

    Args:
        basis: The highest basis of its amounts except paid; "" when there is none.
        current_basis: The basis of what is still to come; paid when nothing is.
        expected: The expected total by that basis; zero when there are only payments.
        paid: The sum of its payments.
        settled: Whether a payment said that nothing more is to pay.
        handed_on: The sum that counts in other costs instead.
        sums: What is spent and still to come, to add up with others.
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
    current_basis: str
    expected: Range
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
        """The sum paid beyond the quote or order."""
        if self.basis not in (Basis.QUOTED, Basis.ORDERED):
            return NOTHING
        return max(self.paid - self.expected.high, NOTHING)

    @property
    def overdrawn(self) -> Decimal:
        """The sum handed on beyond its total."""
        return max(-self.total.high, NOTHING)

    @property
    def basis_word(self) -> str:
        return Basis(self.current_basis).label if self.current_basis else "No amount yet"

    @property
    def heading_word(self) -> str:
        return Heading(self.heading).label


@dataclass(frozen=True)
class CostFilters:
    """Which costs are listed. An empty filter keeps all; component "none": of no component."""

    heading: str = ""
    basis: str = ""
    component: str = ""
    text: str = ""


BASES = ("", *Basis.values)
_PAID, _ORDERED = BASES.index(Basis.PAID), BASES.index(Basis.ORDERED)


@dataclass(frozen=True)
class CostTable:
    """The costs on a day as columns, a row for each cost, in the order of headings.

    All rules of a cost are applied here, for all costs at once and in whole pennies: an engine
    has thousands. Lines are made only for what is shown.

    Args:
        items: The costs as a query set, to fetch their texts.
        pk, heading, component, part, job, pour: Ids; 0 for none. The heading is an index into
            `HEADINGS`.
        basis: The index into `BASES` of the highest basis of its amounts except paid.
        expected: The expected total by that basis: low, likely and high.
        paid: The sum of its payments.
        settled: Whether a payment said that nothing more is to pay.
        handed_on: The sum that counts in other costs instead. More than was paid makes `spent`
            negative, so that the sum over all costs stays what was actually paid.
    """

    items: QuerySet
    pk: np.ndarray
    heading: np.ndarray
    component: np.ndarray
    part: np.ndarray
    job: np.ndarray
    pour: np.ndarray
    basis: np.ndarray
    expected: np.ndarray
    paid: np.ndarray
    settled: np.ndarray
    handed_on: np.ndarray

    def __len__(self) -> int:
        return len(self.pk)

    @property
    def rows(self) -> np.ndarray:
        """The row numbers, to page through."""
        return np.arange(len(self))

    def select(self, rows: np.ndarray) -> "CostTable":
        """Return a table of these rows only."""
        columns = {name: column[rows] for name, column in vars(self).items() if name in _COLUMNS}
        return CostTable(self.items, **columns)

    @cached_property
    def spent(self) -> np.ndarray:
        return self.paid - self.handed_on

    @cached_property
    def to_come(self) -> np.ndarray:
        """Low, likely and high still to come: the expected total less payments."""
        left = np.maximum(self.expected - self.paid[:, None], 0)
        return np.where(self.settled[:, None], 0, left)

    @cached_property
    def current_basis(self) -> np.ndarray:
        """The index into `BASES` of the basis of what is still to come; of paid when nothing is."""
        done = ((self.paid > 0) | (self.pour > 0)) & (self.to_come[:, 2] == 0)
        return np.where(done, _PAID, self.basis)

    @cached_property
    def amounts(self) -> np.ndarray:
        """For each cost a row of the figures that `Sums` adds up."""
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
        """Whether any cost has pence, so that a column of them is shown with pence."""
        return bool((self.amounts[:, :-1] % 100).any())

    def sums_by(self, keys: np.ndarray) -> dict[int, Sums]:
        """Return the sums of costs by key; `keys` has one for each cost."""
        unique_keys, place = np.unique(keys, return_inverse=True)
        amounts = np.zeros((len(unique_keys), self.amounts.shape[1]), dtype=np.int64)
        np.add.at(amounts, place, self.amounts)
        return dict(zip(unique_keys.tolist(), map(_sums, amounts.tolist()), strict=True))

    def filtered(self, filters: CostFilters) -> "CostTable":
        """Return the costs that match. One query when there is a text to search for."""
        keep = np.ones(len(self), dtype=bool)
        for choice, column, names in (
            (filters.heading, self.heading, HEADINGS),
            (filters.basis, self.current_basis, BASES),
        ):
            if choice:
                keep &= column == (names.index(choice) if choice in names else -1)
        if filters.component:
            pk = 0 if filters.component == "none" else whole(filters.component) or -1
            keep &= self.component == pk
        if words := filters.text.lower().split():
            text_of = {
                line.pk: f"{line.what} {line.supplier} {line.item or ''} {line.part}".lower()
                for line in self.lines()
            }
            keep &= [all(word in text_of[pk] for word in words) for pk in self.pk.tolist()]
        return self.select(np.flatnonzero(keep))

    def lines(self, rows: slice | np.ndarray = slice(None)) -> list[CostLine]:
        """Return the lines of these rows, in order. One query."""
        table = self.select(rows)
        items = self.items if len(table) > MOST_IDS else self.items.filter(pk__in=table.pk.tolist())
        words = {row[0]: row for row in items.values_list(*_WORDS)}
        columns = (
            *(table.pk, table.basis, table.current_basis, table.expected),
            *(table.paid, table.settled, table.handed_on, table.amounts),
        )
        return [
            CostLine(
                *(*words[pk], BASES[basis], BASES[current_basis]),
                *(_range(expected), from_pennies(paid), settled, from_pennies(handed_on)),
                _sums(amounts),
            )
            for pk, basis, current_basis, expected, paid, settled, handed_on, amounts in zip(
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
    """Return costs of the engine, in the order of headings. Four queries."""
    return cost_table(engine, day, only).lines()


def cost_table(engine: Engine, day: date | None = None, only: Q | None = None) -> CostTable:
    """Return the costs of the engine as a table. Three queries.

    Args:
        day: Count amounts up to this day, and leave out costs without any; None counts all.
        only: A condition on the cost items.
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
    table = CostTable(
        items, *keys, *_amount_columns(keys[0], amounts), _handed_on(engine, day, keys[0])
    )
    order = np.lexsort([table.pk, table.heading])
    if day is not None:
        has_amount = (table.basis > 0) | (table.paid > 0) | (table.handed_on > 0)
        order = order[has_amount[order]]
    return table.select(order)


def _amount_columns(pk: np.ndarray, amounts: QuerySet) -> tuple[np.ndarray, ...]:
    """Return basis, expected total, paid and settled of costs; `pk` is sorted. One query."""
    rows = amounts.order_by(RISING, "day", "pk").values_list(
        "item_id", "basis", *(Whole(F(name)) for name in ("settles", *AMOUNTS))
    )
    values = [(item, BASES.index(basis), *more) for item, basis, *more in rows]
    item, basis, settles, *pounds = np.array(values, dtype=float).reshape(-1, 6).T
    place, pennies = np.searchsorted(pk, item), np.rint(100 * np.array(pounds).T).astype(np.int64)
    paid, settled = np.zeros_like(pk), np.zeros(len(pk), dtype=bool)
    is_paid = basis == _PAID
    np.add.at(paid, place[is_paid], pennies[is_paid, 1])
    settled[place[settles > 0]] = True
    # Of several values for one place the last wins: the newest of the highest basis.
    highest, expected = np.zeros_like(pk), np.zeros((len(pk), 3), dtype=np.int64)
    highest[place[~is_paid]], expected[place[~is_paid]] = basis[~is_paid], pennies[~is_paid]
    return highest, expected, paid, settled


def costs_to_come(part: Part) -> list[CostLine]:
    """Return the costs of a part and its jobs with something still to come. Four queries."""
    lines = cost_lines(part.engine, None, Q(part=part) | Q(job__part=part))
    return [line for line in lines if line.to_come.high]


def open_costs(
    engine: Engine, *, part: int | None, component: int | None, heading: str
) -> list[CostLine]:
    """Return costs with something still to come that a new receipt, order or quote may settle.

    These are the costs of the part, and those of no part under the same heading and component.
    Four queries.
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
    """Return the amounts of costs that are not deleted, up to a day."""
    rows = CostAmount.objects.filter(item__engine=engine, item__removed_at__isnull=True)
    return rows if day is None else rows.filter(day__lte=day)


# The cost under which the money of an amount was first paid, before it was handed on. A deleted
# cost is not in the tally, so nothing is taken from it.
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
    """Return the payments up to a day, without amounts handed on from another cost."""
    rows = amounts_of(engine, day).filter(basis=Basis.PAID).annotate(source=HANDED_ON_FROM)
    return rows.filter(source__isnull=True)


def _handed_on(engine: Engine, day: date | None, pk: np.ndarray) -> np.ndarray:
    """Return the sum handed on from each of these costs to others. One query."""
    rows = amounts_of(engine, day).filter(Q(out_of__isnull=False) | Q(lot__isnull=False))
    rows = rows.filter(basis=Basis.PAID).annotate(source=HANDED_ON_FROM)
    rows = rows.filter(source__isnull=False).order_by().values_list("source")
    by_source = {
        source: int(100 * exact(amount)) for source, amount in rows.annotate(n=Sum("likely"))
    }
    return np.array([by_source.get(key, 0) for key in pk.tolist()], dtype=np.int64)


def amounts_handed_on(item: CostItem) -> list[CostAmount]:
    """Return the amounts of other costs that were paid under this one. One query."""
    rows = amounts_of(item.engine, None).annotate(source=HANDED_ON_FROM).filter(source=item.pk)
    return list(rows.select_related("item__pour").order_by("day", "pk"))


def exact(amount: Decimal | None) -> Decimal:
    """Round a sum from the database to the penny: SQLite adds in binary."""
    return (amount or NOTHING).quantize(PENNY)
