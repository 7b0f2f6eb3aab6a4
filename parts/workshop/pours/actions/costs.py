"""Booking what a pour cost to its castings, so that a casting shows its metal and its fuel."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from parts.engineering.casting.costs import Purchase, share_out
from parts.money.actions import NOTE
from parts.money.models import CostAmount, CostItem
from parts.record.actions import saving
from parts.record.actions.locking import writing
from parts.record.actions.saving import Refused
from parts.record.models import Basis, Heading

from ..models import Pour
from ..queries.sharing import Shared, origins, share_costs


@dataclass(frozen=True)
class BoughtItem:
    """Fuel or another thing bought for a pour.

    Args:
        out_of: The cost under which it is in the tally already; None when it is nowhere yet.
    """

    what: str
    amount: Decimal
    out_of: CostItem | None = None


def book(pour: Pour, bought: Iterable[BoughtItem], *, by) -> list[CostAmount]:
    """Book what a pour cost to its castings, in place of what it booked before.

    The metal is taken at what its lots are worth now. Metal of a lot that was bought under a cost,
    and items out of a cost, are handed on from there: the tally stays the same.

    Returns:
        The amounts, one for each casting and lot or item; those of nothing too, so that given
        metal is told.

    Raises:
        Refused: the pour has not happened, or an item is out of a cost that cannot be.
    """
    bought = [item for item in bought if item.amount]
    with writing(pour.engine_id):
        row = Pour.everything.select_related("engine").get(pk=pour.pk)
        if row.poured_on is None or row.removed_at is not None:
            raise Refused(f"{row} has no result yet: there is nothing to book.")
        for item in bought:
            _may_hand_on(item.out_of, row)
        told = share_costs(row, [Purchase(item.what, item.amount) for item in bought])
        items = _items(row, told, by=by)
        amounts = _amounts(row, told, items, bought)
        old = list(CostAmount.objects.filter(item__in=items.values()))
        if sorted(map(_as_booked, old)) == sorted(map(_as_booked, amounts)):
            return old
        for amount in old:
            saving.remove(amount, by=by, reason=f"{row} was booked again")
        return saving.add_many(amounts, by=by, reason=f"Booked by {row}")


def _as_booked(amount: CostAmount) -> tuple:
    keys = (amount.item_id, amount.lot_id or 0, amount.out_of_id or 0)
    return (*keys, amount.note, amount.day, amount.likely)


def _may_hand_on(cost: CostItem | None, pour: Pour) -> None:
    if cost is None:
        return
    if cost.engine_id != pour.engine_id or cost.removed_at is not None:
        raise Refused("The cost that it is taken out of is not here any more. Choose again.")
    if cost.pour_id is not None:
        raise Refused(f"{cost} was booked by a pour: take it out of the cost it was bought under.")


def _items(pour: Pour, told: Shared, *, by) -> dict[int, CostItem]:
    """The cost of each job in the pour: as booked before, or a new one."""
    items = {item.job_id: item for item in CostItem.objects.filter(pour=pour)}
    for job in (casting.job for casting in told.castings):
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


def _amounts(pour, told: Shared, items, bought: list[BoughtItem]) -> list[CostAmount]:
    sources = [origins(lot) for lot in told.lots]
    amounts = []
    for casting, share in zip(told.castings, told.costs.shares, strict=True):
        item = items[casting.job_id]
        for lot, of, metal in zip(told.lots, sources, share.metal, strict=True):
            for source, part in zip(of, share_out(metal, list(of.values())), strict=True):
                note = f"Metal: {lot}" if source == lot else f"Metal: {lot}, once {source}"
                if not lot.value_per_kg:
                    note += ", valued at nothing"
                amounts.append(_paid(item, pour, part, note, lot=source))
        for one, amount in zip(bought, share.bought, strict=True):
            amounts.append(_paid(item, pour, amount, one.what, out_of=one.out_of))
    return amounts


def _paid(item, pour, amount: Decimal, note: str, **of) -> CostAmount:
    figures = dict.fromkeys(("low", "likely", "high"), amount)
    return CostAmount(
        item=item, day=pour.poured_on, basis=Basis.PAID, note=note[:NOTE], **figures, **of
    )


def unbook(pour: Pour, *, by, reason: str) -> None:
    """Take what a pour booked out of the tally again."""
    for amount in CostAmount.objects.filter(item__pour=pour):
        saving.remove(amount, by=by, reason=reason)
    for item in CostItem.objects.filter(pour=pour):
        saving.remove(item, by=by, reason=reason)
