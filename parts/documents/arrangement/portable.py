"""The portable engine: cylinder over the firebox, crank over the smokebox end, all on wheels.

The boiler is drawn as an outline to record its parts by; it says nothing of its strength. All
lengths below are bores. Numbers are those of the starter list of the kind.
"""

from __future__ import annotations

from dataclasses import dataclass

from . import fittings as fit
from . import groundwork as ground
from . import motion
from . import shapes as sh
from . import steam_fittings as steam_fit
from .pieces import Board, Span, View
from .portable_boiler import boiler, carriage
from .proportions import Proportions


@dataclass(frozen=True)
class Lines:
    """Where the boiler and the engine on it stand, bores about the crank centre."""

    front: float
    back: float
    top: float
    foot: float
    fire_left: float
    fire_right: float
    fire_foot: float
    smoke_left: float
    smoke_right: float
    ground: float


def lines(p: Proportions) -> Lines:
    r = p.crank
    front = -(p.rod + r + 0.85)
    back = front - (p.stroke + 0.95)
    top = -(r + 0.62)
    barrel = 2.5 + 0.5 * p.stroke
    fire_left, fire_right = back - 0.25, min(front + 0.35, back + 2.9)
    smoke_left = r + 0.55
    fire_foot = top - barrel - 0.85
    return Lines(
        front,
        back,
        top,
        top - barrel,
        fire_left,
        fire_right,
        fire_foot,
        smoke_left,
        smoke_left + 1.35,
        min(fire_foot - 1.5, -p.flywheel / 2 - 0.4),
    )


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
    _motion(board, p, k)
    _valve_gear(board, p, k)
    _governor(board, p, k)
    _pump(board, p, k)
    chimney = max(3.2, 0.75 * (k.smoke_right - k.fire_left) * 0.6)
    board.centres = [
        sh.run((k.back - 0.4, 0), (reach + 0.25, 0)),
        sh.run((0, -p.crank - 0.8), (0, reach + 0.35)),
    ]
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
    window = sh.poly(
        (-0.26, k.top + 0.22),
        (0.26, k.top + 0.22),
        (0.13, -0.72 * s - 0.05),
        (-0.13, -0.72 * s - 0.05),
    )
    hole = k.top + 0.22 < -0.72 * s - 0.15
    board.add(
        "bracket",
        12,
        1202,
        sh.join(leg, window) if hole else leg,
        depth=60,
        at=(-0.42, k.top + 0.26),
    )
    board.add(
        "expansion_plate",
        12,
        1203,
        sh.box(-0.95, k.top - 0.04, 0.95, k.top + 0.04),
        depth=60.5,
        at=(0.6, k.top),
    )
    nuts = [fit.nut(x, k.top + 0.1, 0.12) for x in (-0.74, 0.74)]
    board.add(
        "bracket_nuts",
        12,
        1205,
        nuts,
        depth=61,
        at=(0.74, k.top + 0.16),
        spots={1204: (-0.74, k.top + 0.24)},
    )
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
        "shaft",
        12,
        1201,
        sh.circle(0, 0, 0.5 * s),
        [sh.circle(0, 0, 0.08 * s)],
        depth=63,
        at=(0.2 * s, -0.15 * s),
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
        "saddle_nuts",
        6,
        603,
        nuts,
        depth=51,
        at=(left + 0.2, k.top + 0.15),
        spots={602: (right - 0.2, k.top + 0.24)},
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
    board.add(
        "front_cover",
        6,
        604,
        sh.box(right, -0.72, k.front, 0.72),
        depth=52,
        at=(k.front - 0.05, 0.6),
    )
    cover = [
        sh.box(k.back, -0.72, left, 0.72),
        (("M", k.back, -0.5), ("C", k.back - 0.1, -0.3, k.back - 0.1, 0.3, k.back, 0.5), ("Z",)),
    ]
    board.add("back_cover", 6, 605, cover, depth=52, at=(k.back + 0.05, -0.5))
    rows = (-0.62, -0.36, 0.36, 0.62)
    nuts = [fit.side_nut(k.back, v, 0.1, -1) for v in rows]
    nuts += [fit.side_nut(k.front, v, 0.1, 1) for v in (-0.62, 0.62)]
    board.add(
        "cover_nuts",
        6,
        607,
        nuts,
        depth=53,
        at=(k.back - 0.04, 0.36),
        spots={606: (k.back - 0.1, -0.36)},
    )
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
        "drain_rod",
        6,
        615,
        sh.box(k.back - 0.4, -0.875, right - 0.2, -0.85),
        depth=53,
        at=(k.back - 0.3, -0.862),
    )
    fit.gland(
        board,
        6,
        {"neck": 609, "gland": 608, "packing": 611, "stud": 610},
        k.front,
        0,
        0.26,
        0.42,
        55,
        key="rod_",
    )
    x = left + 0.3
    cup = [
        sh.box(x - 0.03, 0.8, x + 0.03, 0.92),
        sh.rounded_box(x - 0.12, 0.92, x + 0.12, 1.2, 0.05),
    ]
    board.add("lubricator", 6, 617, cup, depth=52, at=(x, 1.05))
    # Regulator at the cylinder's back, worked from the footplate end.
    gx, gy = k.back - 0.32, 0.3
    arc_in = sh.arc(gx, gy, 0.43, 150, 60)
    quadrant = (*sh.arc(gx, gy, 0.5, 60, 150), ("L", *arc_in[0][1:]), arc_in[1], ("Z",))
    board.add("quadrant", 7, 705, quadrant, depth=55, at=sh.at_angle(gx, gy, 0.465, 130))
    tip = sh.at_angle(gx, gy, 0.75, 118)
    board.add(
        "regulator_handle",
        7,
        704,
        sh.link((gx, gy), tip, 0.05, 0.03),
        depth=56,
        at=sh.along((gx, gy), tip, 0.8),
    )
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


def _motion(board: Board, p: Proportions, k: Lines) -> None:
    pin, cross = p.crank_pin(), p.level_crosshead()
    x, half, r = cross[0], p.piston_rod / 2, p.crank
    left, right = k.front - 0.02, -(p.rod - r - 0.5)
    bars = [sh.box(left, v, right, v + 0.1) for v in (0.28, -0.38)]
    board.add("guide_bars", 10, 1003, bars, depth=57, at=(right - 0.3, 0.33))
    mid = right - 0.12
    stand = sh.poly(
        (mid - 0.42, k.top),
        (mid + 0.42, k.top),
        (mid + 0.42, k.top + 0.08),
        (mid + 0.14, k.top + 0.14),
        (mid + 0.12, 0.44),
        (mid - 0.12, 0.44),
        (mid - 0.14, k.top + 0.14),
        (mid - 0.42, k.top + 0.08),
    )
    board.add("guide_bracket", 10, 1004, stand, depth=56, at=(mid, -0.65))
    nuts = [fit.nut(mid, 0.38, 0.11), fit.nut(mid, -0.38, 0.11, -1)]
    board.add("guide_bolts", 10, 1005, nuts, depth=58, at=(mid, 0.44))
    board.add(
        "piston_rod",
        9,
        903,
        sh.box(k.front + 0.36, -half, x - 0.22, half),
        depth=57.5,
        at=((k.front + 0.36 + x) / 2, 0),
        spots={904: (x - 0.24, 0.05)},
    )
    board.add(
        "crosshead",
        10,
        1001,
        [sh.rounded_box(x - 0.28, -0.2, x + 0.28, 0.2, 0.06)],
        depth=58,
        at=(x - 0.16, -0.12),
        spots={1008: (x - 0.22, -0.18)},
    )
    board.add(
        "slippers",
        10,
        1002,
        [sh.box(x - 0.36, 0.2, x + 0.36, 0.28), sh.box(x - 0.36, -0.28, x + 0.36, -0.2)],
        depth=58.2,
        at=(x + 0.3, -0.24),
    )
    # The crank is bent in the shaft, between the brackets: it and the rod are behind the near one.
    web = sh.link((0, 0), pin, 0.85 * p.shaft, 0.68 * p.pin)
    board.add(
        "crank_web",
        12,
        1201,
        web,
        [sh.circle(*pin, 0.5 * p.pin)],
        depth=58.6,
        at=sh.along((0, 0), pin, 0.75),
    )
    motion.connecting_rod(
        board,
        11,
        {
            "rod": 1101,
            "big_strap": 1102,
            "big_brass": 1103,
            "big_gib": 1104,
            "big_cotter": 1105,
            "small_strap": 1107,
            "small_brass": 1106,
            "big_cup": 1108,
        },
        p,
        cross,
        pin,
        58.3,
    )
    motion.pin_end(board, 10, 1006, "gudgeon", cross, p.gudgeon, 60, {1007: (x + 0.05, 0.05)})


def _valve_gear(board: Board, p: Proportions, k: Lines) -> None:
    s, y = p.shaft, 0.56
    knuckle = k.front + 1.25
    fit.gland(
        board,
        8,
        {"neck": 805, "gland": 805, "packing": 807, "stud": 806},
        k.front - 0.1,
        y,
        0.13,
        0.34,
        64,
        key="spindle_",
    )
    board.add(
        "spindle",
        8,
        802,
        sh.box(k.front + 0.22, y - 0.035, knuckle, y + 0.035),
        depth=63.5,
        at=(k.front + 0.42, y),
        spots={804: (knuckle - 0.12, y), 801: (k.back + 1.1, 0.2)},
    )
    guide = sh.poly(
        (k.front + 0.62, 0.38),
        (k.front + 0.98, 0.38),
        (k.front + 0.9, y + 0.13),
        (k.front + 0.7, y + 0.13),
    )
    board.add("spindle_guide", 8, 808, guide, depth=63.2, at=(k.front + 0.8, y - 0.1))
    sheave = sh.at_angle(0, 0, 0.15, p.crank_angle + 110)
    way = sh.direction(sheave, (knuckle, y))
    start = sh.at_angle(*sheave, 1.1 * s, way)
    board.add(
        "eccentric_rod",
        13,
        1306,
        sh.link((knuckle, y), start, 0.05, 0.07),
        depth=64,
        at=sh.along((knuckle, y), start, 0.5),
    )
    board.add("rod_pin", 13, 1307, sh.circle(knuckle, y, 0.05), depth=65)
    ring = sh.join(sh.circle(*sheave, 1.2 * s), sh.circle(*sheave, 1.0 * s))
    board.add(
        "strap",
        13,
        1304,
        ring,
        depth=66,
        at=sh.at_angle(*sheave, 1.1 * s, 300),
        spots={1305: sh.at_angle(*sheave, 1.12 * s, 75)},
    )
    board.add(
        "sheave",
        13,
        1301,
        sh.join(sh.circle(*sheave, 1.0 * s), sh.circle(0, 0, 0.5 * s)),
        depth=65.8,
        at=sh.at_angle(*sheave, 0.8 * s, p.crank_angle + 110),
        spots={1302: sh.at_angle(*sheave, 0.8 * s, 20), 1303: sh.at_angle(0, 0, 0.75 * s, 330)},
    )


def _governor(board: Board, p: Proportions, k: Lines) -> None:
    x = (k.back + k.front) / 2 + 0.2
    throttle = [
        sh.box(x - 0.26, 0.8, x + 0.26, 0.9),
        sh.box(x - 0.15, 0.9, x + 0.15, 1.1),
        sh.box(x - 0.24, 1.1, x + 0.24, 1.18),
    ]
    board.add(
        "throttle", 15, 1507, throttle, [sh.circle(x, 1.0, 0.06)], depth=53, at=(x + 0.1, 0.95)
    )
    steam_fit.governor(
        board,
        15,
        {
            "stand": 1501,
            "spindle": 1502,
            "ball": 1503,
            "upper": 1504,
            "lower": 1504,
            "pin": 1510,
            "bevel": 1505,
            "pulley_shaft": 1506,
            "pulley": 1506,
            "crank": 1508,
            "link": 1509,
            "stand_bolt": 1511,
        },
        x,
        1.18,
        1.75,
        55,
    )
    px = x + 0.235 * 1.75
    y = 1.18 + 0.3 * 1.75
    small, big = 0.12 * 1.75, 0.42
    belt = [sh.link((px, y + v * small), (0, v * big), 0.012) for v in (1, -1)]
    board.add("belt", 15, 1512, belt, depth=54, at=sh.along((px, y), (0, big), 0.5))
    board.add(
        "shaft_pulley",
        14,
        1403,
        sh.circle(0, 0, big),
        [sh.circle(0, 0, big * 0.86)],
        depth=53.8,
        at=(0.0, big * 0.93),
        spots={1404: (-0.1, big * 0.7)},
    )


def _pump(board: Board, p: Proportions, k: Lines) -> None:
    """The feed pump on the barrel's side, worked from the shaft."""
    x, top = -0.55, k.top - 0.75
    body = [
        sh.rounded_box(x - 0.16, top - 0.85, x + 0.16, top, 0.05),
        sh.rounded_box(x + 0.16, top - 0.8, x + 0.5, top - 0.4, 0.05),
        sh.box(x - 0.3, top - 0.6, x - 0.16, top - 0.25),
    ]
    board.add("pump", 16, 1601, body, depth=67, at=(x - 0.05, top - 0.3))
    caps = [
        sh.box(x + 0.22, top - 0.4, x + 0.44, top - 0.3),
        sh.box(x + 0.22, top - 0.9, x + 0.44, top - 0.8),
    ]
    board.add(
        "pump_caps",
        16,
        1606,
        caps,
        depth=67.2,
        at=(x + 0.33, top - 0.35),
        spots={1605: (x + 0.33, top - 0.6)},
    )
    board.add(
        "pump_gland",
        16,
        1607,
        [sh.box(x - 0.2, top, x + 0.2, top + 0.09)],
        depth=67.2,
        at=(x + 0.13, top + 0.05),
        spots={1608: (x - 0.16, top + 0.05)},
    )
    board.add("pump_ram", 16, 1602, sh.box(x - 0.09, top + 0.09, x + 0.09, top + 0.42), depth=66.8)
    foot = (x, top + 0.4)
    board.add(
        "pump_rod",
        16,
        1604,
        sh.link(foot, (-0.04, -0.9 * p.shaft), 0.05),
        depth=64.5,
        at=sh.along(foot, (0, 0), 0.35),
        spots={1603: (-0.05, -0.95 * p.shaft)},
    )
    hose = sh.tube(
        [(x + 0.33, top - 0.9), (x + 0.33, k.foot - 0.6), (x + 1.1, k.foot - 0.6)], 0.13, 0.2
    )
    board.add("suction_hose", 16, 1609, hose, depth=46, at=(x + 0.33, k.foot - 0.2))
    pipe = sh.tube(
        [(x + 0.33, top - 0.3), (x + 0.33, top - 0.12), (x + 0.95, top - 0.12)], 0.09, 0.08
    )
    board.add(
        "delivery",
        16,
        1610,
        pipe,
        depth=66,
        at=(x + 0.7, top - 0.12),
        spots={1611: (x + 0.5, top - 0.12)},
    )
