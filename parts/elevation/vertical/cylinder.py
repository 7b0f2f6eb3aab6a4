"""The top of the vertical engine: cylinder, lagging, chest, stop valve and governor.

All lengths are bores. Numbers are those of the starter list of the kind.
"""

from __future__ import annotations

from .. import fittings as fit
from .. import shapes as sh
from .. import steam_fittings as steam_fit
from ..pieces import Board
from ..proportions import Proportions


def cylinder(board: Board, p: Proportions, foot: float, top: float) -> None:
    body, flange = 0.68, 0.84
    low, high = foot + 0.12, top - 0.14
    board.add(
        "cylinder",
        3,
        301,
        [
            sh.box(-body, low, body, high),
            sh.box(-flange, low, flange, low + 0.12),
            sh.box(-flange, high - 0.12, flange, high),
        ],
        depth=54,
        at=(-0.76, high - 0.06),
        spots={307: (-0.8, high)},
    )
    board.add("bottom_cover", 3, 303, sh.box(-0.88, foot, 0.88, low), depth=54.5, at=(-0.3, foot + 0.06))
    board.add("top_cover", 3, 302, sh.box(-flange, high, flange, top - 0.02), depth=55, at=(0.62, high + 0.06))
    casing = (
        ("M", -0.62, top - 0.02),
        ("C", -0.55, top + 0.12, -0.3, top + 0.14, 0, top + 0.14),
        ("C", 0.3, top + 0.14, 0.55, top + 0.12, 0.62, top - 0.02),
        ("Z",),
    )
    board.add("top_casing", 4, 404, casing, depth=54.8, at=(-0.3, top + 0.05), spots={405: (0.5, top + 0.05)})
    xs = (-0.74, -0.5, 0.5, 0.74)
    nuts = [fit.nut(x, top - 0.02, 0.12) for x in (-0.74, 0.74)]
    nuts += [fit.nut(x, low + 0.12, 0.11) for x in xs]
    board.add(
        "cover_nuts",
        3,
        306,
        nuts,
        depth=56,
        at=(-0.74, top + 0.03),
        spots={304: (0.74, top + 0.12), 305: (-0.74, low + 0.24)},
    )
    left, a, b = 0.62, low + 0.24, high - 0.14
    staves = [sh.run((s * k * left, a), (s * k * left, b)) for k in (0.95, 0.82, 0.64, 0.42, 0.16) for s in (1, -1)]
    board.add(
        "lagging",
        4,
        401,
        sh.box(-0.66, a, 0.66, b),
        staves,
        depth=57,
        at=(-0.2, a + 0.62 * (b - a)),
        spots={406: (0.3, b)},
    )
    bands = [a + (b - a) * k for k in (0.12, 0.5, 0.88)]
    board.add(
        "bands",
        4,
        402,
        [sh.box(-0.68, y - 0.045, 0.68, y + 0.045) for y in bands],
        depth=58,
        at=(-0.45, bands[1]),
        spots={403: (-0.64, bands[0])},
    )
    cocks = [
        sh.join(sh.box(-0.98, y - 0.04, -0.66, y + 0.04), sh.box(-0.9, y - 0.1, -0.84, y + 0.1))
        for y in (low + 0.3, high - 0.3)
    ]
    board.add("drain_cocks", 3, 313, cocks[:1], depth=53, at=(-0.87, low + 0.3))
    board.add(
        "drain_pipe",
        3,
        315,
        sh.box(-0.99, foot - 0.9, -0.93, low + 0.26),
        depth=52.5,
        at=(-0.96, foot - 0.4),
        spots={314: (-0.87, low + 0.4)},
    )
    board.add("indicator_plug", 3, 317, cocks[1], depth=53, at=(-0.87, high - 0.3))
    relief = [sh.box(0.2, top + 0.1, 0.28, top + 0.3), sh.box(0.16, top + 0.3, 0.32, top + 0.38)]
    board.add("relief", 3, 316, relief, depth=54.6, at=(0.24, top + 0.33))
    cup = [
        sh.box(-0.28, top + 0.1, -0.22, top + 0.22),
        sh.rounded_box(-0.36, top + 0.22, -0.14, top + 0.5, 0.05),
        sh.box(-0.3, top + 0.5, -0.2, top + 0.56),
    ]
    board.add("lubricator", 16, 1601, cup, depth=54.6, at=(-0.25, top + 0.36))
    fit.gland(
        board,
        3,
        {"neck": 309, "gland": 308, "packing": 312, "stud": 310, "nut": 311},
        0,
        foot,
        0.28,
        0.44,
        33,
        angle=-90,
        key="rod_",
    )
    box = sh.box(-0.78, foot - 0.62, -0.54, foot - 0.36)
    board.add(
        "oil_box", 16, 1602, box, [sh.run((-0.78, foot - 0.42), (-0.54, foot - 0.42))], depth=64, at=(-0.66, foot - 0.5)
    )
    pipes = [sh.box(-0.74, foot - 1.3, -0.71, foot - 0.62), sh.box(-0.62, foot - 1.6, -0.59, foot - 0.62)]
    board.add("oil_pipes", 16, 1603, pipes, depth=63.5, at=(-0.605, foot - 1.1), spots={1604: (-0.725, foot - 0.9)})


def chest(board: Board, p: Proportions, foot: float, top: float) -> None:
    low, high = foot + 0.3, top - 0.3
    seat = sh.poly((0.6, low + 0.06), (0.78, low), (0.78, high), (0.6, high - 0.06))
    board.add("chest_seat", 3, 301, seat, depth=58.5, at=(-0.76, top - 0.2))
    board.add("chest_body", 3, 301, sh.box(0.74, low, 1.2, high), depth=59.5, at=(-0.76, top - 0.2))
    board.add(
        "chest_cover",
        5,
        501,
        sh.box(1.2, low - 0.03, 1.32, high + 0.03),
        depth=60,
        at=(1.26, low + 0.2),
        spots={504: (1.2, high)},
    )
    count = max(3, round((high - low) / 0.4))
    ys = [low + (high - low) * (i + 0.5) / count for i in range(count)]
    ys = [y for y in ys if abs(y - (low + high) / 2) > 0.22]
    board.add(
        "chest_nuts",
        5,
        503,
        [fit.side_nut(1.32, y, 0.1) for y in ys],
        depth=60.5,
        at=(1.36, ys[0]),
        spots={502: (1.44, ys[-1])},
    )
    board.add("spindle_boss", 3, 301, sh.box(0.9, foot - 0.02, 1.14, low), depth=59, at=(-0.76, top))
    cock = [sh.box(1.06, low - 0.22, 1.12, low), sh.box(1.0, low - 0.16, 1.18, low - 0.1)]
    board.add("chest_drain", 5, 509, cock, depth=58, at=(1.09, low - 0.13))
    board.add("valve", 6, 601, (), (), depth=1, at=(1.0, (low + high) / 2))
    y = (low + high) / 2
    pipe = sh.tube([(-0.66, y), (-1.32, y), (-1.32, foot - 0.6)], 0.4, 0.3)
    flange = [sh.box(-0.76, y - 0.3, -0.66, y + 0.3), sh.box(-1.62, foot - 0.7, -1.02, foot - 0.6)]
    board.add("exhaust", 7, 712, [pipe, *flange], depth=52, at=(-1.32, y - 0.5), spots={713: (-0.71, y + 0.25)})


def steam(board: Board, foot: float, top: float, drive: float) -> None:
    y = (foot + top) / 2
    throttle = [
        sh.box(1.32, y - 0.26, 1.4, y + 0.26),
        sh.box(1.4, y - 0.16, 1.88, y + 0.16),
        sh.box(1.88, y - 0.26, 1.96, y + 0.26),
        sh.box(1.5, y + 0.16, 1.78, y + 0.34),
    ]
    board.add(
        "throttle", 8, 813, throttle, [sh.circle(1.64, y, 0.12)], depth=61, at=(1.47, y - 0.07), spots={814: (1.6, y)}
    )
    board.add("throttle_spindle", 8, 815, sh.circle(1.64, y, 0.05), depth=61.5)
    steam_fit.governor(
        board,
        8,
        {
            "stand": 801,
            "spindle": 802,
            "ball": 803,
            "upper": 804,
            "lower": 804,
            "pin": 816,
            "sleeve": 805,
            "bevel": 806,
            "pulley": 807,
            "belt": 819,
            "pulley_shaft": 808,
            "weight": 810,
            "crank": 811,
            "link": 812,
            "stand_bolt": 818,
        },
        1.64,
        y + 0.34,
        1.75,
        62,
        drive=drive,
    )
    s = 0.29
    steam_fit.stop_valve(
        board,
        7,
        {
            "body": 701,
            "cover": 702,
            "cover_nut": 703,
            "spindle": 706,
            "handwheel": 707,
            "gland": 708,
            "flange_bolt": 710,
        },
        1.96 + 1.72 * s,
        y,
        s,
        61,
    )
