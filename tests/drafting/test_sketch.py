"""The sketch of a part: to scale, with its sizes as written, without overlaps."""

import re
from xml.etree import ElementTree

import pytest

from parts.drafting.pattern_bar import pattern_bar
from parts.drafting.sketch import Piece, _View, part_sketch

SHAFT = [
    Piece("bar", {"diameter": 60, "length": 50}, {"diameter": "60 mm", "length": "50 mm"}),
    Piece(
        "bar",
        {"diameter": 40, "length": 150},
        {"diameter": "1 37/64 in", "length": "150 mm"},
        at=(0, 0, 50),
    ),
]


def texts(svg) -> list[str]:
    tree = ElementTree.fromstring(str(svg))  # noqa: S314 our own drawing
    return [el.text for el in tree.iter() if el.tag.endswith("text")]


def test_sizes_are_shown_as_written():
    labels = texts(part_sketch(SHAFT, "steel"))
    assert sorted(labels) == ["150 mm", "50 mm", "Ø 1 37/64 in", "Ø 60 mm"]


def test_sketch_is_to_scale():
    view = _View(SHAFT, 342, 12.5)
    first, second = (view.outlines(piece)[0] for piece in SHAFT)

    def span(outline, axis):
        values = [point[axis] for point in outline]
        return max(values) - min(values)

    assert span(first, 0) / span(second, 0) == pytest.approx(50 / 150)
    assert span(first, 1) / span(second, 1) == pytest.approx(60 / 40)
    assert span(first, 0) / span(first, 1) == pytest.approx(50 / 60)


def test_sketch_with_many_sizes_stays_inside_its_width():
    many = [
        Piece(
            "bar",
            {"diameter": 10 + n, "length": 10},
            {"diameter": f"{10 + n} mm", "length": "10 mm"},
            at=(0, 0, 10.0 * n),
        )
        for n in range(12)
    ]
    for width in (180, 342, 560):
        svg = part_sketch(many, "cast_iron", width=width)
        xs = [float(x) for x in re.findall(r"[ML](-?[\d.]+) -?[\d.]+", str(svg))]
        assert min(xs) >= 0
        assert max(xs) <= width + 8  # the centre line reaches past the part


def test_overlapping_dimensions_are_in_separate_rows():
    holes = [
        Piece("bar", {"diameter": 3, "length": 10}, {"diameter": "13/16 in"}, True, (0, y, 0), "z")
        for y in (0, 8)
    ]
    plate = Piece("plate", {"width": 60, "thickness": 60, "length": 20}, {})
    view = _View([plate, *holes], 342, 12.5)
    assert [len(row) for row in view.right] == [1, 1]


HOLE = ("bar", {"diameter": 6, "length": 10}, {"diameter": "6 mm"}, True)


@pytest.mark.parametrize(
    ("set_out", "spacing", "said"),
    [("circle", 40, "6 × Ø 6 mm on a circle of Ø 40 mm"), ("z", 12, "6 × Ø 6 mm, 12 mm apart")],
)
def test_holes_that_are_set_out_are_drawn_and_noted(set_out, spacing, said):
    plate = Piece("plate", {"width": 60, "thickness": 10, "length": 90}, {})
    holes = Piece(*HOLE, (0, -5, 45), "y", 6, set_out, spacing, f"{spacing} mm")
    view = _View([plate, holes], 342, 12.5)
    assert said in view.notes
    middles = []
    for one in holes.copies(view.v):
        assert view.is_cut(one)
        (outline,) = view.outlines(one)
        xs, ys = zip(*outline, strict=True)
        middles.append(((max(xs) + min(xs)) / 2, (max(ys) + min(ys)) / 2))
        assert (max(xs) - min(xs)) / view.scale == pytest.approx(6)
    assert len({(round(x, 3), round(y, 3)) for x, y in middles}) == 6
    apart = ((middles[0][0] - middles[1][0]) ** 2 + (middles[0][1] - middles[1][1]) ** 2) ** 0.5
    # Six on a circle stand one radius apart.
    assert apart / view.scale == pytest.approx(20 if set_out == "circle" else 12)
    bare = str(part_sketch([plate], "cast_iron")).count("<path")
    assert str(part_sketch([plate, holes], "cast_iron")).count("<path") == bare + 6


def test_bolt_holes_of_a_flange_are_drawn_and_noted():
    sizes = {"diameter": 90, "thickness": 10, "bore": 20, "holes": 4, "hole": 5, "bolt_circle": 70}
    flange = Piece("flange", sizes, {key: f"{v} mm" for key, v in sizes.items()})
    view = _View([flange], 342, 12.5)
    # In the cut stand the bore and the two holes that it goes through.
    tall = sorted(
        round((max(y for _, y in o) - min(y for _, y in o)) / view.scale, 6)
        for o in view.holes(flange)
    )
    assert tall == [5, 5, 20]
    assert "4 × Ø 5 mm on a circle of Ø 70 mm" in view.notes


def test_two_rows_of_the_same_holes_are_one_note():
    plate = Piece("plate", {"width": 60, "thickness": 10, "length": 90}, {})
    rows = [Piece(*HOLE, (x, -5, 45), "y", 5, "z", 12, "12 mm") for x in (-20, 20)]
    assert "10 × Ø 6 mm, 12 mm apart" in _View([plate, *rows], 342, 12.5).notes


@pytest.mark.parametrize("along", ["x", "y", "z"])
@pytest.mark.parametrize(
    ("diameter", "bore", "angle"),
    [(200, 100, 180), (400, 390, 180), (300, 200, 60), (300, 0, 90), (90, 60, 300)],
)
def test_ring_sector_is_to_scale(diameter, bore, angle, along):
    """Its outline has the area of a ring sector, as in the calculation of its mass."""
    sizes = {"diameter": diameter, "bore": bore, "length": 40, "angle": angle}
    piece = Piece("sector", sizes, {"diameter": f"{diameter} mm"}, along=along)
    view = _View([piece], 342, 12.5)
    (outline,) = view.outlines(piece)
    next_corners = outline[1:] + outline[:1]
    area = abs(sum(a * d - b * c for (a, b), (c, d) in zip(outline, next_corners, strict=True))) / 2
    expected = 3.14159265 / 4 * (diameter**2 - bore**2) * angle / 360
    assert area / view.scale**2 == pytest.approx(expected, rel=5e-3)
    for axis, (low, high) in ((0, view.reach[view.u]), (1, view.reach[view.v])):
        span = max(p[axis] for p in outline) - min(p[axis] for p in outline)
        assert span / view.scale == pytest.approx(high - low, rel=5e-3)


def test_half_shell_shows_its_flange_and_notes_its_length():
    sizes = {"diameter": 170, "bore": 140, "length": 200, "flanges": 2, "flange_diameter": 210,
             "flange_thickness": 12}  # fmt: skip
    shell = Piece("half_shell", sizes, {key: f"{v} mm" for key, v in sizes.items()}, along="x")
    svg = part_sketch([shell], "bronze")
    assert len(_View([shell], 342, 12.5).behind(shell)) == 1
    labels = texts(svg)
    assert {"Ø 140 mm", "Ø 170 mm", "Ø 210 mm"} <= set(labels)
    assert "length over all 200 mm" in " ".join(labels)


def test_hole_behind_the_cut_is_dashed():
    plate = Piece("plate", {"width": 60, "thickness": 20, "length": 90}, {})
    blind = Piece("bar", {"diameter": 6, "length": 4}, {}, True, (0, -10, 45), "y")
    assert 'stroke-dasharray="4 2.5"' in str(part_sketch([plate, blind], "steel"))


def test_shapes_without_known_places_are_noted_not_drawn():
    plate = Piece("plate", {"width": 60, "thickness": 10, "length": 90}, {})
    hole = Piece(
        "bar", {"diameter": 6, "length": 10}, {"diameter": "6 mm"}, True, (0, 0, 45), "y", 14
    )
    assert "14 × Ø 6 mm" in texts(part_sketch([plate, hole], "cast_iron"))


@pytest.mark.parametrize("along", ["x", "y", "z"])
@pytest.mark.parametrize(
    ("shape", "sizes"),
    [
        ("cone", {"diameter": 20, "far_diameter": 10, "length": 40}),
        ("ring", {"mean_diameter": 50, "section": 8}),
        ("sphere", {"diameter": 20}),
        ("sector", {"diameter": 90, "bore": 60, "length": 20, "angle": 120}),
        ("half_shell", {"diameter": 90, "bore": 60, "length": 20, "flanges": 1,
                        "flange_diameter": 99, "flange_thickness": 4}),
        ("hexagon", {"across_flats": 20, "length": 40}),
        ("tube", {"diameter": 20, "bore": 10, "length": 40}),
        ("flange", {"diameter": 90, "thickness": 10, "bore": 20, "holes": 4, "hole": 5,
                    "bolt_circle": 70}),
        ("flywheel", {"diameter": 900, "rim_inside": 800, "face": 90, "hub": 200,
                      "hub_length": 120, "bore": 60, "arms": 6, "arm_thickness": 30,
                      "arm_thickness_at_rim": 20}),
    ],
)  # fmt: skip
def test_every_shape_can_be_drawn_along_every_axis(shape, sizes, along):
    piece = Piece(shape, sizes, {key: f"{v} mm" for key, v in sizes.items()}, along=along)
    svg = str(part_sketch([piece], "bronze"))
    ElementTree.fromstring(svg)  # noqa: S314 our own drawing
    assert "nan" not in svg


def test_part_without_shapes_has_no_sketch():
    assert part_sketch([], "steel") == ""


@pytest.mark.parametrize(("ends", "strips"), [(0, 0), (1, 1), (2, 2)])
def test_pattern_bar_shows_an_allowance_for_each_machined_end(ends, strips):
    svg = str(
        pattern_bar("444.5 mm", "455 mm", off="to machine off, 3 mm" if ends else "", ends=ends)
    )
    assert svg.count('fill="#F7F0DC"') == strips
    assert "455 mm pattern" in texts(svg)
    assert "455 mm core" in texts(pattern_bar("460 mm", "455 mm", off="off", inside=True))
