"""Valve gear and feed pump of the horizontal slide-valve engine.

All lengths are bores. Numbers are those of the starter list of the kind.
"""

from __future__ import annotations

from .. import fittings as fit
from .. import shapes as sh
from ..pieces import Board
from ..proportions import Proportions

TITLE = "Elevation on crank side"


def valve_gear(board: Board, p: Proportions, front: float) -> None:
    y = 1.24
    chest = front - 0.42
    # The rod guide stands on the guide pedestals, half way to the eccentric.
    guide = -(p.rod + 0.62 * p.crank)
    guide = max(guide, chest + 1.35)
    knuckle = guide + 0.75
    post = sh.poly(
        (guide - 0.3, 0.52),
        (guide + 0.3, 0.52),
        (guide + 0.3, 0.6),
        (guide + 0.15, 0.64),
        (guide + 0.11, y + 0.2),
        (guide - 0.11, y + 0.2),
        (guide - 0.15, 0.64),
        (guide - 0.3, 0.6),
    )
    board.add(
        "valve_guide",
        5,
        505,
        post,
        [sh.run((guide - 0.13, y + 0.12), (guide + 0.13, y + 0.12))],
        depth=69,
        at=(guide + 0.03, 0.86),
    )
    board.add(
        "valve_guide_bush",
        5,
        506,
        sh.box(guide - 0.16, y - 0.13, guide + 0.16, y + 0.11),
        depth=69.2,
        at=(guide, y - 0.09),
    )
    board.add(
        "valve_guide_bolts",
        5,
        510,
        [fit.nut(guide + k * 0.23, 0.6, 0.1) for k in (-1, 1)],
        depth=69.3,
        at=(guide + 0.23, 0.65),
    )
    board.add(
        "spindle",
        5,
        503,
        sh.box(chest + 0.34, y - 0.05, knuckle - 0.16, y + 0.05),
        depth=69.4,
        at=(chest + 0.72, y),
        spots={504: (knuckle - 0.2, y + 0.04)},
    )
    nuts = [sh.box(knuckle - k * 0.13 - 0.1, y - 0.09, knuckle - k * 0.13, y + 0.09) for k in (2, 3)]
    board.add("spindle_nuts", 5, 504, nuts, depth=69.5)
    tail = (-0.45 * p.shaft, 0.22)
    board.add(
        "eccentric_rod",
        14,
        1409,
        sh.link((knuckle, y), tail, 0.08, 0.12),
        depth=39,
        at=sh.along((knuckle, y), tail, 0.34),
        spots={1413: sh.along((knuckle, y), tail, 0.62)},
    )
    # The strap stands behind the disc; what shows of it is its lug over the disc's edge.
    if p.disc < 1.5 * p.shaft + 0.4:
        board.add("eccentric_strap", 14, 1405, sh.circle(*tail, 1.25 * p.shaft), depth=38.8)
    board.add(
        "knuckle",
        5,
        507,
        sh.rounded(
            [
                (knuckle - 0.18, y - 0.12),
                (knuckle + 0.1, y - 0.12),
                (knuckle + 0.16, y),
                (knuckle + 0.1, y + 0.12),
                (knuckle - 0.18, y + 0.12),
            ],
            0.07,
        ),
        depth=69.6,
        at=(knuckle - 0.12, y - 0.05),
    )
    board.add("knuckle_pin", 5, 508, sh.circle(knuckle, y, 0.055), depth=69.8, spots={509: (knuckle + 0.03, y + 0.03)})


def feed_pump(board: Board, right: float, foot: float) -> None:
    """A ram pump bolted to the end of the bed, its rod going to the shaft behind the disc."""
    x, top = right + 0.3, foot + 0.98
    body = [
        sh.rounded_box(x - 0.15, foot + 0.2, x + 0.15, top, 0.05),
        sh.box(right - 0.06, foot + 0.38, x - 0.15, foot + 0.8),
    ]
    board.add("pump", 18, 1801, body, depth=33, at=(x - 0.04, foot + 0.5))
    bolts = [sh.box(right - 0.0, foot + v, right + 0.07, foot + v + 0.09) for v in (0.44, 0.66)]
    board.add("pump_bolts", 18, 1814, bolts, depth=33.5, at=(right + 0.04, foot + 0.7))
    box = sh.rounded_box(x + 0.15, foot + 0.3, x + 0.45, foot + 0.72, 0.05)
    board.add(
        "pump_valve_box",
        18,
        1805,
        box,
        depth=32.8,
        at=(x + 0.3, foot + 0.45),
        spots={1806: (x + 0.3, foot + 0.6), 1807: (x + 0.3, foot + 0.36)},
    )
    nuts = [fit.nut(x + v, foot + 0.72, 0.09) for v in (0.2, 0.4)]
    board.add("pump_box_nuts", 18, 1808, nuts, depth=33, at=(x + 0.4, foot + 0.76))
    board.add(
        "pump_gland",
        18,
        1803,
        sh.box(x - 0.19, top, x + 0.19, top + 0.09),
        depth=33,
        at=(x + 0.14, top + 0.05),
        spots={1804: (x - 0.15, top + 0.05)},
    )
    board.add("pump_ram", 18, 1802, sh.box(x - 0.08, top + 0.09, x + 0.08, top + 0.4), depth=32)
    board.add(
        "pump_rod",
        18,
        1810,
        sh.link((x, top + 0.38), (0.2, 0.0), 0.06, 0.08),
        depth=31.5,
        at=sh.along((x, top + 0.38), (0.2, 0.0), 0.2),
        spots={1809: (x, top + 0.38)},
    )
    pipes = [sh.box(x + 0.24, foot - 0.5, x + 0.36, foot + 0.3)]
    board.add("pump_suction", 18, 1811, pipes, depth=32, at=(x + 0.3, foot - 0.2))
    delivery = sh.tube([(x + 0.45, foot + 0.52), (x + 0.7, foot + 0.52), (x + 0.7, foot - 0.5)], 0.1, 0.1)
    board.add(
        "pump_delivery", 18, 1812, delivery, depth=32, at=(x + 0.7, foot + 0.1), spots={1813: (x + 0.58, foot + 0.52)}
    )
