"""The head of the oil engine: valves, ignition, fuel, cooling and exhaust.

It shows a hot tube and a low-tension igniter, as the starter list has both. All lengths are bores.
Numbers are those of the starter list of the kind.
"""

from __future__ import annotations

from .. import fittings as fit
from .. import shapes as sh
from ..pieces import Board
from ..proportions import Proportions


def head(board: Board, p: Proportions, k) -> None:
    x = k.head
    board.add(
        "head",
        3,
        301,
        [sh.rounded_box(x - 0.62, -0.78, x - 0.12, 0.82, 0.12), sh.box(x - 0.14, -0.88, x, 0.88)],
        depth=52,
        at=(x - 0.3, -0.55),
        spots={304: (x, 0.85)},
    )
    nuts = [fit.side_nut(x - 0.14, v, 0.12, -1) for v in (0.82, -0.82)]
    board.add("head_nuts", 3, 303, nuts, depth=53, at=(x - 0.18, 0.82), spots={302: (x - 0.28, -0.82)})
    pipe = sh.tube([(x - 0.3, 0.8), (x - 0.3, 1.02), (x + 0.32, 1.02)], 0.2, 0.14)
    board.add("crossover", 3, 307, pipe, depth=51.5, at=(x - 0.1, 1.02), spots={308: (x - 0.24, 0.84)})
    cock = [sh.box(x - 0.05, 0.88, x + 0.02, 1.1), sh.box(x - 0.12, 1.1, x + 0.1, 1.18)]
    board.add("release_cock", 3, 309, cock, depth=53, at=(x - 0.02, 1.14))
    for key, y, valve, spring, cage in (("inlet", 0.34, 401, 402, 408), ("exhaust", -0.2, 403, 404, 407)):
        board.add(
            f"{key}_cage",
            4,
            cage,
            [sh.box(x - 0.7, y - 0.2, x - 0.6, y + 0.2)],
            depth=53,
            at=(x - 0.65, y + 0.15),
            spots={409: (x - 0.6, y - 0.18)} if key == "inlet" else None,
        )
        board.add(
            f"{key}_valve",
            4,
            valve,
            sh.box(x - 1.08, y - 0.03, x - 0.7, y + 0.03),
            depth=53.2,
            at=(x - 1.04, y),
            spots={406: (x - 1.02, y - 0.02)} if key == "exhaust" else {410: (x - 0.66, y - 0.12)},
        )
        coil = [sh.run((x - 0.72 - 0.055 * i, y - 0.12), (x - 0.76 - 0.055 * i, y + 0.12)) for i in range(4)]
        board.add(
            f"{key}_spring",
            4,
            spring,
            sh.box(x - 0.96, y - 0.12, x - 0.7, y + 0.12),
            coil,
            depth=53.4,
            at=(x - 0.84, y + 0.06),
        )
    cups = [sh.box(x - 1.0, y - 0.14, x - 0.95, y + 0.14) for y in (0.34, -0.2)]
    board.add("spring_cups", 4, 405, cups, depth=53.6, at=(x - 0.975, 0.44))
    bracket = sh.poly((x - 0.62, -0.72), (x - 0.62, -0.46), (x - 0.96, -0.48), (x - 0.96, -0.62))
    board.add("rocker_bracket", 9, None, bracket, depth=52.5, at=(x - 0.75, -0.6))
    _exhaust(board, k)


def _exhaust(board: Board, k) -> None:
    x = k.head - 0.36
    low = k.skid + 0.05
    elbow = [sh.box(x - 0.24, -0.88, x + 0.24, -0.78), sh.box(x - 0.15, -1.2, x + 0.15, -0.88)]
    board.add(
        "exhaust_elbow",
        14,
        1401,
        elbow,
        depth=50,
        at=(x - 0.08, -1.02),
        spots={1405: (x + 0.2, -0.83), 1406: (x - 0.2, -0.78)},
    )
    pipe = sh.tube([(x, -1.2), (x, low + 0.35), (x - 0.72, low + 0.35)], 0.2, 0.2)
    board.add("exhaust_pipe", 14, 1402, pipe, depth=49, at=(x, -1.5))
    pot = sh.rounded_box(x - 1.7, low, x - 0.72, low + 0.72, 0.16)
    board.add(
        "silencer",
        14,
        1403,
        pot,
        [sh.run((x - 1.5, low), (x - 1.5, low + 0.72)), sh.run((x - 0.92, low), (x - 0.92, low + 0.72))],
        depth=49.5,
        at=(x - 1.2, low + 0.25),
        spots={1404: (x - 0.84, low + 0.6)},
    )


def ignition(board: Board, k) -> None:
    x = k.head - 0.42
    board.add("hot_tube", 11, 1101, sh.box(x - 0.04, 0.8, x + 0.04, 1.5), depth=54.2, at=(x, 1.02))
    chimney = [
        sh.poly((x - 0.17, 1.12), (x + 0.17, 1.12), (x + 0.17, 1.95), (x - 0.17, 1.95)),
        sh.box(x - 0.22, 1.95, x + 0.22, 2.02),
    ]
    board.add(
        "tube_chimney", 11, 1102, chimney, [sh.run((x - 0.17, 1.25), (x + 0.17, 1.25))], depth=54.4, at=(x + 0.06, 1.7)
    )
    burner = [sh.rounded_box(x - 0.5, 1.12, x - 0.17, 1.24, 0.04)]
    board.add("tube_burner", 11, 1103, burner, depth=54, at=(x - 0.4, 1.18), spots={1104: (x - 0.2, 1.18)})
    cx, cy = k.head - 0.36, 0.06
    board.add(
        "igniter",
        11,
        1105,
        sh.rounded_box(cx - 0.17, cy - 0.15, cx + 0.17, cy + 0.15, 0.04),
        depth=54,
        at=(cx - 0.12, cy + 0.1),
        spots={1113: (cx + 0.13, cy - 0.11)},
    )
    board.add("electrodes", 11, 1106, sh.circle(cx - 0.06, cy, 0.04), depth=54.5)
    board.add(
        "moving_electrode", 11, 1107, sh.circle(cx + 0.07, cy, 0.04), depth=54.5, spots={1108: (cx + 0.07, cy + 0.05)}
    )
    board.add(
        "trip_rod",
        11,
        1109,
        sh.link((cx + 0.07, cy), (k.end + 0.35, -0.5), 0.022),
        depth=61,
        at=sh.along((cx, cy), (k.end, -0.5), 0.55),
        spots={1110: (cx + 0.3, cy - 0.04)},
    )


def fuel(board: Board, k) -> None:
    x = k.head
    mixer = [
        sh.rounded_box(x - 1.42, 0.16, x - 1.08, 0.56, 0.06),
        sh.poly((x - 1.42, 0.24), (x - 1.42, 0.48), (x - 1.72, 0.58), (x - 1.72, 0.14)),
    ]
    board.add(
        "mixer", 12, 1212, mixer, depth=55, at=(x - 1.2, 0.26), spots={1214: (x - 1.68, 0.36), 1211: (x - 1.25, 0.5)}
    )
    pipe = sh.tube([(x - 1.25, 0.56), (x - 1.25, 0.74), (x - 0.55, 0.74), (x - 0.55, 0.58)], 0.14, 0.1)
    board.add("air_pipe", 12, 1213, pipe, depth=52.2, at=(x - 0.95, 0.74))
    board.add(
        "vaporiser", 12, 1201, sh.rounded_box(x - 0.62, 0.5, x - 0.12, 0.76, 0.08), depth=53.8, at=(x - 0.28, 0.66)
    )
    tx, ty = x - 1.6, 1.52
    board.add(
        "fuel_tank",
        12,
        1215,
        sh.rounded_box(tx - 0.5, ty, tx + 0.5, ty + 0.62, 0.1),
        [sh.run((tx - 0.3, ty), (tx - 0.3, ty + 0.62)), sh.run((tx + 0.3, ty), (tx + 0.3, ty + 0.62))],
        depth=54,
        at=(tx, ty + 0.4),
    )
    board.add("tank_cap", 12, 1216, sh.box(tx - 0.13, ty + 0.62, tx + 0.13, ty + 0.74), depth=54.2)
    board.add(
        "fuel_cock",
        12,
        1217,
        [sh.box(tx + 0.3, ty - 0.14, tx + 0.38, ty), sh.box(tx + 0.24, ty - 0.1, tx + 0.44, ty - 0.05)],
        depth=54.2,
        at=(tx + 0.34, ty - 0.09),
    )
    line = sh.tube([(tx + 0.34, ty - 0.14), (tx + 0.34, 0.56)], 0.05, 0.02)
    board.add("fuel_pipe", 12, 1209, line, depth=53.5, at=(tx + 0.34, 1.0), spots={1210: (tx + 0.34, 0.6)})
    bracket = sh.poly((tx + 0.5, ty + 0.08), (tx + 0.5, ty - 0.06), (x - 0.6, 0.72), (x - 0.6, 0.8))
    board.add(
        "tank_bracket",
        12,
        1218,
        bracket,
        depth=51,
        at=sh.along((tx + 0.5, ty), (x - 0.6, 0.76), 0.5),
        spots={1219: (x - 0.63, 0.77)},
    )


def cooling(board: Board, k) -> None:
    right = k.head - 2.35
    left = right - 0.95
    foot, top = k.ground, min(1.2, k.ground + 4.4)
    board.add(
        "cooling_tank",
        13,
        1301,
        sh.box(left, foot, right, top),
        [
            sh.run((left, foot + 0.25), (right, foot + 0.25)),
            sh.run((left, top - 0.2), (right, top - 0.2)),
            sh.run((left + 0.03, top - 0.5), (right - 0.03, top - 0.5)),
        ],
        depth=48,
        at=(left + 0.3, top - 0.9),
        spots={1308: (right - 0.2, top - 0.3)},
    )
    a = k.head + 0.55
    up = sh.tube([(a, 1.0), (a, 2.35), (right + 0.1, 2.35), (right - 0.3, 2.35), (right - 0.3, top)], 0.16, 0.2)
    board.add("upper_pipe", 13, 1302, up, depth=47, at=(right + 0.2, 2.35))
    y = k.base + 0.38
    down = sh.tube([(right, y), (k.head + 0.15, y), (k.head + 0.15, -0.8)], 0.16, 0.2)
    board.add("lower_pipe", 13, 1303, down, depth=45, at=(right + 0.6, y))
    hoses = [sh.box(right + 0.9, y - 0.12, right + 1.3, y + 0.12)]
    board.add(
        "hose",
        13,
        1304,
        hoses,
        [
            sh.run((right + 0.98, y - 0.12), (right + 0.98, y + 0.12)),
            sh.run((right + 1.22, y - 0.12), (right + 1.22, y + 0.12)),
        ],
        depth=46,
        at=(right + 1.1, y),
        spots={1305: (right + 0.98, y + 0.06)},
    )
    cock = [
        sh.box(right, foot + 0.3, right + 0.2, foot + 0.37),
        sh.box(right + 0.08, foot + 0.24, right + 0.14, foot + 0.48),
    ]
    board.add("tank_cock", 13, 1306, cock, depth=48, at=(right + 0.11, foot + 0.36))
