"""Make or buy: the cost of each, and the break-even number."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from parts.engineering.errors import OutOfRange
from parts.engineering.fasteners.make_or_buy import (
    Buying,
    Making,
    break_even,
    buying_cost,
    making_cost,
    turning_points,
)


def test_making_cost_against_a_sum_by_hand():
    # 30 min to set up and 12 x 8 min = 126 min = 2.1 h, at 25 an hour: 52.50.
    # Bar 0.80 each: 12 x 0.80 = 9.60. Together 62.10.
    w = making_cost(12, 30, 8, 25, 0.80, money="GBP")
    assert w.value == pytest.approx(62.10)
    assert w.unit == "GBP"
    assert "2.1 hours" in w.verdict


def test_missing_bar_price_says_the_metal_is_not_counted():
    w = making_cost(12, 30, 8, 25)
    assert w.value == pytest.approx(52.50)
    assert "not counted" in w.verdict


def test_buying_cost_against_a_sum_by_hand():
    # 7.50 carriage and 12 x 4.20 = 50.40: 57.90.
    assert buying_cost(12, 4.20, 7.50).value == pytest.approx(57.90)
    # At least 25: 7.50 + 25 x 4.20 = 112.50, 13 more than wanted.
    w = buying_cost(12, 4.20, 7.50, 25)
    assert w.value == pytest.approx(112.50)
    assert "13 more than wanted" in w.verdict


def test_break_even_is_where_the_lines_cross():
    # 20 + 4 n against 5 + 7 n: alike at n = 15 / 3 = 5, and a tie goes to making.
    make, buy = Making(20, 4), Buying(5, 7)
    assert make.cost(5) == buy.cost(5) == 40
    assert turning_points(make, buy) == [(1, "buy"), (5, "make")]
    w = break_even(3, make, buy)
    assert w.value == 5
    # For 3: 32 against 26.
    assert "Up to 4 buy them; from 5 on make them" in w.verdict
    assert "buying is cheaper by 6.00" in w.verdict


def test_least_order_changes_the_choice_twice():
    # Make 10 + 3 n; buy 2 each, 20 at least: 40 up to 20, then 2 n.
    # Make is cheaper while 10 + 3 n <= 40, up to n = 10; from 11 on buying is.
    make, buy = Making(10, 3), Buying(0, 2, 20)
    assert turning_points(make, buy) == [(1, "make"), (11, "buy")]
    # Make 2 n against 3 each, 20 at least: 60, alike at 30 only beyond the least order: make.
    assert turning_points(Making(0, 2), Buying(0, 3, 20)) == [(1, "make")]
    # Make 50 + n; buy 2 each, 10 at least (20): buying up to 49, alike at 50.
    assert turning_points(Making(50, 1), Buying(0, 2, 10)) == [(1, "buy"), (50, "make")]


def test_break_even_has_no_value_when_one_is_always_cheaper():
    w = break_even(4, Making(5, 2), Buying(8, 3))
    assert w.value is None
    assert "however many" in w.verdict


def test_invalid_input_is_refused_in_words():
    with pytest.raises(OutOfRange, match="pieces cannot be"):
        making_cost(0, 1, 1, 1)
    with pytest.raises(OutOfRange):
        buying_cost(1, -1)
    with pytest.raises(OutOfRange):
        making_cost(1, 5, float("nan"), 30)


@settings(max_examples=150, deadline=None)
@given(
    st.integers(0, 80),
    st.integers(0, 40),
    st.integers(0, 60),
    st.integers(0, 40),
    st.integers(1, 40),
)
def test_turning_points_match_trying_every_number(setting, each, carriage, price, least):
    make, buy = Making(setting, each / 2), Buying(carriage, price / 2, least)
    expected = []
    for n in range(1, 300):
        way = "make" if make.cost(n) <= buy.cost(n) + 1e-9 else "buy"
        if not expected or expected[-1][1] != way:
            expected.append((n, way))
    assert turning_points(make, buy, 299) == expected
