"""The cost tally, against sums worked by hand."""

from datetime import date
from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from parts.money.models import CostAmount
from parts.money.queries.costs import Range, Sums, add_up, cost_lines
from parts.money.queries.tally import NO_COMPONENT, cost_tally, money_by_day, simulated_total
from tests import make

pytestmark = pytest.mark.django_db


def day(n: int) -> date:
    return date(2026, 3, n)


def stands(engine, on=None):
    """Spent, committed, and low, likely, high still to come, of the whole engine."""
    s = cost_tally(engine, on).sums
    return s.spent, s.committed.likely, (s.to_come.low, s.to_come.likely, s.to_come.high)


def settle(item, when, amount):
    amount = D(amount)
    CostAmount.objects.create(
        item=item, basis="paid", day=when, low=amount, likely=amount, high=amount, settles=True
    )


@pytest.fixture
def strap(engine):
    """A casting estimated at 80–100–140, quoted 120, ordered 118, paid 50, settled with 65."""
    item = make.cost(
        engine,
        "castings",
        ("estimated", day(1), 80, 100, 140),
        ("quoted", day(5), 120),
        ("ordered", day(9), 118),
        ("paid", day(12), 50),
    )
    settle(item, day(20), 65)
    return item


@pytest.mark.parametrize(
    ("on", "spent", "committed", "to_come"),
    [
        (day(1), 0, 0, (80, 100, 140)),
        (day(5), 0, 0, (120, 120, 120)),
        (day(9), 0, 118, (118, 118, 118)),
        (day(12), 50, 68, (68, 68, 68)),
        (day(20), 115, 0, (0, 0, 0)),
        (None, 115, 0, (0, 0, 0)),
    ],
)
def test_a_cost_rises_from_estimate_to_settled(engine, strap, on, spent, committed, to_come):
    assert stands(engine, on) == (spent, committed, to_come)


def test_before_its_first_amount_a_cost_is_not_there(engine, strap):
    assert cost_tally(engine, date(2026, 2, 28)).sums == Sums()


def test_paid_on_an_estimate_leaves_the_rest_of_each_end(engine):
    make.cost(engine, "hire", ("estimated", day(1), 80, 100, 140), ("paid", day(2), 90))
    assert stands(engine) == (90, 0, (0, 10, 50))


def test_paid_beyond_the_order_leaves_nothing_to_come_and_is_told(engine):
    make.cost(engine, "hire", ("ordered", day(1), 100), ("paid", day(2), "130.25"))
    assert stands(engine) == (D("130.25"), 0, (0, 0, 0))
    (line,) = cost_lines(engine)
    assert line.over == D("30.25")
    assert line.current_basis == "paid"


def test_a_payment_without_any_order_is_spent(engine):
    make.cost(engine, "other", ("paid", day(2), 12))
    assert stands(engine) == (12, 0, (0, 0, 0))


def test_the_newest_of_the_highest_basis_stands_however_it_was_typed(engine):
    make.cost(
        engine,
        "castings",
        ("quoted", day(8), 70),
        ("estimated", day(9), 1, 2, 3),
        ("quoted", day(3), 90),
        ("quoted", day(8), 75),
    )
    assert stands(engine) == (0, 0, (75, 75, 75))


def test_removed_amounts_and_costs_are_not_counted(engine):
    from parts.record.actions import saving

    one = make.cost(engine, "castings", ("ordered", day(1), 100))
    saving.remove(one.amounts.get(), by=None)
    two = make.cost(engine, "castings", ("paid", day(1), 40))
    saving.remove(two, by=None)
    assert stands(engine) == (0, 0, (0, 0, 0))
    assert money_by_day(engine) == []


@pytest.fixture
def several(engine):
    """Five costs: 30 + 12.35 + 200 + 7.65 spent = 250; to come 70 + 40–60–90 + 55 = 165–185–215."""
    bed = make.component(engine, number=1, name="Bed")
    shaft = make.component(engine, number=2, name="Crankshaft")
    bolts = make.part(engine, 8, component=bed, fastener=True)
    pin = make.part(engine, component=shaft)
    job = make.job(pin, "machine")
    make.cost(engine, "fasteners", ("ordered", day(1), 100), ("paid", day(2), 30), part=bolts)
    make.cost(engine, "machining", ("estimated", day(1), 40, 60, 90), job=job)
    make.cost(engine, "material", ("paid", date(2026, 1, 31), "12.35"), component=shaft)
    make.cost(engine, "carriage", ("paid", day(31), 200))
    make.cost(
        engine,
        "material",
        ("quoted", day(3), "62.65"),
        ("paid", date(2026, 5, 1), "7.65"),
        component=bed,
    )
    return engine


def test_headings_components_and_bases_each_sum_to_the_whole(several):
    tally = cost_tally(several)
    assert tally.sums.spent == 250
    assert tally.sums.to_come == Range(D(165), D(185), D(215))
    assert tally.sums.total == Range(D(415), D(435), D(465))
    assert add_up(row.sums for row in tally.by_heading) == tally.sums
    assert add_up(row.sums for row in tally.by_component) == tally.sums
    of = {row.key: row.amount for row in tally.by_basis}
    assert of["paid"].likely == 250
    assert of["ordered"] == Range(D(70), D(70), D(70))
    assert of["quoted"] == Range(D(55), D(55), D(55))
    assert of["estimated"] == Range(D(40), D(60), D(90))


def test_fasteners_and_castings_come_first_even_when_there_are_none(several):
    words = [row.word for row in cost_tally(several).by_heading]
    assert words == ["Fasteners", "Castings", "Machining", "Material", "Carriage"]


def test_a_cost_belongs_to_the_component_of_its_part_or_job(several):
    rows = {row.word: row.sums.total.likely for row in cost_tally(several).by_component}
    assert rows == {"1 Bed": D("162.65"), "2 Crankshaft": D("72.35"), NO_COMPONENT: 200}


def test_months_run_on_without_gaps_and_sum_to_what_was_spent(several):
    rows = [(r.month.month, r.spent, r.so_far) for r in cost_tally(several).by_month]
    assert rows == [
        (1, D("12.35"), D("12.35")),
        (2, 0, D("12.35")),
        (3, 230, D("242.35")),
        (4, 0, D("242.35")),
        (5, D("7.65"), 250),
    ]


def test_money_by_day_runs_up_to_what_was_spent(several):
    assert money_by_day(several) == [
        (date(2026, 1, 31), D("12.35")),
        (day(2), D("42.35")),
        (day(31), D("242.35")),
        (date(2026, 5, 1), D("250.00")),
    ]


def test_the_calculation_of_the_likely_total_shows_every_term(several):
    calculation = cost_tally(several).calculations[1]
    assert calculation.value == 435
    assert (calculation.low, calculation.high) == (415, 465)
    assert calculation.figures == "250.00 + 70.00 + 55.00 + 60.00 = 435.00"


def test_pennies_add_up_exactly(engine):
    """A tenth and a fifth are no binary numbers; ten of them are still one and two pounds."""
    for _ in range(10):
        make.cost(engine, "other", ("paid", day(1), "0.10"), ("paid", day(2), "0.20"))
    assert cost_tally(engine).sums.spent == D("3.00")


@given(
    st.lists(
        st.tuples(
            st.decimals(0, 10**6, places=2),
            st.decimals(0, 10**6, places=2),
            st.decimals(0, 10**6, places=2),
            st.decimals(0, 10**6, places=2),
        ),
        max_size=8,
    )
)
def test_ranges_stay_in_order_and_never_fall_below_nothing(rows):
    for *ends, paid in rows:
        left = Range(*sorted(ends)).less(paid)
        assert 0 <= left.low <= left.likely <= left.high


def test_the_tally_takes_as_many_queries_however_many_costs(several, django_assert_num_queries):
    with django_assert_num_queries(5):
        cost_tally(several)
    for n in range(50):
        make.cost(several, "castings", ("ordered", day(1), n), ("paid", day(2), 1))
    with django_assert_num_queries(5):
        cost_tally(several)


def test_the_simulated_total_lies_inside_what_is_added_up(several):
    """One range is open (40–60–90); 250 spent, 70 ordered and 55 quoted stand as they are."""
    tally = cost_tally(several)
    outcome = simulated_total(tally)
    assert outcome.likely == 435
    assert 415 < outcome.p10 < outcome.p50 < outcome.p80 < 465
    # Mean of the one range by formula: (40 + 4 × 60 + 90) / 6 = 61.67.
    assert outcome.closed_mean == pytest.approx(375 + 370 / 6)
    assert outcome.p50 == simulated_total(tally).p50


def test_where_nothing_has_a_range_there_is_nothing_to_simulate(engine):
    make.cost(engine, "hire", ("ordered", day(1), 100))
    assert simulated_total(cost_tally(engine)) is None
