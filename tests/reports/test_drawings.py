"""The funders' report shows the engine at the start and at the end, as it was counted then."""

import re
from datetime import timedelta

import pytest

from parts.record.actions import entries
from parts.reports import issuing
from parts.reports.queries.report import Details
from tests import make

pytestmark = pytest.mark.django_db
FIRST = make.FIRST_DAY
LAST = FIRST + timedelta(days=60)


def body_of(engine):
    return issuing.draw_up(engine, Details(1, "Report 1", FIRST, LAST), today=LAST).page


def test_two_drawings_stand_side_by_side_each_of_its_day():
    engine = make.engine(kind="vertical")
    lead = make.member(engine, "lead")
    component = make.component(engine, number=1, name="Flywheel")
    wheel = make.part(engine, item=101, name="Flywheel", component=component)
    entries.still_on_engine(wheel, 1, day=FIRST + timedelta(days=3), by=lead)
    body = body_of(engine)
    place = body.split('class="drawings"')[1].split('class="key"')[0]
    start, end = place.split("<figcaption>")[0], place.split("</figure>")[1]
    assert "At the start, 10 January 2026" in place
    assert "At the end, 11 March 2026" in place
    assert "piece s-missing" in start
    assert "piece s-in_place" not in start
    assert "piece s-in_place" in end
    # A picture, without balloons or anything to press.
    assert "<a " not in place
    assert len(re.findall('role="img"', place)) == 2
    assert len(body) < 250_000


def test_a_kind_without_elevation_has_no_drawings_in_its_report():
    engine = make.engine(kind="other")
    make.part(engine)
    assert 'class="drawings"' not in body_of(engine)
