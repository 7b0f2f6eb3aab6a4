"""Plans are frozen here."""

from datetime import date
from itertools import pairwise

from parts.record.actions import saving
from parts.record.actions.locking import writing
from parts.record.actions.saving import Refused
from parts.record.models import Engine

from .models import Plan, PlanPoint


def freeze_plan(
    engine: Engine, name: str, frozen_on: date, points: list[tuple], *, by, note: str = ""
) -> Plan:
    """Freeze what should be done by when.

    Args:
        points: (day, pieces on the engine again, volunteer hours, money spent), each counted from
            the start of the work, so that none may fall.

    Raises:
        Refused: no points, a day twice, or a figure that falls.
    """
    points = sorted(points)
    if len(points) < 2:
        raise Refused("A plan needs two days at least: where it begins and where it ends.")
    for (day, *before), (next_day, *after) in pairwise(points):
        if day == next_day:
            raise Refused(f"{day:%-d %b %Y} stands in the plan twice.")
        if any(b > a for b, a in zip(before, after, strict=True)):
            raise Refused(
                f"From {day:%-d %b %Y} to {next_day:%-d %b %Y} a figure falls. Pieces, hours and "
                "money are counted from the start, so they can only stay or rise."
            )
    with writing(engine.pk):
        plan = saving.add(Plan(engine=engine, name=name, frozen_on=frozen_on, note=note), by=by)
        PlanPoint.objects.bulk_create(
            [
                PlanPoint(plan=plan, day=day, pieces=pieces, hours=hours, money=money)
                for day, pieces, hours, money in points
            ]
        )
    return plan
