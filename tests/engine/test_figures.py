"""The engine's figures from its own sizes, worked by hand beside each."""

from math import pi

import pytest

from parts.engine.models import EngineSize
from parts.engine.queries.figures import engine_figures
from parts.engineering.calculation import Origin
from parts.engineering.measures import Units, show
from tests import make

pytestmark = pytest.mark.django_db


def _engine(sizes: dict, **fields):
    engine = make.engine(**fields)
    for name, mm in sizes.items():
        EngineSize.objects.create(
            engine=engine, name=name, written=f"{mm} mm", unit="mm", value_mm=mm
        )
    return engine


def _named(shown, start):
    return next(w for w in shown.calculations if w.name.startswith(start))


SIZES = {"bore": 300, "stroke": 450, "flywheel": 2000, "shaft": 140, "piston_rod": 50}
STEAM = {"speed_rpm": 120, "pressure_kpa": 500, "pressure_written": "5 bar", "cut_off": 0.6}


def test_power_torque_and_speeds():
    # Piston speed 2 x 0.45 x 120/60 = 1.8 m/s; rim pi x 2 x 2 = 12.566 m/s.
    # Mean pressure, exhaust to the air: p1 = 601.325, 0.6 x (1 + ln(1/0.6)) = 0.90650, so
    # 601.325 x 0.90650 - 101.325 = 443.775 kPa, by 0.68 for a throttled engine: 301.77 kPa.
    # Areas of a turn: pi/4 x (0.3² + 0.3² - 0.05²) = 0.139408 m2; by 0.45 m by 2 turns a second:
    # 301.77 x 0.139408 x 0.45 x 2 = 37.86 kW. Torque 37 860 / (2 pi x 2) = 3013 N m.
    shown = engine_figures(_engine(SIZES, **STEAM))
    assert _named(shown, "Mean piston speed").value == pytest.approx(1.8)
    assert _named(shown, "Rim speed").value == pytest.approx(4 * pi)
    assert _named(shown, "Mean effective pressure").value == pytest.approx(301.77, rel=1e-4)
    assert _named(shown, "Indicated power").value == pytest.approx(37.86, rel=1e-3)
    assert _named(shown, "Mean torque").value == pytest.approx(3013, rel=1e-3)


def test_the_crank_and_the_steam_tell_the_same_mean_torque():
    # With the same diagram factor, the effort round a turn must average to power over speed.
    shown = engine_figures(_engine(SIZES, **STEAM))
    mean = _named(shown, "Mean torque").value
    said = str(_named(shown, "Greatest turning effort").figures)
    assert float(said.split("mean ")[1].split(" ")[0]) == pytest.approx(mean, rel=5e-3)


def test_the_wheel_is_reckoned_from_its_shape():
    # Rim 2000 outside, 1700 inside, 250 wide, iron 7200:
    # m = 7200 x pi/4 x (2² - 1.7²) x 0.25 = 1569.2 kg; I = m x (1² + 0.85²)/2 = 1351.5 kg m2;
    # energy ½ x I x (4 pi)² = 106.7 kJ. Two such wheels hold twice as much.
    engine = _engine(SIZES, wheels=2, **STEAM)
    assert any(
        "inside of its rim" in said for g in engine_figures(engine).groups for said in g.wants
    )
    sizes = {"diameter": 2000, "rim_inside": 1700, "face": 250, "hub": 300, "hub_length": 300}
    make.body(make.part(engine), "flywheel", sizes)
    shown = engine_figures(engine)
    assert _named(shown, "Inertia of the rim").value == pytest.approx(1351.5, rel=1e-3)
    assert _named(shown, "Inertia of 2").value == pytest.approx(2703, rel=1e-3)
    assert _named(shown, "Energy in the wheel").value == pytest.approx(2 * 106.7, rel=1e-3)
    assert 0 < _named(shown, "Swing of the speed").value < 0.2


def test_every_steam_figure_defers_to_the_inspector():
    shown = engine_figures(_engine(SIZES, **STEAM))
    assert "display engine is not thereby fit to steam" in shown.caution.why
    for group in shown.groups[:2]:
        for calculation in group.calculations:
            assert any(
                "licensed boiler and engine inspector" in c.why for c in calculation.cautions
            )
    assert any("Stand clear" in c.act for c in _named(shown, "Rim speed").cautions)


def test_what_is_not_written_down_is_named():
    shown = engine_figures(make.engine())
    assert shown.calculations == []
    assert shown.groups[0].wants == ["Enter first: bore, stroke."]
    assert "flywheel diameter, speed" in shown.groups[2].wants[0]


def test_a_rod_thicker_than_the_bore_is_a_sentence():
    shown = engine_figures(_engine(SIZES | {"piston_rod": 400}, **STEAM))
    assert "does not go into a bore" in shown.groups[0].wants[0]


def test_an_oil_engine_has_no_steam_figures():
    shown = engine_figures(_engine(SIZES, kind="oil_engine", **STEAM))
    assert shown.groups[0].wants == ["No steam figures: this is an oil engine."]
    assert [w.name for w in shown.groups[0].calculations] == ["Mean piston speed"]


def test_the_figures_take_four_queries_at_most(django_assert_max_num_queries):
    engine = _engine(SIZES, **STEAM)
    for _ in range(20):
        make.body(make.part(engine), "bar", {"diameter": 20, "length": 100})
    with django_assert_max_num_queries(4):
        engine_figures(engine)


def test_a_condensing_engine_gives_what_its_vacuum_adds():
    # 5 psi by the gauge, 34.474 + 101.325 = 135.799 kPa; 26 inHg of vacuum, 101.325 - 88.046
    # leaves 13.279 kPa. Cut off at half: 135.799 x 0.5 x (1 + ln 2) = 114.965, so
    # (114.965 - 13.279) x 0.68 = 69.15 kPa. Exhausting to the air it were
    # (114.965 - 101.325) x 0.68 = 9.28 kPa: a seventh of it.
    beam = {"kind": "beam", "speed_rpm": 20, "pressure_kpa": 34.474, "cut_off": 0.5}
    vacuum = {"exhaust_kpa": -88.046, "exhaust_written": "26 inHg vacuum"}
    condensing = engine_figures(_engine(SIZES, **beam, **vacuum))
    to_air = engine_figures(_engine(SIZES, **beam))
    assert _named(condensing, "Mean effective").value == pytest.approx(69.15, rel=1e-3)
    assert _named(to_air, "Mean effective").value == pytest.approx(9.28, rel=3e-3)
    ratio = _named(condensing, "Indicated").value / _named(to_air, "Indicated").value
    assert ratio == pytest.approx(69.15 / 9.28, rel=3e-3)
    loads = [_named(one, "Greatest load on the piston").value for one in (condensing, to_air)]
    assert loads[0] > 3 * loads[1]
    assert any("condensing engine gives more power" in w for w in to_air.groups[0].wants)
    assert not any("condensing" in w for w in condensing.groups[0].wants)


def _origin(calculation, letter):
    return next(g.origin for g in calculation.inputs if g.letter == letter)


def test_an_exhaust_that_nobody_entered_is_called_assumed():
    beam = {"kind": "beam", "speed_rpm": 20, "pressure_kpa": 34.474, "cut_off": 0.5}
    entered = engine_figures(_engine(SIZES, **beam, exhaust_kpa=-88.0))
    assumed = engine_figures(_engine(SIZES, **beam))
    for name, letter in (("Mean effective", "p_b"), ("Greatest turning", "p_b")):
        assert _origin(_named(assumed, name), letter) is Origin.ASSUMED
        assert _origin(_named(entered, name), letter) is Origin.CALCULATED
    assert ("Exhaust", "to the air (assumed)") in assumed.inputs


def test_the_overhang_brings_the_bending_in():
    plain = _named(engine_figures(_engine(SIZES, **STEAM)), "Stress in the shaft")
    assert "Torque only" in plain.verdict
    bent = engine_figures(_engine(SIZES | {"overhang": 250}, **STEAM))
    stress = _named(bent, "Stress in the shaft")
    # Load: 601.325 x A - 101.325 x (A less the rod) - air on the rod = 500 x 0.0706858 m2 (out).
    load = _named(bent, "Greatest load on the piston").value
    assert load == pytest.approx(500e3 * pi / 4 * 0.3**2, rel=1e-3)
    bending = _named(bent, "Bending at the bearing")
    assert bending.value == pytest.approx(load * 0.25)
    torque = _named(bent, "Greatest turning effort").value
    equal = (torque**2 + bending.value**2) ** 0.5
    assert stress.value == pytest.approx(16 * equal / (pi * 0.14**3) / 1e6)
    assert stress.value > 1.9 * plain.value


def test_what_others_calculated_is_called_calculated_and_sizes_entered():
    shown = engine_figures(_engine(SIZES | {"overhang": 250}, **STEAM))
    calculated = {
        ("Indicated power", "p"), ("Mean torque", "P"), ("Stress in the shaft", "T"),
        ("Stress in the shaft", "M"), ("Bending at the bearing", "F"),
    }  # fmt: skip
    for name, letter in calculated:
        assert _origin(_named(shown, name), letter) is Origin.CALCULATED, (name, letter)
    assert _origin(_named(shown, "Mean effective"), "f") is Origin.TABLE
    assert _origin(_named(shown, "Greatest turning"), "f") is Origin.TABLE
    assert _origin(_named(shown, "Greatest turning"), "l") is Origin.ASSUMED  # no rod entered
    for name, letter in (("Rim speed", "D"), ("Stress in the shaft", "d"), ("Mean piston", "S")):
        assert _origin(_named(shown, name), letter) is Origin.ENTERED
    speed = _named(shown, "Rim speed")
    assert _origin(speed.parts[0], "v") is Origin.CALCULATED


def test_flywheel_energy_is_work_and_piston_speed_goes_by_the_minute():
    engine = _engine(SIZES, **STEAM)
    sizes = {"diameter": 2000, "rim_inside": 1700, "face": 250, "hub": 300, "hub_length": 300}
    make.body(make.part(engine), "flywheel", sizes)
    shown = engine_figures(engine)
    units = {w.name: show(w.value, w.unit, Units.customary())[1] for w in shown.calculations}
    assert units["Energy in the wheel"] == "ft·lbf"
    assert units["Mean piston speed"] == "ft/min"
    metric = {w.name: show(w.value, w.unit, Units.metric())[1] for w in shown.calculations}
    assert metric["Energy in the wheel"] == "kJ"
    assert metric["Mean piston speed"] == "m/s"
