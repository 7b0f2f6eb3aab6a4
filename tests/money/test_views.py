"""Screens of the costs: writing amounts, what is refused, what is told, and who may."""

from datetime import timedelta
from decimal import Decimal as D

import pytest
from django import forms
from django.contrib.messages import get_messages
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from parts.money.forms import read_money
from parts.money.models import CostAmount, CostItem, CostPaper
from parts.record.models import Change
from tests import make
from tests.screens.asking import at

DAY = make.FIRST_DAY
PDF = b"%PDF-1.7\nan invented receipt\n%%EOF\n"


@pytest.fixture
def item(engine):
    return make.cost(engine, "castings", ("ordered", DAY, 100), what="Two brasses")


def words(response) -> str:
    return " ".join(response.content.decode().split())


@pytest.mark.parametrize(
    ("text", "currency", "amount"),
    [
        ("1,250.50", "GBP", "1250.50"),
        ("£85", "GBP", "85"),
        ("85", "GBP", "85"),
        ("£1,250,000", "GBP", "1250000"),
        ("1 250,50", "EUR", "1250.50"),
        ("1.250,50 €", "EUR", "1250.50"),
        ("EUR 12,5", "EUR", "12.50"),
        ("850 kr", "SEK", "850"),
        ("1'250.50", "CHF", "1250.50"),
        ("0", "GBP", "0"),
        (".75", "GBP", "0.75"),
    ],
)
def test_money_is_read_as_people_write_it(text, currency, amount):
    assert read_money(text, currency) == D(amount)


@pytest.mark.parametrize(
    "text",
    ["", "£", "abc", "-5", "1.250", "1,25,000", "1,250,50", "5p", "1e5", "€85", "$85", "85 SEK",
     "9" * 11, "9" * 40, "١٢", "12.345", "1/2", "=1+1"],
)  # fmt: skip
def test_what_is_no_money_is_refused_with_an_example(text):
    with pytest.raises(forms.ValidationError) as refused:
        read_money(text, "GBP")
    message = refused.value.messages[0]
    assert "1,250.50" in message or "is the most" in message


@given(st.text(max_size=30))
def test_garbage_raises_nothing_but_the_error_in_words(text):
    try:
        amount = read_money(text, "GBP")
    except forms.ValidationError:
        return
    assert 0 <= amount <= D("9999999999.99")


@given(st.decimals(0, D("9999999999.99"), places=2))
def test_what_is_written_reads_back(amount):
    assert read_money(f"£{amount:,.2f}") == amount
    assert read_money(f"{amount:,.2f}".replace(",", " ")) == amount


def test_the_tally_page_shows_headings_and_totals(client, engine, as_role, item):
    as_role("reader")
    make.cost(engine, "fasteners", ("estimated", DAY, 40, 60, 95), ("paid", DAY, 10))
    page = words(client.get(at("costs", engine)))
    for word in ("Fasteners", "Castings", "Two brasses", "£160", "£140", "£195", "added up"):
        assert word in page, word
    assert "costs/new" not in page


def test_costs_are_filtered_and_the_sums_with_them(client, engine, as_role, item):
    as_role("reader")
    make.cost(engine, "hire", ("paid", DAY, 7), what="A crane")
    for query, there, gone in (
        ("?heading=hire", "A crane", "Two brasses"),
        ("?basis=ordered", "Two brasses", "A crane"),
        ("?basis=paid", "A crane", "Two brasses"),
        ("?q=BRASS", "Two brasses", "A crane"),
        ("?component=none&heading=castings", "Two brasses", "A crane"),
    ):
        page = words(client.get(at("costs", engine) + query))
        assert there in page, query
        assert gone not in page, query
        assert "1 cost shown" in page


def test_the_costs_page_takes_as_many_queries_however_many_costs(
    client, engine, as_role, item, django_assert_num_queries
):
    as_role("lead")
    client.get(at("costs", engine))
    with django_assert_num_queries(11):  # session, user, membership, 2 of the tag, 6 of the tally
        client.get(at("costs", engine))
    for n in range(50):
        make.cost(engine, "other", ("quoted", DAY, n), component=make.component(engine))
    with django_assert_num_queries(11):
        client.get(at("costs", engine))


def test_a_cost_is_written_with_its_first_amount_for_a_part(client, engine, as_role):
    lead = as_role("lead")
    part = make.part(engine, item=13)
    sent = {
        "heading": "castings",
        "what": "Brasses",
        "item_number": "13",
        "amount-basis": "estimated",
        "amount-low": "£80",
        "amount-likely": "1,100",
        "amount-high": "1 400,50",
        "amount-day": str(DAY),
    }
    answer = client.post(at("cost_new", engine), sent)
    cost = CostItem.objects.get()
    amount = cost.amounts.get()
    assert answer.url == at("cost", engine, cost.pk)
    assert cost.part == part
    assert (amount.low, amount.likely, amount.high) == (80, 1100, D("1400.50"))
    assert {c.kind for c in Change.objects.filter(by=lead)} == {"costitem", "costamount"}
    assert Change.objects.filter(part=part).count() == 2


def test_a_cost_of_a_job_is_one_of_its_part(client, engine, as_role):
    as_role("lead")
    job = make.job(make.part(engine))
    address = at("cost_new", engine) + f"?job={job.pk}"
    assert str(job.part.item) in words(client.get(address))
    sent = {"heading": "castings", "what": "x", "job": job.pk, "amount-basis": "estimated"}
    sent["amount-day"] = str(DAY)
    assert client.post(address, sent).status_code == 302
    cost = CostItem.objects.get()
    assert (cost.job, cost.part) == (job, job.part)
    assert not cost.amounts.exists()


def test_a_refused_cost_keeps_what_was_typed(client, engine, as_role):
    as_role("lead")
    sent = {
        "heading": "castings",
        "what": "Two straps",
        "item_number": "999",
        "amount-basis": "estimated",
        "amount-low": "120",
        "amount-likely": "a hundred",
        "amount-day": str(DAY),
    }
    answer = client.post(at("cost_new", engine), sent)
    assert answer.context["form"].errors.keys() == {"item_number"}
    page = words(answer)
    assert "“a hundred” is no amount of money. Enter it like 1,250.50 or 85." in page
    for typed in ("Two straps", "999", "a hundred", "120"):
        assert f'value="{typed}"' in page
    assert not CostItem.objects.exists()


@pytest.mark.parametrize(
    ("sent", "sentence"),
    [
        ({"basis": "estimated", "likely": "100", "low": "120"}, "low cannot be more"),
        ({"basis": "estimated", "likely": "100", "high": "90"}, "high cannot be less"),
        ({"basis": "quoted", "likely": "100", "low": "90"}, "Only an estimate has a range"),
        ({"basis": "ordered", "likely": "100", "settles": "True"}, "Only a payment can say"),
        ({"basis": "paid", "likely": ""}, "This field is required"),
    ],
)
def test_an_amount_that_cannot_be_is_refused_in_words(
    client, engine, as_role, item, sent, sentence
):
    as_role("lead")
    page = words(client.post(at("amount_new", engine, item.pk), {"day": str(DAY), **sent}))
    assert sentence in page
    assert item.amounts.count() == 1


def test_a_payment_in_the_future_is_refused(client, engine, as_role, item):
    as_role("lead")
    tomorrow = timezone.localdate() + timedelta(days=1)
    sent = {"basis": "paid", "likely": "10", "day": str(tomorrow)}
    answer = client.post(at("amount_new", engine, item.pk), sent)
    assert answer.context["form"].errors.keys() == {"day"}
    sent["basis"] = "ordered"
    assert client.post(at("amount_new", engine, item.pk), sent).status_code == 302


def test_paid_beyond_the_order_is_kept_and_told(client, engine, as_role, item):
    as_role("lead")
    sent = {"basis": "paid", "likely": "£130.25", "day": str(DAY)}
    answer = client.post(at("amount_new", engine, item.pk), sent)
    told = " ".join(str(m) for m in get_messages(answer.wsgi_request))
    assert "£130.25" in told
    assert "£30.25" in told
    assert item.amounts.filter(basis="paid").exists()


def test_after_the_last_payment_nothing_more_is_ordered(client, engine, as_role, item):
    as_role("lead")
    address = at("amount_new", engine, item.pk)
    paid = {"basis": "paid", "likely": "60", "day": str(DAY), "settles": "True"}
    assert client.post(address, paid).status_code == 302
    page = words(client.post(address, {"basis": "ordered", "likely": "5", "day": str(DAY)}))
    assert "nothing more is to pay" in page


def test_an_amount_is_mended_and_a_clash_shows_both(client, engine, as_role, item):
    as_role("lead")
    amount = item.amounts.get()
    address = at("amount_edit", engine, amount.pk)
    assert 'value="100.00"' in words(client.get(address))
    sent = {"basis": "ordered", "likely": "118", "day": str(DAY), "seen": 1}
    assert client.post(address, sent).status_code == 302
    assert CostAmount.objects.get().high == 118
    answer = client.post(address, sent | {"likely": "120"})
    assert ("118", "120") in [
        (d.theirs.split(".")[0], d.yours.split(".")[0]) for d in answer.context["form"].differing
    ]
    assert CostAmount.objects.get().likely == 118


def test_a_cost_is_changed_to_another_part_with_its_history(client, engine, as_role, item):
    as_role("lead")
    part = make.part(engine, item=77)
    address = at("cost_edit", engine, item.pk)
    sent = {"heading": "machining", "what": "Two brasses", "item_number": "77", "seen": 1}
    assert client.post(address, sent).status_code == 302
    item.refresh_from_db()
    assert (item.heading, item.part) == ("machining", part)
    assert Change.objects.get(verb="changed").after == {"heading": "machining", "part": part.pk}


def send_paper(client, engine, item, name, content):
    file = SimpleUploadedFile(name, content)
    sent = {"file": file, "kind": "receipt", "name": "Receipt 12", "day": str(DAY)}
    return client.post(at("paper_new", engine, item.pk), sent)


def test_a_receipt_is_kept_as_it_came_and_for_leads_and_helpers(client, engine, as_role, item):
    as_role("lead")
    assert send_paper(client, engine, item, "any.name", PDF).status_code == 302
    paper = CostPaper.objects.get()
    answer = client.get(at("paper", engine, paper.pk))
    assert b"".join(answer.streaming_content) == PDF
    assert answer["Content-Disposition"].startswith("attachment")
    assert "Receipt 12" in words(client.get(at("cost", engine, item.pk)))
    as_role("reader")
    assert client.get(at("paper", engine, paper.pk)).status_code == 403
    assert "Receipt 12" not in words(client.get(at("cost", engine, item.pk)))


def test_what_is_no_paper_is_refused_and_leaves_nothing(client, engine, as_role, item):
    as_role("lead")
    page = words(send_paper(client, engine, item, "receipt.pdf", b"MZ\x90\x00 not a pdf"))
    assert "This is not a PDF or a picture" in page
    assert 'value="Receipt 12"' in page
    assert not CostPaper.objects.exists()


def test_nothing_is_left_when_the_record_refuses_a_paper(engine, item, monkeypatch):
    from parts.money import actions as money_actions

    def fail(*args, **kwargs):
        raise RuntimeError

    saved = []
    real = default_storage.save
    monkeypatch.setattr(
        default_storage, "save", lambda *a, **k: saved.append(real(*a, **k)) or saved[-1]
    )
    monkeypatch.setattr(money_actions.saving, "add", fail)
    with pytest.raises(RuntimeError):
        money_actions.add_paper(item, ContentFile(PDF), kind="receipt", name="x", day=DAY, by=None)
    assert len(saved) == 1
    assert not default_storage.exists(saved[0])


@pytest.mark.parametrize("role", ["helper", "reader"])
def test_only_a_lead_writes_costs(client, engine, as_role, item, role):
    as_role(role)
    for name, args in (
        ("cost_new", ()),
        ("cost_edit", (item.pk,)),
        ("amount_new", (item.pk,)),
        ("amount_edit", (item.amounts.get().pk,)),
        ("paper_new", (item.pk,)),
    ):
        assert client.get(at(name, engine, *args)).status_code == 403
        assert client.post(at(name, engine, *args)).status_code == 403
    for name, args in (("costs", ()), ("cost", (item.pk,)), ("costs_csv", ()), ("tally_csv", ())):
        assert client.get(at(name, engine, *args)).status_code == 200


def test_another_engines_cost_is_not_found(client, engine, as_role):
    as_role("lead")
    other = make.cost(make.engine(), "hire", ("paid", DAY, 1))
    for name in ("cost", "cost_edit", "amount_new", "paper_new"):
        assert client.get(at(name, engine, other.pk)).status_code == 404
    assert client.get(at("amount_edit", engine, other.amounts.get().pk)).status_code == 404


def test_a_removed_amount_is_no_longer_counted_and_the_day_is_set_beforehand(
    client, engine, as_role, item
):
    as_role("lead")
    amount = item.amounts.get()
    remove = reverse("parts:row_remove", args=[engine.pk, "costamount", amount.pk])
    answer = client.post(remove, {"reason": "typed twice"})
    assert answer.url == at("cost", engine, item.pk)
    page = words(client.get(answer.url))
    assert "£100" not in page
    new = words(client.get(at("amount_new", engine, item.pk)))
    assert f'value="{timezone.localdate():%Y-%m-%d}"' in new
