"""Reading and writing measures as people write them."""

import csv
import doctest
import subprocess
import sys
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from parts.engineering import constants, measures, showing
from parts.engineering.errors import EngineeringError, OutOfRange, UnknownName
from parts.engineering.measures import MeasureError, Units, kinds, show, writing

VALUES = Path(__file__).with_name("values") / "measures.csv"
READERS = {
    "length": measures.read_length,
    "mass": measures.read_mass,
    "temperature": measures.read_temperature,
    "pressure": measures.read_pressure,
    "force": measures.read_force,
    "torque": measures.read_torque,
    "power": measures.read_power,
    "angle": measures.read_angle,
    "thread": measures.read_thread_pitch,
}


def outside_rows():
    with VALUES.open(encoding="utf-8") as file:
        return [
            pytest.param(
                row["kind"],
                row["written"],
                row["options"],
                float(row["expected"]),
                float(row["rel_tol"]),
                marks=pytest.mark.outside(f"{row['source']} ({row['status']})"),
                id=f"{row['kind']} {row['written']} {row['options']}".strip(),
            )
            for row in csv.DictReader(file)
        ]


@pytest.mark.parametrize(("kind", "written", "options", "expected", "tolerance"), outside_rows())
def test_units_agree_with_their_published_factors(kind, written, options, expected, tolerance):
    more = dict(pair.split("=") for pair in options.split()) if options else {}
    assert READERS[kind](written, **more).value == pytest.approx(expected, rel=tolerance)


@pytest.mark.parametrize(
    ("written", "mm", "unit"),
    [
        ("1 3/8", Fraction(11, 8) * Fraction(254, 10), "in"),
        ('1-3/8"', Fraction(11, 8) * Fraction(254, 10), "in"),
        ("1–3/8 in", Fraction(11, 8) * Fraction(254, 10), "in"),
        ("3' 0 1/2\"", Fraction(9271, 10), "ft"),
        ("3'-0 1/2\"", Fraction(9271, 10), "ft"),
        ("3'6", Fraction(10668, 10), "ft"),
        ("3 ft 6 in", Fraction(10668, 10), "ft"),
        ("1 yd 2 ft 6 in", Fraction(66 * 254, 10), "yd"),
        ("22 in", Fraction(22 * 254, 10), "in"),
        ("22 in.", Fraction(22 * 254, 10), "in"),
        ("22 inches", Fraction(22 * 254, 10), "in"),
        ("36.5 mm", Fraction(365, 10), "mm"),
        ("36.5mm", Fraction(365, 10), "mm"),
        ("⅞", Fraction(7, 8) * Fraction(254, 10), "in"),
        ("1⅞ in", Fraction(15, 8) * Fraction(254, 10), "in"),
        ("1 ⅞ in", Fraction(15, 8) * Fraction(254, 10), "in"),
        ("5⅝″", Fraction(45, 8) * Fraction(254, 10), "in"),
        ("5⅝''", Fraction(45, 8) * Fraction(254, 10), "in"),
        ("11/8 in", Fraction(11, 8) * Fraction(254, 10), "in"),
        ("1,250 mm", Fraction(1250), "mm"),
        ("1,250,000 mm", Fraction(1_250_000), "mm"),
        (".5", Fraction(127, 10), "in"),
        ("1 m 25 cm", Fraction(1250), "m"),
        ("2 thou", Fraction(508, 10000), "thou"),
        ("0", Fraction(0), "in"),
        ("  7/8  ", Fraction(7, 8) * Fraction(254, 10), "in"),
        ("1\u00a03/8\u202fin", Fraction(11, 8) * Fraction(254, 10), "in"),
    ],
)
def test_read_length(written, mm, unit):
    measure = measures.read_length(written)
    assert measure.value == float(mm)
    assert measure.unit == unit
    assert measure.written == written.strip()


def test_a_bare_number_is_in_the_unit_of_the_field():
    assert measures.read_length("36.5", default="mm").value == 36.5
    assert measures.read_mass("3", default="kg").value == 3
    assert measures.read_temperature("100", default="C").value == 100


@pytest.mark.parametrize(
    ("written", "ton", "pounds", "unit"),
    [
        ("12 lb 6 oz", "long", Fraction(99, 8), "lb"),
        ("3 cwt 2 qr", "long", 392, "cwt"),
        ("3 cwt 2 qr", "short", 350, "cwt"),
        ("2 tons", "long", 4480, "ton"),
        ("2 tons", "short", 4000, "ton"),
        ("1 ton 3 cwt 2 qr 14 lb 8 oz", "long", Fraction(5293, 2), "ton"),
        ("2 long tons", "short", 4480, "ton"),
        ("2 short tons", "long", 4000, "ton"),
    ],
)
def test_masses_say_which_ton_they_mean(written, ton, pounds, unit):
    measure = measures.read_mass(written, ton=ton)
    assert measure.value == float(pounds * constants.KG_PER_LB)
    assert measure.unit == unit


def test_a_metric_ton_and_its_hundredweight():
    assert measures.read_mass("2 tons", ton="metric").value == 2000
    assert measures.read_mass("3 cwt 2 qr", ton="metric").value == 175
    assert measures.read_mass("2 t", ton="long").value == 2000


def test_a_tonne_takes_no_pounds_after_it():
    with pytest.raises(MeasureError, match="lb cannot follow t"):
        measures.read_mass("1 t 5 lb")


@pytest.mark.parametrize(
    ("written", "degC"),
    [
        ("2150 F", 10590 / 9),
        ("2150 °F", 10590 / 9),
        ("2,150 deg F", 10590 / 9),
        ("-10 C", -10),
        ("−40 F", -40),
        ("2150°", 10590 / 9),
    ],
)
def test_temperatures(written, degC):
    assert measures.read_temperature(written).value == pytest.approx(degC, rel=1e-15)


@pytest.mark.parametrize(
    ("reader", "written", "place", "says"),
    [
        ("length", "", 0, "No length is written"),
        ("length", "   ", 0, "No length is written"),
        ("length", "1,5 in", 1, "three figures after it"),
        ("length", "0,125 mm", 1, "three figures after it"),
        ("length", "1,2500 mm", 1, "three figures after it"),
        ("length", "1-2 in", 1, "not a range"),
        ("length", "12 in to 14 in", 6, "not a range"),
        ("length", "2 x 4", 2, "one size at a time"),
        ("length", "1 3/8 ± 1/64", 6, "how sure it is"),
        ("length", "1/0 in", 2, "nought"),
        ("length", "1 1/0 in", 4, "nought"),
        ("length", "3/", 1, "no lower part"),
        ("length", "1 11/8", 2, "less than 1"),
        ("length", "5 furlongs", 2, '"furlongs" is no unit of length'),
        ("length", "5 lb", 2, '"lb" is no unit of length'),
        ("length", "-3 in", 0, "no sign before it"),
        ("length", "1e9 mm", 1, '"e" is no unit'),
        ("length", "12,000 m", 0, "10 km at most"),
        ("length", "3 in 2 ft", 5, "ft cannot follow in"),
        ("length", "3 ft 6 mm", 5, "mm cannot follow ft"),
        ("length", "1 2 in", 2, "side by side"),
        ("length", "3 1/2 ft 6 in", 0, "only the last"),
        ("length", "in", 0, "a number was expected"),
        ("length", "1" * 100, 80, "longer than"),
        ("mass", "12 lb 6", 6, "no unit"),
        ("mass", "-1 kg", 0, "no sign"),
        ("mass", "20,000 t", 0, "10,000 t at most"),
        ("temperature", "-460 F", 1, "so cold"),
        ("temperature", "4001 C", 0, "4000 °C at most"),
        ("temperature", "cherry red", 0, "a number was expected"),
        ("pressure", "1 bar 3 psi", 6, "cannot follow"),
        ("thread", "0", 0, "threads per inch"),
    ],
)
def test_unreadable_text_gives_the_place_and_an_example(reader, written, place, says):
    with pytest.raises(MeasureError, match=says) as caught:
        READERS[reader](written)
    assert caught.value.place == place
    assert caught.value.example in str(caught.value)
    READERS[reader](caught.value.example)


@pytest.mark.parametrize("reader", READERS.values())
@pytest.mark.parametrize("thing", [None, 12, 1.5, b"12 in", ["1"]])
def test_value_that_is_no_text_is_refused(reader, thing):
    with pytest.raises(MeasureError):
        reader(thing)


def test_unknown_default_unit_raises():
    with pytest.raises(UnknownName):
        measures.read_length("1", default="cubit")
    with pytest.raises(UnknownName):
        measures.read_mass("1", ton="heavy")
    with pytest.raises(UnknownName):
        measures.read_temperature("1", default="K")


PIECES = st.sampled_from(
    [
        *"0123456789 ,./-'\"°",
        "½",
        "⅝",
        "⁄",
        "″",
        "in",
        "ft",
        "mm",
        "lb",
        "oz",
        "cwt",
        "F",
        "deg",
        "x",
    ]
)


@pytest.mark.parametrize("reader", READERS.values())
@given(text=st.one_of(st.text(), st.lists(PIECES, max_size=14).map("".join)))
def test_arbitrary_text_raises_only_the_documented_error(reader, text):
    try:
        measure = reader(text)
    except MeasureError as caught:
        error = caught
    else:
        assert abs(measure.value) < 1e9
        assert measure.written == text.strip()
        return
    assert 0 <= error.place <= max(len(text), 80)
    assert str(error).endswith(".")


@given(steps=st.integers(0, 64 * 12 * 1000), finest=st.sampled_from([8, 16, 32, 64, 128]))
def test_fractions_read_back_exactly(steps, finest):
    mm = float(Fraction(steps, finest) * constants.MM_PER_IN)
    for unit in ("in", "ft"):
        written = measures.write_length(mm, unit, finest)
        assert "." not in written
        assert measures.read_length(written).value == mm


@given(
    mm=st.floats(0, 9_000_000, allow_subnormal=False),
    unit=st.sampled_from(["in", "ft", "yd", "thou", "mm", "cm", "m"]),
)
def test_lengths_read_back_within_the_stated_rounding(mm, unit):
    one = float(kinds.LENGTH.by_name[unit].factor)
    step = 25.4 if unit == "ft" else one
    back = measures.read_length(measures.write_length(mm, unit)).value
    # Half a thousandth of the unit, or half of the fourth figure where that is finer.
    allowed = max(min(0.0005 * step, mm * 0.0005), 1e-12 * mm, 2.54e-6)
    assert abs(back - mm) <= allowed * (1 + 1e-9)


@given(tenths=st.integers(0, 9_000_000))
def test_metric_sizes_read_back_exactly(tenths):
    mm = tenths / 10
    assert measures.read_length(measures.write_length(mm, "mm")).value == mm


@given(
    kg=st.floats(1e-6, 5e6),
    unit=st.sampled_from(["oz", "lb", "qr", "cwt", "ton", "g", "kg", "t"]),
    ton=st.sampled_from(["long", "short", "metric"]),
    figures=st.integers(2, 6),
)
def test_masses_read_back_within_their_figures(kg, unit, ton, figures):
    written = measures.write_mass(kg, unit, ton, figures)
    back = measures.read_mass(written, ton=ton)
    assert back.unit == unit
    assert back.value == pytest.approx(kg, rel=0.5001 * 10 ** (1 - figures))


@given(pounds=st.integers(0, 10**6))
def test_whole_pounds_read_back_exactly(pounds):
    kg = float(pounds * constants.KG_PER_LB)
    assert measures.read_mass(measures.write_mass(kg, "lb", figures=None)).value == kg


@given(
    steps=st.integers(1, 64 * 12 * 100), tenths=st.integers(1, 99_999), number=st.floats(0.01, 1e5)
)
def test_write_again_reads_back_as_the_same_value(steps, tenths, number):
    again = measures.write_again
    for unit in ("in", "mm"):
        assert again("length", float(Fraction(steps, 64) * constants.MM_PER_IN), unit)[-2:] in (
            "in",
            unit,
        )
        assert len(again("length", tenths / 10, unit)) <= len("393 63/64 in")
        assert measures.read_length(again("length", number, unit)).value == pytest.approx(
            number, rel=1e-9
        )
    for unit in ("lb", "kg"):
        assert len(again("mass", float(tenths * constants.KG_PER_LB), unit)) <= len("99999 lb")
        assert measures.read_mass(again("mass", number, unit)).value == pytest.approx(
            number, rel=1e-9
        )


@given(degree=st.integers(-459, 7000), unit=st.sampled_from("FC"))
def test_whole_degrees_read_back_exactly(degree, unit):
    if unit == "C" and not -273 <= degree <= 4000:
        return
    first = measures.read_temperature(f"{degree} {unit}")
    written = measures.write_temperature(first.value, unit)
    assert written == f"{degree} °{unit}"
    assert measures.read_temperature(written).value == first.value


@pytest.mark.parametrize(
    ("mm", "unit", "written"),
    [
        (34.925, "in", "1 3/8 in"),
        (22.225, "in", "7/8 in"),
        (34.8488, "in", "1.372 in"),
        (0.1143, "in", "0.0045 in"),
        (1066.8, "ft", "3 ft 6 in"),
        (927.1, "ft", "3 ft 0 1/2 in"),
        (914.4, "ft", "3 ft"),
        (152.4, "ft", "6 in"),
        (609.599, "ft", "2 ft"),
        (36.5, "mm", "36.5 mm"),
        (1250, "m", "1.25 m"),
        (0, "in", "0 in"),
        (-25.4, "in", "-1 in"),
    ],
)
def test_write_length(mm, unit, written):
    assert measures.write_length(mm, unit) == written


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), "wide", None])
def test_value_that_is_no_number_cannot_be_written(bad):
    for write in (measures.write_length, measures.write_mass, measures.write_temperature):
        with pytest.raises(OutOfRange):
            write(bad)


def test_unknown_units_cannot_be_written():
    with pytest.raises(UnknownName):
        measures.write_length(1, "cubit")
    with pytest.raises(UnknownName):
        measures.write_mass(1, "stone")
    with pytest.raises(UnknownName):
        measures.write_temperature(1, "K")
    with pytest.raises(OutOfRange):
        measures.write_length(1, "in", finest=10)


@pytest.mark.parametrize(
    ("value", "unit", "customary", "metric"),
    [
        (34.925, "mm", ("1 3/8", "in"), ("34.92", "mm")),
        (782.77, "mm", ("30.818", "in"), ("782.77", "mm")),
        (0.1143, "mm", ("0.0045", "in"), ("0.1143", "mm")),
        (645.16, "mm2", ("1", "in²"), ("645.2", "mm²")),
        (16387.064, "mm3", ("1", "in³"), ("16.39", "cm³")),
        (0.45359237, "kg", ("1", "lb"), ("0.4536", "kg")),
        (100, "degC", ("212", "°F"), ("100", "°C")),
        (0, "degC", ("32", "°F"), ("0", "°C")),
        (30.48, "m", ("100", "ft"), ("30.48", "m")),
        (55, "percent", ("55", "%"), ("55", "%")),
        (120, "rpm", ("120", "rpm"), ("120", "rpm")),
        (None, "kg", ("", ""), ("", "")),
        ("grade 2", "", ("grade 2", ""), ("grade 2", "")),
        (float("nan"), "h", ("–", "h"), ("–", "h")),
        (4.54609, "l", ("1", "imp. gal"), ("4.546", "l")),
    ],
)
def test_show_in_customary_and_metric_units(value, unit, customary, metric):
    assert show(value, unit, Units.customary()) == customary
    assert show(value, unit, Units.metric()) == metric


def test_show_uses_the_chosen_ton():
    assert show(1.0160469088, "t", Units.customary("long")) == ("1", "long tons")
    assert show(0.90718474, "t", Units.customary("short")) == ("1", "short tons")
    assert show(1, "t", Units.metric()) == ("1", "t")


@given(st.floats(allow_nan=True), st.sampled_from(sorted(showing.KNOWN)))
def test_show_takes_any_figure(value, unit):
    for units in (Units.customary(), Units.customary("short"), Units.metric()):
        number, name = show(value, unit, units)
        assert number
        assert "e" not in number.lower()
        assert isinstance(name, str)


def test_angle_and_taper_are_inverses():
    assert measures.taper_from_angle(measures.angle_from_taper(0.125)) == pytest.approx(0.125)
    with pytest.raises(OutOfRange):
        measures.taper_from_angle(90)


def test_threads_per_inch_and_pitch_are_inverses():
    assert measures.threads_per_inch(measures.pitch_mm(13)) == pytest.approx(13)
    with pytest.raises(OutOfRange):
        measures.pitch_mm(0)


def test_measure_error_is_an_engineering_error():
    assert issubclass(MeasureError, EngineeringError)


@pytest.mark.parametrize("module", [measures, showing, writing], ids=lambda module: module.__name__)
def test_docstring_examples(module):
    assert doctest.testmod(module).failed == 0


def test_reading_measures_does_not_import_numpy():
    process = subprocess.run(
        [
            sys.executable,
            "-c",
            "import sys, parts.engineering.measures; print('numpy' in sys.modules)",
        ],
        capture_output=True,
        text=True,
        check=True,
    )
    assert process.stdout.strip() == "False"
