"""What stands round the beam engine: bed, columns, entablature, foundation, condenser and pumps.

All lengths are bores. Numbers are those of the starter list of the kind.
"""

from __future__ import annotations

from .. import fittings as fit
from .. import groundwork as ground
from .. import shapes as sh
from ..pieces import Board
from ..proportions import Proportions


def foundation(board: Board, p: Proportions, k) -> None:
    reach = p.flywheel / 2
    left, right = k.rod_x - 1.2, 1.25
    bed_foot = k.bed - 0.42
    pit = (right, reach + 0.35) if reach > -bed_foot else None
    ground.ground(board, left - 1.2, reach + 1.0, bed_foot, 1.2, pit)
    ground.masonry(
        board, 16, {"brickwork": 1607, "stone": 1607}, left - 0.3, right, bed_foot - 0.01, bed_foot - 1.9, 18
    )
    if pit:
        edge = sh.run((pit[1], bed_foot), (pit[1], -reach - 0.12))
        lining = [edge, sh.run((pit[1] + 0.2, bed_foot), (pit[1] + 0.2, -reach - 0.12))]
        board.add("pit", 16, 1608, (), lining, depth=-19, at=(pit[1] + 0.1, bed_foot - 0.5), pale=True)
    bed = sh.poly(
        (left, bed_foot),
        (right, bed_foot),
        (right, bed_foot + 0.1),
        (right - 0.06, bed_foot + 0.1),
        (right - 0.06, k.bed),
        (left + 0.06, k.bed),
        (left + 0.06, bed_foot + 0.1),
        (left, bed_foot + 0.1),
    )
    lines = [
        sh.run((left + 0.06, k.bed - 0.08), (right - 0.06, k.bed - 0.08)),
        sh.run((left, bed_foot + 0.1), (right, bed_foot + 0.1)),
    ]
    board.add("bed", 1, 101, bed, lines, depth=34, at=(k.rod_x * 0.42, k.bed - 0.2))
    plate = sh.rounded_box(k.centre[0] + 0.1, k.bed - 0.3, k.centre[0] + 0.7, k.bed - 0.12, 0.03)
    board.add("plate", 1, 113, plate, depth=35, spots={114: (k.centre[0] + 0.14, k.bed - 0.15)})
    long = right - left
    places = [(left + 0.3 + (long - 0.6) * i / 6, bed_foot + 0.1) for i in range(7)]
    ground.foundation_bolts(
        board,
        16,
        {"bolt": 1601, "nut": 1602, "washer": 1603, "cotter": 1604, "plate": 1605},
        places,
        0.28,
        1.65,
        0.08,
        36,
    )


def columns(board: Board, p: Proportions, k) -> None:
    cx, cy = k.centre
    seat = cy - max(0.62, 0.2 * k.arm * 0.75)
    deep = 0.42
    apart = max(1.05, 0.3 * k.arm)
    cap = seat - deep
    shafts, mouldings, nuts, lines = [], [], [], []
    for s in (-1, 1):
        x = cx + s * apart
        shafts.append(sh.box(x - 0.42, k.bed, x + 0.42, k.bed + 0.14))
        shafts.append(
            (
                ("M", x - 0.32, k.bed + 0.14),
                ("L", x + 0.32, k.bed + 0.14),
                ("C", x + 0.32, k.bed + 0.24, x + 0.24, k.bed + 0.24, x + 0.24, k.bed + 0.38),
                ("L", x + 0.18, cap - 0.26),
                ("L", x - 0.18, cap - 0.26),
                ("L", x - 0.24, k.bed + 0.38),
                ("C", x - 0.24, k.bed + 0.24, x - 0.32, k.bed + 0.24, x - 0.32, k.bed + 0.14),
                ("Z",),
            )
        )
        lines += [sh.run((x + v, k.bed + 0.42), (x + v * 0.76, cap - 0.3)) for v in (-0.14, -0.05, 0.05, 0.14)]
        mouldings += [
            sh.poly((x - 0.2, cap - 0.26), (x + 0.2, cap - 0.26), (x + 0.32, cap - 0.08), (x - 0.32, cap - 0.08)),
            sh.box(x - 0.36, cap - 0.08, x + 0.36, cap),
        ]
        nuts += [fit.nut(x + v, k.bed + 0.14, 0.11) for v in (-0.37, 0.37)]
    board.add("columns", 1, 102, shafts, lines, depth=52, at=(cx - apart, (k.bed + cap) / 2))
    board.add("capitals", 1, 112, mouldings, depth=52.5, at=(cx + apart, cap - 0.16))
    board.add(
        "column_nuts",
        1,
        104,
        nuts,
        depth=53,
        at=(cx - apart - 0.37, k.bed + 0.2),
        spots={103: (cx + apart + 0.37, k.bed + 0.26)},
    )
    left, right = cx - apart - 0.75, cx + apart + 0.75
    beam = sh.poly(
        (left, cap),
        (right, cap),
        (right, seat - 0.1),
        (right + 0.08, seat - 0.1),
        (right + 0.08, seat),
        (left - 0.08, seat),
        (left - 0.08, seat - 0.1),
        (left, seat - 0.1),
    )
    board.add(
        "entablature",
        1,
        105,
        beam,
        [sh.run((left, cap + 0.1), (right, cap + 0.1)), sh.run((left, seat - 0.1), (right, seat - 0.1))],
        depth=54,
        at=(right - 0.2, cap + 0.2),
    )
    ties = [sh.circle(cx + s * apart, cap + 0.21, 0.08) for s in (-1, 1)]
    board.add("cross_ties", 1, 106, ties, depth=54.5, at=(cx - apart, cap + 0.21))
    bolts = [fit.nut(cx + s * apart + v, cap, 0.11, -1) for s in (-1, 1) for v in (-0.26, 0.26)]
    board.add(
        "entablature_nuts",
        1,
        108,
        bolts,
        depth=54.6,
        at=(cx - apart - 0.26, cap - 0.05),
        spots={107: (cx + apart - 0.26, cap - 0.1)},
    )
    # Plummer block of the beam's gudgeon.
    w = 0.62
    block = sh.poly(
        (cx - w, seat),
        (cx + w, seat),
        (cx + w, seat + 0.1),
        (cx + 0.34, seat + 0.18),
        (cx + 0.3, cy),
        (cx - 0.3, cy),
        (cx - 0.34, seat + 0.18),
        (cx - w, seat + 0.1),
    )
    board.add(
        "plummer_block", 2, 205, block, depth=55, at=(cx - 0.24, seat + 0.2), spots={210: (cx + w - 0.1, seat + 0.1)}
    )
    top = sh.rounded(
        [
            (cx - 0.3, cy),
            (cx + 0.3, cy),
            (cx + 0.3, cy + 0.24),
            (cx + 0.18, cy + 0.36),
            (cx - 0.18, cy + 0.36),
            (cx - 0.3, cy + 0.24),
        ],
        0.05,
    )
    board.add("plummer_cap", 2, 206, top, depth=55.5, at=(cx - 0.2, cy + 0.25))
    board.add("plummer_brass", 2, 207, sh.circle(cx, cy, 0.25), depth=56, at=(cx - 0.2, cy - 0.11))
    board.add(
        "plummer_nuts",
        2,
        209,
        [fit.nut(cx + s * 0.24, cy + 0.3, 0.1) for s in (-1, 1)],
        depth=56.5,
        at=(cx + 0.24, cy + 0.34),
        spots={208: (cx - 0.24, cy + 0.42)},
    )
    fit.oil_cup(board, 2, 212, (cx, cy + 0.36), 0.13, 56.5)


def pumps(board: Board, p: Proportions, k) -> None:
    """Air pump and condenser in their cistern under the beam, feed pump at the crank side."""
    x = k.centre[0] - k.arm / 2
    foot = k.bed - 0.42
    tank = sh.box(x - 0.75, foot - 1.3, x + 1.15, foot - 0.05)
    water = sh.run((x - 0.72, foot - 0.3), (x + 1.12, foot - 0.3))
    board.add("cistern", 14, 1402, tank, [water], depth=33, at=(x + 1.0, foot - 1.1))
    barrel = [
        sh.box(x - 0.36, foot - 1.05, x + 0.36, k.bed - 0.02),
        sh.box(x - 0.46, foot - 1.15, x + 0.46, foot - 1.05),
    ]
    board.add(
        "air_pump",
        14,
        1403,
        barrel,
        [sh.run((x - 0.36, foot - 0.5), (x + 0.36, foot - 0.5))],
        depth=33.5,
        at=(x - 0.2, foot - 0.7),
        spots={1409: (x + 0.4, foot - 1.1)},
    )
    board.add(
        "condenser",
        14,
        1401,
        sh.rounded_box(x + 0.52, foot - 1.15, x + 1.0, foot - 0.12, 0.12),
        depth=33.4,
        at=(x + 0.76, foot - 0.5),
    )
    cover = [sh.box(x - 0.5, k.bed, x + 0.5, k.bed + 0.1), sh.box(x - 0.16, k.bed + 0.1, x + 0.16, k.bed + 0.32)]
    board.add(
        "air_pump_cover", 14, 1407, cover, depth=57, at=(x - 0.36, k.bed + 0.05), spots={1410: (x + 0.3, k.bed + 0.05)}
    )
    board.add(
        "air_pump_studs",
        14,
        1408,
        [fit.nut(x + s * 0.4, k.bed + 0.1, 0.1) for s in (-1, 1)],
        depth=57.5,
        at=(x + 0.4, k.bed + 0.15),
    )
    ax, ay = k.joint
    board.add(
        "air_pump_rod",
        14,
        1406,
        sh.link((ax, ay), (x, k.bed + 0.3), 0.045),
        depth=51.5,
        at=sh.along((ax, ay), (x, k.bed + 0.3), 0.55),
    )
    wheel = [sh.box(x + 0.84, k.bed + 0.6, x + 1.16, k.bed + 0.66), sh.box(x + 0.98, foot, x + 1.02, k.bed + 0.6)]
    board.add(
        "injection_wheel", 14, 1412, wheel, depth=51, at=(x + 1.0, k.bed + 0.42), spots={1411: (x + 1.0, k.bed + 0.08)}
    )
    fx = k.centre[0] + 0.5 * k.arm
    top = k.on_beam(0.5)
    body = [sh.box(fx - 0.15, k.bed, fx + 0.15, k.bed + 0.8), sh.box(fx - 0.28, k.bed, fx + 0.28, k.bed + 0.09)]
    board.add("feed_pump", 15, 1501, body, depth=57, at=(fx - 0.06, k.bed + 0.4))
    board.add(
        "feed_gland",
        15,
        1503,
        [
            sh.box(fx - 0.22, k.bed + 0.8, fx + 0.22, k.bed + 0.9),
            sh.box(fx - 0.13, k.bed + 0.9, fx + 0.13, k.bed + 1.0),
        ],
        depth=57.2,
        at=(fx + 0.16, k.bed + 0.85),
        spots={1504: (fx - 0.18, k.bed + 0.88)},
    )
    board.add(
        "feed_plunger",
        15,
        1502,
        sh.box(fx - 0.09, k.bed + 1.0, fx + 0.09, k.bed + 1.7),
        depth=56.8,
        at=(fx, k.bed + 1.3),
    )
    board.add(
        "feed_rod",
        15,
        1507,
        sh.link(top, (fx, k.bed + 1.68), 0.04),
        depth=56.5,
        at=sh.along(top, (fx, k.bed + 1.7), 0.45),
        spots={1508: top},
    )
    box = [
        sh.rounded_box(fx + 0.15, k.bed + 0.14, fx + 0.48, k.bed + 0.56, 0.05),
        sh.box(fx + 0.22, k.bed + 0.56, fx + 0.41, k.bed + 0.66),
    ]
    board.add(
        "valve_box", 15, 1505, box, depth=56.9, at=(fx + 0.3, k.bed + 0.35), spots={1506: (fx + 0.32, k.bed + 0.6)}
    )
