"""Position from three or more tapes: least squares, and which tape is wrong."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ..errors import OutOfRange, UnknownName, finite
from .fixes import (
    TAPE_SIGMA_M,
    Fix,
    Point,
    TapesDisagree,
    check_point,
    make_fix,
    tape_inputs,
    variances_of,
)

TOO_FAR = 3.0  # residuals over three times the tape's error are a mistake, not scatter


def _adjust(pegs, tapes, start: Point) -> tuple[Point, float, list[float], list[Point]]:
    """Gauss-Newton with halved steps. Returns point, sum of squares, residuals and rows of J."""

    def evaluate(p):
        rows, residuals = [], []
        for (e, n), r in zip(pegs, tapes, strict=True):
            d = max(math.dist(p, (e, n)), 1e-9)
            rows.append(((p[0] - e) / d, (p[1] - n) / d))
            residuals.append(d - r)
        return sum(v * v for v in residuals), residuals, rows

    point = start
    cost, residuals, rows = evaluate(point)
    for _ in range(100):
        aa = sum(e * e for e, _ in rows)
        ab = sum(e * n for e, n in rows)
        bb = sum(n * n for _, n in rows)
        ge = sum(row[0] * v for row, v in zip(rows, residuals, strict=True))
        gn = sum(row[1] * v for row, v in zip(rows, residuals, strict=True))
        det = aa * bb - ab * ab
        if det < 1e-12:
            break
        de, dn = -(bb * ge - ab * gn) / det, -(aa * gn - ab * ge) / det
        step = 1.0
        while step > 1e-6:
            trial = (point[0] + step * de, point[1] + step * dn)
            new = evaluate(trial)
            if new[0] <= cost:
                break
            step /= 2
        else:
            break
        step_length = step * math.hypot(de, dn)
        point, (cost, residuals, rows) = trial, new
        if step_length < 1e-10:
            break
    return point, cost, residuals, rows


def _starts(pegs, tapes) -> list[Point]:
    """Return starting points: where each two tapes cross, or come nearest to crossing."""
    starts = []
    for i in range(len(pegs)):
        for j in range(i + 1, len(pegs)):
            a, b, ra, rb = pegs[i], pegs[j], tapes[i], tapes[j]
            c = math.dist(a, b)
            if c < 1e-6:
                continue
            x = (ra * ra - rb * rb + c * c) / (2 * c)
            # Tapes that do not meet still give a rough starting point.
            y = math.sqrt(max(ra * ra - x * x, (0.05 * c) ** 2))
            u = ((b[0] - a[0]) / c, (b[1] - a[1]) / c)
            starts += [
                (a[0] + x * u[0] - s * y * u[1], a[1] + x * u[1] + s * y * u[0]) for s in (1, -1)
            ]
    return starts


def _best(pegs, tapes, side: str | None):
    solutions = [_adjust(pegs, tapes, start) for start in _starts(pegs, tapes)]
    if side is not None:
        sign = 1 if side == "left" else -1
        (ae, an), (be, bn) = pegs[0], pegs[1]
        solutions = [
            f
            for f in solutions
            if sign * ((be - ae) * (f[0][1] - an) - (bn - an) * (f[0][0] - ae)) >= 0
        ] or solutions
    return min(solutions, key=lambda f: f[1])


def _in_line(pegs) -> bool:
    """Return whether the pegs are so nearly in a line that they do not determine the side."""
    e0 = sum(e for e, _ in pegs) / len(pegs)
    n0 = sum(n for _, n in pegs) / len(pegs)
    see = sum((e - e0) ** 2 for e, _ in pegs)
    snn = sum((n - n0) ** 2 for _, n in pegs)
    sen = sum((e - e0) * (n - n0) for e, n in pegs)
    mean, half = (see + snn) / 2, math.hypot((see - snn) / 2, sen)
    return mean - half < 1e-4 * (mean + half)


def tapes(
    pegs: Sequence[Point],
    tapes_m: Sequence[float],
    *,
    side: str | None = None,
    sigma_m: float = TAPE_SIGMA_M,
    names: Sequence[str] | None = None,
    strict: bool = True,
) -> Fix:
    """Position from three or more tapes, by least squares.

    Args:
        pegs: (east, north) of each peg. [m]
        tapes_m: Level tape from each. [m]
        side: "left" or "right" of the first peg to the second; only needed when the pegs are in
            a line.
        sigma_m: Standard error of a tape. [m]
        names: Names of the pegs.
        strict: True raises when the tapes disagree; False returns the refused fix.

    Returns:
        Fix with residuals. With four or more tapes `doubtful` names the one that does not fit;
        three show a mistake but not which tape.

    Raises:
        TapesDisagree: the root mean square residual is over three times `sigma_m`.
        OutOfRange: too few tapes, pegs in a line without a side.

    Source: Gauss-Newton on Σ (|P − Q| − r)²; covariance σ² (JᵀJ)⁻¹; Green, Maritime Archaeology,
    2nd ed., p. 100 on the triangle of three tapes.
    """
    names = list(names or (f"peg {i + 1}" for i in range(len(pegs))))
    if not len(pegs) == len(tapes_m) == len(names):
        raise OutOfRange("Give one tape for each peg.")
    if len(pegs) < 3:
        raise OutOfRange("Least squares wants three tapes or more.")
    if side not in (None, "left", "right"):
        raise UnknownName(f"Say left or right, going from {names[0]} to {names[1]}.")
    pegs = [check_point(name, peg) for name, peg in zip(names, pegs, strict=True)]
    lengths = [
        finite(f"tape from {name}", tape, "m", upto=1e5)
        for name, tape in zip(names, tapes_m, strict=True)
    ]
    sigma = finite("error of a tape", sigma_m, "m", upto=100)
    if max(math.dist(pegs[0], peg) for peg in pegs) < 1e-6:
        raise OutOfRange("The pegs stand on one spot.")
    if side is None and _in_line(pegs):
        raise OutOfRange("The pegs stand in a line: say on which side of it the find lies.")
    point, cost, residuals, rows = _best(pegs, lengths, side)
    rms = math.sqrt(cost / len(pegs))
    disagree = rms > TOO_FAR * sigma
    doubtful, verdict = (), f"The tapes agree to {rms:.3f} m (root mean square)."
    if disagree:
        doubtful, verdict = _find_wrong_tape(pegs, lengths, names, side, sigma, rms)
    fix = make_fix(
        "Position by tapes",
        *point,
        variances_of(rows, sigma),
        formula="least Σ (distance to the peg − tape)²",
        inputs=tape_inputs(pegs, lengths, sigma, names),
        source="least squares; Green, Maritime Archaeology, 2nd ed., p. 100",
        verdict=verdict,
        residuals=tuple(residuals),
        doubtful=doubtful,
        refused=disagree,
        limits="Level tapes. The error ellipse holds when only small errors of the tapes are left.",
    )
    if disagree and strict:
        raise TapesDisagree(verdict, fix)
    return fix


def _find_wrong_tape(pegs, lengths, names, side, sigma, rms) -> tuple[tuple[int, ...], str]:
    """Return the wrong tapes and a sentence: those without which all the others agree."""
    message = f"The tapes disagree by {rms:.2f} m (root mean square): one of them is wrong."
    if len(pegs) == 3:
        return (), f"{message} Three tapes cannot show which: measure all three again."
    candidates = []
    for i in range(len(pegs)):
        rest = [p for j, p in enumerate(pegs) if j != i]
        rest_lengths = [r for j, r in enumerate(lengths) if j != i]
        rest_side = side
        if rest_side is None and _in_line(rest):
            continue
        point, cost, _, _ = _best(rest, rest_lengths, rest_side)
        if math.sqrt(cost / len(rest)) <= TOO_FAR * sigma:
            candidates.append((cost, i, math.dist(point, pegs[i])))
    if not candidates:
        return (), f"{message} No single tape explains it: measure all of them again."
    candidates.sort()
    if len(candidates) > 1 and candidates[1][0] < 4 * candidates[0][0] + sigma**2:
        pair = " or ".join(names[i] for _, i, _ in candidates[:2])
        return tuple(i for _, i, _ in candidates), f"{message} It is the one from {pair}."
    _, i, expected = candidates[0]
    return (i,), (
        f"{message} The others agree without the tape from {names[i]}: {lengths[i]:g} m was "
        f"written, {expected:.2f} m would fit. Measure it again."
    )
