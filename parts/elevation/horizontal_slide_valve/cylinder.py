"""The cylinder end of the horizontal slide-valve engine, with chest, steam and governor.

All lengths are bores. Numbers are those of the starter list of the kind.
"""

from __future__ import annotations

from .. import fittings as fit
from .. import shapes as sh
from .. import steam_fittings as steam_fit
from ..pieces import Board
from ..proportions import Proportions


def cylinder(board: Board, p: Proportions, front: float, back: float, bed_top: float) -> None:
    body, flange, t = 0.8, 0.87, 0.13
    feet = [
        sh.poly(
            (x - 0.42, bed_top),
            (x + 0.42, bed_top),
            (x + 0.42, bed_top + 0.09),
            (x + 0.3, bed_top + 0.09),
            (x + 0.26, -0.6),
            (x - 0.26, -0.6),
            (x - 0.3, bed_top + 0.09),
            (x - 0.42, bed_top + 0.09),
        )
        for x in (back + 0.75, front - 0.75)
    ]
    flanges = [sh.box(x, -flange, x + t, flange) for x in (back + 0.17, front - 0.3)]
    board.add(
        "cylinder",
        2,
        201,
        [*feet, sh.box(back + 0.17, -body, front - 0.17, body), *flanges],
        depth=50,
        at=(back + 0.235, -0.62),
        spots={207: (front - 0.17, -0.7)},
    )
    w = 0.17
    bolts = [x + k * 0.33 for x in (back + 0.75, front - 0.75) for k in (-1, 1)]
    board.add(
        "holding_down",
        1,
        103,
        [fit.nut(x, bed_top + 0.09, w) for x in bolts],
        depth=51,
        at=(bolts[0], bed_top + 0.17),
        spots={102: (bolts[3], bed_top + 0.25)},
    )
    board.add("dowel", 1, 104, sh.box(front - 0.79, bed_top, front - 0.71, bed_top + 0.14), depth=51)
    for key, part, x1, x2, way in (
        ("front_cover", 202, front - 0.17, front, 1),
        ("back_cover", 203, back + 0.17, back, -1),
    ):
        board.add(
            key,
            2,
            part,
            sh.box(min(x1, x2), -flange, max(x1, x2), flange),
            depth=52,
            at=((x1 + x2) / 2, 0.5 if way > 0 else -0.3),
        )
    dome = (
        ("M", back, -0.6),
        ("C", back - 0.16, -0.45, back - 0.2, -0.2, back - 0.2, 0),
        ("C", back - 0.2, 0.2, back - 0.16, 0.45, back, 0.6),
        ("Z",),
    )
    board.add("casing", 3, 304, dome, [], depth=51.5, at=(back - 0.13, -0.12), spots={305: (back - 0.05, 0.46)})
    rows = (-0.74, -0.47, 0.47, 0.74)
    for key, part, x, way in (("front_nuts", 206, front, 1), ("back_nuts", 206, back, -1)):
        board.add(
            key,
            2,
            part,
            [fit.side_nut(x, v, 0.13, way) for v in rows],
            depth=53,
            at=(x + way * 0.06, -0.74),
            spots={204 if way > 0 else 205: (x + way * 0.13, -0.47)},
        )
    # Staves between the flanges, hooped with bands.
    left, right, high = back + 0.33, front - 0.33, 0.75
    edges = [k * high for k in (0.96, 0.86, 0.72, 0.54, 0.33, 0.11)]
    staves = [sh.run((left, s * y), (right, s * y)) for y in edges for s in (1, -1)]
    board.add(
        "lagging",
        3,
        301,
        sh.box(left, -high, right, high),
        staves,
        depth=54,
        at=(left + 0.36 * (right - left), 0.22),
        spots={306: (left + 0.015, -0.4)},
    )
    bands = [left + (right - left) * k for k in (0.14, 0.5, 0.86)]
    board.add(
        "bands",
        3,
        302,
        [sh.box(x - 0.05, -high - 0.02, x + 0.05, high + 0.02) for x in bands],
        depth=55,
        at=(bands[1], -0.3),
    )
    board.add(
        "band_screws",
        3,
        303,
        [sh.box(x - 0.1, -high - 0.12, x + 0.1, -high - 0.02) for x in bands],
        depth=55,
        at=(bands[1], -high - 0.07),
    )
    cocks = [back + 0.46, front - 0.46]
    board.add(
        "drain_cocks",
        2,
        213,
        [sh.join(sh.box(x - 0.06, -1.0, x + 0.06, -0.8), sh.box(x - 0.13, -0.93, x + 0.13, -0.87)) for x in cocks],
        depth=49.5,
        at=(cocks[1], -0.96),
    )
    board.add(
        "drain_pipes",
        2,
        216,
        [sh.box(x - 0.035, bed_top - 0.02, x + 0.035, -0.93) for x in cocks],
        depth=49,
        at=(cocks[0], -0.955),
    )
    board.add(
        "drain_rod", 2, 214, sh.box(cocks[0] - 0.1, -0.915, front + 0.25, -0.885), depth=49.2, at=(front + 0.05, -0.9)
    )
    board.add(
        "drain_lever",
        2,
        215,
        sh.link((front + 0.22, -0.9), (front + 0.3, -0.62), 0.035),
        depth=56,
        at=(front + 0.28, -0.68),
    )
    board.add(
        "relief",
        2,
        217,
        [sh.box(front, -0.62, front + 0.2, -0.52), sh.box(front + 0.05, -0.66, front + 0.13, -0.48)],
        depth=52.5,
        at=(front + 0.14, -0.57),
        spots={218: (front + 0.03, -0.57)},
    )
    board.add(
        "indicator_plug",
        2,
        219,
        [sh.box(x - 0.07, high, x + 0.07, high + 0.11) for x in (left + 0.05, right - 0.05)],
        depth=53,
        at=(right - 0.05, high + 0.06),
    )
    fit.gland(
        board,
        2,
        {"neck": 209, "gland": 208, "packing": 212, "stud": 210, "nut": 211},
        front,
        0,
        0.4,
        0.62,
        56,
        key="rod_",
    )


def chest(board: Board, p: Proportions, front: float, back: float) -> None:
    left, right = back + 0.62, front - 0.42
    foot, top = 0.8, 1.72
    board.add(
        "chest_seat",
        2,
        201,
        sh.poly((left + 0.12, foot - 0.08), (right - 0.12, foot - 0.08), (right, foot + 0.16), (left, foot + 0.16)),
        depth=56,
    )
    side = sh.box(left, foot + 0.16, right, top)
    rim = [
        sh.box(left - 0.12, foot + 0.16, right + 0.12, foot + 0.28),
        sh.box(left - 0.12, top - 0.12, right + 0.12, top),
    ]
    panel = sh.rounded(
        [(left + 0.2, foot + 0.44), (right - 0.2, foot + 0.44), (right - 0.2, top - 0.28), (left + 0.2, top - 0.28)],
        0.06,
    )
    board.add("chest", 4, 401, [side, *rim], [panel], depth=57, at=(left + 0.1, 1.1), spots={405: (left - 0.08, top)})
    board.add(
        "chest_cover",
        4,
        402,
        sh.box(left - 0.12, top, right + 0.12, top + 0.14),
        depth=58,
        at=(left + 0.16 * (right - left), top + 0.07),
    )
    count = max(4, round((right - left) / (0.42)))
    xs = [left + (right - left) * i / (count - 1) for i in range(count)]
    mid = 0.5 * (left + right)
    xs = [x for x in xs if abs(x - mid) > 0.36]
    board.add(
        "chest_nuts",
        4,
        404,
        [fit.nut(x, top + 0.14, 0.13) for x in xs],
        depth=58.5,
        at=(xs[0], top + 0.2),
        spots={403: (xs[-1], top + 0.29)},
    )
    y = 1.24
    fit.gland(
        board,
        4,
        {"neck": 407, "gland": 406, "packing": 410, "stud": 408, "nut": 409},
        right,
        y,
        0.22,
        0.4,
        59,
        key="spindle_",
    )
    board.add(
        "tail_guide",
        4,
        411,
        sh.rounded(
            [(left - 0.3, y - 0.09), (left, y - 0.09), (left, y + 0.09), (left - 0.3, y + 0.09)], [0.06, 0, 0, 0.06]
        ),
        depth=57,
    )
    board.add(
        "starting_cock",
        4,
        412,
        [
            sh.box(left - 0.22, foot + 0.32, left, foot + 0.38),
            sh.box(left - 0.16, foot + 0.26, left - 0.1, foot + 0.44),
        ],
        depth=57,
    )


def steam(board: Board, p: Proportions, front: float, back: float) -> None:
    """Stop valve, throttle and governor, over the chest."""
    left, right = back + 0.62, front - 0.42
    x, y = 0.5 * (left + right), 1.86
    run_y = y + 0.74
    throttle = [
        sh.box(x - 0.42, y, x + 0.42, y + 0.1),
        (
            ("M", x - 0.26, y + 0.1),
            ("L", x + 0.26, y + 0.1),
            ("L", x + 0.3, run_y + 0.34),
            ("L", x - 0.3, run_y + 0.34),
            ("L", x - 0.52, run_y + 0.25),
            ("L", x - 0.52, run_y - 0.25),
            ("L", x - 0.4, run_y - 0.25),
            ("Z",),
        ),
        sh.box(x - 0.62, run_y - 0.44, x - 0.52, run_y + 0.44),
        sh.box(x - 0.4, run_y + 0.34, x + 0.4, run_y + 0.42),
    ]
    board.add(
        "throttle",
        7,
        715,
        throttle,
        [sh.circle(x, run_y, 0.13)],
        depth=60,
        at=(x + 0.02, y + 0.4),
        spots={716: (x - 0.06, run_y - 0.05)},
    )
    board.add("throttle_spindle", 7, 717, sh.circle(x, run_y, 0.07), depth=60.5)
    steam_fit.governor(
        board,
        7,
        {
            "stand": 701,
            "spindle": 702,
            "ball": 703,
            "upper": 704,
            "lower": 705,
            "pin": 706,
            "sleeve": 707,
            "bevel": 708,
            "pulley_shaft": 710,
            "pulley": 711,
            "belt": 721,
            "crank": 713,
            "link": 714,
            "weight": 718,
            "stand_bolt": 719,
        },
        x,
        run_y + 0.42,
        2.35,
        61,
        drive=0.8 * p.disc,
    )
    s = 0.46
    vx = x - 0.62 - 1.72 * s
    board.add(
        "steam_pipe",
        6,
        612,
        (
            ("M", vx - 1.72 * s, run_y + 0.5 * s),
            ("L", vx - 3.0 * s, run_y + 0.5 * s),
            ("C", vx - 3.4 * s, run_y + 0.3 * s, vx - 2.7 * s, run_y - 0.1 * s, vx - 3.1 * s, run_y - 0.5 * s),
            ("L", vx - 1.72 * s, run_y - 0.5 * s),
            ("Z",),
        ),
        depth=59,
        at=(vx - 2.4 * s, run_y + 0.1 * s),
    )
    steam_fit.stop_valve(
        board,
        6,
        {
            "body": 601,
            "cover": 602,
            "spindle": 605,
            "handwheel": 606,
            "wheel_nut": 607,
            "gland": 608,
            "flange_bolt": 610,
        },
        vx,
        run_y,
        s,
        60,
    )


def small_things(board: Board, p: Proportions, front: float, back: float, bed_top: float) -> None:
    """Lubricator on the chest's side, pit tray, splash guard, exhaust, feed pump."""
    x, y = back + 0.33, 0.86
    if True:
        lub = [
            sh.box(x - 0.03, y - 0.1, x + 0.03, y + 0.16),
            sh.rounded([(x - 0.13, y + 0.16), (x + 0.13, y + 0.16), (x + 0.13, y + 0.5), (x - 0.13, y + 0.5)], 0.06),
            sh.box(x - 0.07, y + 0.5, x + 0.07, y + 0.58),
        ]
        board.add("lubricator", 17, 1701, lub, depth=56, at=(x, y + 0.34))
    ex = back + 0.98
    board.add("exhaust", 6, 613, sh.box(ex - 0.2, bed_top - 0.02, ex + 0.2, -0.7), depth=48, at=(ex + 0.1, -0.86))
