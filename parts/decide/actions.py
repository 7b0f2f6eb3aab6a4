"""Add options for a part, and choose one."""

from dataclasses import dataclass
from datetime import date

from django.utils import timezone

from parts.engineering.routes import ROUTES
from parts.money import actions as money_actions
from parts.money.models import CostAmount, CostItem
from parts.record.actions import entries, saving
from parts.record.actions.locking import writing
from parts.record.actions.saving import Refused
from parts.record.models import Basis, Heading, Job, Part

from .models import Option

Way = Option.Way
# The cost heading of the estimate of each option.
HEADING = {
    Way.CAST: Heading.CASTINGS,
    Way.MACHINE: Heading.MACHINING,
    Way.FABRICATE: Heading.MACHINING,
    Way.BUY: Heading.OTHER,
    Way.BORROW: Heading.OTHER,
}


@dataclass(frozen=True)
class Estimate:
    """The estimated cost of an option."""

    low: object
    likely: object
    high: object


def add_option(option: Option, *, by) -> Option:
    """Add what an option would cost and need. Raises Refused when it is there already."""
    with writing(option.engine_id):
        if Option.objects.filter(part=option.part_id, way=option.way).exists():
            raise Refused("This way is weighed already. Change that one.")
        return saving.add(option, by=by)


def choose(
    part: Part,
    way: str,
    pieces: int,
    *,
    day: date,
    by,
    reason: str = "",
    estimate: Estimate | None = None,
    replaces: CostItem | None = None,
    **details,
) -> Job | Option | Part:
    """Choose an option for pieces of a part, with the reason.

    Making or buying becomes a job, with its estimate as a cost where one is given. Leaving off
    is a dated entry. Searching on or repairing is noted in the history of the option.

    Args:
        estimate: Written as one cost of the new job; never for anything else.
        replaces: A cost of the part that becomes that cost, so that it counts once.
        details: Fields of Job.

    Raises:
        Refused: no reason where one is needed, or a number of pieces that is not possible.
    """
    reason = reason.strip()
    if way not in ROUTES and not reason:
        raise Refused("Say why: the reason is kept with the choice.")
    with writing(part.engine_id):
        if way in ROUTES:
            job = entries.decide(part, way, pieces, day=day, by=by, reason=reason, **details)
            if estimate is not None:
                _add_estimate(job, estimate, replaces, day, by)
            return job
        if way == Way.LEAVE_OFF:
            entries.leave_off(part, pieces, day=day, by=by, reason=reason)
            return part
        return _note_choice(part, way, pieces, day, reason, by)


def _add_estimate(job: Job, estimate: Estimate, replaces, day: date, by) -> None:
    amount = CostAmount(
        day=day,
        basis=Basis.ESTIMATED,
        low=estimate.low,
        likely=estimate.likely,
        high=estimate.high,
        note="As weighed when it was decided",
    )
    if replaces is not None:
        replaces.job = job
        amount.item = money_actions.change_cost(
            replaces, {"job": job}, seen=replaces.version, by=by
        )
        money_actions.add_amount(amount, by=by)
        return
    heading = HEADING[Way(job.route)]
    if job.part.fastener:
        heading = Heading.FASTENERS
    word = job.get_route_display()
    item = CostItem(
        engine_id=job.engine_id,
        heading=heading,
        what=f"{job.part.name}, to {word}"[:160],
        part=job.part,
        job=job,
    )
    money_actions.add_cost(item, amount, by=by)


def _note_choice(part: Part, way: str, pieces: int, day: date, reason: str, by) -> Option:
    """Note the choice to search on or to repair with its option."""
    option = Option.objects.filter(part=part, way=way).first()
    choice = f"Chosen on {day:%-d %b %Y} for {pieces}: {reason}"
    if day > timezone.localdate():
        raise Refused(f"{day:%-d %b %Y} has not come yet.")
    if option is None:
        option = Option(
            engine_id=part.engine_id, part=part, way=way, low=0, likely=0, high=0, note=choice
        )
        return saving.add(option, by=by, reason=reason)
    note = f"{option.note}\n{choice}".strip()
    return saving.change(option, {"note": note}, seen=option.version, by=by, reason=reason)
