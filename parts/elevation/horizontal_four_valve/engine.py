"""The horizontal engine with four rotary valves, seen from the valve side: girder frame, cylinder
in sheet cladding with its valves at the corners, wrist plate, dashpots, and the wheel behind.

All lengths below are bores. Numbers are those of the starter list of the kind.
"""

from __future__ import annotations

from .. import fittings as fit
from .. import groundwork as ground
from .. import motion
from .. import shapes as sh
from .. import steam_fittings as steam_fit
from ..pieces import Board, Span, View
from ..proportions import Proportions
from . import gear


def draw(p: Proportions) -> View:
    """Draw the engine at its proportions."""
    inches, p = p.bore, p.in_bores()
    board = Board("Elevation on valve side")
    r = p.crank
    front = -(p.rod + r + 0.95)
    back = front - (p.stroke + 1.15)
    floor = -(p.disc + 0.62)
    reach = p.flywheel / 2
    pit_left, pit_right = 0.95, reach + 0.35
    _foundation(board, p, front, back, floor, (pit_left, pit_right))
    fit.wheel(board, 17, {"wheel": 1701, "rim_bolt": 1703, "key": 1704}, p, 10)
    board.add(
        "hub_bolts",
        17,
        1702,
        [sh.circle(*sh.at_angle(0, 0, 0.88 * max(p.shaft, 0.075 * p.flywheel), a), 0.05) for a in (25, 65, 115, 155)],
        depth=10.6,
    )
    _frame(board, p, front, floor)
    _bearing(board, p, floor)
    _cylinder(board, p, front, back, floor)
    gear.valves(board, front, back, floor)
    gear.drive(board, p, front, back)
    fit.pulley(board, 14, 1401, (0, 0), 0.7 * p.disc, steam_fit.DRIVE)
    _steam(board, front, back)
    _motion(board, p, front)
    board.centres = [
        sh.run((back - 0.5, 0), (reach + 0.1 * p.flywheel, 0)),
        sh.run((0, -reach - 0.1), (0, 1.06 * reach)),
    ]
    board.spans = [
        Span("flywheel", (0, -reach), (0, reach), reach + 0.09 * p.flywheel, after=" dia."),
        Span("bore", (back, -0.5), (back, 0.5), -0.6, before="Bore "),
    ]
    low = min(floor - 1.72, max(-reach, floor - 0.5 * reach))
    top = max(1.05 * reach, 3.0)
    return board.view((back - 1.0, low, reach + 0.13 * p.flywheel, top), inches)


def _foundation(board, p, front: float, back: float, floor: float, pit) -> None:
    deep = -p.flywheel / 2 < floor
    ground.ground(board, back - 1.3, pit[1] + 1.0, floor, 1.2, pit if deep else None)
    ground.masonry(board, 19, {"brickwork": 1905, "stone": 1906}, back - 0.4, pit[0], floor - 0.01, floor - 1.7, 18)
    if deep:
        edge = sh.run((pit[1], floor), (pit[1], -p.flywheel / 2 - 0.1))
        board.add("pit", 0, None, (), [edge], depth=-19, at=(pit[1], floor), pale=True)
    middle = -(p.rod - 0.1)
    xs = [back + 0.3, back + 0.85, front - 0.85, front - 0.3, middle - 0.36, middle + 0.36, -0.95, 0.8]
    ground.foundation_bolts(
        board,
        19,
        {"bolt": 1901, "nut": 1902, "washer": 1903, "plate": 1904},
        [(x, floor + 0.1) for x in xs],
        0.3,
        1.45,
        0.08,
        32,
    )


def _frame(board: Board, p: Proportions, front: float, floor: float) -> None:
    """The girder: a bored trunk for the crosshead, drawn in to a web, and the main bearing."""
    r = p.crank
    w1, w2 = -(p.rod + r + 0.5), -(p.rod - r - 0.5)
    neck = -(p.disc + 0.35)
    trunk, web = 0.47, 0.3
    outline = (
        ("M", front, 0.62),
        ("L", front + 0.1, 0.62),
        ("C", front + 0.16, 0.5, front + 0.2, trunk, front + 0.4, trunk),
        ("L", w2 + 0.1, trunk),
        ("C", w2 + 0.7, trunk, neck - 0.6, web, neck, web),
        ("C", neck + 0.4, web, -0.85, 0.62, -0.72, 0.62),
        ("L", 0.72, 0.62),
        ("C", 0.95, 0.2, 1.0, floor * 0.5, 1.02, floor + 0.12),
        ("L", 1.08, floor + 0.12),
        ("L", 1.08, floor),
        ("L", -1.25, floor),
        ("L", -1.25, floor + 0.12),
        ("L", -1.1, floor + 0.12),
        ("C", -1.2, floor * 0.55, neck + 0.1, -web - 0.1, neck - 0.2, -web),
        ("C", neck - 0.8, -web, w2 + 0.7, -trunk, w2 + 0.1, -trunk),
        ("L", front + 0.4, -trunk),
        ("C", front + 0.2, -trunk, front + 0.16, -0.5, front + 0.1, -0.62),
        ("L", front, -0.62),
        ("Z",),
    )
    window = sh.rounded_box(w1, -0.33, w2, 0.33, 0.12)
    ribs = [
        sh.run((w2 + 0.25, 0), (neck - 0.1, 0)),
        sh.run((w2 + 0.3, trunk - 0.12), (neck - 0.3, web - 0.09)),
        sh.run((w2 + 0.3, -trunk + 0.12), (neck - 0.3, -web + 0.09)),
    ]
    x = -(p.rod - 0.1)
    leg = sh.poly(
        (x - 0.3, -trunk),
        (x + 0.3, -trunk),
        (x + 0.24, floor + 0.12),
        (x + 0.5, floor + 0.1),
        (x + 0.5, floor),
        (x - 0.5, floor),
        (x - 0.5, floor + 0.1),
        (x - 0.24, floor + 0.12),
    )
    board.add("guide_leg", 1, 101, leg, [sh.run((x, -trunk - 0.1), (x, floor + 0.2))], depth=29, at=(neck - 0.5, 0.2))
    board.add("frame", 1, 101, sh.join(outline, window), ribs, depth=30, at=(neck - 0.5, 0.2))
    studs = [fit.side_nut(front + 0.1, v, 0.1, 1) for v in (0.56, -0.56)]
    board.add("frame_nuts", 1, 104, studs, depth=31, at=(front + 0.15, -0.56), spots={103: (front + 0.2, 0.56)})
    board.add(
        "oil_tray",
        1,
        107,
        sh.poly((w1 + 0.3, -0.33), (w2 - 0.3, -0.33), (w2 - 0.4, -0.25), (w1 + 0.4, -0.25)),
        depth=30.5,
    )
    guard = (
        ("M", -p.disc - 0.16, -0.1),
        ("A", p.disc + 0.16, 0, 1, p.disc * 0.5, -(((p.disc + 0.16) ** 2 - (p.disc * 0.5) ** 2) ** 0.5)),
        ("L", p.disc * 0.47, -(((p.disc + 0.06) ** 2 - (p.disc * 0.5) ** 2) ** 0.5)),
        ("A", p.disc + 0.06, 0, 0, -p.disc - 0.06, -0.1),
        ("Z",),
    )
    board.add(
        "crank_guard",
        14,
        1405,
        guard,
        depth=68,
        at=sh.at_angle(0, 0, p.disc + 0.11, 215),
        spots={1406: sh.at_angle(0, 0, p.disc + 0.11, 285)},
    )
    plate = sh.rounded_box(neck - 0.75, -0.1, neck - 0.35, 0.1, 0.03)
    board.add("plate", 1, 109, plate, depth=30.6, at=(neck - 0.68, 0.05), spots={110: (neck - 0.38, -0.07)})


def _bearing(board: Board, p: Proportions, floor: float) -> None:
    s = p.shaft
    top = 0.62
    half = 0.95 * s
    cap = sh.rounded(
        [
            (-half - 0.2, top),
            (half + 0.2, top),
            (half + 0.2, top + 0.14),
            (half * 0.8, top + 0.32),
            (-half * 0.8, top + 0.32),
            (-half - 0.2, top + 0.14),
        ],
        0.05,
    )
    board.add("bearing_cap", 15, 1501, cap, depth=37, at=(half * 0.6, top + 0.2))
    box = sh.join(sh.box(-half, -0.95 * s, half, top), sh.circle(0, 0, 0.5 * s))
    board.add(
        "quarter_boxes",
        15,
        1505,
        box,
        [sh.run((-half, 0), (-0.5 * s, 0)), sh.run((0.5 * s, 0), (half, 0))],
        depth=36,
        at=(half * 0.85, 0.72 * s),
        spots={1506: (0, -0.75 * s)},
        cut="white_metal",
    )
    wedge = sh.poly((half, -0.6 * s), (half + 0.12, -0.6 * s), (half + 0.06, top), (half, top))
    board.add("wedge", 15, 1507, [wedge, sh.mirrored(wedge)], depth=36.5, at=(half + 0.05, 0.5 * s))
    nuts = [fit.nut(x * (half + 0.11), top + 0.14, 0.13) for x in (-1, 1)]
    board.add(
        "cap_nuts",
        15,
        1510,
        nuts,
        depth=37.5,
        at=(half + 0.11, top + 0.19),
        spots={1509: (half + 0.11, top + 0.3), 1508: (-half - 0.11, top + 0.3)},
    )
    fit.oil_cup(board, 15, 1511, (0, top + 0.32), 0.16, 37.6)


def _cylinder(board: Board, p: Proportions, front: float, back: float, floor: float) -> None:
    left, right, high = back + 0.16, front - 0.16, 0.78
    foot = [
        sh.poly(
            (x - 0.4, floor),
            (x + 0.4, floor),
            (x + 0.4, floor + 0.1),
            (x + 0.26, floor + 0.14),
            (x + 0.2, -0.7),
            (x - 0.2, -0.7),
            (x - 0.26, floor + 0.14),
            (x - 0.4, floor + 0.1),
        )
        for x in (back + 0.58, front - 0.58)
    ]
    board.add("cylinder_foot", 1, 102, foot, depth=48, at=(front - 0.58, floor + 0.3))
    ends = [sh.box(left, -0.7, left + 0.1, 0.7), sh.box(right - 0.1, -0.7, right, 0.7)]
    block = sh.box(left + 0.1, -0.86, right - 0.1, 0.86)
    board.add("cylinder", 2, 201, [block, *ends], depth=50, at=(left + 0.05, -0.4))
    for key, part, x1, x2, at in (
        ("crank_end_cover", 202, right, front, 0.3),
        ("head_end_cover", 203, back + 0.02, left, -0.2),
    ):
        board.add(key, 2, part, sh.box(x1, -0.66, x2, 0.66), depth=51, at=((x1 + x2) / 2, at))
    dome = (
        ("M", back + 0.02, -0.5),
        ("C", back - 0.1, -0.4, back - 0.12, -0.2, back - 0.12, 0),
        ("C", back - 0.12, 0.2, back - 0.1, 0.4, back + 0.02, 0.5),
        ("Z",),
    )
    board.add("casing", 3, 305, dome, depth=51.5, at=(back - 0.06, 0.2))
    rows = (-0.58, -0.34, 0.34, 0.58)
    nuts = [fit.side_nut(back + 0.02, v, 0.09, -1) for v in rows]
    nuts += [fit.side_nut(front, v, 0.09, 1) for v in (-0.58, 0.58)]
    board.add("cover_nuts", 2, 205, nuts, depth=52, at=(back - 0.02, 0.58), spots={204: (back - 0.06, -0.34)})
    middle = (left + right) / 2
    sheet = sh.box(left + 0.16, -high, right - 0.16, high)
    seams = [
        sh.run((middle, -high), (middle, high)),
        *(sh.run((x, -high + 0.05), (x, high - 0.05)) for x in (left + 0.2, right - 0.2)),
    ]
    board.add(
        "cladding",
        3,
        301,
        sheet,
        seams,
        depth=53,
        at=(middle - 0.5, -0.55),
        spots={303: (left + 0.2, 0.1), 304: (middle + 0.3, -0.66)},
    )
    trims = [sh.box(left + 0.14, s * high - 0.03, right - 0.14, s * high + 0.03) for s in (1, -1)]
    board.add("mouldings", 3, 302, trims, depth=53.5, at=(middle + 0.55, high))
    for key, part, x in (("relief", 211, right - 0.03), ("drain", 212, left + 0.05)):
        cock = [sh.box(x - 0.04, -1.02, x + 0.04, -0.86), sh.box(x - 0.09, -0.96, x + 0.09, -0.91)]
        board.add(key, 2, part, cock, depth=49, at=(x, -0.94))
    for x in (left + 0.05, right - 0.05):
        plug = [sh.box(x - 0.03, 0.7, x + 0.03, 0.84), sh.box(x - 0.07, 0.84, x + 0.07, 0.92)]
        board.add(f"indicator_{x:.2f}", 2, 213, plug, depth=49, at=(x, 0.88))
    exhaust = sh.box(middle - 0.28, floor - 0.02, middle + 0.28, -0.86)
    board.add(
        "exhaust",
        2,
        None,
        exhaust,
        [sh.run((middle - 0.28, -1.0), (middle + 0.28, -1.0))],
        depth=47,
        at=(left + 0.05, -0.4),
    )
    fit.gland(board, 2, {"neck": 208, "gland": 207, "packing": 210, "stud": 209}, front, 0, 0.27, 0.55, 27, key="rod_")
    oiler = [
        sh.box(middle + 0.36, 0.86, middle + 0.42, 0.98),
        sh.rounded_box(middle + 0.28, 0.98, middle + 0.5, 1.26, 0.04),
    ]
    board.add("lubricator", 18, 1801, oiler, depth=54, at=(middle + 0.39, 1.14))


def _steam(board: Board, front: float, back: float) -> None:
    x = (front + back) / 2
    flange = [sh.box(x - 0.2, 0.86, x + 0.2, 0.95), sh.box(x - 0.3, 0.95, x + 0.3, 1.03)]
    board.add("lead_in", 2, 214, flange, depth=54, at=(x - 0.14, 0.9), spots={215: (x - 0.26, 0.99)})
    neck = [sh.box(x - 0.3, 1.03, x + 0.3, 1.11), sh.box(x - 0.17, 1.11, x + 0.17, 1.3)]
    board.add("valve_neck", 9, 901, neck, depth=59, at=(x, 1.55))
    steam_fit.stop_valve(
        board,
        9,
        {
            "body": 901,
            "cover": 902,
            "cover_nut": 903,
            "spindle": 906,
            "handwheel": 907,
            "gland": 908,
            "flange_bolt": 910,
        },
        x,
        1.58,
        0.32,
        60,
    )


def _motion(board: Board, p: Proportions, front: float) -> None:
    pin, cross = p.crank_pin(), p.level_crosshead()
    x, half = cross[0], p.piston_rod / 2
    board.add("piston_rod", 11, 1107, sh.box(front + 0.4, -half, x - 0.3, half), depth=26, at=(x - 0.62, 0.02))
    lock = [sh.box(x - 0.44, -half - 0.05, x - 0.33, half + 0.05)]
    board.add("rod_lock_nut", 11, 1109, lock, depth=26.6)
    body = sh.rounded_box(x - 0.33, -0.25, x + 0.33, 0.25, 0.07)
    board.add("crosshead", 12, 1201, body, depth=27, at=(x + 0.22, -0.2))
    for key, part, s in (("shoe_top", 1202, 1), ("shoe_bottom", 1203, -1)):
        y1, y2 = sorted((s * 0.25, s * 0.33))
        shoe = sh.box(x - 0.42, y1, x + 0.42, y2)
        board.add(
            key,
            12,
            part,
            shoe,
            depth=27.2,
            at=(x - 0.36, (y1 + y2) / 2),
            spots={1204: (x - 0.2, y2), 1205: (x + 0.38, y1)} if s < 0 else None,
        )
    parts = {
        "rod": 1301,
        "big_strap": 1306,
        "big_brass": 1302,
        "big_cotter": 1304,
        "small_brass": 1303,
        "big_cup": 1309,
    }
    # The rod runs in the trunk of the frame, and in front of it from there to the crank.
    motion.connecting_rod(board, 13, parts, p, cross, pin, 75)
    motion.pin_end(board, 12, 1206, "crosshead_pin", cross, p.gudgeon, 78, {1207: (x + 0.05, 0.05)})
    motion.crank_arm(board, 14, {"disc": 1402, "shaft": 1401, "key": 1404}, p, 72)
    motion.pin_end(board, 14, 1403, "crank_pin", pin, p.pin, 78)
