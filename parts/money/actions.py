"""Writing costs, their amounts and their papers."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.utils import timezone

from parts.photos.actions.uploads import check_paper
from parts.record.actions import files, saving
from parts.record.actions.locking import writing
from parts.record.actions.saving import Refused
from parts.record.models import Basis

from .models import CostAmount, CostItem, CostPaper, paper_path


def write_cost(item: CostItem, amount: CostAmount | None = None, *, by) -> CostItem:
    """Write a new cost, with its first amount where there is one."""
    _belongs(item)
    with writing(item.engine_id):
        saving.add(item, by=by)
        if amount is not None:
            amount.item = item
            write_amount(amount, by=by)
    return item


def change_cost(item: CostItem, values: dict, *, seen: int, by) -> CostItem:
    """Change a cost. Raises Clash, and Refused where its part and job do not fit."""
    _not_of_a_pour(item)
    _belongs(item)
    if item.job is not None:
        values = values | {"part": item.part}
    return saving.change(item, values, seen=seen, by=by)


def _belongs(item: CostItem) -> None:
    """A cost of a job is one of its part, and all are of the same engine."""
    if item.job is not None:
        if item.part is not None and item.part_id != item.job.part_id:
            raise Refused(f"That job is of {item.job.part}, not of {item.part}.")
        item.part = item.job.part
    for other in (item.part, item.job, item.component):
        if other is not None and other.engine_id != item.engine_id:
            raise Refused("What the cost is for belongs to another engine.")


def _not_of_a_pour(item: CostItem) -> None:
    if item.pour_id is not None:
        raise Refused(f"{item.pour} booked this cost. Change the costs of that pour instead.")


def write_amount(amount: CostAmount, *, by) -> CostAmount:
    """Write a new amount of a cost. Raises Refused."""
    with writing(amount.engine_id):
        _can_be(amount)
        return saving.add(amount, by=by)


NOTE = CostAmount._meta.get_field("note").max_length


@dataclass(frozen=True)
class ReceiptLine:
    """One line of a receipt, order or quote, and the cost that it settles.

    Args:
        item: A cost of the record; or a new one, where the line settles none.
        amount: What is paid, ordered or quoted by the line.
        rest_stands: Whether what is then not paid of the cost is still to come. It must be said
            of a payment of a cost that has an estimate, a quote or an order.
    """

    item: CostItem
    amount: Decimal
    rest_stands: bool | None = None


def book_receipt(
    lines: Iterable[ReceiptLine],
    *,
    day: date,
    by,
    basis: str = Basis.PAID,
    note: str = "",
    paper: dict | None = None,
) -> list[CostAmount]:
    """Write each line of a receipt into the cost that it settles, all or nothing.

    Args:
        basis: Paid, ordered or quoted; all lines are of one paper.
        note: Kept with each amount.
        paper: The paper itself, as `keep_paper` takes it; kept with the first of the costs.

    Raises:
        Refused: no line, a cost that stands twice or is a pour's, a note that is too long, or
            nobody said whether the rest of a cost still stands.
    """
    lines = list(lines)
    kept = [line.item.pk for line in lines if line.item.pk]
    if not lines or len(set(kept)) < len(kept):
        raise Refused("Give each cost that it settles once, with its amount.")
    if len(note) > NOTE:
        raise Refused(f"What is noted is kept with the amount: {NOTE} letters at most.")
    amounts = []
    with writing(*(line.item.engine_id for line in lines)):
        for line in lines:
            if line.item.pk is None:
                write_cost(line.item, by=by)
            elif basis == Basis.PAID and line.rest_stands is None and _expected(line.item):
                raise Refused(f"Say whether the rest of “{line.item}” is still to come.")
            figures = dict.fromkeys(("low", "likely", "high"), line.amount)
            settles = basis == Basis.PAID and line.rest_stands is False
            amounts.append(
                write_amount(
                    CostAmount(
                        item=line.item,
                        day=day,
                        basis=basis,
                        settles=settles,
                        note=note,
                        **figures,
                    ),
                    by=by,
                )
            )
        if paper is not None:
            keep_paper(lines[0].item, by=by, **paper)
    return amounts


def _expected(item: CostItem) -> bool:
    """Something but payments is written of the cost, so that a rest of it may stand."""
    return item.amounts.exclude(basis=Basis.PAID).exists()


def change_amount(amount: CostAmount, values: dict, *, seen: int, by) -> CostAmount:
    """Mend an amount that was written wrongly. Raises Clash and Refused."""
    with writing(amount.engine_id):
        _can_be(amount)
        return saving.change(amount, values, seen=seen, by=by)


def _can_be(amount: CostAmount) -> None:
    _not_of_a_pour(amount.item)
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


def keep_paper(item: CostItem, file, *, kind: str, name: str, day, by, uid=None) -> CostPaper:
    """Keep a quote, order or receipt with a cost. Raises Refused and leaves nothing behind.

    Args:
        uid: The id of the form that it came with; a paper sent twice is kept once.
    """
    checked = check_paper(file)
    paper = CostPaper(
        uid=files.id_of(uid, checked.sha256),
        item=item,
        kind=kind,
        name=name,
        day=day,
        suffix=checked.suffix,
        sha256=checked.sha256,
    )
    with files.written_first() as write:
        paper.file = write(paper_path(paper, ""), checked.content)
        with files.sent_once(paper) as known:
            return known or saving.add(paper, by=by)
