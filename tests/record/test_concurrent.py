"""Several helpers at once, each with a connection of their own to a real database."""

from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from threading import Event

import pytest
from django.db import connection

from parts.decide import actions as decide_actions
from parts.decide.models import Option
from parts.finds import actions as finds_actions
from parts.money import actions as money_actions
from parts.money.models import CostAmount, CostItem
from parts.people import actions as people_actions
from parts.record.actions import balance, entries, removing, saving
from parts.record.actions.locking import writing
from parts.record.actions.saving import Clash, Refused
from parts.record.models import Change, Component, Find, Membership, Part, PieceEntry
from parts.workshop.bars import actions as bars_actions
from parts.workshop.bars.models import BarMove
from parts.workshop.bearings import actions as bearings_actions
from parts.workshop.bearings.models import Bearing
from parts.workshop.metal import actions as metal_actions
from tests import make
from tests.postgresql import only_on_postgresql

pytestmark = pytest.mark.django_db(transaction=True)
DAY = make.FIRST_DAY


def at_once(work, n: int) -> list:
    """Run `work(i)` in n threads that begin together; return what each gave or raised."""

    def one(i):
        try:
            return work(i)
        except (Refused, Clash) as refusal:
            return refusal
        finally:
            connection.close()

    with ThreadPoolExecutor(n) as pool:
        return list(pool.map(one, range(n)))


def test_no_more_is_identified_than_was_found():
    engine = make.engine()
    find = make.find(engine, 3)
    parts = [make.part(engine, 5) for _ in range(8)]
    given = at_once(lambda i: entries.identify(find, parts[i], 1, day=DAY, by=None), 8)
    assert sum(isinstance(g, PieceEntry) for g in given) == 3
    assert sum(isinstance(g, Refused) for g in given) == 5
    assert PieceEntry.objects.filter(find=find).count() == 3


def test_no_piece_is_placed_twice():
    part = make.part(make.engine(), 5)
    make.found(part, 2)
    at_once(lambda i: entries.place(part, 1, day=DAY, by=None), 6)
    row = Part.objects.filter(pk=part.pk).status().get()
    assert (row.in_place, row.found) == (2, 0)


def test_each_find_gets_a_tag_of_its_own():
    engine = make.engine(tag_prefix="HG")
    at_once(
        lambda i: finds_actions.record_find(Find(engine=engine, day=DAY, note="rod"), by=None), 8
    )
    tags = sorted(Find.objects.values_list("tag", flat=True))
    assert tags == [f"HG-{n:04}" for n in range(1, 9)]


def test_one_find_sent_many_times_at_once_is_kept_once():
    engine, uid = make.engine(), "6f1f0c52-3f7a-4f6e-9a54-0d6d3f8f1a11"
    given = at_once(
        lambda i: finds_actions.record_find(
            Find(engine=engine, day=DAY, uid=uid, note="rod"), by=None
        ),
        6,
    )
    assert len({find.pk for find in given}) == 1
    assert Find.objects.count() == 1


def test_of_two_who_save_the_same_row_the_second_is_told():
    part = make.part(make.engine(), name="Rod")
    given = at_once(
        lambda i: saving.change(part, {"name": f"Rod {i}"}, seen=part.version, by=None), 4
    )
    kept = [g for g in given if isinstance(g, Part)]
    assert len(kept) == 1
    assert sum(isinstance(g, Clash) for g in given) == 3
    assert Part.objects.get().name == kept[0].name
    assert Change.objects.filter(kind="part", verb="changed").count() == 1


def test_an_engine_keeps_a_lead_when_all_of_them_step_down_at_once():
    engine = make.engine()
    for _ in range(4):
        make.member(engine, "lead")
    members = list(Membership.objects.all())
    at_once(lambda i: people_actions.remove_person(members[i], by=None), 4)
    assert Membership.objects.filter(role="lead").count() == 1


def test_a_person_let_into_many_engines_at_once_has_one_login():
    engines = [make.engine() for _ in range(4)]
    given = at_once(
        lambda i: people_actions.add_person(
            engines[i], "marta", "helper", by=None, password="a-long-word-9"
        ),
        4,
    )
    logins = Membership.objects.filter(user__username="marta")
    assert logins.values("user").distinct().count() == 1
    assert logins.count() == sum(isinstance(g, Membership) for g in given) >= 1


def test_a_way_that_many_weigh_at_once_is_weighed_once():
    part = make.part(make.engine(), 2)

    def weigh(i):
        row = Option(engine=part.engine, part=part, way="buy", low=1, likely=2, high=3)
        return decide_actions.add_option(row, by=None)

    given = at_once(weigh, 5)
    assert sum(isinstance(g, Refused) for g in given) == 4
    assert Option.objects.count() == 1


def test_a_part_has_one_bearing_sheet_though_many_write_it_at_once():
    part = make.part(make.engine())
    sizes = {name: make.measurement(part, 60.0) for name in ("journal", "shell", "length")}

    def write(i):
        row = Bearing(engine=part.engine, part=part)
        return bearings_actions.add_bearing(row, sizes, by=None)

    given = at_once(write, 5)
    assert sum(isinstance(g, Refused) for g in given) == 4
    assert Bearing.objects.count() == 1


def test_two_components_moved_into_each_other_at_once_make_no_ring():
    from parts.engine.actions import parts as part_actions

    engine = make.engine()
    both = [make.component(engine) for _ in range(2)]

    def move(i):
        row, goal = Component.objects.get(pk=both[i].pk), both[1 - i]
        row.parent = goal
        return part_actions.change_component(row, {"parent": goal}, seen=row.version, by=None)

    assert sum(isinstance(g, Refused) for g in at_once(move, 2)) == 1
    assert Component.objects.filter(parent__isnull=True).count() == 1


def test_many_who_do_different_things_at_once_never_stop_each_other():
    """Each takes parts, finds, lots, bars and costs in another order: nobody may wait in a ring."""
    engine = make.engine()
    parts = [make.part(engine, 9) for _ in range(3)]
    finds = [make.find(engine, 9) for _ in range(3)]
    lots = [make.lot(engine, 50.0) for _ in range(2)]
    bars = [make.bar(engine, 20, length=1000.0 + n) for n in range(2)]
    costs = [make.cost(engine) for _ in range(2)]

    def identify(i):
        entries.identify(finds[i % 3], parts[(i + 1) % 3], 1, day=DAY, by=None)
        return entries.place(parts[(i + 1) % 3], 1, day=DAY, by=None)

    def weigh_out(i):
        with metal_actions.locked(*(lots if i % 2 else lots[::-1])):
            metal_actions.book(lots[i % 2], -1.0, day=DAY, by=None)
            return metal_actions.book(lots[1 - i % 2], 0.5, day=DAY, by=None)

    def saw(i):
        with writing(engine.pk):
            bars_actions.book(bars[i % 2], -1, day=DAY, by=None)
            return bars_actions.book(bars[1 - i % 2], -1, day=DAY, by=None)

    def pay(i):
        amounts = [
            CostAmount(item=row, day=DAY, basis="paid", low=1, likely=1, high=1)
            for row in (costs if i % 2 else costs[::-1])
        ]
        with writing(engine.pk):
            return [money_actions.add_amount(amount, by=None) for amount in amounts]

    def rename(i):
        row = Part.objects.get(pk=parts[i % 3].pk)
        with suppress(Clash):
            saving.change(row, {"note": f"by {i}"}, seen=row.version, by=None)

    def write_off(i):
        row = make.cost(engine)
        removing.remove(row, by=None, reason="typed twice")
        return removing.bring_back(CostItem.everything.get(pk=row.pk), by=None)

    acts = [identify, weigh_out, saw, pay, rename, write_off]

    def work(i):
        return [acts[(i * 5 + n) % len(acts)](i + n) for n in range(len(acts))]

    given = at_once(work, 8)
    assert [g for g in given if isinstance(g, Exception)] == []
    for part in parts:
        balance.check_part(part)
    assert sum(lot.moves.count() for lot in lots) == 2 + 2 * 8
    assert BarMove.objects.count() == 2 + 2 * 8
    assert CostAmount.objects.count() == 2 * 8


def test_engines_are_locked_in_one_call_and_not_one_after_another():
    first, second = make.engine(), make.engine()
    with writing(second.pk, first.pk):
        saving.change(first, {"name": "A"}, seen=1, by=None)
        saving.change(second, {"name": "B"}, seen=1, by=None)
    with pytest.raises(RuntimeError, match="in one call"), writing(second.pk):
        saving.change(first, {"name": "C"}, seen=2, by=None)


@only_on_postgresql
def test_who_writes_to_another_engine_does_not_wait():
    held, other = make.engine(), make.engine()
    begun, done = Event(), Event()

    def hold(i):
        with writing(held.pk):
            begun.set()
            assert done.wait(20)

    def write(i):
        assert begun.wait(20)
        try:
            # Reading waits for nobody, nor does what only points at the engine that is held.
            assert Part.objects.filter(engine=held).count() == 0
            return saving.add(Find(engine=other, day=DAY, note="rod"), by=None)
        finally:
            done.set()

    assert at_once(lambda i: (hold, write)[i](i), 2)[1].pk
