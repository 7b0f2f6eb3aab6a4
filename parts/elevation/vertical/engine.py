"""The vertical engine, looking along the shaft: cylinder over the crank on two standards, chest at
the right, wheel behind.

All lengths below are bores. Numbers are those of the starter list of the kind.
"""

from __future__ import annotations

from .. import fittings as fit
from .. import groundwork as ground
from .. import shapes as sh
from .. import steam_fittings as steam_fit
from ..pieces import Board, Span, View
from ..proportions import Proportions
from . import motion
from .cylinder import chest, cylinder, steam

_SOLE = -0.42


def draw(p: Proportions) -> View:
    """Draw the engine at its proportions."""
    inches, p = p.bore, p.in_bores()
    board = Board("Elevation along shaft")
    r = p.crank
    foot = p.rod + r + 0.85
    top = foot + p.stroke + 0.95
    wide = 1.0 + 0.75 * r + 0.25 * (p.rod + r) / 3.1
    floor = -(r + 0.72)
    reach = p.flywheel / 2
    _foundation(board, p, wide, floor)
    fit.wheel(board, 15, {"wheel": 1501, "key": 1502}, p, 10, lead=-38)
    if p.flywheel > 3.2 * wide * 0.5:
        fit.pulley(board, 15, 1503, (0, 0), 0.27 * p.flywheel, 5)
    _standards(board, p, foot, wide)
    _sole(board, p, wide, floor)
    motion.crosshead_and_rod(board, p, foot)
    motion.crank(board, p)
    cylinder(board, p, foot, top)
    chest(board, p, foot, top)
    drive = 1.5 * p.shaft
    steam(board, foot, top, drive)
    fit.pulley(board, 12, 1201, (0, 0), drive, steam_fit.DRIVE)
    motion.valve_gear(board, p, foot)
    board.centres = [sh.run((0, -reach - 0.1), (0, top + 0.8)), sh.run((-reach - 0.25, 0), (reach + 0.25, 0))]
    board.spans = [
        Span("flywheel", (0, -reach), (0, reach), max(reach, wide) + 0.5, after=" dia."),
        Span("bore", (-0.5, top + 0.12), (0.5, top + 0.12), 0.75, before="Bore "),
    ]
    low = min(floor - 1.62, -reach - 0.1)
    side = max(reach + 0.75, 3.3)
    return board.view((-max(reach + 0.2, 2.1), low, side, top + 1.5), inches)


def _foundation(board: Board, p: Proportions, wide: float, floor: float) -> None:
    reach = p.flywheel / 2
    left, right = -wide - 0.75, wide + 0.75
    ground.ground(
        board,
        min(left, -reach) - 0.7,
        max(right, reach) + 0.7,
        floor,
        0.9,
        (left - 0.02, right + 0.02) if reach < wide + 0.7 else (-reach - 0.3, reach + 0.3),
    )
    ground.masonry(board, 17, {"brickwork": 1705}, left, right, floor - 0.01, floor - 1.6, 18)
    places = [(s * x, floor + 0.12) for x in (wide + 0.42, wide - 0.35) for s in (-1, 1)]
    ground.foundation_bolts(
        board, 17, {"bolt": 1701, "nut": 1702, "washer": 1703, "plate": 1704}, sorted(places), 0.3, 1.35, 0.09, 42
    )


def _sole(board: Board, p: Proportions, wide: float, floor: float) -> None:
    w = wide + 0.6
    outline = sh.poly(
        (-w, floor),
        (w, floor),
        (w, floor + 0.12),
        (w - 0.08, floor + 0.12),
        (w - 0.08, _SOLE),
        (0.66, _SOLE),
        (0.52, -0.1),
        (-0.52, -0.1),
        (-0.66, _SOLE),
        (-w + 0.08, _SOLE),
        (-w + 0.08, floor + 0.12),
        (-w, floor + 0.12),
    )
    lines = [
        sh.run((-w + 0.08, floor + 0.12), (w - 0.08, floor + 0.12)),
        sh.run((-w + 0.08, _SOLE - 0.1), (-0.68, _SOLE - 0.1)),
        sh.run((0.68, _SOLE - 0.1), (w - 0.08, _SOLE - 0.1)),
    ]
    high = _SOLE - 0.22
    if high - floor > 0.45:
        lines += [sh.rounded_box(s * (w - 0.95), floor + 0.24, s * 0.82, high, 0.08) for s in (-1, 1)]
    board.add("sole", 1, 101, outline, lines, depth=40, at=(-w + 0.3, _SOLE - 0.18))
    board.add(
        "plate",
        1,
        104,
        sh.rounded_box(0.9, floor + 0.3, 1.35, floor + 0.48, 0.03),
        depth=41,
        spots={105: (0.94, floor + 0.44)},
    )
    s = p.shaft
    cap = sh.rounded(
        [
            (-0.52, 0.0),
            (0.52, 0.0),
            (0.52, 0.14),
            (0.95 * s, 0.14),
            (0.7 * s, 0.95 * s),
            (-0.7 * s, 0.95 * s),
            (-0.95 * s, 0.14),
            (-0.52, 0.14),
        ],
        0.05,
    )
    block = sh.box(-0.52, -0.42, 0.52, 0)
    board.add("bearing_seat", 1, 101, sh.join(block), depth=43, at=(-0.4, -0.3))
    board.add("bearing_cap", 13, 1301, cap, depth=44, at=(0.5 * s, 0.75 * s))
    for key, part, a, b in (("brass_top", 1303, 0, 180), ("brass_bottom", 1302, 180, 360)):
        outer, inner = sh.arc(0, 0, 0.72 * s, a, b), sh.arc(0, 0, 0.5 * s, b, a)
        ring = (*outer, ("L", *inner[0][1:]), inner[1], ("Z",))
        board.add(key, 13, part, ring, depth=45, at=sh.at_angle(0, 0, 0.61 * s, (a + b) / 2 + 40), cut="bronze")
    board.add(
        "bearing_bore",
        12,
        1201,
        sh.circle(0, 0, 0.5 * s),
        [sh.circle(0, 0, 0.08 * s)],
        depth=45.5,
        at=(0.2 * s, 0.2 * s),
    )
    nuts = [fit.nut(x * 0.42, 0.14, 0.15) for x in (-1, 1)]
    board.add("cap_nuts", 13, 1305, nuts, depth=46, at=(0.42, 0.2), spots={1304: (0.42, 0.33), 1306: (-0.5, 0.0)})


def _standards(board: Board, p: Proportions, foot: float, wide: float) -> None:
    """Two cast standards, curved outward to their feet, with their ribs."""
    legs, ribs, feet, seats = [], [], [], []
    seat = foot - 0.14
    for s in (-1, 1):
        outer = ("C", s * 0.9, seat - 0.8, s * (wide + 0.1), seat * 0.45, s * (wide + 0.3), _SOLE + 0.14)
        leg = (
            ("M", s * 0.42, seat + 0.14),
            ("L", s * 0.86, seat + 0.14),
            ("L", s * 0.86, seat),
            outer,
            ("L", s * (wide + 0.48), _SOLE + 0.12),
            ("L", s * (wide + 0.48), _SOLE),
            ("L", s * (wide - 0.42), _SOLE),
            ("L", s * (wide - 0.42), _SOLE + 0.12),
            ("L", s * (wide - 0.22), _SOLE + 0.14),
            ("C", s * (wide - 0.32), seat * 0.42, s * 0.56, seat - 1.2, s * 0.5, seat - 0.35),
            ("L", s * 0.42, seat - 0.2),
            ("Z",),
        )
        legs.append(leg)
        ribs.append(
            (
                ("M", s * 0.68, seat - 0.1),
                ("C", s * 0.74, seat - 0.9, s * (wide - 0.1), seat * 0.45, s * (wide + 0.04), _SOLE + 0.16),
            )
        )
        ribs.append(sh.run((s * 0.44, seat), (s * 0.84, seat)))
        feet += [fit.nut(s * (wide + x), _SOLE + 0.12, 0.14) for x in (0.39, -0.32)]
        seats.append(fit.nut(s * 0.64, seat, 0.12, -1))
    board.add("standards", 2, 201, legs, ribs, depth=50, at=(-(0.55 * wide + 0.36), seat * 0.55))
    board.add(
        "foot_nuts", 2, 203, feet, depth=51, at=(wide + 0.39, _SOLE + 0.2), spots={202: (-wide - 0.39, _SOLE + 0.28)}
    )
    board.add("seat_nuts", 2, 205, seats, depth=51, at=(0.64, seat - 0.05), spots={204: (-0.64, seat - 0.12)})
    y = 0.36 * seat
    stay = sh.box(-(wide - 0.28), y - 0.04, wide - 0.28, y + 0.04)
    board.add("stay", 2, 206, stay, depth=20, at=(-0.35 * wide, y))
    nuts = [sh.box(s * (wide - 0.02) - 0.06, y - 0.09, s * (wide - 0.02) + 0.06, y + 0.09) for s in (-1, 1)]
    board.add("stay_nuts", 2, 207, nuts, depth=51.5, at=(-(wide - 0.02), y))
    splash = sh.poly((-wide + 0.3, _SOLE), (wide - 0.3, _SOLE), (wide - 0.34, 0.1), (-wide + 0.34, 0.1))
    board.add("splash", 2, 208, splash, depth=19, at=(-0.62 * wide, -0.05), spots={209: (0.62 * wide, -0.02)})
