"""How pieces are counted: the worked cases, and rules that hold for any history."""

from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from parts.drafting.lines import DRAWN_FIRST, STATES
from parts.record.actions import entries
from parts.record.actions.saving import Refused
from parts.record.models import Part, PieceEntry
from parts.record.models.status import FILL_ORDER
from parts.record.queries.status import TABLE, status_table, tables_over_time
from tests import make

pytestmark = pytest.mark.django_db
DAY = make.FIRST_DAY


def day(n: int):
    return DAY + timedelta(days=n)


def counts(part: Part, on=None) -> dict:
    """The counts of a part that are not zero, with its spares and over-jobs."""
    row = Part.objects.filter(pk=part.pk).status(on).get()
    names = [*FILL_ORDER, "spare", "over_made"]
    return {name: getattr(row, name) for name in names if getattr(row, name)}


def test_a_new_part_is_wholly_missing(engine):
    assert counts(make.part(engine, 8)) == {"missing": 8}


def test_eight_bolts_five_found_one_beyond_repair_four_decided(engine):
    bolts = make.part(engine, 8)
    make.found(bolts, 5)
    entries.condemn(bolts, 1, day=day(1), by=None, reason="necked")
    make.job(bolts, "machine", 4, day=day(2))
    assert counts(bolts, day(0)) == {"found": 5, "missing": 3}
    assert counts(bolts, day(1)) == {"found": 4, "beyond_repair": 1, "missing": 3}
    assert counts(bolts, day(2)) == {"found": 4, "to_be_made": 4}


def test_the_beyond_repair_one_shows_while_fewer_are_decided(engine):
    bolts = make.part(engine, 8)
    make.found(bolts, 5)
    entries.condemn(bolts, 1, day=day(1), by=None, reason="necked")
    make.job(bolts, "machine", 2, day=day(2))
    assert counts(bolts) == {"found": 4, "to_be_made": 2, "beyond_repair": 1, "missing": 1}


def test_a_missing_piece_turns_up_after_its_casting_is_poured(engine):
    strap = make.part(engine)
    job = make.job(strap)
    entries.reach(job, "poured", 1, day=day(3), by=None)
    assert counts(strap) == {"being_made": 1}
    make.found(strap, day=day(5))
    assert counts(strap, day(4)) == {"being_made": 1}
    assert counts(strap) == {"found": 1, "over_made": 1}


def test_a_missing_piece_turns_up_after_its_casting_is_fitted(engine):
    strap = make.part(engine)
    entries.fit(make.job(strap), 1, day=day(3), by=None)
    make.found(strap, day=day(5))
    assert counts(strap) == {"fitted": 1, "spare": 1}


def test_a_beyond_repair_piece_is_repaired(engine):
    lever = make.part(engine)
    make.found(lever)
    entries.condemn(lever, 1, day=day(1), by=None, reason="broken through")
    entries.reprieve(lever, 1, day=day(9), by=None, reason="brazed")
    assert counts(lever, day(8)) == {"beyond_repair": 1}
    assert counts(lever) == {"found": 1}


def test_a_wasted_casting_goes_back(engine):
    cover = make.part(engine, 2)
    job = make.job(cover, pieces=2)
    entries.reach(job, "fettled", 2, day=day(4), by=None)
    entries.set_back(job, "moulded", 1, day=day(5), by=None, reason="misrun")
    stages = {
        stage.key: sum(
            f.pieces for f in PieceEntry.objects.filter(job=job, kind="stage", stage=stage.key)
        )
        for stage in job.way.stages
    }
    assert stages == {
        "measured": 2,
        "drawn": 2,
        "pattern_made": 2,
        "moulded": 1,
        "poured": 1,
        "fettled": 1,
        "machined": 0,
    }
    assert counts(cover) == {"being_made": 2}
    entries.set_back(job, "pattern_made", 1, day=day(6), by=None, reason="pattern lent away")
    assert counts(cover) == {"being_made": 1, "to_be_made": 1}


def test_a_fitted_piece_is_taken_off(engine):
    pin = make.part(engine)
    job = make.job(pin, "machine")
    entries.fit(job, 1, day=day(3), by=None)
    assert counts(pin) == {"fitted": 1}
    entries.take_off(job, 1, day=day(4), by=None, reason="tight on the taper")
    assert counts(pin) == {"being_made": 1}


def test_a_decision_is_reopened(engine):
    cock = make.part(engine, 2)
    job = make.job(cock, "buy", 2)
    entries.reach(job, "ordered", 1, day=day(1), by=None)
    entries.withdraw(job, 2, day=day(2), by=None, reason="one turned up at a sale")
    assert counts(cock, day(1)) == {"being_made": 1, "to_be_made": 1}
    assert counts(cock) == {"missing": 2}


def test_two_of_six_are_left_off(engine):
    cups = make.part(engine, 6)
    make.found(cups, 3)
    entries.leave_off(cups, 2, day=day(1), by=None, reason="never used after 1930")
    assert counts(cups) == {"found": 3, "missing": 1}


def test_more_are_found_than_needed(engine):
    nuts = make.part(engine, 4)
    make.found(nuts, 6)
    entries.place(nuts, 2, day=day(1), by=None)
    assert counts(nuts) == {"in_place": 2, "found": 2, "spare": 2}


def test_a_piece_is_stolen_from_the_store(engine):
    ball = make.part(engine, 2)
    make.found(ball, 2)
    entries.lose(ball, 1, day=day(7), by=None, reason="store broken open")
    assert counts(ball, day(6)) == {"found": 2}
    assert counts(ball) == {"found": 1, "missing": 1}
    entries.find_again(ball, 1, day=day(20), by=None, reason="handed in")
    assert counts(ball) == {"found": 2}


def test_a_stolen_piece_that_was_beyond_repair_takes_its_verdict_with_it(engine):
    ball = make.part(engine, 2)
    make.found(ball, 2)
    entries.condemn(ball, 2, day=day(1), by=None, reason="burst by frost")
    entries.lose(ball, 1, day=day(7), by=None, reason="store broken open")
    assert counts(ball) == {"beyond_repair": 1, "missing": 1}


def test_a_half_ordered_lot(engine):
    studs = make.part(engine, 8)
    job = make.job(studs, "buy", 8)
    entries.reach(job, "ordered", 4, day=day(1), by=None)
    assert counts(studs) == {"being_made": 4, "to_be_made": 4}


def test_a_corrected_quantity_holds_for_all_dates(engine):
    studs = make.part(engine, 20)
    make.found(studs, 12)
    Part.objects.filter(pk=studs.pk).update(quantity=16)
    assert counts(studs, day(0)) == {"found": 12, "missing": 4}


def test_a_piece_beyond_repair_on_the_engine_is_not_in_place(engine):
    studs = make.part(engine, 4)
    entries.still_on_engine(studs, 3, day=day(0), by=None)
    entries.condemn(studs, 1, day=day(1), by=None, reason="wasted", on_engine=True)
    assert counts(studs) == {"in_place": 2, "beyond_repair": 1, "missing": 1}
    entries.take_down(studs, 3, day=day(2), by=None)
    assert counts(studs) == {"found": 2, "beyond_repair": 1, "missing": 1}


def test_one_find_can_be_two_parts(engine):
    rod, pin = make.part(engine), make.part(engine)
    lump = make.find(engine, 2)
    entries.identify(lump, rod, 1, day=day(0), by=None)
    entries.identify(lump, pin, 1, day=day(1), by=None)
    assert counts(rod) == counts(pin) == {"found": 1}


def test_a_entry_typed_by_mistake_never_happened(engine):
    rod = make.part(engine)
    make.found(rod)
    entry = entries.place(rod, 1, day=day(1), by=None)
    entries.unwrite(entry, by=None, reason="wrong part")
    assert counts(rod) == {"found": 1}


class TestWhatCannotBe:
    """Each refusal is a sentence, and nothing is written."""

    def test_more_identified_than_found(self, engine):
        find, part = make.find(engine, 2), make.part(engine, 4)
        with pytest.raises(Refused, match="is 2 pieces; 3 would be identified"):
            entries.identify(find, part, 3, day=DAY, by=None)
        assert not PieceEntry.objects.exists()

    def test_placing_what_is_not_on_hand(self, engine):
        part = make.part(engine, 4)
        make.found(part, 1)
        with pytest.raises(Refused, match="Only 1 piece of it was on hand"):
            entries.place(part, 2, day=DAY, by=None)

    def test_a_stage_before_the_decision(self, engine):
        job = make.job(make.part(engine), day=day(5))
        with pytest.raises(Refused, match="had reached “decided” on 12 Jan 2026"):
            entries.reach(job, "drawn", 1, day=day(2), by=None)

    def test_a_withdrawal_that_a_later_day_contradicts(self, engine):
        part = make.part(engine)
        make.found(part)
        entries.place(part, 1, day=day(9), by=None)
        with pytest.raises(Refused, match="on 19 Jan 2026"):
            entries.lose(part, 1, day=day(3), by=None, reason="stolen")

    def test_setting_back_what_is_fitted(self, engine):
        job = make.job(make.part(engine))
        entries.fit(job, 1, day=day(1), by=None)
        with pytest.raises(Refused, match="cannot be “fitted”"):
            entries.set_back(job, "poured", 1, day=day(2), by=None, reason="blowhole")

    def test_setting_back_without_a_reason(self, engine):
        job = make.job(make.part(engine))
        entries.reach(job, "drawn", 1, day=day(1), by=None)
        with pytest.raises(Refused, match="Say why"):
            entries.set_back(job, "drawn", 1, day=day(2), by=None, reason=" ")

    def test_removing_the_entry_that_others_rest_on(self, engine):
        part = make.part(engine)
        make.found(part)
        entries.place(part, 1, day=day(1), by=None)
        with pytest.raises(Refused):
            entries.unwrite(PieceEntry.objects.get(kind="identified"), by=None, reason="mistyped")


VERBS = [
    lambda p, m, n, d: make.found(p, n, day=d),
    lambda p, m, n, d: entries.place(p, n, day=d, by=None),
    lambda p, m, n, d: entries.take_down(p, n, day=d, by=None),
    lambda p, m, n, d: entries.condemn(p, n, day=d, by=None, reason="x"),
    lambda p, m, n, d: entries.condemn(p, n, day=d, by=None, reason="x", on_engine=True),
    lambda p, m, n, d: entries.reprieve(p, n, day=d, by=None, reason="x"),
    lambda p, m, n, d: entries.lose(p, n, day=d, by=None, reason="x"),
    lambda p, m, n, d: entries.leave_off(p, n, day=d, by=None, reason="x"),
    lambda p, m, n, d: entries.decide_more(m, n, day=d, by=None),
    lambda p, m, n, d: entries.withdraw(m, n, day=d, by=None, reason="x"),
    lambda p, m, n, d: entries.reach(m, "poured", n, day=d, by=None),
    lambda p, m, n, d: entries.set_back(m, "moulded", n, day=d, by=None, reason="x"),
    lambda p, m, n, d: entries.fit(m, n, day=d, by=None),
    lambda p, m, n, d: entries.take_off(m, n, day=d, by=None, reason="x"),
]


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    quantity=st.integers(1, 5),
    doings=st.lists(
        st.tuples(st.sampled_from(VERBS), st.integers(1, 3), st.integers(0, 9)), max_size=9
    ),
)
def test_the_seven_counts_sum_to_the_need_on_every_day(engine, quantity, doings):
    part = make.part(engine, quantity)
    job = make.job(part, pieces=1)
    for verb, pieces, n in doings:
        try:
            verb(part, job, pieces, day(n))
        except Refused:
            continue
    of_part = Part.objects.filter(pk=part.pk)
    over_time = [table for _, table in tables_over_time(of_part, map(day, range(10)))]
    for n in range(10):
        row = of_part.status(day(n)).get()
        states = [getattr(row, name) for name in FILL_ORDER]
        assert min(states) >= 0
        assert sum(states) == row.need == max(0, quantity - row.left_off)
        in_arrays = [[part.pk, *(getattr(row, name) for name in TABLE)]]
        assert status_table(of_part, day(n)).tolist() == in_arrays
        assert over_time[n].tolist() == in_arrays


def test_each_status_that_is_counted_is_drawn_and_has_its_place_in_the_key():
    assert sorted(FILL_ORDER) == sorted(STATES) == sorted(DRAWN_FIRST)
