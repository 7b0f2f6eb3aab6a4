"""Progress over time in pieces, hours and cost, against the plan.

All of it comes from dated entries: the figures of a day are those of the entries up to that day.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from itertools import pairwise

from django.db.models import Sum
from django.db.models.functions import Coalesce

from parts.forecast.models import Plan
from parts.money.queries import tally
from parts.money.queries.costs import Sums, cost_table
from parts.people.models import HoursGiven
from parts.record.models import Component, Engine, Part
from parts.record.queries.status import (
    Counts,
    counts_by,
    counts_in_all,
    first_day,
    tables_over_time,
)


@dataclass(frozen=True)
class Curve:
    """Progress over time in one quantity, and its plan.

    Args:
        what: "pieces", "hours" or "money".
        title: The quantity in words.
        unit: The unit of the values: "pieces", "h", or the currency.
        done: (day, done by then) in order; the last is the day of the progress.
        planned: (day, planned by then) of the newest plan made by that day; may be empty.
        plan: The name and day of that plan, or "".
        whole: The total by the plan, or the pieces needed; None when not known.
    """

    what: str
    title: str
    unit: str
    done: tuple[tuple[date, float], ...]
    planned: tuple[tuple[date, float], ...]
    plan: str
    whole: float | None

    @property
    def now(self) -> float:
        return self.done[-1][1] if self.done else 0

    @property
    def percent(self) -> int | None:
        """The share of the whole that is done, in per cent."""
        return round(100 * self.now / self.whole) if self.whole else None

    @property
    def planned_now(self) -> float | None:
        """The plan for the last day, by straight lines between its points."""
        if not self.planned or not self.done:
            return None
        return _between(self.planned, self.done[-1][0])


@dataclass(frozen=True)
class ComponentProgress:
    """A component with its counts at the start and at the end of a period."""

    component: Component
    counts: Counts
    before: Counts
    hours: Decimal
    spent: Decimal


@dataclass(frozen=True)
class Progress:
    """The progress of an engine.

    Args:
        day: The day of the figures.
        counts: The counts of all pieces.
        curves: In pieces, hours and cost.
        components: The progress of each component.
    """

    day: date
    counts: Counts
    curves: tuple[Curve, ...]
    components: tuple[ComponentProgress, ...]

    def curve(self, what: str) -> Curve:
        return next(curve for curve in self.curves if curve.what == what)


def _between(points, day: date) -> float:
    if day <= points[0][0]:
        return float(points[0][1])
    for (d0, v0), (d1, v1) in pairwise(points):
        if day <= d1:
            part = (day - d0).days / max((d1 - d0).days, 1)
            return float(v0) + (float(v1) - float(v0)) * part
    return float(points[-1][1])


def marks(first: date, last: date, most: int = 60) -> list[date]:
    """Return the days at which a curve is drawn: first, last, and evenly between."""
    length = (last - first).days
    if length <= 0:
        return [last]
    steps = min(most, length)
    return [first + timedelta(days=round(length * i / steps)) for i in range(steps + 1)]


def plan_on(engine: Engine, day: date) -> Plan | None:
    """Return the plan in force on a day: the newest that was made by then."""
    return Plan.objects.filter(engine=engine, frozen_on__lte=day).prefetch_related("points").first()


def _running(rows) -> list[tuple[date, Decimal]]:
    so_far, totals = Decimal(0), []
    for day, amount in rows:
        so_far += amount
        totals.append((day, so_far))
    return totals


def hours_by_day(engine: Engine) -> list[tuple[date, Decimal]]:
    """Return each day with volunteer hours, and the hours given until then. One query."""
    rows = HoursGiven.objects.filter(engine=engine).values_list("day").annotate(h=Sum("hours"))
    return _running(rows.order_by("day"))


def _at(running: list[tuple[date, Decimal]], days: list[date]) -> list[tuple[date, float]]:
    values, i, value = [], 0, Decimal(0)
    for day in days:
        while i < len(running) and running[i][0] <= day:
            value = running[i][1]
            i += 1
        values.append((day, float(value)))
    return values


def progress(engine: Engine, day: date, since: date | None = None) -> Progress:
    """Return the progress up to a day, with components also as of `since`.

    A fixed number of queries.
    """
    plan = plan_on(engine, day)
    points = list(plan.points.all()) if plan else []
    start = min([d for d in (first_day(engine), points[0].day if points else None) if d] or [day])
    days = marks(min(start, day), day)
    since = since or start
    on_engine, of_component = [], {}
    parts = Part.objects.filter(engine=engine)
    for mark, table in tables_over_time(parts, {*days, since}, by="component_id"):
        if mark in days:
            counts = counts_in_all(table)
            on_engine.append((mark, counts.on_engine))
        if mark in (since, day):
            of_component[mark] = counts_by(table)
    plan_label = f"{plan.name}, {plan.frozen_on:%-d %b %Y}" if plan else ""

    def planned(what):
        return tuple((p.day, float(getattr(p, what))) for p in points)

    def whole(what):
        return float(getattr(points[-1], what)) if points else None

    curves = (
        Curve(
            "pieces",
            "Pieces on the engine, in place or fitted",
            "pieces",
            tuple(on_engine),
            planned("pieces"),
            plan_label,
            counts.need or None,
        ),
        Curve(
            "hours",
            "Volunteer hours",
            "h",
            tuple(_at(hours_by_day(engine), days)),
            planned("hours"),
            plan_label,
            whole("hours"),
        ),
        Curve(
            "money",
            "Money spent",
            engine.currency,
            tuple(_at(tally.money_by_day(engine), days)),
            planned("money"),
            plan_label,
            whole("money"),
        ),
    )
    components = _components(engine, day, of_component[since], of_component[day])
    return Progress(day, counts, curves, components)


def _components(
    engine: Engine, day: date, before: dict[int, Counts], now: dict[int, Counts]
) -> tuple[ComponentProgress, ...]:
    hours = dict(
        HoursGiven.objects.filter(engine=engine, day__lte=day)
        .order_by()
        .values_list(Coalesce("component_id", "part__component_id"))
        .annotate(Sum("hours"))
    )
    costs = cost_table(engine, day)
    sums = costs.sums_by(costs.component)
    return tuple(
        ComponentProgress(
            component,
            now.get(component.pk, Counts()),
            before.get(component.pk, Counts()),
            hours.get(component.pk, Decimal(0)),
            sums.get(component.pk, Sums()).spent,
        )
        for component in Component.objects.filter(engine=engine).order_by("number")
    )
