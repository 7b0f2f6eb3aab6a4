"""The parts list, measures in the other unit, and the room that the record leaves for acts."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from parts.care import queries as care_queries
from parts.care.models import ConditionNote
from parts.engine.actions.parts import add_part, still_on_engine
from parts.engine.queries import parts, pieces
from parts.engineering.measures import read_length
from parts.record.actions import entries, saving
from parts.record.models import Part
from parts.record.queries.status import (
    TABLE,
    Counts,
    component_counts,
    engine_counts,
    engines_with_counts,
    status_table,
)
from tests import make

DAY = make.FIRST_DAY


# ---- The list ----


def listed(engine, **chosen) -> list[str]:
    ids = parts.in_order(parts.filter_parts(engine, chosen), chosen.get("sort", ""))
    return [row.name for row in parts.rows_of(engine, list(ids))]


def test_the_sums_of_the_list_are_those_of_the_engine(engine):
    for n in range(1, 7):
        part = make.part(engine, n)
        make.found(part, (n + 1) // 2)
    assert parts.part_list(engine, {}).counts == engine_counts(engine)


def test_the_states_divide_the_pieces_of_the_engine(engine):
    """A part counts in every state that one of its pieces has, its pieces in one state only."""
    bolts = make.part(engine, 8)
    make.found(bolts, 5)
    entries.condemn(bolts, 1, day=DAY, by=None, reason="Bent")
    entries.leave_off(bolts, 1, day=DAY, by=None, reason="Not needed")
    make.job(bolts, "machine", 2)
    shown = parts.part_list(engine, {})
    assert {c.key: c.parts for c in shown.choices["state"] if c.parts} == {
        "found": 1,
        "to_be_made": 1,
        "beyond_repair": 1,
    }
    assert sum(dict(shown.counts.states).values()) == shown.counts.need == 7
    for choice in shown.choices["state"]:
        assert len(listed(engine, state=choice.key)) == choice.parts


def test_each_choice_gives_as_many_parts_as_it_says(engine):
    bed = make.component(engine, name="Bed")
    bearing = make.component(engine, name="Bearings", parent=bed)
    for n in range(24):
        part = make.part(
            engine,
            1 + n % 3,
            component=[bed, bearing][n % 2],
            material=["steel", "brass", "cast_iron"][n % 3],
            usual_route=["cast", "", "buy"][n % 3],
        )
        if n % 4 == 0:
            make.found(part)
        if n % 5 == 0:
            make.job(part, "fabricate")
        if n % 6 == 0:
            row = ConditionNote(
                engine=engine, part=part, day=DAY, condition_class=n % 4, seen="Seen"
            )
            saving.add(row, by=None)
    for chosen in ({}, {"state": "missing"}, {"material": "steel"}, {"component": str(bed.pk)}):
        for name, choices in parts.part_list(engine, chosen).choices.items():
            for choice in choices:
                found = listed(engine, **(chosen | {name: choice.key}))
                assert len(found) == choice.parts, (chosen, name, choice)


def test_a_withdrawn_job_gives_way_to_the_usual_route(engine):
    part = make.part(engine, usual_route="buy", name="Cock")
    job = make.job(part, "cast")
    assert listed(engine, route="cast") == ["Cock"]
    entries.withdraw(job, 1, day=DAY, by=None, reason="One is for sale")
    assert listed(engine, route="cast") == []
    assert listed(engine, route="buy") == ["Cock"]


def test_a_removed_note_no_longer_gives_its_class(engine):
    part = make.part(engine, name="Cap")
    note = ConditionNote(engine=engine, part=part, day=DAY, condition_class=3, seen="Broken")
    saving.add(note, by=None)
    assert listed(engine, condition="3") == ["Cap"]
    saving.remove(note, by=None)
    assert listed(engine, condition="3") == []
    assert listed(engine, condition="none") == ["Cap"]


def test_the_tree_holds_every_component_once_even_when_its_outer_one_is_gone(engine):
    outer = make.component(engine, number=5, name="Outer")
    inner = make.component(engine, number=2, name="Inner", parent=outer)
    other = make.component(engine, number=3, name="Other")
    tree = parts.Tree([outer, inner, other])
    assert [(b.component, b.depth) for b in tree.branches()] == [(other, 0), (outer, 0), (inner, 1)]
    assert tree.within(outer.pk) == {outer.pk, inner.pk}
    left = parts.Tree([inner, other])
    assert [(b.component, b.depth) for b in left.branches()] == [(inner, 0), (other, 0)]


# ---- What may be done ----


def test_the_room_for_acts_follows_the_pieces(engine):
    part = make.part(engine, 4)

    def room():
        return {k: n for k, n in pieces.balance_of(part).room.items() if n > 0}

    assert room() == {"still": 4, "leave-off": 4}
    make.found(part, 3)
    assert room() == {"still": 1, "place": 3, "lose": 3, "beyond-repair": 3, "leave-off": 4}
    entries.place(part, 1, day=DAY, by=None)
    entries.condemn(part, 1, day=DAY, by=None, reason="Bent")
    assert room() == {
        "still": 1,
        "place": 1,
        "take-down": 1,
        "lose": 2,
        "beyond-repair": 2,
        "fit-again": 1,
        "leave-off": 4,
    }


@pytest.mark.parametrize(
    ("act", "verb"),
    [
        ("place", entries.place),
        ("take-down", entries.take_down),
        ("lose", entries.lose),
        ("come-back", entries.find_again),
        ("beyond-repair", entries.condemn),
        ("fit-again", entries.reprieve),
        ("leave-off", entries.leave_off),
        ("want-again", entries.want_again),
    ],
)
def test_an_act_takes_no_more_than_its_room(engine, act, verb):
    part = make.part(engine, 6)
    make.found(part, 5)
    entries.place(part, 2, day=DAY, by=None)
    entries.lose(part, 1, day=DAY, by=None, reason="Stolen")
    entries.condemn(part, 1, day=DAY, by=None, reason="Bent")
    entries.leave_off(part, 1, day=DAY, by=None, reason="Not needed")
    room = pieces.balance_of(part).room[act]
    assert room > 0
    with pytest.raises(saving.Refused):
        verb(part, room + 3, day=DAY, by=None, reason="So")
    # Those beyond repair on the engine and off it are told one by one.
    verb(part, 1, day=DAY, by=None, reason="So")


def test_many_still_on_the_engine_are_written_all_or_none(engine):
    good, other = make.part(engine), make.part(engine)
    with pytest.raises(saving.Refused):
        still_on_engine({good: 1, other: 0}, day=DAY, by=None)
    assert engine_counts(engine).in_place == 0
    still_on_engine({good: 1, other: 1}, day=DAY, by=None)
    assert engine_counts(engine).in_place == 2


def test_a_part_that_takes_a_number_in_use_is_refused(engine):
    old = make.part(engine, item=11)
    new = Part(engine=engine, component=old.component, item=11, name="Twin")
    with pytest.raises(saving.Refused, match="11 was taken"):
        add_part(new, by=None)


# ---- Measures ----


@pytest.mark.parametrize(
    ("written", "unit", "shown"),
    [
        ("36.5", "mm", "36.5 mm"),
        ("3 1/2", "in", "3 1/2 in"),
        ("4 7/8 in", "in", "4 7/8 in"),
        ("3' 0 1/2\"", "ft", "3' 0 1/2\""),
        ("⅞", "in", "⅞ in"),
        ("2150", "F", "2150 °F"),
        ("22", "", "22"),
    ],
)
def test_a_measure_is_shown_as_it_was_written_with_its_unit(written, unit, shown):
    assert care_queries.shown_written(written, unit) == shown


@pytest.mark.parametrize(
    ("quantity", "unit", "value", "written", "other"),
    [
        ("length", "in", 88.9, "3 1/2", "88.9 mm"),
        ("length", "in", 123.825, "4 7/8", "123.8 mm"),
        ("length", "in", 304.9778, "12.007 in", "304.978 mm"),
        ("length", "mm", 1143.0, "1143", "45 in"),
        ("length", "mm", 36.5, "36.5", "1.437 in"),
        ("length", "ft", 914.4, "3 ft", "914.4 mm"),
        ("mass", "lb", 0.45359237, "1 lb", "0.454 kg"),
        ("mass", "kg", 61.0, "61", "134 lb"),
        ("temperature", "F", 100.0, "212 F", "100 °C"),
        ("temperature", "C", 100.0, "100 C", "212 °F"),
        ("count", "", 22.0, "22", ""),
    ],
)
@pytest.mark.outside("International yard and pound agreement, 1959; the Fahrenheit scale")
def test_a_measure_is_shown_in_the_other_unit_no_finer_than_it_was_read(
    quantity, unit, value, written, other
):
    assert care_queries.in_other_unit(quantity, unit, value, written) == other


@given(st.floats(min_value=0.5, max_value=9000))
def test_the_other_unit_says_the_same_length(mm):
    inches = care_queries.in_other_unit("length", "mm", mm)
    assert read_length(inches).value == pytest.approx(mm, abs=0.0127 + 0.008)
    metric = care_queries.in_other_unit("length", "in", mm)
    assert read_length(metric).value == pytest.approx(mm, abs=0.0501)


def test_what_is_seen_of_a_find_that_is_two_parts_is_seen_of_neither(engine):
    part, other = make.part(engine), make.part(engine)
    find = make.find(engine, 2)
    assert care_queries.part_of_find(find) is None
    entries.identify(find, part, 1, day=date(2026, 3, 1), by=None)
    assert care_queries.part_of_find(find) == part
    entries.identify(find, other, 1, day=date(2026, 3, 1), by=None)
    assert care_queries.part_of_find(find) is None


def test_the_table_of_many_parts_says_what_each_part_says(engine):
    """Sums capped all at once, against the counts that SQL gives part by part."""
    rows = []
    for quantity in (1, 2, 5):
        for found, placed, bad, decided, left in (
            (0, 0, 0, 0, 0),
            (1, 1, 0, 0, 0),
            (3, 1, 1, 0, 1),
            (7, 2, 2, 2, 0),
            (2, 0, 2, 3, 1),
        ):
            part = make.part(engine, quantity)
            if found:
                make.found(part, found)
            if placed:
                entries.place(part, placed, day=DAY, by=None)
            if bad:
                entries.condemn(part, bad, day=DAY, by=None, reason="Bent")
            if left:
                entries.leave_off(part, left, day=DAY, by=None, reason="Not needed")
            if decided:
                job = make.job(part, "cast", decided)
                entries.reach(job, "pattern_made", 1, day=DAY, by=None)
                entries.fit(job, 1, day=DAY, by=None)
            rows.append(part)
    table = {row[0]: row[1:] for row in status_table(Part.objects.filter(engine=engine)).tolist()}
    assert len(table) == len(rows) == 15
    for part in Part.objects.filter(engine=engine).status():
        assert table[part.pk] == [getattr(part, name) for name in TABLE], part


def test_the_table_of_no_parts_is_empty(engine):
    assert status_table(Part.objects.filter(engine=engine)).shape == (0, 1 + len(TABLE))


def test_components_and_engines_are_counted_as_their_parts_are(engine):
    bed, rod = make.component(engine, name="Bed"), make.component(engine, name="Rod")
    bolts = make.part(engine, 8, component=bed)
    make.found(bolts, 5, day=date(2026, 2, 1))
    make.part(engine, 2, component=rod)
    empty, other = make.component(engine), make.engine()
    counts = dict(component_counts(engine))
    assert (counts[bed].found, counts[bed].missing, counts[rod].missing) == (5, 3, 2)
    assert counts[empty] == Counts()
    assert dict(component_counts(engine, date(2026, 1, 31)))[bed].missing == 8
    assert dict(engines_with_counts([other, engine])) == {
        engine: engine_counts(engine),
        other: Counts(),
    }
    assert engine_counts(engine, date(2026, 1, 31)).missing == 10
