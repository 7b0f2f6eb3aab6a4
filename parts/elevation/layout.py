"""Where balloons stand: in rows outside the view, without overlaps, without crossing leaders.

Every slot of a sheet has room for any balloon of it. So balloons can change places, and two whose
leaders cross do: each such change makes the leaders shorter together, so that it comes to an end
and none cross. Nothing here depends on how a part stands, so that a change of state moves nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import hypot

Point = tuple[float, float]


@dataclass(frozen=True)
class Row:
    """A row, or a column, in which balloons may stand.

    Args:
        side: top, bottom, left or right.
        across: Its y, or a column's x. [px]
        low, high: The first and the last place for a centre along it. [px]
        pitch: The least distance from one centre to the next along it. [px]
        second: Every other balloon stands this much further out, for a second row. [px]
        start: With a second row, how far inside the row slanting leaders start, so that they run
            straight out between balloons first. [px]
    """

    side: str
    across: float
    low: float
    high: float
    pitch: float
    second: float = 0.0
    start: float = 0.0

    @property
    def room(self) -> int:
        """How many balloons it holds."""
        return 0 if self.high < self.low else int((self.high - self.low) / self.pitch + 1e-6) + 1

    @property
    def level(self) -> bool:
        return self.side in ("top", "bottom")

    def reach(self, x: float, y: float) -> float:
        """Return how far a point lies from it, px; what is beyond its ends tells twice."""
        u, v = (x, y) if self.level else (y, x)
        beside = max(self.low - u, u - self.high, 0.0)
        return abs(v - self.across) + 2.0 * beside


@dataclass(frozen=True)
class Balloon:
    """A balloon that stands.

    Args:
        index: Which anchor it has.
        x, y: Its centre. [px]
        side: Of the sheet.
        start: Where its leader begins to slant: its centre, or a place straight below. [px]
    """

    index: int
    x: float
    y: float
    side: str
    start: Point


def crossing(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Return whether two leaders, a to b and c to d, cross. Ends that only touch do not."""

    def turn(p: Point, q: Point, r: Point) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return turn(a, b, c) * turn(a, b, d) < -1e-9 and turn(c, d, a) * turn(c, d, b) < -1e-9


def spaced(wanted: Sequence[float], pitch: float, low: float, high: float) -> list[float]:
    """Return places at least a pitch apart, in the order given, as near as can be to those wanted.

    Least squares by pooling neighbours: a place is moved only by those that press on it.

    >>> spaced([10.0, 11.0, 50.0], 4, 0, 60)
    [8.5, 12.5, 50.0]
    """
    pools: list[list[float]] = []
    for i, want in enumerate(wanted):
        pools.append([want - i * pitch, 1.0])
        while len(pools) > 1 and pools[-2][0] > pools[-1][0]:
            value, weight = pools.pop()
            before = pools[-1]
            before[0] = (before[0] * before[1] + value * weight) / (before[1] + weight)
            before[1] += weight
    last = high - (len(wanted) - 1) * pitch
    flat = [v for v, w in pools for _ in range(int(w))]
    return [min(max(v, low), last) + i * pitch for i, v in enumerate(flat)]


def _share(anchors: Sequence[Point], rows: Sequence[Row]) -> list[int | None]:
    """Return the row of each anchor: the nearest, as long as it has room."""
    reach = [[row.reach(*a) for row in rows] for a in anchors]
    order = [sorted(range(len(rows)), key=lambda k: (costs[k], k)) for costs in reach]
    chosen: list[int | None] = [None] * len(anchors)
    held: list[list[int]] = [[] for _ in rows]
    waiting = list(range(len(anchors)))
    tried = [0] * len(anchors)
    while waiting:
        i = waiting.pop(0)
        if tried[i] >= len(rows):
            continue
        k = order[i][tried[i]]
        tried[i] += 1
        held[k].append(i)
        chosen[i] = k
        if len(held[k]) > rows[k].room:
            # Whoever would go on with the least loss goes on to its next row.
            def loss(j: int, k: int = k) -> tuple[float, int]:
                later = order[j][tried[j] :]
                return (reach[j][later[0]] - reach[j][k] if later else 1e9, -j)

            out = min(held[k], key=loss)
            held[k].remove(out)
            chosen[out] = None
            waiting.append(out)
    return chosen


@lru_cache(maxsize=256)
def stand(anchors: tuple[Point, ...], rows: tuple[Row, ...]) -> tuple[Balloon, ...]:
    """Return the balloons that stand, in the order of their anchors.

    Those for which no row has room are left out, the last first.

    Args:
        anchors: Where the leaders end, in number order. [px]
        rows: Where balloons may stand.
    """
    room = sum(row.room for row in rows)
    anchors = anchors[:room]
    chosen = _share(anchors, rows)
    slots: list[tuple[float, float, str]] = []
    starts: list[Point] = []
    whose: list[int] = []
    for k, row in enumerate(rows):
        mine = [i for i, c in enumerate(chosen) if c == k]
        along = 0 if row.level else 1
        mine.sort(key=lambda i: (anchors[i][along], i))
        places = spaced([anchors[i][along] for i in mine], row.pitch, row.low, row.high)
        out = -row.second if row.side in ("top", "left") else row.second
        for n, (i, u) in enumerate(zip(mine, places, strict=True)):
            v = row.across + (out if n % 2 else 0.0)
            begin = row.across + (row.start if out < 0 else -row.start) if row.second else v
            slots.append((u, v, row.side) if row.level else (v, u, row.side))
            starts.append((u, begin) if row.level else (begin, u))
            whose.append(i)
    _uncross(anchors, starts, whose)
    stood = [Balloon(i, *slot, begin) for i, slot, begin in zip(whose, slots, starts, strict=True)]
    return tuple(sorted(stood, key=lambda b: b.index))


def _uncross(anchors: Sequence[Point], starts: Sequence[Point], whose: list[int]) -> None:
    """Let balloons whose leaders cross change places until none do."""
    ends = [anchors[i] for i in whose]
    count = len(starts)
    for _ in range(40):
        changed = False
        for m in range(count):
            a = starts[m]
            for n in range(m + 1, count):
                b = ends[m]
                c, d = starts[n], ends[n]
                if max(a[0], b[0]) < min(c[0], d[0]) or max(c[0], d[0]) < min(a[0], b[0]):
                    continue
                if not crossing(a, b, c, d):
                    continue
                now = _far(a, b) + _far(c, d)
                if _far(a, d) + _far(c, b) < now - 1e-9:
                    ends[m], ends[n] = d, b
                    whose[m], whose[n] = whose[n], whose[m]
                    changed = True
        if not changed:
            return


def _far(a: Point, b: Point) -> float:
    return hypot(a[0] - b[0], a[1] - b[1])
