"""The gear and lifts of the demonstration: two done, one that may be lifted, one that may not."""

from datetime import date, timedelta

import pytest

from parts.demo import workshop_lifts
from parts.lifting.models import Gear, Lift
from parts.lifting.queries.hauling import lorry_loads
from parts.lifting.queries.lifts import lift_sheets, lifts_of
from parts.record.models import Change
from tests import make

pytestmark = pytest.mark.django_db
LAST = date(2026, 11, 24)
# Items of the lifts with masses in kg as the sawmill engine has them: 26, 36, 7 1/4, 5 cwt …
PARTS = {101: 1320.9, 201: 368.3, 401: 50.8, 1201: 274.9, 1202: 241.3, 1401: 28.1, 1501: 1828.9}


@pytest.fixture
def engine():
    engine = make.engine(mass_unit="kg", length_unit="in", ton="long")
    for item, kg in PARTS.items():
        part = make.part(engine, item=item, mass_kg=kg)
        make.found(part)
    workshop_lifts.load(engine, {"M. Ellery": make.member(engine, "lead")}, LAST)
    return engine


def test_the_lifts_stand_as_the_story_says(engine):
    shown = {s.lift.name: s for s in lift_sheets(list(lifts_of(engine)), LAST)}
    assert len(shown) == len(workshop_lifts.LIFTS)
    for name in ("Flywheel out of its pit", "Crankshaft off its bearings"):
        assert shown[name].lift.done_on
        assert not shown[name].refused, shown[name].reasons
    assert not shown["Cylinder on to the bed"].refused
    bed = shown["Bedplate, to clean under it"]
    assert bed.verdict == "Do not lift."
    assert any("Old shed chain ran out" in said for said in bed.reasons)
    # What the crane showed lies between the mass on paper and the most it could be.
    wheel = shown["Flywheel out of its pit"].total
    assert wheel.low - 1 < 1940 < wheel.high


def test_the_gear_is_as_its_tags_say_and_two_pieces_carry_no_mark(engine):
    tons = {gear.name: gear.rated_kg for gear in Gear.objects.filter(engine=engine)}
    assert tons["Old shed chain"] == pytest.approx(2 * 1016.047, abs=0.01)
    assert tons["Sal's truck"] == pytest.approx(30 * 50.802, abs=0.1)
    assert sum(kg is None for kg in tons.values()) == 2


def test_the_trailer_fetches_all_that_was_found(engine):
    trailer = Gear.objects.get(engine=engine, name="Low trailer")
    loads = lorry_loads(engine, trailer, LAST)
    assert not loads.too_heavy
    assert sum(len(trip.pieces) for trip in loads.trips) == len(PARTS)


def test_it_is_written_with_its_history_and_by_the_days_of_the_story(engine):
    assert Change.objects.filter(engine=engine, kind="gear").count() == len(workshop_lifts.GEAR)
    for lift in Lift.objects.filter(engine=engine):
        assert Change.objects.filter(kind="lift", row=lift.pk).exists()
        if lift.done_on:
            assert LAST - timedelta(days=300) < lift.done_on <= LAST
