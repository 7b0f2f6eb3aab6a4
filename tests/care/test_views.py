"""Measures, condition notes, repairs and the freeing log, as they are written and mended."""

from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from parts.care.models import ConditionNote, Freeing, Measurement, Repair
from parts.record.actions import entries, saving
from parts.record.models import PieceEntry
from tests import make
from tests.screens.asking import at, stands, text

pytestmark = pytest.mark.django_db


@pytest.fixture
def engine():
    return make.engine(name="Mill engine", length_unit="in", mass_unit="lb")


@pytest.fixture
def rod(engine):
    return make.part(engine, item=11, name="Connecting rod", material="wrought_iron")


def measure(client, part, **more):
    data = {"what": "Big end bore", "quantity": "length", "written": "3 1/2", "day": "2026-03-01"}
    return client.post(at("measurement_new", part.engine, part=part.pk), data | more)


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        # The inch is 25.4 mm and the pound 0.45359237 kg, exactly.
        ({"written": "3 1/2"}, ("3 1/2", "in", 88.9, None)),
        ({"written": '4 7/8"', "plus_or_minus": "1/64"}, ('4 7/8"', "in", 123.825, 25.4 / 64)),
        ({"written": "36.5 mm", "plus_or_minus": "0.1"}, ("36.5 mm", "mm", 36.5, 0.1)),
        ({"written": "36.5 mm", "plus_or_minus": "± 2 thou"}, ("36.5 mm", "mm", 36.5, 0.0508)),
        (
            {"quantity": "mass", "written": "12 lb 6 oz", "plus_or_minus": "1 oz"},
            ("12 lb 6 oz", "lb", 12.375 * 0.45359237, 0.45359237 / 16),
        ),
        (
            {"quantity": "temperature", "written": "212 F", "plus_or_minus": "9"},
            ("212 F", "F", 100.0, 5.0),
        ),
        ({"quantity": "count", "written": "22"}, ("22", "", 22.0, None)),
    ],
)
@pytest.mark.outside("International yard and pound agreement, 1959: 25.4 mm, 0.45359237 kg")
def test_a_measure_is_kept_as_it_was_written_with_its_value(client, as_role, rod, typed, kept):
    person = as_role("helper")
    assert measure(client, rod, **typed).status_code == 302
    row = Measurement.objects.get()
    written, unit, value, sure = kept
    assert (row.written, row.unit, row.made_by) == (written, unit, person)
    assert row.value == pytest.approx(value)
    assert row.plus_or_minus_value == (sure if sure is None else pytest.approx(sure))


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"written": "a thumb"}, "written"),
        ({"written": "-3 in"}, "written"),
        ({"written": "3 in", "plus_or_minus": "a bit"}, "plus_or_minus"),
        ({"quantity": "count", "written": "2.5"}, "written"),
        ({"quantity": "temperature", "written": "red heat"}, "written"),
        ({"what": ""}, "what"),
    ],
)
def test_what_cannot_be_read_is_said_at_its_field_and_stays_typed(
    client, as_role, rod, typed, field
):
    as_role("helper")
    page = measure(client, rod, **typed)
    assert list(page.context["form"].errors) == [field]
    for words in typed.values():
        assert words in text(page)
    assert not Measurement.objects.exists()


def test_the_page_shows_a_measure_as_written_and_in_the_other_unit(client, as_role, rod):
    as_role("helper")
    measure(client, rod, written="4 7/8", nominal="on")
    measure(client, rod, what="Shank", written="124 mm")
    page = client.get(at("part", rod.engine, rod.pk))
    lines = {m.row.what: (m.written, m.other, m.basis) for m in page.context["shown"].measurements}
    assert lines == {
        "Big end bore": ("4 7/8 in", "123.8 mm", "as made"),
        "Shank": ("124 mm", "4.882 in", "as found"),
    }


def test_a_find_is_measured_before_anyone_knows_what_it_is(client, as_role, engine):
    as_role("helper")
    find = make.find(engine)
    data = {"what": "Stem", "quantity": "length", "written": "7/8", "day": "2026-03-01"}
    client.post(at("measurement_new", engine, find=find.pk), data)
    assert Measurement.objects.get().find == find
    page = text(client.get(find.get_absolute_url()))
    assert "Stem" in page
    assert "22.2 mm" in page


# ---- Condition ----


def note_data(**more):
    data = {
        "condition_class": 2,
        "seen": "Scale all over.",
        "urgency": 1,
        "recommendation": "Wire and citric.",
        "day": "2026-03-01",
        "who": "N. Hollis",
    }
    return data | more


def test_a_condition_note_stands_newest_first_with_its_class(client, as_role, engine, rod):
    as_role("helper")
    address = at("note_new", engine, part=rod.pk)
    client.post(address, note_data())
    client.post(address, note_data(condition_class=0, seen="Clean, sound.", day="2026-05-01"))
    notes = client.get(at("part", engine, rod.pk)).context["shown"].notes
    assert [(n.condition_class, n.seen) for n in notes] == [
        (0, "Clean, sound."),
        (2, "Scale all over."),
    ]


def test_a_note_needs_its_class_words_and_a_day_that_has_come(client, as_role, engine, rod):
    as_role("helper")
    tomorrow = (timezone.localdate() + timedelta(days=1)).isoformat()
    page = client.post(
        at("note_new", engine, part=rod.pk), note_data(condition_class="", seen="", day=tomorrow)
    )
    assert set(page.context["form"].errors) == {"condition_class", "seen", "day"}
    assert "Wire and citric." in text(page)


def test_the_form_says_what_the_classes_mean_and_that_looks_do_not_pass_soft_iron(
    client, as_role, engine, rod
):
    as_role("helper")
    page = text(client.get(at("note_new", engine, part=rod.pk)))
    assert "borrowed from EN 16096" in page
    assert "not fit for use as it is" in page
    assert "soft under its skin" not in page
    iron = make.part(engine, material="cast_iron")
    page = text(client.get(at("note_new", engine, part=iron.pk)))
    assert "soft under its skin" in page
    assert "Looks never pass it" in page


def test_a_note_of_a_find_that_is_one_part_is_a_note_of_that_part_too(client, as_role, engine, rod):
    as_role("helper")
    find = make.found(rod)
    client.post(at("note_new", engine, find=find.pk), note_data())
    note = ConditionNote.objects.get()
    assert (note.find, note.part) == (find, rod)
    lone = make.find(engine)
    client.post(at("note_new", engine, find=lone.pk), note_data())
    assert ConditionNote.objects.get(find=lone).part is None


def test_two_helpers_who_mend_one_note_lose_nothing(engine, rod):
    note = saving.add(
        ConditionNote(engine=engine, part=rod, day="2026-03-01", condition_class=2, seen="Scale."),
        by=None,
    )
    first, second = Client(), Client()
    for one in (first, second):
        one.force_login(make.member(engine, "lead"))
    address = at("note_edit", engine, note.pk)
    seen = first.get(address).context["form"]["version_seen"].value()
    first.post(address, note_data(seen="Scale, and a crack.", version_seen=seen))
    page = second.post(address, note_data(seen="Scale, pits below.", version_seen=seen))
    assert "Scale, and a crack." in text(page)
    assert "Scale, pits below." in text(page)
    note.refresh_from_db()
    assert note.seen == "Scale, and a crack."
    seen = page.context["form"]["version_seen"].value()
    second.post(address, note_data(seen="Scale, a crack, pits below.", version_seen=seen))
    note.refresh_from_db()
    assert note.seen == "Scale, a crack, pits below."


# ---- Repairs ----


def repair_data(**more):
    data = {"what": "Crack stitched", "day": "2026-03-05", "undone": "partly", "who": "J. T."}
    return data | more


@pytest.fixture
def cracked(engine):
    """Two brackets found, both beyond repair, one of them on the engine."""
    part = make.part(engine, 2, name="Bracket")
    make.found(part, 2)
    entries.place(part, 1, day=make.FIRST_DAY, by=None)
    entries.condemn(part, 1, day=make.FIRST_DAY, by=None, reason="Cracked")
    entries.condemn(part, 1, day=make.FIRST_DAY, by=None, reason="Cracked", on_engine=True)
    return part


def test_a_repair_withdraws_beyond_repair_on_the_day_it_was_done(client, as_role, engine, cracked):
    as_role("lead")
    address = at("repair_new", engine, part=cracked.pk)
    assert client.post(address, repair_data(fit_again=1)).status_code == 302
    assert stands(cracked) == {"found": 1, "beyond_repair": 1}
    entry = PieceEntry.objects.get(pieces__lt=0)
    assert (str(entry.day), entry.kind) == ("2026-03-05", "beyond_repair")
    assert "Crack stitched" in entry.reason
    client.post(address, repair_data(fit_again=1, on_engine="on"))
    assert stands(cracked) == {"in_place": 1, "found": 1}


def test_a_repair_that_frees_more_than_was_beyond_repair_is_refused_whole(
    client, as_role, engine, cracked
):
    as_role("lead")
    page = client.post(at("repair_new", engine, part=cracked.pk), repair_data(fit_again=5))
    assert page.status_code == 200
    assert "Crack stitched" in text(page)
    assert not Repair.objects.exists()
    assert stands(cracked) == {"beyond_repair": 2}


def test_a_helper_writes_a_repair_and_withdraws_no_verdict(client, as_role, engine, cracked):
    as_role("helper")
    page = client.get(at("repair_new", engine, part=cracked.pk))
    assert "fit_again" not in page.context["form"].fields
    client.post(at("repair_new", engine, part=cracked.pk), repair_data(fit_again=2))
    assert Repair.objects.count() == 1
    assert stands(cracked) == {"beyond_repair": 2}


def test_an_old_repair_is_asked_about_with_respect_and_shown_before_new_ones(
    client, as_role, engine, rod
):
    as_role("helper")
    page = text(client.get(at("repair_new", engine, part=rod.pk, old=1)))
    assert "Someone kept this engine at work" in page
    client.post(
        at("repair_new", engine, part=rod.pk, old=1),
        repair_data(what="Brass liner", when="About 1930", tells="Wore quickly", keep="on"),
    )
    client.post(at("repair_new", engine, part=rod.pk), repair_data())
    page = text(client.get(at("part", engine, rod.pk)))
    assert page.index("Brass liner") < page.index("Crack stitched")
    assert "Keep it." in page
    assert "Wore quickly" in page
    old = Repair.objects.get(old=True)
    assert (old.when, old.who) == ("About 1930", "J. T.")


# ---- Freeing ----


def test_the_freeing_form_carries_its_cautions_and_keeps_what_was_tried(
    client, as_role, engine, rod
):
    as_role("helper")
    address = at("freeing_new", engine, part=rod.pk)
    page = text(client.get(address))
    for words in (
        "Find what is held back",
        "No flame near oil, grease, penetrant or a closed space",
        "Cast iron cracks",
        "eye protection",
        "Penetrant fumes",
        "a competent person on the spot decides",
    ):
        assert words in page, words
    client.post(
        address,
        {
            "means": "heat",
            "how": "Warmed the strap",
            "outcome": "moved",
            "seen": "An eighth of a turn",
            "day": "2026-03-01",
        },
    )
    row = Freeing.objects.get()
    assert (row.seen, row.outcome) == ("An eighth of a turn", "moved")
    page = text(client.get(at("part", engine, rod.pk)))
    assert "Moved a little" in page
    assert "An eighth of a turn" in page


# ---- Who may mend ----


@pytest.mark.parametrize(
    ("name", "row"),
    [
        ("measurement", {"what": "Bore", "written": "1 in", "unit": "in", "value": 25.4}),
        ("note", {"condition_class": 1, "seen": "Rust"}),
        ("repair", {"what": "Patch"}),
        ("freeing", {"means": "heat", "how": "Warm", "outcome": "free"}),
    ],
)
def test_helpers_mend_their_own_and_leads_anyone_s(client, as_role, engine, rod, name, row):
    model = {
        "measurement": Measurement,
        "note": ConditionNote,
        "repair": Repair,
        "freeing": Freeing,
    }[name]
    mine, other = as_role("helper"), make.member(engine, "helper")
    own, theirs = (
        saving.add(model(engine=engine, part=rod, day="2026-03-01", **row), by=who)
        for who in (mine, other)
    )
    assert client.get(at(f"{name}_edit", engine, own.pk)).status_code == 200
    assert client.get(at(f"{name}_edit", engine, theirs.pk)).status_code == 403
    assert client.post(at(f"{name}_edit", engine, theirs.pk), {}).status_code == 403
    page = text(client.get(at("part", engine, rod.pk)))
    assert at(f"{name}_edit", engine, own.pk) in page
    assert at(f"{name}_edit", engine, theirs.pk) not in page
    as_role("lead")
    assert client.get(at(f"{name}_edit", engine, theirs.pk)).status_code == 200
    as_role("reader")
    assert client.get(at(f"{name}_edit", engine, own.pk)).status_code == 403
    assert client.get(at(f"{name}_new", engine, part=rod.pk)).status_code == 403


@pytest.mark.parametrize("query", [{}, {"part": "x"}, {"part": 0}, {"find": 999}])
def test_a_new_row_of_nothing_is_not_found(client, as_role, engine, query):
    as_role("helper")
    for name in ("measurement_new", "note_new", "repair_new", "freeing_new"):
        assert client.get(at(name, engine, **query)).status_code == 404
