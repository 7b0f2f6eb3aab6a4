"""The order sheet of a supplier, and the cost that choosing to make or buy would add."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Q
from django.utils import timezone

from parts.engineering.estimating.three_point import estimate_class
from parts.record.models import Basis, Engine

from .lines import QuoteLine, ScheduleLine, as_money
from .schedule import CAUTIONS, lines_of, to_order


@dataclass(frozen=True)
class OrderLine:
    """One fastener on an order sheet."""

    line: ScheduleLine
    pieces: int
    ordered: int
    quote: QuoteLine | None

    @property
    def sum(self) -> Decimal | None:
        """Price of the pieces without carriage."""
        return None if self.quote is None else self.quote.each * self.ordered


@dataclass(frozen=True)
class OrderSheet:
    """Fasteners decided to be bought and not yet ordered, from one supplier."""

    supplier: str
    day: date
    currency: str
    lines: list[OrderLine]
    cautions = CAUTIONS

    @property
    def goods(self) -> Decimal:
        return sum((row.sum for row in self.lines if row.sum is not None), Decimal(0))

    @property
    def carriage(self) -> Decimal:
        """The sum of carriage as quoted line by line; in one parcel it may be less."""
        return sum((row.quote.carriage for row in self.lines if row.quote), Decimal(0))

    @property
    def total(self) -> Decimal:
        return self.goods + self.carriage

    @property
    def mass_kg(self) -> float:
        return sum((row.line.mass_kg or 0.0) * row.ordered for row in self.lines)


def order_sheet(engine: Engine, supplier: str, day: date | None = None) -> OrderSheet:
    """Return the order sheet of a supplier; "" collects what has no quote. Six queries."""
    day = day or timezone.localdate()
    rows = []
    for name, (line, n) in to_order(lines_of(engine, day, Q())):
        if name == supplier:
            ordered = line.quote.buying.ordered(n) if line.quote else n
            rows.append(OrderLine(line, n, ordered, line.quote))
    return OrderSheet(supplier, day, engine.currency, rows)


@dataclass(frozen=True)
class Offer:
    """The cost amount that choosing to make or to buy would add."""

    basis: str
    low: Decimal
    likely: Decimal
    high: Decimal
    day: date
    supplier: str
    note: str


def offer(line: ScheduleLine, route: str, day: date, currency: str) -> Offer | None:
    """Return the cost of making ("machine") or buying a fastener; None without a price.

    Making is estimated and holds the hours alone: the bar is added with the cutting list it is
    sawn by, so that no metal is counted twice. Buying is as quoted.
    """
    n = line.to_choose(route)
    if not n:
        return None
    if route == "buy" and line.quote is not None:
        cost, q = as_money(line.quote.buying.cost(n)), line.quote
        note = f"{q.buying.ordered(n)} at {q.each}, carriage {q.carriage}"
        return Offer(Basis.QUOTED, cost, cost, cost, q.day, q.supplier, note)
    if route == "machine" and line.make is not None:
        hours = line.make.setting + line.make.each * n
        if not hours:
            return None
        spread = estimate_class("3", hours, currency)
        note = f"{n} to make, bench time; the bar comes with its cutting list. {spread.source}"
        figures = (as_money(v) for v in (spread.low, hours, spread.high))
        return Offer(Basis.ESTIMATED, *figures, day, "", note)
    return None
