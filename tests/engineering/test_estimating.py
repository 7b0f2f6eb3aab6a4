"""Estimates, progress, the forecast of the finish, and pumping."""

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from parts.engineering import tables
from parts.engineering.errors import EngineeringError, Infeasible, OutOfRange, UnknownName
from parts.engineering.estimating import progress, three_point
from parts.engineering.ground import pumping
from tests.engineering.checks import rows

GAL = 3.785411784


def simulated(items, rho, get):
    return getattr(three_point.simulate(*zip(*items, strict=True), correlation=rho), get)


FUNCTIONS = {
    "quantile": lambda a, m, b, chance: three_point.quantile(a, m, b, chance),
    "simulated": simulated,
    "mean": lambda a, m, b: three_point.three_point(a, m, b).value,
    "spread": lambda a, m, b: three_point.mean_and_spread(a, m, b)[1][0],
    "closed_sd": lambda items, rho: simulated(items, rho, "closed_sd"),
    "earned_value": lambda pv, ev, ac, bac, get: getattr(
        progress.earned_value(pv, ev, ac, bac), get
    ),
    "weighted": lambda w, p: progress.weighted_progress(w, p, "hours").value,
    "in_kind": lambda hours, rate, fringe: (
        progress.hours_in_kind(hours, rate, "check", fringe=fringe).value
    ),
    "pump_out": lambda gal, pump, inflow: (
        pumping.pump_out(gal * GAL / 1000, pump * GAL, inflow * GAL).value
    ),
    "pit": lambda top, middle, bottom, depth: pumping.pit_volume(top, middle, bottom, depth).value,
    "rise_gpm": lambda ft2, inch, minutes: (
        pumping.inflow_by_rise(ft2 * 0.3048**2, inch * 25.4, minutes).value / GAL
    ),
    "growing": lambda a, s, pump, k: pumping.pump_out_growing(a, s, pump, k).value,
    # the check takes g as 9.80665 and water as 1000 kg/m3
    "pump_w": lambda flow, head: pumping.pump_power(flow, head).value * 1000,
}


@pytest.mark.parametrize(("name", "inputs", "expected", "tolerance"), rows("estimating"))
def test_check_values(name, inputs, expected, tolerance):
    assert FUNCTIONS[name](**inputs) == pytest.approx(expected, rel=tolerance)


def some_items(count=40):
    rng = np.random.default_rng(5)
    low = rng.uniform(10, 400, count)
    likely = low + rng.uniform(1, 200, count)
    return low, likely, likely + rng.uniform(1, 600, count)


def test_the_same_seed_gives_the_same_answer():
    items = some_items()
    one, two = three_point.simulate(*items), three_point.simulate(*items)
    assert (one.p50, one.p80, one.sd) == (two.p50, two.p80, two.sd)
    other = three_point.simulate(*items, seed=7)
    assert other.p80 != one.p80
    assert other.p80 == pytest.approx(one.p80, rel=0.01)


@pytest.mark.parametrize("rho", [0.0, 0.2, 0.5, 0.9])
def test_the_simulation_agrees_with_the_closed_form(rho):
    outcome = three_point.simulate(*some_items(), correlation=rho)
    assert outcome.mean == pytest.approx(outcome.closed_mean, rel=0.01)
    assert outcome.sd == pytest.approx(outcome.closed_sd, rel=0.05)
    assert outcome.p10 < outcome.p50 < outcome.p80 < outcome.p90
    assert outcome.contingency == pytest.approx(outcome.p80 - outcome.likely)


def test_a_thousand_simulations_are_enough_for_many_items():
    """Results of different seeds differ by less than a thirtieth of the standard deviation."""
    items = [100.0] * 300, [120.0 + n % 7 for n in range(300)], [220.0 + n % 11 for n in range(300)]
    whole = three_point.simulate(*items, draws=20_000)
    for seed in range(6):
        few = three_point.simulate(*items, draws=1000, seed=seed)
        for name in ("mean", "p50", "p80"):
            off = abs(getattr(few, name) - getattr(whole, name))
            assert off < whole.sd / 30, name


def test_correlation_widens_the_total():
    spreads = [three_point.simulate(*some_items(), correlation=r).sd for r in (0, 0.3, 0.6, 1)]
    assert spreads == sorted(spreads)
    assert spreads[1] > 2 * spreads[0]


def test_settled_amount_shifts_the_total_without_widening_it():
    items = some_items()
    plain, more = three_point.simulate(*items), three_point.simulate(*items, settled=1000)
    assert more.p80 == pytest.approx(plain.p80 + 1000)
    assert more.sd == pytest.approx(plain.sd)
    fixed = three_point.simulate([50, 20], [50, 20], [50, 20])
    assert (fixed.p10, fixed.p90, fixed.sd, fixed.contingency) == (70, 70, 0, 0)


def test_verdict_gives_the_chances_and_inputs_the_seed():
    calculation = three_point.simulate(*some_items(), unit="GBP").calculation
    assert calculation.verdict.startswith("An even chance at ")
    assert "the contingency" in calculation.verdict
    inputs = {g.name: g.value for g in calculation.inputs}
    assert inputs["Seed"] == 1907
    assert inputs["Simulations"] == 10_000
    assert inputs["Correlation"] == 0.3


THREE = st.tuples(st.floats(0, 1e4), st.floats(0, 1e4), st.floats(0, 1e4)).map(sorted)


@given(THREE)
def test_the_mean_and_the_quantiles_lie_between_low_and_high(three):
    low, likely, high = three
    mean, spread = (float(x[0]) for x in three_point.mean_and_spread(low, likely, high))
    assert low - 1e-6 <= mean <= high + 1e-6
    assert 0 <= spread <= (high - low) / 4 + 1e-9
    marks = [three_point.quantile(low, likely, high, q) for q in (0.01, 0.3, 0.5, 0.8, 0.99)]
    assert marks == sorted(marks)
    assert low <= marks[0]
    assert marks[-1] <= high + 1e-9


def test_estimate_class_says_it_is_an_analogy():
    calculation = three_point.estimate_class("5", 10_000)
    assert (calculation.low, calculation.high) == (5000, 20_000)
    assert calculation.verdict.startswith("By analogy")


def test_weighted_progress_names_its_weights():
    calculation = progress.weighted_progress([40, 30, 20, 10], [1, 0.5, 0.25, 0], "hours")
    assert calculation.name == "Done, by hours"
    assert calculation.verdict == "60 of 100 hours."
    nothing = progress.weighted_progress([], [], "cost")
    assert nothing.value is None
    assert "Nothing is weighted yet" in nothing.verdict


def test_earned_value_has_a_verdict_in_words():
    earned = progress.earned_value(44000, 53000, 45000, 140000)
    assert earned.calculation.verdict == (
        "Work worth 53000 is done where 44000 was planned: 9000 more than planned. It has cost "
        "45000: 8000 under what it was planned to cost. At this rate the whole costs 118900 "
        "against a budget of 140000."
    )
    start = progress.earned_value(0, 0, 0, 100)
    assert start.cost_index is None
    assert start.schedule_index is None
    assert start.at_completion is None
    assert "no cost of the whole can be told" in start.calculation.verdict


def weekly(gains, start=date(2025, 1, 6)):
    days = [start + timedelta(weeks=i) for i in range(len(gains) + 1)]
    return days, [0.0, *np.cumsum(gains).tolist()]


def test_even_pace_gives_a_narrow_range():
    days, done = weekly([2, 2, 2, 2, 2])
    finish = progress.forecast_finish(days, done, 20)
    assert finish.on == days[-1] + timedelta(weeks=5)
    assert finish.early == finish.on == finish.late
    assert finish.pace == pytest.approx(2 / 7)


def test_uneven_pace_gives_a_wider_range():
    even = progress.forecast_finish(*weekly([2, 3, 2, 3, 2, 3]), 40)
    rough = progress.forecast_finish(*weekly([0, 5, 0, 5, 0, 5]), 40)
    assert even.on == rough.on
    assert rough.early < even.early < even.on < even.late
    assert rough.late is None or rough.late > even.late
    assert "in 8 of 10" in even.calculation.verdict


@given(st.lists(st.floats(0, 5), min_size=1, max_size=20), st.floats(1, 100))
def test_finish_lies_inside_its_range(gains, more):
    days, done = weekly(gains)
    finish = progress.forecast_finish(days, done, done[-1] + more)
    if finish.on and finish.early:
        assert finish.early <= finish.on
        assert finish.late is None or finish.on <= finish.late


def test_no_pace_gives_no_finish():
    days, done = weekly([5, 0, 0, 0])
    finish = progress.forecast_finish(days, done, 20, last=3)
    assert finish.on is None
    assert "no finish can be told" in finish.calculation.verdict
    two = progress.forecast_finish(days[:2], done[:2], 20)
    assert "too few records" in two.calculation.verdict
    assert progress.forecast_finish(days, done, 5).calculation.verdict == "All is done."


def test_match_states_its_shortfall():
    calculation = progress.match_ratio(20000, 4000, 11000, asked=1.0, cash_share=0.25)
    assert calculation.value == pytest.approx(0.75)
    assert "5000 short" in calculation.verdict
    assert "In cash 1000 is missing" in calculation.verdict
    enough = progress.match_ratio(76000, 4000, 0, asked=0.05, of="project")
    assert enough.verdict.endswith("as asked or more.")


def test_hours_in_kind_give_the_source_of_their_rate():
    calculation = progress.hours_in_kind(12, 28.54, "Independent Sector, United States, 2020")
    assert calculation.value == pytest.approx(342.48)
    assert "2020" in calculation.source
    assert "never shown as money received" in calculation.limits


def test_pumping_has_its_cautions():
    for calculation in (
        pumping.pit_volume(20, 15, 10, 2),
        pumping.box_pit_volume(5, 3, 1.5),
        pumping.inflow_by_rise(12, 40, 15),
        pumping.pump_out(20, 200, 30),
        pumping.pump_out_growing(12, 2, 80, 20),
        pumping.pump_power(240, 6),
    ):
        acts = " ".join(caution.act for caution in calculation.cautions)
        assert "nobody goes in until the air is tested" in acts
        assert "no oil" in acts


def test_growing_inflow_takes_longer_than_none():
    assert pumping.pump_out_growing(12, 2, 80, 0).value == pytest.approx(300)
    assert pumping.inflow_by_rise(12, 40, 15).value == pytest.approx(32)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: three_point.three_point(5, 4, 6), "must rise"),
        (lambda: three_point.three_point(-1, 4, 6), "less than nothing"),
        (lambda: three_point.simulate([1], [2, 3], [4]), "for each item"),
        (lambda: three_point.simulate([1], [float("nan")], [4]), "finite"),
        (lambda: three_point.simulate([1], [2], [4], correlation=1.2), "correlation"),
        (lambda: three_point.simulate([1], [2], [4], draws=10), "number of simulations"),
        (lambda: three_point.estimate_class("9", 10), "run from 5 to 1"),
        (lambda: progress.weighted_progress([1], [1, 2], "hours"), "one weight"),
        (lambda: progress.weighted_progress([1], [1.5], "hours"), "part done"),
        (lambda: progress.earned_value(10, 20, 5, 15), "budget at completion"),
        (lambda: progress.forecast_finish([date(2025, 1, 1)], [1], 5), "two days"),
        (lambda: progress.forecast_finish([date(2025, 1, 1)] * 2, [1, 2], 5), "must rise"),
        (lambda: progress.hours_in_kind(5, 10, " "), "where the rate comes from"),
        (lambda: progress.match_ratio(10, 1, 1, of="moon"), "grant or on the whole"),
        (lambda: pumping.pump_out(10, 50, 50), "never empties"),
        (lambda: pumping.pump_out_growing(12, 5, 80, 20), "4 m at most"),
        (lambda: pumping.pit_volume(10, 8, 6, 0), "depth"),
    ],
)
def test_invalid_input_is_refused_in_words(call, words):
    with pytest.raises(EngineeringError, match=words) as caught:
        call()
    assert isinstance(caught.value, OutOfRange | UnknownName | Infeasible)


def test_every_row_of_the_table_names_its_source():
    for row in tables.read("estimate_classes"):
        assert row["source"]
        assert row["status"] in ("seen", "memory")
