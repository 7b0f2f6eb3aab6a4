"""Progress over time: the curve agrees with the count of each day, and stands beside its plan."""

import random
from datetime import date, timedelta
from decimal import Decimal

import pytest

from parts.forecast import actions as forecast_actions
from parts.people.models import HoursGiven
from parts.record.actions import entries
from parts.record.actions.saving import Refused
from parts.record.models import Part
from parts.record.queries.status import (
    component_counts,
    counts_in_all,
    engine_counts,
    tables_over_time,
)
from parts.reports.queries.progress import marks, plan_on, progress
from parts.reports.queries.report import Details, funders_report
from tests import make

pytestmark = pytest.mark.django_db
DAY = make.FIRST_DAY


def test_the_curve_gives_what_each_single_day_gives():
    """Random histories, by the one reckoning that adds up day by day and the one of each day."""
    engine, pick = make.engine(), random.Random(7)
    parts = [make.part(engine, pick.randint(1, 5)) for _ in range(8)]
    for part in parts:
        job = make.job(part, "cast", pick.randint(1, 3), DAY)
        for _ in range(10):
            day, n = DAY + timedelta(days=pick.randrange(30)), pick.randint(1, 2)
            verb = pick.choice(
                [
                    lambda p=part, n=n, d=day: make.found(p, n, d),
                    lambda p=part, n=n, d=day: entries.place(p, n, day=d, by=None),
                    lambda p=part, n=n, d=day: entries.condemn(p, n, day=d, by=None, reason="x"),
                    lambda p=part, n=n, d=day: entries.leave_off(p, n, day=d, by=None, reason="x"),
                    lambda p=part, n=n, d=day: entries.lose(p, n, day=d, by=None, reason="x"),
                    lambda m=job, n=n, d=day: entries.reach(m, "poured", n, day=d, by=None),
                    lambda m=job, n=n, d=day: entries.fit(m, n, day=d, by=None),
                ]
            )
            try:
                verb()
            except Refused:
                continue
    days = [DAY + timedelta(days=n) for n in range(-1, 32)]
    parts = Part.objects.filter(engine=engine)
    over_time = [(day, counts_in_all(table)) for day, table in tables_over_time(parts, days)]
    assert over_time == [(day, engine_counts(engine, day)) for day in days]
    told = progress(engine, days[-1], since=days[5])
    assert told.counts == engine_counts(engine, days[-1])
    now, before = component_counts(engine, days[-1]), component_counts(engine, days[5])
    assert [(c.component, c.counts) for c in told.components] == now
    assert [(c.component, c.before) for c in told.components] == before


def test_an_engine_without_a_part_has_a_curve_of_nothing():
    assert progress(make.engine(), DAY).curve("pieces").done == ((DAY, 0),)


def test_a_curve_begins_and_ends_on_its_days():
    days = marks(date(2025, 1, 1), date(2026, 1, 1), 12)
    assert (days[0], days[-1], len(days)) == (date(2025, 1, 1), date(2026, 1, 1), 13)
    assert days == sorted(days)
    assert marks(DAY, DAY) == [DAY]


def test_hours_given_to_a_part_are_hours_of_its_component():
    engine = make.engine()
    part = make.part(engine)
    for where in ({"part": part}, {"component": part.component}, {}):
        HoursGiven.objects.create(
            engine=engine, person="A", day=DAY, hours="1.25", work="site", **where
        )
    (row,) = progress(engine, DAY).components
    assert row.hours == Decimal("2.50")


def test_a_report_tells_no_stage_that_was_undone():
    engine = make.engine()
    good, waster = make.job(make.part(engine, 3), pieces=3), make.job(make.part(engine))
    for job, n in ((good, 3), (waster, 1)):
        entries.reach(job, "poured", n, day=DAY, by=None)
    entries.set_back(good, "poured", 2, day=DAY + timedelta(days=1), by=None, reason="misrun")
    for stage in ("poured", "moulded", "pattern_made", "drawn", "measured"):
        entries.set_back(waster, stage, 1, day=DAY + timedelta(days=1), by=None, reason="misrun")
    report = funders_report(engine, Details(1, "Report", DAY, DAY + timedelta(days=2)))
    assert [(done.part, done.what, done.pieces) for done in report.made] == [
        (good.part, "poured", 1)
    ]


def test_hours_and_money_are_those_up_to_the_day():
    engine = make.engine()
    for n, hours in [(0, "4"), (10, "2.5"), (20, "8")]:
        HoursGiven.objects.create(
            engine=engine, person="A", day=DAY + timedelta(days=n), hours=hours, work="site"
        )
    make.cost(engine, "castings", ("paid", DAY, "120"), ("paid", DAY + timedelta(days=15), "80"))
    told = progress(engine, DAY + timedelta(days=12))
    assert told.curve("hours").now == 6.5
    assert told.curve("money").now == 120


def test_the_plan_that_held_then_is_the_one_it_stands_beside():
    engine = make.engine()
    points = [(DAY, 0, 0, 0), (DAY + timedelta(days=100), 10, 200, 1000)]
    old = forecast_actions.freeze_plan(engine, "First plan", DAY, points, by=None)
    later = DAY + timedelta(days=50)
    new = forecast_actions.freeze_plan(engine, "Second plan", later, points, by=None)
    assert plan_on(engine, later - timedelta(days=1)) == old
    assert plan_on(engine, later) == new
    curve = progress(engine, DAY + timedelta(days=50)).curve("hours")
    assert curve.planned_now == 100
    assert curve.whole == 200


def test_a_plan_cannot_fall():
    points = [(DAY, 0, 100, 0), (DAY + timedelta(days=9), 5, Decimal(90), 0)]
    with pytest.raises(Refused, match="a figure falls"):
        forecast_actions.freeze_plan(make.engine(), "Plan", DAY, points, by=None)
