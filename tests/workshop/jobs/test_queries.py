"""The parts-to-make list: stages in words, sums, what is still to decide."""

from datetime import date, timedelta
from decimal import Decimal as D

import pytest

from parts.care.models import Measurement
from parts.engineering.routes import route
from parts.record.actions import entries
from parts.workshop.jobs.queries.job import job_status, mass_of_part
from parts.workshop.jobs.queries.jobs import parts_to_make
from parts.workshop.jobs.queries.lines import Filters, stage_summary
from tests import make

pytestmark = pytest.mark.django_db
DAY = make.FIRST_DAY


def day(n: int) -> date:
    return DAY + timedelta(days=n)


def lines(engine, on=None, **filters):
    return parts_to_make(engine, on, Filters(**filters)).lines


@pytest.mark.parametrize(
    ("way", "left", "fitted", "reached", "text", "following"),
    [
        ("cast", 1, 0, {}, "not yet measured", "measured"),
        ("cast", 1, 0, {"measured": 1, "drawn": 1}, "drawn", "pattern made"),
        ("fabricate", 22, 0, {"measured": 22, "material_in": 22, "cut": 14}, "14 of 22 cut", "cut"),
        ("cast", 2, 0, {"measured": 2, "poured": 1}, "1 of 2 poured", "poured"),
        # Of 8, 6 are fitted; of the 2 left 1 is machined.
        (
            "machine",
            2,
            6,
            {"measured": 8, "stock_in": 8, "machined": 7},
            "1 of 2 machined",
            "machined",
        ),
        ("buy", 4, 0, {"priced": 4, "ordered": 4, "received": 4}, "received", "fitted"),
    ],
)
def test_the_furthest_stage_is_told_with_its_count(way, left, fitted, reached, text, following):
    summary = stage_summary(route(way), left, fitted, reached)
    assert (summary.text, summary.next_word) == (text, following)


def test_a_half_fitted_job_stands_with_what_is_left(engine):
    bolts = make.part(engine, 8, mass_kg=0.5)
    job = make.job(bolts, "machine", 8)
    entries.fit(job, 6, day=day(3), by=None)
    entries.reach(job, "machined", 1, day=day(4), by=None)
    (line,) = lines(engine)
    assert (line.quantity, line.decided, line.fitted) == (2, 8, 6)
    assert line.stage.text == "1 of 2 machined"
    assert line.mass_total_kg == 1.0
    entries.fit(job, 2, day=day(5), by=None)
    assert lines(engine) == []
    assert lines(engine, day(4))[0].quantity == 2


def test_missing_and_beyond_repair_pieces_stand_apart_until_decided(engine):
    bolts = make.part(engine, 8, usual_route="machine")
    make.found(bolts, 5)
    entries.condemn(bolts, 1, day=day(1), by=None, reason="necked")
    (part,) = parts_to_make(engine).to_decide
    assert (part.missing, part.beyond_repair, part.pieces, part.route_word) == (3, 1, 4, "machine")
    make.job(bolts, "machine", 4, day=day(2))
    after = parts_to_make(engine)
    assert after.to_decide == []
    assert [line.quantity for line in after.lines] == [4]
    before = parts_to_make(engine, day(1))
    assert before.lines == []
    assert before.pieces_to_decide == 4


def test_a_piece_that_turned_up_is_told_on_its_job(engine):
    strap = make.part(engine)
    job = make.job(strap)
    assert lines(engine)[0].over_made == 0
    make.found(strap, 1, day=day(2))
    assert lines(engine)[0].over_made == 1
    entries.withdraw(job, 1, day=day(3), by=None, reason="found under the bed")
    assert lines(engine) == []


def test_a_measured_mass_goes_before_a_typed_one(engine):
    strap = make.part(engine, mass_kg=20.0)
    make.job(strap)
    assert (lines(engine)[0].mass_kg, lines(engine)[0].mass_from) == (20.0, "typed")
    for n, value in ((1, 21.0), (3, 22.5), (2, 30.0)):
        Measurement.objects.create(
            engine=engine,
            part=strap,
            what="Mass",
            quantity="mass",
            written=f"{value} kg",
            unit="kg",
            value=value,
            day=day(n),
        )
    assert (lines(engine)[0].mass_kg, lines(engine)[0].mass_from) == (22.5, "measured")
    assert mass_of_part(strap) == (22.5, "measured")
    assert lines(engine, day(2))[0].mass_kg == 30.0


def test_an_unknown_mass_is_said_and_not_taken_for_nothing(engine):
    make.job(make.part(engine))
    make.job(make.part(engine, mass_kg=3.0))
    sums = parts_to_make(engine).sums
    assert (sums.mass_kg, sums.mass_unknown) == (3.0, 1)


def test_groups_follow_the_routes_and_sum_to_the_whole(engine):
    for way, pieces, likely in (("buy", 4, 30), ("cast", 1, 345), ("cast", 2, 540)):
        part = make.part(engine, pieces, mass_kg=2.0)
        job = make.job(part, way, pieces)
        make.cost(engine, "castings", ("estimated", DAY, likely - 10, likely, likely + 20), job=job)
    made = parts_to_make(engine)
    assert [g.title for g in made.groups] == ["To cast", "To buy in"]
    assert [g.sums.cost.total.likely for g in made.groups] == [885, 30]
    assert made.sums.pieces == sum(g.sums.pieces for g in made.groups) == 7
    assert made.sums.mass_kg == sum(g.sums.mass_kg for g in made.groups) == 14.0
    total = made.sums.cost.total
    assert (total.low, total.likely, total.high) == (885, 915, 975)


def test_each_cost_is_counted_on_one_line(engine):
    """A cost of the part goes to its first open job, one of a job to that job alone."""
    bolts = make.part(engine, 8)
    first, second = make.job(bolts, "machine", 3), make.job(bolts, "buy", 2)
    make.cost(engine, "fasteners", ("ordered", DAY, 50), part=bolts)
    make.cost(engine, "fasteners", ("paid", DAY, 7), part=bolts, job=second)
    make.cost(engine, "hire", ("paid", DAY, 1000))
    cost = {line.job_id: line.cost.total.likely for line in lines(engine)}
    assert cost == {first.pk: D(50), second.pk: D(7)}


def test_a_metal_and_size_of_the_job_go_before_those_of_the_part(engine):
    part = make.part(engine, 2, material="bronze", size="3 in")
    make.job(part)
    entries.decide(part, "cast", 1, day=DAY, by=None, metal="brass", size="3 1/8 in")
    assert [(m.metal, m.size) for m in lines(engine)] == [("bronze", "3 in"), ("brass", "3 1/8 in")]


def test_the_list_is_filtered_and_its_sums_with_it(engine):
    bed = make.component(engine, name="Bed")
    one = make.part(engine, component=bed, name="Sole plate", mass_kg=9.0)
    two = make.part(engine, 3, component=make.component(engine), name="Oil cup", material="brass")
    entries.decide(one, "cast", 1, day=DAY, by=None, who="The foundry")
    job = entries.decide(two, "buy", 3, day=DAY, by=None, who="Ned")
    entries.reach(job, "ordered", 2, day=DAY, by=None)
    for filters, names in (
        ({"route": "buy"}, ["Oil cup"]),
        ({"component": bed.pk}, ["Sole plate"]),
        ({"material": "brass"}, ["Oil cup"]),
        ({"who": "Ned"}, ["Oil cup"]),
        ({"stage": "ordered"}, ["Oil cup"]),
        ({"stage": "none"}, ["Sole plate"]),
        ({"text": "plate SOLE"}, ["Sole plate"]),
        ({"text": "nothing of the kind"}, []),
    ):
        assert [line.name for line in lines(engine, **filters)] == names, filters
    made = parts_to_make(engine, None, Filters(route="buy"))
    assert (made.sums.lines, made.all_lines, made.sums.pieces, made.being_made) == (1, 2, 3, 1)


def test_the_list_is_sorted_inside_its_groups(engine):
    rows = [("B", 1, 10, None), ("A", 2, 30, day(9)), ("C", 3, 20, day(2))]
    for name, item, likely, wanted in rows:
        part = make.part(engine, name=name, item=9000 + item, mass_kg=float(item))
        job = entries.decide(part, "cast", 1, day=DAY, by=None, wanted_by=wanted)
        make.cost(engine, "castings", ("quoted", DAY, likely), job=job)
    for sort, names in (
        ("item", "BAC"),
        ("name", "ABC"),
        ("likely", "ACB"),
        ("mass", "CAB"),
        ("wanted", "CAB"),
        ("rubbish", "BAC"),
    ):
        assert "".join(line.name for line in lines(engine, sort=sort)) == names, sort


def test_a_job_wanted_by_a_day_gone_by_is_late(engine):
    entries.decide(make.part(engine), "cast", 1, day=DAY, by=None, wanted_by=day(5))
    assert not lines(engine, day(5))[0].late
    assert lines(engine, day(6))[0].late


def test_the_sheet_of_a_job_names_the_next_stage(engine):
    job = make.job(make.part(engine, 2), "cast", 2)
    entries.reach(job, "moulded", 2, day=day(1), by=None)
    entries.reach(job, "poured", 1, day=day(2), by=None)
    sheet = job_status(job)
    assert (sheet.next_word, sheet.next_pieces, sheet.upto, sheet.left) == ("poured", 1, 2, 2)
    assert [(s.word, s.reached, s.state) for s in sheet.stages] == [
        ("measured", 2, "done"),
        ("drawn", 2, "done"),
        ("pattern made", 2, "done"),
        ("moulded", 2, "done"),
        ("poured", 1, "now"),
        ("fettled", 0, "ahead"),
        ("machined", 0, "ahead"),
        ("fitted", 0, "ahead"),
    ]
    entries.fit(job, 2, day=day(3), by=None)
    assert job_status(job).next_key == ""
    entries.take_off(job, 1, day=day(4), by=None, reason="the flange leaks")
    assert job_status(job).next_word == "fitted"


def test_the_list_takes_as_many_queries_however_many_lines(engine, django_assert_num_queries):
    def grow(n):
        for _ in range(n):
            part = make.part(engine, 2)
            job = make.job(part)
            make.cost(engine, "castings", ("quoted", DAY, 5), job=job)

    grow(2)
    with django_assert_num_queries(9):
        parts_to_make(engine)
    grow(50)
    with django_assert_num_queries(9):
        parts_to_make(engine)
