"""Motion, valve gear, governor and feed pump of the portable engine.

All lengths are bores. Numbers are those of the starter list of the kind.
"""

from __future__ import annotations

from .. import fittings as fit
from .. import motion
from .. import shapes as sh
from .. import steam_fittings as steam_fit
from ..pieces import Board
from ..proportions import Proportions
from .lines import Lines


def crosshead_and_rod(board: Board, p: Proportions, k: Lines) -> None:
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
    board.add("crank_web", 12, 1201, web, [sh.circle(*pin, 0.5 * p.pin)], depth=58.6, at=sh.along((0, 0), pin, 0.75))
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


def valve_gear(board: Board, p: Proportions, k: Lines) -> None:
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
        (k.front + 0.62, 0.38), (k.front + 0.98, 0.38), (k.front + 0.9, y + 0.13), (k.front + 0.7, y + 0.13)
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


def governor(board: Board, p: Proportions, k: Lines) -> None:
    big = 0.42
    x = (k.back + k.front) / 2 + 0.2
    throttle = [
        sh.box(x - 0.26, 0.8, x + 0.26, 0.9),
        sh.box(x - 0.15, 0.9, x + 0.15, 1.1),
        sh.box(x - 0.24, 1.1, x + 0.24, 1.18),
    ]
    board.add("throttle", 15, 1507, throttle, [sh.circle(x, 1.0, 0.06)], depth=53, at=(x + 0.1, 0.95))
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
            "belt": 1512,
            "crank": 1508,
            "link": 1509,
            "stand_bolt": 1511,
        },
        x,
        1.18,
        1.75,
        55,
        drive=big,
    )
    board.add(
        "shaft_pulley",
        14,
        1403,
        sh.circle(0, 0, big),
        [sh.circle(0, 0, big * 0.86)],
        depth=steam_fit.DRIVE,
        at=(0.0, big * 0.93),
        spots={1404: (-0.1, big * 0.7)},
    )


def pump(board: Board, p: Proportions, k: Lines) -> None:
    """The feed pump on the barrel's side, worked from the shaft."""
    x, top = -0.55, k.top - 0.75
    body = [
        sh.rounded_box(x - 0.16, top - 0.85, x + 0.16, top, 0.05),
        sh.rounded_box(x + 0.16, top - 0.8, x + 0.5, top - 0.4, 0.05),
        sh.box(x - 0.3, top - 0.6, x - 0.16, top - 0.25),
    ]
    board.add("pump", 16, 1601, body, depth=67, at=(x - 0.05, top - 0.3))
    caps = [sh.box(x + 0.22, top - 0.4, x + 0.44, top - 0.3), sh.box(x + 0.22, top - 0.9, x + 0.44, top - 0.8)]
    board.add("pump_caps", 16, 1606, caps, depth=67.2, at=(x + 0.33, top - 0.35), spots={1605: (x + 0.33, top - 0.6)})
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
    hose = sh.tube([(x + 0.33, top - 0.9), (x + 0.33, k.foot - 0.6), (x + 1.1, k.foot - 0.6)], 0.13, 0.2)
    board.add("suction_hose", 16, 1609, hose, depth=46, at=(x + 0.33, k.foot - 0.2))
    pipe = sh.tube([(x + 0.33, top - 0.3), (x + 0.33, top - 0.12), (x + 0.95, top - 0.12)], 0.09, 0.08)
    board.add("delivery", 16, 1610, pipe, depth=66, at=(x + 0.7, top - 0.12), spots={1611: (x + 0.5, top - 0.12)})
