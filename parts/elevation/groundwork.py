"""What an engine stands on: ground, masonry, foundation bolts."""

from __future__ import annotations

from . import shapes as sh
from .fittings import Numbers
from .pieces import Board
from .shapes import Point, Shape


def _broken(x: float, y: float, w: float) -> list[Point]:
    """The end of a bar that is broken off, from left to right, a tongue wider than the bar."""
    steps = ((-0.5, 0.0), (-0.9, 0.1), (-0.25, 0.45), (0.25, -0.45), (0.9, -0.1), (0.5, 0.0))
    return [(x + dx * w, y + dy * w) for dx, dy in steps]


def bolts_in(places: list[Point], top: float, foot: float, w: float) -> tuple[list[Shape], ...]:
    """Return bars, nuts, washers and plates of foundation bolts.

    Args:
        places: Where each comes out of the bed: (x, y of the bed's flange).
        top, foot: How far nut ends lie above the flange, and plates below it. [in]
        w: The diameter of the bolt. [in]

    They go far deeper than there is room for, so that each is drawn broken.
    """
    bars, nuts, washers, plates, cotters = [], [], [], [], []
    for x, y in places:
        above, below = (_broken(x, y - 0.55 * foot + side * 0.7 * w, w) for side in (1, -1))
        bars.append(sh.poly((x - w / 2, y - 0.05), *above, (x + w / 2, y - 0.05)))
        bars.append(sh.poly((x - w / 2, y - foot), *below, (x + w / 2, y - foot)))
        bars.append(sh.box(x - w / 2, y + 1.7 * w + 0.05, x + w / 2, y + top))
        washers.append(sh.box(x - 1.5 * w, y, x + 1.5 * w, y + 0.4 * w))
        nuts.append(sh.box(x - w, y + 0.4 * w, x + w, y + 1.7 * w))
        plates.append(sh.box(x - 3 * w, y - foot + 1.0 * w, x + 3 * w, y - foot + 2.2 * w))
        cotters.append(sh.box(x - 1.1 * w, y - foot + 0.1 * w, x + 1.1 * w, y - foot + 1.0 * w))
    return bars, nuts, washers, plates, cotters


def foundation_bolts(
    board: Board, component: int, n: Numbers, places: list[Point], top: float, foot: float, w: float, depth: float
) -> None:
    bars, nuts, washers, plates, cotters = bolts_in(places, top, foot, w)
    k = len(places) // 3
    x, y = places[k]
    for name, made, at in (
        ("bolt", bars, (x, y - foot * 0.45)),
        ("plate", plates, (x + 1.8 * w, y - foot + 1.6 * w)),
        ("cotter", cotters, (x, y - foot + 0.5 * w)),
        ("washer", washers, (x + 1.2 * w, y + 0.2 * w)),
        ("nut", nuts, (x, y + w)),
    ):
        if name in n:
            board.add(f"foundation_{name}", component, n[name], sh.join(*made), depth=depth, at=at)


def ground(board: Board, left: float, right: float, y: float, length: float, pit: tuple[float, float] | None) -> None:
    """Lay down the floor line at both sides with its short strokes of earth, open over a pit."""
    runs = [(left, right)] if pit is None else [(left, pit[0]), (pit[1], right)]
    step = length / 3
    for i, (a, b) in enumerate(runs):
        if b - a < step:
            continue
        marks, x = [sh.run((a, y), (b, y))], a + step * 0.4
        while x + step * 0.6 < b:
            marks += [
                sh.run((x + k * step * 0.24, y - 0.03 * length), (x + k * step * 0.24 - step * 0.22, y - step * 0.34))
                for k in range(3)
            ]
            x += step * 1.5
        board.add(f"ground_{i}", 0, None, (), marks, depth=-20, at=((a + b) / 2, y), pale=True)


def masonry(
    board: Board,
    component: int,
    n: Numbers,
    left: float,
    right: float,
    top: float,
    foot: float,
    depth: float,
    key: str = "masonry",
) -> None:
    """Lay down a block of masonry under a bed: stones on top, brickwork broken off below."""
    cap = top - (top - foot) * (0.42 if "stone" in n else 0.0)
    wave = 0.02 * (right - left)
    edge = [(left, cap), (right, cap), (right, foot)]
    count = 9
    for i in range(1, count):
        x = right + (left - right) * i / count
        edge.append((x, foot + (wave * 0.35 if i % 2 else -wave * 0.25)))
    edge.append((left, foot))
    stones = max(3, round((right - left) / max(top - foot, 1) / 1.3))
    joints = [
        sh.run((left + (right - left) * i / stones, cap), (left + (right - left) * i / stones, top))
        for i in range(1, stones)
    ]
    if "brickwork" in n:
        mid = (cap + foot) / 2
        rows = [sh.run((left, mid), (right, mid))]
        for j, (a, b) in enumerate(((mid, cap), (foot + wave * 0.4, mid))):
            rows += [
                sh.run((x, a), (x, b))
                for x in (left + (right - left) * (i + 0.5 * (1 + j) % 1 + 0.25) / stones for i in range(stones))
            ]
        board.add(
            f"{key}_brick",
            component,
            n["brickwork"],
            sh.poly(*edge),
            rows,
            depth=depth,
            at=(left + 0.06 * (right - left), (cap + foot) / 2),
            pale=True,
        )
    if "stone" in n:
        board.add(
            f"{key}_stone",
            component,
            n["stone"],
            sh.box(left, cap, right, top),
            joints,
            depth=depth,
            at=(left + 0.03 * (right - left), (cap + top) / 2),
            pale=True,
        )
