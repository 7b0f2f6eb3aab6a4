"""Balloons set by pressing the place, moved by pulling and by arrow keys; a larger drawing."""

import pytest

from parts.drawings.models import Balloon
from tests import make
from tests.browser.conftest import DESK, PHONE


@pytest.fixture
def engine():
    engine = make.engine()
    for number, name in ((1, "Bedplate"), (15, "Flywheel")):
        component = make.component(engine, number=number, name=name)
        make.part(engine, item=100 * number + 1, name=name, component=component)
    return engine


def place_of(pk):
    row = Balloon.objects.get(pk=pk)
    return round(row.x, 2), round(row.y, 2)


def test_a_balloon_is_set_pulled_and_moved_by_the_keyboard(engine, open_page):
    lead = make.member(engine, "lead")
    sheet = make.drawing(engine, by=lead)
    wheel = engine.parts.get(name="Flywheel")
    page = open_page(DESK, lead)
    page.goto(sheet.get_absolute_url())
    box = page.locator("image").bounding_box()
    page.mouse.click(box["x"] + box["width"] * 0.5, box["y"] + box["height"] * 0.25)
    page.get_by_label("Part or component").select_option(f"part-{wheel.pk}")
    page.get_by_role("button", name="Save").click()
    page.wait_for_selector("[data-balloon]")
    row = Balloon.objects.get()
    assert (row.part, place_of(row.pk)) == (wheel, (0.5, 0.25))
    page.goto(sheet.get_absolute_url())
    # Pulled by the end of its leader: a tenth to the right and a tenth down.
    dot = page.locator(f'[data-leader="{row.pk}"] circle').bounding_box()
    x, y = dot["x"] + dot["width"] / 2, dot["y"] + dot["height"] / 2
    box = page.locator("image").bounding_box()
    with page.expect_response(lambda r: "/move/" in r.url) as kept:
        page.mouse.move(x, y)
        page.mouse.down()
        page.mouse.move(x + box["width"] * 0.05, y, steps=4)
        page.mouse.move(x + box["width"] * 0.1, y + box["height"] * 0.1, steps=4)
        page.mouse.up()
    assert kept.value.status == 204
    assert place_of(row.pk) == (0.6, 0.35)
    page.wait_for_timeout(300)
    page.locator(f'[data-balloon="{row.pk}"] a').focus()
    with page.expect_response(lambda r: "/move/" in r.url) as kept:
        page.keyboard.press("Shift+ArrowLeft")
        page.keyboard.press("ArrowLeft")
        page.keyboard.press("ArrowLeft")
    assert kept.value.status == 204
    assert place_of(row.pk) == (0.54, 0.35)


def test_a_pull_does_not_open_the_balloon_and_a_press_reads_it(engine, open_page):
    lead = make.member(engine, "lead")
    sheet = make.drawing(engine, by=lead)
    row = make.balloon(sheet, engine.parts.get(name="Bedplate"), 0.2, 0.2)
    page = open_page(DESK, lead)
    page.goto(sheet.get_absolute_url())
    ring = page.locator(f'[data-balloon="{row.pk}"] a')
    with page.expect_response(lambda r: "/move/" in r.url):
        at = ring.bounding_box()
        x, y = at["x"] + at["width"] / 2, at["y"] + at["height"] / 2
        page.mouse.move(x, y)
        page.mouse.down()
        page.mouse.move(x + 40, y + 20, steps=5)
        page.mouse.up()
    assert "part=" not in page.url
    page.wait_for_timeout(300)
    page.locator(f'[data-balloon="{row.pk}"] a').click()
    page.wait_for_url("**part=**")
    assert "101 Bedplate" in page.locator(".reading-strip").inner_text()


def test_without_a_script_a_balloon_is_set_by_numbers(engine, open_page):
    lead = make.member(engine, "lead")
    sheet = make.drawing(engine, by=lead)
    page = open_page(DESK, lead, java_script_enabled=False)
    page.goto(sheet.get_absolute_url())
    part = engine.parts.first()
    page.get_by_label("Part or component").select_option(f"part-{part.pk}")
    page.get_by_label("Across, %").fill("12.5")
    page.get_by_label("Down, %").fill("80")
    page.get_by_role("button", name="Save").click()
    row = Balloon.objects.get()
    assert (row.x, row.y) == (0.125, 0.8)
    page.get_by_role("link", name="Move or change").click()
    page.get_by_label("Down, %").fill("70")
    page.get_by_role("button", name="Save").click()
    assert place_of(row.pk)[1] == 0.7


def test_the_drawing_is_made_larger_inside_its_box_on_the_phone(engine, open_page):
    page = open_page(PHONE, make.member(engine, "helper"))
    page.goto(f"/engines/{engine.pk}/")
    drawing = page.locator(".arrangement")
    before = drawing.bounding_box()["width"]
    page.get_by_role("button", name="Larger", exact=True).click()
    assert drawing.bounding_box()["width"] == pytest.approx(1.6 * before, rel=0.02)
    assert page.evaluate("document.scrollingElement.scrollWidth") <= 390
    # The same as a list is open below it.
    assert page.get_by_role("link", name="Flywheel, missing").first.is_visible()
