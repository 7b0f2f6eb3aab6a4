"""Governor, trolley, half-time gear and push rod of the oil engine.

All lengths are bores. Numbers are those of the starter list of the kind.
"""

from __future__ import annotations

from .. import fittings as fit
from .. import shapes as sh
from ..pieces import Board
from ..proportions import Proportions
from .lines import Lines


def governor(board: Board, p: Proportions) -> None:
    """Two weights pivoted on the wheel's arms, drawn to the collar on the shaft."""
    r = max(0.24 * p.flywheel, 0.8)
    for key, part, shapes in (
        (
            "governor_weights",
            1001,
            [sh.turned(sh.rounded_box(r - 0.16, -0.36, r + 0.14, 0.36, 0.1), a) for a in (40, 220)],
        ),
        ("governor_springs", 1002, [sh.turned(sh.box(0.4, -0.33, r - 0.16, -0.23), a) for a in (40, 220)]),
        ("governor_pins", 1003, [sh.circle(*sh.at_angle(0, 0, r, a), 0.05) for a in (27, 207)]),
    ):
        at = {
            1001: sh.at_angle(0, 0, r, 44),
            1002: sh.at_angle(*sh.at_angle(0, 0, (r + 0.3) / 2, 40), 0.28, -50),
            1003: sh.at_angle(0, 0, r, 27),
        }[part]
        board.add(key, 10, part, shapes, depth=12 + part % 10 * 0.1, at=at)


def trolley(board: Board, p: Proportions, k: Lines) -> None:
    left, right = k.head + 0.1, k.right + 0.4
    board.add(
        "skids",
        16,
        1601,
        sh.poly((left, k.skid), (right, k.skid), (right + 0.1, k.skid + 0.32), (left - 0.1, k.skid + 0.32)),
        [
            sh.run((left + 0.1, k.skid + 0.1), (right - 0.6, k.skid + 0.1)),
            sh.run((left + 0.8, k.skid + 0.2), (right - 0.1, k.skid + 0.22)),
        ],
        depth=22,
        at=(left + 0.6, k.skid + 0.15),
    )
    xs = (left + 0.55, right - 0.55)
    timbers = [sh.box(x - 0.22, k.skid + 0.32, x + 0.22, k.base) for x in xs]
    board.add("cross_timbers", 16, 1602, timbers, depth=23, at=(xs[0] - 0.1, k.skid + 0.42), cut="wood")
    bolts = [fit.nut(x, k.skid, 0.1, -1) for x in xs]
    board.add("skid_bolts", 16, 1603, bolts, depth=23, at=(xs[1], k.skid - 0.06))
    r = min(0.52, 0.8 * (k.skid - k.ground))
    wheels, bosses, axles = [], [], []
    for x in xs:
        wheels.append(sh.join(sh.circle(x, k.ground + r, r), sh.circle(x, k.ground + r, r * 0.8)))
        wheels.append(sh.circle(x, k.ground + r, r * 0.3))
        bosses.append(sh.circle(x, k.ground + r, r * 0.16))
        axles.append(
            sh.poly((x - 0.16, k.skid), (x + 0.16, k.skid), (x + 0.08, k.ground + r), (x - 0.08, k.ground + r))
        )
    spokes = [
        sh.run(sh.at_angle(x, k.ground + r, r * 0.3, a), sh.at_angle(x, k.ground + r, r * 0.8, a))
        for x in xs
        for a in range(0, 360, 45)
    ]
    board.add("axles", 16, 1605, axles, depth=21, at=(xs[0], k.ground + 1.5 * r))
    board.add("trolley_wheels", 16, 1604, wheels, spokes, depth=24, at=sh.at_angle(xs[0], k.ground + r, 0.9 * r, 225))
    board.add(
        "axle_collars",
        16,
        1606,
        bosses,
        depth=24.5,
        at=(xs[1], k.ground + r),
        spots={1607: (xs[1] + 0.06, k.ground + r + 0.05)},
    )
    tip = (k.head - 1.5, k.ground + r + 0.9)
    board.add(
        "draw_handle",
        16,
        1608,
        sh.link((xs[0], k.ground + r), tip, 0.045),
        depth=20,
        at=sh.along((xs[0], k.ground + r), tip, 0.85),
    )


def half_time(board: Board, p: Proportions, k: Lines) -> None:
    """Pinion and half-time wheel on the near side, cam, push rod and its latch."""
    r = max(0.26, 0.62 * p.shaft)
    centre = sh.at_angle(0, 0, 3 * r, 218)
    board.add(
        "pinion",
        9,
        901,
        sh.join(sh.circle(0, 0, r), sh.circle(0, 0, 0.5 * p.shaft)),
        [sh.circle(0, 0, 0.9 * r)],
        depth=64,
        at=sh.at_angle(0, 0, 0.95 * r, 300),
    )
    board.add(
        "half_time_wheel",
        9,
        902,
        sh.circle(*centre, 2 * r),
        [sh.circle(*centre, 1.88 * r), sh.circle(*centre, 1.5 * r)],
        depth=63.8,
        at=sh.at_angle(*centre, 1.7 * r, 265),
    )
    cam = sh.link(centre, sh.at_angle(*centre, 0.45 * r, 120), 0.75 * r, 0.55 * r)
    board.add("cam", 9, 903, cam, depth=64.2, at=sh.at_angle(*centre, 0.7 * r, 110))
    board.add(
        "cam_stud",
        9,
        904,
        sh.circle(*centre, 0.3 * r),
        [sh.circle(*centre, 0.18 * r)],
        depth=64.6,
        at=sh.at_angle(*centre, 0.2 * r, 45),
        spots={905: sh.at_angle(*centre, 0.3 * r, 240)},
    )
    roller = sh.at_angle(*centre, 1.05 * r, 172)
    y = roller[1]
    board.add("roller", 9, 908, sh.circle(*roller, 0.12), depth=65, at=roller)
    left = k.head - 0.86
    board.add("push_rod", 9, 909, sh.box(left, y - 0.045, roller[0] - 0.05, y + 0.045), depth=62, at=(k.head + 1.5, y))
    guide = [sh.box(roller[0] - 0.62, y - 0.13, roller[0] - 0.36, y + 0.13)]
    board.add("push_rod_guide", 9, 910, guide, depth=63, at=(roller[0] - 0.42, y - 0.08))
    rocker = ((k.head - 0.86, -0.55), (left, y))
    board.add(
        "rocker",
        9,
        906,
        [sh.link(rocker[0], (left, y), 0.09, 0.07), sh.link(rocker[0], (k.head - 0.92, -0.2), 0.09, 0.06)],
        depth=63,
        at=(k.head - 0.9, -0.32),
        spots={911: (k.head - 0.9, -0.2), 912: (k.head - 0.96, -0.16)},
    )
    board.add(
        "rocker_pin",
        9,
        907,
        sh.circle(*rocker[0], 0.05),
        depth=64,
        spots={913: (left, y), 1504: (rocker[0][0] + 0.02, rocker[0][1] + 0.03)},
    )
    start, end = (-0.5 * p.shaft - 0.1, 0.45), (roller[0] - 1.0, y + 0.14)
    board.add(
        "detent",
        10,
        1005,
        sh.link(start, end, 0.045),
        depth=62.5,
        at=sh.along(start, end, 0.55),
        spots={1009: sh.along(start, end, 0.35)},
    )
    board.add(
        "catch_plate",
        10,
        1006,
        sh.box(end[0] - 0.16, y + 0.03, end[0] + 0.04, y + 0.15),
        depth=62.6,
        at=(end[0] - 0.1, y + 0.1),
        spots={1007: (end[0], y + 0.08)},
    )
    board.add(
        "collar",
        10,
        1004,
        sh.box(-0.66 * p.shaft, 0.62 * p.shaft, -0.3 * p.shaft, 1.15 * p.shaft),
        depth=61.5,
        spots={1010: start, 1008: (-0.5 * p.shaft, 1.1 * p.shaft)},
    )
