"""The cost tally: what is spent, ordered and still to come, by heading, component and month.

Ranges are added up: lows with lows, likely with likely, highs with highs.
"""

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from django.db.models import Sum

from parts.engineering.calculation import Calculation, Input, Origin
from parts.engineering.estimating.three_point import DRAWS, Outcome, simulate
from parts.record.models import Basis, Component, Engine, Heading

from .costs import (
    BASES,
    HEADINGS,
    NOTHING,
    CostLine,
    CostTable,
    Range,
    Sums,
    cost_table,
    exact,
    payments_of,
)

NO_COMPONENT = "Not assigned"
ADDED_UP = (
    "Added up: the lows together, the likely figures together, the highs together. "
    "That all fall low or all fall high at once is unlikely, so the range that will come true "
    "is narrower."
)


@dataclass(frozen=True)
class TallyRow:
    """Costs of one heading or component, added up."""

    key: str | int | None
    word: str
    sums: Sums


@dataclass(frozen=True)
class BasisRow:
    """The sum on one basis: paid is spent, the others are still to come."""

    key: str
    word: str
    amount: Range


@dataclass(frozen=True)
class MonthRow:
    """The sum spent in a month, and in all until its end."""

    month: date
    spent: Decimal
    so_far: Decimal


@dataclass(frozen=True)
class Tally:
    """The cost tally of an engine on a day. Headings, components and bases each sum to `sums`."""

    day: date | None
    currency: str
    sums: Sums
    by_heading: list[TallyRow]
    by_component: list[TallyRow]
    by_basis: list[BasisRow]
    by_month: list[MonthRow]
    costs: CostTable = field(repr=False)
    how: str = ADDED_UP
    calculations: tuple[Calculation, ...] = field(default=())

    @property
    def spent(self) -> Decimal:
        return self.sums.spent

    @property
    def pence(self) -> bool:
        """Whether any cost has pence."""
        return self.costs.pence

    @property
    def lines(self) -> list[CostLine]:
        """Every cost. One query."""
        return self.costs.lines()

    @property
    def committed(self) -> Range:
        """Ordered and not yet paid."""
        return self.sums.committed

    @property
    def to_come(self) -> Range:
        """Still to come in all: committed and not."""
        return self.sums.to_come

    @property
    def total(self) -> Range:
        """Spent and still to come."""
        return self.sums.total


def cost_tally(engine: Engine, day: date | None = None) -> Tally:
    """Return the cost tally of an engine, on a day or of all amounts. Five queries."""
    table = cost_table(engine, day)
    sums, by_basis = table.sums, _by_basis(table)
    return Tally(
        day,
        engine.currency,
        sums,
        _by_heading(table),
        _by_component(engine, table),
        by_basis,
        _by_month(engine, day),
        table,
        calculations=_calculations(sums, by_basis, engine.currency),
    )


def _by_heading(costs: CostTable) -> list[TallyRow]:
    groups = costs.sums_by(costs.heading)
    return [
        TallyRow(key, Heading(key).label, groups.get(place, Sums()))
        for place, key in enumerate(HEADINGS)
        if place in groups or key in (Heading.FASTENERS, Heading.CASTINGS)
    ]


def _by_component(engine: Engine, costs: CostTable) -> list[TallyRow]:
    groups = costs.sums_by(costs.component)
    # A deleted component with a cost keeps its row, or the rows would not add up to the total.
    components = Component.everything.filter(engine=engine).order_by("number", "pk")
    rows = [
        TallyRow(pk, f"{number} {name}", groups[pk])
        for pk, number, name in components.values_list("pk", "number", "name")
        if pk in groups
    ]
    if 0 in groups:
        rows.append(TallyRow(None, NO_COMPONENT, groups[0]))
    return rows


def _by_basis(costs: CostTable) -> list[BasisRow]:
    to_come = {BASES[key]: sums.to_come for key, sums in costs.sums_by(costs.basis).items()}
    spent = costs.sums.spent
    to_come[Basis.PAID] = Range(spent, spent, spent)
    return [BasisRow(key, Basis(key).label, to_come.get(key, Range())) for key in Basis.values]


def _by_month(engine: Engine, day: date | None) -> list[MonthRow]:
    """Return every month from the first payment to the last, those without any too."""
    spent: dict[date, Decimal] = {}
    for paid_on, amount in _paid_by_day(engine, day):
        month = paid_on.replace(day=1)
        spent[month] = spent.get(month, NOTHING) + amount
    if not spent:
        return []
    month, last, so_far, months = min(spent), max(spent), NOTHING, []
    while month <= last:
        amount = spent.get(month, NOTHING)
        so_far += amount
        months.append(MonthRow(month, amount, so_far))
        month = date(month.year + month.month // 12, month.month % 12 + 1, 1)
    return months


def money_by_day(engine: Engine) -> list[tuple[date, Decimal]]:
    """Return each day with a payment, and the sum spent until then. One query."""
    so_far, days = NOTHING, []
    for day, amount in _paid_by_day(engine, None):
        so_far += amount
        days.append((day, so_far))
    return days


def _paid_by_day(engine: Engine, upto: date | None) -> list[tuple[date, Decimal]]:
    rows = payments_of(engine, upto).order_by("day").values_list("day")
    return [(day, exact(amount)) for day, amount in rows.annotate(spent=Sum("likely"))]


# One site and crew: costs that run high run high together. Common practice, no source.
CORRELATION = 0.3
_MANY_COSTS, _FEWER_DRAWS = 200, 1000


def simulated_total(tally: Tally) -> Outcome | None:
    """Return the distribution of the total, by simulation of the ranges to come. No query.

    What is spent, ordered or quoted is fixed. None when nothing has a range. The calculation
    states the seed and the correlation.
    """
    to_come = tally.costs.to_come / 100
    low, likely, high = to_come[to_come[:, 0] < to_come[:, 2]].T
    if not low.size:
        return None
    return simulate(
        low,
        likely,
        high,
        correlation=CORRELATION,
        settled=float(tally.total.likely) - float(likely.sum()),
        draws=DRAWS if low.size <= _MANY_COSTS else _FEWER_DRAWS,
        unit=tally.currency,
    )


def _calculations(sums: Sums, by_basis: list[BasisRow], currency: str) -> tuple[Calculation, ...]:
    to_come, total = sums.to_come, sums.total
    due = {row.key: row.amount.likely for row in by_basis}

    def input_of(letter, name, amount, source):
        return Input(letter, name, float(amount), currency, Origin.CALCULATED, source)

    spent = input_of("S", "Spent", sums.spent, f"Payments of {sums.items} costs")
    ordered = input_of(
        "O", "Ordered, not yet paid", due["ordered"], "Orders less what is paid of them"
    )
    quoted = input_of("Q", "Quoted", due["quoted"], "Newest quotes less what is paid of them")
    guessed = input_of("E", "Estimated", due["estimated"], "Likely figures of the newest estimates")
    rule = "bookkeeping: each cost stands once, on its newest amount of the highest basis"
    return (
        Calculation(
            "Still to come, likely",
            float(to_come.likely),
            currency,
            "O + Q + E",
            f"{due['ordered']:,} + {due['quoted']:,} + {due['estimated']:,} = {to_come.likely:,}",
            (ordered, quoted, guessed),
            rule,
            float(to_come.low),
            float(to_come.high),
            "added up",
            limits=ADDED_UP,
        ),
        Calculation(
            "Likely total",
            float(total.likely),
            currency,
            "S + O + Q + E",
            f"{sums.spent:,} + {due['ordered']:,} + {due['quoted']:,} + {due['estimated']:,} "
            f"= {total.likely:,}",
            (spent, ordered, quoted, guessed),
            rule,
            float(total.low),
            float(total.high),
            "added up",
            limits="Costs that nobody has entered yet. Volunteer hours are not money spent.",
        ),
    )
