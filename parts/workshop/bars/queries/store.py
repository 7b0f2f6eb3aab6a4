"""Bars and offcuts in the store, and lengths that can be bought."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Q, Sum

from parts.engineering.bars.cutting_list import reserved_in
from parts.record.models import Engine, Material

from ..models import Bar, CutPlan


@dataclass(frozen=True)
class BarLine:
    """Bars of one kind: a length that can be bought, or bars and offcuts in the store.

    Args:
        on_hand: How many are in the store; 0 for what can be bought.
        reserved: How many of them are on open cutting lists.
    """

    pk: int
    name: str
    material: str
    section: str
    section_word: str
    across_mm: float
    across_written: str
    length_mm: float
    length_written: str
    in_store: bool
    offcut: bool
    price: Decimal | None
    supplier: str
    kept_at: str
    made_by: int | None
    on_hand: int = 0
    reserved: int = 0

    @property
    def free(self) -> int:
        return max(0, self.on_hand - self.reserved)

    @property
    def material_word(self) -> str:
        return Material(self.material).label

    @property
    def length_in_store_mm(self) -> float:
        return self.length_mm * self.on_hand


@dataclass(frozen=True)
class Store:
    """All bars of an engine."""

    in_store: list[BarLine]
    to_buy: list[BarLine]

    @property
    def all(self) -> list[BarLine]:
        return [*self.in_store, *self.to_buy]

    @property
    def listed(self) -> list[BarLine]:
        """The bars in the store, without offcuts that are used up."""
        return [line for line in self.in_store if line.on_hand or not line.offcut]

    @property
    def metres(self) -> float:
        return sum(line.length_in_store_mm for line in self.in_store) / 1000


def bar_store(engine: Engine) -> Store:
    """Return bars in the store with their counts, and lengths to buy. Two queries."""
    reserved = reserved_in(open_plans(engine))
    rows = (
        Bar.objects.filter(engine=engine)
        .annotate(
            n=Sum("moves__bars", filter=Q(moves__removed_at__isnull=True), default=0),
        )
        .order_by("material", "section", "across_mm", "-length_mm", "pk")
    )
    lines = [_bar_line(row, reserved.get(row.pk, 0)) for row in rows]
    return Store([x for x in lines if x.in_store], [x for x in lines if not x.in_store])


def _bar_line(row: Bar, reserved: int) -> BarLine:
    return BarLine(
        row.pk,
        str(row),
        row.material,
        row.section,
        row.get_section_display(),
        row.across_mm,
        row.across_written,
        row.length_mm,
        row.length_written,
        row.in_store,
        row.offcut,
        row.price,
        row.supplier,
        row.kept_at,
        row.made_by_id,
        row.n if row.in_store else 0,
        reserved if row.in_store else 0,
    )


def open_plans(engine: Engine) -> list[dict]:
    """Return the plain data of cutting lists that are not cut yet. One query."""
    rows = CutPlan.objects.filter(engine=engine, cut_on__isnull=True).order_by("pk")
    return list(rows.values_list("plan", flat=True))
