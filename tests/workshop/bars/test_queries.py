"""The bar plan and the bar store, worked by hand on a small engine."""

from decimal import Decimal

import pytest

from parts.engineering.bars.cutting_list import Cutting
from parts.money.models import CostAmount, CostItem
from parts.money.queries.costs import add_up, cost_lines
from parts.record.actions import entries
from parts.record.actions.saving import Clash, Refused
from parts.record.models import Change
from parts.workshop.bars import actions as bars_actions
from parts.workshop.bars.models import Bar, BarMove, CutPlan
from parts.workshop.bars.queries.plan import (
    bar_estimate,
    bar_jobs,
    cut_lists,
    live_plan,
    usual_blank,
)
from parts.workshop.bars.queries.store import bar_store
from parts.workshop.jobs.queries.job import job_status
from tests import make

pytestmark = pytest.mark.django_db
DAY = make.FIRST_DAY


@pytest.fixture
def engine():
    return make.engine(length_unit="mm")


def turned(engine, pieces: int, length: float, *, faces=0, across=22.0, **fields):
    """A making of so many pieces from bar, with its blank."""
    part = make.part(engine, pieces, **({"material": "steel"} | fields))
    job = make.job(part, "machine", pieces)
    make.blank(job, across=across, length=length, faces=faces)
    return job


def freeze(engine, plan, cost=None):
    return bars_actions.save_cutting_list(
        engine, plan.cutting, kerf_mm=plan.kerf_mm, end_trim_mm=plan.end_trim_mm, day=DAY,
        by=None, cost=cost,
    )  # fmt: skip


def test_the_cheapest_bars_by_hand(engine):
    # 6 blanks of 897 mm and 1.5 mm on each end: 900 mm as sawn, 903 with the cut.
    # A bar of 2 m gives 2 (1806 of 2003), one of 3 m gives 3 (2709 of 3003).
    # 3 x 10.00 = 30.00, 1 x 10 + ... ; 2 x 14.00 = 28.00 is the least.
    turned(engine, 6, 897.0, faces=2)
    make.bar(engine, length=2000.0, price="10")
    make.bar(engine, length=3000.0, price="14")
    plan = live_plan(engine, 3.0)
    assert plan.cost == Decimal(28)
    assert [(row.bars, row.bar.length_mm) for row in plan.to_buy] == [(2, 3000.0)]
    (kind,) = plan.cutting.kinds
    assert kind.proven
    assert kind.pieces == 6
    (bar,) = kind.bars
    assert [cut.from_mm for cut in bar.cuts] == [0, 903, 1806]
    # 3000 - 3 x 903 = 291 left of each.
    assert bar.left_mm == pytest.approx(291)
    assert plan.calculations[0].value == pytest.approx(28)
    assert plan.calculations[0].unit == "GBP"


def test_metal_saved_against_sawing_the_longest_first(engine):
    # Bars of 1000, no saw cut: 2 of 400 and 4 of 300. Longest first: 400 + 400, three of 300,
    # the last 300: three bars. Better: 400 + 300 + 300 twice: two bars, 1000 mm saved.
    turned(engine, 2, 400.0)
    turned(engine, 4, 300.0)
    make.bar(engine, length=1000.0, price="5")
    (kind,) = live_plan(engine, 0.0).cutting.kinds
    assert (kind.cost, kind.by_hand_cost, kind.by_hand_bars) == (10, 15, 3)
    assert kind.saved_mm == pytest.approx(1000)
    assert kind.gap == 0


def test_offcuts_in_the_store_are_used_before_bars_are_bought(engine):
    # Offcuts of 450 take one of 400 each; there are 2, and 3 are wanted.
    turned(engine, 3, 400.0)
    make.bar(engine, 2, length=450.0, offcut=True)
    make.bar(engine, length=1000.0, price="5")
    plan = live_plan(engine, 3.0)
    assert plan.cost == Decimal(5)
    assert sum(plan.cutting.from_store.values()) == 2


def test_a_blank_longer_than_any_bar_is_told_and_the_rest_planned(engine):
    turned(engine, 1, 1200.0, name="Tie rod")
    turned(engine, 2, 300.0, name="Pin")
    turned(engine, 1, 100.0, across=50.0, name="Collar")
    make.bar(engine, length=1000.0, price="5")
    plan = live_plan(engine, 3.0, 10.0)
    sentences = " ".join(out.sentence for out in plan.left_out)
    assert "Tie rod is 1200 mm long as sawn, and the longest bar gives 990 mm" in sentences
    assert "No steel round bar of 50 mm is in the store or listed to buy" in sentences
    assert plan.pieces == 2


def test_without_enough_bars_the_sentence_says_what_is_left(engine):
    turned(engine, 5, 400.0)
    make.bar(engine, 1, length=1000.0)
    turned(engine, 1, 100.0, material="brass")
    make.bar(engine, length=500.0, price="9", material="brass")
    plan = live_plan(engine, 3.0)
    assert "not enough bars" in plan.left_out[0].sentence
    assert plan.pieces == 1


def test_a_job_without_a_blank_is_told(engine):
    make.job(make.part(engine, 4, material="steel"), "machine", 4)
    plan = live_plan(engine, 3.0)
    assert [one.pieces for one in plan.no_blank] == [4]
    assert plan.pieces == 0


def test_where_a_price_is_missing_the_least_length_is_taken(engine):
    turned(engine, 2, 400.0)
    make.bar(engine, length=1000.0, price="5")
    make.bar(engine, length=900.0)
    plan = live_plan(engine, 3.0)
    assert (plan.cost, plan.unpriced) == (0, 1)
    assert not plan.cutting.kinds[0].priced
    assert "no price for every bar" in plan.calculations[0].verdict.lower()


def test_sizes_that_are_written_otherwise_are_one_bar(engine):
    # 7/8 in is 22.225 mm; a bar sold as 22.2 mm is the same.
    turned(engine, 1, 100.0, across=22.225)
    make.bar(engine, across=22.2, length=500.0, price="1")
    assert live_plan(engine, 3.0).pieces == 1


def test_the_usual_blank_comes_from_the_thread_and_the_bars_that_are_listed(engine):
    # A bolt M12, 60 mm: ISO head 7.5 mm high, 18 mm across: finished 67.5 mm of hexagon bar.
    part = make.part(engine, 4, material="steel", fastener=True)
    make.fastener(part, "M", "M12x1.75", kind="bolt", head="hexagon", length=60.0)
    make.bar(engine, across=20.0, section="hexagon", price="7")
    make.bar(engine, across=19.0, section="hexagon", price="8")
    usual = usual_blank(make.job(part, "machine", 4))
    assert (usual.section, usual.across_mm, usual.bar) == ("hexagon", 19.0, "19 mm")
    assert usual.length_mm == pytest.approx(67.5)


def test_drawing_up_reserves_and_puts_the_bars_into_the_tally_once(engine):
    turned(engine, 3, 400.0)
    make.bar(engine, 2, length=450.0, offcut=True)
    make.bar(engine, length=1000.0, price="5")
    plan = live_plan(engine, 3.0)
    row = freeze(engine, plan, bars_actions.BarCost(**vars(bar_estimate(plan))))
    assert (row.number, CutPlan.objects.count()) == (1, 1)
    item = CostItem.objects.get()
    assert (item.heading, item.pk) == ("material", row.plan["cost_item"])
    # One bar at 5.00, of class 2: 15 per cent less to 20 per cent more.
    amount = CostAmount.objects.get()
    assert (amount.basis, amount.low, amount.likely, amount.high) == (
        "estimated",
        Decimal("4.25"),
        Decimal("5.00"),
        Decimal("6.00"),
    )
    assert add_up(x.sums for x in cost_lines(engine)).total.likely == Decimal("5.00")
    # Its pieces and bars are taken: nothing is left to plan, and the same plan cannot stand twice.
    assert live_plan(engine, 3.0).pieces == 0
    assert [line.free for line in bar_store(engine).in_store] == [0]
    with pytest.raises(Refused, match="Look at the plan again"):
        freeze(engine, plan)
    assert CutPlan.objects.count() == 1


def test_the_frozen_list_is_the_one_that_was_seen(engine):
    turned(engine, 6, 897.0)
    make.bar(engine, length=3000.0, price="14")
    plan = live_plan(engine, 3.0)
    row = freeze(engine, plan)
    assert Cutting.read(CutPlan.objects.get(pk=row.pk).plan) == plan.cutting
    (line,) = cut_lists(engine)
    assert (line.number, line.pieces, line.bars) == (1, 6, 2)


def test_cutting_books_stock_out_and_offcuts_back_and_moves_the_stage(engine):
    job = turned(engine, 3, 400.0)
    store = make.bar(engine, 2, length=450.0, offcut=True, kept_at="loft")
    make.bar(engine, length=1000.0, price="5")
    row = freeze(engine, live_plan(engine, 3.0))
    after = bars_actions.cut(row, day=DAY, by=None, seen=row.version, keep_mm=100.0)
    assert after.cut_on == DAY
    lines = {line.length_mm: line for line in bar_store(engine).in_store}
    # Two of 450 go out; each leaves 450 - 403 = 47, too short to keep.
    assert lines[450.0].on_hand == 0
    # The bought bar leaves 1000 - 403 = 597, which comes into the store as an offcut.
    assert lines[597.0].on_hand == 1
    assert lines[597.0].offcut
    assert job_status(job).stages[2].reached == 3
    assert bar_jobs(engine) == []
    assert BarMove.objects.filter(cut_plan=row).count() == 2
    assert Change.objects.filter(kind="barmove").count() == 3
    assert store.kept_at == "loft"


def test_a_list_is_cut_once_and_what_is_cut_is_not_taken_back(engine):
    turned(engine, 1, 400.0)
    make.bar(engine, 1, length=450.0)
    row = freeze(engine, live_plan(engine, 3.0))
    bars_actions.cut(row, day=DAY, by=None, seen=row.version)
    with pytest.raises(Refused, match="already"):
        bars_actions.cut(row, day=DAY, by=None, seen=row.version)
    with pytest.raises(Refused, match="cannot be taken back"):
        bars_actions.take_back(row, by=None, reason="a mistake")


def test_a_bar_that_is_gone_leaves_everything_as_it_was(engine):
    job = turned(engine, 1, 400.0)
    bar = make.bar(engine, 1, length=450.0)
    row = freeze(engine, live_plan(engine, 3.0))
    bars_actions.book(bar, -1, day=DAY, by=None, reason="lent to a neighbour")
    with pytest.raises(Refused, match="Only 0 of"):
        bars_actions.cut(row, day=DAY, by=None, seen=row.version)
    assert CutPlan.objects.get().cut_on is None
    assert job_status(job).stages[2].reached == 0


def test_a_decision_reopened_meanwhile_stops_the_cut_unless_the_stage_is_left(engine):
    job = turned(engine, 2, 400.0)
    make.bar(engine, 1, length=1000.0)
    row = freeze(engine, live_plan(engine, 3.0))
    entries.withdraw(job, 1, day=DAY, by=None, reason="one turned up")
    with pytest.raises(Refused, match="had reached"):
        bars_actions.cut(row, day=DAY, by=None, seen=row.version)
    assert BarMove.objects.count() == 1
    bars_actions.cut(row, day=DAY, by=None, seen=row.version, stages=False)
    assert CutPlan.objects.get().cut_on == DAY


def test_a_list_that_someone_changed_meanwhile_is_not_cut(engine):
    turned(engine, 1, 400.0)
    make.bar(engine, 1, length=450.0)
    row = freeze(engine, live_plan(engine, 3.0))
    with pytest.raises(Clash):
        bars_actions.cut(row, day=DAY, by=None, seen=row.version + 1)
    assert BarMove.objects.count() == 1


def test_taking_a_list_back_frees_its_pieces_and_its_estimate(engine):
    turned(engine, 3, 400.0)
    make.bar(engine, length=1000.0, price="5")
    plan = live_plan(engine, 3.0)
    row = freeze(engine, plan, bars_actions.BarCost(**vars(bar_estimate(plan))))
    assert bars_actions.take_back(row, by=None, reason="another bar came")
    assert live_plan(engine, 3.0).pieces == 3
    assert not CostItem.objects.exists()
    # The next list gets a number of its own.
    assert freeze(engine, live_plan(engine, 3.0)).number == 2


def test_bars_are_never_fewer_than_none_on_any_day(engine):
    bar = make.bar(engine, 2)
    with pytest.raises(Refused, match="Only 2 of"):
        bars_actions.book(bar, -3, day=DAY, by=None)
    with pytest.raises(Refused, match="Only 0 of"):
        bars_actions.book(bar, -1, day=DAY.replace(day=1), by=None)
    assert BarMove.objects.count() == 1
    length = make.bar(engine, price="4")
    with pytest.raises(Refused, match="can be bought"):
        bars_actions.book(length, 1, day=DAY, by=None)


def test_the_plan_takes_as_many_queries_however_many_blanks(engine, django_assert_num_queries):
    def grow(n):
        for i in range(n):
            turned(engine, 2, 100.0 + i)
            make.bar(engine, 1, length=150.0)

    grow(2)
    make.bar(engine, length=1000.0, price="5")
    with django_assert_num_queries(5):
        live_plan(engine, 3.0)
    grow(30)
    with django_assert_num_queries(5):
        assert live_plan(engine, 3.0).pieces == 64
    assert Bar.objects.count() == 33
