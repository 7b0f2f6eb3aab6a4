"""The motion of an engine: connecting rod with its ends, pins, crank disc or crank arm."""

from __future__ import annotations

from . import fittings as fit
from . import shapes as sh
from .pieces import Board
from .proportions import Proportions
from .shapes import Point, Shape

Numbers = fit.Numbers


def shank(a: Point, b: Point, at_a: float, at_b: float, middle: float) -> Shape:
    """Return the shank of a rod between two places, as forged: thickest past its middle."""
    way = sh.direction(a, b)

    def off(part: float, v: float) -> Point:
        return sh.at_angle(*sh.along(a, b, part), v, way + 90)

    made: list[tuple] = []
    for s in (1, -1):
        side = [
            ("M" if s > 0 else "L", *off(0, s * at_a)),
            ("C", *off(0.2, s * at_a * 1.05), *off(0.4, s * middle), *off(0.55, s * middle)),
            ("C", *off(0.75, s * middle), *off(0.9, s * at_b), *off(1, s * at_b)),
        ]
        if s < 0:
            side = [
                ("L", *off(1, -at_b)),
                ("C", *off(0.9, -at_b), *off(0.75, -middle), *off(0.55, -middle)),
                ("C", *off(0.4, -middle), *off(0.2, -at_a * 1.05), *off(0, -at_a)),
            ]
        made += side
    return (*made, ("Z",))


def connecting_rod(
    board: Board, component: int, n: Numbers, p: Proportions, cross: Point, pin: Point, depth: float, lean: float = 1.0
) -> None:
    """Lay down a rod from the gudgeon to the crank pin, with strap ends.

    Args:
        n: rod, big_strap, big_brass, big_gib, big_cotter, big_cup, small_strap and so on.
        lean: Makes the ends and shank thicker or thinner.
    """
    way = sh.direction(cross, pin)
    big = (0.62 * p.pin + 0.06 * p.bore) * lean
    small = (0.62 * p.gudgeon + 0.05 * p.bore) * lean
    a = sh.at_angle(*cross, 1.7 * small, way)
    b = sh.at_angle(*pin, 1.7 * big, way + 180)
    board.add(
        "rod",
        component,
        n["rod"],
        shank(a, b, 0.62 * small, 0.72 * big, 0.62 * big),
        depth=depth,
        at=sh.along(a, b, 0.5),
    )
    fit.strap_end(board, component, n, "small", cross, pin, small, p.gudgeon, depth + 1)
    fit.strap_end(board, component, n, "big", pin, cross, big, p.pin, depth + 1)


def marine_end(board: Board, component: int, n: Numbers, pin: Point, toward: Point, half: float, depth: float) -> None:
    """Lay down a rod end of two brasses and a cap, held by two bolts.

    Args:
        n: big_brass, big_cap, big_bolt, big_nut, shim; those that are missing are left off.
        half: Half its width across the rod. [in]
    """
    angle, (x, y) = sh.direction(pin, toward), pin

    def put(shape: Shape) -> Shape:
        return sh.moved(sh.turned(shape, angle), x, y)

    def place(u: float, v: float) -> Point:
        c, s = sh.at_angle(0, 0, 1, angle)
        return x + u * c - v * s, y + u * s + v * c

    h = half
    if "big_cap" in n:
        cap = sh.rounded_box(-1.08 * h, -h, -0.78 * h, h, 0.08 * h)
        board.add("big_cap", component, n["big_cap"], put(cap), depth=depth, at=place(-0.93 * h, 0.25 * h))
    halves = [
        sh.rounded_box(-0.78 * h, -0.92 * h, -0.03 * h, 0.92 * h, 0.1 * h),
        sh.rounded_box(0.03 * h, -0.92 * h, 0.78 * h, 0.92 * h, 0.1 * h),
    ]
    board.add(
        "big_brass",
        component,
        n["big_brass"],
        [put(s) for s in halves],
        depth=depth,
        at=place(0.5 * h, -0.3 * h),
        spots={n["shim"]: place(0, 0.85 * h)} if "shim" in n else None,
    )
    palm = sh.rounded_box(0.78 * h, -h, 1.05 * h, h, 0.08 * h)
    board.add("rod_palm", component, n["rod"], put(palm), depth=depth, at=place(0.9 * h, 0))
    nuts = [
        s
        for v in (0.72 * h, -0.72 * h)
        for s in (
            sh.box(-1.3 * h, v - 0.16 * h, -1.08 * h, v + 0.16 * h),
            sh.box(1.05 * h, v - 0.16 * h, 1.3 * h, v + 0.16 * h),
        )
    ]
    if "big_nut" in n:
        board.add(
            "big_nuts",
            component,
            n["big_nut"],
            [put(s) for s in nuts],
            depth=depth + 0.2,
            at=place(-1.2 * h, -0.72 * h),
            spots={n["big_bolt"]: place(1.2 * h, 0.72 * h)} if "big_bolt" in n else None,
        )


def pin_end(
    board: Board,
    component: int,
    part: int,
    key: str,
    at: Point,
    diameter: float,
    depth: float,
    spots: dict[int, Point] | None = None,
) -> None:
    """Lay down the end of a pin, with its washer."""
    board.add(
        key,
        component,
        part,
        sh.circle(*at, 0.5 * diameter),
        [sh.circle(*at, 0.3 * diameter)],
        depth=depth,
        at=(at[0] + 0.16 * diameter, at[1] - 0.16 * diameter),
        spots=spots,
    )


def crank_disc(board: Board, component: int, n: Numbers, p: Proportions, depth: float) -> None:
    """Lay down a crank disc with its balance opposite the pin, the shaft's end and the key.

    `n`: disc, shaft, key.
    """
    disc, web, boss = p.disc, p.crank_angle, 0.62 * p.bore
    rays = [sh.run(sh.at_angle(0, 0, disc * 0.93, web + a), sh.at_angle(0, 0, boss, web + a)) for a in (110, 250)]
    board.add(
        "crank_disc",
        component,
        n["disc"],
        sh.circle(0, 0, disc),
        [sh.circle(0, 0, disc * 0.96), sh.circle(0, 0, boss), sh.arc(0, 0, disc * 0.93, web + 110, web + 250), *rays],
        depth=depth,
        at=sh.at_angle(0, 0, disc * 0.74, -32),
    )
    shaft_end(board, component, n, p, depth + 0.5)


def crank_arm(board: Board, component: int, n: Numbers, p: Proportions, depth: float) -> None:
    """Lay down a plain crank: boss, tapering arm, pin boss. `n`: disc, shaft, key."""
    pin = p.crank_pin()
    hub, eye = 0.95 * p.shaft, 0.85 * p.pin
    board.add(
        "crank_arm",
        component,
        n["disc"],
        sh.link((0, 0), pin, hub, eye),
        [sh.circle(0, 0, 0.8 * p.shaft), sh.circle(*pin, 0.72 * p.pin)],
        depth=depth,
        at=sh.along((0, 0), pin, 0.48),
    )
    shaft_end(board, component, n, p, depth + 0.5)


def shaft_end(board: Board, component: int, n: Numbers, p: Proportions, depth: float) -> None:
    """Lay down the end of the shaft in its crank, with the key."""
    s = p.shaft
    board.add(
        "shaft_end",
        component,
        n["shaft"],
        sh.circle(0, 0, 0.47 * s),
        [sh.circle(0, 0, 0.09 * s)],
        depth=depth,
        at=(0.2 * s, -0.22 * s),
    )
    if "key" in n:
        key = sh.turned(sh.box(-0.1 * s, 0.38 * s, 0.1 * s, 0.58 * s), p.crank_angle + 90)
        board.add("crank_key", component, n["key"], key, depth=depth + 0.1)
