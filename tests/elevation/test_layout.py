"""Where balloons stand: no overlap, no crossing, all on the sheet, and stable."""

from __future__ import annotations

from itertools import combinations, pairwise
from math import hypot

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from parts.drafting.zones import BORDER
from parts.elevation import KINDS, _anchors, _sheet, proportions, view_of
from parts.elevation.layout import Row, crossing, spaced, stand
from tests.elevation.test_elevation import component_marks, part_marks

RADIUS = 13.0


def rows_of(kind: str, count: int, labels: bool = True):
    p, _ = proportions(kind)
    return _sheet(p, 888.0, count, labels, RADIUS)


def check(anchors, sheet, stood) -> None:
    pitch = {row.side: row.pitch for row in sheet.rows}
    for a, b in combinations(stood, 2):
        assert hypot(a.x - b.x, a.y - b.y) >= 2 * sheet.radius + 0.5, (a, b)
        if a.side == b.side and sheet.labels:
            along = abs(a.x - b.x) if a.side in ("top", "bottom") else abs(a.y - b.y)
            assert along >= pitch[a.side] - 1e-6
        crossed = crossing(a.start, anchors[a.index], b.start, anchors[b.index])
        assert not crossed, (a, b)
    for b in stood:
        assert BORDER + sheet.radius < b.x < sheet.width - BORDER - sheet.radius
        assert BORDER + sheet.radius < b.y < sheet.height - BORDER - sheet.radius


@pytest.mark.parametrize("labels", [True, False])
@given(data=st.data())
@settings(max_examples=150, deadline=None)
def test_any_1_to_80_balloons_do_not_overlap_or_cross_and_stand_on_the_sheet(labels, data):
    kind = data.draw(st.sampled_from(KINDS))
    count = data.draw(st.integers(1, 80))
    sheet = rows_of(kind, count, labels)
    left, foot, right, top = view_of(proportions(kind)[0]).box
    place = st.tuples(st.floats(0, 1), st.floats(0, 1))
    fractions = data.draw(st.lists(place, min_size=count, max_size=count))
    anchors = tuple(
        tuple(
            round(v, 1)
            for v in sheet.paper.at((left + u * (right - left), foot + w * (top - foot)))
        )
        for u, w in fractions
    )
    stood = stand(anchors, sheet.rows)
    assert len(stood) == count
    assert [b.index for b in stood] == sorted(b.index for b in stood)
    check(anchors, sheet, stood)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("count", [1, 5, 13, 20, 40, 60, 80])
def test_balloons_of_each_kind_do_not_overlap_or_cross(kind, count):
    p, _ = proportions(kind)
    marks = component_marks(kind)[:count] if count <= 20 else part_marks(kind, count)
    sheet = rows_of(kind, len(marks))
    found = _anchors(marks, view_of(p).places, sheet.paper)
    anchors = tuple(found[i][1] for i in range(len(marks)))
    check(anchors, sheet, stand(anchors, sheet.rows))


def test_more_than_have_room_are_left_out_from_the_end():
    rows = (Row("top", 30, 30, 90, 30), Row("bottom", 300, 30, 60, 30))
    anchors = tuple((40.0 + i, 150.0) for i in range(9))
    stood = stand(anchors, rows)
    assert [b.index for b in stood] == [0, 1, 2, 3, 4]


def test_the_layout_is_the_same_each_time():
    sheet = rows_of("beam", 30)
    anchors = tuple((100.0 + 17 * i % 600, 120.0 + 31 * i % 300) for i in range(30))
    first = stand(anchors, sheet.rows)
    stand.cache_clear()
    assert stand(anchors, sheet.rows) == first


@pytest.mark.parametrize("kind", KINDS)
def test_when_one_balloon_goes_most_others_stay_on_their_side(kind):
    p, _ = proportions(kind)
    marks = part_marks(kind, 50)
    sheet = rows_of(kind, len(marks))
    places = view_of(p).places
    found = _anchors(marks, places, sheet.paper)
    whole = [found[i][1] for i in range(len(marks))]
    before = {i: b.side for i, b in enumerate(stand(tuple(whole), sheet.rows))}
    gone = 20
    after = stand(tuple(whole[:gone] + whole[gone + 1 :]), sheet.rows)
    same = sum(before[b.index if b.index < gone else b.index + 1] == b.side for b in after)
    assert same >= 0.85 * len(after)


@given(
    st.lists(st.floats(-50, 950), min_size=1, max_size=20).map(sorted),
)
def test_places_of_a_row_keep_their_order_their_distance_and_their_bounds(wanted):
    made = spaced(wanted, 30, 20, 860)
    assert all(b - a >= 30 - 1e-6 for a, b in pairwise(made))
    assert made[0] >= 20 - 1e-6
    assert made[-1] <= 860 + 1e-6
