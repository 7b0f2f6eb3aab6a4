"""Finds and the diary, as people use them."""

import uuid

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from parts.care.models import Measurement
from parts.care.queries import part_of_find
from parts.finds.actions import identify_and_place
from parts.finds.queries import suggest_parts
from parts.overview.queries.overview import overview
from parts.photos.models import Photo
from parts.record.actions import entries
from parts.record.actions.removing import remove
from parts.record.models import Change, DiaryEntry, Find, PieceEntry
from parts.workshop.shapes.queries.shapes import measures_of
from tests import make

pytestmark = pytest.mark.django_db
DAY = make.FIRST_DAY


@pytest.fixture
def engine():
    return make.engine(tag_prefix="HG")


@pytest.fixture
def helper(engine, client):
    person = make.member(engine, "helper", "nell")
    client.force_login(person)
    return person


def form(**fields):
    return {"uid": uuid.uuid4(), "quantity": 1, "material": "cast_iron", "day": "2026-03-01"} | (
        fields
    )


def new(engine):
    return reverse("parts:find_new", args=[engine.pk])


class TestRecordingAFind:
    def test_a_photo_and_one_press_are_enough(self, engine, helper, client):
        answer = client.post(new(engine), form(pictures=make.upload()), follow=True)
        find = Find.objects.get()
        assert find.tag == "HG-0001"
        assert find.photos.count() == 1
        assert "Kept as HG-0001" in answer.content.decode()
        assert Change.objects.get(kind="find").by == helper

    @pytest.mark.parametrize(
        ("field", "text"),
        [
            ("looks_like", "bent lever"),
            ("material", "brass"),
            ("condition_class", 2),
            ("where_found", "Square D3"),
            ("depth_written", "40 cm"),
            ("length_written", "3 in"),
            ("mass_written", "2 lb"),
            ("tag", "7"),
            ("kept_at", "Crate 4"),
            ("odd", "bone"),
            ("note", "Under the wheel"),
        ],
    )
    def test_any_one_field_makes_a_find(self, engine, helper, client, field, text):
        bare = form(material="not_known", found_by="Nell", quantity=3)
        assert "Add a photo or a few words" in client.post(new(engine), bare).content.decode()
        client.post(new(engine), bare | {field: text})
        assert Find.objects.count() == 1

    def test_it_is_given_the_tag_after_the_highest(self, engine, helper, client):
        make.find(engine, tag="HG-0147")
        client.post(new(engine), form())
        assert Find.objects.filter(tag="HG-0148").exists()

    @pytest.mark.parametrize("typed", ["7", "hg7", "HG-0007", "hg 0007"])
    def test_a_tag_is_read_as_people_type_it(self, engine, helper, client, typed):
        client.post(new(engine), form(tag=typed))
        assert Find.objects.get().tag == "HG-0007"

    def test_two_finds_with_one_tag_are_both_kept_and_shown(self, engine, helper, client):
        make.find(engine, tag="HG-0007")
        answer = client.post(new(engine), form(tag="7"), follow=True)
        assert Find.objects.filter(tag="HG-0007").count() == 2
        assert "Another find carries this tag too" in answer.content.decode()

    def test_sent_twice_it_is_kept_once(self, engine, helper, client):
        data = form()
        client.post(new(engine), data)
        client.post(new(engine), data)
        assert Find.objects.count() == 1

    def test_what_was_typed_stays_when_it_is_refused(self, engine, helper, client):
        answer = client.post(
            new(engine), form(looks_like="bent lever", mass_written="heavy", quantity=0)
        )
        page = answer.content.decode()
        assert "bent lever" in page
        assert "heavy" in page
        assert not Find.objects.exists()

    def test_a_photo_waits_with_a_refused_form(self, engine, helper, client):
        data = form(quantity=0, pictures=make.upload())
        page = client.post(new(engine), data).content.decode()
        assert "1 file kept" in page
        client.post(new(engine), form(uid=data["uid"]))
        assert Find.objects.get().photos.count() == 1

    def test_a_bad_photo_refuses_the_find_in_words(self, engine, helper, client):
        bad = make.upload()
        bad.file.truncate(300)
        bad.size = 300
        page = client.post(new(engine), form(pictures=bad)).content.decode()
        assert "cut short or damaged" in page or "not a picture" in page
        assert not Find.objects.exists()
        assert not Photo.objects.exists()

    def test_measures_are_kept_as_written(self, engine, helper, client):
        client.post(new(engine), form(mass_written="3 cwt 2 qr", length_written="1-3/8"))
        find = Find.objects.get()
        assert (find.mass_written, find.length_written, find.length_unit) == (
            "3 cwt 2 qr",
            "1-3/8",
            "in",
        )
        assert find.mass_kg == pytest.approx(392 * 0.45359237)
        assert find.length_mm == pytest.approx(34.925)


class TestWhatItMayBe:
    def test_material_mass_and_words_speak_for_a_part(self, engine):
        rod = make.part(engine, name="Valve spindle", material="steel", mass_kg=4.6)
        make.part(engine, name="Governor ball", material="cast_iron", mass_kg=4.6)
        find = make.find(engine, material="steel", mass_kg=4.5, looks_like="bent spindle")
        best, *_ = suggest_parts(find)
        assert best.part == rod
        assert any("same material" in reason for reason in best.reasons)
        assert any("spindle" in reason for reason in best.reasons)

    def test_a_part_that_is_wholly_found_is_not_suggested(self, engine):
        make.found(make.part(engine, name="Valve spindle", material="steel"))
        assert not suggest_parts(make.find(engine, material="steel"))

    def test_rust_makes_iron_and_steel_alike(self, engine):
        make.part(engine, name="Lever", material="wrought_iron")
        find = make.find(engine, material="steel", looks_like="bent lever")
        assert "under rust" in suggest_parts(find)[0].reasons[0]

    def test_a_material_alone_makes_no_match(self, engine):
        make.part(engine, name="Valve spindle", material="steel", mass_kg=4.6)
        assert not suggest_parts(make.find(engine, material="steel"))

    def test_chips_of_white_metal_are_no_steel_bolt(self, engine):
        make.part(engine, name="Cap bolt", material="steel", mass_kg=0.4, length_mm=90)
        chips = {"material": "white_metal", "looks_like": "chips from a cap bolt", "mass_kg": 0.4}
        assert not suggest_parts(make.find(engine, **chips))
        # Where mass and size both speak for it, the contradiction is shown beside it.
        (match,) = suggest_parts(make.find(engine, **chips, length_mm=91))
        assert match.against == ("the part is steel",)

    def test_it_asks_two_queries_however_many_parts(self, engine, django_assert_num_queries):
        for _ in range(30):
            make.part(engine, name="Steel lever", material="steel")
        find = make.find(engine, looks_like="lever")
        with django_assert_num_queries(2):
            assert len(suggest_parts(find)) == 5


class TestIdentifying:
    def test_from_the_find_to_the_part(self, engine, helper, client):
        part, find = make.part(engine, 2), make.find(engine, 2)
        address = reverse("parts:identify", args=[engine.pk, find.pk])
        answer = client.post(
            address, {"part": part.pk, "pieces": 2, "day": "2026-03-02"}, follow=True
        )
        assert f"{find.tag} is {part}." in answer.content.decode()

    def test_without_script_a_part_is_searched_for_and_picked(self, engine, helper, client):
        make.part(engine, name="Valve spindle")
        part, find = make.part(engine, name="Crosshead gib"), make.find(engine)
        address = reverse("parts:identify", args=[engine.pk, find.pk])
        for text in ("gib", str(part.item)):
            page = client.get(address, {"q": text})
            assert [row.pk for row in page.context["matches"]] == [part.pk]
            assert f"?part={part.pk}" in page.content.decode()
        page = client.get(address, {"part": part.pk})
        assert page.context["part"] == part
        assert f'name="part" value="{part.pk}"' in page.content.decode()

    @pytest.mark.parametrize("wrong", ["", "x", "0", "99999999", "-1", "9" * 40])
    def test_without_a_part_of_the_engine_it_is_refused_in_words(
        self, engine, helper, client, wrong
    ):
        find = make.find(engine)
        address = reverse("parts:identify", args=[engine.pk, find.pk])
        page = client.post(address, {"part": wrong, "pieces": 1, "day": "2026-03-02"})
        assert "part" in page.context["form"].errors
        assert client.get(address, {"part": wrong}).context["part"] is None

    def test_too_many_are_refused_and_the_form_keeps_them(self, engine, helper, client):
        part, find = make.part(engine, 4), make.find(engine, 2)
        address = reverse("parts:identify", args=[engine.pk, find.pk])
        page = client.post(address, {"part": part.pk, "pieces": 3, "day": "2026-03-02"})
        assert "is 2 pieces; 3 would be identified" in page.content.decode()
        assert 'value="3"' in page.content.decode()

    def test_a_helper_takes_back_only_what_they_said(self, engine, helper, client):
        part, find = make.part(engine), make.find(engine)
        entries.identify(find, part, 1, day=DAY, by=make.member(engine, "lead"))
        address = reverse("parts:take_back", args=[engine.pk, find.pk, part.pk])
        data = {"pieces": 1, "day": "2026-03-02", "reason": "too short"}
        assert client.post(address, data).status_code == 403


class TestPlaces:
    """Readers see the record, but not where things lay or are kept."""

    WORDS = ("square D3", "the blue shed")

    @pytest.mark.parametrize(("role", "sees"), [("lead", True), ("reader", False)])
    def test_where_it_lay_and_is_kept(self, engine, client, role, sees):
        client.force_login(make.member(engine, role))
        find = make.find(engine, where_found=self.WORDS[0], kept_at=self.WORDS[1])
        addresses = [find.get_absolute_url(), reverse("parts:site", args=[engine.pk])]
        pages = "".join(client.get(address).content.decode() for address in addresses)
        assert (self.WORDS[0] in pages) == sees
        assert (self.WORDS[1] in pages) == sees

    def test_unless_the_lead_allows_it(self, engine, client):
        engine.readers_see_places = True
        engine.save()
        client.force_login(make.member(engine, "reader"))
        find = make.find(engine, where_found=self.WORDS[0])
        assert self.WORDS[0] in client.get(find.get_absolute_url()).content.decode()


def test_bone_brings_the_word_of_the_law(engine, helper, client):
    find = make.find(engine, odd="bone")
    assert "tell the police" in client.get(find.get_absolute_url()).content.decode()


@pytest.mark.parametrize("name", ["site", "diary", "photos", "hours", "people", "owners", "plans"])
def test_a_list_takes_the_same_queries_however_long(engine, helper, client, name):
    def grow(n):
        part = make.part(engine)
        for _ in range(n):
            make.found(part, by=helper)
            DiaryEntry.objects.create(engine=engine, day=DAY, done="dug")

    address = reverse(f"parts:{name}", args=[engine.pk])
    grow(2)
    client.get(address)
    with CaptureQueriesContext(connection) as few:
        client.get(address)
    grow(30)
    with CaptureQueriesContext(connection) as many:
        assert client.get(address).status_code == 200
    assert len(many) == len(few)


class TestWhatFindsAre:
    """Counted from the entries, however many there are and whatever was taken back."""

    @pytest.fixture
    def people(self, engine, client):
        lead = make.member(engine, "lead")
        client.force_login(lead)
        return lead

    @staticmethod
    def page(client, find):
        return client.get(find.get_absolute_url()).context

    def test_other_entries_of_the_part_and_the_find_do_not_multiply(self, engine, people, client):
        part, find = make.part(engine, 6), make.find(engine, 2)
        identify_and_place(find, part, 1, placed=True, day=DAY, by=people)
        entries.identify(find, part, 1, day=DAY, by=people)
        make.found(part, 3)
        make.job(part, pieces=1)
        told = self.page(client, find)
        assert [(k.part, k.pieces) for k in told["known"]] == [(part, 2)]
        assert told["left"] == 0

    def test_a_find_identified_in_part_is_still_to_identify(self, engine, people, client):
        part, some = make.part(engine, 5), make.find(engine, 3, tag="SOME")
        entries.identify(some, part, 1, day=DAY, by=people)
        make.found(part, 2)
        make.find(engine, tag="ODD", odd="bone")
        back = make.found(part)
        entries.take_back(back, part, 1, day=DAY, reason="too short", by=people)
        removed = make.found(part)
        remove(PieceEntry.objects.get(find=removed), by=people, reason="typed by mistake")
        waiting = client.get(reverse("parts:site", args=[engine.pk]), {"shown": "waiting"}).context
        assert {(line.find, line.left) for line in waiting["page"]} == {
            (some, 2),
            (back, 1),
            (removed, 1),
        }
        assert waiting["counts"].to_identify == 3
        assert overview(engine, DAY).to_identify == 3

    def test_the_list_tells_only_what_a_find_is_now(self, engine, people, client):
        other, part, find = make.part(engine), make.part(engine, 2), make.find(engine, 2)
        entries.identify(find, other, 1, day=DAY, by=people)
        entries.take_back(find, other, 1, day=DAY, reason="too short", by=people)
        for _ in range(2):
            entries.identify(find, part, 1, day=DAY, by=people)
        line = client.get(reverse("parts:site", args=[engine.pk])).context["page"][0]
        assert [(k.part, k.pieces) for k in line.identifications] == [(part, 2)]

    def test_what_was_taken_back_brings_its_measures_to_no_part(self, engine, people):
        other, part, find = make.part(engine), make.part(engine), make.find(engine)
        entries.identify(find, other, 1, day=DAY, by=people)
        entries.take_back(find, other, 1, day=DAY, reason="too short", by=people)
        entries.identify(find, part, 1, day=DAY, by=people)
        size = make.measurement(part, 20.0)
        Measurement.objects.filter(pk=size.pk).update(part=None, find=find)
        assert measures_of(part) == [size]
        assert measures_of(other) == []
        assert part_of_find(find) == part
