"""The metal store and pours: nothing goes negative, a pour is one act, and it is frozen after."""

from datetime import timedelta

import pytest
from django.db.models import Sum

from parts.record.actions import entries
from parts.record.actions.saving import Refused
from parts.record.models import Change, PieceEntry
from parts.workshop.jobs.queries.job import job_status
from parts.workshop.metal import actions as metal_actions
from parts.workshop.metal.models import MetalLot, MetalMove
from parts.workshop.pours.actions import pours
from parts.workshop.pours.actions.pours import Result, Weighed
from parts.workshop.pours.models import Pour, PourCasting
from tests import make

pytestmark = pytest.mark.django_db
DAY = make.FIRST_DAY


def day(n):
    return DAY + timedelta(days=n)


@pytest.fixture
def bush(engine):
    """A making of 3 bushes to be cast, their pattern made."""
    part = make.part(engine, 3, name="Bush", material="bronze", mass_kg=1.0)
    job = make.job(part, "cast", 3)
    entries.reach(job, "pattern_made", 3, day=DAY, by=None)
    return job


def left(lot) -> float:
    moves = MetalMove.objects.filter(lot=lot, planned=False)
    return round(moves.aggregate(n=Sum("kg"))["n"] or 0, 9)


def stages(job) -> dict[str, int]:
    return {s.key: s.reached for s in job_status(job).stages}


def test_metal_is_booked_in_and_out_with_what_was_written(engine):
    lot = make.lot(engine, 10)
    metal_actions.book(
        lot, -2.5, day=day(1), by=None, written="2.5 kg", unit="kg", reason="two bushes"
    )
    assert left(lot) == 7.5
    move = lot.moves.last()
    assert (move.written, move.unit, move.reason) == ("2.5 kg", "kg", "two bushes")
    assert Change.objects.filter(kind="metalmove", row=move.pk).exists()


def test_no_lot_goes_below_nothing_not_even_on_a_day_gone_by(engine):
    lot = make.lot(engine, 10, day=day(5))
    with pytest.raises(Refused, match="does not hold so much"):
        metal_actions.book(lot, -10.1, day=day(6), by=None)
    with pytest.raises(Refused, match="does not hold so much on 14 Jan 2026"):
        metal_actions.book(lot, -1, day=day(4), by=None)  # the day before it came
    assert left(lot) == 10


def test_a_move_typed_by_mistake_goes_unless_the_metal_was_used_since(engine):
    lot = make.lot(engine, 0)
    came = metal_actions.book(lot, 4, day=DAY, by=None)
    used = metal_actions.book(lot, -3, day=day(1), by=None)
    with pytest.raises(Refused):
        metal_actions.delete_move(came, by=None, reason="typed twice")
    metal_actions.delete_move(used, by=None, reason="wrong lot")
    metal_actions.delete_move(came, by=None, reason="typed twice")
    assert left(lot) == 0


def test_a_find_becomes_a_lot_once_and_only_when_it_is_of_no_use(engine):
    part = make.part(engine, 2, name="Brass")
    find = make.found(part, 1)
    with pytest.raises(Refused, match="nobody has called beyond repair"):
        make.lot(engine, 3, find=find)
    entries.condemn(part, 1, day=DAY, by=None, reason="cracked")
    lot = make.lot(engine, 3, find=find)
    assert lot.find == find
    with pytest.raises(Refused, match="in the store already"):
        make.lot(engine, 3, find=find)


def test_a_pour_bigger_than_its_crucible_is_refused_in_words(engine, bush):
    pot = make.crucible(engine, 5.0)
    with pytest.raises(Refused, match="Over what the crucible may carry") as refusal:
        make.pour(engine, (bush, 3, 2.0), pot=pot)
    # 3 × 2.0 = 6 kg to pour, ÷ (1 − 0.0175) = 6.107 kg to charge.
    assert "13.46 lb" in str(refusal.value)
    assert not Pour.everything.exists()


def test_a_light_metal_fills_the_crucible_with_less(engine):
    part = make.part(engine, 9, material="aluminium")
    job = make.job(part, "cast", 9)
    pot = make.crucible(engine, 10.0)
    with pytest.raises(Refused, match="Over what the crucible"):
        make.pour(engine, (job, 4, 1.0), metal="aluminium", pot=pot)
    assert make.pour(engine, (job, 2, 1.0), metal="aluminium", pot=pot).number == 1


def test_no_more_is_planned_than_waits(engine, bush):
    make.pour(engine, (bush, 2, 2.0))
    with pytest.raises(Refused, match="2 of them stand in another pour"):
        make.pour(engine, (bush, 2, 2.0))
    assert make.pour(engine, (bush, 1, 2.0)).number == 2


def test_a_crucible_that_is_not_fit_takes_nothing(engine, bush):
    pot = make.crucible(engine, 12.0, good=False)
    with pytest.raises(Refused, match="not fit for use"):
        make.pour(engine, (bush, 1, 2.0), pot=pot)


def test_what_is_set_aside_is_not_free_for_another(engine, bush):
    lot = make.lot(engine, 7)
    first, second = make.pour(engine, (bush, 2, 2.0)), make.pour(engine, (bush, 1, 2.0))
    pours.set_aside(first, {lot: Weighed(4.1)}, by=None)
    with pytest.raises(Refused, match="set aside for pours"):
        pours.set_aside(second, {lot: Weighed(3.0)}, by=None)
    with pytest.raises(Refused, match="set aside for pours"):
        metal_actions.book(lot, -3.0, day=day(1), by=None)
    pours.set_aside(first, {lot: Weighed(3.9)}, by=None)  # weighed anew, not added
    pours.set_aside(second, {lot: Weighed(3.0)}, by=None)
    assert left(lot) == 7  # nothing has left the store yet
    pours.cancel(second, by=None, reason="rain")
    assert metal_actions.free_kg(lot) == pytest.approx(3.1)


def test_metal_of_another_engine_is_neither_set_aside_nor_charged(engine, bush):
    pour, theirs = make.pour(engine, (bush, 1, 1.0)), make.lot(make.engine(), 7)
    with pytest.raises(Refused, match="another engine"):
        pours.set_aside(pour, {theirs: Weighed(1.0)}, by=None)
    with pytest.raises(Refused, match="another engine"):
        poured(pour, theirs, 1)
    assert left(theirs) == 7


def poured(pour, lot, good, why="", kg=4.2, back=None, **more):
    (casting,) = pour.castings.all()
    return pours.record_result(
        pour,
        {"poured_on": day(3), "temperature_c": 1100.0},
        {casting.pk: Result(good, why)},
        {lot: Weighed(kg)},
        back,
        by=None,
        **more,
    )


def test_after_a_pour_store_stages_and_wasters_are_booked_together(engine, bush):
    lot = make.lot(engine, 7)
    pour = make.pour(engine, (bush, 3, 1.4))
    entries.reach(bush, "moulded", 3, day=day(2), by=None)
    pours.set_aside(pour, {lot: Weighed(4.3)}, by=None)
    poured(pour, lot, 2, "cold shut", back=Weighed(2.6, "2.6 kg", "kg"))
    # 7.0 − 4.2 really charged (4.3 was set aside) = 2.8.
    assert left(lot) == 2.8
    assert not MetalMove.objects.filter(planned=True).exists()
    # Of 3 moulded, 2 are good; the mould of the waster is broken and it waits to be moulded again.
    assert stages(bush)["poured"] == 2
    assert stages(bush)["moulded"] == 2
    assert stages(bush)["pattern_made"] == 3
    back = PieceEntry.objects.filter(job=bush, stage="poured", pieces=-1).get()
    assert back.reason == "Pour 1: cold shut"
    returns = MetalLot.objects.get(name="Returns of pour 1")
    assert (returns.material, left(returns)) == ("bronze", 2.6)
    assert PourCasting.objects.get().good == 2


def test_a_waster_among_moulds_not_yet_poured_leaves_those_alone(engine, bush):
    entries.reach(bush, "moulded", 3, day=day(2), by=None)
    pour = make.pour(engine, (bush, 1, 1.4))
    poured(pour, make.lot(engine, 7), 0, "misrun")
    assert stages(bush)["poured"] == 0
    assert stages(bush)["moulded"] == 2


def test_a_waster_needs_its_reason_and_nothing_is_lost_without_it(engine, bush):
    lot = make.lot(engine, 7)
    pour = make.pour(engine, (bush, 3, 1.4))
    pours.set_aside(pour, {lot: Weighed(4.3)}, by=None)
    before = Change.objects.count()
    with pytest.raises(Refused, match="say what was wrong with it"):
        poured(pour, lot, 2)
    assert (left(lot), Change.objects.count()) == (7, before)
    assert MetalMove.objects.filter(planned=True).count() == 1
    assert Pour.objects.get().poured_on is None
    assert stages(bush)["poured"] == 0


def test_a_pour_is_frozen_when_it_has_happened(engine, bush):
    lot = make.lot(engine, 9)
    pour = make.pour(engine, (bush, 3, 1.4))
    poured(pour, lot, 3)
    for again in (
        lambda: poured(pour, lot, 3),
        lambda: pours.set_aside(pour, {lot: Weighed(1)}, by=None),
        lambda: pours.cancel(pour, by=None, reason="x"),
        lambda: pours.change(pour, {"who": "A"}, seen=1, by=None),
        lambda: pours.free(pour, by=None),
    ):
        with pytest.raises(Refused, match="entered already"):
            again()
    with pytest.raises(Refused, match="belongs to pour 1"):
        metal_actions.delete_move(lot.moves.get(pour=pour), by=None, reason="x")
    assert left(lot) == 4.8


def test_a_lot_used_up_meanwhile_stops_the_pour_and_loses_nothing(engine, bush):
    lot = make.lot(engine, 5)
    pour = make.pour(engine, (bush, 3, 1.4))
    metal_actions.book(lot, -3, day=day(1), by=None)
    with pytest.raises(Refused, match="does not hold so much"):
        poured(pour, lot, 3)
    assert left(lot) == 2
    assert stages(bush)["poured"] == 0
    assert Pour.objects.get().poured_on is None


def test_no_more_comes_back_than_was_charged(engine, bush):
    lot = make.lot(engine, 9)
    pour = make.pour(engine, (bush, 3, 1.4))
    with pytest.raises(Refused, match="cannot come back"):
        poured(pour, lot, 3, back=Weighed(4.3))


def test_stages_written_by_hand_are_left_as_they_are(engine, bush):
    entries.reach(bush, "poured", 3, day=day(1), by=None)
    row = Pour(engine=engine, metal="C93200", crucible=make.crucible(engine))
    pour = pours.plan(row, [(bush, 3, 1.4)], by=None, already=True)
    poured(pour, make.lot(engine, 9), 3, move_stages=False)
    assert stages(bush)["poured"] == 3
    assert PourCasting.objects.get().good == 3


def test_a_pour_given_up_lets_its_castings_wait_again(engine, bush):
    pour = make.pour(engine, (bush, 3, 1.4))
    pours.cancel(pour, by=None, reason="no time")
    assert make.pour(engine, (bush, 3, 1.4)).number == 2
