"""Search effort: the best split of the next hours over the areas, and when to make the part.

Detection is assumed to be exponential in the hours (random search): in an hour a search finds a
thing that is there at a rate α [1/h], the sweep width × the speed of searching ÷ the area. Then the
best split is exact, and planning again after a day without a find continues the same plan.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ..calculation import Calculation, Input, Origin
from ..errors import OutOfRange, finite
from ..figures import per_cent, sig
from .searching import LEAVE, SOURCE, _array


@dataclass(frozen=True)
class Split:
    """Hours for each area.

    Args:
        hours: Array (areas,), summing to the hours asked for. [h]
        gain: The expected result of the split: chance × worth over all things. With worth 1,
            the number of things expected to be found.
        even_gain: The expected result of the same hours spread evenly.
        last_hour: The expected worth of one more hour.
        calculation: What is shown.
    """

    hours: object
    gain: float
    even_gain: float
    last_hour: float
    calculation: Calculation


@dataclass(frozen=True)
class Advice:
    """Whether to search on or to make the part.

    Args:
        search_on: True when the next hour is expected to save more than it costs.
        next_hour_saves: Expected saving of the next hour, spent in the best way.
        worth_hours: Hours after which another hour no longer pays. [h]
        hours: Array (areas,): where to spend them.
        expected_saving: The saving of those hours, less their cost.
        calculation: What is shown; never refused, for it is advice.
    """

    search_on: bool
    next_hour_saves: float
    worth_hours: float
    hours: object
    expected_saving: float
    calculation: Calculation


def rate(sweep_m, speed_m_h, area_m2):
    """Return the rate α at which a search finds a thing that is there. [1/h] Numbers or arrays.

    Args:
        sweep_m: Sweep width. [m]
        speed_m_h: Track searched in an hour. [m/h]
        area_m2: Area. [m²]
    """
    return sweep_m * speed_m_h / area_m2


def _weighted_chances(chances, rates, worth):
    """Return chances × worth, and rates, as checked arrays (things, areas)."""
    import numpy as np

    p = np.atleast_2d(_array("chances", chances, most=1.0 + 1e-9))
    a = np.atleast_2d(_array("rates", rates))
    if a.shape[0] == 1:
        a = np.broadcast_to(a, p.shape)
    if p.shape != a.shape or p.ndim != 2 or p.shape[1] == 0:
        raise OutOfRange("Give a chance and a rate for each thing in each area.")
    if (p.sum(axis=1) > 1 + 1e-9).any():
        raise OutOfRange("The chances of a thing over all areas must not be over 1.")
    v = _array("worth", worth)
    if v.ndim > 1 or (v.ndim == 1 and v.shape[0] != p.shape[0]):
        raise OutOfRange("Give one worth for each thing.")
    return p * np.broadcast_to(v, (p.shape[0],))[:, None], a


def gain(chances, rates, hours, worth=1.0) -> float:
    """Return the worth expected from `hours` (areas,): Σ v p (1 − e^(−α z))."""
    import numpy as np

    w, a = _weighted_chances(chances, rates, worth)
    z = _array("hours", hours)
    return float(np.sum(w * -np.expm1(-a * z)))


def _slopes(w, a, z):
    """Return the worth of one more hour in each area after z hours there, and its decrease."""
    import numpy as np

    e = w * a * np.exp(-a * z)
    return e.sum(axis=0), (e * a).sum(axis=0)


def _hours_until(w, a, price: float, start=None):
    """Return the hours in each area after which another hour is worth `price`.

    Newton's method on the logarithm, which is convex and falling: it converges from below.
    """
    import numpy as np

    z = np.zeros(w.shape[1]) if start is None else start.copy()
    first, _ = _slopes(w, a, np.zeros(w.shape[1]))
    live = first > price
    z[~live] = 0.0
    w, a, y = w[:, live], a[:, live], z[live]
    for _ in range(200):
        slope, fall = _slopes(w, a, y)
        with np.errstate(divide="ignore", invalid="ignore"):
            step = np.where(slope > 0, (np.log(slope) - math.log(price)) * slope / fall, 0.0)
        y = np.maximum(y + step, 0.0)
        if not step.size or np.max(np.abs(step)) < 1e-11 * (1 + np.max(y)):
            break
    z[live] = y
    return z


def _split_one(w, a, hours: float):
    """Return the best split for one thing, in closed form (Charnes and Cooper 1958)."""
    import numpy as np

    w, a = w[0], a[0]
    order = np.argsort(-(w * a), kind="stable")
    order = order[(w * a)[order] > 0]
    if not order.size:
        return np.full(w.size, hours / w.size), 0.0
    top = np.log((w * a)[order])
    over = 1 / a[order]
    # ln λ with the first m areas in use
    logs = (np.cumsum(top * over) - hours) / np.cumsum(over)
    after = np.append(top[1:], -np.inf)
    m = int(np.flatnonzero(logs >= after - 1e-15)[0])
    z = np.zeros(w.size)
    z[order[: m + 1]] = np.maximum(top[: m + 1] - logs[m], 0.0) * over[: m + 1]
    return z, float(np.exp(logs[m]))


def _split_many(w, a, hours: float):
    """Return the best split for many things: bisects the price at which hours sum to `hours`."""
    import numpy as np

    first, _ = _slopes(w, a, np.zeros(w.shape[1]))
    if first.max() <= 0:
        return np.full(w.shape[1], hours / w.shape[1]), 0.0
    high = math.log(float(first.max()))
    low = high - 1.0
    while _hours_until(w, a, math.exp(low)).sum() < hours:
        high, low = low, low - 2 * (high - low)
    z = None
    for _ in range(60):
        mid = (low + high) / 2
        z = _hours_until(w, a, math.exp(mid))
        if z.sum() > hours:
            low = mid
        else:
            high = mid
        if high - low < 1e-13 * max(1.0, abs(low)):
            break
    z = _hours_until(w, a, math.exp(low))
    total = z.sum()
    return (z * (hours / total) if total > 0 else z), math.exp(low)


def best_split(
    chances,
    rates,
    hours: float,
    *,
    worth=1.0,
    areas: Sequence[str] | None = None,
) -> Split:
    """Return the best split of the next hours over the areas.

    Args:
        chances: Chance now in each area, (areas,) for one thing or (things, areas).
        rates: α of each, the same shape, or (areas,) for all things. [1/h]
        hours: Hours to spend. [h]
        worth: The worth of finding each: a number, or (things,).
        areas: Names of the areas, for the verdict.

    Returns:
        Split. For one thing it is in closed form; for many it is the optimum of a concave sum, to
        about one part in 10¹⁰.

    Source: Koopman; Charnes and Cooper 1958; Stone, Theory of Optimal Search, ch. II.
    """
    import numpy as np

    w, a = _weighted_chances(chances, rates, worth)
    total = finite("number of hours", hours, upto=1e6)
    z, price = _split_one(w, a, total) if w.shape[0] == 1 else _split_many(w, a, total)
    best = float(np.sum(w * -np.expm1(-a * z)))
    even = float(np.sum(w * -np.expm1(-a * (total / z.size))))
    names = list(areas or (f"area {i + 1}" for i in range(z.size)))
    order = [i for i in np.argsort(-z, kind="stable") if z[i] > 0.005 * total]
    hours_text = ", ".join(f"{names[i]} {sig(float(z[i]), 2)} h" for i in order[:6])
    more = f" and {len(order) - 6} more" if len(order) > 6 else ""
    counts_things = np.ndim(worth) == 0 and float(worth) == 1.0
    what = "things expected to be found" if counts_things else "worth expected to be found"
    if counts_things and w.shape[0] == 1:
        what = "chance to find it"
    return Split(
        z,
        best,
        even,
        price,
        Calculation(
            f"Best split of {sig(total)} h: {what}",
            best,
            "",
            "z = ln(p × α / λ) / α where p × α > λ, Σ z = Z",
            f"λ = {sig(price)}: {sig(best)}, where an even split brings {sig(even)}",
            (
                Input("Z", "Hours to spend", total, "h", Origin.ENTERED),
                Input("p", "Chances now", f"{w.shape[0]} × {w.shape[1]}", "", Origin.CALCULATED),
                Input(
                    "α", "Rate of each area", "sweep width × speed ÷ area", "", Origin.CALCULATED
                ),
            ),
            "Charnes and Cooper 1958; Stone, Theory of Optimal Search, ch. II",
            verdict=f"{hours_text}{more}.",
            cautions=(LEAVE,),
            limits="Random search; hours to walk between areas are not in it.",
        ),
    )


def search_on_or_make(
    chances,
    rates,
    saving,
    cost_per_hour: float,
    *,
    areas: Sequence[str] | None = None,
    money: str = "",
) -> Advice:
    """Return whether the next hour of searching pays, compared with making the missing parts.

    Args:
        chances: Chance now in each area, (areas,) or (things, areas).
        rates: α of each. [1/h]
        saving: The saving from finding each: the cost of making it, less the cost of repairing a
            found piece. A number, or (things,). [money]
        cost_per_hour: The cost of an hour of searching, or its worth elsewhere. [money/h]
        areas: Names of the areas.
        money: The currency, as it is written.

    Returns:
        Advice. Hours are spent in an area until one more there is expected to save no more than it
        costs.

    Source: marginal value of search effort; Stone, Theory of Optimal Search, ch. IV and V.
    """
    import numpy as np

    w, a = _weighted_chances(chances, rates, saving)
    cost = finite("cost of an hour", cost_per_hour, upto=1e9)
    hour = best_split(chances, rates, 1.0, worth=saving)
    z = _hours_until(w, a, cost)
    worth_hours = float(z.sum())
    net = float(np.sum(w * -np.expm1(-a * z))) - cost * worth_hours
    search_on = hour.gain > cost
    names = list(areas or (f"area {i + 1}" for i in range(z.size)))
    first = names[int(np.argmax(hour.hours))]
    chance_found = 1 - math.prod(1 - float(x) for x in _chance_found(chances, rates, z))
    if search_on:
        verdict = (
            f"Search on: the next hour, in {first}, is expected to save {sig(hour.gain)} {money} "
            f"for {sig(cost)} {money}. Another {sig(worth_hours, 2)} h pay, with a chance of "
            f"{per_cent(chance_found)} to find something; then make it."
        )
    else:
        verdict = (
            f"Make it: the next hour, at best in {first}, is expected to save {sig(hour.gain)} "
            f"{money} and costs {sig(cost)} {money}."
        )
    return Advice(
        search_on,
        hour.gain,
        worth_hours,
        z,
        net,
        Calculation(
            "Expected saving of the next hour",
            hour.gain,
            money,
            "Σ v × p × (1 − e^(−α z)) for the best z that sum to 1 h",
            f"{sig(hour.gain)} against {sig(cost)} an hour",
            (
                Input("v", "Saved by finding", float(np.sum(saving)), money, Origin.CALCULATED),
                Input("c", "Cost of an hour", cost, money, Origin.ENTERED),
                Input(
                    "p",
                    "Chance on the site",
                    float(np.sum(chances) / w.shape[0]),
                    "",
                    Origin.CALCULATED,
                ),
            ),
            SOURCE,
            verdict=" ".join(verdict.split()),
            cautions=(LEAVE,),
            limits="Advice on an average. An original found is worth more than money tells.",
        ),
    )


def _chance_found(chances, rates, z):
    import numpy as np

    w, a = _weighted_chances(chances, rates, 1.0)
    return np.sum(w * -np.expm1(-a * z), axis=1)
