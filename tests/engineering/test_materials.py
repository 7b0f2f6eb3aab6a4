"""Materials, metals and alloys, against published tables and libraries."""

import doctest

import pytest
from hypothesis import given
from hypothesis import strategies as st

from parts.drafting import lining
from parts.engineering import tables
from parts.engineering.casting import cautions
from parts.engineering.constants import KG_M3_PER_LB_IN3
from parts.engineering.errors import OutOfRange, UnknownName
from parts.engineering.materials import properties
from tests.engineering.checks import rows

KG_M3_PER_LB_FT3 = float(KG_M3_PER_LB_IN3) / 1728
TABLES = (
    "metals",
    "materials",
    "contraction",
    "allowances",
    "alloys",
    "elements",
    "casting_tolerances",
    "machining_grades",
    "clearances",
    "bearing_limits",
)


def fahrenheit(degC):
    return degC * 9 / 5 + 32


FUNCTIONS = {
    "mixture": lambda percent: properties.mixture_density(percent).value / 1000,
    "mixture_lb_in3": lambda percent: (
        properties.mixture_density(percent).value / float(KG_M3_PER_LB_IN3)
    ),
    "melts_at": lambda metal: properties.figure(metal, "liquidus").value,
    "begins_at": lambda metal: properties.figure(metal, "solidus").value,
    "latent": lambda metal: properties.figure(metal, "heat_latent").value,
    "lb_ft3": lambda metal: properties.density(metal).value / KG_M3_PER_LB_FT3,
    "lb_per_ft_in2": lambda metal: properties.density(metal).value / KG_M3_PER_LB_FT3 / 144,
    "contraction": lambda metal: properties.contraction(metal).value,
    "pour_F": lambda metal: fahrenheit(properties.figure(metal, "pouring").value),
    "faults": lambda alloy, percent: len(properties.outside_limits(alloy, percent)),
    "lead_limit": lambda hours: cautions.lead_limit(hours).value,
}


@pytest.mark.parametrize(("function", "inputs", "expected", "tolerance"), rows("materials"))
def test_check_values(function, inputs, expected, tolerance):
    assert FUNCTIONS[function](**inputs) == pytest.approx(expected, rel=tolerance)


@pytest.mark.outside("common practice, no source")
@pytest.mark.parametrize("metal", ["red_brass", "tin_bronze", "copper"])
def test_copper_alloys_are_poured_at_1900_fahrenheit_and_up(metal):
    assert fahrenheit(properties.figure(metal, "pouring").low) >= 1900


def test_every_material_of_the_record_has_a_word_a_lining_and_a_drawing():
    assert set(properties.LINING) == set(properties.WORDS) == set(lining.MATERIALS)
    for key, text in properties.WORDS.items():
        assert properties.word(key) == text
        assert lining.MATERIALS[key].word.lower() == text


@pytest.mark.parametrize("key", [key for key in properties.WORDS if key != "not_known"])
def test_every_known_material_has_a_density(key):
    density = properties.density(key)
    assert density.unit == "kg_m3"
    assert 300 < density.low <= density.value <= density.high < 12000
    assert density.source


@pytest.mark.parametrize("name", TABLES)
def test_every_row_of_a_table_names_its_source_and_whether_it_was_seen(name):
    if name == "metals":
        return
    for row in tables.read(name):
        assert row["source"].strip(), row
        assert row["status"] in ("seen", "memory"), row


def test_figures_are_unique_and_belong_to_a_metal():
    seen = set()
    for row in tables.read("materials"):
        key = (row["metal"], row["property"])
        assert key not in seen
        seen.add(key)
        assert properties.metal(row["metal"]).key == row["metal"]
        figure = properties.figure(*key)
        assert figure.low <= figure.value <= figure.high


def test_figures_from_memory_say_so():
    for row in tables.read("materials"):
        cited = properties.figure(row["metal"], row["property"]).cited
        assert row["status"] == "seen" or "from memory" in cited


@pytest.mark.parametrize(
    "metal",
    sorted({row["metal"] for row in tables.read("materials") if row["property"] == "pouring"}),
)
def test_solidus_liquidus_and_pouring_temperature_are_in_order(metal):
    solid = properties.figure(metal, "solidus").value
    liquid = properties.figure(metal, "liquidus").value
    pour = properties.figure(metal, "pouring")
    assert solid <= liquid < pour.low <= pour.high


def test_contraction_range_spans_all_sources():
    iron = properties.contraction("cast_iron")
    assert iron.low == pytest.approx(3 / 32 / 12)
    assert iron.high == pytest.approx(1 / 8 / 12)
    assert "Lineham" in iron.source


def test_large_iron_contracts_less():
    assert properties.contraction("grey_iron", size_mm=2000).value == pytest.approx(0.1 / 12)
    assert properties.contraction("grey_iron", size_mm=300).value == pytest.approx(0.125 / 12)


@pytest.mark.parametrize("alloy", properties.alloys(), ids=lambda alloy: alloy.key)
def test_nominal_alloy_is_inside_its_own_limits(alloy):
    assert properties.outside_limits(alloy.key, alloy.nominal) == ()
    assert 97 <= sum(alloy.nominal.values()) <= 103
    assert properties.metal(alloy.metal).key == alloy.metal


def test_ends_of_limits_are_inclusive():
    edge = {"Cu": 86, "Sn": 4, "Pb": 6, "Zn": 4}
    assert properties.outside_limits("C83600", edge) == ()
    (fault,) = properties.outside_limits("C83600", {**edge, "Zn": 6.01})
    assert fault == "Too much zinc: 6.01 %, at most 6 % is allowed."


def test_alloys_of_a_material():
    assert {"C83600", "C84400", "C86400"} == {one.key for one in properties.alloys("brass")}
    assert "B23-2" in {one.key for one in properties.alloys("white_metal")}


def test_unknown_names_are_refused_in_words():
    with pytest.raises(UnknownName, match="no material called 'iron'"):
        properties.word("iron")
    with pytest.raises(UnknownName, match="unobtainium"):
        properties.density("unobtainium")
    with pytest.raises(UnknownName, match="say what it is made of"):
        properties.density("not_known")
    with pytest.raises(UnknownName, match="contraction of wood"):
        properties.contraction("wood")
    with pytest.raises(UnknownName, match="no figure called"):
        properties.figure("copper", "colour")
    with pytest.raises(UnknownName, match="C99999"):
        properties.alloy("C99999")
    with pytest.raises(UnknownName, match="no element"):
        properties.mixture_density({"Xx": 100})


@pytest.mark.parametrize(
    "percent",
    [
        {"Cu": 50},
        {"Cu": 120, "Sn": -20},
        {"Cu": float("nan")},
        {"Cu": 85, "Al": 11, "Fe": 4},
        {},
    ],
)
def test_invalid_mixture_is_refused(percent):
    with pytest.raises(OutOfRange):
        properties.mixture_density(percent)


@given(tin=st.floats(0, 20), lead=st.floats(0, 20))
def test_mixture_density_lies_between_its_elements(tin, lead):
    value = properties.mixture_density({"Cu": 100 - tin - lead, "Sn": tin, "Pb": lead}).value
    assert 7310 <= value <= 11350


def test_cautions_follow_the_metal():
    assert cautions.LEAD in cautions.when_melted("white_metal_7")
    assert cautions.ARSENIC in cautions.when_melted("white_metal_7")
    assert cautions.ZINC in cautions.when_melted("yellow_brass")
    assert cautions.LEAD not in cautions.when_melted("aluminium")
    assert all(cautions.HOT_METAL in cautions.when_melted(m.key) for m in properties.metals())
    assert properties.ASBESTOS in properties.cautions("packing")


def test_tables_are_plain_csv():
    for name in TABLES:
        text = tables.read(name)
        assert text
        assert all(None not in row for row in text), name


@pytest.mark.parametrize("module", [properties, cautions], ids=lambda module: module.__name__)
def test_docstring_examples(module):
    assert doctest.testmod(module).failed == 0


@pytest.mark.outside("alloy sheet C86400, conexbronze.com")
def test_high_strength_yellow_brass_may_hold_manganese_up_to_one_and_a_half_per_cent():
    printed = {
        "Cu": (56, 62), "Sn": (0.5, 1.5), "Pb": (0.5, 1.5), "Zn": (34, 42), "Fe": (0.4, 2),
        "Ni": (0, 1), "Al": (0.5, 1.5), "Mn": (0.1, 1.5),
    }  # fmt: skip
    assert dict(properties.alloy("C86400").limits) == printed
    usual = dict(properties.alloy("C86400").nominal) | {"Mn": 0.8}
    assert properties.outside_limits("C86400", usual) == ()
