"""The general arrangement: the geometry of the engines, the balloons, the sheet as SVG."""

from __future__ import annotations

import re
import time
from math import hypot, isclose
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from parts.drafting.lines import STATES
from parts.elevation import (
    KINDS,
    NO_ROOM,
    NOT_SEEN,
    Mark,
    arrange,
    numbers_drawn,
    proportions,
    view_of,
    zone_of,
)
from parts.elevation import shapes as sh
from parts.elevation.beam.linkage import linkage
from parts.elevation.proportions import MM, PRACTICE, feet
from parts.engineering.starters import starter

STATE_KEYS = tuple(STATES)
TWELVE_BY_EIGHTEEN = {"bore": 304.8, "stroke": 457.2, "flywheel": 2133.6, "rod": 1143.0}
EIGHTEEN_BY_FORTY_TWO = {"bore": 457.2, "stroke": 1066.8, "flywheel": 3657.6, "wheels": 2}


def part_marks(kind: str, count: int, state: str = "found") -> list[Mark]:
    _, drawn = numbers_drawn(kind)
    wanted = [p for p in starter(kind).parts if p.number in drawn]
    step = max(1.0, len(wanted) / count)
    chosen = [wanted[int(i * step)] for i in range(min(count, len(wanted)))]
    return [
        Mark(p.number, p.name, p.number // 100, p.number, state, f"/p/{p.number}") for p in chosen
    ]


def component_marks(kind: str, state: str = "found") -> list[Mark]:
    drawn, _ = numbers_drawn(kind)
    return [
        Mark(c.number, c.name, c.number, None, state, f"/c/{c.number}")
        for c in starter(kind).components
        if c.number in drawn
    ]


def piece(view, key: str):
    return next(p for p in view.pieces if p.key == key)


def size(shape) -> tuple[float, float]:
    left, foot, right, top = sh.extent([shape])
    return right - left, top - foot


# Geometry


@pytest.mark.parametrize("kind", KINDS)
@given(angle=st.floats(0, 359.9))
@settings(max_examples=60, deadline=None)
def test_the_crank_pin_is_on_its_circle_and_the_rod_keeps_its_length(kind, angle):
    p, _ = proportions(kind, crank_angle=angle)
    pin = p.crank_pin()
    assert isclose(hypot(*pin), p.stroke / 2, rel_tol=1e-6)
    if kind == "beam":
        q = p.in_bores()
        k = linkage(q)
        ends = [k.crank_end, q.crank_pin()]
        assert isclose(hypot(ends[0][0] - ends[1][0], ends[0][1] - ends[1][1]), q.rod, rel_tol=1e-6)
        # The main link of the parallel motion keeps its length too.
        assert isclose(
            hypot(k.steam_end[0] - k.cap[0], k.steam_end[1] - k.cap[1]), k.link, rel_tol=0.01
        )
        return
    cross = p.upright_crosshead() if kind == "vertical" else p.level_crosshead()
    assert isclose(hypot(cross[0] - pin[0], cross[1] - pin[1]), p.rod, rel_tol=1e-6)


@pytest.mark.outside("mechanics textbooks, from memory: a slider-crank travels twice its throw")
@pytest.mark.parametrize("kind", ["horizontal_slide_valve", "portable", "oil_engine"])
def test_the_crosshead_travels_the_stroke_between_dead_centres(kind):
    far = proportions(kind, crank_angle=180)[0].level_crosshead()[0]
    near = proportions(kind, crank_angle=0)[0]
    assert isclose(near.level_crosshead()[0] - far, near.stroke, rel_tol=1e-9)


def test_the_drawn_rod_runs_from_gudgeon_to_crank_pin():
    p, _ = proportions("horizontal_slide_valve", TWELVE_BY_EIGHTEEN, crank_angle=120)
    view = view_of(p)
    for key, centre in (("gudgeon", p.level_crosshead()), ("crank_pin", p.crank_pin())):
        left, foot, right, top = sh.extent(piece(view, key).outline)
        assert isclose((left + right) / 2, centre[0], abs_tol=1e-6)
        assert isclose((foot + top) / 2, centre[1], abs_tol=1e-6)


@pytest.mark.parametrize("kind", KINDS)
def test_the_wheel_is_drawn_to_its_diameter_and_the_bore_sets_the_scale(kind):
    sizes = {"flywheel": proportions(kind)[0].flywheel * 1.1 * MM}
    p, said = proportions(kind, sizes)
    assert not said
    rim = piece(view_of(p), "wheel_rim").outline[0]
    assert isclose(size(rim)[0], p.flywheel, rel_tol=1e-6)
    assert isclose(p.flywheel, sizes["flywheel"] / MM, rel_tol=1e-4)


def test_a_small_engine_and_a_large_pair_look_like_themselves():
    small, _ = proportions("horizontal_slide_valve", TWELVE_BY_EIGHTEEN)
    large, _ = proportions("horizontal_slide_valve", EIGHTEEN_BY_FORTY_TWO)
    assert (small.bore, small.stroke, small.flywheel, small.wheels) == (12, 18, 84, 1)
    assert (large.bore, large.stroke, large.flywheel, large.wheels) == (18, 42, 144, 2)
    keys = {p.key for p in view_of(large).pieces}
    assert "far_wheel" in keys
    assert "far_wheel" not in {p.key for p in view_of(small).pieces}
    assert large.arms > small.arms
    small_bed, large_bed = (size(piece(view_of(p), "bed").outline[0])[0] for p in (small, large))
    assert large_bed > 1.7 * small_bed


def test_two_sizes_of_one_shape_differ_only_in_scale():
    one = view_of(proportions("vertical", {"bore": 200, "stroke": 230, "flywheel": 1100})[0])
    two = view_of(proportions("vertical", {"bore": 400, "stroke": 460, "flywheel": 2200})[0])
    assert all(isclose(2 * a, b, rel_tol=2e-3) for a, b in zip(one.box, two.box, strict=True))


@pytest.mark.parametrize("kind", KINDS)
@given(
    angle=st.integers(0, 359),
    bore=st.floats(60, 1200),
    stroke=st.floats(0.5, 2.5),
    wheel=st.floats(2.5, 9),
    rod=st.floats(1.3, 4),
    arms=st.integers(3, 12),
    wheels=st.integers(1, 2),
)
@settings(max_examples=25, deadline=None)
def test_every_possible_engine_is_drawn_within_its_extent(
    kind, angle, bore, stroke, wheel, rod, arms, wheels
):
    sizes = {
        "bore": bore,
        "stroke": stroke * bore,
        "flywheel": wheel * bore * stroke,
        "rod": rod * stroke * bore,
        "arms": arms,
        "wheels": wheels,
    }
    p, _ = proportions(kind, sizes, crank_angle=angle)
    view = view_of(p)
    left, foot, right, top = view.box
    for drawn in view.pieces:
        if drawn.outline and not drawn.pale:
            a, b, c, d = sh.extent(drawn.outline)
            assert left - 1e-6 <= a <= c <= right + 1e-6, drawn.key
            assert foot - 1e-6 <= b <= d <= top + 1e-6, drawn.key


# What is drawn


@pytest.mark.parametrize("kind", KINDS)
def test_each_component_of_the_starter_list_has_a_piece_that_can_be_pointed_at(kind):
    components, parts = numbers_drawn(kind)
    listed = starter(kind)
    hidden = {c.name for c in listed.components if c.number not in components}
    assert not hidden
    assert parts <= {p.number for p in listed.parts}
    assert len(parts) >= 60


@pytest.mark.parametrize("kind", KINDS)
def test_pieces_are_tied_to_the_component_of_their_part(kind):
    for drawn in view_of(proportions(kind)[0]).pieces:
        if drawn.part is not None and drawn.component:
            assert drawn.part // 100 == drawn.component, drawn.key


@pytest.mark.parametrize("kind", KINDS)
def test_keys_of_pieces_are_their_own(kind):
    keys = [p.key for p in view_of(proportions(kind)[0]).pieces]
    assert len(keys) == len(set(keys))


# Bad input


@pytest.mark.parametrize(
    ("sizes", "word"),
    [
        ({"bore": 300, "stroke": 5000}, "stroke"),
        ({"bore": 300, "stroke": 450, "flywheel": 400}, "flywheel diameter"),
        ({"bore": -3}, "bore"),
        ({"bore": float("nan")}, "bore"),
        ({"bore": 300, "stroke": 450, "rod": 200}, "connecting rod"),
        ({"bore": 300, "stroke": 450, "piston_rod": 290}, "piston rod"),
        ({"arms": 1}, "number of arms"),
        ({"wheels": 5}, "number of wheels"),
        ({"flywheel_face": 90000}, "flywheel face"),
    ],
)
@pytest.mark.parametrize("kind", KINDS)
def test_a_size_that_cannot_be_is_drawn_as_usual_with_one_sentence(kind, sizes, word):
    drawn = arrange(kind, sizes, component_marks(kind))
    assert len(drawn.sentences) == 1
    assert word in drawn.sentences[0]
    assert "drawn as" in drawn.sentences[0]
    bad = next(key for key in reversed(sizes))
    assert f"of {sizes[bad]}" not in drawn.svg
    assert not re.search(r'="[^"]*\b(nan|inf)\b', drawn.svg)


def test_a_size_drawn_as_usual_gets_no_dimension():
    known = arrange("horizontal_slide_valve", TWELVE_BY_EIGHTEEN, [])
    unknown = arrange("horizontal_slide_valve", {}, [])
    wrong = arrange("horizontal_slide_valve", {"bore": 300, "stroke": 450, "flywheel": 100}, [])
    assert "7 ft 0 in dia." in known.svg
    assert "Bore 12 in" in known.svg
    assert " dia." not in unknown.svg
    assert " dia." not in wrong.svg


def test_dimensions_are_those_of_the_record():
    drawn = arrange(
        "horizontal_slide_valve",
        TWELVE_BY_EIGHTEEN,
        [],
        written={"bore": "12 1/16 in"},
        metric=True,
    )
    assert "Bore 12 1/16 in" in drawn.svg
    assert "2134 mm dia." in drawn.svg
    pair = arrange("horizontal_slide_valve", EIGHTEEN_BY_FORTY_TWO, [])
    assert "12 ft 0 in dia., a pair" in pair.svg


def test_a_kind_that_is_not_known_is_refused():
    with pytest.raises(KeyError):
        arrange("donkey", {}, [])
    with pytest.raises(KeyError):
        arrange("beam", {}, [Mark(1, "Bed", 1, None, "polished", "/x")])


@pytest.mark.parametrize("inches", [3.0, 17.875, 36.0, 84.5, 144.0])
def test_feet_reads_back_as_what_it_was(inches):
    text = feet(inches)
    whole = re.fullmatch(r"(?:(\d+) ft )?(\d+)?(?: ?(\d+)/(\d+))? in", text)
    ft, inch, top, foot = (int(v or 0) for v in whole.groups())
    assert isclose(12 * ft + inch + (top / foot if foot else 0), inches)


# The sheet


def read(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)  # noqa: S314  our own text


NS = "{http://www.w3.org/2000/svg}"


@pytest.mark.parametrize("kind", KINDS)
def test_each_balloon_is_a_link_named_by_number_name_and_state_in_number_order(kind):
    marks = component_marks(kind, "missing")
    drawn = arrange(kind, {}, list(reversed(marks)))
    links = read(drawn.svg).findall(f".//{NS}a")
    assert [link.get("aria-label") for link in links] == [
        f"{m.number} {m.name}, Missing" for m in marks
    ]
    assert [link.get("href") for link in links] == [m.href for m in marks]
    assert [entry.mark.number for entry in drawn.listed] == [m.number for m in marks]


def test_names_and_addresses_are_escaped():
    mark = Mark(2, 'Cylinder <b>"&', 2, None, "found", '/x?a="1"&b', note="1 of 2")
    drawn = arrange("vertical", {}, [Mark(1, "Sole plate", 1, None, "found", "/y"), mark])
    link = read(drawn.svg).findall(f".//{NS}a")[1]
    assert link.get("aria-label") == '2 Cylinder <b>"&, Found, 1 of 2'
    assert link.get("href") == '/x?a="1"&b'


def outline_of(svg: str, key: str) -> ElementTree.Element:
    return next(g for g in read(svg).iter(f"{NS}g") if g.get("data-piece") == key)


@pytest.mark.parametrize("state", STATE_KEYS)
def test_a_piece_takes_the_line_of_its_state_and_its_details_stay_thin_and_whole(state):
    marks = [Mark(15, "Flywheel", 15, None, state, "/c/15")]
    rim = outline_of(arrange("horizontal_slide_valve", {}, marks).svg, "wheel_rim")
    kind = STATES[state]
    assert f"k-{kind.colour}" in rim.get("class")
    assert float(rim.get("stroke-width")) == kind.width
    wanted = " ".join(f"{d:g}" for d in kind.dashes) or None
    assert rim.get("stroke-dasharray") == wanted
    assert f"f-{kind.wash}" in rim.get("class")
    detail = [p for p in rim if p.get("stroke-dasharray") == "none"]
    assert detail
    assert all(float(p.get("stroke-width")) <= 0.8 for p in detail)


def test_the_part_outranks_its_component_and_the_record_outranks_both():
    component = Mark(10, "Crosshead", 10, None, "found", "/c/10")
    part = Mark(1006, "Gudgeon pin", 10, 1006, "missing", "/p/1006")
    drawn = arrange(
        "horizontal_slide_valve", {}, [component, part], states={1002: "being_made"}
    ).svg
    for key, state in (
        ("crosshead", "found"),
        ("gudgeon", "missing"),
        ("slipper_top", "being_made"),
        ("rod", "untied"),
    ):
        assert f"s-{state}" in outline_of(drawn, key).get("class")


def test_masonry_and_ground_are_pale_unless_something_is_wrong_with_them():
    for state, colour in (("in_place", "k-rule"), ("found", "k-rule"), ("missing", "k-red")):
        marks = [Mark(16, "Foundation", 16, None, state, "/c/16")]
        drawn = arrange("horizontal_slide_valve", {}, marks).svg
        assert colour in outline_of(drawn, "masonry_brick").get("class")


def test_the_picked_balloon_is_blue_and_its_pieces_are_washed():
    drawn = arrange("beam", {}, component_marks("beam"), picked=2)
    assert "f-blue-wash" in outline_of(drawn.svg, "beam").get("class")
    assert "f-blue-wash" not in outline_of(drawn.svg, "piston_rod").get("class")
    chosen = [a for a in read(drawn.svg).iter(f"{NS}a") if a.get("aria-current")]
    assert [a.get("data-number") for a in chosen] == ["2"]


def test_a_mark_that_is_not_seen_or_has_no_room_stands_in_the_list_with_why():
    marks = [
        *part_marks("horizontal_slide_valve", 200),
        Mark(9001, "Piston", 8, 803, "found", "/p/9001"),
    ]
    drawn = arrange("horizontal_slide_valve", {}, marks)
    whys = {left.mark.number: left.why for left in drawn.left_over}
    assert whys[9001] == NOT_SEEN
    assert NO_ROOM in whys.values()
    assert len(drawn.listed) == len(marks)
    for entry in drawn.listed:
        assert entry.ballooned == (entry.mark.number not in whys)
        assert bool(entry.zone) == (whys.get(entry.mark.number) != NOT_SEEN)


def test_zones_run_along_by_number_and_down_by_letter():
    assert zone_of(0, 0, 888, 500) == "A1"
    assert zone_of(887.9, 499.9, 888, 500) == "E8"
    assert zone_of(888, 500, 888, 500) == "E8"
    assert zone_of(400, 251, 888, 500) == "C4"


def test_no_colour_or_line_hangs_on_a_style_sheet_and_nothing_has_a_style():
    drawn = arrange("portable", {}, component_marks("portable"), picked=6).svg
    assert "style=" not in drawn
    assert "<script" not in drawn
    for node in read(drawn).iter():
        for key in ("fill", "stroke"):
            assert node.get(key, "none") == "none" or node.get(key).startswith("#")


def test_a_change_of_state_moves_no_balloon():
    def places(state):
        svg = arrange("beam", {}, part_marks("beam", 40, state)).svg
        return re.findall(
            r'<a [^>]*data-number="(\d+)".*?<circle[^>]* cx="([\d.]+)" cy="([\d.]+)"', svg
        )

    assert places("found") == places("missing") == places("fitted")


@pytest.mark.parametrize("kind", KINDS)
def test_sixty_balloons_are_light_and_quick(kind):
    marks = part_marks(kind, 60)
    assert len(marks) == 60
    arrange(kind, TWELVE_BY_EIGHTEEN, marks)
    spent = []
    for _ in range(7):
        began = time.process_time()
        drawn = arrange(kind, TWELVE_BY_EIGHTEEN, marks)
        spent.append(time.process_time() - began)
    assert len(drawn.svg) < 150_000
    assert min(spent) < 0.03
    assert not drawn.left_over


def test_practice_names_every_kind_that_has_a_starter_list():
    from parts.engineering.starters import KINDS as LISTED

    assert set(PRACTICE) == set(LISTED)


# ---- What a leader ends on, and what would not fit ----


def covers(piece, x: float, y: float) -> bool:
    """Whether any outline of a piece covers a place: the even-odd rule, shape by shape."""
    for shape in piece.outline:
        crossings = 0
        for run in sh.corners(shape):
            for (x1, y1), (x2, y2) in zip(run, [*run[1:], run[0]], strict=True):
                if (y1 > y) != (y2 > y) and x < x1 + (y - y1) / (y2 - y1) * (x2 - x1):
                    crossings += 1
        if crossings % 2:
            return True
    return False


@pytest.mark.parametrize(
    "sizes", [TWELVE_BY_EIGHTEEN, EIGHTEEN_BY_FORTY_TWO], ids=["12x18", "18x42"]
)
@pytest.mark.parametrize("kind", KINDS)
def test_a_leader_of_a_component_ends_where_the_component_is_seen(kind, sizes):
    view = view_of(proportions(kind, sizes)[0])
    hidden = {("oil_engine", 5)}  # the piston, inside its cylinder
    for (what, number), (_, (x, y)) in view.places.items():
        if what != "component" or (kind, number) in hidden:
            continue
        nearest = [p for p in view.pieces if not p.pale and covers(p, x, y)][-1:]
        assert [p.component for p in nearest] in ([number], []), (number, nearest)


@pytest.mark.parametrize(
    ("kind", "pulley", "belt"),
    [
        ("horizontal_slide_valve", 711, 721),
        ("horizontal_four_valve", 1009, 1016),
        ("vertical", 807, 819),
        ("portable", 1506, 1512),
    ],
)
def test_a_belt_runs_from_the_shaft_to_the_governor(kind, pulley, belt):
    view = view_of(proportions(kind, TWELVE_BY_EIGHTEEN)[0])
    (wheel,) = (p for p in view.pieces if p.part == pulley and p.key == "governor_pulley")
    (runs,) = (p for p in view.pieces if p.part == belt)
    left, foot, right, top = sh.extent(wheel.outline)
    radius, x, y = (right - left) / 2, (left + right) / 2, (foot + top) / 2
    ends = [corner for shape in runs.outline for run in sh.corners(shape) for corner in run]
    on_pulley = [e for e in ends if isclose(hypot(e[0] - x, e[1] - y), radius, rel_tol=0.15)]
    on_shaft = [e for e in ends if hypot(*e) < 0.5 * hypot(x, y)]
    assert len(on_pulley) >= 2
    assert len(on_shaft) >= 2


@pytest.mark.parametrize(
    "kind", ["horizontal_slide_valve", "horizontal_four_valve", "vertical", "beam"]
)
def test_foundation_bolts_reach_deep_and_are_drawn_broken(kind):
    view = view_of(proportions(kind, TWELVE_BY_EIGHTEEN)[0])
    bolts, washers = piece(view, "foundation_bolt"), piece(view, "foundation_washer")
    _, foot, _, _ = sh.extent(bolts.outline)
    _, flange, _, _ = sh.extent(washers.outline)
    assert flange - foot > 15  # inches on an engine of 12 in bore, and broken besides
    gap = [y / 10 for y in range(int(10 * foot), int(10 * flange))]
    middle = bolts.anchor[0]
    assert any(not covers(bolts, middle, y) for y in gap[5:-5])


def test_an_engine_cooled_by_a_tank_has_no_hopper():
    view = view_of(proportions("oil_engine", TWELVE_BY_EIGHTEEN)[0])
    assert piece(view, "cooling_tank")
    _, _, _, top = sh.extent(piece(view, "jacket").outline)
    assert top < 1.2 * 12


def dimension_boxes(drawn) -> list[tuple[float, float, float, float]]:
    """The places that the texts of dimensions take up."""
    boxes = []
    for group in read(drawn.svg).iter():
        if group.get("class") != "dimension":
            continue
        for text in (node for node in group if node.tag.endswith("text")):
            half, x, y = (
                len(text.text) * 12.5 * 0.53 / 2,
                float(text.get("x")),
                float(text.get("y")),
            )
            upright = text.get("transform")
            boxes.append(
                (x - 11, y - half, x + 3, y + half)
                if upright
                else (x - half, y - 11, x + half, y + 3)
            )
    return boxes


@settings(deadline=None, max_examples=60)
@given(
    st.sampled_from(KINDS),
    st.floats(100, 600),
    st.floats(150, 1500),
    st.floats(600, 5000),
    st.sampled_from([420.0, 888.0]),
)
def test_every_dimension_stays_on_the_sheet(kind, bore, stroke, flywheel, width):
    sizes = {"bore": bore, "stroke": stroke, "flywheel": flywheel}
    drawn = arrange(kind, sizes, component_marks(kind), width=width)
    for left, top, right, foot in dimension_boxes(drawn):
        assert 12 <= left < right <= drawn.width - 12
        assert 12 <= top < foot <= drawn.height - 12
