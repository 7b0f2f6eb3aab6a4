"""Ways side by side: what the record suggests, worked by hand; and choosing one."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from parts.decide import actions as decide_actions
from parts.decide.models import Option
from parts.decide.queries import decide_page
from parts.money.models import CostAmount, CostItem
from parts.record.actions import entries
from parts.record.actions.saving import Refused
from parts.record.models import Change
from parts.workshop.bars.models import Bar
from parts.workshop.fasteners.models import Quote
from parts.workshop.metal.models import MetalLot, MetalMove
from tests import make

pytestmark = pytest.mark.django_db
DAY = date(2026, 3, 1)


@pytest.fixture
def part():
    return make.part(make.engine(shop_rate=Decimal(20)), 2, material="cast_iron")


def _way(part, key):
    return decide_page(part, DAY).option(key)


def test_every_way_stands_there_and_says_what_is_not_there_yet(part):
    shown = decide_page(part, DAY)
    assert [one.way for one in shown.options] == list(Option.Way.values)
    assert shown.pieces == 2
    assert shown.option("buy").wants == ["No quote."]
    assert "No pattern is made." in shown.option("cast").wants
    assert shown.option("repair").wants == [
        "No piece that is beyond repair lies here to be mended."
    ]
    assert shown.option("leave_off").likely == 0
    assert shown.option("search").wants == []


def test_casting_takes_the_metal_at_what_the_store_is_worth(part):
    # Plates of 100 x 100 x 20 mm weigh 1.44 kg; two are 2.88 kg. The yield of iron is 0.65:
    # 4.4308 kg poured, and more by the melting loss is charged. 10 kg at 0.50 and 30 kg at 0.90
    # are worth (5 + 27)/40 = 0.80 a kilogram.
    make.body(part, "plate", {"width": 100, "length": 100, "thickness": 20})
    engine = part.engine
    for kg, price in ((10, "0.50"), (30, "0.90")):
        lot = MetalLot.objects.create(
            engine=engine, name=price, material="cast_iron", value_per_kg=Decimal(price)
        )
        MetalMove.objects.create(engine=engine, lot=lot, day=DAY, kg=kg)
    cast = _way(part, "cast")
    charge = cast.guess.calculation
    assert charge.value > 4.43
    assert cast.likely == Decimal(str(round(charge.value * 0.80, 2)))
    assert cast.low < cast.likely < cast.high
    assert not any("Not enough" in said for said in cast.wants)
    MetalMove.objects.update(kg=1)
    assert any("Not enough cast iron in the store" in said for said in _way(part, "cast").wants)


def test_casting_counts_no_scrap_that_does_not_suit_and_says_what_stock_is_left_out(part):
    part.name = "Piston ring"
    part.save()
    make.body(part, "plate", {"width": 100, "length": 100, "thickness": 20})
    make.lot(part.engine, 40, material="cast_iron", scrap_key="sash_weights", value_per_kg=1)
    wants = _way(part, "cast").wants
    assert any("Not enough cast iron in the store" in said for said in wants)
    assert any("Short by the finishing stock" in said for said in wants)
    make.lot(part.engine, 40, material="cast_iron", scrap_key="engine_blocks", value_per_kg=1)
    assert not any("Not enough" in said for said in _way(part, "cast").wants)


def test_machining_takes_the_narrowest_bar_that_has_a_price(part):
    # Two blanks of 94 + 6 mm out of a bar of 1000 mm at 30: 30 x 100/1000 x 2 = 6, or one whole
    # bar, 30. The wider bar is dearer and stays where it is.
    part.material = "steel"
    part.save()
    make.body(part, "bar", {"diameter": 20, "length": 94})
    for across, price in ((18, "1"), (20, "30"), (50, "90")):
        Bar.objects.create(
            engine=part.engine, material="steel", across_written=f"{across} mm", across_mm=across,
            length_written="1 m", length_mm=1000, price=Decimal(price),
        )  # fmt: skip
    machine = _way(part, "machine")
    assert (machine.low, machine.likely, machine.high) == (6, 6, 30)


def test_buying_takes_the_quotes_that_still_hold(part):
    def quote(each, **fields):
        of = {"engine": part.engine, "part": part, "each": Decimal(each)}
        return Quote.objects.create(**of, **fields)

    quote(50, supplier="A", day=DAY - timedelta(60), good_until=DAY - timedelta(1))
    assert _way(part, "buy").wants == ["Every quote has lapsed."]
    # Two at 12 and 5 for carriage is 29; four is the least order at 9: 36.
    quote(12, supplier="B", day=DAY - timedelta(9), carriage=5)
    quote(9, supplier="C", day=DAY - timedelta(3), least=4)
    buy = _way(part, "buy")
    assert (buy.low, buy.likely, buy.high) == (29, 36, 36)
    assert "C of 26 Feb 2026" in buy.guess.how


def test_what_is_written_down_stands_above_what_is_suggested(part):
    decide_actions.add_option(
        Option(
            engine=part.engine, part=part, way="buy", low=10, likely=20, high=30, hours=3,
            wants="Drawing for the supplier",
        ),
        by=None,
    )  # fmt: skip
    buy = _way(part, "buy")
    assert buy.likely == 20
    assert buy.hours_cost == 60
    assert buy.wants == ["Drawing for the supplier", "No quote."]
    with pytest.raises(Refused, match="weighed already"):
        decide_actions.add_option(
            Option(engine=part.engine, part=part, way="buy", low=1, likely=1, high=1), by=None
        )


def test_a_way_of_job_becomes_a_job_with_its_estimate_once(part):
    by = make.user()
    estimate = decide_actions.Estimate(Decimal(80), Decimal(100), Decimal(140))
    job = decide_actions.choose(
        part, "cast", 2, day=DAY, by=by, reason="Pattern at hand", estimate=estimate, who="Ned"
    )
    item = CostItem.objects.get()
    assert (item.job, item.part, item.heading) == (job, part, "castings")
    amount = CostAmount.objects.get()
    assert (amount.basis, amount.low, amount.likely, amount.high) == ("estimated", 80, 100, 140)
    shown = decide_page(part, DAY)
    assert shown.pieces == 0
    assert shown.open_jobs == [job]
    assert shown.decisions[0].words == "2 decided: cast"
    assert shown.decisions[0].reason == "Pattern at hand"
    # Reopened, the page says so and stands open again.
    entries.withdraw(job, 2, day=DAY + timedelta(1), by=by, reason="One turned up")
    shown = decide_page(part, DAY + timedelta(1))
    assert (shown.pieces, shown.open_jobs) == (2, [])
    assert shown.decisions[0].words == "2 reopened: cast"
    assert shown.decisions[0].reason == "One turned up"


def test_leaving_off_is_a_dated_entry_with_its_reason(part):
    with pytest.raises(Refused, match="Say why"):
        decide_actions.choose(part, "leave_off", 1, day=DAY, by=None, reason=" ")
    decide_actions.choose(part, "leave_off", 1, day=DAY, by=None, reason="The wall stands there")
    shown = decide_page(part, DAY)
    assert shown.pieces == 1
    assert shown.decisions[0].words == "1 decided: leave off"


def test_searching_on_is_kept_with_who_and_why(part):
    by = make.user(first_name="Ann")
    day = timezone.localdate()
    row = decide_actions.choose(part, "search", 2, day=day, by=by, reason="The pit is not dug yet")
    assert "The pit is not dug yet" in row.note
    row = decide_actions.choose(part, "search", 2, day=day, by=by, reason="Nor the drain")
    assert row.version == 2
    assert Option.objects.count() == 1
    assert Change.objects.filter(kind="option").exclude(reason="").count() == 2
    shown = decide_page(part, day)
    assert {one.reason for one in shown.decisions} == {"The pit is not dug yet", "Nor the drain"}
    assert shown.decisions[0].who == "Ann"
    assert shown.pieces == 2  # it is still to be decided how the piece is replaced


def test_the_page_takes_as_many_queries_however_much_there_is(part, django_assert_num_queries):
    make.body(part, "bar", {"diameter": 20, "length": 94})

    def count() -> int:
        from django.db import connection
        from django.test.utils import CaptureQueriesContext

        with CaptureQueriesContext(connection) as told:
            decide_page(part, DAY)
        return len(told)

    def grow(n):
        for k in range(n):
            Quote.objects.create(
                engine=part.engine, part=part, supplier=f"S{k}", day=DAY, each=Decimal(k + 1)
            )
            lot = MetalLot.objects.create(engine=part.engine, name="L", material="cast_iron")
            MetalMove.objects.create(engine=part.engine, lot=lot, day=DAY, kg=1)
            make.job(part, "buy", 1)

    grow(2)
    few = count()
    grow(30)
    with django_assert_num_queries(few):
        decide_page(part, DAY)
