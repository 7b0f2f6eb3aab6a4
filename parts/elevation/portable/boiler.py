"""Boiler, chimney and wheels of the portable engine, as an outline to record their parts by.

All lengths are bores. Numbers are those of the starter list of the kind.
"""

from __future__ import annotations

from .. import shapes as sh
from ..pieces import Board
from ..proportions import Proportions


def boiler(board: Board, p: Proportions, k) -> None:
    middle = (k.top + k.foot) / 2
    barrel = sh.box(k.fire_right - 0.1, k.foot, k.smoke_left + 0.05, k.top)
    board.add(
        "barrel",
        1,
        101,
        barrel,
        depth=40,
        at=(k.fire_right + 0.2, k.foot + 0.35),
        spots={105: (k.fire_right + 1.2, middle - 0.3), 104: (k.smoke_left, middle - 0.6)},
    )
    a, b = k.fire_right + 0.02, k.smoke_left - 0.12
    board.add(
        "cladding",
        5,
        501,
        sh.box(a, k.foot - 0.05, b, k.top + 0.02),
        [sh.run((a, middle), (b, middle))],
        depth=41,
        at=((a + b) / 2 - 0.9, k.foot + 0.4),
        spots={502: ((a + b) / 2 + 0.6, k.foot + 0.2)},
    )
    bands = [a + (b - a) * v for v in (0.03, 0.35, 0.66, 0.97)]
    board.add(
        "bands",
        5,
        503,
        [sh.box(x - 0.05, k.foot - 0.07, x + 0.05, k.top + 0.04) for x in bands],
        depth=42,
        at=(bands[1], k.foot + 0.9),
        spots={504: (bands[2], k.foot - 0.03)},
    )
    fire = sh.rounded(
        [(k.fire_left, k.fire_foot), (k.fire_right, k.fire_foot), (k.fire_right, k.top), (k.fire_left, k.top)],
        [0.04, 0.04, 0.1, 0.22],
    )
    rows = []
    n = max(4, int((k.fire_right - k.fire_left) / 0.42))
    m = max(4, int((middle + 0.4 - k.fire_foot) / 0.42))
    for i in range(n):
        for j in range(m):
            x = k.fire_left + (k.fire_right - k.fire_left) * (i + 0.5) / n
            y = k.fire_foot + 0.4 + (middle + 0.3 - k.fire_foot) * j / m
            rows.append(sh.circle(x, y, 0.028))
    board.add(
        "firebox",
        1,
        102,
        fire,
        [],
        depth=44,
        at=(k.fire_right - 0.3, k.top - 0.35),
        spots={103: (k.fire_left + 1.2, middle - 0.4), 107: (k.fire_left + 1.4, k.top - 0.5)},
    )
    board.add(
        "stays",
        1,
        106,
        (),
        [sh.join(*rows)],
        depth=44.5,
        at=(k.fire_left + (k.fire_right - k.fire_left) * 0.5 / n, k.fire_foot + 0.4),
    )
    board.add(
        "foundation_ring",
        1,
        109,
        sh.box(k.fire_left, k.fire_foot, k.fire_right, k.fire_foot + 0.14),
        depth=45,
        at=(k.fire_right - 0.25, k.fire_foot + 0.07),
    )
    holes = [(k.fire_left + 0.4, k.fire_foot + 0.36), (k.fire_right - 0.4, k.fire_foot + 0.36)]
    board.add(
        "mud_holes",
        1,
        111,
        [sh.oval(*q, 0.2, 0.14) for q in holes],
        [sh.oval(*q, 0.15, 0.09) for q in holes],
        depth=45.5,
        at=(holes[0][0] - 0.17, holes[0][1]),
        spots={114: (holes[1][0] + 0.17, holes[1][1])},
    )
    dogs = [sh.box(x - 0.14, y - 0.03, x + 0.14, y + 0.03) for x, y in holes]
    board.add("mud_dogs", 1, 112, dogs, depth=46, at=(holes[1][0] - 0.1, holes[1][1]), spots={113: holes[1]})
    mx = k.fire_right + 0.75
    board.add(
        "manhole",
        1,
        115,
        [sh.oval(mx, middle - 0.35, 0.42, 0.3)],
        [sh.oval(mx, middle - 0.35, 0.34, 0.22)],
        depth=43,
        at=(mx - 0.3, middle - 0.3),
        spots={116: (mx + 0.38, middle - 0.35)},
    )
    _fire_door(board, k, middle)
    _fittings(board, k, middle)
    _smokebox(board, p, k, middle)


def _fire_door(board: Board, k, middle: float) -> None:
    x, y = k.fire_left, middle - 0.7
    board.add(
        "fire_door",
        3,
        301,
        sh.rounded_box(x - 0.14, y - 0.42, x - 0.04, y + 0.42, 0.03),
        depth=46,
        at=(x - 0.09, y + 0.25),
        spots={304: (x - 0.05, y - 0.2)},
    )
    board.add(
        "door_hinges",
        3,
        302,
        [sh.box(x - 0.17, y + v - 0.05, x, y + v + 0.05) for v in (-0.3, 0.3)],
        depth=46.5,
        at=(x - 0.1, y - 0.3),
    )
    board.add(
        "door_latch", 3, 303, sh.link((x - 0.14, y), (x - 0.4, y - 0.05), 0.035), depth=46.6, at=(x - 0.33, y - 0.03)
    )
    a, b = k.fire_left + 0.12, k.fire_right - 0.12
    pan = sh.poly((a, k.fire_foot), (a + 0.2, k.fire_foot - 0.42), (b - 0.2, k.fire_foot - 0.42), (b, k.fire_foot))
    board.add(
        "ash_pan", 3, 307, pan, depth=43, at=(b - 0.5, k.fire_foot - 0.25), spots={305: ((a + b) / 2, k.fire_foot)}
    )
    board.add(
        "damper",
        3,
        308,
        sh.poly(
            (a + 0.02, k.fire_foot - 0.03),
            (a + 0.17, k.fire_foot - 0.4),
            (a + 0.1, k.fire_foot - 0.42),
            (a - 0.06, k.fire_foot - 0.05),
        ),
        depth=43.5,
    )
    board.add(
        "damper_rod",
        3,
        309,
        sh.link((a + 0.06, k.fire_foot - 0.25), (k.fire_left - 0.5, k.fire_foot + 0.35), 0.02),
        depth=47,
        at=(k.fire_left - 0.3, k.fire_foot + 0.14),
    )


def _fittings(board: Board, k, middle: float) -> None:
    x = k.fire_left
    top = k.top - 0.55
    glass = [sh.box(x - 0.3, top - 0.75, x - 0.22, top)]
    cocks = [
        sh.join(sh.box(x - 0.34, y - 0.08, x, y + 0.02), sh.box(x - 0.44, y - 0.05, x - 0.34, y))
        for y in (top, top - 0.72)
    ]
    board.add(
        "gauge_glass",
        2,
        207,
        glass,
        depth=46,
        at=(x - 0.26, top - 0.35),
        spots={208: (x - 0.24, top - 0.5), 209: (x - 0.26, top - 0.1)},
    )
    board.add("gauge_cocks", 2, 206, cocks, depth=46.2, at=(x - 0.3, top - 0.74))
    tries = [sh.box(x - 0.18, top - v, x, top - v + 0.08) for v in (1.1, 1.35)]
    board.add("try_cocks", 2, 210, tries, depth=46, at=(x - 0.12, top - 1.06))
    dial = (x - 0.3, k.top + 0.55)
    board.add(
        "siphon",
        2,
        204,
        sh.tube(
            [(x + 0.12, k.top), (x + 0.12, k.top + 0.2), (dial[0], k.top + 0.2), (dial[0], dial[1] - 0.2)], 0.06, 0.06
        ),
        depth=45,
        at=(x - 0.1, k.top + 0.2),
    )
    board.add(
        "pressure_gauge",
        2,
        203,
        sh.box(dial[0] - 0.08, dial[1] - 0.24, dial[0] + 0.08, dial[1] + 0.24),
        depth=45.5,
        at=(dial[0], dial[1] + 0.1),
        spots={205: (dial[0], dial[1] - 0.26)},
    )
    sx = k.fire_right + 0.32
    valve = [
        sh.box(sx - 0.2, k.top, sx + 0.2, k.top + 0.08),
        sh.box(sx - 0.1, k.top + 0.08, sx + 0.1, k.top + 0.42),
        sh.box(sx - 0.15, k.top + 0.42, sx + 0.15, k.top + 0.5),
    ]
    lever = sh.link((sx - 0.1, k.top + 0.56), (sx + 0.8, k.top + 0.56), 0.03)
    board.add("safety_valve", 2, 201, [*valve, lever], depth=46, at=(sx, k.top + 0.28))
    board.add(
        "spring_balance",
        2,
        202,
        [sh.box(sx + 0.7, k.top + 0.14, sx + 0.82, k.top + 0.53), sh.box(sx + 0.74, k.top, sx + 0.78, k.top + 0.14)],
        depth=46.2,
        at=(sx + 0.76, k.top + 0.36),
    )
    wx = k.fire_left + 0.42
    board.add(
        "blow_down",
        2,
        213,
        [
            sh.box(k.fire_left - 0.22, k.fire_foot + 0.5, k.fire_left, k.fire_foot + 0.62),
            sh.box(k.fire_left - 0.16, k.fire_foot + 0.44, k.fire_left - 0.08, k.fire_foot + 0.78),
        ],
        depth=46,
        at=(k.fire_left - 0.12, k.fire_foot + 0.56),
    )
    board.add(
        "injector",
        2,
        212,
        [
            sh.rounded_box(wx, middle + 0.05, wx + 0.7, middle + 0.22, 0.08),
            sh.box(wx + 0.3, middle - 0.1, wx + 0.4, middle + 0.4),
        ],
        depth=46.8,
        at=(wx + 0.55, middle + 0.13),
    )
    cx = k.smoke_left - 1.4
    board.add(
        "check_valve",
        2,
        211,
        [sh.box(cx - 0.12, middle + 0.15, cx + 0.12, middle + 0.45), sh.circle(cx, middle + 0.3, 0.17)],
        depth=46.8,
        at=(cx + 0.05, middle + 0.35),
        spots={216: (cx - 0.1, middle + 0.2)},
    )


def _smokebox(board: Board, p: Proportions, k, middle: float) -> None:
    left, right = k.smoke_left, k.smoke_right
    board.add(
        "smokebox",
        4,
        401,
        sh.rounded_box(left, k.foot - 0.03, right, k.top + 0.03, 0.03),
        [sh.run((left + 0.08, k.foot), (left + 0.08, k.top))],
        depth=47,
        at=(left + 0.35, k.foot + 0.4),
        spots={412: (left + 0.66, k.top - 0.3)},
    )
    door = (
        ("M", right, k.foot + 0.25),
        ("C", right + 0.12, k.foot + 0.5, right + 0.16, middle - 0.3, right + 0.16, middle),
        ("C", right + 0.16, middle + 0.3, right + 0.12, k.top - 0.5, right, k.top - 0.25),
        ("Z",),
    )
    board.add("smokebox_door", 4, 402, door, depth=47.5, at=(right + 0.08, middle - 0.5))
    board.add(
        "door_hinge",
        4,
        403,
        [sh.box(right - 0.02, middle + v - 0.06, right + 0.18, middle + v + 0.06) for v in (-0.55, 0.55)],
        depth=48,
        at=(right + 0.1, middle + 0.55),
    )
    board.add(
        "door_dart",
        4,
        404,
        [
            sh.box(right + 0.16, middle - 0.05, right + 0.32, middle + 0.05),
            sh.box(right + 0.26, middle - 0.3, right + 0.31, middle + 0.3),
        ],
        depth=48,
        at=(right + 0.285, middle - 0.2),
    )
    x = (left + right) / 2
    base = sh.poly(
        (x - 0.52, k.top),
        (x + 0.52, k.top),
        (x + 0.52, k.top + 0.08),
        (x + 0.34, k.top + 0.2),
        (x + 0.34, k.top + 0.6),
        (x - 0.34, k.top + 0.6),
        (x - 0.34, k.top + 0.2),
        (x - 0.52, k.top + 0.08),
    )
    board.add(
        "chimney_base", 4, 405, base, depth=48, at=(x - 0.15, k.top + 0.35), spots={413: (x + 0.46, k.top + 0.06)}
    )
    joint = k.top + 0.6
    high = max(3.2, 0.45 * (k.smoke_right - k.fire_left))
    pipe = sh.poly((x - 0.3, joint + 0.12), (x + 0.3, joint + 0.12), (x + 0.36, high - 0.35), (x - 0.36, high - 0.35))
    flange = [sh.box(x - 0.44, joint, x + 0.44, joint + 0.06), sh.box(x - 0.44, joint + 0.06, x + 0.44, joint + 0.12)]
    board.add(
        "chimney",
        4,
        408,
        [pipe, *flange],
        [sh.run((x - 0.32, high * 0.5), (x + 0.32, high * 0.5))],
        depth=48.5,
        at=(x + 0.05, high * 0.62),
    )
    cap = [
        sh.poly((x - 0.36, high - 0.35), (x + 0.36, high - 0.35), (x + 0.52, high), (x - 0.52, high)),
        sh.box(x - 0.56, high, x + 0.56, high + 0.08),
    ]
    board.add("chimney_cap", 4, 409, cap, depth=49, at=(x - 0.3, high - 0.1), spots={410: (x + 0.2, high - 0.2)})
    hinge = [sh.circle(x - 0.5, joint + 0.06, 0.09), sh.box(x - 0.5, joint + 0.02, x - 0.38, joint + 0.1)]
    board.add(
        "chimney_hinge", 4, 406, hinge, depth=49.2, at=(x - 0.54, joint + 0.1), spots={407: (x - 0.5, joint + 0.06)}
    )
    # The crutch that carries the chimney when it is down.
    cx = k.back + 0.55
    crutch = [
        sh.box(cx - 0.04, 0.82, cx + 0.04, 1.5),
        (
            ("M", cx - 0.3, 1.72),
            ("C", cx - 0.26, 1.46, cx + 0.26, 1.46, cx + 0.3, 1.72),
            ("L", cx + 0.24, 1.74),
            ("C", cx + 0.2, 1.55, cx - 0.2, 1.55, cx - 0.24, 1.74),
            ("Z",),
        ),
    ]
    board.add("crutch", 4, 411, crutch, depth=49, at=(cx, 1.3))
