"""Book the costs of a pour to its castings, so that a casting shows its metal and fuel."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from parts.engineering.casting.costs import Purchase, share_out
from parts.money.actions import NOTE_LENGTH
from parts.money.models import CostAmount, CostItem
from parts.record.actions import saving
from parts.record.actions.locking import writing
from parts.record.actions.saving import Refused
from parts.record.models import Basis, Heading

from ..models import Pour
from ..queries.sharing import Sharing, origins, share_costs


@dataclass(frozen=True)
class BoughtItem:
    """Fuel or another thing bought for a pour.

    Args:
        out_of: The cost that contains it already; None when none does.
    """

    what: str
    amount: Decimal
    out_of: CostItem | None = None


def book(pour: Pour, bought: Iterable[BoughtItem], *, by) -> list[CostAmount]:
    """Book the costs of a pour to its castings, replacing what it booked before.

    The metal is taken at the present value of its lots. Metal of a lot bought under a cost, and
    items out of a cost, are moved from there: the total of all costs stays the same.

    Returns:
        The amounts, one for each casting and lot or item; zero amounts too, so that free metal
        is shown.

    Raises:
        Refused: the pour has not happened, or an item is out of a cost that cannot be used.
    """
    bought = [item for item in bought if item.amount]
    with writing(pour.engine_id):
        row = Pour.everything.select_related("engine").get(pk=pour.pk)
        if row.poured_on is None or row.removed_at is not None:
            raise Refused(f"{row} has no result yet: there is nothing to book.")
        for item in bought:
            _check_source(item.out_of, row)
        sharing = share_costs(row, [Purchase(item.what, item.amount) for item in bought])
        items = _items(row, sharing, by=by)
        amounts = _amounts(row, sharing, items, bought)
        old = list(CostAmount.objects.filter(item__in=items.values()))
        if sorted(map(_comparable, old)) == sorted(map(_comparable, amounts)):
            return old
        for amount in old:
            saving.remove(amount, by=by, reason=f"{row} was booked again")
        return saving.add_many(amounts, by=by, reason=f"Booked by {row}")


def _comparable(amount: CostAmount) -> tuple:
    keys = (amount.item_id, amount.lot_id or 0, amount.out_of_id or 0)
    return (*keys, amount.note, amount.day, amount.likely)


def _check_source(cost: CostItem | None, pour: Pour) -> None:
    if cost is None:
        return
    if cost.engine_id != pour.engine_id or cost.removed_at is not None:
        raise Refused("The cost that it is taken out of is not here any more. Choose again.")
    if cost.pour_id is not None:
        raise Refused(f"{cost} was booked by a pour: take it out of the cost it was bought under.")


def _items(pour: Pour, sharing: Sharing, *, by) -> dict[int, CostItem]:
    """Return the cost item of each job in the pour: as booked before, or a new one."""
    items = {item.job_id: item for item in CostItem.objects.filter(pour=pour)}
    for job in (casting.job for casting in sharing.castings):
        if job.pk not in items:
            item = CostItem(
                engine_id=pour.engine_id,
                heading=Heading.CASTINGS,
                what=f"{job.part.name}: cast in pour {pour.number}"[:160],
                part=job.part,
                job=job,
                pour=pour,
            )
            items[job.pk] = saving.add(item, by=by, reason=f"Booked by {pour}")
    return items


def _amounts(pour, sharing: Sharing, items, bought: list[BoughtItem]) -> list[CostAmount]:
    sources = [origins(lot) for lot in sharing.lots]
    amounts = []
    for casting, share in zip(sharing.castings, sharing.costs.shares, strict=True):
        item = items[casting.job_id]
        for lot, weights, metal in zip(sharing.lots, sources, share.metal, strict=True):
            for source, part in zip(weights, share_out(metal, list(weights.values())), strict=True):
                note = f"Metal: {lot}" if source == lot else f"Metal: {lot}, once {source}"
                if not lot.value_per_kg:
                    note += ", valued at nothing"
                amounts.append(_paid(item, pour, part, note, lot=source))
        for purchase, amount in zip(bought, share.bought, strict=True):
            amounts.append(_paid(item, pour, amount, purchase.what, out_of=purchase.out_of))
    return amounts


def _paid(item, pour, amount: Decimal, note: str, **of) -> CostAmount:
    figures = dict.fromkeys(("low", "likely", "high"), amount)
    return CostAmount(
        item=item, day=pour.poured_on, basis=Basis.PAID, note=note[:NOTE_LENGTH], **figures, **of
    )


def unbook(pour: Pour, *, by, reason: str) -> None:
    """Delete the costs that a pour booked."""
    for amount in CostAmount.objects.filter(item__pour=pour):
        saving.remove(amount, by=by, reason=reason)
    for item in CostItem.objects.filter(pour=pour):
        saving.remove(item, by=by, reason=reason)
