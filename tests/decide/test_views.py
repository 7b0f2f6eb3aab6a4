"""The page on which a part is decided."""

from datetime import date

import pytest

from parts.decide.models import Option
from parts.money.models import CostItem
from parts.record.actions import entries
from parts.record.models import Job, PieceEntry
from tests import make
from tests.screens.asking import at

pytestmark = pytest.mark.django_db
DAY = make.FIRST_DAY


def test_from_weighing_to_the_choice_with_its_estimate(client, engine, lead):
    part = make.part(engine, 3, name="Gland")
    address = at("decide", engine, part.pk)
    page = client.get(address + "?way=cast").content.decode()
    for word in ("Go on searching", "Repair", "Cast", "Machine from bar", "Borrow", "Leave off"):
        assert word in page, word
    assert "No quote." in page
    assert "Add this estimate to the costs" in page
    sent = {"low": "80", "likely": "100", "high": "140", "hours": "6", "wants": "No pattern"}
    bad = client.post(at("option", engine, part.pk, "cast"), sent | {"likely": "20"})
    assert "must rise" in bad.content.decode()
    answer = client.post(at("option", engine, part.pk, "cast"), sent)
    assert answer.url == address
    row = Option.objects.get()
    client.post(at("option", engine, part.pk, "cast"), sent | {"hours": "7", "seen": row.version})
    row.refresh_from_db()
    assert row.hours == 7
    page = client.get(address).content.decode()
    assert "£80 to £140" in page
    assert "No pattern" in page
    chosen = {
        "route": "cast", "pieces": 3, "day": str(DAY), "reason": "Nothing like it is sold",
        "into_tally": "on",
    }  # fmt: skip
    answer = client.post(address, chosen)
    job = Job.objects.get()
    assert answer.url == at("job", engine, job.pk)
    assert job.reason == "Nothing like it is sold"
    assert CostItem.objects.get().job == job
    page = client.get(address).content.decode()
    assert "Withdraw decision" in page
    assert "Nothing like it is sold" in page


def test_without_the_tick_nothing_goes_into_the_tally(client, engine, lead):
    part = make.part(engine)
    sent = {"route": "buy", "pieces": 1, "day": str(DAY)}
    client.post(at("decide", engine, part.pk), sent)
    assert Job.objects.exists()
    assert not CostItem.objects.exists()


def test_leaving_off_and_searching_want_a_reason(client, engine, lead):
    part = make.part(engine, 2)
    address = at("decide", engine, part.pk)
    sent = {"route": "leave_off", "pieces": 1, "day": str(DAY)}
    assert "Say why" in client.post(address, sent).content.decode()
    answer = client.post(address, sent | {"reason": "The wall stands there"})
    assert answer.url == part.get_absolute_url()
    assert PieceEntry.objects.get().kind == "left_off"
    client.post(address, sent | {"route": "search", "reason": "Not dug yet"})
    assert "Not dug yet" in client.get(address).content.decode()


def test_mending_leads_to_the_repair(client, engine, lead):
    part = make.part(engine)
    make.found(part)
    entries.condemn(part, 1, day=DAY, by=lead, reason="Cracked")
    page = client.get(at("decide", engine, part.pk)).content.decode()
    assert "Cast iron can be soft under a sound skin" in page
    sent = {
        "route": "repair", "pieces": 1, "day": str(date.today()), "reason": "The crack can be sewn",
    }  # fmt: skip
    answer = client.post(at("decide", engine, part.pk), sent)
    assert answer.url == f"{at('repair_new', engine)}?part={part.pk}"


def test_a_way_nobody_knows_is_not_found(client, engine, lead):
    part = make.part(engine)
    assert client.get(at("option", engine, part.pk, "beg")).status_code == 404
