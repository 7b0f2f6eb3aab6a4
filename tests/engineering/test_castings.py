"""Pattern sizes, allowances, masses to pour and crucibles."""

import doctest
from math import isclose

import pytest
from hypothesis import given
from hypothesis import strategies as st

from parts.engineering.calculation import Origin
from parts.engineering.casting import cautions, patterns
from parts.engineering.constants import KG_PER_LB
from parts.engineering.errors import EngineeringError, OutOfRange, UnknownName
from parts.engineering.materials import properties
from parts.engineering.measures import Units, show
from tests.engineering.checks import rows

LB = float(KG_PER_LB)
NAN, INF = float("nan"), float("inf")
CAST = ["grey_iron", "cast_steel", "red_brass", "tin_bronze", "aluminium", "copper"]


def pattern(mm=None, percent=None, per_ft=None, second_per_ft=None, **inch):
    size = inch["in"] * 25.4 if inch else mm
    share = percent / 100 if percent else patterns.contraction_from_rule(per_ft)
    second = patterns.contraction_from_rule(second_per_ft) if second_per_ft else None
    calculation = patterns.pattern_size(
        size, "grey_iron", "rough", contraction=share, pattern_contraction=second
    )
    return calculation.value / 25.4 if inch else calculation.value


def casting(per_ft, **inch):
    share = patterns.contraction_from_rule(per_ft)
    return patterns.casting_from_pattern(inch["in"] * 25.4, "grey_iron", share).value / 25.4


FUNCTIONS = {
    "pattern": pattern,
    "percent": lambda per_ft: patterns.contraction_from_rule(per_ft) * 100,
    "casting": casting,
    "test_bar": lambda mould_in, bar_in: (
        patterns.contraction_from_test_bar(mould_in * 25.4, bar_in * 25.4).value
    ),
    "tolerance": lambda nominal_mm, grade: patterns.tolerance(nominal_mm, grade).value,
    "raw": lambda finished_mm, kind, rma, ct: patterns.raw_size(finished_mm, kind, rma, ct).value,
    "draft": lambda angle_deg, depth_mm: patterns.draft(angle_deg, depth_mm).value,
    "charge": lambda **given: patterns.pour(**given).value,
    "crucible_lb": lambda number, metal: (
        patterns.crucible(1, metal, number=number, fill=0.5).value / 0.5 / LB
    ),
    "number": lambda charge_lb, metal, fill: (
        patterns.crucible_number(charge_lb * LB, metal, fill).value
    ),
}


@pytest.mark.parametrize(("function", "inputs", "expected", "tolerance"), rows("castings"))
def test_check_values(function, inputs, expected, tolerance):
    assert FUNCTIONS[function](**inputs) == pytest.approx(expected, rel=tolerance)


@pytest.mark.outside("foundry draft guide, stpaulfoundry.com: 0.096 in over a 10 in draw")
def test_draft_is_calculated_from_the_taper_not_the_rounded_degrees():
    # The guide prints 1 degree beside 0.096 in over 10 in; the lean itself is 0.55 degrees.
    lean = patterns.draft(0.55, 254).value / 25.4
    assert lean == pytest.approx(0.096, rel=0.01)
    assert patterns.draft(1, 254).value / 25.4 > 0.17


@pytest.mark.outside("pattern contraction page, frederickspassage.com: 12 in mould, 11 3/4 in bar")
def test_test_bar_contraction_makes_the_pattern_larger():
    share = patterns.contraction_from_test_bar(12 * 25.4, 11.75 * 25.4).value / 100
    cast = patterns.pattern_size(11.75 * 25.4, "aluminium", "rough", contraction=share)
    assert cast.value == pytest.approx(12 * 25.4)


@given(
    size=st.floats(1, 1500),
    metal=st.sampled_from(CAST),
    kind=st.sampled_from(["boss", "face", "step", "rough", "cored"]),
    own=st.floats(0, 20),
)
def test_a_pattern_is_never_smaller_than_its_casting(size, metal, kind, own):
    calculation = patterns.pattern_size(size, metal, kind, allowance_mm=own)
    assert calculation.value >= size
    if calculation.low is not None:  # red brass and copper contract alike in every source
        assert calculation.low - 1e-9 <= calculation.value <= calculation.high + 1e-9


@given(bore=st.floats(60, 900), metal=st.sampled_from(CAST), own=st.floats(2, 20))
def test_a_bore_is_cast_smaller_than_it_is_finished(bore, metal, own):
    size = patterns.pattern_size(bore, metal, "bore", allowance_mm=own, contraction=0.0)
    assert size.value == pytest.approx(bore - 2 * own)
    shrunk = patterns.pattern_size(bore, metal, "bore", allowance_mm=own)
    assert shrunk.value > size.value  # a hole shrinks like the rest, so its pattern is larger


@given(size=st.floats(1, 5000), share=st.floats(0, 0.05))
def test_casting_from_pattern_inverts_pattern_size(size, share):
    there = patterns.pattern_size(size, "grey_iron", "rough", contraction=share).value
    assert patterns.casting_from_pattern(there, "grey_iron", share).value == pytest.approx(size)


@given(first=st.floats(0.001, 0.05), second=st.floats(0.001, 0.05))
def test_double_contraction_multiplies(first, second):
    calculation = patterns.pattern_size(
        1000, "grey_iron", "rough", contraction=first, pattern_contraction=second
    )
    assert calculation.value == pytest.approx(1000 * (1 + first) * (1 + second))
    assert calculation.value > 1000 * (1 + first + second)
    assert calculation.name == "Size of the master pattern"


def test_pattern_metal_adds_its_contraction():
    calculation = patterns.pattern_size(18 * 25.4, "cast_iron", "rough", pattern_metal="aluminium")
    assert calculation.value / 25.4 == pytest.approx(18.42431641)


@given(size=st.floats(40, 500), depth=st.floats(1, 100), angle=st.floats(0.5, 3))
def test_draft_never_reduces_the_size(size, depth, angle):
    outside = patterns.pattern_size(size, "grey_iron", "rough", draft_deg=angle, depth_mm=depth)
    hole = patterns.pattern_size(size, "grey_iron", "cored", draft_deg=angle, depth_mm=depth)
    assert outside.parts[0].value > outside.value
    assert hole.parts[0].value < hole.value


def test_every_input_has_its_origin():
    table = patterns.pattern_size(444.5, "cast_iron", "boss")
    origins = {entry.letter: entry.origin for entry in table.inputs}
    assert origins == {"L": Origin.ENTERED, "m": Origin.TABLE, "c": Origin.TABLE}
    assert table.formula == "(L + 2 × m) × (1 + c)"
    assert "Lineham" in table.inputs[2].source
    assert "memory" in table.inputs[1].source
    assert table.low < table.value < table.high

    own = patterns.pattern_size(444.5, "cast_iron", "boss", allowance_mm=3, contraction=0.01)
    assert [entry.origin for entry in own.inputs] == [Origin.ENTERED] * 3
    assert own.low is None
    assert own.value == pytest.approx(455.0, abs=0.01)
    assert "(444.5 mm + 2 × 3 mm) × 1.01 = 455 mm" in own.figures


def test_pattern_size_shows_in_inches_and_in_millimetres():
    calculation = patterns.pattern_size(304.8, "cast_iron", "rough", contraction=1 / 96)
    assert show(calculation.value, calculation.unit, Units.customary()) == ("12 1/8", "in")
    assert show(calculation.value, calculation.unit, Units.metric()) == ("307.98", "mm")


def test_cope_has_a_larger_allowance():
    side = patterns.allowance("cast_iron", 250).value
    assert patterns.allowance("cast_iron", 250, "cope").value > side
    assert patterns.allowance("cast_iron", 1500).value > side


@pytest.mark.outside("Dooley, Applied Science for Metal Workers, art. 428, chestofbooks.com")
@pytest.mark.parametrize(
    ("metal", "low_in", "high_in"),
    [("cast_iron", 1 / 16, 1 / 8), ("brass", 1 / 16, 1 / 8), ("steel", 1 / 8, 1 / 2)],
)
def test_small_castings_have_the_published_allowance(metal, low_in, high_in):
    figure = patterns.allowance(metal, 76)
    assert low_in * 25.4 - 1e-9 <= figure.value <= high_in * 25.4 + 1e-9
    assert figure.high == pytest.approx(high_in * 25.4)


def test_upper_limit_of_a_table_row_is_inclusive():
    assert patterns.tolerance(63, 12).value == 5.6
    assert patterns.tolerance(63.01, 12).value == 6
    assert patterns.machining_allowance(160, "G").value == 2.2


def test_pour_gives_masses_from_finished_to_charge():
    calculation = patterns.pour(9.0, "red_brass", stock_kg=1.0, pieces=3)
    cast, as_poured = calculation.parts
    assert cast.value == pytest.approx(30)
    assert as_poured.value == pytest.approx(30 / 0.525)
    assert calculation.value == pytest.approx(30 / 0.525 / (1 - 0.0225))
    assert calculation.low == pytest.approx(30 / 0.60 / (1 - 0.015))
    assert calculation.high == pytest.approx(30 / 0.45 / (1 - 0.03))
    assert cautions.LEAD in calculation.cautions
    assert cautions.ZINC in calculation.cautions
    assert cautions.HOT_METAL in calculation.cautions


@given(
    finished=st.floats(0.01, 1000),
    stock=st.floats(0, 100),
    share=st.floats(0.3, 1),
    loss=st.floats(0, 0.2),
)
def test_charge_is_never_less_than_the_casting(finished, stock, share, loss):
    calculation = patterns.pour(
        finished, "grey_iron", stock_kg=stock, casting_yield=share, loss=loss
    )
    charge = calculation.value
    assert charge >= finished + stock - 1e-9
    # What is charged, less what is lost and what stands in the gates, is the casting again.
    assert isclose(charge * (1 - loss) * share, finished + stock, rel_tol=1e-9)


def test_finishing_stock_is_area_times_thickness():
    calculation = patterns.finishing_stock(200 * 100, 3, "cast_iron")
    assert calculation.value == pytest.approx(200 * 100 * 3 * 7200e-9)


def test_crucible_that_holds_the_pour_is_not_refused():
    calculation = patterns.crucible(10, "brass", number=10)
    assert calculation.value == pytest.approx(24 * LB)
    assert not calculation.refused
    assert calculation.verdict.startswith("It fits: 10 kg")
    assert cautions.CRUCIBLE in calculation.cautions


def test_crucible_too_small_is_refused_in_words():
    calculation = patterns.crucible(12, "brass", number=10)
    assert calculation.refused
    assert "Do not pour this" in calculation.verdict
    assert "12 kg against 10.89 kg" in calculation.verdict
    assert calculation.cautions[0].act.startswith("Over what the crucible holds")


def test_charge_equal_to_the_limit_is_not_refused():
    limit = patterns.crucible(1, "brass", brim_l=2.0).value
    assert not patterns.crucible(limit, "brass", brim_l=2.0).refused
    assert patterns.crucible(limit * 1.001, "brass", brim_l=2.0).refused


def test_crucible_limit_is_the_lower_of_volume_and_rating():
    by_volume = patterns.crucible(5, "bronze", brim_l=1.5, fill=0.75)
    assert by_volume.value == pytest.approx(1.5 * 8.8 * 0.75)
    rated = patterns.crucible(5, "bronze", brim_l=1.5, fill=0.75, rated_kg=4)
    assert rated.value == 4
    assert rated.refused


def test_mass_from_pattern_has_its_range():
    calculation = patterns.mass_from_pattern(2.0, "cast_iron", core_prints_kg=0.5)
    assert calculation.low < calculation.value == 24 < calculation.high
    assert patterns.mass_from_pattern(2.0, "steel", factor=17).value == 34


@pytest.mark.parametrize(
    ("ask", "error", "says"),
    [
        (lambda: patterns.pattern_size(0, "brass"), OutOfRange, "finished size"),
        (lambda: patterns.pattern_size(-4, "brass"), OutOfRange, "finished size"),
        (lambda: patterns.pattern_size(NAN, "brass"), OutOfRange, "finite"),
        (lambda: patterns.pattern_size(INF, "brass"), OutOfRange, "finite"),
        (lambda: patterns.pattern_size(1e7, "brass"), OutOfRange, "more than can be"),
        (lambda: patterns.pattern_size("wide", "brass"), OutOfRange, "must be a number"),
        (lambda: patterns.pattern_size(10, "cheese"), UnknownName, "cheese"),
        (lambda: patterns.pattern_size(10, "wood"), UnknownName, "type in your own"),
        (lambda: patterns.pattern_size(10, "brass", "lid"), UnknownName, "kind of face"),
        (lambda: patterns.pattern_size(4, "brass", "bore"), OutOfRange, "closes the bore"),
        (lambda: patterns.pattern_size(10, "brass", contraction=-0.1), OutOfRange, "contraction"),
        (lambda: patterns.pattern_size(10, "brass", contraction=1.3), OutOfRange, "contraction"),
        (lambda: patterns.pattern_size(10, "brass", allowance_mm=-1), OutOfRange, "allowance"),
        (lambda: patterns.pattern_size(10, "brass", largest_mm=5), OutOfRange, "smaller than"),
        (lambda: patterns.pattern_size(900, "brass"), OutOfRange, "does not go up to"),
        (
            lambda: patterns.pattern_size(30, "brass", "cored", draft_deg=20, depth_mm=100),
            OutOfRange,
            "draft closes",
        ),
        (lambda: patterns.draft(45, 10), OutOfRange, "draft angle"),
        (lambda: patterns.draft(1, -10), OutOfRange, "depth"),
        (lambda: patterns.contraction_from_test_bar(300, 310), OutOfRange, "longer than"),
        (lambda: patterns.contraction_from_test_bar(300, 200), OutOfRange, "more than a tenth"),
        (lambda: patterns.tolerance(50, 3), OutOfRange, "no grade 3"),
        (lambda: patterns.tolerance(5000, 12), OutOfRange, "more than can be"),
        (lambda: patterns.tolerance(5, 14), OutOfRange, "no grade 14"),
        (lambda: patterns.machining_allowance(50, "Z"), OutOfRange, "machining grade"),
        (lambda: patterns.raw_size(5, "bore", 2, 4), OutOfRange, "closes the bore"),
        (lambda: patterns.allowance("brass", 50, "top"), UnknownName, "side, bore or cope"),
        (lambda: patterns.pour(-1, "brass"), OutOfRange, "finished mass"),
        (lambda: patterns.pour(1, "brass", casting_yield=0), OutOfRange, "yield"),
        (lambda: patterns.pour(1, "brass", casting_yield=1.2), OutOfRange, "yield"),
        (lambda: patterns.pour(1, "brass", loss=0.9), OutOfRange, "melting loss"),
        (lambda: patterns.pour(1, "brass", pieces=1.5), OutOfRange, "whole"),
        (lambda: patterns.pour(1, "steel"), UnknownName, "type in your own"),
        (lambda: patterns.crucible(1, "brass"), OutOfRange, "volume to the brim"),
        (lambda: patterns.crucible(1, "brass", brim_l=0), OutOfRange, "volume"),
        (lambda: patterns.crucible(1, "brass", number=10, fill=1.0), OutOfRange, "filling"),
        (lambda: patterns.crucible_number(NAN, "brass"), OutOfRange, "charge"),
        (lambda: patterns.mass_from_pattern(1, "steel"), UnknownName, "type in your own"),
        (
            lambda: patterns.mass_from_pattern(1, "brass", core_prints_kg=1),
            OutOfRange,
            "core prints",
        ),
    ],
)
def test_invalid_input_is_refused_in_words(ask, error, says):
    with pytest.raises(error, match=says) as caught:
        ask()
    assert isinstance(caught.value, EngineeringError)
    assert str(caught.value).endswith(".")


@pytest.mark.parametrize("metal", [one.key for one in properties.metals()])
def test_every_metal_has_its_melting_cautions(metal):
    calculation = patterns.pour(1, metal, casting_yield=0.5, loss=0.02)
    assert calculation.cautions[0] is cautions.HOT_METAL


def test_docstring_examples():
    assert doctest.testmod(patterns).failed == 0
