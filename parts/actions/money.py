"""Writing costs, their amounts and their papers."""

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import transaction
from django.utils import timezone

from ..models import Basis, CostAmount, CostItem, CostPaper
from . import record
from .record import Refused
from .uploads import check_paper


def write_cost(item: CostItem, amount: CostAmount | None = None, *, by) -> CostItem:
    """Write a new cost, with its first amount where there is one."""
    _belongs(item)
    with transaction.atomic():
        record.add(item, by=by)
        if amount is not None:
            amount.item = item
            write_amount(amount, by=by)
    return item


def change_cost(item: CostItem, values: dict, *, seen: int, by) -> CostItem:
    """Change a cost. Raises Clash, and Refused where its part and making do not fit."""
    _belongs(item)
    if item.making is not None:
        values = values | {"part": item.part}
    return record.change(item, values, seen=seen, by=by)


def _belongs(item: CostItem) -> None:
    """A cost of a making is one of its part, and all are of the same engine."""
    if item.making is not None:
        if item.part is not None and item.part_id != item.making.part_id:
            raise Refused(f"That making is of {item.making.part}, not of {item.part}.")
        item.part = item.making.part
    for other in (item.part, item.making, item.component):
        if other is not None and other.engine_id != item.engine_id:
            raise Refused("What the cost is for belongs to another engine.")


def write_amount(amount: CostAmount, *, by) -> CostAmount:
    """Write a new amount of a cost. Raises Refused."""
    with transaction.atomic():
        CostItem.everything.select_for_update().get(pk=amount.item_id)
        _can_be(amount)
        return record.add(amount, by=by)


def change_amount(amount: CostAmount, values: dict, *, seen: int, by) -> CostAmount:
    """Mend an amount that was written wrongly. Raises Clash and Refused."""
    with transaction.atomic():
        CostItem.everything.select_for_update().get(pk=amount.item_id)
        _can_be(amount)
        return record.change(amount, values, seen=seen, by=by)


def _can_be(amount: CostAmount) -> None:
    if amount.basis == Basis.PAID:
        if amount.day > timezone.localdate():
            raise Refused(
                f"A payment cannot be dated {amount.day:%-d %b %Y}: that day has not come. "
                "Write it as ordered until it is paid."
            )
        return
    settled = CostAmount.objects.filter(item_id=amount.item_id, settles=True).first()
    if settled is not None and settled.pk != amount.pk:
        raise Refused(
            f"The payment of {settled.day:%-d %b %Y} says that nothing more is to pay. "
            "Take that tick off it first, or write a new cost."
        )


def keep_paper(item: CostItem, file, *, kind: str, name: str, day, by) -> CostPaper:
    """Keep a quote, order or receipt with a cost. Raises Refused and leaves nothing behind."""
    checked = check_paper(file)
    paper = CostPaper(
        item=item, kind=kind, name=name, day=day, suffix=checked.suffix, sha256=checked.sha256
    )
    try:
        paper.file.save(f"paper.{checked.suffix}", ContentFile(checked.content), save=False)
        return record.add(paper, by=by)
    except BaseException:
        if paper.file.name:
            default_storage.delete(paper.file.name)
        raise
