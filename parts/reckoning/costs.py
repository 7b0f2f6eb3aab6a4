"""Each cost as it stands on a day: spent, ordered and still to come, nothing counted twice.

Of each cost the newest amount of the highest basis but paid says what the whole will come to.
What is paid is spent; the rest of the whole is still to come, unless a payment said that nothing
more is to pay. What was handed on to another cost (the metal and fuel of a pour) is spent there
and no longer here. Ranges are added up: lows with lows, likely with likely, highs with highs.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from django.db.models import Case, F, IntegerField, Max, Q, Sum, Value, When, Window
from django.db.models.functions import Coalesce, RowNumber

from ..models import Basis, CostAmount, CostItem, Engine, Heading, Part

NOTHING = Decimal("0.00")
PENNY = Decimal("0.01")
# Replacement fasteners and castings come first, then the other headings.
HEADINGS = tuple(Heading.values)


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


def has_pence(sums: Iterable[Sums]) -> bool:
    """Any of the sums has small money, so that a column of them is written with it."""
    return any(
        amount % 1 for one in sums for amount in (one.spent, one.total.low, one.total.likely)
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


def added_up_by(pairs: Iterable[tuple[object, Sums]]) -> dict:
    """Return the sums of each key, added up."""
    groups: dict = {}
    for key, sums in pairs:
        groups.setdefault(key, []).append(sums)
    return {key: added_up(rows) for key, rows in groups.items()}


@dataclass(frozen=True, slots=True)
class CostLine:
    """One cost as it stands on a day.

    Args:
        basis: The highest basis that an amount rests on; "" when there is no amount.
        standing: What the whole will come to by that basis; None when only payments are known.
        paid: All payments written in it.
        settled: A payment said that nothing more is to pay.
        handed_on: How much of it counts in other costs instead. More than was paid makes `spent`
            less than nothing, so that the sum over all costs stays what was really paid.
        spent: Paid, less what was handed on.
        to_come: What is still to come of it.
        sums: The same as sums, to add up with others.
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
    making_id: int | None
    pour_id: int | None
    pour: int | None
    basis: str
    standing: Range | None
    paid: Decimal
    settled: bool
    handed_on: Decimal
    # Worked out once: a tally asks for them again for each way it adds up.
    spent: Decimal = field(init=False, repr=False)
    to_come: Range = field(init=False, repr=False)
    sums: Sums = field(init=False, repr=False)

    def __post_init__(self):
        to_come = NO_RANGE
        if not self.settled and self.standing is not None:
            to_come = self.standing.less(self.paid)
        ordered = self.basis == Basis.ORDERED
        parts = (to_come, NO_RANGE) if ordered else (NO_RANGE, to_come)
        object.__setattr__(self, "spent", self.paid - self.handed_on)
        object.__setattr__(self, "to_come", to_come)
        object.__setattr__(self, "sums", Sums(self.spent, *parts, 1))

    @property
    def total(self) -> Range:
        return self.sums.total

    @property
    def over(self) -> Decimal:
        """What was paid beyond the quote or order."""
        if self.standing is None or self.basis not in (Basis.QUOTED, Basis.ORDERED):
            return NOTHING
        return max(self.paid - self.standing.high, NOTHING)

    @property
    def overdrawn(self) -> Decimal:
        """What was handed on beyond all that it will come to."""
        return max(-self.total.high, NOTHING)

    @property
    def stands(self) -> str:
        """The basis of what is still to come, or paid when nothing is."""
        if (self.paid or self.pour_id) and not self.to_come.high:
            return Basis.PAID
        return self.basis

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

    def keeps(self, line: CostLine) -> bool:
        words = f"{line.what} {line.supplier} {line.item or ''} {line.part}".lower()
        return (
            self.heading in ("", line.heading)
            and self.basis in ("", line.stands)
            and self.component in ("", str(line.component_id or "none"))
            and all(word in words for word in self.text.lower().split())
        )


RISING = Case(
    When(basis=Basis.ORDERED, then=Value(3)),
    When(basis=Basis.QUOTED, then=Value(2)),
    default=Value(1),
    output_field=IntegerField(),
)


def cost_lines(engine: Engine, day: date | None = None, only: Q | None = None) -> list[CostLine]:
    """Every cost of the engine as it stands, in the order of headings. Four queries.

    Args:
        day: As it stood on this day; None counts every amount of the record. On a day, costs
            that had no amount yet are left out.
        only: Keeps some of the cost items.
    """
    items = CostItem.objects.filter(engine=engine)
    if only is not None:
        items = items.filter(only)
    standing = _standing(engine, day)
    paid = _paid(engine, day)
    handed_on = _handed_on(engine, day)
    lines = [
        CostLine(
            *row,
            *standing.get(row[0], ("", None)),
            *paid.get(row[0], (NOTHING, False)),
            handed_on.get(row[0], NOTHING),
        )
        for row in items.annotate(
            own_component=Coalesce(
                "part__component_id", "making__part__component_id", "component_id"
            ),
            own_component_name=Coalesce(
                "part__component__name",
                "making__part__component__name",
                "component__name",
                Value(""),
            ),
        )
        .values_list(
            "pk",
            "heading",
            "what",
            "supplier",
            "own_component",
            "own_component_name",
            Coalesce("part_id", "making__part_id"),
            Coalesce("part__item", "making__part__item"),
            Coalesce("part__name", "making__part__name", Value("")),
            "making_id",
            "pour_id",
            "pour__number",
        )
        .order_by("pk")
    ]
    if day is not None:
        lines = [line for line in lines if line.basis or line.paid or line.handed_on]
    place = {heading: i for i, heading in enumerate(HEADINGS)}
    return sorted(lines, key=lambda line: (place[line.heading], line.pk))


def costs_to_come(part: Part) -> list[CostLine]:
    """The costs of a part, its jobs' too, of which something is still to come. Four queries."""
    lines = cost_lines(part.engine, None, Q(part=part) | Q(making__part=part))
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


def _handed_on(engine: Engine, day: date | None) -> dict[int, Decimal]:
    """What was handed on from each cost to others. One query."""
    rows = amounts_of(engine, day).filter(Q(out_of__isnull=False) | Q(lot__isnull=False))
    rows = rows.filter(basis=Basis.PAID).annotate(source=HANDED_ON_FROM)
    rows = rows.filter(source__isnull=False).order_by().values_list("source")
    return {source: exact(amount) for source, amount in rows.annotate(n=Sum("likely"))}


def amounts_handed_on(item: CostItem) -> list[CostAmount]:
    """The amounts of other costs that were paid under this one. One query."""
    rows = amounts_of(item.engine, None).annotate(source=HANDED_ON_FROM).filter(source=item.pk)
    return list(rows.select_related("item__pour").order_by("day", "pk"))


def _standing(engine: Engine, day: date | None) -> dict[int, tuple[str, Range]]:
    newest = Window(
        RowNumber(),
        partition_by=F("item_id"),
        order_by=[RISING.desc(), F("day").desc(), F("pk").desc()],
    )
    rows = amounts_of(engine, day).exclude(basis=Basis.PAID).annotate(place=newest).filter(place=1)
    return {
        item: (basis, Range(low, likely, high))
        for item, basis, low, likely, high in rows.order_by().values_list(
            "item_id", "basis", "low", "likely", "high"
        )
    }


def _paid(engine: Engine, day: date | None) -> dict[int, tuple[Decimal, bool]]:
    settles = Max(Case(When(settles=True, then=1), default=0, output_field=IntegerField()))
    rows = amounts_of(engine, day).filter(basis=Basis.PAID).order_by().values("item_id")
    return {
        row["item_id"]: (exact(row["paid"]), bool(row["settled"]))
        for row in rows.annotate(paid=Sum("likely"), settled=settles)
    }


def exact(amount: Decimal | None) -> Decimal:
    """A sum from the database, to the penny: SQLite adds in binary."""
    return (amount or NOTHING).quantize(PENNY)
