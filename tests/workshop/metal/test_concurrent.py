"""Two helpers at the same metal at once, each with a connection of their own."""

import pytest
from django.db.models import Sum

from parts.record.actions import entries
from parts.record.actions.saving import Refused
from parts.record.models import PieceEntry
from parts.workshop.metal import actions as metal_actions
from parts.workshop.metal.models import MetalLot, MetalMove
from parts.workshop.metal.queries import metal_store
from parts.workshop.pours.actions import pours
from parts.workshop.pours.actions.pours import Result, Weighed
from parts.workshop.pours.models import Pour, PourCasting
from tests import make
from tests.record.test_concurrent import at_once

pytestmark = pytest.mark.django_db(transaction=True)
DAY = make.FIRST_DAY


def waiting(engine, pieces):
    part = make.part(engine, pieces, material="bronze", mass_kg=1.0)
    job = make.job(part, "cast", pieces)
    entries.reach(job, "moulded", pieces, day=DAY, by=None)
    return job


def refused(given) -> int:
    assert all(not isinstance(g, Exception) or isinstance(g, Refused) for g in given), given
    return sum(isinstance(g, Refused) for g in given)


def test_a_lot_booked_by_many_at_once_never_goes_below_nothing():
    engine = make.engine()
    lot = make.lot(engine, 10)
    given = at_once(lambda i: metal_actions.book(lot, -3, day=DAY, by=None), 6)
    assert refused(given) == 3
    assert lot.moves.aggregate(n=Sum("kg"))["n"] == 1.0
    assert metal_store(engine).lots[0].on_hand_kg == 1.0


def test_of_two_pours_that_set_the_same_metal_aside_one_is_told():
    engine = make.engine()
    lot, other, job = make.lot(engine, 5), make.lot(engine, 5), waiting(engine, 2)
    both = [make.pour(engine, (job, 1, 1.9)) for _ in range(2)]
    charge = {lot: Weighed(3.0), other: Weighed(1.0)}
    given = at_once(lambda i: pours.set_aside(both[i], charge, by=None), 2)
    assert refused(given) == 1
    # All of one charge, nothing of the other.
    assert sorted(MetalMove.objects.filter(planned=True).values_list("kg", flat=True)) == [-3, -1]


def test_setting_aside_and_taking_out_at_once_leave_nothing_below_nought():
    engine = make.engine()
    lot = make.lot(engine, 5)
    pour = make.pour(engine, (waiting(engine, 1), 1, 1.9))
    acts = [
        lambda: pours.set_aside(pour, {lot: Weighed(3.0)}, by=None),
        lambda: metal_actions.book(lot, -3.0, day=DAY, by=None),
    ]
    assert refused(at_once(lambda i: acts[i](), 2)) == 1
    assert metal_actions.free_kg(lot) == 2.0


def test_a_pour_written_down_twice_at_once_is_booked_once():
    engine = make.engine()
    lot, job = make.lot(engine, 20), waiting(engine, 2)
    pour = make.pour(engine, (job, 2, 1.9))
    (casting,) = pour.castings.all()

    def write(i):
        return pours.record_result(
            pour,
            {"poured_on": DAY},
            {casting.pk: Result(1, "misrun")},
            {lot: Weighed(4.0)},
            Weighed(2.0),
            by=None,
        )

    given = at_once(write, 4)
    assert refused(given) == 3
    assert lot.moves.aggregate(n=Sum("kg"))["n"] == 16.0
    assert MetalLot.objects.filter(name="Returns of pour 1").count() == 1
    poured = PieceEntry.objects.filter(job=job, stage="poured").aggregate(n=Sum("pieces"))["n"]
    assert poured == 1


def test_the_same_castings_planned_by_many_at_once_stand_in_one_pour():
    engine = make.engine()
    job, pot = waiting(engine, 2), make.crucible(engine)

    def plan(i):
        row = Pour(engine=engine, metal="C93200", crucible=pot)
        return pours.plan(row, [(job, 2, 1.9)], by=None)

    assert refused(at_once(plan, 4)) == 3
    assert PourCasting.objects.aggregate(n=Sum("pieces"))["n"] == 2
    assert Pour.everything.count() == 1


def test_a_find_put_into_the_store_by_two_at_once_is_one_lot():
    engine = make.engine()
    find = make.find(engine)
    given = at_once(lambda i: make.lot(engine, 2, find=find), 3)
    assert refused(given) == 2
    assert MetalLot.objects.count() == 1
