"""The beam engine: cylinder at the left, beam on its columns, crank and wheel at the right.

All lengths below are bores. Numbers are those of the starter list of the kind.
"""

from __future__ import annotations

from .. import fittings as fit
from .. import shapes as sh
from ..pieces import Board, Span, View
from ..proportions import Proportions
from ..shapes import Point
from . import crank, house
from .cylinder import cylinder
from .linkage import Linkage, linkage


def draw(p: Proportions) -> View:
    """Draw the engine at its proportions."""
    inches, p = p.bore, p.in_bores()
    board = Board("Elevation on crank side")
    k = linkage(p)
    reach = p.flywheel / 2
    house.foundation(board, p, k)
    house.columns(board, p, k)
    fit.wheel(board, 10, {"wheel": 1001, "rim": 1003, "arm": 1002, "boss": 1001, "rim_bolt": 1005, "key": 1006}, p, 10)
    _beam(board, p, k)
    _parallel_motion(board, p, k)
    cylinder(board, p, k)
    crank.crank(board, p, k)
    house.pumps(board, p, k)
    crank.governor(board, p, k)
    board.centres = [
        sh.run((k.rod_x, k.bed - 0.4), (k.rod_x, k.centre[1] + 0.4)),
        sh.run((0, -reach - 0.2), (0, k.centre[1] + p.crank + 0.4)),
        sh.run((-reach - 0.2, 0), (reach + 0.3, 0)),
    ]
    board.spans = [
        Span("flywheel", (0, -reach), (0, reach), reach + 0.5, after=" dia."),
        Span("stroke", (k.rod_x, k.fixed[1] - p.crank), (k.rod_x, k.fixed[1] + p.crank), -1.3, before="Stroke "),
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
    middle = [sh.run((s * 0.14 * a, v * rib), (s * 0.9 * a, v * rib)) for s in (-1, 1) for v in (-1, 1)]
    uprights = [
        sh.run((s * 0.5 * a + t, v * rib), (s * 0.5 * a + t, v * 0.78 * deep))
        for s in (-1, 1)
        for v in (-1, 1)
        for t in (-rib, rib)
    ]
    bosses = [sh.circle(0, 0, 0.12 * a), sh.circle(-0.5 * a, 0, 0.05 * a), sh.circle(0.5 * a, 0, 0.05 * a)]
    board.add(
        "beam",
        2,
        201,
        put(tuple(edge)),
        [put(s) for s in (*inner, *middle, *uprights, *bosses)],
        depth=50,
        at=k.on_beam(0.28),
    )
    wings = [put(sh.box(s * 0.78 * a - 0.12, -0.4 * end, s * 0.78 * a + 0.12, 0.4 * end)) for s in (-1, 1)]
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


def _strap_link(board: Board, key: str, component: int, part: int, a: Point, b: Point, w: float, depth: float) -> None:
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
            keys.append(sh.turned(sh.box(x - 0.24, y - 0.035, x + 0.24, y + 0.035), sh.direction(a, b) + 90, (x, y)))
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
        sh.turned(sh.box(*_around(sh.along(a, b, 0.5), 0.09, 0.12)), sh.direction(a, b) - 90, sh.along(a, b, 0.5))
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
        (x - 0.32, y + 0.1), (x + 0.14, y + 0.1), (x + 0.14, y - 0.12), (x - 0.1, y - 0.16), (x - 0.32, y - 0.42)
    )
    wall = [bracket, sh.box(x - 0.42, y - 0.5, x - 0.32, y + 0.24)]
    board.add("radius_bracket", 3, 312, wall, depth=60, at=(x - 0.25, y - 0.05), spots={313: (x - 0.37, y + 0.15)})
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
