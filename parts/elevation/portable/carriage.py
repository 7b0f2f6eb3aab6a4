"""Road wheels, forecarriage and plates of the portable engine.

All lengths are bores. Numbers are those of the starter list of the kind.
"""

from __future__ import annotations

from math import cos, radians, sin

from .. import shapes as sh
from ..pieces import Board
from ..proportions import Proportions


def road_wheel(board: Board, key: str, part: int, boss: int, x: float, y: float, r: float, depth: float) -> None:
    """Lay down a road wheel of flat spokes."""
    spokes = []
    for i in range(12):
        a = radians(30 * i + 15)
        c, s = cos(a), sin(a)
        near, far, w = 0.16 * r, 0.9 * r, 0.028 * r
        spokes.append(
            sh.poly(
                (x + near * c - w * s, y + near * s + w * c),
                (x + far * c - w * s, y + far * s + w * c),
                (x + far * c + w * s, y + far * s - w * c),
                (x + near * c + w * s, y + near * s - w * c),
            )
        )
    rim = sh.join(sh.circle(x, y, r), sh.circle(x, y, 0.9 * r))
    board.add(
        key,
        17,
        part,
        [sh.join(*spokes), rim],
        [sh.circle(x, y, 0.94 * r)],
        depth=depth,
        at=sh.at_angle(x, y, 0.95 * r, 235),
    )
    board.add(
        f"{key}_boss",
        17,
        boss,
        sh.circle(x, y, 0.18 * r),
        [sh.circle(x, y, 0.13 * r)],
        depth=depth + 0.3,
        at=sh.at_angle(x, y, 0.155 * r, 300),
    )


def carriage(board: Board, p: Proportions, k) -> None:
    hind = 0.47 * (k.top - k.ground) * 0.86
    fore = 0.36 * (k.top - k.ground) * 0.86
    hx = k.fire_right - 0.1 if k.fire_right - k.fire_left < hind else (k.fire_left + k.fire_right) / 2
    hy = k.ground + hind
    fx, fy = (k.smoke_left + k.smoke_right) / 2 - 0.2, k.ground + fore
    road_wheel(board, "hind_wheel", 1701, 1703, hx, hy, hind, 70)
    board.add(
        "hind_axle",
        17,
        1704,
        sh.circle(hx, hy, 0.09 * hind),
        [sh.box(hx - 0.02, hy - 0.1, hx + 0.02, hy + 0.1)],
        depth=71,
        at=(hx + 0.04, hy + 0.05),
        spots={1706: (hx, hy + 0.07), 1707: (hx - 0.1, hy - 0.05)},
    )
    road_wheel(board, "fore_wheel", 1702, 1703, fx, fy, fore, 70)
    board.add("fore_axle", 17, 1705, sh.circle(fx, fy, 0.1 * fore), depth=71, at=(fx + 0.03, fy))
    perch = sh.poly(
        (fx - 0.45, k.foot - 0.02), (fx + 0.45, k.foot - 0.02), (fx + 0.28, k.foot - 0.5), (fx - 0.28, k.foot - 0.5)
    )
    board.add("perch", 17, 1708, perch, depth=46, at=(fx - 0.2, k.foot - 0.2), spots={1709: (fx, k.foot - 0.42)})
    ring = [sh.box(fx - 0.75, k.foot - 0.6, fx + 0.75, k.foot - 0.5)]
    board.add("turntable", 17, 1710, ring, depth=46.2, at=(fx + 0.6, k.foot - 0.55))
    beam = sh.poly((fx - 0.3, k.foot - 0.6), (fx + 0.3, k.foot - 0.6), (fx + 0.2, fy - 0.1), (fx - 0.2, fy - 0.1))
    board.add("fore_carriage", 17, 1705, beam, depth=45.8, at=(fx + 0.03, fy))
    bar = sh.link((fx + 0.1, fy + 0.05), (k.smoke_right + 1.7, fy + 0.35), 0.09, 0.06)
    board.add(
        "drawbar",
        17,
        1711,
        bar,
        depth=45,
        at=(k.smoke_right + 1.0, fy + 0.24),
        spots={1712: (k.smoke_right + 1.62, fy + 0.34)},
    )
    scotch = sh.poly((hx + hind * 0.62, k.ground), (hx + hind * 1.12, k.ground), (hx + hind * 1.0, k.ground + 0.28))
    board.add("scotch", 17, 1715, scotch, depth=69)
    y = (k.foot + k.top) / 2 + 0.65
    plate = sh.oval((k.fire_right + k.smoke_left) / 2 + 0.4, y - 0.2, 0.42, 0.22)
    board.add(
        "makers_plate", 18, 1801, plate, depth=45, spots={1802: ((k.fire_right + k.smoke_left) / 2 + 0.1, y - 0.2)}
    )
