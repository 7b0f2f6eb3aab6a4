"""The beam engine: cylinder at the left, beam on its columns, crank and wheel at the right.

All lengths below are bores. Numbers are those of the starter list of the kind.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, sqrt

from . import beam_house as house
from . import fittings as fit
from . import motion
from . import shapes as sh
from . import steam_fittings as steam_fit
from .beam_cylinder import cylinder
from .pieces import Board, Span, View
from .proportions import Proportions
from .shapes import Point


@dataclass(frozen=True)
class Linkage:
    """Where the points of the motion stand, in bores about the crank centre.

    Args:
        arm: From the beam's centre to an end.
        link: The length of the main link.
        centre: Of the beam.
        tilt: Of the beam, anticlockwise. [degrees]
        crank_end, steam_end: The end gudgeons.
        cap: The head of the piston rod.
        joint: Where the parallel bar, back link and radius rod meet.
        fixed: The stud of the radius rod.
        rod_x: The line of the piston rod.
        bed: The top of the bed.
    """

    arm: float
    link: float
    centre: Point
    tilt: float
    crank_end: Point
    steam_end: Point
    cap: Point
    joint: Point
    fixed: Point
    rod_x: float
    bed: float

    def on_beam(self, part: float) -> Point:
        """Return a point of the beam's centre line: -1 the steam end, 1 the crank end."""
        return sh.at_angle(*self.centre, self.arm * part, self.tilt)


def linkage(p: Proportions) -> Linkage:
    """Return the points of the motion; the rod between its pins is as long as it is."""
    r, arm = p.crank, 1.5 * p.stroke
    pin = p.crank_pin()
    swing = sqrt(1 - (r / arm) ** 2)
    mean = arm * (1 + swing) / 2
    centre = (-mean, sqrt(p.rod**2 - (0.35 * r) ** 2))
    # The beam's tilt is the one at which the crank end stands a rod's length from the pin.
    low, high = -45.0, 45.0
    for _ in range(60):
        tilt = (low + high) / 2
        x, y = sh.at_angle(*centre, arm, tilt)
        if hypot(x - pin[0], y - pin[1]) < p.rod:
            low = tilt
        else:
            high = tilt
    link = 0.58 * p.stroke
    steam = sh.at_angle(*centre, -arm, tilt)
    rod_x = -2 * mean
    cap = (rod_x, steam[1] - sqrt(max(link**2 - (steam[0] - rod_x) ** 2, 0.01)))
    half = sh.at_angle(*centre, -arm / 2, tilt)
    joint = (half[0] + cap[0] - steam[0], half[1] + cap[1] - steam[1])
    return Linkage(
        arm,
        link,
        centre,
        tilt,
        sh.at_angle(*centre, arm, tilt),
        steam,
        cap,
        joint,
        (rod_x, centre[1] - link),
        rod_x,
        -max(0.5, 1.1 * p.shaft),
    )


def draw(p: Proportions) -> View:
    """Draw the engine at its proportions."""
    inches, p = p.bore, p.in_bores()
    board = Board("Elevation on crank side")
    k = linkage(p)
    reach = p.flywheel / 2
    house.foundation(board, p, k)
    house.columns(board, p, k)
    fit.wheel(
        board,
        10,
        {"wheel": 1001, "rim": 1003, "arm": 1002, "boss": 1001, "rim_bolt": 1005, "key": 1006},
        p,
        10,
    )
    _beam(board, p, k)
    _parallel_motion(board, p, k)
    cylinder(board, p, k)
    _crank(board, p, k)
    house.pumps(board, p, k)
    _governor(board, p, k)
    board.centres = [
        sh.run((k.rod_x, k.bed - 0.4), (k.rod_x, k.centre[1] + 0.4)),
        sh.run((0, -reach - 0.2), (0, k.centre[1] + p.crank + 0.4)),
        sh.run((-reach - 0.2, 0), (reach + 0.3, 0)),
    ]
    board.spans = [
        Span("flywheel", (0, -reach), (0, reach), reach + 0.5, after=" dia."),
        Span(
            "stroke",
            (k.rod_x, k.fixed[1] - p.crank),
            (k.rod_x, k.fixed[1] + p.crank),
            -1.3,
            before="Stroke ",
        ),
    ]
    board.leads = {8: "rod", 10: "wheel_rim", 11: "eccentric_rod", 14: "condenser"}
    top = max(k.steam_end[1], k.crank_end[1], k.centre[1] + 0.75) + 0.4
    return board.view((k.rod_x - 1.75, min(-reach - 0.1, k.bed - 2.5), reach + 0.75, top), inches)


def _beam(board: Board, p: Proportions, k: Linkage) -> None:
    a, deep, end = k.arm, 0.2 * k.arm, 0.085 * k.arm

    def put(shape: sh.Shape) -> sh.Shape:
        return sh.moved(sh.turned(shape, k.tilt), *k.centre)

    edge = [("M", -a - end, 0), ("A", end, 0, 0, -a, end)]
    edge += [
        ("C", -0.62 * a, 0.82 * deep, -0.25 * a, deep, 0, deep),
        ("C", 0.25 * a, deep, 0.62 * a, 0.82 * deep, a, end),
        ("A", end, 0, 0, a + end, 0),
        ("A", end, 0, 0, a, -end),
        ("C", 0.62 * a, -0.82 * deep, 0.25 * a, -deep, 0, -deep),
        ("C", -0.25 * a, -deep, -0.62 * a, -0.82 * deep, -a, -end),
        ("A", end, 0, 0, -a - end, 0),
        ("Z",),
    ]
    rib = 0.09 * deep
    inner = [
        (
            ("M", s * 0.92 * a, v * 0.75 * end),
            (
                "C",
                s * 0.6 * a,
                v * (0.82 * deep - 1.6 * rib),
                s * 0.25 * a,
                v * (deep - 1.6 * rib),
                0,
                v * (deep - 1.6 * rib),
            ),
        )
        for s in (-1, 1)
        for v in (-1, 1)
    ]
    middle = [
        sh.run((s * 0.14 * a, v * rib), (s * 0.9 * a, v * rib)) for s in (-1, 1) for v in (-1, 1)
    ]
    uprights = [
        sh.run((s * 0.5 * a + t, v * rib), (s * 0.5 * a + t, v * 0.78 * deep))
        for s in (-1, 1)
        for v in (-1, 1)
        for t in (-rib, rib)
    ]
    bosses = [
        sh.circle(0, 0, 0.12 * a),
        sh.circle(-0.5 * a, 0, 0.05 * a),
        sh.circle(0.5 * a, 0, 0.05 * a),
    ]
    board.add(
        "beam",
        2,
        201,
        put(tuple(edge)),
        [put(s) for s in (*inner, *middle, *uprights, *bosses)],
        depth=50,
        at=k.on_beam(0.28),
    )
    wings = [
        put(sh.box(s * 0.78 * a - 0.12, -0.4 * end, s * 0.78 * a + 0.12, 0.4 * end))
        for s in (-1, 1)
    ]
    board.add("catch_wings", 2, 211, wings, depth=51, at=k.on_beam(-0.78))
    board.add(
        "gudgeon",
        2,
        202,
        sh.circle(*k.centre, 0.2),
        [sh.circle(*k.centre, 0.1)],
        depth=57,
        at=(k.centre[0] + 0.08, k.centre[1] + 0.08),
    )
    board.add(
        "end_gudgeons",
        2,
        203,
        [sh.circle(*k.steam_end, 0.11), sh.circle(*k.crank_end, 0.11)],
        depth=66,
        at=(k.crank_end[0] + 0.05, k.crank_end[1] + 0.05),
        spots={204: (k.steam_end[0] - 0.06, k.steam_end[1] + 0.05)},
    )


def _strap_link(
    board: Board, key: str, component: int, part: int, a: Point, b: Point, w: float, depth: float
) -> None:
    """Lay down a link of straps: two eyes, their brasses, a distance piece between."""
    way = sh.direction(a, b)
    inner = [sh.along(a, b, 0.22), sh.along(a, b, 0.78)]
    board.add(
        key,
        component,
        part,
        sh.link(a, b, w),
        [
            sh.run(sh.at_angle(*inner[0], v, way + 90), sh.at_angle(*inner[1], v, way + 90))
            for v in (0.45 * w, -0.45 * w)
        ],
        depth=depth,
        at=sh.along(a, b, 0.62),
    )


def _parallel_motion(board: Board, p: Proportions, k: Linkage) -> None:
    half = k.on_beam(-0.5)
    _strap_link(board, "back_links", 3, 302, half, k.joint, 0.12, 58)
    _strap_link(board, "main_links", 3, 301, k.steam_end, k.cap, 0.14, 64)
    brasses = [sh.circle(*q, 0.085) for q in (half, k.joint, k.cap)]
    board.add("link_brasses", 3, 303, brasses, depth=65, at=(half[0] - 0.06, half[1] - 0.03))
    keys = []
    for a, b in ((k.steam_end, k.cap), (half, k.joint)):
        for part in (0.2, 0.8):
            x, y = sh.along(a, b, part)
            keys.append(
                sh.turned(
                    sh.box(x - 0.24, y - 0.035, x + 0.24, y + 0.035),
                    sh.direction(a, b) + 90,
                    (x, y),
                )
            )
    board.add(
        "link_cotters",
        3,
        304,
        keys,
        depth=65.5,
        at=sh.along(k.steam_end, k.cap, 0.2),
        spots={305: sh.along(half, k.joint, 0.2)},
    )
    spacers = [
        sh.turned(
            sh.box(*_around(sh.along(a, b, 0.5), 0.09, 0.12)),
            sh.direction(a, b) - 90,
            sh.along(a, b, 0.5),
        )
        for a, b in ((k.steam_end, k.cap), (half, k.joint))
    ]
    board.add("distance_pieces", 3, 306, spacers, depth=65.2, at=sh.along(half, k.joint, 0.5))
    board.add(
        "parallel_bar",
        3,
        307,
        sh.link(k.cap, k.joint, 0.075),
        depth=62,
        at=sh.along(k.cap, k.joint, 0.55),
        spots={308: sh.along(k.cap, k.joint, 0.93)},
    )
    board.add(
        "radius_rod",
        3,
        309,
        sh.link(k.joint, k.fixed, 0.065),
        depth=61,
        at=sh.along(k.joint, k.fixed, 0.4),
        spots={310: sh.along(k.joint, k.fixed, 0.06)},
    )
    x, y = k.fixed
    bracket = sh.poly(
        (x - 0.32, y + 0.1),
        (x + 0.14, y + 0.1),
        (x + 0.14, y - 0.12),
        (x - 0.1, y - 0.16),
        (x - 0.32, y - 0.42),
    )
    wall = [bracket, sh.box(x - 0.42, y - 0.5, x - 0.32, y + 0.24)]
    board.add(
        "radius_bracket",
        3,
        312,
        wall,
        depth=60,
        at=(x - 0.25, y - 0.05),
        spots={313: (x - 0.37, y + 0.15)},
    )
    board.add("radius_stud", 3, 311, sh.circle(x, y, 0.06), depth=63)
    board.add(
        "cross_pins",
        3,
        314,
        [sh.circle(*k.joint, 0.05), sh.circle(*half, 0.05)],
        depth=67,
        at=k.joint,
        spots={315: (half[0] + 0.04, half[1])},
    )


def _around(q: Point, w: float, h: float) -> tuple[float, float, float, float]:
    return q[0] - w, q[1] - h, q[0] + w, q[1] + h


def _crank(board: Board, p: Proportions, k: Linkage) -> None:
    pin, s = p.crank_pin(), p.shaft
    big = 0.62 * p.pin + 0.06
    a = sh.at_angle(*k.crank_end, 0.42, sh.direction(k.crank_end, pin))
    b = sh.at_angle(*pin, 1.7 * big, sh.direction(pin, k.crank_end))
    board.add(
        "rod",
        8,
        801,
        motion.shank(a, b, 0.13, 0.7 * big, 0.24),
        [_cross_rib(a, b)],
        depth=70,
        at=sh.along(a, b, 0.5),
    )
    way = sh.direction(k.crank_end, pin)
    fork = sh.link(k.crank_end, a, 0.19, 0.15)
    board.add("fork", 8, 802, fork, depth=69, at=sh.along(k.crank_end, a, 0.75))
    board.add(
        "fork_brass",
        8,
        803,
        sh.circle(*k.crank_end, 0.145),
        depth=69.5,
        at=sh.at_angle(*k.crank_end, 0.12, way + 120),
    )
    x, y = sh.along(k.crank_end, a, 0.62)
    key = sh.turned(sh.box(x - 0.26, y - 0.04, x + 0.26, y + 0.04), way + 90, (x, y))
    board.add("fork_cotter", 8, 805, key, depth=69.8, at=(x + 0.18, y), spots={804: (x - 0.18, y)})
    fit.strap_end(
        board,
        8,
        {"big_strap": 806, "big_brass": 807, "big_gib": 808, "big_cotter": 809, "big_cup": 810},
        "big",
        pin,
        k.crank_end,
        big,
        p.pin,
        72,
    )
    motion.crank_arm(board, 9, {"disc": 901, "shaft": 903, "key": 904}, p, 60)
    motion.pin_end(board, 9, 902, "crank_pin", pin, p.pin, 75)
    foot = k.bed
    block = sh.poly(
        (-0.72, foot),
        (0.72, foot),
        (0.72, foot + 0.13),
        (0.98 * s, foot + 0.18),
        (0.98 * s, 0.0),
        (-0.98 * s, 0.0),
        (-0.98 * s, foot + 0.18),
        (-0.72, foot + 0.13),
    )
    board.add(
        "main_block",
        9,
        905,
        block,
        depth=40,
        at=(-0.6, foot + 0.08),
        spots={910: (0.6, foot + 0.2)},
    )
    top = 1.08 * s
    cap = sh.rounded(
        [
            (-0.98 * s, 0.02),
            (0.98 * s, 0.02),
            (0.98 * s, top - 0.12),
            (0.6 * s, top),
            (-0.6 * s, top),
            (-0.98 * s, top - 0.12),
        ],
        0.05,
    )
    board.add(
        "main_cap", 9, 906, cap, depth=41, at=(-0.78 * s, 0.6 * s), spots={912: (-0.95 * s, 0.02)}
    )
    board.add(
        "main_brass",
        9,
        907,
        sh.circle(0, 0, 0.76 * s),
        depth=41.5,
        at=sh.at_angle(0, 0, 0.66 * s, 225),
        cut="bronze",
    )
    nuts = [fit.nut(v * 0.8 * s, top - 0.08, 0.13) for v in (-1, 1)]
    board.add(
        "cap_nuts", 9, 909, nuts, depth=42, at=(0.8 * s, top), spots={908: (0.8 * s, top + 0.08)}
    )
    fit.oil_cup(board, 9, 911, (0, top), 0.15, 42)
    _eccentric(board, p, k)


def _cross_rib(a: Point, b: Point) -> sh.Shape:
    return sh.run(sh.along(a, b, 0.06), sh.along(a, b, 0.94))


def _eccentric(board: Board, p: Proportions, k: Linkage) -> None:
    s = p.shaft
    sheave = sh.at_angle(0, 0, 0.2, p.crank_angle + 95)
    gab = (k.rod_x + 1.32, k.bed + 0.62)
    way = sh.direction(sheave, gab)
    ring = sh.join(sh.circle(*sheave, 1.3 * s), sh.circle(*sheave, 1.08 * s))
    board.add(
        "strap",
        11,
        1103,
        ring,
        depth=44,
        at=sh.at_angle(*sheave, 1.19 * s, 262),
        spots={1104: sh.at_angle(*sheave, 1.2 * s, 90)},
    )
    board.add(
        "sheave",
        11,
        1101,
        sh.circle(*sheave, 1.08 * s),
        depth=43.8,
        at=sh.at_angle(*sheave, 0.95 * s, 285),
        spots={1102: sh.at_angle(*sheave, 0.9 * s, 210)},
    )
    top, foot = (sh.at_angle(*sheave, 1.2 * s, way + t) for t in (-75, 75))
    tip = sh.along(sheave, gab, 0.9)
    bars = [sh.link(q, tip, 0.035) for q in (top, foot)]
    stays = [sh.link(sh.along(top, tip, t), sh.along(foot, tip, t), 0.022) for t in (0.3, 0.5, 0.7)]
    board.add(
        "eccentric_rod",
        11,
        1106,
        [*bars, *stays],
        depth=43,
        at=sh.along(foot, tip, 0.4),
        spots={1107: sh.along(sheave, gab, 0.88)},
    )
    board.add(
        "gab",
        11,
        1108,
        sh.link(tip, gab, 0.06, 0.1),
        depth=43.5,
        at=sh.along(tip, gab, 0.6),
        spots={1105: sh.at_angle(*sheave, 1.25 * s, 270)},
    )


def _governor(board: Board, p: Proportions, k: Linkage) -> None:
    x = k.centre[0] + max(0.36 * k.arm, 1.5)
    steam_fit.governor(
        board,
        12,
        {
            "stand": 1201,
            "spindle": 1202,
            "ball": 1203,
            "upper": 1204,
            "lower": 1205,
            "pin": 1215,
            "sleeve": 1206,
            "bevel": 1207,
            "crank": 1211,
            "stand_bolt": 1217,
        },
        x,
        k.bed,
        2.7,
        76,
        pulley_side=1,
        throttle=True,
    )
    y = k.bed + 0.3
    board.add(
        "drive_shaft",
        12,
        1208,
        sh.box(x + 0.1, y - 0.035, -0.2, y + 0.035),
        depth=39,
        at=((x - 0.2) / 2, y),
    )
    bearing = [
        sh.poly((q - 0.13, k.bed), (q + 0.13, k.bed), (q + 0.08, y + 0.08), (q - 0.08, y + 0.08))
        for q in (x * 0.45,)
    ]
    board.add(
        "shaft_bearing",
        12,
        1209,
        bearing,
        depth=39.5,
        at=(x * 0.45, y - 0.15),
        spots={1210: (x * 0.45, y)},
    )
    end = (k.rod_x + 1.55, k.bed + 2.65)
    start = (x - 0.49, k.bed + 0.92)
    board.add(
        "throttle_rod", 12, 1212, sh.link(start, end, 0.025), depth=38, at=sh.along(start, end, 0.3)
    )
