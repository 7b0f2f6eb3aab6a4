"""Stop valve and governor, as several kinds of engine have them."""

from __future__ import annotations

from . import fittings as fit
from . import shapes as sh
from .fittings import Numbers
from .pieces import Board

DRIVE = 12.0  # the depth of the governor's belt: between the wheel and what stands before it


def stop_valve(board: Board, component: int, n: Numbers, x: float, y: float, s: float, depth: float) -> None:
    """Lay down a stop valve on a level pipe, its centre at (x, y), `s` its body's radius."""
    body = sh.join(
        (
            ("M", x - 1.5 * s, y + 0.55 * s),
            ("L", x - 0.85 * s, y + 0.55 * s),
            ("A", s, 0, 0, x + 0.85 * s, y + 0.55 * s),
            ("L", x + 1.5 * s, y + 0.55 * s),
            ("L", x + 1.5 * s, y - 0.55 * s),
            ("L", x + 0.85 * s, y - 0.55 * s),
            ("A", s, 0, 0, x - 0.85 * s, y - 0.55 * s),
            ("L", x - 1.5 * s, y - 0.55 * s),
            ("Z",),
        )
    )
    flanges = [
        sh.box(x - 1.72 * s, y - 1.0 * s, x - 1.5 * s, y + 1.0 * s),
        sh.box(x + 1.5 * s, y - 1.0 * s, x + 1.72 * s, y + 1.0 * s),
    ]
    board.add(
        "valve_body",
        component,
        n["body"],
        [body, *flanges],
        [sh.arc(x, y, 0.72 * s, 200, 340)],
        depth=depth,
        at=(x - 0.2 * s, y - 0.25 * s),
        spots={n["flange_bolt"]: (x - 1.61 * s, y - 0.78 * s)} if "flange_bolt" in n else None,
    )
    cover = sh.join(
        sh.box(x - 0.8 * s, y + 0.98 * s, x + 0.8 * s, y + 1.2 * s),
        sh.poly(
            (x - 0.5 * s, y + 1.2 * s),
            (x + 0.5 * s, y + 1.2 * s),
            (x + 0.36 * s, y + 1.75 * s),
            (x - 0.36 * s, y + 1.75 * s),
        ),
    )
    if "cover" in n:
        board.add(
            "valve_cover",
            component,
            n["cover"],
            cover,
            depth=depth + 0.1,
            at=(x + 0.25 * s, y + 1.45 * s),
            spots={n["cover_nut"]: (x - 0.7 * s, y + 1.1 * s)} if "cover_nut" in n else None,
        )
    if "gland" in n:
        board.add(
            "valve_gland",
            component,
            n["gland"],
            sh.box(x - 0.42 * s, y + 1.75 * s, x + 0.42 * s, y + 1.95 * s),
            depth=depth + 0.2,
        )
    if "spindle" in n:
        board.add(
            "valve_spindle",
            component,
            n["spindle"],
            sh.box(x - 0.11 * s, y + 1.95 * s, x + 0.11 * s, y + 2.75 * s),
            depth=depth + 0.1,
        )
    hand = sh.rounded(
        [
            (x - 1.15 * s, y + 2.72 * s),
            (x + 1.15 * s, y + 2.72 * s),
            (x + 1.15 * s, y + 2.98 * s),
            (x - 1.15 * s, y + 2.98 * s),
        ],
        0.12 * s,
    )
    if "handwheel" in n:
        board.add(
            "handwheel",
            component,
            n["handwheel"],
            [hand, sh.box(x - 0.28 * s, y + 2.6 * s, x + 0.28 * s, y + 3.08 * s)],
            depth=depth + 0.3,
            at=(x - 0.75 * s, y + 2.85 * s),
        )
    if "wheel_nut" in n:
        board.add(
            "handwheel_nut",
            component,
            n["wheel_nut"],
            sh.box(x - 0.17 * s, y + 3.08 * s, x + 0.17 * s, y + 3.3 * s),
            depth=depth + 0.3,
        )


def governor(
    board: Board,
    component: int,
    n: Numbers,
    x: float,
    y: float,
    h: float,
    depth: float,
    throttle: bool = True,
    drive: float = 0.0,
) -> None:
    """Lay down a two-ball governor on its stand.

    Args:
        x, y: The foot of the stand.
        h: Its whole height. [in]
        throttle: Whether the bell crank and link reach down to a throttle.
        drive: The radius of the pulley on the shaft, from which the belt comes. [in]
    """
    base, neck = y + 0.05 * h, y + 0.36 * h
    stand = [
        sh.box(x - 0.15 * h, y, x + 0.15 * h, base),
        sh.poly(
            (x - 0.1 * h, base),
            (x + 0.1 * h, base),
            (x + 0.052 * h, y + 0.2 * h),
            (x + 0.052 * h, neck),
            (x - 0.052 * h, neck),
            (x - 0.052 * h, y + 0.2 * h),
        ),
        sh.box(x - 0.09 * h, neck, x + 0.09 * h, neck + 0.035 * h),
    ]
    board.add(
        "governor_stand",
        component,
        n["stand"],
        stand,
        [sh.run((x - 0.052 * h, y + 0.2 * h), (x + 0.052 * h, y + 0.2 * h))],
        depth=depth,
        at=(x, y + 0.13 * h),
        spots={n["stand_bolt"]: (x - 0.12 * h, y + 0.03 * h)} if "stand_bolt" in n else None,
    )
    # The pulley runs behind the stand, on a shaft that is seen from its end.
    centre, radius = (x, y + 0.3 * h), 0.12 * h
    if "pulley_shaft" in n:
        board.add("governor_shaft", component, n["pulley_shaft"], sh.circle(*centre, 0.026 * h), depth=depth + 0.1)
    if "pulley" in n:
        board.add(
            "governor_pulley",
            component,
            n["pulley"],
            sh.circle(*centre, radius),
            [sh.circle(*centre, 0.86 * radius)],
            depth=DRIVE + 0.1,
            at=sh.at_angle(*centre, 0.8 * radius, 0),
        )
    if "belt" in n:
        fit.belt(board, component, n["belt"], (centre, radius), ((0, 0), drive), DRIVE)
    if "bevel" in n:
        board.add(
            "governor_bevel",
            component,
            n["bevel"],
            sh.poly(
                (x - 0.085 * h, neck + 0.035 * h),
                (x + 0.085 * h, neck + 0.035 * h),
                (x + 0.05 * h, neck + 0.085 * h),
                (x - 0.05 * h, neck + 0.085 * h),
            ),
            [sh.run((x + k * 0.03 * h, neck + 0.037 * h), (x + k * 0.018 * h, neck + 0.083 * h)) for k in (-1, 0, 1)],
            depth=depth + 0.2,
        )
    if "spindle" in n:
        board.add(
            "governor_spindle",
            component,
            n["spindle"],
            [
                sh.box(x - 0.017 * h, neck + 0.085 * h, x + 0.017 * h, y + 0.95 * h),
                sh.rounded(
                    [
                        (x - 0.035 * h, y + 0.95 * h),
                        (x + 0.035 * h, y + 0.95 * h),
                        (x + 0.018 * h, y + h),
                        (x - 0.018 * h, y + h),
                    ],
                    0.015 * h,
                ),
            ],
            depth=depth,
            at=(x, y + 0.62 * h),
        )
    bx, by, ball = 0.235 * h, y + 0.66 * h, 0.075 * h
    hub = (0.035 * h, y + 0.91 * h)
    low = (0.04 * h, y + 0.54 * h)
    sides = (-1, 1)
    if "upper" in n:
        board.add(
            "governor_arms",
            component,
            n["upper"],
            [sh.link((x + s * hub[0], hub[1]), (x + s * bx, by), 0.016 * h) for s in sides],
            depth=depth + 0.3,
            at=(x - 0.13 * h, y + 0.79 * h),
            spots={n["pin"]: (x + hub[0], hub[1])} if "pin" in n else None,
        )
    if "lower" in n:
        board.add(
            "governor_links",
            component,
            n["lower"],
            [sh.link((x + s * low[0], low[1]), (x + s * bx * 0.9, by - 0.02 * h), 0.013 * h) for s in sides],
            depth=depth + 0.25,
            at=(x + 0.13 * h, y + 0.6 * h),
        )
    if "ball" in n:
        board.add(
            "governor_balls",
            component,
            n["ball"],
            [sh.circle(x + s * bx, by, ball) for s in sides],
            depth=depth + 0.4,
            at=(x - bx, by),
        )
    if "weight" in n:
        board.add(
            "governor_weight",
            component,
            n["weight"],
            sh.rounded(
                [
                    (x - 0.05 * h, y + 0.6 * h),
                    (x + 0.05 * h, y + 0.6 * h),
                    (x + 0.07 * h, y + 0.74 * h),
                    (x - 0.07 * h, y + 0.74 * h),
                ],
                0.03 * h,
            ),
            depth=depth + 0.3,
        )
    if "sleeve" in n:
        board.add(
            "governor_sleeve",
            component,
            n["sleeve"],
            [
                sh.box(x - 0.036 * h, y + 0.46 * h, x + 0.036 * h, y + 0.57 * h),
                sh.box(x - 0.06 * h, y + 0.475 * h, x + 0.06 * h, y + 0.5 * h),
            ],
            depth=depth + 0.3,
        )
    if throttle and "crank" in n:
        cx, cy = x - 0.13 * h, y + 0.43 * h
        board.add(
            "governor_crank",
            component,
            n["crank"],
            [
                sh.link((cx, cy), (x - 0.05 * h, y + 0.487 * h), 0.018 * h),
                sh.link((cx, cy), (cx - 0.05 * h, y + 0.34 * h), 0.018 * h),
            ],
            depth=depth + 0.35,
            at=(cx, cy),
        )
        if "link" in n:
            board.add(
                "governor_link",
                component,
                n["link"],
                sh.link((cx - 0.05 * h, y + 0.34 * h), (cx - 0.02 * h, y - 0.02 * h), 0.011 * h),
                depth=depth + 0.3,
            )
