"""The oil engine, hot tube or hit-and-miss: one level cylinder, open crank, two wheels of which the
near one is taken off so that the crank is seen.

All lengths below are bores. Numbers are those of the starter list of the kind.
"""

from __future__ import annotations

from dataclasses import replace

from .. import fittings as fit
from .. import groundwork as ground
from .. import motion
from .. import shapes as sh
from ..pieces import Board, Span, View
from ..proportions import Proportions
from . import gear
from .head import cooling, fuel, head, ignition
from .lines import Lines, lines


def draw(p: Proportions) -> View:
    """Draw the engine at its proportions."""
    inches, p = p.bore, p.in_bores()
    board = Board("Elevation, near wheel taken off" if p.wheels == 2 else "Elevation")
    k = lines(p)
    reach = p.flywheel / 2
    ground.ground(board, k.head - 4.0, reach + 1.2, k.ground, 0.8, None)
    if reach > 1.4:
        fit.pulley(board, 8, 805, (0, 0), max(0.3 * p.flywheel, 0.9), 5)
    fit.wheel(board, 8, {"wheel": 801, "key": 802}, replace(p, wheels=1), 10)
    gear.governor(board, p)
    gear.trolley(board, p, k)
    _base(board, p, k)
    _cylinder(board, p, k)
    _motion(board, p, k)
    gear.half_time(board, p, k)
    head(board, p, k)
    ignition(board, k)
    fuel(board, k)
    cooling(board, k)
    board.leads = {
        7: "balance",
        8: "wheel_rim",
        11: "tube_chimney",
        12: "fuel_tank",
        9: "half_time_wheel",
        4: "exhaust_spring",
        10: "governor_weights",
    }
    board.centres = [sh.run((k.head - 1.4, 0), (reach + 0.25, 0)), sh.run((0, -reach - 0.15), (0, reach + 0.3))]
    board.spans = [
        Span("flywheel", (0, -reach), (0, reach), reach + 0.45, after=" dia."),
        Span("stroke", (-p.rod - p.crank, 1.86), (-p.rod + p.crank, 1.86), 0.28, before="Stroke "),
    ]
    top = max(reach + 0.25, 2.95)
    return board.view((k.head - 3.7, k.ground - 0.35, reach + 0.75, top), inches)


def _base(board: Board, p: Proportions, k: Lines) -> None:
    left, s = k.head + 0.35, p.shaft
    seat = 0.98 * s
    deck = -0.78
    outline = (
        ("M", left - 0.12, k.base),
        ("L", k.right + 0.12, k.base),
        ("L", k.right + 0.12, k.base + 0.12),
        ("L", k.right, k.base + 0.12),
        ("C", k.right - 0.05, -0.5, seat + 0.3, -0.1, seat + 0.1, -0.02),
        ("L", -seat - 0.1, -0.02),
        ("C", -seat - 0.35, -0.3, -p.crank - 0.3, deck, -p.crank - 0.75, deck),
        ("L", left, deck),
        ("L", left, k.base + 0.12),
        ("L", left - 0.12, k.base + 0.12),
        ("Z",),
    )
    lines_ = [
        sh.run((left - 0.12, k.base + 0.12), (k.right + 0.12, k.base + 0.12)),
        sh.run((left, deck - 0.09), (-p.crank - 0.8, deck - 0.09)),
        sh.rounded_box(left + 0.25, k.base + 0.3, k.end - 0.25, deck - 0.22, 0.1),
    ]
    board.add(
        "base",
        1,
        101,
        outline,
        lines_,
        depth=40,
        at=(k.end + 0.05, deck - 0.3),
        spots={106: (left + 1.0, (k.base + deck) / 2)},
    )
    bolts = [fit.nut(x, k.base + 0.12, 0.15) for x in (left + 0.05, k.right - 0.12)]
    board.add(
        "holding_down",
        1,
        105,
        bolts,
        depth=41,
        at=(k.right - 0.12, k.base + 0.18),
        spots={104: (left + 0.05, k.base + 0.3)},
    )
    board.add("drain_plug", 1, 107, sh.box(k.end + 0.3, k.base + 0.2, k.end + 0.46, k.base + 0.36), depth=41)
    plate = sh.rounded_box(k.end - 1.2, deck - 0.64, k.end - 0.5, deck - 0.34, 0.04)
    board.add("plate", 1, 108, plate, depth=41, at=(k.end - 0.7, deck - 0.5), spots={109: (k.end - 1.15, deck - 0.4)})
    guard_r = p.crank + 0.55
    inner = sh.arc(0, 0, guard_r - 0.06, 20, 78)
    guard = (*sh.arc(0, 0, guard_r, 78, 20), ("L", *inner[0][1:]), inner[1], ("Z",))
    board.add(
        "crank_guard",
        1,
        102,
        guard,
        depth=39,
        at=sh.at_angle(0, 0, guard_r - 0.03, 40),
        spots={103: sh.at_angle(0, 0, guard_r - 0.03, 25)},
    )
    # The near main bearing, split at a slant as is usual where the rod pulls level.
    cap = sh.rounded(
        [(-seat, 0.02), (seat, 0.02), (seat, 0.55 * s), (0.6 * s, 1.05 * s), (-0.6 * s, 1.05 * s), (-seat, 0.55 * s)],
        0.05,
    )
    board.add("main_cap", 7, 703, cap, depth=60, at=(-0.7 * s, 0.7 * s), spots={706: (-seat + 0.05, 0.02)})
    board.add(
        "main_halves",
        7,
        702,
        sh.join(sh.circle(0, 0, 0.74 * s), sh.circle(0, 0, 0.5 * s)),
        depth=60.5,
        at=sh.at_angle(0, 0, 0.62 * s, 330),
        cut="white_metal",
    )
    nuts = [fit.nut(v * 0.82 * s, 0.75 * s, 0.12) for v in (-1, 1)]
    board.add("main_nuts", 7, 705, nuts, depth=61, at=(0.82 * s, 0.85 * s), spots={704: (0.82 * s, 0.75 * s + 0.14)})
    cup = [
        sh.box(-0.03, 1.05 * s, 0.03, 1.05 * s + 0.1),
        sh.rounded_box(-0.12, 1.05 * s + 0.1, 0.12, 1.05 * s + 0.34, 0.04),
    ]
    board.add("grease_cup", 15, 1503, cup, depth=61, at=(0, 1.05 * s + 0.22))
    board.add(
        "shaft_end", 7, 701, sh.circle(0, 0, 0.5 * s), [sh.circle(0, 0, 0.08 * s)], depth=66, at=(0.18 * s, -0.2 * s)
    )


def _cylinder(board: Board, p: Proportions, k: Lines) -> None:
    half = 0.76
    barrel = [
        sh.rounded_box(k.head + 0.14, -half, k.end - 0.12, half, 0.1),
        sh.box(k.head, -0.88, k.head + 0.16, 0.88),
        sh.box(k.end - 0.14, -0.7, k.end, 0.7),
    ]
    board.add(
        "cylinder",
        2,
        201,
        barrel,
        [sh.run((k.head + 0.4, -0.55), (k.end - 0.4, -0.55))],
        depth=50,
        at=(k.end - 0.5, -0.6),
        spots={202: (k.end - 0.02, 0.48)},
    )
    a, b = k.head + 0.3, k.end - 0.45
    # The water goes round by a tank, so that there is a jacket and no hopper.
    jacket = sh.rounded_box(a, half - 0.06, b, half + 0.18, 0.08)
    outlet = sh.box(a + 0.07, half + 0.18, a + 0.43, half + 0.28)
    board.add("jacket", 2, 204, [jacket, outlet], depth=51, at=(b - 0.3, half + 0.06))
    cock = [sh.box(a + 0.2, -0.94, a + 0.27, -0.74), sh.box(a + 0.14, -0.88, a + 0.33, -0.83)]
    board.add("jacket_cock", 2, 208, cock, depth=49, at=(a + 0.235, -0.86))
    board.add("jacket_plug", 2, 207, sh.circle(b - 0.5, 0.15, 0.1), [sh.circle(b - 0.5, 0.15, 0.05)], depth=52)
    nuts = [fit.nut(x, -0.78, 0.12) for x in (k.head + 0.62, k.end - 0.3)]
    board.add(
        "cylinder_nuts",
        2,
        206,
        nuts,
        depth=52,
        at=(k.end - 0.3, -0.72),
        spots={205: (k.head + 0.62, -0.62), 209: ((k.head + k.end) / 2 + 0.2, -0.77)},
    )
    x = k.end - 0.26
    oiler = [
        sh.box(x - 0.04, 0.7, x + 0.04, 0.92),
        sh.box(x - 0.13, 0.92, x + 0.13, 1.02),
        sh.box(x - 0.13, 1.34, x + 0.13, 1.42),
    ]
    board.add("drip_oiler", 15, 1501, oiler, depth=53, at=(x, 0.97))
    board.add("oiler_glass", 15, 1502, sh.box(x - 0.11, 1.02, x + 0.11, 1.34), depth=53.2, at=(x, 1.2))


def _motion(board: Board, p: Proportions, k: Lines) -> None:
    pin, cross = p.crank_pin(), p.level_crosshead()
    x = cross[0]
    skirt = x + 0.62
    if skirt > k.end + 0.02:
        board.add(
            "piston",
            5,
            501,
            sh.poly((k.end, -0.5), (skirt, -0.5), (skirt, 0.5), (k.end, 0.5)),
            [sh.run((skirt - 0.06, -0.5), (skirt - 0.06, 0.5))],
            depth=44,
            at=(skirt - 0.03, 0.36),
        )
    else:
        board.add("piston", 5, 501, (), (), depth=44, at=(k.end - 0.02, 0.2))
    big, small = 0.75 * p.pin + 0.06, 0.62 * p.gudgeon + 0.06
    way = sh.direction(cross, pin)
    start = max(0.0, (k.end - x) / max(pin[0] - x, 0.1))
    a = sh.along(cross, pin, max(start, 0.12)) if skirt <= k.end else sh.along(cross, pin, 0.62 / p.rod)
    b = sh.at_angle(*pin, 1.02 * big, way + 180)
    board.add("rod", 6, 601, motion.shank(a, b, 0.8 * small, 0.6 * big, 0.55 * big), depth=43, at=sh.along(a, b, 0.55))
    motion.marine_end(
        board, 6, {"rod": 601, "big_brass": 602, "big_bolt": 603, "big_nut": 604, "shim": 606}, pin, cross, big, 45
    )
    board.add("crank_pin", 7, 701, sh.circle(*pin, 0.5 * p.pin), depth=46, at=pin)
    board.add(
        "big_end_oiler",
        15,
        1505,
        sh.circle(*sh.at_angle(*pin, 0.78 * p.pin, 90), 0.05),
        depth=46.5,
        spots={607: sh.at_angle(*pin, 0.5 * p.pin, 90)},
    )
    web = sh.link((0, 0), pin, 0.8 * p.shaft, 0.66 * p.pin)
    board.add("crank_web", 7, 701, web, [sh.circle(*pin, 0.5 * p.pin)], depth=38, at=sh.along((0, 0), pin, 0.5))
    back, reach = p.crank_angle + 180, p.crank + 0.32
    low, high = (sh.at_angle(0, 0, 0.8 * p.shaft, back + t) for t in (75, -75))
    weight = (*sh.arc(0, 0, reach, back - 46, back + 46), ("L", *low), ("L", *high), ("Z",))
    board.add(
        "balance",
        7,
        707,
        weight,
        depth=42,
        at=sh.at_angle(0, 0, reach * 0.8, back + 28),
        spots={708: sh.at_angle(0, 0, reach * 0.7, back - 28)},
    )
