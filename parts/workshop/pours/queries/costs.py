"""What a pour booked to its castings, and how that was reached."""

from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Q

from parts.engineering.calculation import Calculation
from parts.engineering.casting.costs import Purchase
from parts.money.models import CostAmount
from parts.money.queries.costs import NOTHING, CostLine, added_up, cost_lines
from parts.workshop.metal.models import MetalLot, MetalMove

from ..models import Pour
from .sharing import share_costs


@dataclass(frozen=True)
class PourBooking:
    """The costs of a pour.

    Args:
        lines: The cost of each job that was cast in it; none before it is booked.
        bought: (what, amount, id of the cost it was taken out of) of fuel and bought items.
        calculation: How the sum is reached from what the lots are worth now.
        total: What is booked.
        differs: What is booked is not what the calculation says: a value was changed since.
        given: Lots whose metal is valued at nothing.
        nowhere: Lots whose metal counts as newly spent: no cost is named that they were bought
            under.
    """

    lines: list[CostLine]
    bought: list[tuple[str, Decimal, int | None]]
    calculation: Calculation
    total: Decimal
    differs: bool
    given: list[MetalLot]
    nowhere: list[MetalLot]


def pour_booking(pour: Pour) -> PourBooking:
    """What a pour that has happened booked. Nine queries."""
    lines = cost_lines(pour.engine, None, Q(pour=pour))
    total = added_up(line.sums for line in lines).spent
    bought = _bought(pour)
    told = share_costs(pour, [Purchase(what, amount) for what, amount, _ in bought])
    lots = list(dict.fromkeys(told.lots))
    came_back = set(
        MetalMove.objects.filter(lot__in=lots, pour__isnull=False, planned=False, kg__gt=0)
        .order_by()
        .values_list("lot_id", flat=True)
    )
    return PourBooking(
        lines,
        bought,
        told.costs.calculation,
        total,
        told.costs.total != total,
        [lot for lot in lots if not lot.value_per_kg],
        [
            lot
            for lot in lots
            if lot.value_per_kg and not lot.bought_as_id and lot.pk not in came_back
        ],
    )


def _bought(pour: Pour) -> list[tuple[str, Decimal, int | None]]:
    """Fuel and bought items as they were given, added up again over the castings. One query."""
    rows = CostAmount.objects.filter(item__pour=pour, item__removed_at__isnull=True, lot=None)
    sums: dict[tuple[str, int | None], Decimal] = {}
    for what, cost, amount in rows.order_by("pk").values_list("note", "out_of_id", "likely"):
        sums[what, cost] = sums.get((what, cost), NOTHING) + amount
    return [(what, amount, cost) for (what, cost), amount in sums.items()]
