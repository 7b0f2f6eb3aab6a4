"""The demonstration's sheet with balloons, and what the pieces of its elevation are."""

import pytest

from parts.demo import story
from parts.demo import workshop_drawings as demo
from parts.drawings.models import Balloon, Drawing, Tie
from parts.drawings.queries import engine_on_day, marks_of
from parts.drawings.sheets import arrangement
from parts.photos.actions import photos
from parts.record.models import Change
from tests import make

pytestmark = pytest.mark.django_db


@pytest.fixture
def engine():
    engine = make.engine(kind="horizontal_slide_valve")
    components = {
        row["number"]: make.component(engine, number=int(row["number"]), name=row["name"])
        for row in story.read("harrow_gap", "components")
    }
    for row in story.read("harrow_gap", "parts"):
        make.part(
            engine,
            int(row["quantity"]),
            item=int(row["item"]),
            name=row["name"],
            component=components[row["component"]],
        )
    return engine


def test_every_piece_and_balloon_of_the_demonstration_is_there(engine):
    lead = make.member(engine, "lead")
    photos.take_in(engine, make.upload(), by=lead, caption=demo.PICTURE)
    demo.load(engine, {"M. Ellery": lead}, make.FIRST_DAY)
    assert Tie.objects.count() == len(demo.PIECES)
    assert [m.target.number for m in marks_of(Drawing.objects.get())] == sorted(demo.BALLOONS)
    pieces, _ = arrangement.pieces_of(engine_on_day(engine))
    said = {one.key: one.now.number for one in pieces if one.by_lead}
    assert said == demo.PIECES
    assert Change.objects.filter(by=lead, kind__in=["tie", "balloon"]).count() == len(
        demo.PIECES
    ) + len(demo.BALLOONS)


def test_without_its_photograph_there_is_no_sheet(engine):
    demo.load(engine, {"M. Ellery": make.member(engine, "lead")}, make.FIRST_DAY)
    assert not Drawing.objects.exists()
    assert not Balloon.objects.exists()


def test_most_of_the_elevation_is_tied_by_name(engine):
    """The record's components and numbers differ from the list's; names tie what is drawn."""
    pieces, _ = arrangement.pieces_of(engine_on_day(engine))
    drawn = [one for one in pieces if one.now]
    assert len(drawn) > 90
    assert [line.target.number for line in arrangement.draw(engine_on_day(engine)).lines] == list(
        range(1, 17)
    )
