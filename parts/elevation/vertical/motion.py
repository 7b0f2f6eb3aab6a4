"""Crosshead, rod, crank and valve gear of the vertical engine.

All lengths are bores. Numbers are those of the starter list of the kind.
"""

from __future__ import annotations

from .. import fittings as fit
from .. import motion
from .. import shapes as sh
from ..pieces import Board
from ..proportions import Proportions

_SOLE = -0.42


def crosshead_and_rod(board: Board, p: Proportions, foot: float) -> None:
    r = p.crank
    pin, cross = p.crank_pin(), p.upright_crosshead()
    y, half = cross[1], p.piston_rod / 2
    low, high = p.rod - r - 0.5, p.rod + r + 0.45
    guides = [sh.box(s * 0.36, low, s * 0.46, high) for s in (-1, 1)]
    board.add("guide_plates", 10, 1005, guides, depth=24, at=(-0.41, low + 0.25))
    lugs = [
        sh.box(s * 0.46, y1, s * (0.62 if y1 > p.rod else 0.95), y1 + 0.14)
        for s in (-1, 1)
        for y1 in (low + 0.1, high - 0.3)
    ]
    board.add("guide_lugs", 2, 201, lugs, depth=23, at=(-0.5, low + 0.17))
    keepers = [sh.box(s * 0.3, low, s * 0.36, high) for s in (-1, 1)]
    board.add("keepers", 10, 1006, keepers, depth=34, at=(0.33, low + 0.3))
    bolts = [sh.circle(s * 0.33, low + (high - low) * k, 0.022) for s in (-1, 1) for k in (0.08, 0.36, 0.64, 0.92)]
    board.add("keeper_bolts", 10, 1007, bolts, depth=34.5, at=(-0.33, low + (high - low) * 0.36))
    trays = [sh.poly((s * 0.28, low - 0.1), (s * 0.54, low - 0.1), (s * 0.58, low), (s * 0.24, low)) for s in (-1, 1)]
    board.add("drip_trays", 10, 1011, trays, depth=35, at=(0.45, low - 0.05))
    board.add(
        "piston_rod",
        9,
        905,
        sh.box(-half, y + 0.3, half, foot - 0.45),
        depth=26,
        at=(0, (y + foot) / 2 - 0.02),
        spots={906: (0, y + 0.32)},
    )
    body = [
        sh.rounded_box(-0.24, y - 0.26, 0.24, y + 0.24, 0.07),
        sh.rounded_box(-0.15, y + 0.22, 0.15, y + 0.42, 0.04),
    ]
    board.add("crosshead", 10, 1001, body, depth=27, at=(-0.14, y + 0.17))
    slippers = [sh.box(s * 0.24, y - 0.34, s * 0.35, y + 0.34) for s in (-1, 1)]
    board.add(
        "slippers",
        10,
        1002,
        slippers,
        depth=27.5,
        at=(0.29, y + 0.24),
        spots={1003: (-0.34, y + 0.25), 1004: (0.26, y - 0.2)},
    )
    fit.oil_cup(board, 10, 1010, (-0.32, high), 0.13, 35.5)
    small = 0.62 * p.gudgeon + 0.05
    big = 0.75 * p.pin + 0.08
    a = sh.at_angle(*cross, 1.5 * small, sh.direction(cross, pin))
    b = sh.at_angle(*pin, 1.05 * big, sh.direction(pin, cross))
    board.add(
        "rod", 11, 1101, motion.shank(a, b, 0.55 * small, 0.62 * big, 0.62 * big), depth=28, at=sh.along(a, b, 0.5)
    )
    fit.strap_end(
        board,
        11,
        {"small_brass": 1106, "small_gib": 1107, "small_cotter": 1108, "small_strap": 1101},
        "small",
        cross,
        pin,
        small,
        p.gudgeon,
        29,
    )
    motion.marine_end(
        board,
        11,
        {"rod": 1101, "big_brass": 1102, "big_cap": 1105, "big_bolt": 1103, "big_nut": 1104, "shim": 1110},
        pin,
        cross,
        big,
        29,
    )
    motion.pin_end(board, 10, 1008, "gudgeon", cross, p.gudgeon, 31, {1009: (0.04, y + 0.02)})


def crank(board: Board, p: Proportions) -> None:
    pin, s = p.crank_pin(), p.shaft
    back = p.crank_angle + 180
    web = sh.link((0, 0), pin, 0.82 * s, 0.62 * p.pin)
    board.add("web", 12, 1201, web, [sh.circle(*pin, 0.5 * p.pin)], depth=32, at=(pin[0] + 0.3 * p.pin, pin[1]))
    reach = p.crank * 1.05 + 0.2
    outer = sh.arc(0, 0, reach, back - 48, back + 48)
    weight = (
        *outer,
        ("L", *sh.at_angle(0, 0, 0.8 * s, back + 75)),
        ("L", *sh.at_angle(0, 0, 0.8 * s, back - 75)),
        ("Z",),
    )
    board.add(
        "balance",
        12,
        1202,
        weight,
        depth=31.5,
        at=sh.at_angle(0, 0, reach * 0.8, back - 30),
        spots={1203: sh.at_angle(0, 0, reach * 0.75, back + 25)},
    )


def valve_gear(board: Board, p: Proportions, foot: float) -> None:
    x, s = 1.02, p.shaft
    knuckle = foot - 1.15
    fit.gland(
        board,
        5,
        {"neck": 506, "gland": 505, "packing": 508, "stud": 507},
        x,
        foot - 0.02,
        0.15,
        0.3,
        60,
        angle=-90,
        key="spindle_",
    )
    board.add("spindle", 6, 603, sh.box(x - 0.04, knuckle, x + 0.04, foot - 0.28), depth=59, at=(x, foot - 0.42))
    guide = [
        sh.box(x - 0.12, knuckle + 0.32, x + 0.12, knuckle + 0.56),
        sh.poly((x - 0.12, knuckle + 0.38), (x - 0.12, knuckle + 0.5), (0.55, knuckle + 0.62), (0.55, knuckle + 0.3)),
    ]
    board.add(
        "spindle_guide",
        6,
        605,
        guide,
        depth=61,
        at=(x + 0.07, knuckle + 0.38),
        spots={606: (x, knuckle + 0.56), 607: (0.62, knuckle + 0.46)},
    )
    board.add(
        "knuckle",
        6,
        608,
        sh.rounded_box(x - 0.09, knuckle - 0.1, x + 0.09, knuckle + 0.14, 0.05),
        depth=62,
        at=(x + 0.05, knuckle + 0.09),
    )
    board.add("knuckle_pin", 6, 609, sh.circle(x, knuckle, 0.045), depth=63, spots={610: (x + 0.04, knuckle - 0.03)})
    sheave = sh.at_angle(0, 0, 0.16, p.crank_angle - 105)
    way = sh.direction(sheave, (x, knuckle))
    ring = sh.join(sh.circle(*sheave, 1.2 * s), sh.circle(*sheave, 0.98 * s))
    lugs = [
        sh.turned(
            sh.box(
                sheave[0] - 0.07, sheave[1] + t * 1.15 * s - 0.07, sheave[0] + 0.07, sheave[1] + t * 1.15 * s + 0.13 * t
            ),
            way,
            sheave,
        )
        for t in (-1, 1)
    ]
    board.add(
        "strap",
        14,
        1403,
        [*lugs, ring],
        depth=66,
        at=sh.at_angle(*sheave, 1.09 * s, way + 130),
        spots={1404: sh.at_angle(*sheave, 1.25 * s, way + 90)},
    )
    board.add(
        "sheave",
        14,
        1401,
        sh.join(sh.circle(*sheave, 0.98 * s), sh.circle(0, 0, 0.5 * s)),
        depth=65.8,
        at=sh.at_angle(*sheave, 0.8 * s, p.crank_angle - 105),
        spots={
            1402: sh.at_angle(*sheave, 0.85 * s, p.crank_angle - 60),
            1408: sh.at_angle(0, 0, 0.5 * s, p.crank_angle),
        },
    )
    start = sh.at_angle(*sheave, 1.15 * s, way)
    board.add(
        "eccentric_rod",
        14,
        1405,
        sh.link((x, knuckle), start, 0.05, 0.08),
        depth=61.5,
        at=sh.along((x, knuckle), start, 0.45),
        spots={1406: sh.along((x, knuckle), start, 0.85)},
    )
