"""The drawing of an engine on a day: what its lines say equals what is counted."""

from datetime import timedelta

import pytest

from parts.drawings import actions as drawings_actions
from parts.drawings.queries import days_of, engine_on_day, marks_of, outline
from parts.drawings.sheets import arrangement
from parts.elevation import KINDS
from parts.engine.models import EngineSize
from parts.engineering.starters import starter
from parts.record.actions import entries, saving
from parts.record.queries.status import component_counts, engine_counts
from parts.reports.models import Report
from tests import make

pytestmark = pytest.mark.django_db
DAY = make.FIRST_DAY
LATER = DAY + timedelta(days=30)


def begun(kind="horizontal_slide_valve"):
    """An engine with the starter list of its kind, as one that was begun from it."""
    engine = make.engine(kind=kind)
    for component in starter(kind).components:
        owner = make.component(engine, number=component.number, name=component.name)
        for part in component.parts:
            make.part(
                engine,
                part.quantity,
                item=part.number,
                name=part.name,
                component=owner,
                fastener=part.fastener,
            )
    return engine


@pytest.fixture
def engine(db):
    return begun()


def part_of(engine, item):
    return engine.parts.get(item=item)


def piece_class(svg: str, key: str) -> str:
    """How a piece is drawn: the state in its class."""
    head = next(
        chunk.rpartition("<g ")[2] for chunk in svg.split(f'data-piece="{key}"')[:-1] if chunk
    )
    return head.split('class="piece s-')[1].split(" ")[0].split('"')[0]


def test_the_view_of_a_date_is_the_count_of_that_date(engine):
    entries.still_on_engine(part_of(engine, 101), 1, day=DAY, by=None)
    make.found(part_of(engine, 1001), 1, day=LATER)
    for day in (DAY - timedelta(days=1), DAY, LATER, None):
        stood = engine_on_day(engine, day)
        assert stood.counts == engine_counts(engine, day)
        assert list(stood.components) == component_counts(engine, day)
    before, then, last = (engine_on_day(engine, d) for d in (DAY - timedelta(days=1), DAY, LATER))
    drawn = [arrangement.draw(one).svg for one in (before, then, last)]
    assert [piece_class(svg, "bed") for svg in drawn] == ["missing", "in_place", "in_place"]
    assert [piece_class(svg, "crosshead") for svg in drawn] == ["missing", "missing", "found"]


def test_a_part_in_several_states_is_drawn_in_the_first_that_applies(engine):
    bolts = part_of(engine, 1601)
    make.found(bolts, bolts.quantity - 2)
    svg = arrangement.draw(engine_on_day(engine)).svg
    assert piece_class(svg, "foundation_bolt") == "missing"
    make.job(bolts, pieces=2)
    shown = engine_on_day(engine)
    drawn = arrangement.draw(shown, picked=shown.target("part", bolts.pk))
    assert piece_class(drawn.svg, "foundation_bolt") == "to_be_made"
    assert drawn.picked.note == f"2 of {bolts.quantity}"


def test_a_component_is_ringed_as_the_part_its_leader_ends_on(engine):
    entries.still_on_engine(part_of(engine, 101), 1, day=DAY, by=None)
    lines = {line.target.number: line for line in arrangement.draw(engine_on_day(engine)).lines}
    assert lines[1].state == "in_place"
    assert lines[1].note.startswith("1 of ")
    assert lines[15].state == "missing"
    assert set(lines) == {c.number for c in starter("horizontal_slide_valve").components}


def test_one_state_alone_draws_the_rest_thin_and_grey(engine):
    entries.still_on_engine(part_of(engine, 101), 1, day=DAY, by=None)
    drawn = arrangement.draw(engine_on_day(engine), state="in_place")
    assert piece_class(drawn.svg, "bed") == "in_place"
    assert piece_class(drawn.svg, "crosshead") == "untied"
    assert [line.target.number for line in drawn.lines] == [1]


def test_what_the_record_has_no_component_for_is_not_drawn(engine):
    pump = engine.components.get(name__icontains="pump")
    assert 'data-piece="pump"' in arrangement.draw(engine_on_day(engine)).svg
    for part in pump.parts.all():
        saving.remove(part, by=None)
    saving.remove(pump, by=None)
    assert 'data-piece="pump"' not in arrangement.draw(engine_on_day(engine)).svg


def test_a_lead_ties_a_piece_to_another_part_or_to_none(engine):
    cover = part_of(engine, 402)
    entries.still_on_engine(cover, 1, day=DAY, by=None)
    drawings_actions.tie_piece(engine, "casing", part=cover, by=None)
    drawings_actions.tie_piece(engine, "handwheel", by=None)
    svg = arrangement.draw(engine_on_day(engine)).svg
    assert piece_class(svg, "casing") == "in_place"
    assert 'data-piece="handwheel"' not in svg
    drawings_actions.tie_piece(engine, "casing", component=cover.component, by=None)
    drawings_actions.untie_piece(engine, "handwheel", by=None)
    lines, _ = arrangement.pieces_of(engine_on_day(engine))
    told = {line.key: line for line in lines}
    assert told["casing"].choice == f"component-{cover.component_id}"
    assert told["casing"].by_lead
    assert (told["handwheel"].by_lead, told["handwheel"].now.name) == (False, "Handwheel")


def test_a_tie_to_a_part_that_was_removed_counts_no_more(engine):
    cover = part_of(engine, 402)
    drawings_actions.tie_piece(engine, "bed", part=cover, by=None)
    saving.remove(cover, by=None)
    assert 'data-piece="bed"' in arrangement.draw(engine_on_day(engine)).svg


def test_dimensions_come_from_the_record_and_what_cannot_be_is_said(engine):
    EngineSize.objects.create(
        engine=engine, name="flywheel", written="7 ft", unit="ft", value_mm=2133.6
    )
    drawn = arrangement.draw(engine_on_day(engine))
    assert "7 ft dia." in drawn.svg
    assert drawn.sentences == ()
    EngineSize.objects.create(
        engine=engine, name="stroke", written="18 ft", unit="ft", value_mm=5486.4
    )
    assert "does not go on the bed" in arrangement.draw(engine_on_day(engine)).sentences[0]


def test_the_zone_of_a_part_is_where_the_drawing_shows_it_when_picked(engine):
    for item in (101, 1001, 1501, 703):
        part = part_of(engine, item)
        stood = engine_on_day(engine)
        shown = arrangement.draw(stood, picked=stood.target("part", part.pk)).picked
        zone = arrangement.zone_of(outline(engine, part.component), part.pk)
        assert zone == shown.zone
        assert zone[0] in "ABCDE"
        assert zone[1] in "12345678"
    own = make.part(engine, name="Toolbox", component=part.component)
    assert arrangement.zone_of(outline(engine, own.component), own.pk) == ""


@pytest.mark.parametrize("kind", KINDS)
def test_each_kind_is_drawn_with_its_components_from_the_record(kind):
    engine = begun(kind)
    drawn = arrangement.draw(engine_on_day(engine))
    assert len(drawn.lines) >= 10
    assert len(drawn.svg) < 150_000
    whole = arrangement.draw(engine_on_day(engine), balloons="parts")
    assert len(whole.lines) >= 40
    assert len(whole.svg) < 150_000


def test_the_days_are_the_first_the_reports_and_today(engine):
    make.found(part_of(engine, 1001), 1, day=LATER)
    make.found(part_of(engine, 101), 1, day=DAY)
    last = LATER + timedelta(days=9)
    saving.add(
        Report(engine=engine, number=1, title="R", first_day=DAY, last_day=last, page=""), by=None
    )
    today = last + timedelta(days=1)
    assert [one.day for one in days_of(engine, today)] == [DAY, last, today]
    assert days_of(engine, today)[-1].word == "Today"


def test_the_balloons_of_a_sheet_tell_how_their_parts_stand(engine):
    bed, wheel = part_of(engine, 101), engine.components.get(number=15)
    sheet = make.drawing(engine)
    make.balloon(sheet, bed, 0.25, 0.5)
    make.balloon(sheet, wheel, 1.0, 0.0)
    entries.still_on_engine(bed, 1, day=LATER, by=None)
    marks = {mark.target.number: mark for mark in marks_of(sheet)}
    assert marks[101].target.counts.drawn == "in_place"
    assert (marks[101].across, marks[101].down) == ("25.0", "50.0")
    assert marks[15].target.counts == dict(engine_on_day(engine).components)[wheel]
    assert marks_of(sheet, DAY)[-1].target.counts.drawn == "missing"
    saving.remove(bed, by=None)
    assert [mark.target.number for mark in marks_of(sheet)] == [15]


def test_it_is_read_in_few_queries_whatever_the_size(engine, django_assert_num_queries):
    with django_assert_num_queries(5):
        engine_on_day(engine)
    for _ in range(50):
        make.part(engine, component=engine.components.first())
    with django_assert_num_queries(5):
        arrangement.draw(engine_on_day(engine), balloons="parts")
