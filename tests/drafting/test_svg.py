"""The drawing helpers: dashes that close, linings that differ, text that is escaped."""

import re
import xml.etree.ElementTree as ET
from decimal import Decimal
from math import pi

import pytest

from parts.drafting import balloons, charts, lettering, lines, lining, marks, pen, scales

SVG = "{http://www.w3.org/2000/svg}"
COUNTS = {"in_place": 61, "found": 68, "being_made": 9, "to_be_made": 31, "missing": 37}
LINE = [(0, 0), (1, 20), (2, 45)]


def drawings():
    for state in lines.STATES:
        yield f"line {state}", lines.line_sample(state)
        yield f"chip {state}", scales.state_chip(state)
        for number in (3, 10, 124, 1031):
            yield f"balloon {state} {number}", balloons.balloon(number, state)
    for material in lining.MATERIALS:
        yield f"swatch {material}", lining.swatch(material)
    for name in marks.ICONS:
        yield f"icon {name}", marks.icon(name)
    yield "mark", marks.mark()
    yield "picked", balloons.balloon(10, "missing", 13, True, "10 Crosshead, missing")
    yield "state bar", scales.state_bar(COUNTS)
    yield "no state bar", scales.state_bar({})
    yield "cost bar", scales.cost_bar(18460, 12740, 41300, 46700, 55900)
    yield "no cost", scales.cost_bar(0, 0, None, None, None)
    yield "range", scales.range_line(600, 1180, 1900, 2000)
    yield "range head", scales.range_head(2000)
    yield "worth", scales.worth_bar(44, 18, 50)
    marks_at = [(0, "Jan 2025"), (2, "Jan 2026")]
    for width in (620, 358):
        yield (
            f"curve {width}",
            charts.s_curve(LINE, LINE, LINE, LINE, LINE, marks=marks_at, width=width),
        )
        yield f"curve of nothing {width}", charts.s_curve([], [], marks=marks_at, width=width)
    yield "bars", charts.bars([("Castings", 9720), ("Carriage", 0)])
    yield "no bars", charts.bars([])
    yield "reach", charts.reach_curve(LINE, LINE[1], (1, "costs more than it is worth"))


DRAWINGS = dict(drawings())


@pytest.mark.parametrize("name", DRAWINGS)
def test_drawing_is_well_formed_and_has_no_style(name):
    root = ET.fromstring(DRAWINGS[name])  # noqa: S314  our own text
    assert root.tag == f"{SVG}svg"
    for element in root.iter():
        assert "style" not in element.attrib
        assert element.tag != f"{SVG}style"


@pytest.mark.parametrize("name", DRAWINGS)
def test_drawing_has_a_title_or_is_hidden(name):
    root = ET.fromstring(DRAWINGS[name])  # noqa: S314
    if root.get("role") == "img":
        assert root.find(f"{SVG}title").text == root.get("aria-label") != ""
    else:
        assert root.get("aria-hidden") == "true"


@pytest.mark.parametrize("name", DRAWINGS)
def test_every_colour_is_literal_and_has_its_class(name):
    keys = {colour: key for key, colour in pen.COLOURS.items() if key != "on-blue"}
    root = ET.fromstring(DRAWINGS[name])  # noqa: S314
    for element in root.iter():
        for what, letter in (("stroke", "k"), ("fill", "f")):
            value = element.get(what)
            if value in (None, "none"):
                continue
            assert value in keys
            classes = element.get("class", "").split()
            assert any(c.startswith(f"{letter}-") for c in classes)


@pytest.mark.parametrize("state", [s for s, kind in lines.STATES.items() if kind.dashes])
@pytest.mark.parametrize("radius", [11, 13, 13.4, 16.8, 23])
def test_ring_dashes_close_the_circle(state, radius):
    stretched = lines.ring_dashes(radius, lines.STATES[state].dashes)
    repeats = 2 * pi * radius / sum(stretched)
    assert repeats == pytest.approx(round(repeats), abs=1e-9)
    assert sum(stretched) == pytest.approx(sum(lines.STATES[state].dashes), rel=0.25)


def test_balloon_dashes_close_the_circle():
    svg = balloons.balloon(10, "missing", 13)
    circle = ET.fromstring(svg).find(f".//{SVG}circle")  # noqa: S314
    dashes = [float(d) for d in circle.get("stroke-dasharray").split()]
    around = 2 * pi * float(circle.get("r"))
    assert around / sum(dashes) == pytest.approx(round(around / sum(dashes)), abs=0.02)


def test_states_differ_without_colour():
    looks = {
        (kind.width, kind.dashes, kind.rings, kind.wash != "sheet")
        for kind in lines.STATES.values()
    }
    assert len(looks) == len(lines.STATES) == 7


def test_every_material_of_the_record_has_a_lining():
    from parts.record.models import Material

    assert set(Material.values) == set(lining.MATERIALS)


def test_linings_differ_but_for_brass_and_bronze():
    svg = {}
    for material in lining.MATERIALS:
        svg.setdefault(str(lining.swatch(material)), []).append(material)
    assert [m for m in svg.values() if len(m) > 1] == [["brass", "bronze"]]


def test_lining_stays_inside_its_outline():
    for (x1, y1), (x2, y2) in lining.parallels(lining.rectangle(2, 3, 30, 18), 5):
        for x, y in ((x1, y1), (x2, y2)):
            assert 2 - 1e-9 <= x <= 32 + 1e-9
            assert 3 - 1e-9 <= y <= 21 + 1e-9
        # At 45 degrees, rising to the right: on a screen y runs down.
        assert x2 - x1 == pytest.approx(-(y2 - y1))


def test_lining_leaves_out_a_hollow():
    hollow = [(0, 0), (30, 0), (30, 30), (20, 30), (20, 10), (10, 10), (10, 30), (0, 30)]
    for (x1, y), (x2, _) in lining.parallels(hollow, 4, 0.0, 1):
        assert y < 10 or x2 <= 10 + 1e-9 or x1 >= 20 - 1e-9


def test_text_is_escaped():
    nasty = '</text><script>alert("1")</script>'
    for svg in (
        balloons.balloon(1, "found", title=nasty),
        charts.bars([(nasty, 3)]),
        lettering.set_measure(nasty),
        lettering.set_measure(nasty + " 7/16 in"),
        charts.s_curve(LINE, LINE, marks=[(0, nasty)], planned_word=nasty, head=nasty),
    ):
        assert "<script" not in svg
    assert 'x="&quot; onload=&quot;1"' in pen.el("g", x='" onload="1')


@pytest.mark.parametrize("number", [1, 10, 124, 1031])
@pytest.mark.parametrize("state", lines.STATES)
def test_number_fits_its_balloon_and_is_legible(number, state):
    root = ET.fromstring(balloons.balloon(number, state))  # noqa: S314
    radius = min(float(c.get("r")) for c in root.iter(f"{SVG}circle"))
    size = float(root.find(f".//{SVG}text").get("font-size"))
    assert size >= 9.5
    half = (0.6 * size * len(str(number)) / 2, 0.7 * size / 2)
    assert half[0] ** 2 + half[1] ** 2 <= radius**2


def test_nice_step_is_one_two_or_five():
    for span in (0.3, 1, 7, 42, 212, 999, 55900, 1.3e6):
        step = scales.nice_step(span)
        assert f"{step:e}"[0] in "125"
        assert span / step <= 6 + 1e-9
        assert scales.nice_top(span) >= span


def test_state_bar_is_to_scale():
    root = ET.fromstring(scales.state_bar({"found": 30, "missing": 10}, 402))  # noqa: S314
    bars = [r for r in root.iter(f"{SVG}rect") if r.get("height") == "16"]
    assert [float(b.get("width")) for b in bars] == [300, 100]


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("4 7/8 in", "4 and 7 eighths in"),
        ("4-7/8 in", "4 and 7 eighths in"),
        ("⅞ in", "7 eighths in"),
        ("4⅞ in", "4 and 7 eighths in"),
        ("1 1/2 in", "1 and 1 half in"),
        ("5 7/16 × 3/4 in", "5 and 7 sixteenths × 3 quarters in"),
        ("36.5 mm", "36.5 mm"),
        ("1 in 100", "1 in 100"),
    ],
)
def test_spoken_measure(written, said):
    assert lettering.spoken(written) == said


def test_measure_has_raised_and_lowered_figures():
    svg = lettering.set_measure("4 7/8 in")
    assert '<span class="over">7</span>⁄<span class="under">8</span>' in svg
    assert "½" in lettering.set_measure("1 1/2 in")
    assert re.sub(r"<[^>]+>", "", lettering.set_measure("24/11/2026")) == "24/11/2026"


@pytest.mark.parametrize(
    ("amount", "currency", "shown"),
    [
        (Decimal("1180.00"), "GBP", "£1,180"),
        (Decimal("12.5"), "EUR", "€12.50"),
        (Decimal("-3"), "USD", "−$3"),
        (Decimal("1234567"), "SEK", "1,234,567 SEK"),
        (None, "GBP", "–"),
    ],
)
def test_money_is_written_with_its_currency(amount, currency, shown):
    assert lettering.money(amount, currency) == shown
