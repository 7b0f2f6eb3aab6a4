"""Quantities in sentences: the reader's units, and no more digits than the interval supports."""

import doctest
import math
import re
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from parts.engineering import errors, sentences, showing
from parts.engineering.errors import OutOfRange, finite
from parts.engineering.measures import MeasureError, Units, read_exhaust
from parts.engineering.sentences import Sentence, amount, in_units, joined, sentence
from parts.engineering.showing import show_within

INCH, METRIC = Units.customary(), Units.metric()


def test_docstring_examples():
    for module in (sentences, showing, errors):
        assert doctest.testmod(module).failed == 0


def test_a_sentence_reads_in_metric_and_is_written_in_any_units():
    words = sentence(f"A bore of {amount(25.4, 'mm')} at {amount(100, 'degC')}.")
    assert words == "A bore of 25.4 mm at 100 °C."
    assert in_units(words, INCH) == "A bore of 1 in at 212 °F."
    assert in_units("Nothing in it.", INCH) == "Nothing in it."


def test_sentences_stay_sentences_when_they_are_joined():
    one, two = sentence(f"{amount(1, 'kg')}."), "Then rest."
    for text in (one + " " + two, joined((one, "", two)), two + " " + one):
        assert isinstance(text, Sentence)
        assert "2.205 lb" in in_units(text, INCH)


@pytest.mark.parametrize("typed", ["⟦1|mm|4||⟧", "⟦x|mm|4||⟧", "⟦1.2.3|mm|4||⟧", "⟦⟧", "⟦1|mm|4"])
def test_typed_text_is_never_read_as_a_quantity(typed):
    assert isinstance(in_units(sentence(f"Part {typed}"), INCH), str)


def test_error_message_is_in_the_units_of_the_reader():
    with pytest.raises(OutOfRange) as caught:
        finite("bore", 6000, "mm", upto=5000)
    assert str(caught.value) == "The bore of 6000 mm is more than can be (5000 mm at most)."
    assert in_units(caught.value, Units.customary()).startswith("The bore of 236.22 in")


@given(
    value=st.floats(allow_nan=True, allow_infinity=True),
    least=st.sampled_from([None, 0.0, 10.0]),
    unit=st.sampled_from(["", "mm", "kg", "kPa"]),
)
def test_error_messages_print_no_raw_floats(value, least, unit):
    refused = None
    try:
        finite("length", value, unit, least=least, upto=1000)
    except OutOfRange as error:
        refused = error
    for units in (INCH, METRIC):
        assert not re.search(r"\d[eE][+-]?\d", in_units(refused, units))


def test_a_figure_has_the_digits_that_its_interval_supports():
    # 9.649 lb, from 6.1 to 18.5: half the interval is 6, so pounds are as fine as it goes.
    assert show_within(4.377, 2.77, 8.4, "kg", INCH) == ("10", "6", "19", "lb")
    assert show_within(100.1508, 100.1, 100.2, "mm", METRIC) == ("100.15", "100.1", "100.2", "mm")
    assert show_within(5.0, 5.0, 5.0, "kg", METRIC) == ("5", "5", "5", "kg")


# What one of the customary unit is in the metric one.
ONE = {"kg": 0.45359237, "mm": 25.4, "kPa": 6.894757293, "kW": 0.74569987, "J": 1.355817948}


@given(
    value=st.floats(0.01, 1e6),
    below=st.floats(0.0001, 0.9),
    above=st.floats(0.0001, 3),
    unit=st.sampled_from(sorted(ONE)),
    units=st.sampled_from([INCH, METRIC]),
)
def test_no_digit_is_finer_than_half_the_interval(value, below, above, unit, units):
    low, high = value * (1 - below), value * (1 + above)
    one = ONE[unit] if units is INCH else 1.0
    step = Decimal(1).scaleb(math.floor(math.log10((high - low) / 2 / one * (1 - 1e-9))))
    likely, least, most = (Decimal(text) for text in show_within(value, low, high, unit, units)[:3])
    for figure in (likely, least, most):
        assert figure % step == 0
    assert float(least) <= low / one * (1 + 1e-8)
    assert float(most) >= high / one * (1 - 1e-8)


@pytest.mark.outside("NIST Special Publication 811, appendix B.8: 1 inHg (conventional)")
def test_an_inch_of_mercury_is_that_of_the_table():
    assert read_exhaust("10 inHg").value == pytest.approx(33.86389, rel=1e-6)
    assert read_exhaust("100 mmHg").value == pytest.approx(13.33224, rel=1e-6)


@pytest.mark.parametrize(
    ("text", "kpa"),
    [
        ("26 inHg vacuum", -88.046),
        ("26 in vacuum", -88.046),
        ('26" vac', -88.046),
        ("26 vacuum", -88.046),
        ("26 in Hg of vacuum", -88.046),
        ("0.8 bar vacuum", -80.0),
        ("2 psi", 13.790),
        ("2", 13.790),
        ("0.1 bar", 10.0),
        ("2 psi absolute", -87.535),
        ("2 psia", -87.535),
        ("0.15 bar abs", -86.325),
    ],
)
def test_read_exhaust(text, kpa):
    assert read_exhaust(text).value == pytest.approx(kpa, abs=2e-3)


@pytest.mark.parametrize("text", ["30 inHg vacuum", "0 psi absolute", "1.1 bar vacuum", "a lot"])
def test_invalid_exhaust_is_refused_in_words(text):
    with pytest.raises(MeasureError, match=r"Enter it like"):
        read_exhaust(text)
