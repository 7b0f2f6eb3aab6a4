"""The cost of the castings of a pour: shares to the penny, against a sum by hand."""

from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from parts.engineering.casting.costs import (
    Metal,
    PouredCasting,
    Purchase,
    pour_costs,
    share_out,
    value_of_returns,
)
from parts.engineering.errors import OutOfRange

# Worked by hand by the rule of joint products by mass (common practice of cost accounting, no
# source): 6 kg of ingot at 9.00 and 2 kg of scrap at 4.50 = 54.00 + 9.00 = 63.00, a kilogram
# 63 / 8 = 7.875, rounded down 7.87. 3.2 kg come back at 7.87 = 25.18. The metal left is
# 63.00 − 25.18 = 37.82.
INGOT, SCRAP = Metal("Ingot", 6.0, D("9.00")), Metal("Scrap", 2.0, D("4.50"))
BACK = Metal("Returns", 3.2, D("7.87"))
BUSH, STRAP = PouredCasting("Bush", 3, 2, 1.0), PouredCasting("Strap", 1, 1, 3.0)


def test_pour_costs_against_a_sum_by_hand():
    costs = pour_costs([INGOT, SCRAP], [BACK], [BUSH, STRAP], [Purchase("Propane", D("6.00"))])
    # Good castings: 2 × 1 and 1 × 3 kg, so 2/5 and 3/5 of 37.82: 15.13 and 22.69.
    # Poured: 3 × 1 and 1 × 3 kg, so half the propane each.
    assert [share.total for share in costs.shares] == [D("18.13"), D("25.69")]
    assert costs.total == D("43.82")
    assert costs.calculation.figures == "63.00 − 25.18 + 6.00 = 43.82"
    assert [w.value for w in costs.calculation.parts] == [18.13, 25.69]


def test_value_of_returns_is_the_mean_of_the_charge():
    assert value_of_returns([INGOT, SCRAP]) == D("7.87")
    assert value_of_returns([]) == 0


def test_wasters_bear_their_metal_when_nothing_is_returned():
    costs = pour_costs([INGOT], [], [BUSH, STRAP], [])
    assert [share.total for share in costs.shares] == [D("27.00"), D("27.00")]


def test_all_castings_share_the_loss_when_none_is_good():
    bad = PouredCasting("Bush", 3, 0, 1.0)
    costs = pour_costs([INGOT], [Metal("Returns", 5.0, D("9.00"))], [bad], [Purchase("Coke", D(4))])
    assert costs.total == D("13.00")


def test_metal_valued_at_nothing_costs_nothing_and_says_so():
    costs = pour_costs([Metal("Sash weights", 8.0, D(0))], [], [BUSH], [])
    assert costs.total == 0
    assert "valued at nothing" in costs.calculation.limits


@given(
    st.decimals(0, 10**7, places=2),
    st.lists(st.floats(0, 1e6, allow_subnormal=False), min_size=1, max_size=12),
)
def test_shares_sum_to_the_penny_and_lie_within_a_penny_of_the_exact_share(total, weights):
    shares = share_out(total, weights)
    assert sum(shares) == total
    assert all(share >= 0 for share in shares)
    if all_of_them := sum(weights):
        for share, weight in zip(shares, weights, strict=True):
            assert abs(float(share) - float(total) * weight / all_of_them) <= 0.01 + 1e-6


@pytest.mark.parametrize("weights", [[], [1, -1], [float("nan")]])
def test_invalid_weights_are_refused(weights):
    with pytest.raises(OutOfRange):
        share_out(D("1.00"), weights)


masses = st.floats(0.01, 500)
values = st.decimals(0, 500, places=2)


@given(
    st.lists(st.builds(Metal, st.just("lot"), masses, values), min_size=1, max_size=4),
    st.floats(0, 1),
    st.lists(
        st.tuples(st.integers(1, 9), st.integers(0, 9), masses).map(
            lambda c: PouredCasting("part", c[0], min(c[:2]), c[2])
        ),
        min_size=1,
        max_size=5,
    ),
    st.lists(st.builds(Purchase, st.just("fuel"), values), max_size=3),
)
def test_shares_of_a_pour_sum_to_its_cost(charged, part_back, castings, bought):
    """Charge + bought = castings + returns, to the penny, for any pour."""
    worth = sum(m.worth for m in charged)
    kg = part_back * sum(m.kg for m in charged)
    back = Metal("returns", kg, value_of_returns(charged))
    costs = pour_costs(charged, [back], castings, bought)
    spent = sum(one.amount for one in bought)
    assert costs.total == worth - min(back.worth, worth) + spent
    assert all(share.total >= 0 for share in costs.shares)
