"""Valve gear of the engine with four rotary valves: bonnets, trips, dashpots, wrist plate.

All lengths are bores. Numbers are those of the starter list of the kind.
"""

from __future__ import annotations

from .. import shapes as sh
from .. import steam_fittings as steam_fit
from ..pieces import Board
from ..proportions import Proportions
from ..shapes import Point


def _corners(front: float, back: float) -> dict[str, Point]:
    left, right = back + 0.5, front - 0.5
    return {"sl": (left, 0.66), "sr": (right, 0.66), "el": (left, -0.66), "er": (right, -0.66)}


def _bolts(x: float, y: float, r: float, w: float) -> sh.Shape:
    return sh.join(*(sh.circle(*sh.at_angle(x, y, r, a), w) for a in range(30, 390, 60)))


def valves(board: Board, front: float, back: float, floor: float) -> None:
    """Lay down the four bonnets, the trip gear over the steam valves and the dashpots."""
    at = _corners(front, back)
    for name, component, bonnet, bush, studs in (("s", 4, 404, 405, 407), ("e", 5, 504, 505, 506)):
        spots = [at[f"{name}l"], at[f"{name}r"]]
        y = spots[0][1]
        x = spots[1][0]
        board.add(
            f"{name}_bonnets",
            component,
            bonnet,
            [sh.circle(*q, 0.21) for q in spots],
            [sh.circle(*q, 0.17) for q in spots],
            depth=56,
            at=sh.at_angle(x, y, 0.185, 20 if name == "s" else -20),
            spots={component * 100 + 6: sh.at_angle(x, y, 0.19, -30)} if name == "s" else None,
        )
        board.add(
            f"{name}_bonnet_nuts",
            component,
            studs,
            [_bolts(*q, 0.19, 0.024) for q in spots],
            depth=56.5,
            at=sh.at_angle(spots[0][0], y, 0.19, 150),
        )
        board.add(
            f"{name}_bushes",
            component,
            bush,
            [sh.circle(*q, 0.12) for q in spots],
            depth=56.6,
            at=sh.at_angle(x, y, 0.1, 60),
        )
        board.add(
            f"{name}_stems",
            component,
            component * 100 + 2,
            [sh.circle(*q, 0.055) for q in spots],
            depth=60,
            at=(spots[0][0] - 0.02, y + 0.02),
            spots={component * 100 + 1: spots[1]},
        )
    exhaust = []
    for key in ("el", "er"):
        x, y = at[key]
        s = 1 if key == "el" else -1
        exhaust.append(sh.link((x, y), (x + s * 0.1, y + 0.28), 0.07, 0.04))
    board.add(
        "exhaust_arms",
        5,
        509,
        exhaust,
        depth=58,
        at=(at["el"][0] + 0.07, -0.46),
        spots={510: (at["er"][0] - 0.02, -0.62)},
    )
    _trip(board, at)
    _dashpots(board, at, floor)


def _trip(board: Board, at: dict[str, Point]) -> None:
    cranks, arms, hooks, cams, springs = [], [], [], [], []
    for key, s in (("sl", -1), ("sr", 1)):
        x, y = at[key]
        cranks.append(sh.link((x, y), (x - s * 0.12, y - 0.27), 0.1, 0.04))
        cranks.append(sh.link((x, y), (x + s * 0.26, y + 0.06), 0.1, 0.035))
        arms.append(sh.link((x, y), (x + s * 0.36, y - 0.04), 0.08, 0.045))
        hooks.append(
            sh.poly(
                (x + s * 0.24, y + 0.13),
                (x + s * 0.3, y + 0.11),
                (x + s * 0.39, y - 0.01),
                (x + s * 0.34, y - 0.06),
                (x + s * 0.32, y),
            )
        )
        cams.append(sh.turned(sh.rounded_box(x - 0.05, y + 0.05, x + 0.05, y + 0.25, 0.04), -s * 12, (x, y)))
        springs.append(sh.box(x + s * 0.2 - 0.015, y + 0.07, x + s * 0.2 + 0.015, y + 0.2))
    x, y = at["sr"]
    board.add("bell_cranks", 6, 601, cranks, depth=57, at=(x - 0.1, y - 0.2), spots={602: (x - 0.06, y - 0.03)})
    board.add("steam_arms", 6, 603, arms, depth=57.5, at=(x + 0.32, y - 0.05), spots={604: (x + 0.06, y + 0.02)})
    board.add("hooks", 6, 605, hooks, depth=58, at=(x + 0.33, y + 0.05), spots={606: (x + 0.36, y - 0.02)})
    board.add(
        "cams",
        6,
        609,
        cams,
        depth=58.2,
        at=(at["sl"][0] + 0.02, y + 0.17),
        spots={610: (x, y + 0.12), 611: (x - 0.02, y + 0.2)},
    )
    board.add("latch_springs", 6, 608, springs, depth=58.1, at=(at["sl"][0] - 0.2, y + 0.15))


def _dashpots(board: Board, at: dict[str, Point], floor: float) -> None:
    bodies, plungers, rods, pins = [], [], [], []
    top = floor + 0.52
    for key, s in (("sl", -1), ("sr", 1)):
        x = at[key][0] + s * 0.36
        y = at[key][1] - 0.04
        bodies.append(sh.box(x - 0.24, floor, x + 0.24, floor + 0.07))
        bodies.append(sh.box(x - 0.17, floor + 0.07, x + 0.17, top))
        plungers.append(sh.box(x - 0.11, top, x + 0.11, top + 0.16))
        rods.append(sh.box(x - 0.022, top + 0.16, x + 0.022, y - 0.03))
        pins.append(sh.circle(x, y, 0.028))
    x = at["sr"][0] + 0.36
    left = at["sl"][0] - 0.36
    board.add(
        "dashpots",
        7,
        701,
        bodies,
        [sh.run((b - 0.17, floor + 0.2), (b + 0.17, floor + 0.2)) for b in (left, x)],
        depth=62,
        at=(left - 0.08, floor + 0.34),
        spots={706: (x + 0.15, floor + 0.2), 707: (left + 0.12, floor + 0.14), 708: (left - 0.2, floor + 0.05)},
    )
    board.add("plungers", 7, 702, plungers, depth=61.5, at=(left, top + 0.1), spots={703: (x, top + 0.03)})
    board.add("dashpot_rods", 7, 704, rods, depth=61, at=(left, -0.2))
    board.add("dashpot_pins", 7, 705, pins, depth=61.2, at=pins[1][0][1:])


def drive(board: Board, p: Proportions, front: float, back: float) -> None:
    """Lay down the wrist plate with its rods, the rocker, the eccentric and the governor."""
    at = _corners(front, back)
    x, y = (front + back) / 2, -0.02
    plate = sh.rounded([sh.at_angle(x, y, 0.36, a) for a in (75, 105, 150, 215, 325, 30)], 0.1)
    board.add("wrist_plate", 8, 801, plate, [sh.circle(x, y, 0.14)], depth=58, at=(x + 0.02, y - 0.2))
    board.add(
        "wrist_stud",
        8,
        802,
        sh.circle(x, y, 0.075),
        [sh.circle(x, y, 0.045)],
        depth=59,
        at=(x + 0.02, y - 0.02),
        spots={803: (x - 0.1, y), 804: (x + 0.06, y + 0.04)},
    )
    ends = {
        "sl": (at["sl"][0] + 0.12, 0.39),
        "sr": (at["sr"][0] - 0.12, 0.39),
        "el": (at["el"][0] + 0.1, -0.38),
        "er": (at["er"][0] - 0.1, -0.38),
    }
    pins = {
        "sl": sh.at_angle(x, y, 0.28, 150),
        "sr": sh.at_angle(x, y, 0.28, 30),
        "el": sh.at_angle(x, y, 0.28, 215),
        "er": sh.at_angle(x, y, 0.28, 325),
    }
    rods = [sh.link(pins[k], ends[k], 0.03) for k in ends]
    board.add(
        "valve_rods",
        8,
        805,
        rods,
        depth=59,
        at=sh.along(pins["sr"], ends["sr"], 0.5),
        spots={807: sh.along(pins["sl"], ends["sl"], 0.84), 808: sh.along(pins["el"], ends["el"], 0.74)},
    )
    board.add(
        "rod_brasses",
        8,
        806,
        [sh.circle(*q, 0.05) for q in (*pins.values(), *ends.values())],
        depth=59.3,
        at=ends["er"],
        spots={811: pins["el"]},
    )
    # Hook rod to the rocker on the frame, and from there the eccentric rod.
    rocker_x = -(p.rod - p.crank - 1.0)
    rocker_x = min(rocker_x, -(p.disc + 0.6))
    top = (rocker_x, 0.72)
    foot = (rocker_x, -0.36)
    hook = (x, y + 0.3)
    board.add("hook_rod", 8, 809, sh.link(hook, top, 0.035), depth=63, at=sh.along(hook, top, 0.42))
    bar = sh.link((x + 0.02, y + 0.3), (x + 0.16, 0.98), 0.022)
    board.add("starting_bar", 8, 810, bar, depth=59.5, at=(x + 0.13, 0.84))
    board.add(
        "rocker", 16, 1606, sh.link(foot, top, 0.09, 0.055), depth=62.5, at=sh.along(foot, top, 0.35), spots={1607: top}
    )
    bracket = sh.poly(
        (rocker_x - 0.2, -0.52), (rocker_x + 0.2, -0.52), (rocker_x + 0.12, -0.28), (rocker_x - 0.12, -0.28)
    )
    board.add(
        "rocker_bracket", 16, 1608, bracket, depth=62, at=(rocker_x - 0.1, -0.46), spots={1609: (rocker_x + 0.16, -0.5)}
    )
    sheave = sh.at_angle(0, 0, 0.16, 250)
    board.add(
        "eccentric_strap",
        16,
        1602,
        sh.join(sh.circle(*sheave, 1.25 * p.shaft), sh.circle(*sheave, 1.02 * p.shaft)),
        depth=70,
        at=sh.at_angle(*sheave, 1.13 * p.shaft, 305),
        spots={1603: sh.at_angle(*sheave, 1.13 * p.shaft, 80), 1604: sh.at_angle(*sheave, 1.04 * p.shaft, 280)},
    )
    board.add(
        "eccentric_sheave",
        16,
        1601,
        sh.circle(*sheave, 1.02 * p.shaft),
        depth=69.8,
        at=sh.at_angle(*sheave, 0.9 * p.shaft, 320),
        spots={1610: sh.at_angle(*sheave, 0.75 * p.shaft, 350)},
    )
    way = sh.direction(sheave, top)
    start = sh.at_angle(*sheave, 1.22 * p.shaft, way)
    board.add("eccentric_rod", 16, 1605, sh.link(top, start, 0.04, 0.06), depth=69.9, at=sh.along(top, start, 0.4))
    gx = front + 0.62
    steam_fit.governor(
        board,
        10,
        {
            "stand": 1001,
            "spindle": 1002,
            "ball": 1003,
            "upper": 1004,
            "pin": 1013,
            "weight": 1005,
            "sleeve": 1006,
            "bevel": 1007,
            "pulley_shaft": 1008,
            "pulley": 1009,
            "belt": 1016,
            "stand_bolt": 1015,
        },
        gx,
        0.47,
        2.1,
        64,
        throttle=False,
        drive=0.7 * p.disc,
    )
    lever_y = 0.47 + 2.1 * 0.42
    board.add(
        "governor_rocker",
        10,
        1012,
        [sh.link((gx - 0.2, lever_y - 0.12), (gx - 0.03, 1.49), 0.035)],
        depth=64.6,
        at=(gx - 0.14, lever_y),
    )
    tops = [(at[k][0], 0.88) for k in ("sl", "sr")]
    trips = [sh.link((gx - 0.2, lever_y - 0.12), tops[1], 0.02), sh.link(tops[1], tops[0], 0.018)]
    board.add(
        "trip_rods", 6, 612, trips, depth=63.5, at=sh.along(tops[0], tops[1], 0.15), spots={613: tops[0], 614: tops[1]}
    )
