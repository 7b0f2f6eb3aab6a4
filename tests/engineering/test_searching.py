"""Search: chances of missing things, and the best split of the next hours."""

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from parts.bench import searching as bench_searching
from parts.engineering import tables
from parts.engineering.errors import EngineeringError, Infeasible, OutOfRange, UnknownName
from parts.engineering.ground import effort, searching
from tests.engineering.checks import rows


def after_all(p, q, cell):
    """Return a chance after one pass in each area, with the coverage for its detection chance."""
    track = np.diag(-np.log1p(-np.array(q)))
    return float(searching.posterior([p], np.ones(len(p)), track, np.ones(len(p)))[0, cell])


FUNCTIONS = {
    "after_all": after_all,
    "found": lambda p, q: effort.gain(p, -np.log1p(-np.array(q)), np.ones(len(p))),
    "detection": lambda c, law: searching.detection(c, law),
    "after_one": lambda p, q: searching.chance_after_search(p, q),
    "after_other": lambda r, p, q: after_all([r, p], [0.0, q], 0),
    "cover": lambda w, l, a: searching.coverage(w, l, a).value,  # noqa: E741
    "split": lambda p, a, h, cell: effort.best_split(p, a, h).hours[cell],
    "gain": lambda p, a, v, h: effort.best_split(p, a, h, worth=v).gain,
}


@pytest.mark.parametrize(("name", "inputs", "expected", "tolerance"), rows("searching"))
def test_check_values(name, inputs, expected, tolerance):
    assert FUNCTIONS[name](**inputs) == pytest.approx(expected, rel=tolerance, abs=1e-12)


@pytest.mark.outside("exhaustive search of every split in steps of a quarter hour")
@pytest.mark.parametrize("seed", range(4))
def test_no_split_in_quarter_hours_exceeds_the_best_one(seed):
    rng = np.random.default_rng(seed)
    p = rng.dirichlet(np.ones(4), 3)[:, :3]
    a = rng.uniform(0.05, 0.9, (3, 3))
    worth = rng.uniform(10, 100, 3)
    best = effort.best_split(p, a, 6.0, worth=worth).gain
    top = max(
        effort.gain(p, a, [i / 4, j / 4, (24 - i - j) / 4], worth)
        for i, j in itertools.product(range(25), repeat=2)
        if i + j <= 24
    )
    assert top <= best * (1 + 1e-9)
    assert top >= best * 0.999


CELLS = st.integers(1, 6)


@st.composite
def searches(draw):
    parts, areas, passes = draw(CELLS), draw(CELLS), draw(st.integers(0, 6))
    rng = np.random.default_rng(draw(st.integers(0, 10**6)))
    prior = rng.dirichlet(np.ones(areas + 1), parts)[:, :areas]
    sweep = rng.uniform(0, 3, (parts, passes))
    track = rng.uniform(0, 200, (passes, areas)) * rng.integers(0, 2, (passes, areas))
    return prior, sweep, track, rng.uniform(50, 500, areas)


@given(searches(), st.sampled_from(list(searching.LAWS)))
def test_chances_sum_to_one_with_the_cell_off_the_site(search, law):
    prior, sweep, track, area = search
    after = searching.posterior(prior, sweep, track, area, law=law)
    assert after.shape == (prior.shape[0], prior.shape[1] + 1)
    assert after.sum(axis=1) == pytest.approx(1)
    assert (after >= 0).all()


@given(searches(), st.sampled_from(list(searching.LAWS)), st.data())
def test_pass_without_a_find_never_raises_the_chance_of_its_area(search, law, data):
    prior, sweep, track, area = search
    cell = data.draw(st.integers(0, prior.shape[1] - 1))
    before = searching.posterior(prior, sweep, track, area, law=law)
    one = np.zeros((1, prior.shape[1]))
    one[0, cell] = 80.0
    more = np.vstack([track, one])
    wide = np.hstack([sweep, np.full((prior.shape[0], 1), 1.5)])
    after = searching.posterior(prior, wide, more, area, law=law)
    assert (after[:, cell] <= before[:, cell] + 1e-12).all()
    others = [c for c in range(prior.shape[1] + 1) if c != cell]
    assert (after[:, others] >= before[:, others] - 1e-12).all()


@given(searches(), st.sampled_from(list(searching.LAWS)))
def test_order_of_the_passes_does_not_matter(search, law):
    prior, sweep, track, area = search
    one = searching.posterior(prior, sweep, track, area, law=law)
    two = searching.posterior(prior, sweep[:, ::-1], track[::-1], area, law=law)
    assert one == pytest.approx(two)


@given(searches())
def test_arrays_and_a_plain_loop_agree(search):
    prior, sweep, track, area = search
    plain = bench_searching.posterior_by_loop(
        prior.tolist(), sweep.tolist(), track.tolist(), area.tolist()
    )
    assert searching.posterior(prior, sweep, track, area) == pytest.approx(np.array(plain))


def test_thing_found_has_chance_one_in_its_area():
    prior = [[0.3, 0.3], [0.2, 0.5]]
    after = searching.posterior(prior, [1.0], [[50, 50]], [100, 100], found_in=[1, -1])
    assert after[0].tolist() == [0, 1, 0]
    assert after[1].sum() == pytest.approx(1)


def test_sweep_width_of_zero_changes_no_chance():
    after = searching.posterior([[0.3, 0.3]], [[0.0]], [[500, 0]], [100, 100])
    assert after[0] == pytest.approx([0.3, 0.3, 0.4])


def test_thing_without_any_chance_is_infeasible():
    with pytest.raises(Infeasible, match="can be nowhere"):
        searching.posterior([[1.0]], [2.0], [[100]], [100], law="definite_range")


@given(searches(), st.floats(0.1, 50), st.floats(0.1, 5))
def test_the_best_split_is_never_worse_than_an_even_one(search, hours, speed):
    prior, _, _, area = search
    rates = np.outer(np.linspace(0.5, 2, prior.shape[0]), 100 * speed / area)
    split = effort.best_split(prior, rates, hours)
    assert split.hours.sum() == pytest.approx(hours)
    assert (split.hours >= 0).all()
    assert split.gain >= split.even_gain - 1e-9
    shares = np.random.default_rng(3).dirichlet(np.ones(prior.shape[1]), 20) * hours
    for z in shares:
        assert effort.gain(prior, rates, z) <= split.gain + 1e-9


@given(searches(), st.floats(0.5, 20))
def test_both_methods_give_one_thing_the_same_split(search, hours):
    prior, _, _, area = search
    w, a = prior[:1], (100 / area)[None, :]
    closed, price = effort._split_one(w, a, hours)
    shared, other = effort._split_many(w, a, hours)
    assert closed == pytest.approx(shared, abs=1e-6 * hours)
    assert price == pytest.approx(other, rel=1e-6)


def test_planning_again_after_a_day_without_a_find_continues_the_plan():
    p, a = np.array([0.4, 0.25, 0.15]), np.array([0.3, 0.2, 0.5])
    whole = effort.best_split(p, a, 9.0)
    first = effort.best_split(p, a, 4.0)
    missed = p * np.exp(-a * first.hours)
    second = effort.best_split(missed / (1 - p.sum() + missed.sum()), a, 5.0)
    assert first.hours + second.hours == pytest.approx(whole.hours)


def test_search_on_while_the_next_hour_pays():
    p, a = [0.5, 0.2], [0.4, 0.1]
    on = effort.search_on_or_make(p, a, 400, 12, areas=["pit", "bank"], money="GBP")
    assert on.search_on
    assert on.calculation.verdict.startswith("Search on: the next hour, in pit,")
    assert 0 < on.worth_hours < 20
    slope = 400 * np.array(p) * np.array(a) * np.exp(-np.array(a) * on.hours)
    assert slope[on.hours > 0] == pytest.approx(12)
    assert on.expected_saving > 0
    done = np.array(p) * np.exp(-np.array(a) * on.hours)
    after = done / (1 - 0.7 + done.sum())
    off = effort.search_on_or_make(after * 0.2, a, 400, 12, areas=["pit", "bank"])
    assert not off.search_on
    assert off.calculation.verdict.startswith("Make it")


def test_many_things_are_worth_more_than_one():
    p = np.array([[0.3, 0.1], [0.25, 0.3]])
    one = effort.search_on_or_make(p[:1], [0.2, 0.2], [100], 15)
    both = effort.search_on_or_make(p, [0.2, 0.2], [100, 100], 15)
    assert not one.search_on
    assert both.next_hour_saves > one.next_hour_saves


def test_finds_raise_the_chance_of_their_area():
    chance = searching.prior_from_finds([6, 0], [100, 100], 0.25)
    assert chance.sum() == pytest.approx(0.75)
    assert chance[0] > 4 * chance[1]
    even = searching.prior_from_finds([0, 0], [100, 300], 0.2)
    assert even == pytest.approx([0.2, 0.6])


def test_a_trial_gives_the_sweep_width_with_its_interval():
    trial = searching.sweep_width_by_trial(4.0, 20, 9)
    assert trial.value == pytest.approx(1.8)
    # Wilson 95 in 100 for 9 of 20: 0.258 to 0.658 (Brown, Cai and DasGupta 2001 give the formula)
    assert (trial.low, trial.high) == pytest.approx((4 * 0.2582, 4 * 0.6579), rel=1e-3)


def test_where_now_names_the_likeliest_areas():
    calculation = searching.where_now(
        "governor belt pulley", [0.1, 0.45, 0.2, 0.25], ["A", "B", "C"]
    )
    assert calculation.verdict == (
        "governor belt pulley: 75 % still on the site; first B 45 %, C 20 %, A 10 %."
    )
    assert calculation.value == pytest.approx(0.75)


def test_every_searching_figure_cautions_about_leave():
    for calculation in (
        searching.coverage(1.2, 500, 900),
        searching.sweep_width("eye_mown"),
        effort.best_split([0.4, 0.2], [0.1, 0.3], 4).calculation,
        effort.search_on_or_make([0.4], [0.1], 100, 5).calculation,
    ):
        assert any("owner's leave" in caution.act for caution in calculation.cautions)
        assert calculation.source


@pytest.mark.parametrize("name", ["sweep_widths", "detector_depths"])
def test_every_row_of_the_tables_names_its_source(name):
    for row in tables.read(name):
        assert row["source"]
        assert row["status"] in ("seen", "memory")


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: searching.detection(-1), "coverage must be 0 or more"),
        (lambda: searching.detection(float("nan")), "finite"),
        (lambda: searching.detection(1, "hope"), "law of detection"),
        (lambda: searching.posterior([[0.8, 0.8]], [1], [[1, 1]], [1, 1]), "not be over 1"),
        (lambda: searching.posterior([[0.8]], [1], [[1, 1]], [1]), "column for each area"),
        (lambda: searching.posterior([[0.8]], [1], [[1]], [0]), "size over 0"),
        (lambda: searching.posterior([0.8], [1], [[1]], [1]), "row for each thing"),
        (lambda: searching.posterior([[0.8]], [1], [[1]], [1], found_in=[4]), "number of the area"),
        (lambda: searching.chance_after_search(1, 1), "sure to be there"),
        (lambda: searching.sweep_width_by_trial(4, 5, 6), "cannot be"),
        (lambda: searching.sweep_width("xray"), "no sweep width"),
        (lambda: searching.sweep_width_by_curve([0, 1], [1]), "one chance for each"),
        (lambda: searching.where_now("bolt", [0.5, 0.2], ["A"]), "together 1"),
        (lambda: effort.best_split([0.5], [0.1], 0), "number of hours"),
        (lambda: effort.best_split([0.5, 0.6], [0.1, 0.1], 1), "not be over 1"),
        (lambda: effort.search_on_or_make([0.5], [0.1], 10, 0), "cost of an hour"),
    ],
)
def test_invalid_input_is_refused_in_words(call, words):
    with pytest.raises(EngineeringError, match=words) as caught:
        call()
    assert isinstance(caught.value, OutOfRange | UnknownName | Infeasible)


def test_the_inputs_of_the_timing_run_are_the_same_each_time():
    one, two = bench_searching.posterior_inputs(2, 3, 4), bench_searching.posterior_inputs(2, 3, 4)
    assert all((a == b).all() for a, b in zip(one, two, strict=True))


def test_timing_cases_meet_their_limits():
    _, seconds, words = bench_searching.posterior_case()
    assert seconds < 0.05
    assert int(words.split(" ×")[0]) >= 100
    _, seconds, _ = bench_searching.simulation_case()
    assert seconds < 0.5
