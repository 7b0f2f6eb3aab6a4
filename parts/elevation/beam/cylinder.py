"""The steam end of the beam engine: cylinder, lagging, chest and valve gear, stop valve.

All lengths are bores. Numbers are those of the starter list of the kind.
"""

from __future__ import annotations

from .. import fittings as fit
from .. import shapes as sh
from .. import steam_fittings as steam_fit
from ..pieces import Board
from ..proportions import Proportions


def cylinder(board: Board, p: Proportions, k) -> None:
    x = k.rod_x
    top = k.fixed[1] - p.crank - 0.55
    low = top - p.stroke - 0.55
    if low > k.bed + 0.3:
        board.add(
            "cylinder_stone",
            16,
            1606,
            sh.box(x - 0.95, k.bed, x + 0.95, low - 0.12),
            depth=48,
            at=(x - 0.8, (k.bed + low) / 2),
            pale=True,
        )
    low = max(low, k.bed + 0.12)
    body, flange = 0.66, 0.8
    board.add(
        "cylinder_bottom",
        4,
        402,
        [sh.box(x - 0.92, low - 0.12, x + 0.92, low), sh.box(x - flange, low, x + flange, low + 0.1)],
        depth=54,
        at=(x - 0.7, low + 0.05),
    )
    nuts = [fit.nut(x + s * 0.84, low, 0.12) for s in (-1, 1)]
    board.add("holding_down", 4, 415, nuts, depth=55, at=(x - 0.84, low + 0.05), spots={414: (x + 0.84, low + 0.12)})
    board.add(
        "cylinder",
        4,
        401,
        [
            sh.box(x - body, low + 0.1, x + body, top - 0.1),
            sh.box(x - flange, low + 0.1, x + flange, low + 0.2),
            sh.box(x - flange, top - 0.2, x + flange, top - 0.1),
        ],
        depth=54.5,
        at=(x - 0.72, top - 0.15),
        spots={407: (x - 0.78, top - 0.1)},
    )
    cover = [
        sh.box(x - flange, top - 0.1, x + flange, top),
        sh.poly((x - 0.5, top), (x + 0.5, top), (x + 0.3, top + 0.1), (x - 0.3, top + 0.1)),
    ]
    board.add("top_cover", 4, 403, cover, depth=56, at=(x - 0.4, top - 0.05))
    nuts = [fit.nut(x + s, top, 0.11) for s in (-0.7, -0.58, 0.58, 0.7)]
    nuts += [fit.nut(x + s, low + 0.2, 0.1) for s in (-0.73, 0.73)]
    board.add(
        "cover_nuts",
        4,
        406,
        nuts,
        depth=56.5,
        at=(x - 0.7, top + 0.05),
        spots={404: (x - 0.58, top + 0.12), 405: (x - 0.73, low + 0.3)},
    )
    fit.gland(
        board,
        4,
        {"neck": 409, "gland": 408, "packing": 411, "stud": 410},
        x,
        top + 0.08,
        0.24,
        0.32,
        57,
        angle=90,
        key="rod_",
    )
    cock = [sh.box(x + 0.36, top + 0.02, x + 0.42, top + 0.2), sh.box(x + 0.31, top + 0.2, x + 0.47, top + 0.28)]
    board.add("grease_cock", 4, 412, cock, depth=56.2, at=(x + 0.39, top + 0.24))
    drain = [sh.box(x - 0.95, low + 0.3, x - 0.62, low + 0.37), sh.box(x - 0.9, low + 0.24, x - 0.83, low + 0.43)]
    board.add("drain_cock", 4, 413, drain, depth=53, at=(x - 0.86, low + 0.34))
    a, b = low + 0.24, top - 0.24
    staves = [sh.run((x + s * v, a), (x + s * v, b)) for v in (0.6, 0.5, 0.37, 0.22, 0.07) for s in (-1, 1)]
    board.add(
        "lagging",
        5,
        501,
        sh.box(x - 0.65, a, x + 0.65, b),
        staves,
        depth=57,
        at=(x - 0.3, a + 0.6 * (b - a)),
        spots={505: (x + 0.2, b)},
    )
    bands = [a + (b - a) * v for v in (0.08, 0.36, 0.64, 0.92)]
    board.add(
        "bands",
        5,
        502,
        [sh.box(x - 0.67, y - 0.04, x + 0.67, y + 0.04) for y in bands],
        depth=58,
        at=(x - 0.45, bands[1]),
        spots={503: (x - 0.64, bands[2])},
    )
    board.add(
        "base_moulding",
        5,
        504,
        sh.poly((x - 0.76, a - 0.04), (x + 0.76, a - 0.04), (x + 0.68, a + 0.08), (x - 0.68, a + 0.08)),
        depth=58.5,
        at=(x + 0.3, a + 0.02),
    )
    half = p.piston_rod / 2
    cy = k.cap[1]
    board.add("piston_rod", 7, 706, sh.box(x - half, top + 0.36, x + half, cy - 0.16), depth=59, at=(x, (top + cy) / 2))
    board.add(
        "rod_cap",
        7,
        708,
        sh.rounded_box(x - 0.16, cy - 0.3, x + 0.16, cy + 0.16, 0.06),
        depth=63,
        at=(x - 0.08, cy - 0.2),
    )
    board.add(
        "rod_cotter",
        7,
        710,
        sh.box(x - 0.24, cy - 0.24, x + 0.24, cy - 0.17),
        depth=63.5,
        at=(x + 0.18, cy - 0.2),
        spots={709: (x - 0.18, cy - 0.2), 707: (x + 0.02, cy - 0.2)},
    )
    _chest(board, k, x, low, top)


def _chest(board: Board, k, x: float, low: float, top: float) -> None:
    left, right = x + 0.64, x + 1.14
    a, b = low + 0.34, top - 0.3
    board.add(
        "chest",
        6,
        601,
        [
            sh.box(left, a, right, b),
            sh.box(left - 0.02, a - 0.08, right + 0.06, a),
            sh.box(left - 0.02, b, right + 0.06, b + 0.08),
        ],
        [sh.run((left + 0.1, a), (left + 0.1, b))],
        depth=60,
        at=(left + 0.2, a + 0.2 * (b - a)),
    )
    board.add(
        "chest_cover", 6, 602, sh.box(right, a, right + 0.09, b), depth=60.5, at=(right + 0.045, a + 0.3 * (b - a))
    )
    ys = [a + (b - a) * v for v in (0.08, 0.25, 0.42, 0.9)]
    board.add(
        "chest_nuts",
        6,
        604,
        [fit.side_nut(right + 0.09, y, 0.09) for y in ys],
        depth=60.6,
        at=(right + 0.12, ys[2]),
        spots={603: (right + 0.2, ys[1])},
    )
    sx = (left + right) / 2 + 0.04
    fit.gland(
        board,
        6,
        {"gland": 608, "neck": 608, "packing": 610, "stud": 609},
        sx,
        b + 0.08,
        0.14,
        0.22,
        61,
        angle=90,
        key="spindle_",
    )
    board.add(
        "spindle",
        6,
        606,
        sh.box(sx - 0.035, b + 0.26, sx + 0.035, b + 0.78),
        depth=60.8,
        at=(sx, b + 0.5),
        spots={607: (sx, b + 0.74), 605: (sx, (a + b) / 2)},
    )
    yoke = sh.rounded_box(sx - 0.26, b + 0.62, sx + 0.26, b + 0.7, 0.03)
    board.add("valve_yoke", 6, None, yoke, depth=61.5, at=(left + 0.2, a + 0.2 * (b - a)))
    shaft = (x + 1.32, k.bed + 0.9)
    lift = (sx + 0.22, shaft[1] + 0.1)
    board.add(
        "side_rods", 6, 615, sh.link(lift, (sx + 0.22, b + 0.66), 0.028), depth=62, at=(sx + 0.22, (a + b) / 2 + 0.2)
    )
    board.add(
        "valve_lever",
        6,
        614,
        [sh.link(shaft, lift, 0.07, 0.045), sh.link(shaft, (x + 1.32, k.bed + 0.62), 0.07, 0.05)],
        depth=62.5,
        at=(x + 1.32, k.bed + 0.74),
        spots={617: (x + 1.32, k.bed + 0.62)},
    )
    bearing = sh.poly(
        (shaft[0] - 0.2, k.bed),
        (shaft[0] + 0.2, k.bed),
        (shaft[0] + 0.1, shaft[1] + 0.1),
        (shaft[0] - 0.1, shaft[1] + 0.1),
    )
    board.add(
        "lifting_bearing",
        6,
        612,
        bearing,
        depth=53.5,
        at=(shaft[0] + 0.12, k.bed + 0.2),
        spots={613: (shaft[0], shaft[1] - 0.1)},
    )
    board.add("lifting_shaft", 6, 611, sh.circle(*shaft, 0.075), depth=63)
    hand = sh.link(shaft, (shaft[0] + 0.42, shaft[1] + 0.85), 0.05, 0.03)
    board.add("hand_lever", 6, 616, hand, depth=62.2, at=sh.along(shaft, (shaft[0] + 0.42, shaft[1] + 0.85), 0.75))
    weight = [
        sh.link(shaft, (shaft[0] + 0.45, shaft[1] - 0.05), 0.04),
        sh.circle(shaft[0] + 0.5, shaft[1] - 0.06, 0.12),
    ]
    board.add("balance", 6, 618, weight, depth=62.1, at=(shaft[0] + 0.5, shaft[1] - 0.06))
    y = a + 0.66 * (b - a)
    throttle = [
        sh.box(right + 0.09, y - 0.2, right + 0.15, y + 0.2),
        sh.box(right + 0.15, y - 0.13, right + 0.42, y + 0.13),
    ]
    board.add(
        "throttle",
        12,
        1213,
        throttle,
        [sh.circle(right + 0.29, y, 0.08)],
        depth=61,
        at=(right + 0.22, y - 0.07),
        spots={1214: (right + 0.29, y)},
    )
    s = 0.19
    steam_fit.stop_valve(
        board,
        13,
        {"body": 1301, "cover": 1302, "spindle": 1303, "handwheel": 1304, "flange_bolt": 1305},
        right + 0.42 + 1.72 * s,
        y,
        s,
        60.2,
    )
    pipe = sh.tube([(left + 0.2, a - 0.08), (left + 0.2, k.bed - 0.3)], 0.3, 0.05)
    board.add(
        "exhaust", 13, 1307, pipe, depth=47, at=(left + 0.2, (a + k.bed) / 2), spots={1308: (left + 0.08, a - 0.04)}
    )
