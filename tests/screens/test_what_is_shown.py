"""A mark in every column: each role, and whoever holds a reading link, sees what is theirs to see.

Every column of words that is not open is filled with a mark of its own, in every row. Then every
address is opened and every link followed. A column that is added later is marked and looked for
without anybody naming it here.
"""

from datetime import timedelta

import pytest
from django.apps import apps
from django.db import models
from django.urls import reverse

from parts.record.models import column
from parts.record.models.column import Kind
from parts.reports import issuing
from parts.reports.queries.report import Details
from tests import make
from tests.crawl import Crawl
from tests.screens.test_who_may import BY_SECRET, TABLE, World, addresses

pytestmark = pytest.mark.django_db
# Words of these the sums read as keys or measures: a mark would be no value of theirs.
READ_BY_SUMS = ("metal", "fuel", "scrap_key")


def marked_columns(*kinds: Kind) -> list[models.Field]:
    """Columns of words that were declared as one of the kinds."""
    return [
        field
        for model in apps.get_app_config("parts").get_models()
        for field in model._meta.local_concrete_fields
        if column.kind_of(field) in kinds
        and isinstance(field, models.CharField | models.TextField)
        and not field.choices
        and not field.name.endswith(("_written", "_unit", "written", "unit"))
        and field.name not in READ_BY_SUMS
    ]


def mark_of(field) -> str:
    # Short enough for the narrowest of the columns.
    return f"q{field.model._meta.model_name[:5]}{field.name[:6]}{field.creation_counter}z"


def set_marks(*kinds: Kind) -> dict[str, str]:
    """Write its mark into every row of every column of the kinds: mark and column."""
    marks = {}
    for field in marked_columns(*kinds):
        mark = mark_of(field)[: field.max_length]
        if field.model._base_manager.update(**{field.name: mark}):
            marks[mark] = f"{field.model.__name__}.{field.name}"
    return marks


def shown(client, world, role: str, marks: dict[str, str], papers: int = 2) -> set[str]:
    """The marked columns that a role is shown anywhere. No link may lead where it may not go."""
    client.force_login(world.people[role])
    names = [n for n in addresses() if n not in BY_SECRET and TABLE[n][0]]
    starts = [world.address(name, addresses()[name]) for name in names]
    told = Crawl(client, starts, papers=papers)
    assert len(told.served) > 60
    assert told.refused == []
    return {column_name for mark, column_name in marks.items() if told.where(mark)}


@pytest.fixture
def world():
    world = World()
    # No row that somebody passed for all to see.
    world.engine.photos.update(may_go_out=False)
    world.engine.ownerships.update(right="ground")
    return world


def test_a_reader_is_shown_no_place_and_nothing_personal_of_others(world, client):
    marks = set_marks(Kind.PLACE, Kind.PERSONAL)
    assert len(marks) > 30
    assert shown(client, world, "reader", marks, papers=1) == set()


def test_a_report_tells_no_place_and_nothing_personal_whoever_draws_it_up(world):
    marks = set_marks(Kind.PLACE, Kind.PERSONAL)
    days = (make.FIRST_DAY, make.FIRST_DAY + timedelta(days=300))
    draft = issuing.draw_up(world.engine, Details(2, "R", *days), [world.photo])
    page = draft.page + "".join(draft.tables.values())
    assert len(page) > 5000
    assert [column_name for mark, column_name in marks.items() if mark in page] == []


def test_the_admin_shows_all_to_whoever_runs_the_machine(world, client):
    type(world.find).objects.update(where_found="Square D3")
    client.force_login(make.user(is_staff=True, is_superuser=True))
    page = client.get(reverse("admin:parts_find_change", args=[world.find.pk]))
    assert "Square D3" in page.content.decode()


@pytest.mark.long
def test_a_reader_is_shown_places_where_the_engine_allows_it(world, client):
    type(world.engine).objects.update(readers_see_places=True)
    places, personal = set_marks(Kind.PLACE), set_marks(Kind.PERSONAL)
    told = shown(client, world, "reader", places | personal)
    assert told >= {"Find.where_found", "Find.kept_at", "HoursGiven.note", "MetalLot.kept_at"}
    assert not told & set(personal.values())


@pytest.mark.long
def test_a_helper_is_shown_places_and_nothing_personal_of_others(world, client):
    places, personal = set_marks(Kind.PLACE), set_marks(Kind.PERSONAL)
    told = shown(client, world, "helper", places | personal)
    assert told >= {"Find.where_found", "DiaryEntry.done", "ConditionNote.seen", "Photo.caption"}
    assert not told & set(personal.values())


@pytest.mark.long
def test_a_lead_is_shown_all(world, client):
    places, personal = set_marks(Kind.PLACE), set_marks(Kind.PERSONAL)
    told = shown(client, world, "lead", places | personal)
    # No page shows these yet.
    assert set(places.values()) - told <= {"BarMove.reason", "CutPlan.note"}
    assert told >= set(personal.values())
