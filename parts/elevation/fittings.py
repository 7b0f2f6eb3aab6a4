"""Fittings that several kinds of engine have: wheels, bolts, glands, valves, rod ends, governors.

Each lays pieces on the board. `n` gives the part numbers of the starter list by plain names; a
piece whose name is not in it is left off, so that a kind draws only what its list has.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import acos, cos, degrees, hypot, radians, sin, sqrt

from . import shapes as sh
from .pieces import Board
from .shapes import Point, Shape

Numbers = Mapping[str, int]


def nut(x: float, y: float, w: float, up: float = 1.0, stud: float = 0.45) -> Shape:
    """Return a nut seen from the side with the end of its stud, standing up (1) or down (-1)."""
    h = 0.8 * w * up
    return sh.join(
        sh.box(x - w / 2, y, x + w / 2, y + h), sh.box(x - w * 0.28, y + h, x + w * 0.28, y + h + stud * w * up)
    )


def side_nut(x: float, y: float, w: float, way: float = 1.0, stud: float = 0.45) -> Shape:
    """Return the same lying level, to the right (1) or left (-1)."""
    h = 0.8 * w * way
    return sh.join(
        sh.box(x, y - w / 2, x + h, y + w / 2), sh.box(x + h, y - w * 0.28, x + h + stud * w * way, y + w * 0.28)
    )


def wheel(
    board: Board,
    component: int,
    n: Numbers,
    p,
    depth: float,
    centre: Point = (0.0, 0.0),
    prefix: str = "",
    lead: float = 38.0,
) -> None:
    """Lay down a flywheel with its rim, arms, boss and keys.

    A pair is one behind the other: of the far one the arms show between those of the near one.
    """
    x, y = centre
    outer = p.flywheel / 2
    deep = max(0.34 * p.face + 0.03 * p.flywheel, 0.05 * p.flywheel)
    inner = outer - deep
    boss = max(1.0 * p.shaft, 0.075 * p.flywheel)
    step = 360 / p.arms
    turn = p.crank_angle + step / 2 if p.arms % 2 == 0 else p.crank_angle
    root, tip = 0.058 * p.flywheel, 0.042 * p.flywheel
    if p.arms > 6:
        root, tip = root * 0.84, tip * 0.84
    on_rim = sh.at_angle(x, y, outer - deep / 2, lead)
    on_arm = sh.at_angle(x, y, inner * 0.62, turn + step * round((lead - turn) / step))
    if p.wheels == 2:
        far = [_arm(x, y, boss, inner, root, tip, turn + step * (i + 0.5)) for i in range(p.arms)]
        board.add(f"{prefix}far_wheel", component, n.get("wheel"), far, depth=depth - 1, at=on_rim)
    arms = [_arm(x, y, boss * 0.9, inner, root, tip, turn + step * i) for i in range(p.arms)]
    # The ridge along each arm, for arms are oval in section.
    ridges = [
        sh.run(sh.at_angle(x, y, boss * 1.25, turn + step * i), sh.at_angle(x, y, inner - tip * 0.9, turn + step * i))
        for i in range(p.arms)
    ]
    rim = sh.join(sh.circle(x, y, outer), sh.circle(x, y, inner))
    board.add(
        f"{prefix}wheel_arms",
        component,
        n.get("arm", n.get("wheel")),
        arms,
        ridges,
        depth=depth,
        at=on_arm if "arm" in n else on_rim,
    )
    spots = {}
    if "rim_bolt" in n:
        spots[n["rim_bolt"]] = sh.at_angle(x, y, outer - deep / 2, turn + step * 0.5)
    board.add(
        f"{prefix}wheel_rim",
        component,
        n.get("rim", n.get("wheel")),
        rim,
        [sh.circle(x, y, outer - 0.22 * deep), sh.circle(x, y, inner + 0.2 * deep)],
        depth=depth + 0.2,
        at=on_rim,
        spots=spots,
    )
    board.add(
        f"{prefix}wheel_boss",
        component,
        n.get("boss", n.get("wheel")),
        sh.circle(x, y, boss),
        [sh.circle(x, y, boss * 0.86)],
        depth=depth + 0.1,
        at=sh.at_angle(x, y, boss * 0.93, lead) if "boss" in n else on_rim,
    )
    if "key" in n:
        half = 0.5 * p.shaft
        key = sh.turned(
            sh.box(x - 0.13 * p.shaft, y + half * 0.8, x + 0.13 * p.shaft, y + half * 1.25),
            turn + step / 2 - 90,
            centre,
        )
        board.add(
            f"{prefix}wheel_key",
            component,
            n["key"],
            key,
            depth=depth + 0.4,
            at=sh.at_angle(x, y, half * 1.05, turn + step / 2),
        )


def _arm(x: float, y: float, near: float, far: float, root: float, tip: float, angle: float) -> Shape:
    """Return a wheel's arm, thick at the boss, spreading where it runs into the rim."""
    flare, back = 1.9 * tip, far - 0.085 * far
    start = sqrt(max(near**2 - root**2 / 4, 0))
    end = sqrt(max(far**2 - flare**2 / 4, 0))
    made = (
        ("M", start, root / 2),
        ("L", back, tip / 2),
        ("C", back + (end - back) * 0.6, tip / 2, end - 0.1 * tip, 0.62 * tip, end, flare / 2),
        ("A", far, 0, 0, end, -flare / 2),
        ("C", end - 0.1 * tip, -0.62 * tip, back + (end - back) * 0.6, -tip / 2, back, -tip / 2),
        ("L", start, -root / 2),
        ("Z",),
    )
    return sh.moved(sh.turned(made, angle), x, y)


def pulley(board: Board, component: int, part: int, centre: Point, radius: float, depth: float) -> None:
    """Lay down a plain belt pulley: rim only, for the arms are lost behind the wheel's."""
    board.add(
        f"pulley_{part}",
        component,
        part,
        sh.join(sh.circle(*centre, radius), sh.circle(*centre, radius * 0.93)),
        depth=depth,
        at=sh.at_angle(*centre, radius * 0.965, 62),
    )


def belt(
    board: Board, component: int, part: int, one: tuple[Point, float], other: tuple[Point, float], depth: float
) -> None:
    """Lay down an open belt over two pulleys, each given by its centre and radius. [in]"""
    (a, ra), (b, rb) = one, other
    toward = sh.direction(a, b)
    lean = degrees(acos((ra - rb) / hypot(b[0] - a[0], b[1] - a[1])))
    runs = [
        sh.link(sh.at_angle(*a, ra, toward + side), sh.at_angle(*b, rb, toward + side), 0.014) for side in (lean, -lean)
    ]
    upper = sh.at_angle(*a, ra, toward + lean), sh.at_angle(*b, rb, toward + lean)
    board.add("governor_belt", component, part, runs, depth=depth, at=sh.along(*upper, 0.5))


def strap_end(
    board: Board,
    component: int,
    n: Numbers,
    name: str,
    pin: Point,
    toward: Point,
    half: float,
    bore: float,
    depth: float,
) -> None:
    """Lay down a rod end with strap, brasses, gib and cotter, round a pin.

    Args:
        name: "big" or "small": part numbers are taken from `n` as "big_strap" and so on.
        pin, toward: Its centre, and that of the other end of the rod.
        half: Half the height of the end. [in]
        bore: The diameter of the pin. [in]
    """
    angle = sh.direction(pin, toward)
    x, y = pin

    def put(shape: Shape) -> Shape:
        return sh.moved(sh.turned(shape, angle), x, y)

    def place(u: float, v: float) -> Point:
        return sh.at_angle(x + u * cos(radians(angle)), y + u * sin(radians(angle)), v, angle + 90)

    long = 2.5 * half
    strap = (
        ("M", long, half),
        ("L", -0.1 * half, half),
        ("C", -0.9 * half, half, -1.28 * half, 0.62 * half, -1.28 * half, 0),
        ("C", -1.28 * half, -0.62 * half, -0.9 * half, -half, -0.1 * half, -half),
        ("L", long, -half),
        ("Z",),
    )
    t = 0.24 * half
    inside = sh.box(-0.95 * half, -half + t, 0.9 * half, half - t)
    board.add(
        f"{name}_strap",
        component,
        n.get(f"{name}_strap"),
        put(strap),
        [
            put(sh.run((0.9 * half, half - t), (long, half - t))),
            put(sh.run((0.9 * half, -half + t), (long, -half + t))),
        ],
        depth=depth,
        at=place(-0.35 * half, 0.87 * half),
    )
    if f"{name}_brass" in n:
        board.add(
            f"{name}_brass",
            component,
            n[f"{name}_brass"],
            put(inside),
            [
                put(sh.run((-0.02 * half, -half + t), (-0.02 * half, -bore / 2))),
                put(sh.run((-0.02 * half, half - t), (-0.02 * half, bore / 2))),
            ],
            depth=depth + 0.1,
            at=place(-0.62 * half, -0.5 * half),
        )
    for part, u1, u2, grow in (("gib", 1.2, 1.42, 1.22), ("cotter", 1.44, 1.74, 1.5)):
        if f"{name}_{part}" in n:
            shape = sh.poly(
                (u1 * half, -grow * half),
                (u2 * half - 0.08 * half, -grow * half),
                (u2 * half, grow * half),
                (u1 * half, grow * half),
            )
            board.add(
                f"{name}_{part}",
                component,
                n[f"{name}_{part}"],
                put(shape),
                depth=depth + 0.15,
                at=place((u1 + u2) / 2 * half, (grow - 0.12) * half * (1 if part == "cotter" else -1)),
            )
    if f"{name}_cup" in n:
        top = 90 if -90 <= angle <= 90 else -90
        base = (x + half * cos(radians(angle + top)), y + half * sin(radians(angle + top)))
        oil_cup(board, component, n[f"{name}_cup"], base, 0.42 * half, depth + 0.2, f"{name}_cup")


def oil_cup(board: Board, component: int, part: int, foot: Point, w: float, depth: float, key: str = "") -> None:
    """Lay down an oil cup: a stem, a bowl and a lid."""
    x, y = foot
    cup = sh.poly(
        (x - 0.22 * w, y),
        (x + 0.22 * w, y),
        (x + 0.22 * w, y + 0.4 * w),
        (x + 0.6 * w, y + 0.62 * w),
        (x + 0.6 * w, y + 1.6 * w),
        (x - 0.6 * w, y + 1.6 * w),
        (x - 0.6 * w, y + 0.62 * w),
        (x - 0.22 * w, y + 0.4 * w),
    )
    lid = sh.box(x - 0.7 * w, y + 1.6 * w, x + 0.7 * w, y + 1.9 * w)
    board.add(key or f"cup_{part}", component, part, [cup, lid], depth=depth, at=(x, y + 1.1 * w))


def gland(
    board: Board,
    component: int,
    n: Numbers,
    x: float,
    y: float,
    half: float,
    out: float,
    depth: float,
    angle: float = 0.0,
    key: str = "",
) -> None:
    """Lay down a stuffing box, its gland and its two studs with nuts.

    Args:
        x, y: Where it stands on the cover, on the rod's centre line.
        half: Half its flange. [in]
        out: How far it stands out. [in]
        angle: Its direction: 0 to the right. [degrees]
    """

    def put(shape: Shape) -> Shape:
        return sh.moved(sh.turned(shape, angle), x, y)

    def place(u: float, v: float) -> Point:
        c, s = cos(radians(angle)), sin(radians(angle))
        return x + u * c - v * s, y + u * s + v * c

    box = sh.box(0, -0.72 * half, 0.42 * out, 0.72 * half)
    flange = sh.rounded([(0.52 * out, -half), (0.72 * out, -half), (0.72 * out, half), (0.52 * out, half)], 0.08 * half)
    nose = sh.box(0.72 * out, -0.48 * half, 0.86 * out, 0.48 * half)
    sleeve = sh.box(0.42 * out, -0.5 * half, 0.52 * out, 0.5 * half)
    if "neck" in n:
        board.add(f"{key}neck", component, n["neck"], put(box), depth=depth, at=place(0.2 * out, -0.5 * half))
    if "gland" in n:
        board.add(
            f"{key}gland",
            component,
            n["gland"],
            [put(s) for s in (sleeve, flange, nose)],
            depth=depth + 0.1,
            at=place(0.62 * out, 0.2 * half),
            spots={n["packing"]: place(0.47 * out, 0)} if "packing" in n else None,
        )
    w = 0.3 * half
    studs = [sh.box(0.3 * out, v - 0.3 * w, 0.52 * out, v + 0.3 * w) for v in (0.8 * half, -0.8 * half)]
    if "stud" in n:
        board.add(
            f"{key}gland_stud",
            component,
            n["stud"],
            [put(s) for s in studs],
            depth=depth,
            at=place(0.46 * out, 0.8 * half),
        )
    if "nut" in n:
        nuts = [sh.moved(side_nut(0.72 * out, 0, 1.5 * w), 0, v) for v in (0.8 * half, -0.8 * half)]
        board.add(
            f"{key}gland_nut",
            component,
            n["nut"],
            [put(s) for s in nuts],
            depth=depth + 0.2,
            at=place(0.78 * out, -0.8 * half),
        )
