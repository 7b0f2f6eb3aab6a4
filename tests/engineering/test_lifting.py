"""Slings and their legs, hauling, tackle, and the loads of a lorry."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from parts.engineering import tables
from parts.engineering.errors import EngineeringError, Infeasible, OutOfRange, UnknownName
from parts.engineering.lifting import hauling, slings
from parts.engineering.lifting.slings import Gear
from tests.engineering.checks import rows

TAGGED = Gear("chain sling 3", 2000, True, "tag read by the lead")


def by_height(leg, height):
    return math.degrees(math.asin(height / leg))


def capacity(rated, leg, height):
    """Return half the load that two legs may carry, as the sheet prints it for one leg."""
    return rated / slings.leg_load(1, 2, by_height(leg, height)).value / 2


def bridle_lb(size, legs, angle, shared=False):
    rated = slings.sling("chain_80", size).rated_kg / 0.45359237
    return rated / slings.leg_load(1, legs, angle, shared=shared).value


def share(load, near, far):
    near_leg = slings.off_centre(load, near, far, 100).parts[0]
    angle = next(g.value for g in near_leg.inputs if g.letter == "a")
    return near_leg.value * math.sin(math.radians(angle))


FUNCTIONS = {
    "tension_factor": lambda angle: 2 * slings.leg_load(1, 2, angle).value,
    "leg_lb": lambda load, legs, angle: slings.leg_load(load, legs, angle).value,
    "leg_lb_by_lengths": lambda load, leg, height: (
        slings.leg_load(load, 2, by_height(leg, height)).value
    ),
    "capacity_lb_by_lengths": capacity,
    "bridle_lb": bridle_lb,
    "near_share_lb": share,
    "off_centre_kg": lambda load, near, far, height: (
        slings.off_centre(load, near, far, height).value
    ),
    "slide": lambda load, mu, slope=0: hauling.slide(load, mu, slope).value,
    "slide_on": lambda load, surface: hauling.slide(load, surface).value,
    "bedded": lambda load, ground, slope=0: hauling.free_bedded(load, ground, slope).value,
    "tackle_gain": lambda parts, **k: 1000 / hauling.tackle(1000, parts, **k).value,
    "tackle_pull": lambda load, parts, **k: hauling.tackle(load, parts, **k).value,
    "submerged": lambda load, rho, water: slings.weight_in_water(load, rho, water).value,
    "trips": lambda masses, payload: (
        hauling.lorry_trips([(str(i), m) for i, m in enumerate(masses)], payload).calculation.value
    ),
}


@pytest.mark.parametrize(("name", "inputs", "expected", "tolerance"), rows("lifting"))
def test_check_values(name, inputs, expected, tolerance):
    assert FUNCTIONS[name](**inputs) == pytest.approx(expected, rel=tolerance)


def fewest(masses, payload):
    """Return the fewest trips by trying each piece on every trip so far and on a new one."""
    best = len(masses)

    def place(i, trips):
        nonlocal best
        if len(trips) >= best:
            return
        if i == len(masses):
            best = len(trips)
            return
        for t, load in enumerate(trips):
            if load + masses[i] <= payload + 1e-9:
                place(i + 1, [*trips[:t], load + masses[i], *trips[t + 1 :]])
        place(i + 1, [*trips, masses[i]])

    place(0, [])
    return best


@pytest.mark.outside("exhaustive search of every way to load the pieces")
@pytest.mark.parametrize("seed", range(12))
def test_exhaustive_search_finds_no_fewer_trips(seed):
    import random

    chance = random.Random(seed)
    masses = [float(chance.randint(120, 900)) for _ in range(9)]
    trips = hauling.lorry_trips([(f"piece {i}", m) for i, m in enumerate(masses)], 1000)
    assert trips.calculation.value == fewest(masses, 1000)
    assert trips.proven


@settings(deadline=None, max_examples=30)
@given(st.lists(st.integers(50, 1500), min_size=1, max_size=40))
def test_every_piece_travels_once_and_no_trip_is_over_the_payload(masses):
    pieces = [(f"piece {i}", float(m)) for i, m in enumerate(masses)]
    trips = hauling.lorry_trips(pieces, 1500)
    assert sorted(name for load in trips.loads for name in load) == sorted(n for n, _ in pieces)
    mass = dict(pieces)
    for load, total in zip(trips.loads, trips.masses_kg, strict=True):
        assert sum(mass[name] for name in load) == pytest.approx(total)
        assert total <= 1500 + 1e-6
    assert trips.bound <= len(trips.loads)
    assert trips.proven


@given(st.floats(1, 1e5), st.integers(2, 4), st.booleans(), st.floats(30, 90))
def test_leg_loads_add_up_to_the_load(mass, legs, shared, angle):
    calculation = slings.leg_load(mass, legs, angle, shared=shared)
    counted = next(g.value for g in calculation.inputs if g.letter == "n")
    assert counted * calculation.value * math.sin(math.radians(angle)) == pytest.approx(mass)


@given(st.floats(1, 1e5), st.floats(30, 89), st.floats(0.1, 1))
def test_leg_load_grows_as_the_angle_flattens(mass, angle, less):
    flatter = max(30.0, angle - less)
    assert slings.leg_load(mass, 2, flatter).value >= slings.leg_load(mass, 2, angle).value


@given(st.floats(10, 1e4), st.floats(1, 500), st.floats(1, 500), st.floats(300, 3000))
def test_uneven_legs_balance_the_load(mass, near, far, height):
    one, two = slings.off_centre_tensions(mass, near, far, height)
    up = one * height / math.hypot(near, height) + two * height / math.hypot(far, height)
    level = one * near / math.hypot(near, height) - two * far / math.hypot(far, height)
    assert up == pytest.approx(mass)
    assert level == pytest.approx(0, abs=1e-6 * mass)
    if near > far:
        assert one <= two * (1 + 1e-9)


def test_leg_tension_takes_arrays():
    import numpy as np

    assert slings.leg_tension(np.array([100.0, 200.0]), 2, np.array([90.0, 30.0])) == (
        pytest.approx([50, 200])
    )


def test_four_legs_count_as_two_unless_the_load_is_shared():
    two = slings.leg_load(1000, 4, 60)
    three = slings.leg_load(1000, 4, 60, shared=True)
    assert two.value == pytest.approx(577.35, rel=1e-4)
    assert three.value == pytest.approx(384.9, rel=1e-4)
    assert "two of 4" in two.verdict
    assert "published tables" in three.verdict


def test_angle_under_the_limit_is_refused_without_a_figure():
    calculation = slings.leg_load(500, 2, 29.9, TAGGED)
    assert calculation.refused
    assert calculation.value is None
    assert "under the limit of 30°: do not lift" in calculation.verdict
    flat = slings.off_centre(500, 300, 900, 400, TAGGED)
    assert flat.refused
    assert flat.value is None
    assert "far leg lies at" in flat.verdict


def test_load_over_the_rating_is_refused_in_words():
    calculation = slings.leg_load(4100, 2, 90, TAGGED)
    assert calculation.refused
    assert calculation.verdict.endswith(
        "Over the rating: do not lift. The load in a leg is 2050 kg; "
        "chain sling 3 is rated 2000 kg."
    )
    assert not slings.leg_load(3900, 2, 90, TAGGED).refused


WHOLE_SLINGS = [
    pytest.param(row, id=f"{row['key']}-{row['size']}-{row['legs']}-{row['angle_deg']}")
    for row in tables.read("slings")
    if row["hitch"] == "bridle" and row["status"] == "seen"
]


@pytest.mark.outside("OSHA, Guidance on safe sling use, tables 1 and 2 (alloy chain, by the row)")
@pytest.mark.parametrize("row", WHOLE_SLINGS)
def test_leg_of_a_whole_sling_has_the_rating_of_a_single_leg(row):
    """The tables are rounded to 100 lb: half of that, 23 kg, over the legs that share it."""
    legs, angle = int(row["legs"][0]), float(row["angle_deg"])
    whole = Gear("sling", float(row["rated_kg"]), True, legs=legs, tag_deg=angle)
    single = slings.sling(row["key"], row["size"]).rated_kg
    assert slings.leg_rating(whole).value == pytest.approx(single, abs=23 + 23)


@pytest.mark.outside(
    "EN 818-4, from memory: of two legs up to 45 degrees from the vertical 1.4 times one leg, of "
    "three or four 2.1; from 45 to 60 degrees 1.0 and 1.5"
)
@pytest.mark.parametrize(
    ("legs", "from_vertical", "times"), [(2, 45, 1.4), (4, 45, 2.1), (2, 60, 1.0), (4, 60, 1.5)]
)
def test_european_tag_gives_the_rating_of_its_single_leg(legs, from_vertical, times):
    whole = Gear("sling", 1000 * times, True, legs=legs, tag_deg=90 - from_vertical)
    assert slings.leg_rating(whole).value == pytest.approx(1000, rel=0.015)


def test_whole_sling_rating_is_not_used_for_one_leg():
    """2 t for two legs at 45 degrees is 1414 kg a leg: 2.2 t on it at 60 degrees is over that."""
    whole = Gear("chain A", 2000, True, legs=2, tag_deg=45)
    assert slings.leg_load(2200, 2, 60, replace(whole, legs=1)).refused is False
    calculation = slings.leg_load(2200, 2, 60, whole)
    assert calculation.refused
    assert "together, however steep" in calculation.verdict
    assert calculation.parts[0].value == pytest.approx(2000 / 2 / math.sin(math.radians(45)))
    assert not slings.leg_load(2000, 2, 60, whole).refused


def test_whole_sling_flatter_than_its_tag_is_refused():
    whole = Gear("chain A", 2000, True, legs=2, tag_deg=60)
    calculation = slings.leg_load(100, 2, 45, whole)
    assert calculation.refused
    assert "60° from the horizontal or steeper" in calculation.verdict
    assert slings.off_centre(100, 500, 500, 400, whole).refused


@given(st.floats(1, 1e4), st.integers(2, 4), st.floats(30, 90), st.floats(30, 90))
def test_whole_sling_never_carries_more_than_its_tag(mass, legs, tag, angle):
    whole = Gear("chain A", 2000, True, legs=legs, tag_deg=tag)
    if not slings.leg_load(mass, legs, angle, whole, shared=True).refused:
        assert mass <= 2000 * (1 + 1e-12)
        assert angle >= tag


@pytest.mark.parametrize("limit", [float("nan"), float("inf"), -5.0, 0.0, 5.0, 29.9, 91.0])
def test_limit_angle_flatter_than_the_tables_is_refused(limit):
    for call in (
        lambda: slings.leg_load(100, 2, 60, limit_deg=limit),
        lambda: slings.off_centre(100, 50, 50, 100, limit_deg=limit),
        lambda: slings.leg_rating(Gear("sling", 100, True, legs=2, tag_deg=limit)),
    ):
        with pytest.raises(OutOfRange, match="angle"):
            call()


def test_unread_tag_is_refused():
    gear = slings.sling("chain_80", "1/2 in")
    calculation = slings.leg_load(100, 2, 60, gear)
    assert calculation.refused
    assert "no tag, no lift" in calculation.verdict


def test_rated_loads_from_memory_need_confirming():
    assert {row["key"] for row in slings.slings()} == {"chain_80", "chain_100", "manila"}
    assert "wire_rope" in {row["key"] for row in slings.slings(confirmed={"wire_rope"})}
    with pytest.raises(UnknownName, match="kept back until a person has confirmed them"):
        slings.sling("wire_rope", "1/2 in")
    assert slings.sling("wire_rope", "1/2 in", confirmed={"wire_rope"}).rated_kg == 2268


def test_shackle_pulled_out_of_line_has_a_lower_rating():
    assert slings.shackle("1/2 in").rated_kg == 2000
    assert slings.shackle("1/2 in", 30).rated_kg == pytest.approx(1400)
    assert slings.shackle("1/2 in", 60).rated_kg == pytest.approx(1000)


@pytest.mark.outside("web sling instruction sheet S-17880, p. 4")
@pytest.mark.parametrize(("angle", "factor"), [(120, 1.0), (95, 0.87), (60, 0.74), (45, 0.62)])
def test_tight_choke_lowers_the_rating(angle, factor):
    assert slings.choked(TAGGED, angle).rated_kg == pytest.approx(2000 * factor)


def test_a_load_on_rollers_may_run_away_down_a_slope():
    calculation = hauling.slide(1000, "rollers_planks", -5)
    assert calculation.value < 0
    assert "hold it back" in calculation.verdict
    assert any("second rope" in caution.act for caution in calculation.cautions)


def test_free_bedded_says_that_it_is_rough():
    calculation = hauling.free_bedded(800, "mud_over")
    assert calculation.verdict.startswith("Rough")
    assert calculation.low < calculation.value < calculation.high
    assert hauling.free_bedded(800, "mud_over", gear=TAGGED).refused == (calculation.high > 2000)


@given(st.integers(1, 8), st.floats(0, 0.2))
def test_friction_never_reduces_the_pull_on_a_tackle(parts, friction):
    for rule in ("per_sheave", "exact"):
        pull = hauling.tackle(1000, parts, friction=friction, rule=rule).value
        assert pull >= 1000 / parts - 1e-9


def test_every_lifting_figure_defers_to_the_rigger():
    calculations = (
        slings.leg_load(100, 2, 60),
        slings.leg_load(100, 2, 20),
        slings.off_centre(100, 200, 300, 900),
        slings.planning_mass(100),
        slings.weight_in_water(100),
        hauling.slide(100, "earth"),
        hauling.free_bedded(100, "grass"),
        hauling.tackle(100, 4),
    )
    for calculation in calculations:
        assert any("qualified rigger" in caution.act for caution in calculation.cautions), (
            calculation.name
        )


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: slings.leg_load(-5, 2, 60), "mass must be more than 0"),
        (lambda: slings.leg_load(100, 5, 60), "1 to 4 legs"),
        (lambda: slings.leg_load(100, 2, 95), "angle from the horizontal"),
        (lambda: slings.leg_load(100, 1, 60), "hangs plumb"),
        (lambda: slings.leg_load(float("nan"), 2, 60), "finite"),
        (lambda: slings.leg_angle(1000, 2500), "do not reach"),
        (lambda: slings.off_centre(100, 0, 10, 50), "near fixing"),
        (lambda: slings.sling("silk", "1 in"), "no sling called"),
        (lambda: slings.shackle("9 in"), "no shackle"),
        (lambda: hauling.slide(100, "ice"), "no surface"),
        (lambda: hauling.free_bedded(100, "soup"), "no ground"),
        (lambda: hauling.tackle(100, 0), "number of parts"),
        (lambda: hauling.tackle(100, 2, rule="guess"), "friction of a tackle"),
        (lambda: hauling.lorry_trips([], 1000), "nothing to carry"),
        (lambda: hauling.lorry_trips([("bedplate", 4000)], 3500), "bedplate weighs"),
    ],
)
def test_invalid_input_is_refused_in_words(call, words):
    with pytest.raises(EngineeringError, match=words) as caught:
        call()
    assert isinstance(caught.value, OutOfRange | UnknownName | Infeasible)


@pytest.mark.parametrize(
    "name",
    [
        "slings",
        "shackles",
        "choker",
        "friction",
        "ground_resistance",
        "diagram_factors",
        "shaft_rules",
        "rim_limits",
    ],
)
def test_every_row_of_the_tables_names_its_source(name):
    for row in tables.read(name):
        assert row["source"]
        assert row["status"] in ("seen", "memory")
