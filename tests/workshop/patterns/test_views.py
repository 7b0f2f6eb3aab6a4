"""Pattern sheet and bearing sheet: pages, forms and paper."""

import pytest

from parts.workshop.bearings.models import Bearing
from parts.workshop.patterns.models import PatternFace
from parts.workshop.patterns.queries import pattern as patterns
from tests import make
from tests.screens.asking import at

pytestmark = pytest.mark.django_db


@pytest.fixture
def engine():
    return make.engine(speed_rpm=120)


TAKEN = {"measured_on": str(make.FIRST_DAY)}


def test_a_size_goes_from_the_form_to_the_pattern(client, engine, as_role):
    as_role("helper")
    part = make.part(engine, name="Cover")
    sent = TAKEN | {
        "called": "Length over the flanges",
        "size_finished": "444.5 mm",
        "kind": "boss",
        "allowance_written": "3 mm",
        "contraction_percent": "1",
        "draft_deg": "0",
    }
    answer = client.post(at("face_new", engine, part.pk), sent)
    assert answer.url == at("pattern", engine, part.pk)
    face = PatternFace.objects.get()
    assert (face.measurement.value, face.allowance_mm) == (444.5, 3)
    assert face.measurement.what == "Length over the flanges"
    page = client.get(answer.url + "?units=metric").content.decode()
    assert "455 mm" in page
    assert "Ask the founder before the pattern is cut." in page
    inches = client.get(answer.url + "?units=customary").content.decode()
    assert "17.914" in inches or "17.91" in inches
    # The same size again is refused in words.
    again = sent | {"size_finished": "", "pick_finished": face.measurement.pk}
    page = client.post(at("face_new", engine, part.pk), again).content.decode()
    assert "stands on the pattern sheet already" in page
    # And changed.
    change = sent | {"size_finished": "", "pick_finished": face.measurement.pk, "kind": "rough"}
    client.post(at("face_edit", engine, face.pk), change | {"seen": 1})
    face.refresh_from_db()
    assert face.kind == "rough"


FACE = TAKEN | {"called": "Bore", "size_finished": "60 mm", "kind": "bore"}


def test_a_size_of_the_pattern_is_called_what_it_is(client, engine, as_role):
    as_role("helper")
    part = make.part(engine, material="bronze")
    page = client.post(at("face_new", engine, part.pk), FACE | {"called": " "}).content.decode()
    assert "Say what this size is" in page
    assert not PatternFace.objects.exists()
    client.post(at("face_new", engine, part.pk), FACE)
    client.post(
        at("face_new", engine, part.pk),
        FACE | {"called": "Width over the lugs", "size_finished": "140 mm", "kind": "rough"},
    )
    page = client.get(at("pattern", engine, part.pk)).content.decode()
    assert "Bore" in page
    assert "Width over the lugs" in page
    assert "Finished size" not in page


@pytest.mark.parametrize(
    ("fields", "pattern", "bearing"),
    [
        ({"usual_route": "cast", "material": "bronze"}, True, True),
        ({"usual_route": "buy", "material": "steel", "fastener": True}, False, False),
        ({"usual_route": "buy", "material": "cast_iron"}, False, False),
        ({"usual_route": "machine", "material": "steel"}, False, False),
        ({"usual_route": "machine", "material": "bronze"}, False, True),
    ],
)
def test_a_part_is_offered_the_sheets_that_suit_how_it_is_made(
    client, engine, as_role, fields, pattern, bearing
):
    as_role("helper")
    part = make.part(engine, 4, **fields)
    page = client.get(part.get_absolute_url()).content.decode()
    assert (at("pattern", engine, part.pk) in page) is pattern
    assert (at("bearing", engine, part.pk) in page) is bearing
    for name in ("pattern", "bearing"):
        sheet = client.get(at(name, engine, part.pk)).content.decode()
        assert "4 to cast" not in sheet
        assert "White metal" not in sheet


def test_a_bearing_of_a_part_that_is_bought_says_so(client, engine, as_role):
    as_role("helper")
    part = make.part(engine, usual_route="buy")
    make.bearing(part, {"journal": 100, "shell": 112, "length": 150})
    page = client.get(at("bearing", engine, part.pk)).content.decode()
    assert "The record has this part to buy in" in page


@pytest.mark.parametrize(("kind", "usual"), [("boss", 1), ("rough", 1), ("bore", 2), ("cored", 2)])
def test_draft_left_empty_is_what_its_help_advises(client, engine, as_role, kind, usual):
    as_role("helper")
    part = make.part(engine, material="bronze")
    client.post(at("face_new", engine, part.pk), FACE | {"kind": kind, "draft_deg": ""})
    client.post(
        at("face_new", engine, part.pk),
        FACE | {"called": "Length", "size_finished": "80 mm", "kind": kind, "draft_deg": "0"},
    )
    assert [face.draft_deg for face in PatternFace.objects.all()] == [usual, 0]


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"draft_deg": "30.5"}, "30° at most"),
        ({"draft_deg": "44"}, "30° at most"),
        ({"allowance_written": "101 mm"}, "3.937 in at most"),
        ({"allowance_written": "31 mm"}, "closes the bore"),
        ({"contraction_percent": "10.1"}, "0.1 at most"),
    ],
)
def test_what_the_pattern_sheet_cannot_calculate_with_is_not_stored(
    client, engine, as_role, typed, words
):
    as_role("helper")
    part = make.part(engine, material="bronze")
    page = client.post(at("face_new", engine, part.pk), FACE | typed).content.decode()
    assert words in page or "0 to 10 per cent" in page
    assert not PatternFace.objects.exists()


def test_the_most_that_is_stored_is_calculated_with(client, engine, as_role):
    as_role("helper")
    part = make.part(engine, material="bronze")
    most = {"draft_deg": "30", "allowance_written": "100 mm", "contraction_percent": "10"}
    client.post(at("face_new", engine, part.pk), FACE | most | {"kind": "boss"})
    (line,) = patterns.pattern_sheet(part).lines
    assert line.trouble == ""
    assert line.with_draft


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"size_shell": "100 mm"}, "no room for metal"),
        ({"size_shell": "250 mm"}, "too thick"),
        ({"size_journal": "1200 mm", "size_shell": "1212 mm"}, "39.37 in at most"),
        (
            {"collars": 1, "size_collar_diameter": "90 mm", "size_collar_thickness": "6 mm"},
            "no larger than the bore",
        ),
    ],
)
def test_a_bearing_that_cannot_be_calculated_is_not_stored(client, engine, as_role, typed, words):
    as_role("helper")
    part = make.part(engine)
    sent = TAKEN | {
        "size_journal": "100 mm",
        "size_shell": "112 mm",
        "size_length": "150 mm",
        "halves": 2,
        "collars": 0,
        "grade": "2",
    }
    page = client.post(at("bearing_edit", engine, part.pk), sent | typed).content.decode()
    assert words in page
    assert not Bearing.objects.exists()


def test_a_bearing_goes_from_the_form_to_its_sheet(client, engine, as_role):
    as_role("helper")
    part = make.part(engine, name="Main bearing")
    page = client.get(at("bearing", engine, part.pk)).content.decode()
    assert "No bearing is entered" in page
    sent = TAKEN | {
        "size_journal": "100 mm",
        "size_shell": "112 mm",
        "size_length": "150 mm",
        "halves": 2,
        "collars": 0,
        "grade": "2",
        "load_written": "500 kg",
    }
    answer = client.post(at("bearing_edit", engine, part.pk), sent)
    assert answer.url == at("bearing", engine, part.pk)
    page = client.get(answer.url + "?units=metric").content.decode()
    assert "This metal holds lead" in page
    assert "100.15 mm" in page
    row = Bearing.objects.get()
    # A collar wants its sizes.
    page = client.post(
        at("bearing_edit", engine, part.pk), sent | {"collars": 2, "seen": row.version}
    ).content.decode()
    assert "A collar needs its outside" in page
    sent |= {"collars": 1, "size_collar_diameter": "130 mm", "size_collar_thickness": "6 mm"}
    client.post(at("bearing_edit", engine, part.pk), sent | {"seen": row.version})
    row.refresh_from_db()
    assert row.collar_diameter.value == 130


def test_a_reader_is_not_told_what_the_store_holds(client, engine, as_role):
    as_role("reader")
    part = make.part(engine)
    make.bearing(part, {"journal": 100, "shell": 112, "length": 150})
    page = client.get(at("bearing", engine, part.pk)).content.decode()
    assert "White metal to melt" in page
    assert "New white metal wanting" not in page


@pytest.mark.parametrize("paper", ["A4", "letter"])
@pytest.mark.parametrize("units", ["metric", "customary"])
def test_both_sheets_come_on_paper(client, engine, as_role, paper, units):
    as_role("helper")
    part = make.part(engine, name="Bush", material="bronze")
    size = make.measurement(part, 60, what="Outside")
    make.body(part, "bar", {"diameter": size, "length": 100})
    make.face(part, size, "boss", allowance_mm=3)
    make.bearing(part, {"journal": 100, "shell": 112, "length": 150})
    for name in ("pattern_pdf", "bearing_pdf"):
        answer = client.get(at(name, engine, part.pk), {"paper": paper, "units": units})
        assert answer["Content-Type"] == "application/pdf"
        assert answer.content.startswith(b"%PDF")


def test_a_bearing_that_is_not_written_down_has_no_paper(client, engine, as_role):
    as_role("helper")
    part = make.part(engine)
    answer = client.get(at("bearing_pdf", engine, part.pk))
    assert answer.url == at("bearing", engine, part.pk)
