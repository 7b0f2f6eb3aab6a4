"""Threads, bars and cutting lists of the demonstration, on a small engine of the same items."""

from datetime import date

import pytest

from parts.demo import workshop_bars
from parts.engineering.bars.cutting_list import Cutting
from parts.money.models import CostItem
from parts.record.models import Change, Job
from parts.workshop.bars.queries.plan import live_plan
from parts.workshop.bars.queries.store import bar_store
from parts.workshop.fasteners.models import Fastener
from parts.workshop.fasteners.queries.schedule import schedule
from tests import make

pytestmark = pytest.mark.django_db
LAST = date(2026, 11, 24)


@pytest.fixture
def engine():
    engine = make.engine(length_unit="in", mass_unit="kg")
    for item in workshop_bars.THREADS:
        make.part(engine, 2, item=item, material="steel", fastener=True)
    pin = make.part(engine, 1, item=1203, material="steel")
    make.job(pin, "machine")
    make.job(engine.parts.get(item=1310), "machine")
    people = {"M. Ellery": make.member(engine, "lead"), "J. Tarrant": make.member(engine, "helper")}
    engine.lists = workshop_bars.load(engine, people, LAST)
    engine.refresh_from_db()
    return engine


def test_threads_stand_as_the_tables_name_them_and_one_is_open(engine):
    lines = {line.item: line for line in schedule(engine, LAST).lines}
    assert lines[204].thread_name == "7/8 in BSW, 9 tpi"
    assert not lines[1110].thread_name
    assert Fastener.objects.count() == len(workshop_bars.THREADS)
    # Of the two prices for 609 the newest that still stands.
    assert lines[609].quote.supplier == "Ashpike Fasteners"
    assert lines[1207].quote is None
    assert lines[1508].cheaper == "buy"
    assert engine.shop_rate == workshop_bars.RATE


def test_one_list_was_sawn_and_what_it_left_is_in_the_store(engine):
    (row,) = engine.lists
    assert row.cut_on is not None
    cutting = Cutting.read(row.plan)
    # Two studs and a spare, out of the offcut that lay there and a bar that was bought.
    assert cutting.pieces == 3
    job = Job.objects.get(part__item=workshop_bars.SAWN)
    assert cutting.by_job == {job.pk: 3}
    store = {(line.name, line.on_hand) for line in bar_store(engine).in_store}
    assert ("5/8 in round, 8 in", 0) in store
    assert CostItem.objects.filter(heading="material").count() == 1
    assert Change.objects.filter(kind="cutplan").count() == 2


def test_what_is_still_to_saw_has_its_blanks_and_a_plan(engine):
    plan = live_plan(engine, workshop_bars.KERF_MM, workshop_bars.TRIM_MM)
    assert {one.item for one in plan.jobs} == {1203, 1310}
    assert plan.pieces == 2
    assert not plan.left_out
