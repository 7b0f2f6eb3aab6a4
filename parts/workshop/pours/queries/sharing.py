"""What a pour used and gave, as its costs are shared out from it; and where its metal came from."""

from collections.abc import Iterable
from dataclasses import dataclass

from parts.engineering.casting.costs import Metal, PourCosts, PouredCasting, Purchase, pour_costs
from parts.workshop.metal.models import MetalLot, MetalMove

from ..models import Pour, PourCasting


@dataclass(frozen=True)
class Shared:
    """The costs of a pour, in the order of its lots and castings."""

    lots: list[MetalLot]
    castings: list[PourCasting]
    costs: PourCosts


def share_costs(pour: Pour, bought: Iterable[Purchase]) -> Shared:
    """Share what a pour cost over its castings, at what its lots are worth now. Two queries."""
    moves = MetalMove.objects.filter(pour=pour, planned=False).select_related("lot").order_by("pk")
    castings = list(PourCasting.objects.filter(pour=pour).select_related("job__part"))
    out = [move for move in moves if move.kg < 0]
    costs = pour_costs(
        [Metal(m.lot.name, -m.kg, m.lot.value_per_kg) for m in out],
        [Metal(m.lot.name, m.kg, m.lot.value_per_kg) for m in moves if m.kg > 0],
        [PouredCasting(str(c.job.part), c.pieces, c.good or 0, c.poured_kg) for c in castings],
        list(bought),
        pour.engine.currency,
    )
    return Shared([m.lot for m in out], castings, costs)


def origins(lot: MetalLot, seen: tuple[int, ...] = ()) -> dict[MetalLot, float]:
    """The lots that the metal of a lot came from first, each with its weight.

    What came back from a pour is traced to the charge of that pour, by worth, so that the money of
    a bought lot is followed through the returns. Any other lot is its own origin.
    """
    came = MetalMove.objects.filter(lot=lot, pour__isnull=False, planned=False, kg__gt=0).first()
    if came is None or lot.pk in seen:
        return {lot: 1.0}
    charge = list(
        MetalMove.objects.filter(pour=came.pour_id, planned=False, kg__lt=0).select_related("lot")
    )
    worth = [-move.kg * float(move.lot.value_per_kg) for move in charge]
    if not any(worth):
        worth = [-move.kg for move in charge]
    found: dict[MetalLot, float] = {}
    for move, weight in zip(charge, worth, strict=True):
        inner = origins(move.lot, (*seen, lot.pk))
        for source, part in inner.items():
            found[source] = found.get(source, 0.0) + weight * part / sum(inner.values())
    return found or {lot: 1.0}
