"""The sketch of a part: to scale, its sizes written as they are, nothing over anything else."""

import re
from xml.etree import ElementTree

import pytest

from parts.documents.svg.pattern_bar import pattern_bar
from parts.documents.svg.sketch import Piece, _View, part_sketch

SHAFT = [
    Piece("bar", {"diameter": 60, "length": 50}, {"diameter": "60 mm", "length": "50 mm"}),
    Piece(
        "bar",
        {"diameter": 40, "length": 150},
        {"diameter": "1 37/64 in", "length": "150 mm"},
        at=(0, 0, 50),
    ),
]


def texts(drawn) -> list[str]:
    tree = ElementTree.fromstring(str(drawn))  # noqa: S314 our own drawing
    return [el.text for el in tree.iter() if el.tag.endswith("text")]


def test_every_size_is_written_as_it_was():
    said = texts(part_sketch(SHAFT, "steel"))
    assert sorted(said) == ["150 mm", "50 mm", "Ø 1 37/64 in", "Ø 60 mm"]


def test_it_is_drawn_to_scale():
    view = _View(SHAFT, 342, 12.5)
    first, second = (view.outlines(piece)[0] for piece in SHAFT)

    def span(outline, axis):
        values = [point[axis] for point in outline]
        return max(values) - min(values)

    assert span(first, 0) / span(second, 0) == pytest.approx(50 / 150)
    assert span(first, 1) / span(second, 1) == pytest.approx(60 / 40)
    assert span(first, 0) / span(first, 1) == pytest.approx(50 / 60)


def test_it_stays_inside_its_width_with_many_sizes():
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
        drawn = part_sketch(many, "cast_iron", width=width)
        xs = [float(x) for x in re.findall(r"[ML](-?[\d.]+) -?[\d.]+", str(drawn))]
        assert min(xs) >= 0
        assert max(xs) <= width + 8  # the centre line reaches past the part


def test_dimensions_that_would_run_into_each_other_stand_in_rows_of_their_own():
    holes = [
        Piece("bar", {"diameter": 3, "length": 10}, {"diameter": "13/16 in"}, True, (0, y, 0), "z")
        for y in (0, 8)
    ]
    plate = Piece("plate", {"width": 60, "thickness": 60, "length": 20}, {})
    view = _View([plate, *holes], 342, 12.5)
    assert [len(row) for row in view.right] == [1, 1]


def test_shapes_that_stand_there_several_times_are_told_not_drawn():
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
        ("hexagon", {"across_flats": 20, "length": 40}),
        ("tube", {"diameter": 20, "bore": 10, "length": 40}),
        ("flange", {"diameter": 90, "thickness": 10, "bore": 20, "holes": 4, "hole": 5,
                    "bolt_circle": 70}),
        ("flywheel", {"diameter": 900, "rim_inside": 800, "face": 90, "hub": 200,
                      "hub_length": 120, "bore": 60, "arms": 6, "arm_thickness": 30,
                      "arm_thickness_at_rim": 20}),
    ],
)  # fmt: skip
def test_every_shape_can_be_drawn_whichever_way_it_lies(shape, sizes, along):
    piece = Piece(shape, sizes, {key: f"{v} mm" for key, v in sizes.items()}, along=along)
    drawn = str(part_sketch([piece], "bronze"))
    ElementTree.fromstring(drawn)  # noqa: S314 our own drawing
    assert "nan" not in drawn


def test_no_shape_no_drawing():
    assert part_sketch([], "steel") == ""


@pytest.mark.parametrize(("ends", "strips"), [(0, 0), (1, 1), (2, 2)])
def test_what_is_machined_off_stands_at_as_many_ends_as_are_machined(ends, strips):
    drawn = str(
        pattern_bar("444.5 mm", "455 mm", off="to machine off, 3 mm" if ends else "", ends=ends)
    )
    assert drawn.count('fill="#F7F0DC"') == strips
    assert "455 mm pattern" in texts(drawn)
    assert "455 mm core" in texts(pattern_bar("460 mm", "455 mm", off="off", inside=True))
