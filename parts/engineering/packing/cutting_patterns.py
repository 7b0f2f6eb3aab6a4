"""Patterns: what can be packed into one bin, and what the linear program would pay for it."""

from __future__ import annotations

from dataclasses import dataclass
from time import monotonic  # only to give up in time, never as a date

from .solver import INF, solve

FIT = 1e-6  # lengths this close count as equal
GRID = 12_000  # cells of the knapsack; its rounding loosens the bound and never the plan
TOO_MANY = 30_000  # more than this and the last integer program is not tried


@dataclass(frozen=True)
class Bin:
    """A kind of bar (or crucible): what it holds, what one costs, how many there are."""

    room: float
    cost: float
    on_hand: int | None = None


def tiny(cost: float) -> float:
    return 1e-6 * max(1.0, abs(cost))


class Patterns:
    """Patterns: what can be packed into one bin."""

    def __init__(self, sizes, wanted, bins):
        import numpy as np

        self.np = np
        self.sizes, self.wanted, self.bins = list(sizes), list(wanted), list(bins)
        # Pieces and bins are both rounded down to the grid: all that fits still fits, so the
        # prices found on it bound the true answer from below.
        unit = max(max((b.room for b in bins), default=1.0) / GRID, FIT)
        self.weights = [int(size / unit + FIT) for size in sizes]
        self.rooms = [int(b.room / unit + FIT) if b.room > 0 else -1 for b in bins]
        self.most = [
            min(d, max((int((b.room + FIT) / size) for b in bins if b.room > 0), default=0))
            for size, d in zip(sizes, wanted, strict=True)
        ]
        self.span = max(self.rooms, default=0) + 1

    def tables(self, values):
        """Return best[i][c]: the most that pieces i, i+1 … are worth in room c."""
        np = self.np
        best = [np.zeros(self.span)]
        for i in reversed(range(len(values))):
            now, weight = best[0].copy(), self.weights[i]
            left, lump = self.most[i] if values[i] > 0 else 0, 1
            while left:  # 1, 2, 4 … pieces at a time make every number of them
                lump = min(lump, left)
                shift = lump * weight
                if shift >= self.span:  # only by a rounding: `most` pieces fit the largest bin
                    break
                worth = now[: self.span - shift] + lump * values[i]
                np.maximum(now[shift:], worth, out=now[shift:])
                left -= lump
                lump *= 2
            best.insert(0, now)
        return best

    def fill(self, values, best, s):
        """Return a pattern for bin s that is worth the most, cut back to what truly fits."""
        room, left, counts = self.rooms[s], self.bins[s].room, []
        for i, value in enumerate(values):
            count = 0
            for k in range(self.most[i] + 1):
                rest = room - k * self.weights[i]
                if rest < 0:
                    break
                if best[i + 1][rest] + k * value >= best[i][room] - 1e-9:
                    count = k
                    break
            room -= count * self.weights[i]
            fits = min(count, int((left + FIT) / self.sizes[i])) if left > 0 else 0
            left -= fits * self.sizes[i]
            counts.append(fits)
        return self.full(counts, left)

    def full(self, counts, left):
        """Add pieces, largest first, while any fits."""
        counts = list(counts)
        for i in sorted(range(len(self.sizes)), key=lambda i: -self.sizes[i]):
            more = min(self.most[i] - counts[i], int((left + FIT) / self.sizes[i]))
            if more > 0:
                counts[i] += more
                left -= more * self.sizes[i]
        return tuple(counts)

    def plain(self):
        """Return patterns of one size each, so that the first linear program has an answer."""
        patterns = set()
        for s, b in enumerate(self.bins):
            for i, size in enumerate(self.sizes):
                n = min(self.most[i], int((b.room + FIT) / size)) if b.room > 0 else 0
                if n:
                    counts = [0] * len(self.sizes)
                    counts[i] = n
                    patterns.add((s, self.full(counts, b.room - n * size)))
        return patterns

    def within(self, prices, gap, stop):
        """Return every full pattern that could help to close `gap`, or None if there are too many.

        Args:
            prices: What the linear program pays for each piece, and for a bin of each kind.
        """
        values, rents = prices
        best = self.tables(values)
        found = set()
        order = len(values)
        steps = 0
        for s, b in enumerate(self.bins):
            if b.room <= 0:
                continue
            floor = b.cost - rents[s] - gap - 1e-6 * max(1.0, abs(b.cost))
            stack = [(0, self.rooms[s], b.room, 0.0, ())]
            while stack:
                i, room, left, worth, counts = stack.pop()
                steps += 1
                if steps % 2048 == 0 and monotonic() > stop:
                    return None
                if i == order:
                    if not any(
                        counts[j] < self.most[j] and self.sizes[j] <= left + FIT
                        for j in range(order)
                    ):
                        found.add((s, counts))
                        if len(found) > TOO_MANY:
                            return None
                    continue
                for k in range(self.most[i] + 1):
                    rest = room - k * self.weights[i]
                    spare = left - k * self.sizes[i]
                    if rest < 0 or spare < -FIT:
                        break
                    if worth + k * values[i] + best[i + 1][rest] >= floor:
                        stack.append((i + 1, rest, spare, worth + k * values[i], (*counts, k)))
        return found


def price(knap, columns, dear, stop):
    """Solve the linear program over all patterns; return its bound and its prices.

    `columns` grows by the patterns met. The bound is kept from the prices alone (weak duality),
    so that it holds even when time runs out.
    """
    bins, wanted = knap.bins, knap.wanted
    sizes = range(len(wanted))
    bound, kept = 0.0, ([0.0] * len(wanted), [0.0] * len(bins))
    while True:
        order = sorted(columns)
        solved = program(knap, order, dear, whole=False)
        if not solved.found or not solved.prices:
            break
        values = [max(0.0, solved.prices[i]) for i in sizes]
        best = knap.tables(values)
        tops = [float(best[0][room]) if room >= 0 else 0.0 for room in knap.rooms]
        scale = min(
            (b.cost / top for b, top in zip(bins, tops, strict=True) if b.on_hand is None and top),
            default=1.0,
        )
        scale = min(1.0, scale)
        rents = [
            min(0.0, b.cost - scale * top) if b.on_hand is not None else 0.0
            for b, top in zip(bins, tops, strict=True)
        ]
        honest = sum(scale * v * d for v, d in zip(values, wanted, strict=True)) + sum(
            r * b.on_hand for r, b in zip(rents, bins, strict=True) if b.on_hand is not None
        )
        if honest > bound:
            bound, kept = honest, ([scale * v for v in values], rents)
        if solved.objective - bound <= 1e-7 * max(1.0, solved.objective) or monotonic() > stop:
            break
        fresh = set()
        floors = rents_paid(knap, solved)
        for s, b in enumerate(bins):
            if b.room > 0 and tops[s] > b.cost - floors[s] + 1e-7 * max(1.0, b.cost):
                fresh.add((s, knap.fill(values, best, s)))
        if fresh <= columns:
            break
        columns |= fresh
    return bound, kept


def rents_paid(knap, solved):
    """Return what the linear program pays for one more bin of each kind (0 or less)."""
    rents, row = [], len(knap.wanted)
    for b in knap.bins:
        if b.on_hand is None:
            rents.append(0.0)
        else:
            rents.append(min(0.0, solved.prices[row]))
            row += 1
    return rents


def program(knap, order, dear, *, whole, seconds=None):
    n = len(knap.wanted)
    rows = [{} for _ in range(n)]
    counted = {
        s: n + r for r, s in enumerate(s for s, b in enumerate(knap.bins) if b.on_hand is not None)
    }
    rows += [{} for _ in counted]
    for j, (s, counts) in enumerate(order):
        for i, count in enumerate(counts):
            if count:
                rows[i][j] = float(count)
        if s in counted:
            rows[counted[s]][j] = 1.0
    cost = [knap.bins[s].cost for s, _ in order] + [dear] * n
    for i in range(n):
        rows[i][len(order) + i] = 1.0
    low = [float(d) for d in knap.wanted] + [-INF] * len(counted)
    high = [INF] * n + [float(knap.bins[s].on_hand) for s in counted]
    return solve(cost, rows, low, high, whole=whole, seconds=seconds)
