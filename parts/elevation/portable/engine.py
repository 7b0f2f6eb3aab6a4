"""The portable engine: cylinder over the firebox, crank over the smokebox end, all on wheels.

The boiler is drawn as an outline to record its parts by; it says nothing of its strength. All
lengths below are bores. Numbers are those of the starter list of the kind.
"""

from __future__ import annotations

from .. import fittings as fit
from .. import groundwork as ground
from .. import shapes as sh
from ..pieces import Board, Span, View
from ..proportions import Proportions
from . import motion
from .boiler import boiler
from .carriage import carriage
from .lines import Lines, lines


def draw(p: Proportions) -> View:
    """Draw the engine at its proportions."""
    inches, p = p.bore, p.in_bores()
    board = Board("Elevation on cylinder side")
    k = lines(p)
    reach = p.flywheel / 2
    fit.wheel(board, 14, {"wheel": 1401, "key": 1402}, p, 5, lead=118)
    ground.ground(board, k.fire_left - 1.6, k.smoke_right + 2.2, k.ground, 1.0, None)
    boiler(board, p, k)
    carriage(board, p, k)
    _bracket(board, p, k)
    _cylinder(board, p, k)
    motion.crosshead_and_rod(board, p, k)
    motion.valve_gear(board, p, k)
    motion.governor(board, p, k)
    motion.pump(board, p, k)
    chimney = max(3.2, 0.75 * (k.smoke_right - k.fire_left) * 0.6)
    board.centres = [sh.run((k.back - 0.4, 0), (reach + 0.25, 0)), sh.run((0, -p.crank - 0.8), (0, reach + 0.35))]
    board.spans = [
        Span("flywheel", (0, -reach), (0, reach), max(reach, k.smoke_right) + 0.45, after=" dia."),
        Span("bore", (k.back, -0.5), (k.back, 0.5), -0.95, before="Bore "),
    ]
    board.leads = {
        1: "barrel",
        4: "chimney",
        6: "cylinder",
        12: "bracket",
        15: "governor_stand",
        17: "hind_wheel",
        2: "safety_valve",
    }
    right = max(reach, k.smoke_right) + 0.75
    top = max(reach + 0.2, chimney + 0.5, 3.4)
    return board.view((k.fire_left - 1.4, k.ground - 0.35, right, top), inches)


def _bracket(board: Board, p: Proportions, k: Lines) -> None:
    s = p.shaft
    leg = (
        ("M", -0.85, k.top),
        ("L", 0.85, k.top),
        ("L", 0.85, k.top + 0.1),
        ("C", 0.6, k.top + 0.16, 1.1 * s, -0.5, 1.0 * s, 0.0),
        ("L", -1.0 * s, 0.0),
        ("C", -1.1 * s, -0.5, -0.6, k.top + 0.16, -0.85, k.top + 0.1),
        ("Z",),
    )
    window = sh.poly((-0.26, k.top + 0.22), (0.26, k.top + 0.22), (0.13, -0.72 * s - 0.05), (-0.13, -0.72 * s - 0.05))
    hole = k.top + 0.22 < -0.72 * s - 0.15
    board.add("bracket", 12, 1202, sh.join(leg, window) if hole else leg, depth=60, at=(-0.42, k.top + 0.26))
    board.add("expansion_plate", 12, 1203, sh.box(-0.95, k.top - 0.04, 0.95, k.top + 0.04), depth=60.5, at=(0.6, k.top))
    nuts = [fit.nut(x, k.top + 0.1, 0.12) for x in (-0.74, 0.74)]
    board.add("bracket_nuts", 12, 1205, nuts, depth=61, at=(0.74, k.top + 0.16), spots={1204: (-0.74, k.top + 0.24)})
    cap = sh.rounded(
        [
            (-1.0 * s, 0),
            (1.0 * s, 0),
            (1.0 * s, 0.6 * s),
            (0.6 * s, 0.95 * s),
            (-0.6 * s, 0.95 * s),
            (-1.0 * s, 0.6 * s),
        ],
        0.05,
    )
    board.add("bearing_cap", 12, 1207, cap, depth=62, at=(-0.75 * s, 0.5 * s))
    board.add(
        "brasses",
        12,
        1206,
        sh.join(sh.circle(0, 0, 0.72 * s), sh.circle(0, 0, 0.5 * s)),
        depth=62.5,
        at=sh.at_angle(0, 0, 0.6 * s, 205),
        cut="bronze",
    )
    nuts = [fit.nut(x * 0.8 * s, 0.68 * s, 0.11) for x in (-1, 1)]
    board.add("cap_nuts", 12, 1208, nuts, depth=62.6, at=(0.8 * s, 0.8 * s))
    fit.oil_cup(board, 12, 1211, (0, 0.95 * s), 0.15, 62.6)
    board.add(
        "shaft", 12, 1201, sh.circle(0, 0, 0.5 * s), [sh.circle(0, 0, 0.08 * s)], depth=63, at=(0.2 * s, -0.15 * s)
    )
    y = 0.5 * k.top - 0.12
    board.add(
        "stay_rod",
        12,
        1209,
        sh.box(k.front - 0.05, y - 0.045, -0.6 * s - 0.12, y + 0.045),
        depth=59,
        at=(k.front * 0.35, y),
    )
    nuts = [sh.box(x - 0.1, y - 0.09, x, y + 0.09) for x in (-0.6 * s - 0.14, k.front + 0.34)]
    board.add("stay_nuts", 12, 1210, nuts, depth=59.5, at=(k.front + 0.29, y))


def _cylinder(board: Board, p: Proportions, k: Lines) -> None:
    left, right = k.back + 0.12, k.front - 0.12
    saddle = sh.poly(
        (left + 0.1, k.top - 0.03),
        (right - 0.1, k.top - 0.03),
        (right - 0.1, k.top + 0.1),
        (right - 0.3, k.top + 0.16),
        (right - 0.22, -0.6),
        (left + 0.22, -0.6),
        (left + 0.3, k.top + 0.16),
        (left + 0.1, k.top + 0.1),
    )
    board.add(
        "cylinder",
        6,
        601,
        [
            saddle,
            sh.box(left, -0.72, left + 0.12, 0.72),
            sh.box(right - 0.12, -0.72, right, 0.72),
            sh.rounded_box(left + 0.1, -0.68, right - 0.1, 0.82, 0.1),
        ],
        depth=50,
        at=(left + 0.36, -0.8),
    )
    nuts = [fit.nut(x, k.top + 0.1, 0.12) for x in (left + 0.2, right - 0.2)]
    board.add(
        "saddle_nuts", 6, 603, nuts, depth=51, at=(left + 0.2, k.top + 0.15), spots={602: (right - 0.2, k.top + 0.24)}
    )
    board.add(
        "lagging_sheet",
        6,
        616,
        sh.rounded_box(left + 0.2, -0.62, right - 0.2, 0.74, 0.1),
        (),
        depth=51,
        at=(left + 0.4, -0.5),
    )
    board.add("front_cover", 6, 604, sh.box(right, -0.72, k.front, 0.72), depth=52, at=(k.front - 0.05, 0.6))
    cover = [
        sh.box(k.back, -0.72, left, 0.72),
        (("M", k.back, -0.5), ("C", k.back - 0.1, -0.3, k.back - 0.1, 0.3, k.back, 0.5), ("Z",)),
    ]
    board.add("back_cover", 6, 605, cover, depth=52, at=(k.back + 0.05, -0.5))
    rows = (-0.62, -0.36, 0.36, 0.62)
    nuts = [fit.side_nut(k.back, v, 0.1, -1) for v in rows]
    nuts += [fit.side_nut(k.front, v, 0.1, 1) for v in (-0.62, 0.62)]
    board.add("cover_nuts", 6, 607, nuts, depth=53, at=(k.back - 0.04, 0.36), spots={606: (k.back - 0.1, -0.36)})
    a, b, low, high = left + 0.42, right - 0.34, -0.34, 0.62
    chest = sh.rounded_box(a, low, b, high, 0.06)
    inner = sh.rounded_box(a + 0.16, low + 0.16, b - 0.16, high - 0.16, 0.05)
    board.add("chest_cover", 6, 612, chest, [inner], depth=54, at=(b - 0.25, low + 0.08))
    count = max(3, round((b - a) / 0.4))
    dots = [
        sh.circle(a + 0.08 + (b - a - 0.16) * i / (count - 1), y, 0.035)
        for i in range(count)
        for y in (low + 0.08, high - 0.08)
    ]
    board.add("chest_studs", 6, 613, dots, depth=54.5, at=(a + 0.08, low + 0.08))
    for i, x in enumerate((left + 0.3, right - 0.3)):
        cock = [sh.box(x - 0.03, -0.92, x + 0.03, -0.68), sh.box(x - 0.09, -0.84, x + 0.09, -0.79)]
        board.add(f"drain_{i}", 6, 614, cock, depth=52, at=(x, -0.82))
    board.add(
        "drain_rod", 6, 615, sh.box(k.back - 0.4, -0.875, right - 0.2, -0.85), depth=53, at=(k.back - 0.3, -0.862)
    )
    fit.gland(
        board, 6, {"neck": 609, "gland": 608, "packing": 611, "stud": 610}, k.front, 0, 0.26, 0.42, 55, key="rod_"
    )
    x = left + 0.3
    cup = [sh.box(x - 0.03, 0.8, x + 0.03, 0.92), sh.rounded_box(x - 0.12, 0.92, x + 0.12, 1.2, 0.05)]
    board.add("lubricator", 6, 617, cup, depth=52, at=(x, 1.05))
    # Regulator at the cylinder's back, worked from the footplate end.
    gx, gy = k.back - 0.32, 0.3
    arc_in = sh.arc(gx, gy, 0.43, 150, 60)
    quadrant = (*sh.arc(gx, gy, 0.5, 60, 150), ("L", *arc_in[0][1:]), arc_in[1], ("Z",))
    board.add("quadrant", 7, 705, quadrant, depth=55, at=sh.at_angle(gx, gy, 0.465, 130))
    tip = sh.at_angle(gx, gy, 0.75, 118)
    board.add("regulator_handle", 7, 704, sh.link((gx, gy), tip, 0.05, 0.03), depth=56, at=sh.along((gx, gy), tip, 0.8))
    board.add(
        "regulator_spindle",
        7,
        702,
        [sh.box(gx, gy - 0.035, left, gy + 0.035)],
        depth=54.5,
        at=(gx + 0.16, gy),
        spots={706: (gx, gy)},
    )
    board.add(
        "regulator_gland",
        7,
        703,
        sh.box(k.back - 0.14, gy - 0.09, k.back, gy + 0.09),
        depth=55,
        at=(k.back - 0.08, gy + 0.05),
        spots={701: (left + 0.05, gy)},
    )
