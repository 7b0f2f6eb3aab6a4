"""Screens of the fastener schedule and the bar plan, and one stud from the schedule to the cut."""

import csv
import io
import re
from decimal import Decimal

import pytest
from django.contrib.messages import get_messages
from django.utils import timezone

from parts.drafting.bars import Piece, bar_drawing
from parts.engineering.measures import Units
from parts.money.models import CostAmount, CostItem
from parts.record.models import Job, PieceEntry
from parts.workshop.bars.models import BarBlank, BarMove, CutPlan
from parts.workshop.bars.queries.store import bar_store
from parts.workshop.bars.sheets import saw_length
from parts.workshop.fasteners.models import Fastener, Quote
from tests import make
from tests.screens.asking import at

pytestmark = pytest.mark.django_db
DAY = make.FIRST_DAY


@pytest.fixture
def engine():
    return make.engine(shop_rate=Decimal(30))


def words(response) -> str:
    return " ".join(response.content.decode().split())


def said(response) -> str:
    return " ".join(str(m) for m in get_messages(response.wsgi_request))


def test_one_stud_from_the_schedule_to_the_saw(client, engine, as_role):
    as_role("lead")
    today = str(timezone.localdate())
    part = make.part(engine, 4, name="Cover stud", material="steel", fastener=True)
    schedule = words(client.get(at("fasteners", engine)))
    assert "Thread not settled" in schedule
    assert "never lift on one" in schedule

    # Measured: 0.87 in over the crests, 9 threads an inch, 55 degrees; 4 1/2 in long.
    measures = {
        "kind": "stud",
        "head": "none",
        "length_written": "4 1/2",
        "crest_written": "0.87 in",
        "pitch": "9",
        "flank_deg": "55",
        "nuts": 0,
        "spares": 1,
        "minutes_setting": "20",
        "minutes_each": "12",
    }
    answer = client.post(at("fastener_edit", engine, part.pk), measures)
    assert answer.url == at("fastener", engine, part.pk)
    page = words(client.get(answer.url))
    assert 'name="size" value="7/8 in"' in page
    client.post(
        at("fastener_pick", engine, part.pk), {"series": "BSW", "size": "7/8 in", "sure": "on"}
    )
    row = Fastener.objects.get(part=part)
    assert (row.series, row.size, row.sure) == ("BSW", "7/8 in", True)

    # The bar that it is turned from, and a dear quote beside it.
    client.post(
        at("stock_new", engine),
        {"material": "steel", "section": "round", "across_written": "7/8 in",
         "length_written": "3 ft", "price": "9", "supplier": "Corrow"},
    )  # fmt: skip
    client.post(
        at("quote_new", engine, part.pk),
        {"supplier": "Ashpike", "day": today, "each": "40", "carriage": "", "least": 1},
    )
    assert Quote.objects.get().each == 40
    page = words(client.get(at("fastener", engine, part.pk)))
    # Bar: (4 1/2 + 1/8 in, and 3 mm of saw cut) of 36 in at 9.00: 4.743 / 36 x 9 = 1.186 each.
    # 5 to get: (20 + 5 x 12) / 60 x 30 = 40.00 and 5 x 1.186 = 5.93.
    assert "£45.93" in page
    assert "£200.00" in page

    # To make them: 4 missing and 1 spare.
    client.post(at("fastener_choose", engine, part.pk), {"way": "machine", "tally": "on"})
    job = Job.objects.get(part=part)
    assert job.route == "machine"
    assert CostAmount.objects.get().likely == 40

    # Its blank is filled in beforehand: the bar of 7/8 in, 4 1/2 in.
    page = words(client.get(at("blank", engine, job.pk)))
    assert 'value="7/8 in"' in page
    assert 'value="4 1/2 in"' in page
    client.post(
        at("blank", engine, job.pk),
        {"section": "round", "across_written": "7/8 in", "length_written": "4 1/2 in", "faces": 2},
    )
    assert BarBlank.objects.get().length_mm == pytest.approx(114.3)

    # 5 of 4 5/8 in and 1/8 in of saw cut: 5 x 4 3/4 = 23 3/4 in out of one bar of 36 in.
    plan = words(client.get(at("bar_plan", engine)))
    assert "5 of 114 Cover stud" in plan or "Cover stud, 4 5/8 in" in plan
    hidden = dict(re.findall(r'name="(mark|kerf|trim)" value="([^"]+)"', plan))
    answer = client.post(at("bar_plan_freeze", engine), hidden | {"tally": "on"})
    listed = CutPlan.objects.get()
    assert answer.url == at("cut_plan", engine, listed.pk)
    assert CostItem.objects.filter(heading="material").count() == 1
    assert "1 × " in words(client.get(answer.url))
    sheet = client.get(at("cut_plan_pdf", engine, listed.pk))
    assert sheet.content.startswith(b"%PDF")

    # Sawn: 1/4 in off the end, 36 - 1/4 - 23 3/4 = 12 in left, which goes to the store.
    answer = client.post(
        at("cut_plan_cut", engine, listed.pk),
        {"day": today, "keep": "4 in", "stages": "on", "seen": listed.version},
    )
    assert answer.status_code == 302
    (offcut,) = bar_store(engine).in_store
    assert offcut.length_mm == pytest.approx(304)  # whole millimetres, never longer than it is
    assert offcut.on_hand == 1
    reached = PieceEntry.objects.filter(job=job, stage="stock_in")
    assert sum(f.pieces for f in reached) == 5
    assert "Nothing waits to be sawn" in words(client.get(at("bar_plan", engine)))


def test_a_plan_that_changed_since_it_was_seen_is_not_drawn_up(client, engine, as_role):
    as_role("lead")
    job = make.job(make.part(engine, 2, material="steel"), "machine", 2)
    make.blank(job, length=400.0)
    make.bar(engine, length=1000.0, price="5")
    plan = words(client.get(at("bar_plan", engine)))
    hidden = dict(re.findall(r'name="(mark|kerf|trim)" value="([^"]+)"', plan))
    make.bar(engine, 1, length=900.0)
    answer = client.post(at("bar_plan_freeze", engine), hidden)
    assert "changed since you saw it" in said(answer)
    assert not CutPlan.objects.exists()


def test_a_blank_too_long_stands_beside_its_sentence_and_the_rest_is_drawn(client, engine, as_role):
    as_role("helper")
    for name, length in (("Tie rod", 1200.0), ("Pin", 200.0)):
        row = make.job(make.part(engine, 1, name=name, material="steel"), "machine", 1)
        make.blank(row, length=length)
    make.bar(engine, length=1000.0, price="5")
    page = words(client.get(at("bar_plan", engine)))
    assert "the longest bar gives" in page
    assert "bar-cuts" in page
    assert "Make this cutting list" not in page  # money is a lead's


def test_the_saw_is_read_as_people_write_it_and_a_wrong_one_is_told(client, engine, as_role):
    as_role("helper")
    page = words(client.get(at("bar_plan", engine) + "?kerf=3/32&trim=1/2"))
    assert 'value="3/32"' in page
    page = words(client.get(at("bar_plan", engine) + "?kerf=wide"))
    assert 'value="wide"' in page
    assert "error" in page


def test_what_cannot_be_booked_is_refused_in_words_and_keeps_what_was_typed(
    client, engine, as_role
):
    as_role("helper")
    bar = make.bar(engine, 2)
    sent = {"way": "out", "bars": 3, "day": str(DAY), "reason": "for the crank pin"}
    page = words(client.post(at("bar_book", engine, bar.pk), sent))
    assert "Only 2 of" in page
    assert "for the crank pin" in page
    assert BarMove.objects.count() == 1


def test_bars_come_into_the_store_with_where_they_are_kept(client, engine, as_role):
    as_role("helper")
    sent = {
        "material": "steel",
        "section": "hexagon",
        "across_written": "1 1/8 in",
        "length_written": "2 m",
        "kept_at": "rack by the door",
        "bars": 3,
        "day": str(DAY),
    }
    assert client.post(at("bar_new", engine), sent).status_code == 302
    page = words(client.get(at("bars", engine)))
    assert "rack by the door" in page
    (line,) = bar_store(engine).in_store
    assert (line.on_hand, round(line.across_mm, 3), line.length_mm) == (3, 28.575, 2000)
    bad = sent | {"across_written": "thick"}
    assert "thick" in words(client.post(at("bar_new", engine), bad))


def test_a_wrong_thread_is_refused_in_words(client, engine, as_role):
    as_role("helper")
    part = make.part(engine, fastener=True)
    sent = {"kind": "bolt", "head": "hexagon", "nuts": 0, "spares": 0, "series": "BSW", "size": "x"}
    page = words(client.post(at("fastener_edit", engine, part.pk), sent))
    assert "no size" in page
    sent |= {"series": "", "size": "", "pitch": "many"}
    page = words(client.post(at("fastener_edit", engine, part.pk), sent))
    assert 'value="many"' in page
    assert not Fastener.objects.exists()
    sent |= {"pitch": "1.75 mm"}
    client.post(at("fastener_edit", engine, part.pk), sent)
    assert Fastener.objects.get().threads_per_inch == pytest.approx(25.4 / 1.75)
    answer = client.post(at("fastener_pick", engine, part.pk), {"series": "no", "size": "1"})
    assert "Choose one of the threads" in said(answer)


def test_a_helper_mends_only_their_own_measures(client, engine, as_role):
    as_role("helper")
    part = make.part(engine, fastener=True)
    make.fastener(part, by=make.member(engine, "lead"))
    assert client.get(at("fastener_edit", engine, part.pk)).status_code == 403
    plain = make.part(engine)
    assert client.get(at("fastener", engine, plain.pk)).status_code == 404


def test_the_table_holds_every_fastener_with_its_sums(client, engine, as_role):
    as_role("reader")
    part = make.part(engine, 8, name="=Stud", material="steel", fastener=True)
    make.fastener(part, "M", "M12x1.75", kind="stud", head="none", length=100.0, spares=2)
    make.quote(part, "4.20", carriage="7.50")
    answer = client.get(at("fasteners_csv", engine))
    (row,) = csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig")))
    assert row["part"] == "'=Stud"
    assert (row["to get"], row["buy: all"], row["thread"]) == ("10", "49.50", "M12 × 1.75")


@pytest.mark.parametrize("size", ["", "&paper=letter"])
def test_the_order_sheet_comes_on_either_paper(client, engine, as_role, size):
    as_role("reader")
    part = make.part(engine, 8, material="steel", fastener=True)
    make.fastener(part, "BSW", "3/4 in", kind="bolt", length=100.0, nuts=1)
    make.quote(part, "4.20", supplier="Nut & Bolt")
    make.job(part, "buy", 8)
    assert "Nut &amp; Bolt" in words(client.get(at("fasteners", engine)))
    answer = client.get(at("fasteners_order", engine) + "?from=Nut%20%26%20Bolt" + size)
    assert answer.content.startswith(b"%PDF")


def test_readers_see_no_store_and_no_way_to_it(client, engine, as_role):
    as_role("reader")
    make.part(engine, 8, fastener=True)
    assert at("bars", engine) not in words(client.get(at("fasteners", engine)))
    assert client.get(at("bars", engine)).status_code == 403


@pytest.mark.parametrize(("name", "queries"), [("fasteners", 11), ("bars", 6), ("bar_plan", 9)])
def test_each_page_takes_as_many_queries_however_much_there_is(
    client, engine, as_role, name, queries, django_assert_num_queries
):
    as_role("lead")

    def grow(n):
        for i in range(n):
            part = make.part(engine, 2, material="steel", fastener=True)
            make.fastener(part, "M", "M12x1.75", length=80.0 + i, minutes_each=5)
            make.quote(part)
            make.blank(make.job(part, "machine", 2), length=80.0 + i)
            make.bar(engine, 1, length=300.0 + i, kept_at="rack")

    grow(2)
    make.bar(engine, length=3000.0, price="9")
    client.get(at(name, engine))
    with django_assert_num_queries(queries):
        client.get(at(name, engine))
    grow(30)
    with django_assert_num_queries(queries):
        assert client.get(at(name, engine)).status_code == 200


def test_what_was_written_is_removed_and_a_bar_that_was_booked_is_not(client, engine, as_role):
    lead = as_role("lead")
    part = make.part(engine, 2, material="steel", fastener=True)
    job = make.job(part, "machine", 2)
    free = make.bar(engine, price="4", by=lead)
    booked = make.bar(engine, 2, by=lead)
    rows = [free, make.quote(part), make.fastener(part), make.blank(job)]
    for row in rows:
        address = at("row_remove", engine, row._meta.model_name, row.pk)
        assert client.get(address).status_code == 200
        assert client.post(address, {"reason": "typed twice"}).status_code == 302
        row.refresh_from_db()
        assert row.removed_at is not None, row
    address = at("row_remove", engine, "bar", booked.pk)
    assert "were booked" in words(client.post(address, {"reason": "gone"}))


def test_lengths_on_the_saw_sheet_are_in_the_units_of_the_engine():
    metric, inches = Units.metric(), Units.customary()
    assert saw_length(92.075, metric) == "92.1 mm"
    assert saw_length(92.075, inches) == "3 5/8 in"


def test_a_drawn_bar_is_to_scale():
    pieces = [Piece("7", 400.0, 0.0), Piece("8", 200.0, 403.0)]
    drawing = bar_drawing(
        1000.0, pieces, 394.0, kerf_mm=3.0, longest_mm=2000.0, width=802.0, title="A bar"
    )
    # 800 px for 2000 mm: the bar is 400 px long, its first cut at 1 + 160 px, 1.2 px wide.
    assert 'width="400"' in drawing
    assert 'x="161"' in drawing
    assert ">7</text>" in drawing
    assert ">400 mm</text>" in drawing
    assert "<title>A bar</title>" in drawing
