"""The costs that a pour booked to its castings, with the calculation."""

from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Q

from parts.engineering.calculation import Calculation
from parts.engineering.casting.costs import Purchase
from parts.money.models import CostAmount
from parts.money.queries.costs import NOTHING, CostLine, add_up, cost_lines
from parts.workshop.metal.models import MetalLot, MetalMove

from ..models import Pour
from .sharing import share_costs


@dataclass(frozen=True)
class PourBooking:
    """The costs of a pour.

    Args:
        lines: The cost of each job cast in it; none before it is booked.
        bought: (what, amount, id of the cost it was taken from) of fuel and bought items.
        calculation: The sum at the present value of the lots.
        total: The sum booked.
        differs: Whether `total` differs from the calculation: a value was changed since.
        free_lots: Lots whose metal is valued at nothing.
        new_lots: Lots whose metal counts as newly spent, since they name no cost under which
            they were bought.
    """

    lines: list[CostLine]
    bought: list[tuple[str, Decimal, int | None]]
    calculation: Calculation
    total: Decimal
    differs: bool
    free_lots: list[MetalLot]
    new_lots: list[MetalLot]


def pour_booking(pour: Pour) -> PourBooking:
    """Return what a pour has booked. Nine queries."""
    lines = cost_lines(pour.engine, None, Q(pour=pour))
    total = add_up(line.sums for line in lines).spent
    bought = _bought(pour)
    sharing = share_costs(pour, [Purchase(what, amount) for what, amount, _ in bought])
    lots = list(dict.fromkeys(sharing.lots))
    returned = set(
        MetalMove.objects.filter(lot__in=lots, pour__isnull=False, planned=False, kg__gt=0)
        .order_by()
        .values_list("lot_id", flat=True)
    )
    return PourBooking(
        lines,
        bought,
        sharing.costs.calculation,
        total,
        sharing.costs.total != total,
        [lot for lot in lots if not lot.value_per_kg],
        [
            lot
            for lot in lots
            if lot.value_per_kg and not lot.bought_as_id and lot.pk not in returned
        ],
    )


def _bought(pour: Pour) -> list[tuple[str, Decimal, int | None]]:
    """Return fuel and bought items, added up again over the castings. One query."""
    rows = CostAmount.objects.filter(item__pour=pour, item__removed_at__isnull=True, lot=None)
    sums: dict[tuple[str, int | None], Decimal] = {}
    for what, cost, amount in rows.order_by("pk").values_list("note", "out_of_id", "likely"):
        sums[what, cost] = sums.get((what, cost), NOTHING) + amount
    return [(what, amount, cost) for (what, cost), amount in sums.items()]
