"""The cylinder's power, the crank's effort, the flywheel's rim."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from parts.engineering.errors import EngineeringError, OutOfRange, UnknownName
from parts.engineering.steam import crank, flywheel
from parts.engineering.steam import cylinder as steam
from parts.engineering.steam.cylinder import Absolute, Cylinder, Gauge
from tests.engineering.checks import rows

PSI = 6.894757293
HP = 0.745699872
LBF_IN = 0.1129848290
FPM = 0.3048 / 60


def mep(p1, pb, c, a=0.0, f=1.0):
    return steam.mean_pressure(
        Absolute(p1 * 100), Absolute(pb * 100), c, factor=f, clearance=a
    ).value


def ihp(bore_in, stroke_in, rpm, psi, rod_in=0.0, double=True):
    cylinder = Cylinder(bore_in * 25.4, stroke_in * 25.4, rod_in * 25.4, double_acting=double)
    return steam.indicated_power(cylinder, psi * PSI, rpm).value / HP


def plan_hp(psi, area_in2, piston_fpm):
    bore = math.sqrt(area_in2 * 4 / math.pi)
    return ihp(bore, 12, piston_fpm / 2, psi)


def energy_kj(i, rad_s):
    return flywheel.energy_stored(i, rad_s * 60 / (2 * math.pi)).value


FUNCTIONS = {
    "mep_bar": lambda **k: mep(**k) / 100,
    "card_psi": lambda area_in2, length_in, spring: (
        steam.pressure_from_card(area_in2 * 645.16, length_in * 25.4, spring * PSI / 25.4).value
        / PSI
    ),
    "power_kw": lambda bore_m, stroke_m, rpm, **k: (
        steam.indicated_power(Cylinder(bore_m * 1000, stroke_m * 1000), mep(**k), rpm).value
    ),
    "mep_needed_bar": lambda bore_m, stroke_m, rpm, kw: (
        steam.pressure_from_power(Cylinder(bore_m * 1000, stroke_m * 1000), kw, rpm).value / 100
    ),
    "plan_hp": plan_hp,
    "ihp": ihp,
    "torque_lbf_in": lambda hp, rpm: steam.torque(hp * HP, rpm).value / LBF_IN,
    "piston_fpm": lambda stroke_in, rpm: steam.piston_speed(stroke_in * 25.4, rpm).value / FPM,
    "mean_ratio": lambda c: steam.expansion_ratio(c),
    "swept_in3": lambda bore_in, stroke_in: (
        steam.swept_volume(Cylinder(bore_in * 25.4, stroke_in * 25.4)).value / 25.4**3
    ),
    "shaft_psi": lambda lbf_in, d_in: (
        crank.shaft_stress(lbf_in * LBF_IN, d_in * 25.4).value * 1000 / PSI
    ),
    # The stress of a 100 mm shaft times its modulus gives the equivalent torque back.
    "equivalent_torque": lambda bending, twisting: (
        crank.shaft_stress(twisting, 100, bending=bending, greatest="direct").value
        * 1e6
        * math.pi
        * 0.1**3
        / 16
    ),
    "old_rule_hp": lambda d_in, rpm, rule: (
        crank.shaft_by_old_rule(d_in * 25.4, rpm, rule).value / HP
    ),
    "rim_fpm": lambda od_in, rpm: flywheel.rim_speed(od_in * 25.4, rpm).value / FPM,
    "rim_m_s": lambda od_mm, rpm: flywheel.rim_speed(od_mm, rpm).value,
    "rim_psi": lambda v_ft_s, lb_in3: (
        flywheel.rim_stress(v_ft_s * 0.3048, lb_in3 * 27679.9).value * 1000 / PSI
    ),
    "ring_rad_s": lambda mpa, rho, r_mm: (
        math.sqrt(mpa / flywheel.rim_stress(1.0, rho).value) / (r_mm / 1000)
    ),
    "energy_kj": energy_kj,
    "fluctuation_max_rpm": lambda de, i, rpm: (
        rpm * (1 + flywheel.unsteadiness(de, i, rpm).value / 2)
    ),
    "inertia": lambda od, bore, face: flywheel.rim_inertia(od, bore, face).value,
    "rim_limit_rpm": lambda od_in: 26.8224 / flywheel.rim_speed(od_in * 25.4, 1).value,
    "split_limit_fpm": lambda joint: (
        next(g.value for g in flywheel.rim_speed(1000, 1, joint=joint).inputs if g.letter == "v")
        / FPM
    ),
}


@pytest.mark.parametrize(("name", "inputs", "expected", "tolerance"), rows("steam"))
def test_check_values(name, inputs, expected, tolerance):
    assert FUNCTIONS[name](**inputs) == pytest.approx(expected, rel=tolerance)


@pytest.mark.outside("common practice, no source")
def test_a_14_by_36_engine_at_85_rpm_is_called_175_to_200_horsepower():
    cylinder = Cylinder(14 * 25.4, 36 * 25.4, 2.25 * 25.4)
    pressure = steam.mean_pressure(Gauge(110 * PSI), Gauge(2.3 * PSI), 0.6, factor=0.82)
    assert 175 <= steam.indicated_power(cylinder, pressure, 85).value / HP <= 200


@pytest.mark.outside("common practice, no source")
def test_a_10_ft_wheel_at_85_rpm_is_well_within_the_old_rule():
    calculation = flywheel.rim_speed(120 * 25.4, 85)
    assert not calculation.refused
    assert calculation.value < 0.6 * 26.8224
    assert "does not say that the wheel is sound" in calculation.verdict


def test_every_engine_figure_says_it_is_no_permission_to_steam():
    cylinder = Cylinder(200, 300, 40)
    pressure = steam.mean_pressure(Gauge(500), Gauge(10), 0.5, factor="textbook")
    calculations = (
        steam.swept_volume(cylinder),
        steam.piston_speed(300, 120),
        pressure,
        steam.pressure_from_card(1700, 90, 16),
        steam.indicated_power(cylinder, pressure, 120),
        steam.pressure_from_power(cylinder, 10, 120),
        steam.torque(10, 120),
        crank.crank_effort(cylinder, Gauge(500), Gauge(10), 0.5).calculation,
        crank.shaft_stress(1000, 80),
        crank.shaft_by_old_rule(80, 120, "steel"),
        flywheel.rim_stress(20),
        flywheel.rim_speed(2000, 120),
        flywheel.energy_stored(100, 120),
        flywheel.unsteadiness(500, 100, 120),
    )
    for calculation in calculations:
        acts = [caution.act for caution in calculation.cautions]
        assert "No figure here says that this engine may be steamed." in acts, calculation.name
        assert calculation.source
        assert calculation.inputs


def test_the_range_of_the_diagram_factor_becomes_the_range_of_the_power():
    pressure = steam.mean_pressure(Gauge(500), Gauge(10), 0.5, factor="throttled")
    power = steam.indicated_power(Cylinder(200, 300), pressure, 120)
    assert power.low == pytest.approx(power.value * 0.60 / 0.68)
    assert power.high == pytest.approx(power.value * 0.75 / 0.68)
    own = steam.mean_pressure(Gauge(500), Gauge(10), 0.5, factor=0.7)
    assert own.low is None


def test_full_pressure_and_a_long_rod_give_pi_over_two_of_the_mean():
    effort = crank.crank_effort(Cylinder(200, 300), Absolute(800), Absolute(110), 1.0)
    assert effort.peak_n_m / effort.mean_n_m == pytest.approx(math.pi / 2, rel=1e-4)
    assert effort.peak_deg == pytest.approx(90, abs=1)


def test_a_rod_of_five_cranks_lifts_the_peak_by_two_per_cent():
    one = crank.crank_effort(
        Cylinder(200, 300), Absolute(800), Absolute(110), 1.0, rod_length_mm=750
    )
    force = 690e3 * math.pi / 4 * 0.2**2
    assert one.peak_n_m / (force * 0.150) == pytest.approx(1.01983308, rel=1e-4)


@given(
    c=st.floats(0.1, 1.0),
    a=st.floats(0.02, 0.15),
    x=st.floats(0.0, 0.3),
    rod=st.sampled_from([0, 600, 900]),
    double=st.booleans(),
)
def test_effort_over_a_turn_does_the_work_of_the_mean_pressure(c, a, x, rod, double):
    cylinder = Cylinder(200, 300, 40 if double else 0, double_acting=double)
    p1, pb = Absolute(900), Absolute(110)
    effort = crank.crank_effort(cylinder, p1, pb, c, rod_length_mm=rod, clearance=a, compression=x)
    pressure = 900 * steam.expansion_ratio(c, a) - 110 * steam.back_ratio(x, a)
    work = pressure * 1000 * cylinder.area_turn_m2 * 0.3
    assert effort.mean_n_m * 2 * math.pi == pytest.approx(work, rel=2e-3, abs=5)


@given(st.floats(50, 2000), st.floats(50, 2000), st.floats(1, 49))
def test_piston_rod_never_adds_power(bore, stroke, rod):
    plain = steam.indicated_power(Cylinder(bore, stroke), 300.0, 100).value
    less = steam.indicated_power(Cylinder(bore, stroke, rod), 300.0, 100).value
    assert less < plain


@given(st.floats(0.01, 1.0), st.floats(0.0, 0.2))
def test_mean_pressure_never_exceeds_the_steam_pressure(c, a):
    assert 0 < steam.expansion_ratio(c, a) <= 1 + 1e-12


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: steam.mean_pressure(500, Gauge(10), 0.5, factor=0.8), "as the gauge shows it"),
        (lambda: steam.mean_pressure(Gauge(50), Absolute(160), 0.5, factor=0.8), "cannot push"),
        (lambda: steam.mean_pressure(Gauge(100), Gauge(20), 0.05, factor=1), "cut off later"),
        (lambda: steam.mean_pressure(Gauge(500), Gauge(10), 1.2, factor=0.8), "cut-off of 1.2"),
        (lambda: steam.mean_pressure(Gauge(500), Gauge(10), 0.5, factor="best"), "factor for"),
        (lambda: Cylinder(100, 200, 110), "does not go into"),
        (lambda: Cylinder(-3, 200), "bore must be more than 0"),
        (lambda: Cylinder(float("nan"), 200), "finite"),
        (lambda: steam.back_ratio(0.2, 0.0), "clearance"),
        (lambda: crank.shaft_by_old_rule(80, 100, "brass"), "no old shaft rule"),
        (lambda: flywheel.rim_inertia(500, 600, 50), "smaller than its outside"),
        (lambda: flywheel.rim_speed(0, 100), "wheel diameter"),
        (
            lambda: crank.crank_effort(
                Cylinder(100, 200), Gauge(500), Gauge(5), 0.5, rod_length_mm=150
            ),
            "at least as long",
        ),
    ],
)
def test_invalid_input_is_refused_in_words(call, words):
    with pytest.raises(EngineeringError, match=words) as caught:
        call()
    assert isinstance(caught.value, OutOfRange | UnknownName)
    assert str(caught.value).endswith(".")


def test_figures_over_the_old_rules_are_refused():
    fast = flywheel.rim_speed(120 * 25.4, 200)
    assert fast.refused
    assert "Do not run it" in fast.verdict
    near = flywheel.rim_speed(120 * 25.4, 150)
    assert not near.refused
    assert "a fifth over this speed is past it" in near.verdict
    weak = crank.shaft_by_old_rule(50, 100, "wrought_iron", power_kw=20)
    assert weak.refused


KHURMI = "Khurmi and Gupta, A Textbook of Machine Design, Example 32.5 (overhung crankshaft)"


@pytest.mark.outside(KHURMI)
def test_piston_load_agrees_with_the_textbook():
    # 250 mm bore, 2.1 N/mm2: printed as 103 × 10³ N.
    load = crank.piston_load(Cylinder(250, 300, double_acting=False), Gauge(2100), Gauge(0))
    assert load.value == pytest.approx(103e3, rel=0.002)


@pytest.mark.outside(KHURMI)
def test_overhung_bending_agrees_with_the_textbook():
    # The book has 103 × 10³ N at 239 mm from the bearing's centre, and prints 12.3 × 10⁶ N mm
    # half way to the other bearing; there it is half of that at the bearing.
    bending = crank.overhung_bending(103e3, 239)
    assert bending.value / 2 == pytest.approx(12.3e3, rel=0.005)


def test_shaft_without_overhang_has_torque_only_and_no_verdict():
    plain = crank.shaft_stress(1000, 80)
    assert plain.value == pytest.approx(16 * 1000 / (math.pi * 0.08**3) / 1e6)
    assert "bending of an overhung crank is usually the larger" in plain.verdict
    assert not plain.refused
    assert [g.letter for g in plain.inputs] == ["T", "d"]
    both = crank.shaft_stress(1000, 80, bending=3000)
    assert both.value == pytest.approx(plain.value * math.hypot(1000, 3000) / 1000)
    assert "Torque only" not in both.verdict


def test_shaft_over_the_usual_stress_is_refused():
    assert not crank.shaft_stress(1000, 60, bending=1000).refused  # 33 MPa
    hard = crank.shaft_stress(1000, 60, bending=4000)  # 97 MPa
    assert hard.refused
    assert "do not load it so" in hard.verdict


def test_piston_load_is_the_greater_of_both_strokes():
    # Out: 600 × A₁ − 20 × A₂ − 101.325 × (A₁ − A₂); home: 600 × A₂ − 20 × A₁ + air on the rod.
    cylinder = Cylinder(200, 300, 50)
    head, side = math.pi * 0.1**2, math.pi * (0.1**2 - 0.025**2)
    out = 600 * head - 20 * side - 101.325 * (head - side)
    home = 600 * side - 20 * head + 101.325 * (head - side)
    load = crank.piston_load(cylinder, Absolute(600), Absolute(20))
    assert load.value == pytest.approx(1000 * max(out, home))


@pytest.mark.parametrize("density", [-1, 0, 399, 12_001, float("nan")])
def test_rim_density_has_limits(density):
    calls = (
        lambda: flywheel.rim_stress(20, density),
        lambda: flywheel.rim_speed(2000, 100, density_kg_m3=density),
        lambda: flywheel.rim_inertia(2000, 1700, 250, density),
    )
    for call in calls:
        with pytest.raises(OutOfRange, match="density of the rim"):
            call()
