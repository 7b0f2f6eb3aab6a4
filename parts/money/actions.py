"""Add and change costs, their amounts and their papers."""

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


def add_cost(item: CostItem, amount: CostAmount | None = None, *, by) -> CostItem:
    """Add a cost, with its first amount if one is given."""
    _check_owner(item)
    with writing(item.engine_id):
        saving.add(item, by=by)
        if amount is not None:
            amount.item = item
            add_amount(amount, by=by)
    return item


def change_cost(item: CostItem, values: dict, *, seen: int, by) -> CostItem:
    """Change a cost. Raises Clash, and Refused where its part and job do not fit."""
    _refuse_cost_of_pour(item)
    _check_owner(item)
    if item.job is not None:
        values = values | {"part": item.part}
    return saving.change(item, values, seen=seen, by=by)


def _check_owner(item: CostItem) -> None:
    """Set the part of a cost from its job. Raises Refused for rows that do not belong together."""
    if item.job is not None:
        if item.part is not None and item.part_id != item.job.part_id:
            raise Refused(f"That job is of {item.job.part}, not of {item.part}.")
        item.part = item.job.part
    for other in (item.part, item.job, item.component):
        if other is not None and other.engine_id != item.engine_id:
            raise Refused("What the cost is for belongs to another engine.")


def _refuse_cost_of_pour(item: CostItem) -> None:
    if item.pour_id is not None:
        raise Refused(f"{item.pour} booked this cost. Change the costs of that pour instead.")


def add_amount(amount: CostAmount, *, by) -> CostAmount:
    """Add an amount to a cost. Raises Refused."""
    with writing(amount.engine_id):
        _check_amount(amount)
        return saving.add(amount, by=by)


NOTE_LENGTH = CostAmount._meta.get_field("note").max_length


@dataclass(frozen=True)
class ReceiptLine:
    """One line of a receipt, order or quote, and the cost that it settles.

    Args:
        item: A cost of the record, or a new one where the line settles none.
        amount: The sum paid, ordered or quoted.
        rest_stands: Whether the unpaid rest of the cost is still to come. Required for a payment
            of a cost that has an estimate, a quote or an order.
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
    """Add each line of a receipt to the cost that it settles, all or nothing.

    Args:
        basis: Paid, ordered or quoted; all lines are of one paper.
        note: Stored with each amount.
        paper: The arguments of `add_paper`; the paper is stored with the first cost.

    Raises:
        Refused: no line, a cost given twice or booked by a pour, a note that is too long, or a
            missing `rest_stands`.
    """
    lines = list(lines)
    existing = [line.item.pk for line in lines if line.item.pk]
    if not lines or len(set(existing)) < len(existing):
        raise Refused("Give each cost that it settles once, with its amount.")
    if len(note) > NOTE_LENGTH:
        raise Refused(f"What is noted is kept with the amount: {NOTE_LENGTH} letters at most.")
    amounts = []
    with writing(*(line.item.engine_id for line in lines)):
        for line in lines:
            if line.item.pk is None:
                add_cost(line.item, by=by)
            elif basis == Basis.PAID and line.rest_stands is None and _has_expectation(line.item):
                raise Refused(f"Say whether the rest of “{line.item}” is still to come.")
            figures = dict.fromkeys(("low", "likely", "high"), line.amount)
            settles = basis == Basis.PAID and line.rest_stands is False
            amounts.append(
                add_amount(
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
            add_paper(lines[0].item, by=by, **paper)
    return amounts


def _has_expectation(item: CostItem) -> bool:
    """Whether the cost has an estimate, quote or order, so that a rest may be to come."""
    return item.amounts.exclude(basis=Basis.PAID).exists()


def change_amount(amount: CostAmount, values: dict, *, seen: int, by) -> CostAmount:
    """Correct an amount. Raises Clash and Refused."""
    with writing(amount.engine_id):
        _check_amount(amount)
        return saving.change(amount, values, seen=seen, by=by)


def _check_amount(amount: CostAmount) -> None:
    _refuse_cost_of_pour(amount.item)
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


def add_paper(item: CostItem, file, *, kind: str, name: str, day, by, uid=None) -> CostPaper:
    """Store a quote, order or receipt with a cost, or nothing at all. Raises Refused.

    Args:
        uid: The id of the form that it came with; a paper sent twice is stored once.
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
