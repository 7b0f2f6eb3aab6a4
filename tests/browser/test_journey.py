"""The main job on a phone, from the find in the ground to the report for the funders."""

import io
import re

import pikepdf
import pytest
from PIL import Image
from playwright.sync_api import expect

from parts.record.models import Find
from tests import make
from tests.browser.conftest import PHONE

PASSWORD = "a-long-word-9"


@pytest.fixture
def engine():
    """An engine with two straps to be found and a flywheel that was never lost."""
    row = make.engine(name="Lower Yard engine")
    governor = make.component(row, name="Valve gear")
    make.part(row, 2, name="Eccentric strap", component=governor, item=21, size="12 in × 3 in")
    wheel = make.part(row, 1, name="Flywheel", component=governor, item=22)
    make.found(wheel)
    make.member(row, "lead", "gwen")
    return row


def photograph() -> dict:
    """A picture as a phone's camera gives it."""
    out = io.BytesIO()
    Image.effect_noise((1600, 1200), 90).convert("RGB").save(out, "JPEG")
    return {"name": "IMG_0412.jpg", "mimeType": "image/jpeg", "buffer": out.getvalue()}


def test_from_the_find_to_the_report(engine, phone, tmp_path):
    page = phone

    def press(name):
        page.get_by_role("button", name=name, exact=True).click()

    def follow(name, where=page, exact=True):
        where.get_by_role("link", name=name, exact=exact).first.click()

    def sheet(name):
        page.locator("details.menu > summary").click()
        page.get_by_role("navigation", name="Menu").get_by_role("link", name=name).first.click()

    # Log in.
    page.goto("/")
    expect(page).to_have_url(re.compile("/account/login/"))
    page.get_by_label("Username").fill("gwen")
    page.get_by_label("Password").fill(PASSWORD)
    press("Log in")
    expect(page.get_by_text("1 of 3 pieces found, in place or fitted")).to_be_visible()

    # Record a find, photograph first.
    follow("Lower Yard engine")
    page.get_by_role("link", name="Record a find").locator("visible=true").first.click()
    page.locator("input[type=file]").set_input_files(photograph())
    expect(page.get_by_role("img", name="IMG_0412.jpg")).to_be_visible()
    page.get_by_label("What it looks like").fill("half of an eccentric strap")
    page.locator(".materials label", has_text="Cast iron").first.click()
    page.get_by_label("Where it lay").fill("Square C4")
    press("Save find")
    find = Find.objects.get(looks_like="half of an eccentric strap")
    expect(page.get_by_text(f"Kept as {find.tag}")).to_be_visible()
    assert (find.material, find.quantity, find.photos.count()) == ("cast_iron", 1, 1)
    shown = page.locator(".photo-main img")
    assert shown.evaluate("image => image.naturalWidth") == 900

    # Identify it: the strap is suggested, because material and words fit.
    follow("Identify")
    follow(re.compile("Eccentric strap"), exact=False)
    expect(page.locator("input[name=part]")).to_have_value(re.compile(r"^\d+$"))
    press("Confirm")
    expect(page.get_by_role("link", name="21 Eccentric strap")).to_be_visible()

    # Note its condition.
    follow("Condition note")
    page.locator(".cells label", has_text="Moderate").click()
    page.get_by_label("What was seen").fill("Rusted, but the bore is true.")
    page.locator("form.form button.main").click()
    expect(page.get_by_text("Rusted, but the bore is true.")).to_be_visible()

    # One of two is found; the other is missing. Decide to cast it.
    sheet("Parts to make")
    follow("Decide on Eccentric strap")
    expect(page.get_by_text("1 of 2 to decide: 1 missing, 0 beyond repair.")).to_be_visible()
    page.locator("input[name=route][value=cast]").check(force=True)
    page.get_by_label("Who makes it").fill("The foundry at Lowbridge")
    press("Decide")

    # Write what it costs.
    sheet("Money")
    expect(page.get_by_text("No cost is entered yet.")).to_be_visible()
    follow("Add a cost")
    page.get_by_role("radio", name="Castings").check(force=True)
    page.get_by_label("What it is for").fill("Pattern and casting, one strap")
    page.get_by_label("Part, by its item number").fill("21")
    page.get_by_label("Amount").fill("240")
    page.get_by_label("Low").fill("180")
    page.get_by_label("High").fill("360")
    press("Save cost")

    # The list, the tally and the progress have it.
    sheet("Parts to make")
    line = page.locator("table.jobs tbody tr", has_text="Eccentric strap")
    expect(line).to_contain_text("To be made")
    expect(line).to_contain_text("1 of 2")
    expect(line).to_contain_text("£240")
    expect(page.locator("table.jobs tfoot")).to_contain_text("£180 to £360")
    sheet("Money")
    expect(page.locator("main")).to_contain_text("Pattern and casting, one strap")
    likely = page.locator("dl.facts div", has_text="Likely total").first
    expect(likely).to_contain_text("£240")
    sheet("Reports")
    row = page.locator("table tr", has_text="Valve gear")
    expect(row.locator("[data-word=Found]")).to_have_text("2")
    expect(row.locator("[data-word='Missing or beyond repair']")).to_have_text("0")

    # Draw up the report, freeze it, and take the PDF away.
    follow("New report")
    press("Issue")
    with page.expect_download() as download:
        follow("Download the PDF")
    path = tmp_path / "report.pdf"
    download.value.save_as(path)
    with pikepdf.open(path) as pdf:
        assert len(pdf.pages) >= 2
        assert "Lower Yard engine" in str(pdf.docinfo["/Title"])

    # Home tells the change.
    page.goto("/")
    expect(page.get_by_text("2 of 3 pieces found, in place or fitted")).to_be_visible()


def test_no_page_needs_a_script(engine, open_page):
    """Record a find and filter the parts list with scripts switched off."""
    lead = engine.memberships.get().user
    page = open_page(PHONE, lead, java_script_enabled=False)
    page.goto(f"/engines/{engine.pk}/finds/new/")
    page.locator("input[type=file]").set_input_files(photograph())
    page.get_by_label("What it looks like").fill("bent rod")
    page.locator("input[name=quantity]").fill("3")
    page.get_by_role("button", name="Save find").click()
    find = Find.objects.get(looks_like="bent rod")
    assert (find.quantity, find.photos.count()) == (3, 1)
    expect(page.get_by_text(f"Kept as {find.tag}")).to_be_visible()

    page.goto(f"/engines/{engine.pk}/parts/")
    table = page.locator("main table").first
    expect(table.locator("tbody tr")).to_have_count(2)
    page.locator("select[name=state]").select_option("missing")
    page.get_by_role("button", name="Show", exact=True).click()
    expect(page).to_have_url(re.compile("state=missing"))
    expect(table.locator("tbody tr")).to_have_count(1)
    expect(table).to_contain_text("Eccentric strap")
