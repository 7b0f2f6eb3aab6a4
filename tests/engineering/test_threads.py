"""Threads: tables and geometry, tapping, identifying a worn thread, heads, nuts and masses."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from parts.engineering import tables
from parts.engineering.errors import OutOfRange, UnknownName
from parts.engineering.fasteners import bolts, tapping, threads, worn_threads
from parts.engineering.fasteners.threads import INCH, Thread, thread
from parts.engineering.fasteners.worn_threads import identify
from tests.engineering.checks import rows

LB = 0.45359237


def calculation(make, unit=1.0):
    return lambda series, size, **k: make(thread(series, size), **k).value / unit


def whitworth_bolt(size, length):
    """A Whitworth bolt in pounds a hundred, at the unrounded sizes that the old table used."""
    t = thread("BSW", size)
    flats = {"1/2": 0.9191, "3/4": 1.3012}[size] * INCH
    head, nut = (
        bolts.Flats(
            "bs190", item, "hexagon", size, t.major_mm, flats, k * t.major_mm, "table", "seen"
        )
        for item, k in (("head", 7 / 8), ("nut", 1))
    )
    return 100 * bolts.bolt_mass(t, length * INCH, head=head, nut=nut).value / LB


def iso_bolt(size, length):
    t = thread("M", size)
    head, nut = (bolts.flats("iso", item, t.major_mm) for item in ("head", "nut"))
    return bolts.bolt_mass(t, length, head=head, nut=nut).value


FUNCTIONS = {
    "stress_in2": calculation(threads.stress_area, INCH**2),
    "stress_mm2": calculation(threads.stress_area),
    "pitch_in": lambda series, size: threads.pitch_dia_mm(thread(series, size)) / INCH,
    "pitch_mm": calculation(threads.pitch_diameter),
    "minor_in": calculation(threads.minor_diameter, INCH),
    "minor_mm": calculation(threads.minor_diameter),
    "minor_nut_in": lambda series, size: (
        threads.minor_diameter(thread(series, size), inside=True).value / INCH
    ),
    "root_in2": calculation(threads.root_area, INCH**2),
    "root_load_lb": lambda series, size, psi: (
        threads.root_area(thread(series, size)).value / INCH**2 * psi
    ),
    "whitworth_minor_in": lambda major, tpi: (
        threads.minor_dia_mm(Thread("BSW", "x", major * INCH, INCH / tpi, "", "seen")) / INCH
    ),
    "whitworth_depth": lambda: threads.FORMS["whitworth"].minor_outside / 2,
    "tpi_of": lambda series, size: thread(series, size).tpi,
    "major_mm": lambda series, size: thread(series, size).major_mm,
    "sellers_tpi": lambda major: INCH / threads.sellers_pitch_mm(major * INCH),
    "drill_in": lambda series, size, percent: (
        tapping.nearest_drill(tapping.tapping_drill(thread(series, size), percent).value)[1] / INCH
    ),
    "tap_mm": calculation(tapping.tapping_drill),
    "tap_in": calculation(tapping.tapping_drill, INCH),
    "percent": lambda series, size, drill: (
        tapping.thread_percent(thread(series, size), drill * INCH).value
    ),
    "corners_in": lambda flats: bolts.across_corners(flats * INCH).value / INCH,
    "flats_in": lambda standard, item, major: (
        bolts.flats(standard, item, major * INCH).flats_mm / INCH
    ),
    "bolt_lb_100": whitworth_bolt,
    "iso_bolt_kg": iso_bolt,
}


@pytest.mark.parametrize(("name", "inputs", "expected", "tolerance"), rows("threads"))
def test_check_values(name, inputs, expected, tolerance):
    assert FUNCTIONS[name](**inputs) == pytest.approx(expected, rel=tolerance)


@pytest.mark.parametrize("name", ["threads", "pipe_threads", "across_flats", "drills"])
def test_every_row_of_a_table_names_its_source(name):
    for row in tables.read(name):
        assert row["source"]
        assert row["status"] in ("seen", "memory")


@pytest.mark.outside("geometry of the form: depth = H less its truncation, H = p / (2 tan(θ/2))")
@pytest.mark.parametrize(
    ("form", "kept"),
    [("us_standard", 3 / 4), ("sharp_v", 1), ("whitworth", 2 / 3), ("metric", 17 / 24)],
)
def test_depths_follow_from_the_flank_angle(form, kept):
    shape = threads.FORMS[form]
    height = 1 / (2 * math.tan(math.radians(shape.flank_deg / 2)))
    assert shape.minor_outside == pytest.approx(2 * kept * height, rel=2e-6)


@pytest.mark.outside("rule F = 1.5 D + 1/8 in of the US Standard, Machine Shop Work Table III")
def test_rough_nuts_follow_their_rule():
    result = [row for row in bolts.all_flats() if row.standard == "us_rough" and row.item == "nut"]
    assert len(result) == 26
    for row in result:
        assert row.flats_mm == pytest.approx(1.5 * row.major_mm + INCH / 8, abs=0.01)


def test_thread_accepts_common_spellings_of_a_size():
    assert thread("UNC", '1 1/4"') is thread("UNC", "1 1/4 in")
    assert thread("M", "M12").name == "M12 × 1.75"
    assert thread("BA", "BA2").name == "2 BA"
    with pytest.raises(UnknownName, match="Unified coarse has no size '9'"):
        thread("UNC", "9")
    with pytest.raises(UnknownName, match="no thread series called 'XYZ'"):
        thread("XYZ", "1/2")


@pytest.mark.parametrize("size", ["1 1/4", "1-1/4 in", '1 1/4"', " 1  1/4  in "])
def test_thread_accepts_spellings_of_a_size_over_an_inch(size):
    assert thread("BSW", size).size == "1 1/4 in"


@pytest.mark.parametrize("size", ["11/4", "1 2", "114", "", "in"])
def test_ambiguous_size_is_refused(size):
    with pytest.raises(UnknownName, match="no size"):
        thread("BSW", size)


@pytest.mark.parametrize("size", ["M12 x 1.75", "M12×1.75", "M12"])
def test_metric_size_is_found_with_and_without_its_pitch(size):
    assert thread("M", size).size == "M12x1.75"


ISO_HOLES = {
    "M6": 5.0, "M8": 6.8, "M10": 8.5, "M12": 10.2, "M14": 12.0,
    "M16": 14.0, "M18": 15.5, "M20": 17.5, "M22": 19.5, "M24": 21.0, "M27": 24.0, "M30": 26.5,
    "M36": 32.0,
}  # fmt: skip


@pytest.mark.outside(
    "ISO 2306 drills for tapping, from memory; M4 to M10 printed alike at ask.okorder.com"
)
@pytest.mark.parametrize(("size", "drill_mm"), ISO_HOLES.items())
def test_metric_thread_has_the_standard_drill(size, drill_mm):
    hole = tapping.tapping_drill(thread("M", size))
    assert tapping.nearest_drill(hole.value, metric=True)[1] == drill_mm
    assert f"{drill_mm:g} mm" in hole.verdict


def test_percentage_of_thread_names_its_basis():
    full = tapping.tapping_drill(thread("UNC", "1/2"), 75)
    assert "27/64 in" in full.verdict
    assert "on the basic depth the same drill counts 93.8 %" in full.verdict
    with pytest.raises(OutOfRange, match="has one depth of thread"):
        tapping.tapping_drill(thread("BSW", "1/2"), 75, basis="basic")
    with pytest.raises(OutOfRange, match="cannot be less than 40"):
        tapping.tapping_drill(thread("BSW", "1/2"), 10)
    with pytest.raises(OutOfRange, match="taper"):
        tapping.tapping_drill(thread("NPT", "1/2"))
    with pytest.raises(OutOfRange, match="no tap can cut it"):
        tapping.thread_percent(thread("UNC", "1/2"), 5)


@settings(deadline=None, max_examples=60)
@given(st.sampled_from(threads.threads_in()), st.floats(45, 100))
def test_tapping_drill_and_thread_percent_are_inverses(t, percent):
    if t.series == "NPT":
        return
    hole = tapping.tapping_drill(t, percent).value if t.major_mm < 75 else None
    if hole:
        assert tapping.thread_percent(t, hole).value == pytest.approx(percent)
    assert threads.minor_dia_mm(t) < threads.pitch_dia_mm(t) < t.major_mm


@pytest.mark.parametrize("t", threads.threads_in(), ids=lambda t: t.name)
def test_unworn_thread_is_the_first_candidate(t):
    result = identify(t.major_mm, pitch_mm=t.pitch_mm, flank_deg=t.flank_deg)
    best = result.candidates[0].score
    assert t in [c.thread for c in result.candidates if c.score <= best + 1e-9]


@settings(deadline=None, max_examples=60)
@given(
    st.sampled_from([t for t in threads.threads_in() if t.series != "NPT"]),
    st.floats(0, 0.08),
    st.floats(-0.004, 0.004),
    st.floats(-1, 1),
)
def test_worn_thread_is_among_the_open_candidates(t, wear, slip, lean):
    result = identify(
        t.major_mm - wear * t.pitch_mm,
        pitch_mm=t.pitch_mm * (1 + slip),
        flank_deg=t.flank_deg + lean,
    )
    assert t in [c.thread for c in result.still_open]
    scores = [c.score for c in result.candidates]
    assert scores == sorted(scores)


def names(result):
    return {c.thread.name for c in result.still_open}


@pytest.mark.outside(
    "Whitworth 1/2 in has 12 to the inch, US Standard and Unified 13 (BS 84; T. III)"
)
def test_half_inch_threads_differ_by_their_count():
    assert names(identify(0.492 * INCH, tpi=13)) == {"1/2 in UNC, 13 tpi", "1/2 in USS, 13 tpi"}
    assert names(identify(0.492 * INCH, tpi=12)) == {"1/2 in BSW, 12 tpi", "1/2 in V60, 12 tpi"}
    unsure = identify(0.493 * INCH, tpi=12.5, pitch_pm_percent=4)
    assert unsure.next_measures[0].what == "pitch"
    assert "42.33 mm means" in unsure.next_measures[0].sentence


@pytest.mark.outside(
    "1 in has 8 to the inch in UNC, US Standard and Whitworth (Shigley T. 8-2; BS 84)"
)
def test_one_inch_threads_differ_by_angle_and_flats():
    unsure = identify(0.99 * INCH, tpi=8)
    assert {"1 in UNC, 8 tpi", "1 in BSW, 8 tpi"} <= names(unsure)
    assert [n.what for n in unsure.next_measures[:2]] == ["flank angle", "flats"]
    assert "55° means 1 in BSW" in unsure.calculation.verdict
    assert names(identify(0.99 * INCH, tpi=8, flank_deg=55)) == {"1 in BSW, 8 tpi"}
    assert "1 in BSW, 8 tpi" not in names(identify(0.99 * INCH, tpi=8, flank_deg=60))
    assert names(identify(0.99 * INCH, tpi=8, flats_mm=1.67 * INCH)) == {"1 in BSW, 8 tpi"}
    assert "1 in BSW, 8 tpi" not in names(identify(0.99 * INCH, tpi=8, flats_mm=1.625 * INCH))


def test_similar_threads_are_told_apart():
    assert names(identify(0.745 * INCH, tpi=12, flank_deg=55)) == {"3/4 in BSF, 12 tpi"}
    assert names(identify(0.235 * INCH, tpi=25.4, flank_deg=47.5)) == {"0 BA"}
    assert names(identify(2.98 * INCH, tpi=3.5, flank_deg=60)) == {"3 in USS, 3.5 tpi"}
    assert names(identify(20.9, tpi=14)) == {"1/2 in BSP, 14 tpi", "1/2 in NPT, 14 tpi"}


def test_each_misfit_is_described():
    result = identify(0.47 * INCH, tpi=12, flank_deg=56)
    assert result.candidates[0].words == (
        "crest 0.76 mm under, pitch as the table, flank angle 1° over"
    )


def test_no_candidate_when_no_thread_fits():
    result = identify(100, tpi=16)
    assert not result.candidates
    assert result.calculation.refused
    assert "maker's own thread" in result.calculation.verdict


@pytest.mark.parametrize(
    ("inputs", "words"),
    [
        ({"major_mm": 12}, "one of the two"),
        ({"major_mm": 12, "tpi": 12, "pitch_mm": 2}, "one of the two"),
        ({"major_mm": -1, "tpi": 12}, "must be more than 0"),
        ({"major_mm": float("nan"), "tpi": 12}, "finite"),
        ({"major_mm": 12, "tpi": 0}, "count of threads"),
        ({"major_mm": 3, "pitch_mm": 5}, "no fastening thread"),
        ({"major_mm": 12, "tpi": 12, "flats_mm": 8}, "across the flats"),
    ],
)
def test_invalid_measurements_are_refused(inputs, words):
    with pytest.raises(OutOfRange, match=words):
        identify(**inputs)


def test_flats_alone_give_two_candidates():
    result = {(row.standard, row.size) for row in worn_threads.spanner(0.82 * INCH, within_mm=0.1)}
    assert {("bs1083", "1/2 in"), ("bs190", "7/16 in")} <= result


@settings(deadline=None, max_examples=40)
@given(st.floats(10, 2000), st.floats(0, 1), st.integers(0, 3))
def test_mass_of_a_bolt_is_the_sum_of_its_parts(length, threaded, nuts):
    t = thread("UNC", "1")
    head, nut = (bolts.flats("b18_hex", item, t.major_mm) for item in ("head", "nut"))
    whole = bolts.bolt_mass(t, length, head=head, nut=nut, nuts=nuts, threaded_mm=threaded * length)
    stud = bolts.stud_mass(t, length, threaded_mm=threaded * length)
    bare = bolts.bolt_mass(t, length, head=head, nut=None, threaded_mm=threaded * length)
    one = bolts.stud_mass(t, length, nut=nut, threaded_mm=threaded * length)
    parts = bare.value + nuts * (one.value - stud.value)
    assert whole.value == pytest.approx(parts)
    assert bolts.stud_mass(t, length).value >= stud.value


def test_own_density_overrides_the_table():
    t = thread("UNC", "1/2")
    brass = bolts.stud_mass(t, 100, material="brass")
    own = bolts.stud_mass(t, 100, material="brass", density_kg_m3=8500)
    assert brass.inputs[-1].origin == "table"
    assert own.value / brass.value == pytest.approx(8500 / brass.inputs[-1].value)
    with pytest.raises(UnknownName):
        bolts.stud_mass(t, 100, material="not_known")
    with pytest.raises(OutOfRange, match="threaded length"):
        bolts.stud_mass(t, 100, threaded_mm=120)


def test_blank_includes_facing_of_both_ends():
    t = thread("UNC", "1")
    head = bolts.flats("b18_hex", "head", t.major_mm)
    blank = bolts.blank_for_bolt(t, 150, head)
    assert blank.value == pytest.approx(150 + head.thickness_mm + 3)
    assert "hexagon bar 38.1 mm" in blank.verdict
    assert bolts.blank_for_bolt(t, 150).value == 153
