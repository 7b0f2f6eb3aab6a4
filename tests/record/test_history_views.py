"""The history in words, removing rows and bringing them back."""

from datetime import date

import pytest
from django.apps import apps
from django.db import models

from parts.care.models import ConditionNote, Measurement
from parts.engine.models import Ownership
from parts.people.models import HoursGiven
from parts.record.actions import entries, saving
from parts.record.models import Change, DiaryEntry, Find, Part, PieceEntry
from parts.record.queries.history import NOT_TYPED, lines_of
from tests import make
from tests.screens.asking import at, text

pytestmark = pytest.mark.django_db


@pytest.fixture
def engine():
    return make.engine(name="Mill engine")


@pytest.fixture
def rod(engine):
    return make.part(engine, item=11, name="Connecting rod")


@pytest.fixture
def as_role(engine, client):
    def login(role, name=""):
        person = make.member(engine, role, name)
        client.force_login(person)
        return person

    return login


def measured(part, by=None, **more):
    values = {"what": "Bore", "written": "1 in", "unit": "in", "value": 25.4} | more
    row = Measurement(engine=part.engine, part=part, day=date(2026, 3, 1), **values)
    return saving.add(row, by=by)


def test_a_change_is_told_with_who_when_and_from_what_to_what(client, as_role, engine, rod):
    ada = as_role("lead", "ada")
    bed = make.component(engine, number=9, name="Bed")
    values = {"material": "steel", "component": bed, "fastener": True, "note": "Bent."}
    saving.change(rod, values, seen=1, by=ada, reason="Filed and looked at")
    page = client.get(at("part_history", engine, rod.pk))
    line = page.context["lines"][0][0]
    told = {d.label: (d.before, d.after) for d in line.differences}
    assert told["material"] == ("Cast iron", "Steel")
    assert told["component"][1] == "9 Bed"
    assert told["fastener"] == ("no", "yes")
    assert told["note"] == ("", "Bent.")
    for words in ("Ada", "Cast iron", "Steel", "nothing", "Bent.", "Filed and looked at"):
        assert words in text(page)


def test_figures_reckoned_from_what_was_written_and_secrets_are_not_told(
    client, as_role, engine, rod
):
    lead = as_role("lead")
    measured(rod, by=lead)
    line = client.get(at("history", engine)).context["lines"][0][0]
    assert {d.label for d in line.differences} >= {"what", "written", "day"}
    assert not {d.label for d in line.differences} & {"unit", "value", "engine"}


def test_every_column_that_is_typed_is_shown_when_it_changes():
    wrong = []
    for model in apps.get_app_config("parts").get_models():
        for field in model._meta.concrete_fields:
            if field.is_relation or field.name in NOT_TYPED:
                continue
            before, after = two_values(field)
            kind = model._meta.model_name
            change = Change(
                kind=kind, row=1, before={field.name: before}, after={field.name: after}
            )
            (line,) = lines_of([change])
            if field.editable != bool(line.differences):
                wrong.append(f"{kind}.{field.name}")
    assert not wrong


def two_values(field) -> tuple:
    """Two values of a column as the history keeps them."""
    if isinstance(field, models.DateField):
        day = "2026-03-0{}T10:00" if isinstance(field, models.DateTimeField) else "2026-03-0{}"
        return day.format(1), day.format(2)
    if isinstance(field, models.JSONField):
        return {"Cu": 88}, {"Cu": 90}
    return (False, True) if isinstance(field, models.BooleanField) else (20, 35)


def test_a_crucible_that_was_given_another_rating_shows_both(client, as_role, engine):
    as_role("lead")
    pot = make.crucible(engine, carries_kg=20)
    saving.change(pot, {"carries_kg": 35.0}, seen=1, by=None)
    (line, _), *_ = client.get(at("history", engine)).context["lines"]
    assert [(d.label, d.before, d.after) for d in line.differences] == [("carries kg", "20", "35")]


def test_the_history_names_rows_to_readers_without_what_they_may_not_see(client, as_role, engine):
    hours = HoursGiven(engine=engine, person="Ada Miller", day="2026-03-01", hours=2, work="site")
    saving.add(hours, by=None, reason="Typed from the book in the barn")
    as_role("reader")
    page = text(client.get(at("history", engine)))
    assert "Somebody, 2" in page
    assert "Ada Miller" not in page
    assert "barn" not in page
    as_role("lead")
    page = text(client.get(at("history", engine)))
    assert "Ada Miller" in page
    assert "barn" in page


def test_the_history_can_be_narrowed_by_kind_and_by_person(client, as_role, engine, rod):
    ada = as_role("lead", "ada")
    ben = make.member(engine, "helper", "ben")
    measured(rod, by=ada)
    saving.add(
        ConditionNote(engine=engine, part=rod, day="2026-03-01", condition_class=1, seen="Rust"),
        by=ben,
    )

    def kinds(**query):
        page = client.get(at("history", engine, **query))
        return [line.change.kind for line, _ in page.context["lines"]]

    assert kinds() == ["conditionnote", "measurement"]
    assert kinds(kind="measurement") == ["measurement"]
    assert kinds(person="Ben") == ["conditionnote"]
    assert kinds(person="Ben", kind="measurement") == []
    assert len(kinds(kind="nonsense")) == 2


def test_the_history_takes_as_many_queries_at_fifty_lines_as_at_a_hundred(
    client, as_role, engine, rod, django_assert_num_queries, django_assert_max_num_queries
):
    lead = as_role("lead")

    def fill(n):
        for _ in range(n):
            row = measured(rod, by=lead)
            saving.change(row, {"what": "Small bore"}, seen=1, by=lead)
            saving.remove(row, by=lead)

    fill(17)
    client.get(at("history", engine))
    with django_assert_max_num_queries(15) as few:
        client.get(at("history", engine))
    fill(17)
    with django_assert_num_queries(len(few)):
        page = client.get(at("history", engine))
    assert len(page.context["lines"]) == 100
    assert "Page 1 of 2" in text(page)


# ---- Removing and bringing back ----


def remove(client, row, reason="Typed twice", bring_back=False):
    name = "row_bring_back" if bring_back else "row_remove"
    address = at(name, row.engine, row._meta.model_name, row.pk)
    return client.post(address, {"reason": reason})


def test_a_row_is_removed_with_a_reason_and_brought_back_from_the_history(
    client, as_role, engine, rod
):
    lead = as_role("lead")
    row = measured(rod, by=lead)
    page = client.get(at("row_remove", engine, "measurement", row.pk))
    assert "can be brought back" in text(page)
    assert Measurement.objects.exists()
    assert "Say why" in text(remove(client, row, reason=""))
    answer = remove(client, row)
    assert answer["Location"] == rod.get_absolute_url()
    assert not Measurement.objects.exists()
    history = text(client.get(at("part_history", engine, rod.pk)))
    back = at("row_bring_back", engine, "measurement", row.pk)
    assert history.count(back) == 1
    assert "Typed twice" in history
    assert client.post(back, {"reason": ""}).status_code == 302
    assert Measurement.objects.get() == row
    assert back not in text(client.get(at("part_history", engine, rod.pk)))


def test_helpers_remove_their_own_rows_and_no_one_else_s(client, as_role, engine, rod):
    helper = as_role("helper")
    own, other = measured(rod, by=helper), measured(rod, by=make.member(engine, "helper"))
    assert remove(client, other).status_code == 403
    assert remove(client, own).status_code == 302
    assert list(Measurement.objects.all()) == [other]
    assert remove(client, own, bring_back=True).status_code == 302
    assert Measurement.objects.count() == 2


def test_what_leads_decided_or_wrote_is_not_a_helper_s_to_remove(client, as_role, engine, rod):
    helper = as_role("helper")
    make.found(rod, by=helper)
    verdict = entries.condemn(rod, 1, day=make.FIRST_DAY, by=helper, reason="Cracked")
    owner = saving.add(Ownership(engine=engine, who="A farmer", since=make.FIRST_DAY), by=helper)
    for row in (verdict, owner, rod):
        assert remove(client, row).status_code == 403
    as_role("lead")
    assert remove(client, verdict, reason="Meant the other rod").status_code == 302
    assert not PieceEntry.objects.filter(kind="beyond_repair").exists()


def test_a_entry_on_which_another_rests_cannot_be_taken_out(client, as_role, engine, rod):
    as_role("lead")
    make.found(rod)
    entries.place(rod, 1, day=make.FIRST_DAY, by=None)
    identified = PieceEntry.objects.get(kind="identified")
    page = remove(client, identified)
    assert page.status_code == 200
    assert "cannot stand on the engine" in text(page)
    assert PieceEntry.objects.count() == 2


def test_a_part_that_has_finds_cannot_be_removed_and_says_why(client, as_role, engine, rod):
    as_role("lead")
    make.found(rod)
    assert "This part has finds" in text(remove(client, rod))
    assert Part.objects.filter(pk=rod.pk).exists()


def test_a_part_whose_number_was_taken_meanwhile_does_not_come_back(client, as_role, engine, rod):
    as_role("lead")
    assert remove(client, rod).status_code == 302
    make.part(engine, item=11, name="Another")
    page = remove(client, rod, bring_back=True)
    assert "Another part has this item number" in text(page)
    assert not Part.objects.filter(pk=rod.pk).exists()


def test_a_part_comes_back_only_after_its_component(client, as_role, engine):
    as_role("lead")
    bed = make.component(engine, name="Bed")
    cap = make.part(engine, component=bed)
    assert "still has parts" in text(remove(client, bed))
    remove(client, cap)
    remove(client, bed)
    assert "Restore" in text(remove(client, cap, bring_back=True))
    remove(client, bed, bring_back=True)
    remove(client, cap, bring_back=True)
    assert Part.objects.filter(pk=cap.pk).exists()


def test_rows_of_another_engine_and_of_no_kind_are_not_found(client, as_role, engine):
    as_role("lead")
    other = measured(make.part(make.engine()))
    for kind, pk in (("measurement", other.pk), ("user", 1), ("change", 1)):
        assert client.get(at("row_remove", engine, kind, pk)).status_code == 404
        assert client.get(at("row_bring_back", engine, kind, pk)).status_code == 404
    assert Measurement.objects.filter(pk=other.pk).exists()


def test_a_removed_find_goes_back_to_the_history_and_returns(client, as_role, engine):
    as_role("lead")
    find = make.find(engine)
    answer = remove(client, find)
    assert answer["Location"] == at("history", engine)
    remove(client, find, bring_back=True)
    assert Find.objects.filter(pk=find.pk).exists()


def test_the_diary_and_places_are_not_told_in_the_history_that_readers_see(client, as_role, engine):
    saving.add(DiaryEntry(engine=engine, day="2026-03-01", done="Dug square D3"), by=None)
    find = make.find(engine, kept_at="Loft")
    saving.change(find, {"kept_at": "Barn", "looks_like": "lever"}, seen=1, by=None)
    saving.change(engine, {"place": "Behind the chapel"}, seen=1, by=None)
    address = at("history", engine)
    secrets = ("Dug square D3", "Loft", "Barn", "Behind the chapel")
    as_role("reader")
    page = text(client.get(address))
    assert "lever" in page
    assert not [secret for secret in secrets if secret in page]
    as_role("helper")
    page = text(client.get(address))
    assert [secret for secret in secrets if secret in page] == list(secrets)
