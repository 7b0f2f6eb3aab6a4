"""Volunteer hours, summed by person and by work."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Count, Max, Sum

from parts.record.models import Engine, Work

from .models import HoursGiven


@dataclass(frozen=True)
class HoursSum:
    """Hours of one person or one kind of work.

    Args:
        name: Who, or what.
        hours: Volunteer hours. [h]
        days: Entries.
        last: The last day.
    """

    name: str
    hours: Decimal
    days: int
    last: date


def _hours(engine: Engine, first: date | None, last: date | None):
    rows = HoursGiven.objects.filter(engine=engine)
    if first:
        rows = rows.filter(day__gte=first)
    if last:
        rows = rows.filter(day__lte=last)
    return rows


def _sums(rows, by: str) -> list[tuple]:
    return list(
        rows.values_list(by)
        .annotate(h=Sum("hours"), n=Count("pk"), last=Max("day"))
        .order_by("-h", by)
    )


def hours_by_person(engine: Engine, first=None, last=None) -> list[HoursSum]:
    """Hours by person, most first. One query."""
    return [HoursSum(*row) for row in _sums(_hours(engine, first, last), "person")]


def hours_by_work(engine: Engine, first=None, last=None) -> list[HoursSum]:
    """Hours by kind of work, most first. One query."""
    words = dict(Work.choices)
    rows = _sums(_hours(engine, first, last), "work")
    return [HoursSum(words.get(work, work), *rest) for work, *rest in rows]


def people_known(engine: Engine) -> list[str]:
    """Names that have given hours and that the viewer may see, to pick from."""
    rows = HoursGiven.objects.filter(engine=engine)
    names = rows.values_list("person", flat=True).order_by("person").distinct()
    return [name for name in names if name]
