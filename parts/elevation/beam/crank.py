"""The crank end of the beam engine: rod, crank, bearing, eccentric and governor.

All lengths are bores. Numbers are those of the starter list of the kind.
"""

from __future__ import annotations

from .. import fittings as fit
from .. import motion
from .. import shapes as sh
from .. import steam_fittings as steam_fit
from ..pieces import Board
from ..proportions import Proportions
from ..shapes import Point
from .linkage import Linkage


def crank(board: Board, p: Proportions, k: Linkage) -> None:
    pin, s = p.crank_pin(), p.shaft
    big = 0.62 * p.pin + 0.06
    a = sh.at_angle(*k.crank_end, 0.42, sh.direction(k.crank_end, pin))
    b = sh.at_angle(*pin, 1.7 * big, sh.direction(pin, k.crank_end))
    board.add(
        "rod", 8, 801, motion.shank(a, b, 0.13, 0.7 * big, 0.24), [cross_rib(a, b)], depth=70, at=sh.along(a, b, 0.5)
    )
    way = sh.direction(k.crank_end, pin)
    fork = sh.link(k.crank_end, a, 0.19, 0.15)
    board.add("fork", 8, 802, fork, depth=69, at=sh.along(k.crank_end, a, 0.75))
    board.add(
        "fork_brass", 8, 803, sh.circle(*k.crank_end, 0.145), depth=69.5, at=sh.at_angle(*k.crank_end, 0.12, way + 120)
    )
    x, y = sh.along(k.crank_end, a, 0.62)
    key = sh.turned(sh.box(x - 0.26, y - 0.04, x + 0.26, y + 0.04), way + 90, (x, y))
    board.add("fork_cotter", 8, 805, key, depth=69.8, at=(x + 0.18, y), spots={804: (x - 0.18, y)})
    fit.strap_end(
        board,
        8,
        {"big_strap": 806, "big_brass": 807, "big_gib": 808, "big_cotter": 809, "big_cup": 810},
        "big",
        pin,
        k.crank_end,
        big,
        p.pin,
        72,
    )
    motion.crank_arm(board, 9, {"disc": 901, "shaft": 903, "key": 904}, p, 60)
    motion.pin_end(board, 9, 902, "crank_pin", pin, p.pin, 75)
    foot = k.bed
    block = sh.poly(
        (-0.72, foot),
        (0.72, foot),
        (0.72, foot + 0.13),
        (0.98 * s, foot + 0.18),
        (0.98 * s, 0.0),
        (-0.98 * s, 0.0),
        (-0.98 * s, foot + 0.18),
        (-0.72, foot + 0.13),
    )
    board.add("main_block", 9, 905, block, depth=40, at=(-0.6, foot + 0.08), spots={910: (0.6, foot + 0.2)})
    top = 1.08 * s
    cap = sh.rounded(
        [
            (-0.98 * s, 0.02),
            (0.98 * s, 0.02),
            (0.98 * s, top - 0.12),
            (0.6 * s, top),
            (-0.6 * s, top),
            (-0.98 * s, top - 0.12),
        ],
        0.05,
    )
    board.add("main_cap", 9, 906, cap, depth=41, at=(-0.78 * s, 0.6 * s), spots={912: (-0.95 * s, 0.02)})
    board.add(
        "main_brass", 9, 907, sh.circle(0, 0, 0.76 * s), depth=41.5, at=sh.at_angle(0, 0, 0.66 * s, 225), cut="bronze"
    )
    nuts = [fit.nut(v * 0.8 * s, top - 0.08, 0.13) for v in (-1, 1)]
    board.add("cap_nuts", 9, 909, nuts, depth=42, at=(0.8 * s, top), spots={908: (0.8 * s, top + 0.08)})
    fit.oil_cup(board, 9, 911, (0, top), 0.15, 42)
    eccentric(board, p, k)


def cross_rib(a: Point, b: Point) -> sh.Shape:
    return sh.run(sh.along(a, b, 0.06), sh.along(a, b, 0.94))


def eccentric(board: Board, p: Proportions, k: Linkage) -> None:
    s = p.shaft
    sheave = sh.at_angle(0, 0, 0.2, p.crank_angle + 95)
    gab = (k.rod_x + 1.32, k.bed + 0.62)
    way = sh.direction(sheave, gab)
    ring = sh.join(sh.circle(*sheave, 1.3 * s), sh.circle(*sheave, 1.08 * s))
    board.add(
        "strap",
        11,
        1103,
        ring,
        depth=44,
        at=sh.at_angle(*sheave, 1.19 * s, 262),
        spots={1104: sh.at_angle(*sheave, 1.2 * s, 90)},
    )
    board.add(
        "sheave",
        11,
        1101,
        sh.circle(*sheave, 1.08 * s),
        depth=43.8,
        at=sh.at_angle(*sheave, 0.95 * s, 285),
        spots={1102: sh.at_angle(*sheave, 0.9 * s, 210)},
    )
    top, foot = (sh.at_angle(*sheave, 1.2 * s, way + t) for t in (-75, 75))
    tip = sh.along(sheave, gab, 0.9)
    bars = [sh.link(q, tip, 0.035) for q in (top, foot)]
    stays = [sh.link(sh.along(top, tip, t), sh.along(foot, tip, t), 0.022) for t in (0.3, 0.5, 0.7)]
    board.add(
        "eccentric_rod",
        11,
        1106,
        [*bars, *stays],
        depth=43,
        at=sh.along(foot, tip, 0.4),
        spots={1107: sh.along(sheave, gab, 0.88)},
    )
    board.add(
        "gab",
        11,
        1108,
        sh.link(tip, gab, 0.06, 0.1),
        depth=43.5,
        at=sh.along(tip, gab, 0.6),
        spots={1105: sh.at_angle(*sheave, 1.25 * s, 270)},
    )


def governor(board: Board, p: Proportions, k: Linkage) -> None:
    x = k.centre[0] + max(0.36 * k.arm, 1.5)
    steam_fit.governor(
        board,
        12,
        {
            "stand": 1201,
            "spindle": 1202,
            "ball": 1203,
            "upper": 1204,
            "lower": 1205,
            "pin": 1215,
            "sleeve": 1206,
            "bevel": 1207,
            "crank": 1211,
            "stand_bolt": 1217,
        },
        x,
        k.bed,
        2.7,
        76,
    )
    y = k.bed + 0.3
    board.add("drive_shaft", 12, 1208, sh.box(x + 0.1, y - 0.035, -0.2, y + 0.035), depth=39, at=((x - 0.2) / 2, y))
    bearing = [
        sh.poly((q - 0.13, k.bed), (q + 0.13, k.bed), (q + 0.08, y + 0.08), (q - 0.08, y + 0.08)) for q in (x * 0.45,)
    ]
    board.add("shaft_bearing", 12, 1209, bearing, depth=39.5, at=(x * 0.45, y - 0.15), spots={1210: (x * 0.45, y)})
    end = (k.rod_x + 1.55, k.bed + 2.65)
    start = (x - 0.49, k.bed + 0.92)
    board.add("throttle_rod", 12, 1212, sh.link(start, end, 0.025), depth=38, at=sh.along(start, end, 0.3))
