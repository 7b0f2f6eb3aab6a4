"""Cutting lists: within the bars, complete, and the cheapest."""

import itertools
import random
from functools import cache
from time import perf_counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from parts.bench import engineering
from parts.engineering.bars import cutting
from parts.engineering.bars.cutting import Blank, Stock
from parts.engineering.errors import Infeasible, OutOfRange
from tests.engineering.checks import rows


def blanks_of(lengths, quantities):
    return [
        Blank(f"blank {i}", float(length), n)
        for i, (length, n) in enumerate(zip(lengths, quantities, strict=True))
    ]


def plan(bar, lengths, wanted, kerf=0.0, trim=0.0):
    return cutting.cutting_list(
        blanks_of(lengths, wanted),
        [Stock("bar", float(bar), 10.0)],
        kerf_mm=kerf,
        end_trim_mm=trim,
        aim="bars",
    )


def cheapest(bars_, prices, lengths, wanted):
    stock = [Stock(f"{b} ft", b, p) for b, p in zip(bars_, prices, strict=True)]
    return cutting.cutting_list(blanks_of(lengths, wanted), stock, kerf_mm=0)


def proven(result):
    assert result.proven
    assert result.gap == 0
    return result.calculation.value


FUNCTIONS = {
    "fewest": lambda **k: proven(plan(**k)),
    "by_hand": lambda **k: plan(**k).by_hand_bars,
    "plain_bound": lambda bar, lengths, wanted: cutting.least_bars(
        blanks_of(lengths, wanted), bar, kerf_mm=0
    ),
    "cheapest": lambda bars, **k: proven(cheapest(bars, **k)),
    "per_bar": lambda bar, blank, kerf, trim: cutting.pieces_per_bar(
        bar, blank, kerf_mm=kerf, end_trim_mm=trim
    ),
    "sawn": lambda finished, faces, facing: (
        cutting.sawn_length(finished, faces=faces, facing_mm=facing).value
    ),
}


@pytest.mark.parametrize(("name", "inputs", "expected", "tolerance"), rows("bars"))
def test_check_values(name, inputs, expected, tolerance):
    assert FUNCTIONS[name](**inputs) == pytest.approx(expected, rel=tolerance or 1e-12)


def assert_valid(result, blanks, stock, kerf, trim):
    """Assert that a plan can be sawn as it is and gives exactly the blanks."""
    counts = {}
    used = {}
    for bar in result.bars:
        used[bar.stock.name] = used.get(bar.stock.name, 0) + bar.bars
        end = bar.stock.length_mm - trim
        at = 0.0
        for cut in bar.cuts:
            counts[cut.name] = counts.get(cut.name, 0) + bar.bars
            assert cut.from_mm == pytest.approx(at)
            assert cut.from_mm + cut.length_mm <= end + 1e-5
            at = cut.from_mm + cut.length_mm + kerf
        assert bar.left_mm == pytest.approx(max(0.0, end - at), abs=1e-6)
        assert [c.length_mm for c in bar.cuts] == sorted(c.length_mm for c in bar.cuts)[::-1]
    assert counts == {b.name: b.quantity for b in blanks}
    for s in stock:
        assert s.on_hand is None or used.get(s.name, 0) <= s.on_hand
    price = {s.name: s.cost for s in stock}
    assert result.calculation.value == pytest.approx(sum(price[n] * k for n, k in used.items()))
    assert result.bound <= result.calculation.value + 1e-6


@settings(deadline=None, max_examples=40)
@given(
    st.lists(st.tuples(st.floats(20, 900), st.integers(1, 12)), min_size=1, max_size=7),
    st.floats(0, 4),
    st.floats(0, 30),
    st.lists(st.floats(100, 1500), max_size=4),
)
def test_cutting_list_gives_every_blank_within_every_bar(pieces, kerf, trim, offcuts):
    blanks = blanks_of([p[0] for p in pieces], [p[1] for p in pieces])
    stock = [Stock("long bar", 1000.0, 12.5), Stock("longer bar", 1800.0, 21.0)]
    stock += [Stock(f"offcut {i}", length, 0.0, 1) for i, length in enumerate(offcuts)]
    result = cutting.cutting_list(blanks, stock, kerf_mm=kerf, end_trim_mm=trim, seconds=1.0)
    assert_valid(result, blanks, stock, kerf, trim)
    if result.by_hand_cost is not None:
        assert result.calculation.value <= result.by_hand_cost + 1e-6


def least_cost(sizes, wanted, stock):
    """Return the least cost by trying every filling of every bar, one bar after another."""
    fillings = [
        [
            fill
            for fill in itertools.product(*(range(w + 1) for w in wanted))
            if any(fill) and sum(c * z for c, z in zip(fill, sizes, strict=True)) <= room + 1e-6
        ]
        for room, _, _ in stock
    ]

    @cache
    def cost_from(s, bars_used, left):
        if not any(left):
            return 0.0
        if s == len(stock):
            return float("inf")
        best = cost_from(s + 1, 0, left)
        if stock[s][2] is None or bars_used < stock[s][2]:
            for fill in fillings[s]:
                if all(c <= n for c, n in zip(fill, left, strict=True)):
                    rest = tuple(n - c for c, n in zip(fill, left, strict=True))
                    best = min(best, stock[s][1] + cost_from(s, bars_used + 1, rest))
        return best

    return cost_from(0, 0, tuple(wanted))


@pytest.mark.outside("exhaustive search of every way to saw the blanks")
@pytest.mark.parametrize("seed", range(25))
def test_exhaustive_search_finds_no_cheaper_plan(seed):
    chance = random.Random(seed)
    lengths = [round(chance.uniform(10, 60), 2) for _ in range(chance.randint(1, 4))]
    wanted = [chance.randint(1, 2) for _ in lengths]
    kerf, trim = 1.5, 2.0
    stock = [
        Stock(f"bar {i}", chance.uniform(65, 130), chance.choice([1, 2.5, 3.2, 1.1]))
        for i in range(chance.randint(1, 2))
    ]
    stock += [
        Stock(f"offcut {i}", chance.uniform(12, 90), chance.choice([0, 0.5, 0.333]), 1)
        for i in range(chance.randint(0, 3))
    ]
    blanks = blanks_of(lengths, wanted)
    result = cutting.cutting_list(blanks, stock, kerf_mm=kerf, end_trim_mm=trim)
    assert_valid(result, blanks, stock, kerf, trim)
    exact = least_cost(
        [length + kerf for length in lengths],
        wanted,
        [(s.length_mm - trim + kerf, s.cost, s.on_hand) for s in stock],
    )
    assert result.proven
    assert result.calculation.value == pytest.approx(exact)


def test_plan_saves_a_bar_against_longest_first():
    result = plan(144, [57, 46, 41, 34], [3, 1, 2, 3], kerf=0.125, trim=1)
    assert (result.calculation.value, result.by_hand_bars) == (3, 4)
    assert result.metal_saved_mm == 144
    assert "takes 4 bars" in result.calculation.verdict
    assert "fewest possible" in result.calculation.verdict.lower()


def test_two_hundred_blanks_take_under_five_seconds():
    start = perf_counter()
    name, seconds, words = engineering.bars_case()
    assert perf_counter() - start < 5
    assert seconds < 3.5
    assert words.startswith("proven")
    assert "200 blanks" in name


def test_plan_of_six_stock_lengths_states_its_gap():
    stock = [Stock(f"{n} m", n * 1000.0, 9.7 * n + 1.31) for n in (1, 2, 3, 4, 5, 6)]
    blanks = blanks_of([1310, 822, 775, 640, 518, 444, 317, 296], [9, 14, 11, 16, 12, 15, 13, 10])
    result = cutting.cutting_list(blanks, stock, kerf_mm=2.5, end_trim_mm=10, seconds=1.5)
    assert_valid(result, blanks, stock, 2.5, 10)
    assert 0 <= result.gap < 0.05
    assert result.proven == (result.gap == 0)


def test_free_offcuts_are_used_first():
    blanks = blanks_of([300], [3])
    stock = [Stock("bar", 1000, 20), Stock("offcut", 320, 0, 3), Stock("long offcut", 990, 0, 1)]
    result = cutting.cutting_list(blanks, stock, kerf_mm=2)
    assert result.calculation.value == 0
    assert all(b.stock.on_hand for b in result.bars)


def test_missing_price_minimises_the_length_of_bar():
    stock = [Stock("6 m", 6000), Stock("3 m", 3000, 30)]
    result = cutting.cutting_list(blanks_of([2900], [1]), stock, kerf_mm=2)
    assert result.calculation.unit == "m"
    assert result.calculation.value == pytest.approx(3)
    assert "no price" in result.calculation.verdict


def test_each_material_and_section_has_its_own_list():
    blanks = [
        Blank("bolt", 200, 2, "steel", "round 1 in"),
        Blank("bush", 60, 3, "bronze", "round 2 in"),
    ]
    stock = [
        Stock("steel bar", 3000, 30, None, "steel", "round 1 in"),
        Stock("bronze bar", 500, 90, None, "bronze", "round 2 in"),
    ]
    plans = cutting.cutting_lists(blanks, stock, kerf_mm=2)
    assert {k: p.calculation.value for k, p in plans.items()} == {
        ("steel", "round 1 in"): 30,
        ("bronze", "round 2 in"): 90,
    }
    with pytest.raises(Infeasible, match="No bar of bronze round 2 in is listed"):
        cutting.cutting_lists(blanks, stock[:1], kerf_mm=2)


@pytest.mark.parametrize(
    ("blanks", "stock", "error", "words"),
    [
        ([Blank("tie rod", 7000, 1)], [Stock("bar", 6000, 1)], Infeasible, "tie rod is 7000 mm"),
        ([Blank("bolt", 500, 5)], [Stock("bar", 1100, 1, 2)], Infeasible, "1 of bolt"),
        ([Blank("bolt", 500, 5)], [], Infeasible, "No bar is listed"),
        ([], [Stock("bar", 1100, 1)], OutOfRange, "Nothing is wanted"),
        ([Blank("bolt", -5, 1)], [Stock("bar", 1100, 1)], OutOfRange, "must be more than 0"),
        ([Blank("bolt", float("nan"), 1)], [Stock("bar", 1, 1)], OutOfRange, "finite"),
        ([Blank("bolt", 5, 1.5)], [Stock("bar", 1100, 1)], OutOfRange, "1.5 pieces"),
        ([Blank("bolt", 5, 1)], [Stock("bar", 1100, -1)], OutOfRange, "price of bar"),
    ],
)
def test_invalid_cutting_list_is_refused_in_words(blanks, stock, error, words):
    with pytest.raises(error, match=words):
        cutting.cutting_list(blanks, stock, kerf_mm=1)
