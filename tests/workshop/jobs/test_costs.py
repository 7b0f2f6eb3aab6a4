"""What a job, a receipt and a pour write is said before or after it, and counts once."""

import html
import re
from datetime import timedelta
from decimal import Decimal as D

import pytest
from django.contrib.messages import get_messages
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from parts.decide.models import Option
from parts.engineering.materials import properties
from parts.money import actions as money_actions
from parts.money.models import CostAmount, CostItem
from parts.money.queries.tally import cost_tally
from parts.record.actions import entries
from parts.record.actions.saving import Refused
from parts.record.models import Job, PieceEntry
from parts.workshop.jobs.queries.job import job_status
from parts.workshop.metal.models import MetalMove
from parts.workshop.pours.actions import pours
from parts.workshop.pours.actions.pours import Result, Weighed
from tests import make
from tests.screens.asking import at

pytestmark = pytest.mark.django_db
DAY = make.FIRST_DAY


@pytest.fixture(autouse=True)
def lead(client, engine):
    person = make.member(engine, "lead")
    client.force_login(person)
    return person


def words(response) -> str:
    return html.unescape(" ".join(response.content.decode().split()))


def said(response) -> str:
    return " ".join(str(m) for m in get_messages(response.wsgi_request))


def sums(text: str) -> set[str]:
    """The sums of money in a text."""
    return set(re.findall(r"£\d+(?:,\d{3})*(?:\.\d\d)?", text))


def shown(response) -> set[str]:
    """What a page shows without its wording: sums, values of fields, links."""
    page = words(response)
    return sums(page) | set(re.findall(r'(?:href|value)="([^"#]*)', page))


def to_settle(response, form: str = "asks") -> dict:
    """The costs that are offered to be settled, by key, with what is still to come of each."""
    return {line.pk: line.to_come.likely for line in response.context[form].lines}


def total(engine) -> D:
    return cost_tally(engine).total.likely


@pytest.fixture
def brass(engine):
    """A part that was estimated at 80, 100, 140 before anything was decided."""
    part = make.part(engine, 2, name="Brass", material="bronze")
    make.cost(engine, "castings", ("estimated", DAY, 80, 100, 140), part=part, what="Two brasses")
    return part


def receipt(part, amount="90", **more):
    sent = {
        "heading": "castings", "what": "Castings collected", "item_number": part.item,
        "supplier": "A foundry", "amount-basis": "paid", "amount-likely": amount,
        "amount-day": str(DAY),
    }  # fmt: skip
    return sent | more


def asked_for(engine, part, client, **more):
    return client.post(at("cost_new", engine), receipt(part, **more))


def test_a_job_shows_the_costs_of_its_part(client, engine, brass):
    (item,) = CostItem.objects.all()
    for route, pieces, counted in (("cast", 2, True), ("machine", 1, False)):
        job = make.job(brass, route, pieces)
        answer = client.get(at("job", engine, job.pk))
        assert {item.get_absolute_url(), "£100"} <= shown(answer)
        assert answer.context["costs"].counted is counted


def test_the_page_of_a_job_takes_as_many_queries_however_many_costs(client, engine, brass):
    job = make.job(brass, "cast", 2)

    def asks():
        with CaptureQueriesContext(connection) as asked:
            client.get(at("job", engine, job.pk))
        return len(asked)

    few = asks()
    for n in range(20):
        make.cost(engine, "castings", ("paid", DAY, n), part=brass)
        make.cost(engine, "castings", ("paid", DAY, n), part=brass, job=job)
    assert asks() == few


def test_a_receipt_for_a_part_asks_which_estimate_it_settles(client, engine, brass):
    answer = asked_for(engine, brass, client)
    (item,) = CostItem.objects.all()
    assert to_settle(answer) == {item.pk: 100}
    assert {"Castings collected", "90"} <= shown(answer)
    assert CostAmount.objects.count() == 1
    sent = {"settles_asked": "yes"}
    assert asked_for(engine, brass, client, **sent).context["asks"].errors.keys() == {"settles"}
    sent["settles"] = [item.pk]
    (question,) = asked_for(engine, brass, client, **sent).context["asks"].errors["rest"]
    assert sums(question) == {"£90", "£100", "£80", "£140", "£10"}
    answer = asked_for(engine, brass, client, **sent, rest="True")
    assert answer.url == item.get_absolute_url()
    assert "£90" in said(answer)
    assert total(engine) == 90
    paid = item.amounts.get(basis="paid")
    assert (paid.settles, paid.note) == (True, "Castings collected, A foundry")
    assert CostItem.objects.count() == 1


def test_the_rest_of_an_estimate_may_stand(client, engine, brass):
    (item,) = CostItem.objects.all()
    sent = {"settles_asked": "yes", "settles": [item.pk], "rest": "False"}
    asked_for(engine, brass, client, **sent)
    assert total(engine) == 100
    assert cost_tally(engine).spent == 90


def test_what_is_paid_above_the_estimate_counts_and_asks_nothing_more(client, engine, brass):
    (item,) = CostItem.objects.all()
    sent = {"settles_asked": "yes", "settles": [item.pk], "amount-likely": "150"}
    assert asked_for(engine, brass, client, **sent).status_code == 302
    assert total(engine) == 150


def test_a_further_cost_is_added_when_that_is_said(client, engine, brass):
    sent = {"settles_asked": "yes", "settles": ["none"]}
    answer = asked_for(engine, brass, client, **sent)
    assert answer.url == CostItem.objects.get(what="Castings collected").get_absolute_url()
    assert "£90" in said(answer)
    assert total(engine) == 190


def test_one_receipt_settles_several_estimates(client, engine, brass):
    make.cost(engine, "machining", ("estimated", DAY, 50), part=brass, what="Boring them")
    items = list(CostItem.objects.order_by("what"))
    sent = {"settles_asked": "yes", "settles": [i.pk for i in items], "rest": "True"}
    answer = asked_for(engine, brass, client, **sent | {"settles": ["none", items[0].pk]})
    assert answer.context["asks"].errors.keys() == {"settles"}
    asked_for(engine, brass, client, **sent | {"amount-likely": "100.01"})
    # 100.01 by what is to come of each, 50 and 100: a third and two thirds, to the penny.
    paid = [item.amounts.get(basis="paid").likely for item in items]
    assert paid == [D("33.34"), D("66.67")]
    assert total(engine) == D("100.01")


def test_a_receipt_is_written_whole_with_its_paper_or_not_at_all(engine, brass, lead):
    (item,) = CostItem.objects.all()
    further = CostItem(engine=engine, heading="carriage", what="Carriage")
    lines = [money_actions.ReceiptLine(further, D(12)), money_actions.ReceiptLine(item, D(90))]
    with pytest.raises(Refused, match="Say whether the rest of “Two brasses” is still to come"):
        money_actions.book_receipt(lines, day=DAY, by=lead)
    assert total(engine) == 100
    further = CostItem(engine=engine, heading="carriage", what="Carriage")
    lines = [
        money_actions.ReceiptLine(further, D(12)),
        money_actions.ReceiptLine(item, D(90), False),
    ]
    file = SimpleUploadedFile("receipt.pdf", b"%PDF-1.7\nan invented receipt\n%%EOF\n")
    paper = {"file": file, "kind": "receipt", "name": "Receipt 7", "day": DAY}
    money_actions.book_receipt(lines, day=DAY, paper=paper, by=lead)
    assert total(engine) == 102
    assert further.papers.get().name == "Receipt 7"
    with pytest.raises(Refused, match="once"):
        money_actions.book_receipt([lines[1], lines[1]], day=DAY, by=lead)


def test_an_order_takes_the_place_of_the_estimate_it_settles(client, engine, brass):
    (item,) = CostItem.objects.all()
    sent = {"settles_asked": "yes", "settles": [item.pk], "amount-basis": "ordered"}
    asked_for(engine, brass, client, **sent)
    assert total(engine) == 90
    assert cost_tally(engine).committed.likely == 90


def test_a_payment_below_the_order_asks_whether_the_rest_stands(client, engine):
    item = make.cost(engine, "hire", ("ordered", DAY, 118), what="Crane")
    sent = {"basis": "paid", "likely": "50", "day": str(DAY)}
    address = at("amount_new", engine, item.pk)
    (question,) = client.post(address, sent).context["form"].errors["settles"]
    assert sums(question) == {"£50", "£118", "£68"}
    client.post(address, sent | {"settles": "False"})
    assert total(engine) == 118
    client.post(address, sent | {"settles": "True"})
    assert total(engine) == 100
    # Mended, the amount itself is not counted as paid before.
    first = item.amounts.filter(settles=True).get()
    edit = at("amount_edit", engine, first.pk)
    answer = client.post(edit, sent | {"likely": "40", "seen": first.version})
    (question,) = answer.context["form"].errors["settles"]
    assert sums(question) >= {"£90", "£118"}


def test_the_tick_for_the_costs_says_when_there_is_nothing_to_add(client, engine):
    part = make.part(engine, 1, name="Gland")
    sent = {"route": "fabricate", "pieces": 1, "day": str(DAY), "into_tally": "on", "reason": "x"}
    for route in ("fabricate", "search"):  # without figures yet, and without a cost at all
        answer = client.post(at("decide", engine, part.pk), sent | {"route": route})
        assert answer.context["form"].errors.keys() == {"into_tally"}
        assert not Job.objects.exists()


def test_an_estimate_written_when_deciding_replaces_the_one_of_the_part(client, engine, brass):
    Option.objects.create(
        engine=engine, part=brass, way="cast", low=D(60), likely=D(70), high=D(90)
    )
    sent = {"route": "cast", "pieces": 2, "day": str(DAY), "into_tally": "on", "reason": "x"}
    answer = client.post(at("decide", engine, brass.pk), sent)
    (item,) = CostItem.objects.all()
    assert to_settle(answer) == {item.pk: 100}
    assert not Job.objects.exists()
    answer = client.post(
        at("decide", engine, brass.pk), sent | {"settles_asked": "yes", "settles": [item.pk]}
    )
    assert sums(said(answer)) == {"£70", "£60", "£90"}
    item.refresh_from_db()
    assert item.job == Job.objects.get()
    assert total(engine) == 70


def test_the_estimate_kept_beneath_a_quote_is_said_to_add_nothing(client, engine, brass):
    (item,) = CostItem.objects.all()
    CostAmount.objects.create(
        item=item, basis="quoted", day=DAY, low=D(120), likely=D(120), high=D(120)
    )
    Option.objects.create(
        engine=engine, part=brass, way="cast", low=D(60), likely=D(70), high=D(90)
    )
    sent = {
        "route": "cast", "pieces": 2, "day": str(DAY), "into_tally": "on", "reason": "x",
        "settles_asked": "yes", "settles": [item.pk],
    }  # fmt: skip
    answer = client.post(at("decide", engine, brass.pk), sent)
    assert "adds nothing" in said(answer)
    assert total(engine) == 120


def test_a_withdrawn_job_says_that_its_costs_still_count(client, engine, brass):
    job = make.job(brass, "cast", 2)
    make.cost(engine, "castings", ("ordered", DAY, 45), part=brass, job=job)
    sent = {"pieces": 2, "day": str(DAY), "reason": "one turned up"}
    answer = client.post(at("job_withdraw", engine, job.pk), sent)
    assert sums(said(answer)) == {"£45"}


def test_the_price_of_a_fastener_asks_about_other_costs_of_it(client, engine):
    part = make.part(engine, 4, fastener=True, material="steel", name="Stud")
    make.fastener(part, "BSW", "3/4", length=100)
    make.quote(part, "4.00")
    item = make.cost(engine, "fasteners", ("estimated", DAY, 20), part=part, what="Studs, a guess")
    address = at("fastener_choose", engine, part.pk)
    answer = client.post(address, {"way": "buy", "tally": "on"})
    assert to_settle(answer, "form") == {item.pk: 20}
    assert not Job.objects.exists()
    sent = {"way": "buy", "tally": "on", "settles_asked": "yes", "settles": [item.pk]}
    answer = client.post(address, sent)
    assert sums(said(answer)) == {"£16"}
    assert total(engine) == 16
    # The same again has nothing to write, and warns of it.
    answer = client.post(address, {"way": "buy", "tally": "on"})
    assert "warning" in {m.level_tag for m in get_messages(answer.wsgi_request)}
    assert total(engine) == 16


def test_fitted_on_a_job_with_no_stage_reached_asks_first(client, engine):
    part = make.part(engine, 2)
    job = make.job(part, "cast", 2)
    address = at("job_fit", engine, job.pk)
    sent = {"pieces": 2, "day": str(DAY), "reason": "by the old owner"}
    answer = client.post(address, sent)
    assert "by the old owner" in words(answer)
    assert not PieceEntry.objects.filter(job=job, kind="fitted").exists()
    also = answer.context["form"]["also"].value()
    assert also.count(" 2") == 7
    assert client.post(address, sent | {"also": also}).status_code == 302
    sheet = job_status(job)
    assert sheet.fitted == 2
    assert {stage.reached for stage in sheet.stages} == {2}


def test_what_changed_meanwhile_is_asked_about_again(client, engine):
    job = make.job(make.part(engine, 2), "buy", 2)
    address = at("job_fit", engine, job.pk)
    sent = {"pieces": 2, "day": str(DAY), "also": "priced 2, ordered 2, received 2"}
    entries.reach(job, "priced", 1, day=DAY, by=None)
    assert "priced 1, ordered 2, received 2" in words(client.post(address, sent))
    assert job_status(job).fitted == 0


def test_the_next_stage_alone_asks_nothing(client, engine):
    job = make.job(make.part(engine, 2), "buy", 2)
    sent = {"stage": "priced", "pieces": 2, "day": str(DAY)}
    assert client.post(at("job_reach", engine, job.pk), sent).status_code == 302
    skipped = {"stage": "received", "pieces": 1, "day": str(DAY)}
    assert "ordered 1" in words(client.post(at("job_reach", engine, job.pk), skipped))
    assert not PieceEntry.objects.filter(stage__in=["ordered", "received"]).exists()


def test_a_change_of_nothing_is_not_called_a_change(client, engine):
    job = make.job(make.part(engine), "buy", 1)
    sent = {"seen": job.version}
    same = said(client.post(at("job_edit", engine, job.pk), sent))
    other = said(client.post(at("job_edit", engine, job.pk), sent | {"who": "N. Hollis"}))
    assert same not in ("", other)
    assert job.__class__.objects.get().who == "N. Hollis"


# Pours


@pytest.fixture
def bush(engine):
    part = make.part(engine, 3, name="Bush", material="bronze", mass_kg=1.0)
    return make.job(part, "cast", 3)


@pytest.fixture
def pour(engine, bush):
    return make.pour(engine, (bush, 2, 1.5))


@pytest.fixture
def ingot(engine):
    inside = dict(properties.alloy("C93200").nominal)
    return make.lot(engine, 20, name="Ingot", known="known", percent=inside, value_per_kg=D("8.00"))


def result(pour, lot, **more):
    (casting,) = pour.castings.all()
    sent = {
        "poured_on": str(timezone.localdate()), f"good_{casting.pk}": 2, "back": "1 kg",
        f"lot_{lot.pk}": "4 kg", "costs-what_0": "Propane", "costs-amount_0": "",
        "stages": f"{casting.job.part}: measured 2, drawn 2, pattern made 2, moulded 2, "
        "poured 2",
    }  # fmt: skip
    return sent | more


def test_what_a_pour_marks_as_reached_is_said_before_it_is_saved(client, engine, pour, ingot):
    address = at("pour_done", engine, pour.pk)
    stages = "measured 2, drawn 2, pattern made 2, moulded 2, poured 2"
    assert stages in words(client.get(address))
    answer = client.post(address, result(pour, ingot, stages=""))
    assert stages in words(answer)
    assert not PieceEntry.objects.filter(kind="stage").exists()
    assert client.post(address, result(pour, ingot)).status_code == 302
    assert PieceEntry.objects.filter(kind="stage").count() == 5


def test_empty_returns_ask_and_book_nothing(client, engine, pour, ingot):
    address = at("pour_done", engine, pour.pk)
    for field, value in (("back", ""), ("back", "0 kg"), ("nothing_back", "on")):
        answer = client.post(address, result(pour, ingot, **{field: value}))
        assert answer.context["form"].errors.keys() == {field}
    assert not MetalMove.objects.filter(pour=pour).exists()
    client.post(address, result(pour, ingot, back="", nothing_back="on"))
    assert MetalMove.objects.get(pour=pour).kg == -4.0


def test_good_ones_and_metal_are_asked_for_and_never_filled_in(client, engine, pour, ingot):
    (casting,) = pour.castings.all()
    address = at("pour_done", engine, pour.pk)
    page = words(client.get(address))
    for name in (f"good_{casting.pk}", f"lot_{ingot.pk}"):
        field = re.search(rf'<input[^>]*name="{name}"[^>]*>', page)[0]
        assert "value=" not in field
    answer = client.post(address, result(pour, ingot, **{f"good_{casting.pk}": ""}))
    assert f"good_{casting.pk}" in answer.context["form"].errors
    pours.set_aside(pour, {ingot: Weighed(3.5, "3.5 kg", "kg")}, by=None)
    assert 'value="3.5 kg"' in words(client.get(address))


def test_a_pour_books_metal_and_fuel_to_its_castings_and_says_so(client, engine, bush, pour, ingot):
    gas = make.cost(engine, "other", ("paid", DAY, 50), what="Propane, a bottle")
    sent = {"costs-amount_0": "6.50", "costs-cost_0": gas.pk}
    answer = client.post(at("pour_done", engine, pour.pk), result(pour, ingot, **sent))
    # (4 − 1) kg at 8.00, and 6.50.
    assert "£30.50" in sums(said(answer))
    (item,) = CostItem.objects.filter(pour=pour)
    assert (item.job, item.heading) == (bush, "castings")
    answer = client.get(at("pour", engine, pour.pk))
    assert {item.get_absolute_url(), "£30.50"} <= shown(answer)
    assert "32.00 − 8.00 + 6.50 = 30.50" in words(answer)
    page = client.get(item.get_absolute_url())
    assert {at("pour", engine, pour.pk), gas.get_absolute_url()} <= shown(page)
    page = client.get(at("job", engine, bush.pk))
    assert {at("pour", engine, pour.pk), "£30.50"} <= shown(page)
    assert "£6.50" in shown(client.get(gas.get_absolute_url()))
    assert total(engine) == D("74.00")  # 50 paid for gas, and 24 of metal that no bill tells of


def test_the_lot_names_the_cost_it_was_bought_under(client, engine, pour, ingot):
    bill = make.cost(engine, "material", ("paid", DAY, 160), what="Twenty kilograms of ingot")
    client.post(at("pour_done", engine, pour.pk), result(pour, ingot))
    assert total(engine) == 184
    sent = {
        "name": "Ingot", "material": "bronze", "known": "known", "composition": "C93200",
        "value": "8.00", "bought_as": bill.pk, "seen": ingot.version,
    }  # fmt: skip
    client.post(at("lot_edit", engine, ingot.pk), sent)
    assert total(engine) == 160
    assert "£136" in shown(client.get(bill.get_absolute_url()))
    assert bill.get_absolute_url() in shown(client.get(at("lot", engine, ingot.pk)))


def test_given_metal_costs_nothing_and_says_so(client, engine, bush, pour):
    given = make.lot(engine, 20, name="Old bushes", value_per_kg=D(0))
    answer = client.post(at("pour_done", engine, pour.pk), result(pour, given))
    assert "Old bushes" in said(answer)
    assert at("pour", engine, pour.pk) in shown(client.get(at("job", engine, bush.pk)))
    assert total(engine) == 0


def test_fuel_is_booked_afterwards_and_the_whole_is_undone(client, engine, bush, pour, ingot):
    client.post(at("pour_done", engine, pour.pk), result(pour, ingot))
    address = at("pour_costs", engine, pour.pk)
    sent = {"costs-what_0": "Propane", "costs-amount_0": "", "costs-amount_1": "4"}
    assert client.post(address, sent).status_code == 200
    assert total(engine) == 24
    sent |= {"costs-amount_0": "6.50", "costs-what_1": "Flux"}
    answer = client.post(address, sent)
    assert "£34.50" in sums(said(answer))
    assert {"6.50", "Flux"} <= shown(client.get(address))
    answer = client.post(at("pour_undo", engine, pour.pk), {"reason": ""})
    assert answer.context["form"].errors.keys() == {"reason"}
    client.post(at("pour_undo", engine, pour.pk), {"reason": "it was pour 2"})
    pour.refresh_from_db()
    assert pour.poured_on is None
    assert total(engine) == 0
    assert not PieceEntry.objects.filter(kind="stage").exists()
    assert not MetalMove.objects.filter(pour=pour).exists()
    assert client.post(at("pour_done", engine, pour.pk), result(pour, ingot)).status_code == 302
    assert total(engine) == 24


def test_a_pour_whose_returns_were_used_since_is_not_undone(client, engine, bush, pour, ingot):
    client.post(at("pour_done", engine, pour.pk), result(pour, ingot))
    back = MetalMove.objects.get(pour=pour, kg__gt=0)
    MetalMove.objects.create(engine=engine, lot=back.lot, day=timezone.localdate(), kg=-0.4)
    answer = client.post(at("pour_undo", engine, pour.pk), {"reason": "it was pour 2"})
    assert "does not hold so much" in words(answer)
    pour.refresh_from_db()
    assert pour.poured_on is not None
    assert total(engine) == 24


def test_what_a_pour_booked_is_changed_and_undone_only_there(client, engine, pour, ingot):
    client.post(at("pour_done", engine, pour.pk), result(pour, ingot))
    (item,) = CostItem.objects.filter(pour=pour)
    page = words(client.get(item.get_absolute_url()))
    assert at("amount_new", engine, item.pk) not in page
    sent = {"basis": "paid", "likely": "5", "day": str(DAY)}
    page = words(client.post(at("amount_new", engine, item.pk), sent))
    assert "Pour 1 booked this cost" in page
    page = words(
        client.post(at("row_remove", engine, "costitem", item.pk), {"reason": "typed twice"})
    )
    assert "Pour 1 booked this cost" in page
    assert total(engine) == 24


def test_a_helper_records_a_pour_and_a_lead_books_its_fuel(client, engine, pour, ingot):
    client.force_login(make.member(engine, "helper"))
    page = words(client.get(at("pour_done", engine, pour.pk)))
    assert "costs-amount_0" not in page
    client.post(at("pour_done", engine, pour.pk), result(pour, ingot))
    assert total(engine) == 24
    assert client.get(at("pour_costs", engine, pour.pk)).status_code == 403
    assert client.get(at("pour_undo", engine, pour.pk)).status_code == 403


def test_the_page_of_a_poured_pour_takes_as_many_queries_however_many_castings(client, engine):
    lot = make.lot(engine, 200, value_per_kg=D(3))

    def asks(n):
        jobs = [make.job(make.part(engine, 1, material="bronze"), "cast") for _ in range(n)]
        row = make.pour(engine, *((m, 1, 1.0) for m in jobs), pot=make.crucible(engine, 90.0))
        good = {c.pk: Result(1) for c in row.castings.all()}
        day = DAY + timedelta(days=1)
        pours.record_result(row, {"poured_on": day}, good, {lot: Weighed(n * 1.5)}, by=None)
        client.get(at("pour", engine, row.pk))
        with CaptureQueriesContext(connection) as asked:
            client.get(at("pour", engine, row.pk))
        return len(asked)

    assert asks(2) == asks(25)
