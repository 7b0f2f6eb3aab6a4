"""The drawing on the first sheet, its own page, sheets of one's own, and the pieces."""

import io
from datetime import timedelta

import pikepdf
import pytest
from django.urls import reverse

from parts.drawings.models import Balloon, Drawing, Tie
from parts.photos.models import Photo
from parts.record.actions import entries
from tests import make, pdf

pytestmark = pytest.mark.django_db
DAY = make.FIRST_DAY


@pytest.fixture
def engine():
    engine = make.engine()
    for number, name, parts in (
        (1, "Bedplate", ("Bedplate",)),
        (10, "Crosshead", ("Crosshead body",)),
        (15, "Flywheel", ("Flywheel", "Flywheel key")),
    ):
        component = make.component(engine, number=number, name=name)
        for n, word in enumerate(parts, 1):
            make.part(engine, item=100 * number + n, name=word, component=component)
    return engine


@pytest.fixture
def lead(engine, client):
    lead = make.member(engine, "lead")
    client.force_login(lead)
    return lead


def address(name, *args, **query):
    found = reverse(f"parts:{name}", args=args)
    return found + ("?" + "&".join(f"{k}={v}" for k, v in query.items()) if query else "")


def text(page) -> str:
    return page.content.decode()


def test_a_balloon_is_picked_read_and_opened(client, engine, lead):
    body = engine.parts.get(name="Crosshead body")
    make.cost(engine, "castings", ("estimated", DAY, 100, 150, 200), part=body)
    page = text(client.get(address("engine", engine.pk, part=body.pk)))
    strip = page.split('class="reading-strip"')[1].split("</div>")[0]
    assert "1001 Crosshead body" in strip
    assert "Missing" in strip
    assert "Zone" in strip
    assert "£150" in strip
    assert body.get_absolute_url() in strip
    assert 'aria-current="true"' in page.split('class="drawn fit arrangement"')[1]
    assert "Press a balloon" in text(client.get(address("engine", engine.pk)))


def test_balloons_pick_first_and_keep_the_day_and_the_state(client, engine, lead):
    entries.still_on_engine(engine.parts.get(name="Flywheel"), 1, day=DAY, by=lead)
    asked = {"day": DAY.isoformat(), "state": "in_place"}
    page = text(client.get(address("engine", engine.pk, **asked)))
    wheel = engine.components.get(name="Flywheel")
    assert f'href="?day={DAY}&amp;component={wheel.pk}&amp;state=in_place#drawing"' in page or (
        f'href="?day={DAY}&amp;state=in_place&amp;component={wheel.pk}#drawing"' in page
    )
    assert "alone is drawn in its line" in page


def test_the_key_is_of_the_same_day_as_the_drawing(client, engine, lead):
    entries.still_on_engine(
        engine.parts.get(name="Flywheel"), 1, day=DAY + timedelta(days=5), by=lead
    )
    for day, counted in ((DAY, 0), (DAY + timedelta(days=5), 1)):
        page = client.get(address("engine", engine.pk, day=day.isoformat()))
        assert page.context["shown"].counts.in_place == counted
        assert page.context["stood"].counts == page.context["shown"].counts


@pytest.mark.parametrize(
    "asked",
    [
        {"day": "yesterday"},
        {"day": "9999-01-01"},
        {"part": "x"},
        {"part": "9" * 40},
        {"component": "0"},
        {"state": "broken"},
        {"balloons": "all"},
    ],
)
def test_what_an_address_cannot_ask_is_passed_over(client, engine, lead, asked):
    page = client.get(address("engine", engine.pk, **asked))
    assert page.status_code == 200
    assert page.context["picked"] is None


def test_a_part_of_another_engine_is_not_picked(client, engine, lead):
    other = make.part(make.engine())
    assert client.get(address("engine", engine.pk, part=other.pk)).context["picked"] is None


def test_a_kind_without_elevation_keeps_the_blank_drawing(client, lead, engine):
    type(engine).objects.filter(pk=engine.pk).update(kind="other")
    page = text(client.get(address("engine", engine.pk)))
    assert "not yet drawn" in page
    assert client.get(address("arrangement", engine.pk)).status_code == 200
    assert client.get(address("arrangement_pdf", engine.pk)).status_code == 302
    assert client.get(address("ties", engine.pk)).status_code == 302


def test_the_first_sheet_takes_as_many_queries_for_few_parts_as_for_many(
    client, engine, lead, django_assert_num_queries
):
    client.get(address("engine", engine.pk))
    with django_assert_num_queries(21):
        client.get(address("engine", engine.pk))
    for n in range(50):
        make.part(engine, component=engine.components.first(), item=20_000 + n)
    with django_assert_num_queries(21):
        client.get(address("engine", engine.pk, balloons="parts"))


def test_a_part_says_its_zone(client, engine, lead):
    body = engine.parts.get(name="Crosshead body")
    page = text(client.get(body.get_absolute_url()))
    assert f'{address("engine", engine.pk)}?part={body.pk}#drawing">Zone ' in page


def test_a_sheet_is_taken_in_and_its_balloons_set_and_moved(client, engine, lead):
    file = make.upload(size=(120, 90))
    new = {"picture_file": file, "name": "Plan", "note": "Traced"}
    answer = client.post(address("drawing_new", engine.pk), new)
    sheet = Drawing.objects.get()
    assert answer["Location"] == sheet.get_absolute_url()
    body = engine.parts.get(name="Crosshead body")
    to = address("balloon_new", engine.pk, sheet.pk)
    refused = text(client.post(to, {"of": "", "across": "150", "down": ""}))
    assert "Choose what the balloon stands for" in refused
    assert "Say how far down" in refused
    client.post(to, {"of": f"part-{body.pk}", "across": "25", "down": "75"})
    row = Balloon.objects.get()
    assert (row.part, row.x, row.y) == (body, 0.25, 0.75)
    move = address("balloon_move", engine.pk, row.pk)
    assert client.post(move, {"x": "0.5", "y": "0.25", "seen": 1}).status_code == 204
    row.refresh_from_db()
    assert (row.x, row.y) == (0.5, 0.25)
    edit = {"of": f"component-{body.component_id}", "across": 10, "down": 20, "seen": row.version}
    client.post(address("balloon_edit", engine.pk, row.pk), edit)
    row.refresh_from_db()
    assert (row.part, row.component, row.x) == (None, body.component, 0.1)
    page = text(client.get(sheet.get_absolute_url()))
    assert "10 Crosshead, Missing" in page
    assert sheet.picture.large_url in page


def test_a_balloon_stays_where_it_is_when_only_what_it_points_at_is_changed(client, engine, lead):
    body, other = engine.parts.all()[:2]
    row = make.balloon(make.drawing(engine), body, 0.123456, 0.654321)
    to = address("balloon_edit", engine.pk, row.pk)
    form = client.get(to).context["form"]
    shown = {name: form[name].value() for name in ("across", "down")}
    client.post(to, shown | {"of": f"part-{other.pk}", "seen": row.version})
    row.refresh_from_db()
    assert (row.part, row.x, row.y) == (other, 0.123456, 0.654321)


@pytest.mark.parametrize("place", [{"x": "2", "y": "0"}, {"x": "nan", "y": "0"}, {"x": "left"}, {}])
def test_a_place_off_the_sheet_moves_nothing(client, engine, lead, place):
    row = make.balloon(make.drawing(engine), engine.parts.first(), 0.5, 0.5)
    assert client.post(address("balloon_move", engine.pk, row.pk), place).status_code == 302
    row.refresh_from_db()
    assert (row.x, row.y, row.version) == (0.5, 0.5, 1)


def test_the_second_of_two_who_move_a_balloon_is_told(client, engine, lead):
    row = make.balloon(make.drawing(engine), engine.parts.first(), 0.5, 0.5)
    move = address("balloon_move", engine.pk, row.pk)
    assert client.post(move, {"x": "0.1", "y": "0.1", "seen": 1}).status_code == 204
    answer = client.post(move, {"x": "0.9", "y": "0.9", "seen": 1}, follow=True)
    assert "Someone else changed this" in text(answer)
    row.refresh_from_db()
    assert row.x == 0.1


def test_what_is_no_picture_is_refused_and_leaves_nothing(client, engine, lead):
    file = make.upload()
    file.seek(0)
    file.write(b"<svg onload=alert(1)>" + b" " * file.size)
    file.seek(0)
    page = client.post(address("drawing_new", engine.pk), {"picture_file": file, "name": "Plan"})
    assert "This is not a picture" in text(page)
    assert not Drawing.objects.exists()
    assert not Photo.objects.exists()


def test_a_sheet_or_balloon_is_removed_and_comes_back(client, engine, lead):
    sheet = make.drawing(engine, by=lead)
    row = make.balloon(sheet, engine.parts.first(), by=lead)
    remove = address("row_remove", engine.pk, "balloon", row.pk)
    assert client.post(remove, {"reason": "wrong"})["Location"] == sheet.get_absolute_url()
    assert not Balloon.objects.exists()
    client.post(address("row_bring_back", engine.pk, "balloon", row.pk), {"reason": ""})
    assert Balloon.objects.get() == row
    # The picture is held while a sheet is drawn on it.
    held = address("row_remove", engine.pk, "photo", sheet.picture_id)
    assert "Delete the sheet first" in text(client.post(held, {"reason": "blurred"}))
    client.post(address("row_remove", engine.pk, "drawing", sheet.pk), {"reason": "old"})
    assert client.get(sheet.get_absolute_url()).status_code == 404


def test_a_lead_says_what_a_piece_is(client, engine, lead):
    wheel = engine.parts.get(name="Flywheel key")
    page = address("ties", engine.pk, piece="wheel_rim")
    assert "Flywheel" in text(client.get(page))
    client.post(page, {"of": f"part-{wheel.pk}"})
    assert Tie.objects.get().part == wheel
    client.post(page, {"of": "nothing"})
    assert (Tie.objects.get().part, Tie.objects.get().component) == (None, None)
    client.post(page, {"of": "by-name"})
    assert not Tie.objects.exists()
    assert client.get(address("ties", engine.pk, piece="no_such")).status_code == 200


def test_balloons_and_ties_of_another_engine_are_refused(client, engine, lead):
    strange = make.part(make.engine())
    sheet = make.drawing(engine)
    to = address("balloon_new", engine.pk, sheet.pk)
    client.post(to, {"of": f"part-{strange.pk}", "across": "25", "down": "75"})
    client.post(address("ties", engine.pk, piece="bed"), {"of": f"part-{strange.pk}"})
    assert not Balloon.objects.exists()
    assert not Tie.objects.exists()


@pytest.mark.parametrize(
    ("paper", "points"), [("A4", (842, 595)), ("a3", (1191, 842)), ("letter", (792, 612))]
)
def test_the_drawing_prints_with_its_title_block_and_part_list(client, engine, lead, paper, points):
    sheet = make.drawing(engine, name="Plan")
    make.balloon(sheet, engine.parts.get(name="Crosshead body"))
    for name, args, words in (
        ("arrangement_pdf", (engine.pk,), "General arrangement"),
        ("drawing_pdf", (engine.pk, sheet.pk), "Plan"),
    ):
        answer = client.get(address(name, *args, paper=paper))
        assert answer["Content-Type"] == "application/pdf"
        with pikepdf.open(io.BytesIO(answer.content)) as file:
            box = [round(float(v)) for v in file.pages[0].MediaBox]
            assert tuple(box[2:]) == points
            said = pdf.text_of(file)
        assert words in said
        assert "Part list" in said
        assert engine.name in said
        assert "Crosshead" in said


def test_the_page_of_a_sheet_takes_as_many_queries_for_few_balloons_as_for_many(
    client, engine, lead, django_assert_max_num_queries, django_assert_num_queries
):
    sheet = make.drawing(engine)
    make.balloon(sheet, engine.parts.first())
    make.balloon(sheet, engine.components.first())
    client.get(sheet.get_absolute_url())
    with django_assert_max_num_queries(20) as few:
        client.get(sheet.get_absolute_url())
    for n in range(30):
        make.balloon(sheet, make.part(engine), n / 30, 0.3)
    with django_assert_num_queries(len(few.captured_queries)):
        client.get(sheet.get_absolute_url())
