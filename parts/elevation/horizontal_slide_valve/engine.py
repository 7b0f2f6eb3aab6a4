"""The horizontal slide-valve engine, seen from the crank side: bed, cylinder with its chest on top,
guide bars, crosshead, rod, crank disc, and the wheel behind.

Numbers are those of the starter list of the kind.
"""

from __future__ import annotations

from .. import fittings as fit
from .. import groundwork as ground
from .. import motion
from .. import shapes as sh
from ..pieces import Board, Span, View
from ..proportions import Proportions
from . import cylinder as end
from . import gear

TITLE = "Elevation on crank side"


def draw(p: Proportions) -> View:
    """Draw the engine at its proportions. All lengths below are bores."""
    inches = p.bore
    p = p.in_bores()
    board = Board(TITLE)
    r = p.crank
    front = -(p.rod + r + 0.92)
    back = front - (p.stroke + 1.3)
    bed_top, bed_foot = -0.97, -(p.disc + 0.98)
    bed_left, bed_right = back - 0.4, p.disc + 0.5
    _foundation(board, p, bed_left, bed_right, bed_foot)
    _wheel(board, p)
    _bed(board, p, bed_left, bed_right, bed_top, bed_foot)
    _bearing(board, p, bed_foot)
    end.cylinder(board, p, front, back, bed_top)
    end.chest(board, p, front, back)
    end.steam(board, p, front, back)
    _guides(board, p, front, bed_top)
    gear.valve_gear(board, p, front)
    gear.feed_pump(board, bed_right, bed_foot)
    _motion(board, p, front)
    end.small_things(board, p, front, back, bed_top)
    reach = p.flywheel / 2
    board.centres = [
        sh.run((back - 0.6, 0), (reach + 0.1 * p.flywheel, 0)),
        sh.run((0, -reach - 0.02 * p.flywheel), (0, reach + 0.05 * p.flywheel)),
    ]
    board.spans = [
        Span("flywheel", (0, -reach), (0, reach), reach + 0.1 * p.flywheel, after=" dia."),
        Span("bore", (back, -0.5), (back, 0.5), -(0.95), before="Bore "),
    ]
    floor = bed_foot - 1.77
    low = min(floor, max(-reach, floor - 0.4 * reach))
    right = max(reach + 0.14 * p.flywheel, bed_right + 0.6)
    top = max(1.06 * reach, 1.86 + 3.55)
    return board.view((min(back - 1.9, bed_left - 0.5), low, right, top), inches)


def _foundation(board: Board, p: Proportions, left: float, right: float, foot: float) -> None:
    reach = p.flywheel / 2
    pit_left, pit_right = right - 0.15, reach + 0.35
    pit = (pit_left, pit_right) if reach > -foot else None
    ground.ground(board, left - 1.2, pit_right + 1.0, foot - 0.05, 1.2, pit)
    ground.masonry(board, 16, {"brickwork": 1608, "stone": 1606}, left - 0.5, pit_left, foot - 0.06, foot - 1.75, 18)
    if pit:
        board.add(
            "pit",
            0,
            None,
            (),
            [sh.run((pit_right, foot - 0.05), (pit_right, -reach - 0.1))],
            depth=-19,
            at=(pit_right, foot),
            pale=True,
        )
    w = 0.105
    long = right - left
    count = max(4, min(8, round(long / (1.75))))
    places = [(left + 0.25 + (long - 0.5) * i / (count - 1), foot + 0.12) for i in range(count)]
    ground.foundation_bolts(
        board, 16, {"bolt": 1601, "nut": 1602, "washer": 1603, "plate": 1604, "cotter": 1605}, places, 0.36, 1.5, w, 32
    )


def _wheel(board: Board, p: Proportions) -> None:
    if p.flywheel > 3.4 * p.disc:
        fit.pulley(board, 15, 1506, (0, 0), max(0.24 * p.flywheel, 1.12 * p.disc), 5)
    fit.wheel(board, 15, {"wheel": 1501, "key": 1502}, p, 10)


def _bed(board: Board, p: Proportions, left: float, right: float, top: float, foot: float) -> None:
    dip, lip = -(p.disc + 0.22), 0.13
    dip = min(dip, top - 0.2)
    start = -(p.disc + 1.35)
    end = start + 0.95
    outline = (
        ("M", left + 0.06, foot + lip),
        ("L", left, foot + lip),
        ("L", left, foot),
        ("L", right, foot),
        ("L", right, foot + lip),
        ("L", right - 0.06, foot + lip),
        ("L", right - 0.06, dip),
        ("L", end, dip),
        ("C", end - 0.4, dip, start + 0.45, top, start, top),
        ("L", left + 0.06, top),
        ("Z",),
    )
    ledge = [
        sh.run((left + 0.06, top - lip), (start - 0.1, top - lip)),
        sh.run((left, foot + lip), (right, foot + lip)),
    ]
    # Panels between the webs, as cast.
    panels = []
    room = start - 0.25 - (left + 0.4)
    count = max(2, min(7, round(room / (1.15))))
    step = room / count
    for i in range(count):
        x = left + 0.4 + i * step
        panels += _panel(x + 0.1, foot + 0.36, x + step - 0.1, top - 0.34, 0.16)
    low, high = foot + 0.36, dip - 0.17
    if high - low > 0.12:
        span = right - 0.3 - (start + 1.05)
        for i in range(2):
            x = start + 1.05 + i * span / 2
            panels += _panel(x + 0.08, low, x + span / 2 - 0.08, high, 0.1)
    board.add(
        "bed",
        1,
        101,
        outline,
        [*ledge, *panels],
        depth=30,
        at=(start - 0.02, top - 0.18),
        spots={111: (left + 1.2, foot + 0.02)},
    )
    plate = sh.rounded(
        [(start - 1.3, top - 0.31), (start - 0.75, top - 0.31), (start - 0.75, top - 0.16), (start - 1.3, top - 0.16)],
        0.05,
    )
    board.add("plate", 1, 109, plate, depth=31, spots={110: (start - 1.26, top - 0.19)})


def _panel(x1: float, y1: float, x2: float, y2: float, r: float) -> list[sh.Shape]:
    t = 0.28 * r
    return [
        sh.rounded([(x1, y1), (x2, y1), (x2, y2), (x1, y2)], r),
        sh.rounded([(x1 + t, y1 + t), (x2 - t, y1 + t), (x2 - t, y2 - t), (x1 + t, y2 - t)], r * 0.8),
    ]


def _bearing(board: Board, p: Proportions, foot: float) -> None:
    """The crank-end pedestal, mostly behind the disc, its cap and cup over it."""
    dip = min(-(p.disc + 0.22), -0.97 - 0.2)
    wide = p.disc + 0.42
    up = 0.55 * p.shaft
    outline = (
        ("M", -wide, dip),
        ("L", wide, dip),
        ("L", wide, dip + 0.12),
        ("C", wide * 0.7, dip + 0.2, 1.5 * p.shaft, dip + 0.75 * p.disc, 1.2 * p.shaft, 0.1),
        ("L", -1.2 * p.shaft, 0.1),
        ("C", -1.5 * p.shaft, dip + 0.75 * p.disc, -wide * 0.7, dip + 0.2, -wide, dip + 0.12),
        ("Z",),
    )
    board.add(
        "pedestal", 13, 1301, outline, depth=38, at=(-0.82 * wide, dip + 0.17), spots={1313: (0.9 * wide, dip + 0.14)}
    )
    board.add(
        "pedestal_bolts",
        13,
        1313,
        [fit.nut(x * 0.86 * wide, dip + 0.12, 0.2) for x in (-1, 1)],
        depth=38.5,
        at=(0.86 * wide, dip + 0.2),
    )
    cap_top = max(1.25 * p.shaft, p.disc + 0.22)
    half = 0.78 * p.shaft
    cap = sh.rounded([(-half, up), (half, up), (half, cap_top), (-half, cap_top)], [0, 0, 0.12, 0.12])
    board.add(
        "cap",
        13,
        1304,
        cap,
        [sh.run((-half, cap_top - 0.12), (half, cap_top - 0.12))],
        depth=37,
        at=(0.5 * half, cap_top - 0.07),
    )
    board.add(
        "cap_nuts",
        13,
        1309,
        [fit.nut(x * 0.66 * half, cap_top, 0.19) for x in (-1, 1)],
        depth=37.5,
        at=(-0.66 * half, cap_top + 0.08),
        spots={1308: (0.66 * half, cap_top + 0.2)},
    )
    fit.oil_cup(board, 13, 1311, (0, cap_top), 0.24, 37.6)


def _guides(board: Board, p: Proportions, front: float, bed_top: float) -> None:
    r = p.crank
    left, right = -(p.rod + r + 0.6), -(p.rod - r - 0.55)
    low, high = 0.36, 0.52
    posts = [left + 0.16, right - 0.16]
    stands = []
    for x in posts:
        stands.append(
            sh.poly(
                (x - 0.34, bed_top),
                (x + 0.34, bed_top),
                (x + 0.34, bed_top + 0.09),
                (x + 0.22, bed_top + 0.11),
                (x + 0.15, -high),
                (x - 0.15, -high),
                (x - 0.22, bed_top + 0.11),
                (x - 0.34, bed_top + 0.09),
            )
        )
    board.add("guide_pedestals", 1, 105, stands, depth=62, at=(posts[1], -0.72))
    board.add(
        "pedestal_bolt",
        1,
        106,
        [fit.nut(x + k * 0.28, bed_top + 0.09, 0.1) for x in posts for k in (-1, 1)],
        depth=62.5,
        at=(posts[1] + 0.28, bed_top + 0.14),
    )
    tray = sh.poly(
        (left + 0.6, bed_top + 0.04),
        (right - 0.6, bed_top + 0.04),
        (right - 0.54, bed_top + 0.16),
        (left + 0.54, bed_top + 0.16),
    )
    board.add("oil_tray", 1, 107, tray, depth=61.5)
    board.add(
        "distance_pieces",
        9,
        905,
        [sh.box(x - 0.11, -low, x + 0.11, low) for x in posts],
        depth=63,
        at=(posts[1], -0.25),
        spots={906: (posts[1], low)},
    )
    board.add("guide_bottom", 9, 902, sh.box(left, -high, right, -low), depth=64, at=(right - 0.55, -0.44))
    board.add("guide_top", 9, 901, sh.box(left, low, right, high), depth=70, at=(right - 0.62, 0.44))
    w = 0.11
    board.add(
        "guide_bolts",
        9,
        903,
        [sh.box(x - 0.35 * w, -high - 0.16, x + 0.35 * w, high + 0.2) for x in posts],
        depth=62.8,
        at=(posts[0], high + 0.17),
    )
    board.add(
        "guide_nuts",
        9,
        904,
        [fit.nut(x, high, w * 1.3, 1) for x in posts] + [fit.nut(x, -high, w * 1.3, -1) for x in posts],
        depth=71,
        at=(posts[1], high + 0.06),
    )
    fit.oil_cup(board, 9, 907, (left + 0.62 * (right - left), high), 0.17, 71)


def _motion(board: Board, p: Proportions, front: float) -> None:
    pin, cross = p.crank_pin(), p.level_crosshead()
    x, half, g = cross[0], p.piston_rod / 2, p.gudgeon
    left = front + 0.53
    board.add("piston_rod", 8, 805, sh.box(left, -half, x - 0.3, half), depth=65, at=((left + x - 0.45) / 2, 0))
    body = [sh.rounded_box(x - 0.62, -0.22, x - 0.3, 0.22, 0.05), sh.rounded_box(x - 0.34, -0.28, x + 0.38, 0.28, 0.08)]
    board.add("crosshead", 10, 1001, body, depth=66, at=(x - 0.1, -0.22))
    cotter = sh.poly((x - 0.53, -0.34), (x - 0.44, -0.34), (x - 0.42, 0.34), (x - 0.53, 0.34))
    board.add("rod_cotter", 8, 807, cotter, depth=66.5, at=(x - 0.48, 0.28))
    board.add(
        "slipper_top",
        10,
        1002,
        sh.box(x - 0.5, 0.28, x + 0.5, 0.355),
        depth=66.2,
        at=(x + 0.42, 0.32),
        spots={1004: (x - 0.42, 0.35)},
    )
    board.add(
        "slipper_bottom",
        10,
        1003,
        sh.box(x - 0.5, -0.355, x + 0.5, -0.28),
        depth=66.2,
        at=(x + 0.42, -0.32),
        spots={1005: (x - 0.3, -0.28)},
    )
    parts = {
        "rod": 1101,
        "big_strap": 1102,
        "big_brass": 1103,
        "big_gib": 1104,
        "big_cotter": 1105,
        "small_strap": 1106,
        "small_brass": 1107,
        "small_gib": 1108,
        "small_cotter": 1109,
        "big_cup": 1111,
    }
    motion.connecting_rod(board, 11, parts, p, cross, pin, 75)
    motion.pin_end(
        board, 10, 1006, "gudgeon", cross, g, 78, {1007: (x + 0.12 * g, 0.1 * g), 1008: (x - 0.3 * g, 0.28 * g)}
    )
    motion.crank_disc(board, 12, {"disc": 1202, "shaft": 1201, "key": 1205}, p, 72)
    motion.pin_end(board, 12, 1203, "crank_pin", pin, p.pin, 78, {1204: pin})
