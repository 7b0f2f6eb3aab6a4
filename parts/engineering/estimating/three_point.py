"""Estimating: three-point costs and hours, and the distribution of their total.

Each estimate is low, likely and high. Their curve is the Beta-PERT one; items that share a cause
(one site, one crew, one market) run high together, which one correlation describes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from .. import tables
from ..calculation import Calculation, Input, Origin
from ..errors import OutOfRange, UnknownName, finite
from ..figures import per_cent, sig

SEED = 1907
DRAWS = 10_000
_REACH, _STEPS = 5.5, 1024  # the curve is tabled from −5.5 to 5.5 standard deviations
_FINE = 1025
_BLOCK = 32  # items simulated at once


@dataclass(frozen=True)
class Outcome:
    """The distribution of the total of many estimates.

    Args:
        mean, sd: Of the simulated totals.
        p10, p50, p80, p90: Totals not exceeded in 10, 50, 80, 90 of 100 simulations.
        likely: The likely figures added up.
        contingency: P80 less `likely`.
        closed_mean, closed_sd: Mean and deviation by formula, as a check.
        correlation, draws, seed: As used.
        calculation: What is shown: the even chance, with the range that holds 8 in 10.
    """

    mean: float
    sd: float
    p10: float
    p50: float
    p80: float
    p90: float
    likely: float
    contingency: float
    closed_mean: float
    closed_sd: float
    correlation: float
    draws: int
    seed: int
    calculation: Calculation


def _three(low, likely, high):
    """Return the estimates as arrays, or raise OutOfRange."""
    import numpy as np

    try:
        a, m, b = (np.atleast_1d(np.asarray(x, dtype=float)) for x in (low, likely, high))
    except (TypeError, ValueError):
        raise OutOfRange("Low, likely and high must be numbers.") from None
    if not a.shape == m.shape == b.shape or a.ndim != 1:
        raise OutOfRange("Give a low, a likely and a high for each item.")
    if not (np.isfinite(a).all() and np.isfinite(m).all() and np.isfinite(b).all()):
        raise OutOfRange("Low, likely and high must be finite numbers.")
    bad = np.flatnonzero((a > m) | (m > b))
    if bad.size:
        i = int(bad[0])
        raise OutOfRange(
            f"Item {i + 1}: low, likely and high must rise, not {a[i]:g}, {m[i]:g}, {b[i]:g}."
        )
    if (a < 0).any():
        raise OutOfRange("An estimate cannot be less than nothing.")
    return a, m, b


def mean_and_spread(low, likely, high):
    """Return the mean and standard deviation of each Beta-PERT curve, as arrays (items,).

    Source: mean (a + 4m + b)/6 (Malcolm and others 1959); spread √((μ − a)(b − μ)/7), which is the
    curve's own and not the old rule (b − a)/6.
    """
    import numpy as np

    a, m, b = _three(low, likely, high)
    mu = (a + 4 * m + b) / 6
    return mu, np.sqrt(np.maximum((mu - a) * (b - mu), 0.0) / 7)


def three_point(low: float, likely: float, high: float, unit: str = "") -> Calculation:
    """Mean of one three-point estimate, with its spread.

    Args:
        low, likely, high: In rising order; all three equal for a fixed price.
        unit: Money or "h", as it is shown.

    Source: Malcolm and others, Operations Research 7, 1959.
    """
    mu, sd = (float(x[0]) for x in mean_and_spread(low, likely, high))
    p50, p80 = quantile(low, likely, high, 0.5), quantile(low, likely, high, 0.8)
    return Calculation(
        "Mean of the estimate",
        mu,
        unit,
        "(low + 4 × likely + high) / 6",
        f"({sig(low)} + 4 × {sig(likely)} + {sig(high)}) / 6 = {sig(mu)}",
        (
            Input("a", "Low", float(low), unit, Origin.ENTERED),
            Input("m", "Likely", float(likely), unit, Origin.ENTERED),
            Input("b", "High", float(high), unit, Origin.ENTERED),
        ),
        "Malcolm and others 1959; Beta-PERT",
        low=mu - sd,
        high=mu + sd,
        interval="one standard deviation",
        verdict=f"An even chance at {sig(p50)}; four chances in five at {sig(p80)}.",
        limits="As good as the three figures. High is the worst that is thinkable, not likely.",
    )


def _curves(shape):
    """Return quantiles of Beta(1 + 4t, 5 − 4t) at the normal scores, (shapes, steps + 1).

    The integral runs over an angle, so that its points crowd at both ends where the curve is steep.
    """
    import numpy as np

    angle = np.linspace(0.0, math.pi, _FINE)
    x = (1 - np.cos(angle)) / 2
    t = 4 * np.asarray(shape, dtype=float)[:, None]
    with np.errstate(divide="ignore"):
        lx, ly = np.log(x), np.log(x[::-1])
    lx[0] = ly[-1] = -1e4
    height = np.exp(t * lx + (4 - t) * ly) * np.sin(angle)
    area = np.zeros_like(height)
    np.cumsum((height[:, 1:] + height[:, :-1]) / 2, axis=1, out=area[:, 1:])
    area /= area[:, -1:]
    return np.array([np.interp(_normal()[1], row, x) for row in area])


@lru_cache
def _normal():
    """Return the normal scores of the table, and the chance that each is not exceeded."""
    import numpy as np

    scores = np.linspace(-_REACH, _REACH, _STEPS + 1)
    return scores, np.array([0.5 * math.erfc(-z / math.sqrt(2)) for z in scores])


def quantile(low: float, likely: float, high: float, chance: float) -> float:
    """Return the figure that a Beta-PERT estimate does not exceed with this chance.

    >>> round(quantile(800, 1100, 2000, 0.8))
    1388
    """
    from statistics import NormalDist

    import numpy as np

    a, m, b = (float(x[0]) for x in _three(low, likely, high))
    q = finite("chance", chance, upto=1.0)
    if b == a:
        return a
    if q == 1:
        return b
    curve = _curves([(m - a) / (b - a)])[0]
    score = NormalDist().inv_cdf(q)
    return a + (b - a) * float(np.interp(score, np.linspace(-_REACH, _REACH, _STEPS + 1), curve))


def simulate(
    low,
    likely,
    high,
    *,
    correlation: float = 0.3,
    settled: float = 0.0,
    draws: int = DRAWS,
    seed: int = SEED,
    unit: str = "",
) -> Outcome:
    """Return the distribution of the total, by simulation with a common cause.

    Args:
        low, likely, high: Arrays (items,); all three equal for a fixed price.
        correlation: Of each two items, 0 to 1, in normal scores: 0.2 to 0.5 for one site and crew
            (common practice, no source). At 0 the total looks far too sure.
        settled: Amounts quoted or paid, which no longer vary; added to every total.
        draws: Simulations, 1000 or more.
        seed: Of the random numbers: the same seed gives the same answer.
        unit: Money or "h", as it is shown.

    Returns:
        Outcome.

    Source: Beta-PERT curves, one common factor in normal scores (Gaussian copula). Check: variance
    Σ σᵢ² + 2 ρ Σ σᵢ σⱼ.
    """
    import numpy as np

    a, m, b = _three(low, likely, high)
    rho = finite("correlation", correlation, least=0.0, upto=1.0)
    n = int(finite("number of simulations", draws, least=1000, upto=1e6))
    base = finite("settled amount", settled, least=0.0, upto=1e12)
    mu, sd = mean_and_spread(a, m, b)
    moving = np.flatnonzero(b > a)
    total = np.full(n, base + float(a.sum()))
    if moving.size:
        span = (b - a)[moving]
        # A thousandth of the range is finer than any estimate, and keeps the shapes few.
        shapes, which = np.unique(np.round((m - a)[moving] / span, 3), return_inverse=True)
        curves = _curves(shapes)
        rise = np.diff(curves, append=0.0)
        rng = np.random.default_rng(seed)
        scale = _STEPS / (2 * _REACH)
        # The common cause is drawn once from each of n slices of equal chance: it makes most of
        # the spread, so that fewer simulations are enough.
        slices = np.interp((np.arange(n) + rng.random(n)) / n, *_normal()[::-1])
        common = slices * (math.sqrt(rho) * scale) + _REACH * scale
        own = math.sqrt(1 - rho) * scale
        for block in range(0, moving.size, _BLOCK):
            items = slice(block, block + _BLOCK)
            place = rng.standard_normal((len(which[items]), n))
            place *= own
            place += common
            np.clip(place, 0.0, _STEPS - 1e-9, out=place)
            cell = place.astype(np.intp)
            place -= cell
            cell += which[items, None] * (_STEPS + 1)
            place *= rise.take(cell)
            place += curves.take(cell)
            total += span[items] @ place
    p10, p50, p80, p90 = (float(q) for q in np.percentile(total, (10, 50, 80, 90)))
    likely_sum = base + float(m.sum())
    closed_sd = math.sqrt((1 - rho) * float(np.sum(sd**2)) + rho * float(np.sum(sd)) ** 2)
    contingency = p80 - likely_sum
    calculation = Calculation(
        "All the estimates together, even chance",
        p50,
        unit,
        f"{n} simulations of Beta-PERT estimates with a cause in common",
        f"P50 {sig(p50)}, P80 {sig(p80)}; by formula mean {sig(base + float(mu.sum()))}, "
        f"spread {sig(closed_sd)}",
        (
            Input("n", "Items estimated", int(moving.size), "", Origin.CALCULATED),
            Input("Σm", "Likely figures added up", likely_sum, unit, Origin.CALCULATED),
            Input("", "Of it settled", base, unit, Origin.CALCULATED),
            Input("ρ", "Correlation", rho, "", Origin.ASSUMED, "common practice, no source"),
            Input("", "Simulations", n, "", Origin.ASSUMED),
            Input("", "Seed", seed, "", Origin.ASSUMED, "kept, so that the answer can be repeated"),
        ),
        "Beta-PERT with one common factor; closed form as a check",
        low=p10,
        high=p90,
        interval="8 in 10 simulations",
        verdict=f"An even chance at {sig(p50)}; four chances in five at {sig(p80)}, which is "
        f"{sig(contingency)} over the likely figures: the contingency.",
        limits="What nobody thought of is not in the three figures, so it is not in the total.",
    )
    return Outcome(
        float(total.mean()),
        float(total.std(ddof=1)),
        p10,
        p50,
        p80,
        p90,
        likely_sum,
        contingency,
        base + float(mu.sum()),
        closed_sd,
        rho,
        n,
        seed,
        calculation,
    )


def estimate_class(key: str, amount: float, unit: str = "") -> Calculation:
    """The usual range of an estimate of this class.

    Args:
        key: "5" (an idea) to "1" (a full set of quotes).
        amount: The estimate.

    Source: AACE 18R-97, which is for process plant: an analogy here.
    """
    row = next((r for r in tables.read("estimate_classes") if r["key"] == str(key)), None)
    if row is None:
        raise UnknownName(f"There is no estimate class {key!r}; they run from 5 to 1.")
    value = finite("amount", amount, least=0.0, upto=1e12)
    low, high = (1 + float(row[k]) / 100 for k in ("low_far", "high_far"))
    return Calculation(
        f"Estimate of class {key}",
        value,
        unit,
        "amount × (1 + range)",
        f"{sig(value)} × {sig(low)} to {sig(value)} × {sig(high)}",
        (
            Input("", "Amount", value, unit, Origin.ENTERED),
            Input("", "Work defined, per cent", row["defined_percent"], "", Origin.TABLE),
        ),
        row["source"],
        low=value * low,
        high=value * high,
        interval="the widest usual range of the class",
        verdict="By analogy: these classes were made for process plant. The narrow end is "
        f"{per_cent(float(row['low_near']) / 100)} to +{per_cent(float(row['high_near']) / 100)}.",
        limits="The ranges are after contingency; they are no rates of contingency.",
    )
