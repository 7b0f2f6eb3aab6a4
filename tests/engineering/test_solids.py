"""Volume, mass and centre of gravity, against meshes, handbook weights and simulation."""

import doctest
from dataclasses import replace
from math import pi, sqrt

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from parts.engineering.calculation import Origin
from parts.engineering.errors import EngineeringError, OutOfRange, UnknownName
from parts.engineering.materials import properties
from parts.engineering.solids import masses
from parts.engineering.solids.masses import Body, Size, within
from parts.engineering.solids.shapes import SHAPES
from tests.engineering.checks import rows

KG_LB = 0.45359237
STEEL_KG_M3 = 489.6 * KG_LB / 0.3048**3
IRON_KG_M3 = 0.26 * KG_LB / 0.0254**3
FT_MM = 304.8

PIN = [
    Body("bar", {"diameter": 80, "length": 60}),
    Body("cone", {"diameter": 80, "far_diameter": 50, "length": 80}, at=(0, 0, 60)),
    Body("bar", {"diameter": 50, "length": 60}, at=(0, 0, 140)),
    Body("bar", {"diameter": 24, "length": 30}, away=True, name="centre hole"),
]
BRACKET = [
    Body("plate", {"width": 80, "thickness": 20, "length": 300}, at=(0, 0, 10), along="x"),
    Body("bar", {"diameter": 70, "length": 50}, at=(260, 0, 20)),
    Body("bar", {"diameter": 30, "length": 70}, away=True, at=(260, 0, 0)),
]


def one(shape, **sizes):
    return [Body(shape, sizes)]


def pounds_per_foot(shape, **inches):
    sizes = {key: value * 25.4 for key, value in inches.items()}
    body = [Body(shape, {**sizes, "length": FT_MM})]
    return masses.mass(body, density_kg_m3=STEEL_KG_M3).value / KG_LB


def iron_bar(width_in, thick_in, length_in):
    sizes = {"width": width_in * 25.4, "thickness": thick_in * 25.4, "length": length_in * 25.4}
    return masses.mass([Body("plate", sizes)], density_kg_m3=IRON_KG_M3).value / KG_LB


def rim(od_in, id_in, face_in):
    sizes = {"diameter": od_in * 25.4, "bore": id_in * 25.4, "length": face_in * 25.4}
    return masses.mass([Body("tube", sizes)], density_kg_m3=IRON_KG_M3).value / KG_LB


FUNCTIONS = {
    "volume": lambda shape, **sizes: masses.volume(one(shape, **sizes)).value,
    "cg": lambda shape, **sizes: masses.centre_of_gravity(one(shape, **sizes))[2].value,
    "pin_volume": lambda: masses.volume(PIN).value,
    "pin_centre": lambda: masses.centre_of_gravity(PIN)[2].value,
    "bracket_volume": lambda: masses.volume(BRACKET).value,
    "bracket_centre": lambda axis: masses.centre_of_gravity(BRACKET)[axis].value,
    "lb_per_ft": pounds_per_foot,
    "iron_bar_lb": iron_bar,
    "rim_lb": rim,
}


@pytest.mark.parametrize(("function", "inputs", "expected", "tolerance"), rows("solids"))
def test_check_values(function, inputs, expected, tolerance):
    assert FUNCTIONS[function](**inputs) == pytest.approx(expected, rel=tolerance)


@given(d=st.floats(1, 2000), length=st.floats(1, 5000), cut=st.floats(0.01, 0.99))
def test_bar_cut_in_two_has_the_same_mass(d, length, cut):
    whole = masses.mass(one("bar", diameter=d, length=length), "steel").value
    halves = [
        Body("bar", {"diameter": d, "length": length * cut}),
        Body("bar", {"diameter": d, "length": length * (1 - cut)}, at=(0, 0, length * cut)),
    ]
    assert masses.mass(halves, "steel").value == pytest.approx(whole)
    assert masses.centre_of_gravity(halves)[2].value == pytest.approx(length / 2)


@given(d=st.floats(2, 2000), part=st.floats(0.01, 0.99), length=st.floats(1, 5000))
def test_tube_equals_a_bar_less_its_bore(d, part, length):
    bored = [
        Body("bar", {"diameter": d, "length": length}),
        Body("bar", {"diameter": d * part, "length": length}, away=True),
    ]
    tube = one("tube", diameter=d, bore=d * part, length=length)
    assert masses.volume(bored).value == pytest.approx(masses.volume(tube).value, rel=1e-9)


def ring_polygon(diameter, bore, angle):
    """Area and centroid (towards its middle) of a ring sector as a polygon of 200,000 corners."""
    turns = np.radians(np.linspace(-angle / 2, angle / 2, 100_000))
    outer = np.array([np.sin(turns), np.cos(turns)]) * diameter / 2
    inner = np.array([np.sin(turns[::-1]), np.cos(turns[::-1])]) * bore / 2
    x, y = np.concatenate([outer, inner], axis=1)
    across = x * np.roll(y, -1) - np.roll(x, -1) * y
    area = across.sum() / 2
    return abs(area), ((y + np.roll(y, -1)) * across).sum() / (6 * area)


@pytest.mark.outside("area and centroid of a polygon (shoelace formula) of 200,000 corners")
@pytest.mark.parametrize("angle", [1, 30, 60, 90, 120, 180, 235.5, 300, 360])
@pytest.mark.parametrize(("diameter", "bore"), [(200, 100), (400, 399), (60, 0)])
def test_ring_sector_agrees_with_integration(diameter, bore, angle):
    sizes = {"diameter": diameter, "bore": bore, "length": 40, "angle": angle}
    area, reach = ring_polygon(diameter, bore, angle)
    x, y, z = (
        calculation.value for calculation in masses.centre_of_gravity(one("sector", **sizes))
    )
    assert masses.volume(one("sector", **sizes)).value == pytest.approx(area * 40, rel=1e-6)
    assert (x, z) == pytest.approx((0, 20))
    assert y == pytest.approx(reach, rel=1e-6, abs=1e-6 * diameter)


@pytest.mark.outside(
    "Machinery's Handbook, centre of gravity of a half circle: 0.4244 r (from memory)"
)
def test_half_round_has_its_centre_as_in_the_handbook():
    half = one("sector", diameter=200, length=10, angle=180)
    assert masses.centre_of_gravity(half)[1].value == pytest.approx(0.4244 * 100, rel=1e-4)


@pytest.mark.outside("theorem of Pappus, with the volume of a ball")
def test_a_half_ring_agrees_with_the_theorem_of_pappus():
    """Turned about its straight side, a half ring sweeps a ball less the ball of its bore."""
    ring = one("sector", diameter=200, bore=120, length=1, angle=180)
    area, reach = masses.volume(ring).value, masses.centre_of_gravity(ring)[1].value
    assert area * 2 * pi * reach == pytest.approx(pi / 6 * (200**3 - 120**3))


@given(
    d=st.floats(2, 2000), part=st.floats(0.01, 0.99), length=st.floats(1, 500), n=st.integers(1, 12)
)
def test_sectors_of_a_full_ring_have_the_mass_of_the_tube(d, part, length, n):
    sector = {"diameter": d, "bore": d * part, "length": length, "angle": 360 / n}
    tube = one("tube", diameter=d, bore=d * part, length=length)
    ring = masses.volume([Body("sector", sector, times=n)])
    assert ring.value == pytest.approx(masses.volume(tube).value, rel=1e-9)


@pytest.mark.parametrize("flanges", [0, 1, 2])
def test_half_shell_equals_half_rings(flanges):
    shell = {"diameter": 170, "bore": 140, "length": 200}
    flange = {"diameter": 210, "bore": 170, "length": 12, "angle": 180}
    alone = one("half_shell", **shell, flanges=flanges, flange_diameter=210, flange_thickness=12)
    made_up = [Body("sector", shell | {"angle": 180})]
    made_up += [Body("sector", flange, at=(0, 0, at)) for at in (0, 188)[:flanges]]
    assert masses.volume(alone).value == pytest.approx(masses.volume(made_up).value)
    for whole, parts in zip(
        masses.centre_of_gravity(alone), masses.centre_of_gravity(made_up), strict=True
    ):
        assert whole.value == pytest.approx(parts.value, abs=1e-9)


@given(shift=st.tuples(*[st.floats(-1000, 1000)] * 3))
def test_centre_of_gravity_moves_with_the_part(shift):
    there = [
        replace(body, at=tuple(p + s for p, s in zip(body.at, shift, strict=True)))
        for body in BRACKET
    ]
    for before, after, by in zip(
        masses.centre_of_gravity(BRACKET), masses.centre_of_gravity(there), shift, strict=True
    ):
        assert after.value == pytest.approx(before.value + by, abs=1e-6)


@pytest.mark.parametrize(("along", "axis"), [("x", 0), ("y", 1), ("z", 2)])
def test_a_body_lies_along_its_axis(along, axis):
    body = Body("cone", {"diameter": 10, "length": 100}, along=along)
    centre = [calculation.value for calculation in masses.centre_of_gravity([body])]
    assert centre[axis] == pytest.approx(25)
    assert sum(centre) == pytest.approx(25)


@pytest.mark.outside("uncertainty of a product of powers, JCGM 100:2008, 5.1.6 (from memory)")
def test_the_uncertainty_of_a_bar_follows_its_closed_form():
    d, length = Size(50, 0.2, Origin.MEASURED), Size(300, 1.5, Origin.MEASURED)
    calculation = masses.volume([Body("bar", {"diameter": d, "length": length})])
    expected = calculation.value * sqrt((2 * 0.2 / 50) ** 2 + (1.5 / 300) ** 2)
    assert (calculation.high - calculation.value) / 2 == pytest.approx(expected, rel=1e-6)


def measured(values):
    """Return a shouldered pin with a bore from measured sizes, as (bodies, sizes)."""
    big, small, bore, first, second = values
    return [
        Body("bar", {"diameter": big, "length": first}),
        Body("cone", {"diameter": big, "far_diameter": small, "length": second}, at=(0, 0, 100)),
        Body("bar", {"diameter": bore, "length": first}, away=True),
    ]


@pytest.mark.outside("Monte Carlo propagation, JCGM 101:2008, 200,000 draws")
def test_uncertainty_agrees_with_simulation():
    means, spreads = np.array([90.0, 60.0, 30.0, 100.0, 70.0]), np.array([0.5, 0.4, 0.3, 0.8, 0.6])
    sizes = [Size(mean, u, Origin.MEASURED) for mean, u in zip(means, spreads, strict=True)]
    bodies = measured(sizes)
    weight = masses.mass(bodies, density_kg_m3=7200)
    centre = masses.centre_of_gravity(bodies)[2]

    big, small, bore, first, second = (
        np.random.default_rng(7).normal(means, spreads, (200_000, 5)).T
    )
    bar, hole = pi / 4 * big**2 * first, pi / 4 * bore**2 * first
    cone = pi / 12 * second * (big**2 + big * small + small**2)
    own = second / 4 * (big**2 + 2 * big * small + 3 * small**2)
    own = own / (big**2 + big * small + small**2)
    volume = bar + cone - hole
    along = (bar * first / 2 + cone * (100 + own) - hole * first / 2) / volume

    assert weight.value == pytest.approx((volume * 7.2e-6).mean(), rel=1e-3)
    assert (weight.high - weight.value) / 2 == pytest.approx((volume * 7.2e-6).std(), rel=0.02)
    assert centre.value == pytest.approx(along.mean(), rel=1e-3)
    assert (centre.high - centre.value) / 2 == pytest.approx(along.std(), rel=0.02)


def test_measurement_used_twice_counts_once():
    shared = Size(50, 0.2, Origin.MEASURED)
    together = [
        Body("bar", {"diameter": shared, "length": 100}),
        Body("bar", {"diameter": shared, "length": 100}, at=(0, 0, 100)),
    ]
    apart = [
        Body("bar", {"diameter": Size(50, 0.2, Origin.MEASURED), "length": 100}),
        Body("bar", {"diameter": Size(50, 0.2, Origin.MEASURED), "length": 100}, at=(0, 0, 100)),
    ]
    whole = [Body("bar", {"diameter": shared, "length": 200})]
    widths = [
        calculation.high - calculation.low
        for calculation in (masses.volume(together), masses.volume(apart), masses.volume(whole))
    ]
    assert widths[0] == pytest.approx(widths[2])
    assert widths[1] == pytest.approx(widths[0] / sqrt(2))


def test_within_gives_the_uncertainty_of_an_even_distribution():
    assert within(25.4, 0.3).u == pytest.approx(0.3 / sqrt(3))


def test_density_adds_its_uncertainty_and_source():
    exact = masses.mass(one("bar", diameter=50, length=100), "cast_iron")
    table = properties.density("cast_iron")
    assert exact.value == pytest.approx(pi / 4 * 2500 * 100 * 1e-9 * table.value)
    assert exact.low < exact.value < exact.high
    assert exact.inputs[1].origin is Origin.TABLE
    assert "0.260 lb/in3" in exact.inputs[1].source


def test_own_density_overrides_the_table():
    calculation = masses.mass(one("bar", diameter=50, length=100), "cast_iron", density_kg_m3=7000)
    assert calculation.value == pytest.approx(pi / 4 * 2500 * 100 * 1e-9 * 7000)
    assert calculation.inputs[1].origin is Origin.ENTERED
    assert calculation.low is None


def test_flange_equals_a_disc_less_its_holes():
    flange = one("flange", diameter=250, bore=100, thickness=22, holes=8, hole=18, bolt_circle=200)
    plain = [
        Body("tube", {"diameter": 250, "bore": 100, "length": 22}),
        Body("bar", {"diameter": 18, "length": 22}, away=True, times=8),
    ]
    assert masses.volume(flange).value == pytest.approx(masses.volume(plain).value)


def test_every_figure_has_its_formula_and_inputs():
    result = masses.solid(PIN, "steel")
    assert result.mass.parts == (result.volume,)
    assert len(result.volume.parts) == len(PIN)
    assert result.volume.formula == "round bar + cone + round bar - centre hole"
    for calculation in (result.volume, result.mass, *result.centre, *result.volume.parts):
        assert calculation.formula
        assert calculation.figures
        assert calculation.inputs
        assert calculation.source


WHEEL = {
    "diameter": 1000,
    "rim_inside": 800,
    "face": 100,
    "hub": 200,
    "hub_length": 120,
    "bore": 80,
    "arms": 6,
    "arm_width": 60,
    "arm_thickness": 30,
    "arm_width_at_rim": 50,
    "arm_thickness_at_rim": 25,
}
NAN, INF = float("nan"), float("inf")


@pytest.mark.parametrize(
    ("bodies", "says"),
    [
        ([], "one shape"),
        (one("tube", diameter=50, bore=60, length=10), "bore is as large"),
        (one("tube", diameter=50, bore=50, length=10), "bore is as large"),
        (one("bar", diameter=-5, length=10), "diameter of the round bar"),
        (one("bar", diameter=0, length=10), "diameter of the round bar"),
        (one("bar", diameter=NAN, length=10), "finite"),
        (one("bar", diameter=INF, length=10), "finite"),
        (one("bar", diameter="wide", length=10), "must be a number"),
        (one("bar", diameter=None, length=10), "must be a number"),
        (one("bar", diameter=50, length=1e9), "more than can be"),
        (one("bar", diameter=50), "length of the round bar is missing"),
        (one("cone", length=50), "diameter at one end"),
        (one("cone", length=50, diameter=-3), "less than nothing"),
        (one("ring", mean_diameter=20, section=30), "thicker than"),
        (one("sector", diameter=50, bore=50, length=9, angle=180), "bore is as large"),
        (one("sector", diameter=50, bore=40, length=9, angle=361), "no sector of 361°"),
        (one("sector", diameter=50, bore=40, length=9, angle=0), "angle of the half ring"),
        (one("half_shell", diameter=50, bore=40, length=9, flanges=1), "A flange needs"),
        (one("half_shell", diameter=50, bore=40, length=9, flanges=3), "at both: 1 or 2"),
        (
            one(
                "half_shell",
                diameter=50,
                bore=40,
                length=9,
                flanges=2,
                flange_diameter=60,
                flange_thickness=5,
            ),
            "thicker than the shell is long",
        ),
        (one("flange", diameter=200, thickness=20, bore=210), "bore of the flange"),
        (one("flange", diameter=200, thickness=20, holes=4), "bolt circle"),
        (
            one("flange", diameter=200, thickness=20, holes=4, hole=20, bolt_circle=190),
            "break out of the edge",
        ),
        (
            one("flange", diameter=200, bore=150, thickness=20, holes=4, hole=20, bolt_circle=160),
            "break into the bore",
        ),
        (
            one("flange", diameter=200, thickness=20, holes=40, hole=20, bolt_circle=160),
            "run into each other",
        ),
        (
            one("flange", diameter=200, thickness=20, holes=4.5, hole=20, bolt_circle=160),
            "whole number",
        ),
        (one("flywheel", **{**WHEEL, "rim_inside": 1000}), "inside of the rim"),
        (one("flywheel", **{**WHEEL, "hub": 800}), "hub is as large"),
        (one("flywheel", **{**WHEEL, "bore": 200}), "bore is as large as the hub"),
        (one("flywheel", **{**WHEEL, "arms": 60}), "do not fit round"),
        ([Body("bar", {"diameter": 10, "length": 10}, away=True)], "taken away"),
        ([Body("bar", {"diameter": Size(10, 6, Origin.MEASURED), "length": 10})], "too unsure"),
        ([Body("bar", {"diameter": Size(10, -1, Origin.MEASURED), "length": 10})], "uncertainty"),
        ([Body("bar", {"diameter": 10, "length": 10}, at=(NAN, 0, 0))], "finite"),
        ([Body("bar", {"diameter": 10, "length": 10}, times=1.5)], "whole"),
    ],
)
def test_invalid_bodies_are_refused_in_words(bodies, says):
    for ask in (masses.volume, masses.centre_of_gravity):
        with pytest.raises(OutOfRange, match=says):
            ask(bodies)


def test_unknown_names_are_refused_in_words():
    with pytest.raises(UnknownName, match="no shape called 'blob'"):
        masses.volume(one("blob", size=1))
    with pytest.raises(UnknownName, match="no size called 'girth'"):
        masses.volume(one("bar", diameter=1, length=1, girth=1))
    with pytest.raises(UnknownName, match="along x, y or z"):
        masses.volume([Body("bar", {"diameter": 1, "length": 1}, along="w")])
    with pytest.raises(UnknownName, match="say what it is made of"):
        masses.mass(one("bar", diameter=1, length=1))
    with pytest.raises(OutOfRange, match="density"):
        masses.mass(one("bar", diameter=1, length=1), density_kg_m3=-1)


@given(
    shape=st.sampled_from(sorted(SHAPES)),
    number=st.lists(st.one_of(st.floats(), st.integers(-5, 2000)), min_size=11, max_size=11),
)
def test_arbitrary_sizes_raise_only_the_documented_errors(shape, number):
    sizes = dict(zip(SHAPES[shape].sizes, number, strict=False))
    try:
        calculation = masses.mass([Body(shape, sizes)], "steel")
    except EngineeringError:
        return
    assume(calculation.value is not None)
    assert 0 < calculation.low <= calculation.value <= calculation.high


def test_combine_gives_mass_and_centre_of_an_assembly():
    weight, x, y, z = masses.combine(
        [("bed", 900, 20, (1000, 0, 200)), ("cylinder", 300, 10, (2200, 0, 500))]
    )
    assert weight.value == 1200
    assert (weight.high - weight.value) / 2 == pytest.approx(sqrt(500))
    assert (x.value, y.value, z.value) == (1300, 0, 275)
    # dx/dm = (x_i - x) / M for each part, added in squares
    u = sqrt((300 / 1200 * 20) ** 2 + (900 / 1200 * 10) ** 2)
    assert (x.high - x.value) / 2 == pytest.approx(u)
    with pytest.raises(OutOfRange, match="hang together"):
        masses.combine([])
    with pytest.raises(OutOfRange, match="mass of bed"):
        masses.combine([("bed", -1, 0, (0, 0, 0))])


def test_docstring_examples():
    assert doctest.testmod(masses).failed == 0
