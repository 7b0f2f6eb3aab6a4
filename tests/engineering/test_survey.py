"""Survey: positions from tapes, offsets, bearings, latitude and longitude."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from parts.engineering.errors import EngineeringError, Infeasible, OutOfRange, UnknownName
from parts.engineering.ground import geodesy, survey
from parts.engineering.ground.survey import TapesDisagree
from tests.engineering.checks import rows


def along(fix, name):
    return {"east": fix.east_m, "north": fix.north_m}[name]


def tape_fit(pegs, tapes, sigma, get):
    fix = survey.tapes(pegs, tapes, sigma_m=sigma, strict=False)
    if get == "rms":
        return math.sqrt(sum(v * v for v in fix.residuals_m) / len(pegs))
    return {
        "east": fix.east_m,
        "north": fix.north_m,
        "major": fix.major_m,
        "minor": fix.minor_m,
    }[get]


def local(lat0, lon0, lat, lon, get):
    east, north = geodesy.local_metres(lat0, lon0, lat, lon)
    return {"east": east, "north": north, "distance": math.hypot(east, north)}[get]


FUNCTIONS = {
    "two_tapes": lambda base, a, b, axis: along(
        survey.two_tapes((0, 0), (base, 0), a, b, "left"), axis
    ),
    "level": lambda slope, rise: survey.level_distance(slope, rise_m=rise).value,
    "bearing": lambda origin, bearing, distance, axis: along(
        survey.bearing_distance(origin, bearing, distance), axis
    ),
    "baseline": lambda a, b, along_m, offset, side, axis: along(
        survey.baseline_offset(a, b, along_m, offset, side), axis
    ),
    "radius": lambda lat, which: geodesy.radii(lat)[which],
    "tapes": tape_fit,
    "local": local,
}


@pytest.mark.parametrize(("name", "inputs", "expected", "tolerance"), rows("survey"))
def test_check_values(name, inputs, expected, tolerance):
    assert FUNCTIONS[name](**inputs) == pytest.approx(expected, rel=tolerance, abs=2e-5)


def test_the_side_chooses_between_the_two_crossings():
    left = survey.two_tapes((0, 0), (0, 10), 5, 8, "left")
    right = survey.two_tapes((0, 0), (0, 10), 5, 8, "right")
    assert left.east_m < 0 < right.east_m
    assert left.north_m == pytest.approx(right.north_m)


def test_tapes_that_do_not_meet_state_the_gap():
    with pytest.raises(Infeasible, match=r"1\.250 m short of the 10\.000 m"):
        survey.two_tapes((0, 0), (10, 0), 4, 4.75, "left")
    with pytest.raises(Infeasible, match=r"the one from peg B is 2\.000 m too long"):
        survey.two_tapes((0, 0), (10, 0), 3, 15, "left")


def test_flat_crossing_is_a_weak_fix():
    flat = survey.two_tapes((0, 0), (20, 0), 10.2, 10.2, "left")
    assert "a weak fix" in flat.calculation.verdict
    square = survey.two_tapes((0, 0), (14.142, 0), 10, 10, "left")
    assert "a weak fix" not in square.calculation.verdict
    assert math.hypot(square.major_m, square.minor_m) == pytest.approx(
        math.sqrt(2) * 0.02, rel=1e-3
    )
    assert flat.major_m > 3 * square.major_m


def test_three_tapes_that_disagree_are_refused_without_naming_one():
    pegs = [(0, 0), (20, 0), (10, 18)]
    with pytest.raises(TapesDisagree, match="cannot show which") as caught:
        survey.tapes(pegs, [13.02, 21.01, 14.35])
    assert caught.value.fix.calculation.refused
    assert len(caught.value.fix.residuals_m) == 3
    fix = survey.tapes(pegs, [13.02, 21.01, 14.35], strict=False)
    assert fix.calculation.refused
    assert fix.doubtful == ()


def test_wrong_tape_of_five_is_named_with_the_length_that_fits():
    pegs = [(0, 0), (20, 0), (10, 18), (-5, 12), (25, 15)]
    find = (8.0, 6.0)
    lengths = [round(math.dist(find, peg), 2) for peg in pegs]
    lengths[3] += 1.0
    with pytest.raises(TapesDisagree) as caught:
        survey.tapes(pegs, lengths, names=["A", "B", "C", "D", "E"])
    assert caught.value.fix.doubtful == (3,)
    assert "the tape from D" in str(caught.value)
    assert f"{math.dist(find, pegs[3]):.2f} m would fit" in str(caught.value)


def test_pegs_in_a_line_need_a_side():
    pegs, find = [(0, 0), (10, 0), (20, 0)], (7, -5)
    lengths = [math.dist(find, peg) for peg in pegs]
    with pytest.raises(OutOfRange, match="stand in a line"):
        survey.tapes(pegs, lengths)
    fix = survey.tapes(pegs, lengths, side="right")
    assert (fix.east_m, fix.north_m) == pytest.approx(find, abs=1e-6)


PLACE = st.floats(-50, 50)


@given(st.lists(st.tuples(PLACE, PLACE), min_size=4, max_size=6), PLACE, PLACE)
def test_exact_tapes_give_the_position(pegs, east, north):
    for i, p in enumerate(pegs):
        assume(math.dist(p, (east, north)) > 1)
        assume(all(math.dist(p, q) > 3 for q in pegs[:i]))
    mean = [sum(c) / len(pegs) for c in zip(*pegs, strict=True)]
    see = sum((p[0] - mean[0]) ** 2 for p in pegs)
    snn = sum((p[1] - mean[1]) ** 2 for p in pegs)
    sen = sum((p[0] - mean[0]) * (p[1] - mean[1]) for p in pegs)
    assume(see * snn - sen * sen > 0.01 * (see + snn) ** 2)
    fix = survey.tapes(pegs, [math.dist(p, (east, north)) for p in pegs])
    assert (fix.east_m, fix.north_m) == pytest.approx((east, north), abs=1e-5)
    assert fix.major_m >= fix.minor_m > 0


@given(PLACE, PLACE, st.floats(0, 359), st.floats(1, 200))
def test_a_bearing_and_a_base_line_agree(east, north, bearing, distance):
    turn = math.radians(bearing)
    far = (east + 10 * math.sin(turn), north + 10 * math.cos(turn))
    one = survey.bearing_distance((east, north), bearing, distance)
    two = survey.baseline_offset((east, north), far, distance, 0, "left")
    assert (one.east_m, one.north_m) == pytest.approx((two.east_m, two.north_m), abs=1e-6)


def test_the_long_axis_of_a_compass_fix_lies_across_the_line():
    fix = survey.bearing_distance((0, 0), 30, 50, sigma_deg=2)
    assert fix.bearing_deg == pytest.approx(120)
    assert fix.major_m == pytest.approx(50 * math.radians(2))
    assert fix.minor_m == pytest.approx(0.02)


@given(st.floats(-75, 75), st.floats(-180, 180), st.floats(-9000, 9000), st.floats(-9000, 9000))
def test_lat_lon_inverts_local_metres(lat0, lon0, east, north):
    lat, lon = geodesy.lat_lon(lat0, lon0, east, north)
    assert geodesy.local_metres(lat0, lon0, lat, lon) == pytest.approx((east, north), abs=1e-4)


def test_local_metres_takes_arrays():
    import numpy as np

    lat = np.array([53.5, 53.5018])
    lon = np.array([-2.2, -2.197])
    east, north = geodesy.local_metres(53.5, -2.2, lat, lon)
    assert east == pytest.approx([0, 199.0687], abs=1e-4)
    back = geodesy.lat_lon(53.5, -2.2, east, north)
    assert back[0] == pytest.approx(lat)
    assert north[1] == pytest.approx(200.3364, abs=1e-4)


def test_a_position_shows_east_and_north_with_their_intervals():
    calculation = survey.two_tapes((0, 0), (20, 0), 13, 21, "left").calculation
    assert calculation.verdict.startswith("3.2 m east and 12.6 m north, within 0.0")
    east, north = calculation.parts
    assert (east.name, east.unit, north.name) == ("East", "m", "North")
    assert east.low < east.value < east.high
    assert [g.name for g in calculation.inputs][:2] == ["Tape from peg A", "Tape from peg B"]
    phone = geodesy.phone_fix(53.5, -2.2, 53.5001, -2.2001, within_m=6)
    assert "tape what matters" in phone.calculation.verdict


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: survey.two_tapes((0, 0), (0, 0), 3, 4, "left"), "on one spot"),
        (lambda: survey.two_tapes((0, 0), (5, 0), 3, 4, "up"), "left or right"),
        (lambda: survey.two_tapes((0, 0), (5, 0), -3, 4, "left"), "tape from peg A"),
        (lambda: survey.two_tapes((0, float("nan")), (5, 0), 3, 4, "left"), "finite"),
        (lambda: survey.tapes([(0, 0), (5, 0)], [3, 4]), "three tapes"),
        (lambda: survey.tapes([(0, 0), (5, 0), (1, 4)], [3, 4]), "one tape for each"),
        (lambda: survey.tapes([(1, 1)] * 3, [3, 4, 5]), "on one spot"),
        (lambda: survey.level_distance(10, rise_m=11), "as long as the tape"),
        (lambda: survey.level_distance(10), "either the rise"),
        (lambda: survey.bearing_distance((0, 0), 400, 5), "bearing"),
        (lambda: survey.baseline_offset((0, 0), (0, 0), 1, 1, "left"), "on one spot"),
        (lambda: geodesy.local_metres(53.5, -2.2, -2.2, 53.5), "exchanged"),
        (lambda: geodesy.local_metres(53.5, -2.2, 95, 0), "Latitude runs"),
        (lambda: geodesy.lat_lon(53.5, -2.2, 1e6, 0), "over 20 km"),
    ],
)
def test_invalid_input_is_refused_in_words(call, words):
    with pytest.raises(EngineeringError, match=words) as caught:
        call()
    assert isinstance(caught.value, OutOfRange | UnknownName | Infeasible)
