"""Fasteners: their threads written down and settled, prices asked, and making or buying decided."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Q, Sum

from parts.engineering.errors import EngineeringError
from parts.engineering.fasteners.threads import thread
from parts.engineering.routes import route as route_of
from parts.money.actions import change_cost, write_amount, write_cost
from parts.money.models import CostAmount, CostItem
from parts.record.actions import entries, saving
from parts.record.actions.locking import writing
from parts.record.actions.saving import Refused
from parts.record.models import Basis, Heading, Job, Part, PieceEntry

from .models import Fastener

# By this note a choice finds the cost that it wrote before.
FROM_SCHEDULE = "From the fastener schedule."


@dataclass(frozen=True)
class Price:
    """What a choice puts into the cost tally.

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
    """Settle, or guess, which thread a fastener has. Raises Refused and Clash."""
    try:
        named = thread(series, size)
    except EngineeringError as why:
        raise Refused(str(why)) from None
    values = {"series": named.series, "size": named.size, "sure": sure}
    with writing(part.engine_id):
        row = Fastener.objects.filter(part=part).first()
        if row is None:
            return saving.add(Fastener(engine_id=part.engine_id, part=part, **values), by=by)
        return saving.change(row, values, seen=row.version, by=by)


@dataclass(frozen=True)
class Chosen:
    """What a choice did.

    Args:
        decided: Pieces that were decided by it.
        costed: Whether an amount was written into the tally.
    """

    job: Job
    decided: int
    costed: bool


def choose(
    part: Part,
    way: str,
    pieces: int,
    *,
    spares: int = 0,
    price: Price | None = None,
    onto: CostItem | None = None,
    day: date,
    by,
    reason: str = "",
) -> Chosen:
    """Decide to make or to buy pieces of a fastener, and put what that costs in the tally once.

    Pieces that were decided the same way before and are not begun stay in their job, and the
    cost that an earlier choice wrote for it gets the new amount, so that nothing counts twice.

    Args:
        way: "machine" or "buy".
        pieces: How many to decide now; 0 when all are decided already.
        spares: How many of `pieces` go beyond the need.
        price: What to put in the tally; None when no price is known.
        onto: A cost of the part that the price belongs to; None where it is a cost of its own.

    Raises:
        Refused: more than is wanted, nothing wanted, or another way.
    """
    if way not in ("machine", "buy"):
        raise Refused("Choose whether to make them or to buy them.")
    with writing(part.engine_id):
        job = _not_begun(part, way)
        if pieces:
            _still_wanted(part, pieces, spares)
            if job is None:
                job = entries.decide(part, way, pieces, day=day, by=by, reason=reason)
            else:
                entries.decide_more(job, pieces, day=day, by=by, reason=reason)
        elif job is None:
            raise Refused(
                "All of them are decided another way, or none is wanted. "
                "Reopen that decision first."
            )
        costed = price is not None and _into_the_tally(job, price, onto, by=by)
    return Chosen(job, pieces, costed)


def _still_wanted(part: Part, pieces: int, spares: int) -> None:
    """Someone else may have decided the same pieces a moment ago."""
    row = Part.objects.filter(pk=part.pk).values("pk", "quantity").status().get()
    wanted = row["missing"] + row["beyond_repair"]
    if pieces > wanted + spares:
        raise Refused(
            f"Only {wanted} {'is' if wanted == 1 else 'are'} still to decide"
            f"{f', and {spares} as spares' if spares else ''}; {pieces} would be decided. "
            "Look at the schedule again."
        )


def _not_begun(part: Part, way: str) -> Job | None:
    """The newest job of the part by this way of which every piece is still to begin."""
    told = Q(entries__removed_at__isnull=True)
    return (
        Job.objects.filter(part=part, route=way)
        .annotate(
            decided=Sum(
                "entries__pieces", filter=told & Q(entries__kind=PieceEntry.Kind.DECIDED), default=0
            ),
            begun=Sum("entries__pieces", filter=told & Q(entries__begins=True), default=0),
        )
        .filter(decided__gt=0, begun=0)
        .order_by("-pk")
        .first()
    )


def _into_the_tally(job: Job, price: Price, onto: CostItem | None, *, by) -> bool:
    """Write the amount, unless the same stands there or a firmer one does."""
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
        write_cost(item, amount, by=by)
        return True
    item = CostItem.everything.get(pk=item.pk)
    if onto is not None:
        item.job = job
        values = {"job": job, "note": f"{FROM_SCHEDULE} {item.note}".strip()}
        item = change_cost(item, values, seen=item.version, by=by)
    standing = list(item.amounts.order_by("day", "pk"))
    firm = {Basis.ORDERED, Basis.PAID}
    if any(a.basis in firm for a in standing):
        return False
    same = [a for a in standing if a.basis == price.basis]
    if same and (same[-1].low, same[-1].likely, same[-1].high) == (
        price.low,
        price.likely,
        price.high,
    ):
        return False
    amount.item = item
    write_amount(amount, by=by)
    return True
