"""White metal, clearances and pressures of bearings."""

from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from parts.engineering import tables
from parts.engineering.bearings import white_metal
from parts.engineering.bearings.journals import PSI, PSI_FT_MIN
from parts.engineering.calculation import Calculation, Origin
from parts.engineering.casting import cautions
from parts.engineering.constants import KG_M3_PER_LB_IN3
from parts.engineering.errors import EngineeringError, OutOfRange, UnknownName
from parts.engineering.materials import properties
from tests.engineering.checks import rows

NAN, INF = float("nan"), float("inf")


def fahrenheit(degC):
    return degC * 9 / 5 + 32


def shell_grams(bore_mm, thickness_mm, length_mm, grade):
    room = white_metal.shell(bore_mm, thickness_mm, length_mm, half=True)
    (stays,) = white_metal.metal_to_melt(room, grade).parts
    return stays.value * 1000


def half_shell(bore_in, thickness_in, length_in):
    room = white_metal.shell(bore_in * 25.4, thickness_in * 25.4, length_in * 25.4, half=True)
    return room.value / 25.4**3


def pressure(bore_in, psi, journal_d_in, journal_l_in, bearings_):
    load = psi * PSI * pi / 4 * (bore_in * 25.4) ** 2 / 1000
    return white_metal.mean_pressure(
        load, journal_d_in * 25.4, journal_l_in * 25.4, bearings=bearings_
    )


def plain_pressure(p_psi):
    return Calculation("Pressure", p_psi * PSI, "kPa", "given")


def pv_limit(grade):
    base = white_metal.grade(grade).base
    speed = white_metal.journal_speed(76.2, 200)
    calculation = white_metal.pressure_velocity(plain_pressure(100), speed, base)
    return calculation.inputs[2].value / PSI_FT_MIN


FUNCTIONS = {
    "shell_g": shell_grams,
    "half_shell_in3": half_shell,
    "clearance_in": lambda rule, shaft_in: (
        white_metal.clearance(shaft_in * 25.4, rule).value / 25.4
    ),
    "pressure_psi": lambda **given: pressure(bearings_=given.pop("bearings"), **given).value / PSI,
    "speed_fpm": lambda d_in, rpm: white_metal.journal_speed(d_in * 25.4, rpm).value / 0.3048 * 60,
    "pv": lambda p_psi, d_in, rpm: (
        white_metal.pressure_velocity(
            plain_pressure(p_psi), white_metal.journal_speed(d_in * 25.4, rpm)
        ).value
        / PSI_FT_MIN
    ),
    "pv_limit": pv_limit,
    "pour_F": lambda grade: fahrenheit(white_metal.pouring(grade).value),
    "liquid_F": lambda grade: fahrenheit(white_metal.pouring(grade).inputs[0].value),
    "density_lb_in3": lambda grade: (
        properties.density(white_metal.grade(grade).metal).value / float(KG_M3_PER_LB_IN3)
    ),
    "mandrel_F": lambda: fahrenheit(white_metal.preheat("mandrel").value),
    "block_F": lambda: fahrenheit(white_metal.preheat("block").value),
    "grade_of": lambda percent: int(white_metal.grades_matching(percent)[0][0].key),
    "load_high_psi": lambda grade: white_metal.grade(grade).load_kpa.high / PSI,
}


@pytest.mark.parametrize(("function", "inputs", "expected", "tolerance"), rows("bearings"))
def test_check_values(function, inputs, expected, tolerance):
    assert FUNCTIONS[function](**inputs) == pytest.approx(expected, rel=tolerance)


@pytest.mark.outside("common practice, no source")
def test_white_metal_can_be_melted_and_used_again():
    room = white_metal.shell(75, 6, 100)
    wanted = white_metal.metal_to_melt(room, 2)
    enough = white_metal.reclaimed(wanted, wanted.high, 2)
    assert enough.value == 0
    assert enough.verdict.startswith("Enough")


@given(
    bore=st.floats(20, 500),
    part=st.floats(0.01, 0.2),
    length=st.floats(10, 800),
    half=st.booleans(),
)
def test_lining_volume_is_the_shell_less_the_bore(bore, part, length, half):
    t = bore * part
    # The mean circumference times the thickness, a second way to the same room.
    expected = pi * (bore + t) * t * length / (2 if half else 1)
    assert white_metal.shell(bore, t, length, half=half).value == pytest.approx(expected)


@given(bore=st.floats(20, 500), stock=st.floats(0, 6))
def test_boring_stock_adds_to_the_metal(bore, stock):
    plain = white_metal.shell(bore, 5, 100).value
    bored = white_metal.shell(bore, 5, 100, boring_stock_mm=stock).value
    assert bored - plain == pytest.approx(pi / 4 * (bore**2 - (bore - stock) ** 2) * 100, abs=1e-3)


def test_two_half_shells_with_collars_equal_a_whole_one():
    sizes = {"collars": 2, "collar_diameter_mm": 120, "collar_thickness_mm": 6}
    whole = white_metal.shell(75, 6, 100, **sizes)
    half = white_metal.shell(75, 6, 100, half=True, **sizes)
    plain = white_metal.shell(75, 6, 100)
    assert whole.value == pytest.approx(2 * half.value)
    assert whole.value - plain.value == pytest.approx(2 * pi / 4 * (120**2 - 75**2) * 6)
    assert half.formula.startswith("½")


def test_metal_to_melt_includes_gate_and_dross():
    room = white_metal.shell(75, 6, 100, half=True)
    calculation = white_metal.metal_to_melt(room, 2, pieces=2, overfill=0.2, loss=0.02)
    (stays,) = calculation.parts
    assert calculation.value == pytest.approx(stays.value * 1.2 / 0.98)
    assert stays.value == pytest.approx(2 * room.value * 1e-9 * 7390)
    table = white_metal.metal_to_melt(room, 2, pieces=2)
    assert table.low < table.value < table.high
    assert cautions.POURED_SHELL in table.cautions
    assert cautions.LEAD in table.cautions
    assert cautions.HOT_METAL in table.cautions


def test_reclaimed_metal_gives_the_new_metal_needed():
    needed = white_metal.metal_to_melt(white_metal.shell(75, 6, 100), 2)
    calculation = white_metal.reclaimed(needed, needed.value - 0.5, 2)
    assert calculation.value == pytest.approx(0.5)
    assert "0.5 kg of new grade 2 is wanting" in calculation.verdict
    just = white_metal.reclaimed(needed, needed.value + 0.001, 2)
    assert just.value == 0
    assert just.verdict.startswith("Just enough")
    assert white_metal.reclaimed(needed, 0, 2).value == pytest.approx(needed.value)


def test_every_grade_has_its_figures():
    assert [one.key for one in white_metal.grades()] == ["1", "2", "3", "11", "7", "8", "13", "15"]
    for one in white_metal.grades():
        assert one.service
        assert properties.density(one.metal).value > 7000
        assert (one.base == "tin") == (one.alloy.nominal["Sn"] > 50)
        assert one.load_kpa.low < one.load_kpa.high


def test_lead_base_grades_caution_of_arsenic_and_all_of_lead():
    assert cautions.ARSENIC in white_metal.pouring("7").cautions
    assert cautions.ARSENIC not in white_metal.pouring("2").cautions
    for key in ("1", "2", "3", "7", "8", "15"):
        assert cautions.LEAD in white_metal.pouring(key).cautions


@pytest.mark.parametrize("key", ["1", "2", "3", "7", "8", "15"])
def test_pouring_temperature_is_above_the_liquidus(key):
    calculation = white_metal.pouring(key)
    assert calculation.inputs[0].value < calculation.low <= calculation.value <= calculation.high
    # and under what the pot may reach, 950 F
    assert fahrenheit(calculation.high) < 960


def test_tin_base_composition_matches_its_grade():
    nearest, faults = white_metal.grades_matching(
        {"Sn": 5, "Sb": 15, "Pb": 79, "Cu": 0.4, "As": 0.45}
    )[0]
    assert nearest.key == "8"
    assert faults == ()
    assert white_metal.grades_matching({"Zn": 100})[0][1]


@given(d=st.floats(26, 400))
def test_clearance_rules_lie_between_tight_and_worn_limits(d):
    worn = white_metal.clearance(d, "slow_worn").value
    for rule in white_metal.rules():
        if rule.key in ("one_and_one", "two_and_one") and d < 51:
            continue
        calculation = white_metal.clearance(d, rule.key)
        assert not calculation.refused
        assert calculation.value <= worn + 1e-9


def test_clearance_is_on_the_diameter_with_its_range():
    calculation = white_metal.clearance(76.2)
    assert calculation.value == pytest.approx(0.005 * 25.4)
    assert (calculation.low / 25.4, calculation.high / 25.4) == pytest.approx((0.004, 0.006))
    assert "on the diameter" in calculation.name
    assert "0.3048 mm" in calculation.verdict


def test_own_clearance_overrides_the_rule():
    calculation = white_metal.clearance(76.2, own_mm=0.15)
    assert calculation.value == 0.15
    assert calculation.inputs[1].origin is Origin.ENTERED
    tight = white_metal.clearance(76.2, own_mm=0.05)
    assert tight.refused
    assert tight.verdict.startswith("Too tight: the least ever advised is 0.0762 mm")
    slack = white_metal.clearance(76.2, own_mm=0.5)
    assert not slack.refused
    assert slack.verdict.startswith("Slacker than the worn limit")


def test_pressure_over_the_usual_is_refused_in_words():
    fits = white_metal.mean_pressure(10_000, 76.2, 127)
    assert not fits.refused
    assert fits.verdict.startswith("Within the usual for a main journal: 1030 kPa")
    over = white_metal.mean_pressure(20_000, 76.2, 127)
    assert over.refused
    assert "Over the usual limit for a main journal: 2070 kPa" in over.verdict
    assert over.cautions[0].act.startswith("Over the usual limit: do not")
    assert white_metal.mean_pressure(1_000, 76.2, 127).verdict.startswith(
        "Light for a main journal"
    )
    assert not white_metal.mean_pressure(20_000, 76.2, 127, service="crank_pin").refused


@given(load=st.floats(1, 1e6), d=st.floats(10, 500), length=st.floats(10, 900), n=st.integers(1, 8))
def test_pressure_times_area_is_the_load(load, d, length, n):
    calculation = white_metal.mean_pressure(load, d, length, bearings=n)
    assert calculation.value * n * d * length / 1000 == pytest.approx(load)


def test_pressure_times_speed_verdict_names_the_oil_film():
    speed = white_metal.journal_speed(76.2, 200)
    assert "It needs an oil film" in (
        white_metal.pressure_velocity(plain_pressure(200), speed, "tin").verdict
    )
    assert white_metal.pressure_velocity(plain_pressure(100), speed, "tin").verdict.startswith(
        "Within"
    )


def test_lining_thickness_grows_with_the_journal():
    assert white_metal.thickness(40).value == pytest.approx(25.4 / 8)
    assert white_metal.thickness(200).value == pytest.approx(25.4 / 4)
    assert 25.4 / 8 < white_metal.thickness(100).value < 25.4 / 4


@pytest.mark.parametrize(
    ("ask", "error", "says"),
    [
        (lambda: white_metal.shell(0, 6, 100), OutOfRange, "bore"),
        (lambda: white_metal.shell(-75, 6, 100), OutOfRange, "bore"),
        (lambda: white_metal.shell(NAN, 6, 100), OutOfRange, "finite"),
        (lambda: white_metal.shell(75, INF, 100), OutOfRange, "finite"),
        (lambda: white_metal.shell("wide", 6, 100), OutOfRange, "must be a number"),
        (lambda: white_metal.shell(75, 40, 100), OutOfRange, "too thick"),
        (lambda: white_metal.shell(75, 6, 1e6), OutOfRange, "more than can be"),
        (lambda: white_metal.shell(10, 4, 50, boring_stock_mm=12), OutOfRange, "boring stock"),
        (lambda: white_metal.shell(75, 6, 100, collars=3), OutOfRange, "no collar, one or two"),
        (lambda: white_metal.shell(75, 6, 100, collars=1), OutOfRange, "outside of the collar"),
        (
            lambda: white_metal.shell(
                75, 6, 100, collars=1, collar_diameter_mm=70, collar_thickness_mm=5
            ),
            OutOfRange,
            "no larger than the bore",
        ),
        (lambda: white_metal.grade("99"), UnknownName, "no grade '99'"),
        (lambda: white_metal.pouring("13"), UnknownName, "type in your own"),
        (lambda: white_metal.preheat("floor"), UnknownName, "Warm the mandrel"),
        (
            lambda: white_metal.metal_to_melt(white_metal.shell(75, 6, 100), 2, overfill=-1),
            OutOfRange,
            "overfill",
        ),
        (
            lambda: white_metal.metal_to_melt(white_metal.shell(75, 6, 100), 2, pieces=0.5),
            OutOfRange,
            "whole",
        ),
        (lambda: white_metal.clearance(0), OutOfRange, "journal diameter"),
        (lambda: white_metal.clearance(75, "tight"), UnknownName, "no rule of clearance"),
        (lambda: white_metal.clearance(75, speed_rpm=900), OutOfRange, "up to 600 rpm"),
        (lambda: white_metal.clearance(75, own_mm=-0.1), OutOfRange, "clearance"),
        (lambda: white_metal.mean_pressure(1, 0, 1), OutOfRange, "journal diameter"),
        (lambda: white_metal.mean_pressure(1, 1, 1, bearings=1.5), OutOfRange, "whole"),
        (lambda: white_metal.mean_pressure(1, 1, 1, service="gudgeon"), UnknownName, "gudgeon"),
        (lambda: white_metal.journal_speed(75, -1), OutOfRange, "speed"),
        (
            lambda: white_metal.pressure_velocity(
                plain_pressure(1), white_metal.journal_speed(75, 1), "zinc"
            ),
            UnknownName,
            "tin-base or lead-base",
        ),
        (lambda: white_metal.thickness(NAN), OutOfRange, "journal diameter"),
        (lambda: white_metal.grades_matching({"Sn": -1}), OutOfRange, "share of tin"),
    ],
)
def test_invalid_input_is_refused_in_words(ask, error, says):
    with pytest.raises(error, match=says) as caught:
        ask()
    assert isinstance(caught.value, EngineeringError)
    assert str(caught.value).endswith(".")


def test_every_row_of_the_tables_names_its_source():
    for row in tables.read("preheat"):
        assert row["source"]
        assert row["status"] in ("seen", "memory")
    for row in tables.read("white_metal"):
        assert row["load_source"]
        assert row["pv_source"]
