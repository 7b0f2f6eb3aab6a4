"""Settle the thread of a fastener, and decide whether to make or to buy it."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Q, Sum

from parts.engineering.errors import EngineeringError
from parts.engineering.fasteners.threads import thread
from parts.engineering.routes import route as route_of
from parts.money.actions import add_amount, add_cost, change_cost
from parts.money.models import CostAmount, CostItem
from parts.record.actions import entries, saving
from parts.record.actions.locking import writing
from parts.record.actions.saving import Refused
from parts.record.models import Basis, Heading, Job, Part, PieceEntry

from .models import Fastener

# The note by which a later choice finds the cost of an earlier one.
FROM_SCHEDULE = "From the fastener schedule."


@dataclass(frozen=True)
class Price:
    """The cost amount that a choice adds.

    Args:
        basis: Estimated or quoted.
        day: The day of the amount.
        supplier, note: Where it comes from.
    """

    basis: str
    low: Decimal
    likely: Decimal
    high: Decimal
    day: date
    supplier: str = ""
    note: str = ""


def pick_thread(part: Part, series: str, size: str, *, sure: bool, by) -> Fastener:
    """Record the thread of a fastener, as certain or as a guess. Raises Refused and Clash."""
    try:
        chosen = thread(series, size)
    except EngineeringError as error:
        raise Refused(str(error)) from None
    values = {"series": chosen.series, "size": chosen.size, "sure": sure}
    with writing(part.engine_id):
        row = Fastener.objects.filter(part=part).first()
        if row is None:
            return saving.add(Fastener(engine_id=part.engine_id, part=part, **values), by=by)
        return saving.change(row, values, seen=row.version, by=by)


@dataclass(frozen=True)
class Choice:
    """The outcome of a choice.

    Args:
        decided: Pieces that were decided by it.
        costed: Whether a cost amount was added.
    """

    job: Job
    decided: int
    costed: bool


def choose(
    part: Part,
    route: str,
    pieces: int,
    *,
    spares: int = 0,
    price: Price | None = None,
    onto: CostItem | None = None,
    day: date,
    by,
    reason: str = "",
) -> Choice:
    """Decide to make or to buy pieces of a fastener, and add the cost once.

    Pieces decided by the same route before and not begun stay in their job, and the cost that
    an earlier choice added gets the new amount, so that nothing counts twice.

    Args:
        route: "machine" or "buy".
        pieces: How many to decide now; 0 when all are decided already.
        spares: How many of `pieces` go beyond the need.
        price: The cost to add; None when no price is known.
        onto: A cost of the part that the price belongs to; None where it is a cost of its own.

    Raises:
        Refused: more pieces than are to be decided, none to decide, or another route.
    """
    if route not in ("machine", "buy"):
        raise Refused("Choose whether to make them or to buy them.")
    with writing(part.engine_id):
        job = _not_begun(part, route)
        if pieces:
            _check_to_decide(part, pieces, spares)
            if job is None:
                job = entries.decide(part, route, pieces, day=day, by=by, reason=reason)
            else:
                entries.decide_more(job, pieces, day=day, by=by, reason=reason)
        elif job is None:
            raise Refused(
                "All of them are decided another way, or none is wanted. "
                "Withdraw that decision first."
            )
        costed = price is not None and _add_cost(job, price, onto, by=by)
    return Choice(job, pieces, costed)


def _check_to_decide(part: Part, pieces: int, spares: int) -> None:
    """Refuse if someone else has decided the same pieces meanwhile."""
    row = Part.objects.filter(pk=part.pk).values("pk", "quantity").status().get()
    to_decide = row["missing"] + row["beyond_repair"]
    if pieces > to_decide + spares:
        raise Refused(
            f"Only {to_decide} {'is' if to_decide == 1 else 'are'} still to decide"
            f"{f', and {spares} as spares' if spares else ''}; {pieces} would be decided. "
            "Look at the schedule again."
        )


def _not_begun(part: Part, route: str) -> Job | None:
    """Return the newest job of the part by this route with nothing begun."""
    not_removed = Q(entries__removed_at__isnull=True)
    return (
        Job.objects.filter(part=part, route=route)
        .annotate(
            decided=Sum(
                "entries__pieces",
                filter=not_removed & Q(entries__kind=PieceEntry.Kind.DECIDED),
                default=0,
            ),
            begun=Sum("entries__pieces", filter=not_removed & Q(entries__begins=True), default=0),
        )
        .filter(decided__gt=0, begun=0)
        .order_by("-pk")
        .first()
    )


def _add_cost(job: Job, price: Price, onto: CostItem | None, *, by) -> bool:
    """Add the amount and return True, unless the same or a firmer one is there already."""
    part = job.part
    amount = CostAmount(
        day=price.day,
        basis=price.basis,
        low=price.low,
        likely=price.likely,
        high=price.high,
        note=price.note[:200],
    )
    item = onto or CostItem.objects.filter(job=job, note__startswith=FROM_SCHEDULE).last()
    if item is None:
        item = CostItem(
            engine_id=job.engine_id,
            heading=Heading.FASTENERS,
            what=f"{part.name}: to {route_of(job.route).word}"[:160],
            part=part,
            job=job,
            supplier=price.supplier,
            note=FROM_SCHEDULE,
        )
        add_cost(item, amount, by=by)
        return True
    item = CostItem.everything.get(pk=item.pk)
    if onto is not None:
        item.job = job
        values = {"job": job, "note": f"{FROM_SCHEDULE} {item.note}".strip()}
        item = change_cost(item, values, seen=item.version, by=by)
    amounts = list(item.amounts.order_by("day", "pk"))
    firm = {Basis.ORDERED, Basis.PAID}
    if any(a.basis in firm for a in amounts):
        return False
    same = [a for a in amounts if a.basis == price.basis]
    if same and (same[-1].low, same[-1].likely, same[-1].high) == (
        price.low,
        price.likely,
        price.high,
    ):
        return False
    amount.item = item
    add_amount(amount, by=by)
    return True
