"""Bars and cutting lists when several helpers book at once, each with a connection of their own."""

import pytest

from parts.record.actions.saving import Clash, Refused
from parts.record.models import Job, PieceEntry
from parts.workshop.bars import actions as bars_actions
from parts.workshop.bars.models import BarMove, CutPlan
from parts.workshop.bars.queries.plan import live_plan
from parts.workshop.bars.queries.store import bar_store
from parts.workshop.fasteners import actions as fasteners_actions
from tests import make
from tests.record.test_concurrent import at_once

pytestmark = pytest.mark.django_db(transaction=True)
DAY = make.FIRST_DAY


def test_of_three_bars_no_four_are_taken():
    engine = make.engine()
    bar = make.bar(engine, 3)
    given = at_once(lambda i: bars_actions.book(bar, -1, day=DAY, by=None), 7)
    assert sum(isinstance(g, BarMove) for g in given) == 3
    assert sum(isinstance(g, Refused) for g in given) == 4
    assert bar_store(engine).in_store[0].on_hand == 0


def test_one_plan_is_drawn_up_once_and_cut_once():
    engine = make.engine(length_unit="mm")
    job = make.job(make.part(engine, 2, material="steel"), "machine", 2)
    make.blank(job, length=400.0)
    make.bar(engine, 1, length=1000.0)
    plan = live_plan(engine, 3.0)

    def draw_up(i):
        return bars_actions.save_cutting_list(
            engine, plan.cutting, kerf_mm=3.0, end_trim_mm=0.0, day=DAY, by=None
        )

    given = at_once(draw_up, 5)
    assert sum(isinstance(g, CutPlan) for g in given) == 1
    row = CutPlan.objects.get()
    given = at_once(lambda i: bars_actions.cut(row, day=DAY, by=None, seen=row.version), 5)
    assert sum(isinstance(g, CutPlan) for g in given) == 1
    assert sum(isinstance(g, Refused | Clash) for g in given) == 4
    assert BarMove.objects.filter(bars__lt=0).count() == 1
    assert PieceEntry.objects.filter(kind="stage", stage="stock_in").count() == 1


def test_a_choice_that_is_sent_many_times_at_once_decides_once():
    part = make.part(make.engine(), 6, material="steel", fastener=True)
    given = at_once(lambda i: fasteners_actions.choose(part, "buy", 6, day=DAY, by=None), 5)
    assert sum(isinstance(g, Refused) for g in given) == 4
    assert Job.objects.count() == 1
    assert sum(f.pieces for f in PieceEntry.objects.filter(kind="decided")) == 6
