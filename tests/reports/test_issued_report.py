"""An issued report stays as it was sent, whatever becomes of the record afterwards."""

import io

import pikepdf
import pytest
from django.urls import reverse

from parts.money import actions as money_actions
from parts.photos.actions import photos
from parts.record.actions import saving
from parts.reports import issuing
from parts.reports.actions import reports
from parts.reports.models import Report
from parts.reports.queries.report import Details
from tests import make
from tests.pdf import text_of

pytestmark = pytest.mark.django_db
DAY = make.FIRST_DAY
DETAILS = Details(1, "Report 1", DAY, DAY)


@pytest.fixture
def issued(settings, tmp_path):
    """A report with a photo and a cost, issued on a machine that made no PDF of it then."""
    settings.MEDIA_ROOT = tmp_path
    engine = make.engine(name="Harrow Gap engine", currency="GBP")
    lead = make.member(engine, "lead", "ada")
    cost = make.cost(engine, "castings", ("paid", DAY, 125))
    photo = photos.take_in(engine, make.upload(), by=lead, caption="The bed", may_go_out=True)
    draft = issuing.draw_up(engine, DETAILS, [photo])
    row = reports.freeze(engine, DETAILS, draft, by=lead)
    return row, cost, photo, lead


def change_everything(issued):
    row, cost, photo, lead = issued
    amount = cost.amounts.get()
    values = dict.fromkeys(("low", "likely", "high"), 999)
    money_actions.change_amount(amount, values, seen=amount.version, by=lead)
    saving.change(row.engine, {"name": "Another name"}, seen=row.engine.version, by=lead)
    saving.change(photo, {"may_go_out": False}, seen=photo.version, by=lead)
    saving.remove(photo, by=lead)
    lead.first_name = "Someone else"
    lead.save()
    return Report.objects.get(pk=row.pk)


def test_printed_later_it_shows_what_it_showed_when_it_was_issued(issued):
    tables = dict(issued[0].tables)
    row = change_everything(issued)
    assert issuing.put_on_paper(row) == ""
    pdf = pikepdf.open(io.BytesIO(row.pdf.read()))
    inside = {name: a.get_file().read_bytes().decode() for name, a in pdf.attachments.items()}
    assert inside == tables
    (table,) = inside.values()
    assert "125" in table
    assert "999" not in table
    text = text_of(pdf)
    assert "Harrow Gap engine" in text
    assert "Another name" not in text
    assert "Ada" in text
    assert "Someone else" not in text
    assert any(page.get_images() for page in pdf.pages)


def test_its_pictures_are_shown_though_they_were_removed_since(issued, client):
    row = change_everything(issued)
    client.force_login(issued[3])
    address = reverse("parts:report_photo", args=[row.engine_id, row.pk, issued[2].pk, 900])
    assert client.get(address).status_code == 200


def test_page_and_table_are_of_one_reading(issued):
    row = issued[0]
    assert row.engine_name == "Harrow Gap engine"
    assert "£125" in row.page
    assert "paid" in next(iter(row.tables.values()))


def test_the_pdf_is_made_once(issued):
    row = issued[0]
    issuing.put_on_paper(row)
    name = row.pdf.name
    again = Report.objects.get(pk=row.pk)
    again.pdf = ""
    issuing.put_on_paper(again)
    assert Report.objects.get(pk=row.pk).pdf.name == name


def test_a_form_pressed_twice_issues_one_report(client, monkeypatch):
    monkeypatch.setattr(issuing, "put_on_paper", lambda row: "")
    engine = make.engine()
    lead, other = make.member(engine, "lead"), make.member(engine, "lead")
    client.force_login(lead)
    address = reverse("parts:report_new", args=[engine.pk])
    sent = {"number": 1, "title": "To funders", "first_day": "2026-03-01", "last_day": "2026-03-31"}
    sent |= {"words": "", "next_words": "", "freeze": "1"}
    first, second = client.post(address, sent), client.post(address, sent)
    assert first["Location"] == second["Location"]
    # Other words under the same number are another report.
    client.post(address, sent | {"words": "It runs."})
    client.force_login(other)
    client.post(address, sent)
    assert sorted(Report.objects.values_list("number", flat=True)) == [1, 2, 3]
