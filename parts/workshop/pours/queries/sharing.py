"""The costs of a pour shared over its castings, and the origin of its metal."""

from collections.abc import Iterable
from dataclasses import dataclass

from parts.engineering.casting.costs import Metal, PourCosts, PouredCasting, Purchase, pour_costs
from parts.workshop.metal.models import MetalLot, MetalMove

from ..models import Pour, PourCasting


@dataclass(frozen=True)
class Sharing:
    """The costs of a pour, in the order of its lots and castings."""

    lots: list[MetalLot]
    castings: list[PourCasting]
    costs: PourCosts


def share_costs(pour: Pour, bought: Iterable[Purchase]) -> Sharing:
    """Share the costs of a pour over its castings, at the present value of lots. Two queries."""
    moves = MetalMove.objects.filter(pour=pour, planned=False).select_related("lot").order_by("pk")
    castings = list(PourCasting.objects.filter(pour=pour).select_related("job__part"))
    moves_out = [move for move in moves if move.kg < 0]
    costs = pour_costs(
        [Metal(m.lot.name, -m.kg, m.lot.value_per_kg) for m in moves_out],
        [Metal(m.lot.name, m.kg, m.lot.value_per_kg) for m in moves if m.kg > 0],
        [PouredCasting(str(c.job.part), c.pieces, c.good or 0, c.poured_kg) for c in castings],
        list(bought),
        pour.engine.currency,
    )
    return Sharing([m.lot for m in moves_out], castings, costs)


def origins(lot: MetalLot, path: tuple[int, ...] = ()) -> dict[MetalLot, float]:
    """Return the lots that the metal of a lot first came from, each with its share.

    Returns of a pour are traced to the charge of that pour, by value, so that the money of a
    bought lot is followed through the returns. Any other lot is its own origin.
    """
    return_move = MetalMove.objects.filter(
        lot=lot, pour__isnull=False, planned=False, kg__gt=0
    ).first()
    if return_move is None or lot.pk in path:
        return {lot: 1.0}
    charge = list(
        MetalMove.objects.filter(pour=return_move.pour_id, planned=False, kg__lt=0).select_related(
            "lot"
        )
    )
    worth = [-move.kg * float(move.lot.value_per_kg) for move in charge]
    if not any(worth):
        worth = [-move.kg for move in charge]
    origins_by_lot: dict[MetalLot, float] = {}
    for move, weight in zip(charge, worth, strict=True):
        earlier = origins(move.lot, (*path, lot.pk))
        for source, part in earlier.items():
            origins_by_lot[source] = origins_by_lot.get(source, 0.0) + weight * part / sum(
                earlier.values()
            )
    return origins_by_lot or {lot: 1.0}
