"""How the work goes on: by pieces, by hours and by cost, over time, beside the plan.

Everything comes from dated facts: what stood on a day is what the facts up to that day say, not
what is known of it today.
"""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from itertools import pairwise

from django.db.models import Sum
from django.db.models.functions import Coalesce

from ..models import Component, Engine, Fact, HoursGiven, Part, Plan
from ..models.standing import FILL_ORDER
from . import money
from .standing import Counts, component_counts, engine_counts, first_day

# The facts in the terms of `models.standing.RUNNING`: which running totals each kind moves, and
# which way. Stages move one only when they begin the making.
_UP = {
    "fitted": ("fitted", "in_place", "found"),
    "placed": ("in_place",),
    "identified": ("found", "being_made", "to_be_made", "past_use"),
    "stage": ("being_made",),
    "decided": ("to_be_made", "past_use"),
    "lost": (),
    "past_use": (),
    "past_use_placed": (),
    "left_off": ("left_off",),
}
_DOWN = {
    "lost": ("found", "being_made", "to_be_made", "past_use"),
    "past_use": ("found", "being_made", "to_be_made"),
    "past_use_placed": ("in_place", "found", "being_made", "to_be_made"),
}
_STEPS = FILL_ORDER[:-1]


@dataclass(frozen=True)
class Curve:
    """Something done over time, beside what was planned.

    Args:
        what: pieces, hours or money.
        title: What is counted, in words.
        unit: The unit of the values: "pieces", "h", or the currency.
        done: (day, done so far), rising days; the last is the day that was asked for.
        planned: (day, planned by then) of the newest plan frozen by that day; may be empty.
        plan: The name and day of that plan, or "".
        whole: What the whole comes to by the plan, or the need for pieces; None when not known.
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
    def in_hundred(self) -> int | None:
        """How much of the whole is done, in a hundred."""
        return round(100 * self.now / self.whole) if self.whole else None

    @property
    def planned_now(self) -> float | None:
        """What the plan says should be done by the last day, between its points in a line."""
        if not self.planned or not self.done:
            return None
        return _between(self.planned, self.done[-1][0])


@dataclass(frozen=True)
class ComponentProgress:
    """A component, how it stood at the start of a time and stands at its end."""

    component: Component
    counts: Counts
    before: Counts
    hours: Decimal
    spent: Decimal


@dataclass(frozen=True)
class Progress:
    """How the work goes on.

    Args:
        day: The day for which it is told.
        counts: How the pieces stand.
        curves: By pieces, by hours and by cost.
        components: Each component.
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


def counts_over_time(engine: Engine, days: list[date]) -> list[Counts]:
    """The counts of the whole engine on each of many days. Two queries.

    The facts are gone through once, in order. On each day it gives what `engine_counts` gives,
    which asks SQL for one day; asking SQL for each of a hundred days would take a hundred times
    as long. A test holds the two together.
    """
    need = dict(Part.objects.filter(engine=engine).values_list("pk", "quantity"))
    quantity = dict(need)
    totals: dict[int, dict[str, int]] = {pk: defaultdict(int) for pk in quantity}
    sums = {"missing": sum(need.values()), "need": sum(need.values())}
    facts = (
        Fact.objects.filter(engine=engine, part__removed_at__isnull=True)
        .order_by("day")
        .values_list("day", "part_id", "kind", "pieces", "begins")
    )
    wanted = sorted(days)
    out: dict[date, Counts] = {}
    seen = defaultdict(int, sums)

    def told() -> Counts:
        return Counts(parts=len(quantity), **{n: seen[n] for n in (*_TOLD,)})

    for day, part, kind, pieces, begins in facts:
        while wanted and day > wanted[0]:
            out[wanted.pop(0)] = told()
        if kind == "stage" and not begins:
            continue
        total = totals[part]
        before = _stand(total, quantity[part])
        for name in _UP[kind]:
            total[name] += pieces
        for name in _DOWN.get(kind, ()):
            total[name] -= pieces
        after = _stand(total, quantity[part])
        for name in _TOLD:
            seen[name] += after[name] - before[name]
    for day in wanted:
        out[day] = told()
    return [out[day] for day in days]


_TOLD = (*FILL_ORDER, "need", "left_off", "spare", "over_made")


def _stand(total: dict[str, int], quantity: int) -> dict[str, int]:
    need = max(quantity - total["left_off"], 0)
    stand, before = {"need": need, "left_off": total["left_off"]}, 0
    for state in _STEPS:
        capped = min(total[state], need)
        stand[state] = capped - before
        before = capped
    stand["missing"] = need - before
    stand["spare"] = max(total["found"] - need, 0)
    stand["over_made"] = max(total["to_be_made"] - need, 0) - stand["spare"]
    return stand


def marks(first: date, last: date, most: int = 60) -> list[date]:
    """Days at which a curve is drawn: first, last, and evenly between."""
    length = (last - first).days
    if length <= 0:
        return [last]
    steps = min(most, length)
    return [first + timedelta(days=round(length * i / steps)) for i in range(steps + 1)]


def plan_on(engine: Engine, day: date) -> Plan | None:
    """The newest plan that was frozen by a day: the plan that held then."""
    return Plan.objects.filter(engine=engine, frozen_on__lte=day).prefetch_related("points").first()


def _running(rows) -> list[tuple[date, Decimal]]:
    so_far, out = Decimal(0), []
    for day, amount in rows:
        so_far += amount
        out.append((day, so_far))
    return out


def hours_by_day(engine: Engine) -> list[tuple[date, Decimal]]:
    """Hours given so far, at each day on which some were given."""
    rows = HoursGiven.objects.filter(engine=engine).values_list("day").annotate(h=Sum("hours"))
    return _running(rows.order_by("day"))


def _at(running: list[tuple[date, Decimal]], days: list[date]) -> list[tuple[date, float]]:
    out, i, value = [], 0, Decimal(0)
    for day in days:
        while i < len(running) and running[i][0] <= day:
            value = running[i][1]
            i += 1
        out.append((day, float(value)))
    return out


def progress(engine: Engine, day: date, since: date | None = None) -> Progress:
    """How the work goes on, up to a day; components also as they stood on `since`."""
    plan = plan_on(engine, day)
    points = list(plan.points.all()) if plan else []
    begin = min([d for d in (first_day(engine), points[0].day if points else None) if d] or [day])
    days = marks(min(begin, day), day)
    counts = engine_counts(engine, day)
    standing = counts_over_time(engine, days)
    named = f"{plan.name}, {plan.frozen_on:%-d %b %Y}" if plan else ""

    def planned(what):
        return tuple((p.day, float(getattr(p, what))) for p in points)

    def whole(what):
        return float(getattr(points[-1], what)) if points else None

    on_engine = [(d, c.on_engine) for d, c in zip(days, standing, strict=True)]
    curves = (
        Curve(
            "pieces",
            "Pieces on the engine, in place or fitted",
            "pieces",
            tuple(on_engine),
            planned("pieces"),
            named,
            counts.need or None,
        ),
        Curve(
            "hours",
            "Hours given",
            "h",
            tuple(_at(hours_by_day(engine), days)),
            planned("hours"),
            named,
            whole("hours"),
        ),
        Curve(
            "money",
            "Money spent",
            engine.currency,
            tuple(_at(money.money_by_day(engine), days)),
            planned("money"),
            named,
            whole("money"),
        ),
    )
    return Progress(day, counts, curves, _components(engine, day, since or begin))


def _components(engine: Engine, day: date, since: date) -> tuple[ComponentProgress, ...]:
    hours = dict(
        HoursGiven.objects.filter(engine=engine, day__lte=day)
        .order_by()
        .values_list(Coalesce("component_id", "part__component_id"))
        .annotate(Sum("hours"))
    )
    tally = money.cost_tally(engine, day)
    spent = {row.key: row.sums.spent for row in tally.by_component}
    before = {c.pk: counts for c, counts in component_counts(engine, since)}
    return tuple(
        ComponentProgress(
            component,
            counts,
            before[component.pk],
            hours.get(component.pk, Decimal(0)),
            spent.get(component.pk, Decimal(0)),
        )
        for component, counts in component_counts(engine, day)
    )
