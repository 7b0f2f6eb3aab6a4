"""Progress: the part done, the earned value against the plan, and the expected finish."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

from ..calculation import Calculation, Input, Origin
from ..errors import OutOfRange, finite
from ..figures import per_cent, sig

# A pace that would take longer gives no finish.
LIFETIME_DAYS = 36_525
Z90 = 1.2815515655  # leaves 10 in 100 on each side
STANDARD = "ISO 21508:2018, terms from memory"


def weighted_progress(weights: Sequence[float], done: Sequence[float], by: str) -> Calculation:
    """Part of the work that is done, weighted by hours, cost or pieces. [percent]

    Args:
        weights: Weight of each piece of work.
        done: Part of each that is done, 0 to 1; count a step only when it is recorded.
        by: What the weights are ("hours", "cost", "pieces"), for the name.

    Source: Σ w p / Σ w.
    """
    if len(weights) != len(done):
        raise OutOfRange("Give one weight for each piece of work.")
    w = [finite("weight", x, least=0.0, upto=1e12) for x in weights]
    p = [finite("part done", x, least=0.0, upto=1.0) for x in done]
    total_weight = math.fsum(w)
    if total_weight <= 0:
        return Calculation(
            f"Done, by {by}",
            None,
            "",
            "Σ w × p / Σ w",
            source="definition",
            verdict="Nothing is weighted yet, so there is nothing to be part of.",
        )
    done_weight = math.fsum(x * y for x, y in zip(w, p, strict=True))
    return Calculation(
        f"Done, by {by}",
        100 * done_weight / total_weight,
        "percent",
        "Σ w × p / Σ w",
        f"{sig(done_weight)} / {sig(total_weight)} = {sig(100 * done_weight / total_weight)} %",
        (
            Input("Σ w × p", f"Done, {by}", done_weight, "", Origin.CALCULATED),
            Input("Σ w", f"All the work, {by}", total_weight, "", Origin.CALCULATED),
        ),
        "definition",
        verdict=f"{sig(done_weight)} of {sig(total_weight)} {by}.",
    )


@dataclass(frozen=True)
class EarnedValue:
    """Earned value with its variances and indices. A figure that cannot be calculated is None.

    Args:
        cost_variance: Earned less actual: over 0 it cost less than planned.
        schedule_variance: Earned less planned: over 0 more is done than planned.
        cost_index, schedule_index: The same as ratios.
        at_completion: The cost of the whole at this rate.
        to_complete: The part of it still to be spent.
        calculation: What is shown.
    """

    cost_variance: float
    schedule_variance: float
    cost_index: float | None
    schedule_index: float | None
    at_completion: float | None
    to_complete: float | None
    calculation: Calculation


def earned_value(
    planned: float, earned: float, actual: float, budget: float, unit: str = ""
) -> EarnedValue:
    """Return the earned value in the terms of the open standard, with a verdict in words.

    Args:
        planned: Planned value: the planned cost of the work planned to be done by now.
        earned: Earned value: the planned cost of the work done.
        actual: Actual cost of the work done.
        budget: Budget at completion.
        unit: Money or "h", as it is shown.

    Source: ISO 21508:2018 (terms from memory): CV = EV − AC, SV = EV − PV, CPI = EV / AC,
    SPI = EV / PV, EAC = BAC / CPI.
    """
    pv, ev, ac = (
        finite(name, x, least=0.0, upto=1e12)
        for name, x in (("planned value", planned), ("earned value", earned), ("cost", actual))
    )
    bac = finite("budget", budget, upto=1e12)
    if pv > bac * (1 + 1e-9) or ev > bac * (1 + 1e-9):
        raise OutOfRange("No more can be planned or earned than the budget at completion.")
    cpi = ev / ac if ac > 0 else None
    spi = ev / pv if pv > 0 else None
    eac = bac / cpi if cpi else None
    pace = _side(ev - pv, "more than planned", "less than planned")
    cost = _side(ac - ev, "over what it was planned to cost", "under what it was planned to cost")
    words = f"Work worth {sig(ev)} is done where {sig(pv)} was planned: {pace}. "
    words += f"It has cost {sig(ac)}: {cost}."
    words += (
        f" At this rate the whole costs {sig(eac)} against a budget of {sig(bac)}."
        if eac
        else " Nothing is spent or earned yet, so no cost of the whole can be told."
    )
    parts = tuple(
        Calculation(name, value, "" if ratio else unit, formula, source=STANDARD, verdict=verdict)
        for name, value, formula, ratio, verdict in (
            ("Cost variance", ev - ac, "earned − actual", False, ""),
            ("Schedule variance", ev - pv, "earned − planned", False, ""),
            ("Cost performance", cpi, "earned / actual", True, "" if cpi is not None else "–"),
            (
                "Schedule performance",
                spi,
                "earned / planned",
                True,
                "Goes to 1 at the end whatever the delay." if spi is not None else "–",
            ),
            ("Estimate at completion", eac, "budget / cost performance", False, ""),
        )
    )
    calculation = Calculation(
        "Earned value",
        ev,
        unit,
        "what is done, at planned cost",
        f"earned {sig(ev)}, planned {sig(pv)}, actual {sig(ac)}",
        (
            Input("PV", "Planned value", pv, unit, Origin.CALCULATED),
            Input("EV", "Earned value", ev, unit, Origin.CALCULATED),
            Input("AC", "Actual cost", ac, unit, Origin.CALCULATED),
            Input("BAC", "Budget at completion", bac, unit, Origin.CALCULATED),
        ),
        STANDARD,
        verdict=words,
        limits="As good as the plan that it is held against.",
        parts=parts,
    )
    return EarnedValue(
        ev - ac, ev - pv, cpi, spi, eac, None if eac is None else eac - ac, calculation
    )


def _side(difference: float, over: str, under: str) -> str:
    if abs(difference) < 1e-9:
        return "as planned"
    return f"{sig(abs(difference))} {over if difference > 0 else under}"


@dataclass(frozen=True)
class Finish:
    """The expected finish of the work.

    Args:
        on: The day at the latest pace, or None when there is no pace.
        early, late: Ends of the range that holds 8 in 10; None where it has no end, or where the
            records are too few.
        pace: Work a day.
        calculation: What is shown: the days still to go.
    """

    on: date | None
    early: date | None
    late: date | None
    pace: float
    calculation: Calculation


def forecast_finish(
    days: Sequence[date], done: Sequence[float], whole: float, *, last: int = 12, by: str = "pieces"
) -> Finish:
    """Return the expected finish of the work, from its latest pace.

    Args:
        days: Days of record, rising.
        done: Work done by each day.
        whole: All the work.
        last: The number of latest intervals that the pace is taken from.
        by: What is counted ("pieces"), for the verdict.

    Source: drift and scatter of the intervals; the range covers the uncertainty of the pace and
    the scatter still to come, as of a random walk (common practice, no source).
    """
    if len(days) != len(done) or len(days) < 2:
        raise OutOfRange("A pace wants two days of record or more, each with what was done by it.")
    if any(b <= a for a, b in pairwise(days)):
        raise OutOfRange("The days of record must rise.")
    total = finite("whole of the work", whole, upto=1e12)
    record = [finite("work done", x, least=0.0, upto=1e12) for x in done]
    if record[-1] > total * (1 + 1e-9):
        raise OutOfRange(f"{sig(record[-1])} {by} done of {sig(total)} cannot be.")
    from_here = max(0, len(days) - 1 - max(1, last))
    spans = [(b - a).days for a, b in pairwise(days[from_here:])]
    gains = [b - a for a, b in pairwise(record[from_here:])]
    pace = sum(gains) / sum(spans)
    remaining = max(total - record[-1], 0.0)
    inputs = (
        Input("R", f"Still to do, {by}", remaining, "", Origin.CALCULATED),
        Input("d", f"Done of late, {by}", sum(gains), "", Origin.CALCULATED),
        Input("t", "In so many days", sum(spans), "", Origin.CALCULATED),
    )
    common = {
        "name": "Days to the finish",
        "unit": "",
        "formula": "R / (d / t)",
        "inputs": inputs,
        "source": "pace of late; common practice, no source",
        "limits": "The pace of late goes on: no winter, no waiting for a casting.",
    }
    if remaining == 0:
        end = days[-1]
        return Finish(end, end, end, pace, Calculation(value=0.0, verdict="All is done.", **common))
    if pace <= 0 or remaining / pace > LIFETIME_DAYS:
        gained = "Next to nothing" if pace > 0 else "Nothing"
        verdict = f"{gained} was gained in the last {sum(spans)} days: no finish can be told."
        return Finish(None, None, None, pace, Calculation(value=None, verdict=verdict, **common))
    to_go = remaining / pace
    early = late = None
    if len(spans) >= 3:
        scatter = sum((g - pace * d) ** 2 / d for g, d in zip(gains, spans, strict=True))
        scatter /= len(spans) - 1
        slack = Z90 * math.sqrt(scatter / sum(spans) + scatter / to_go)
        early = remaining / (pace + slack)
        late = remaining / (pace - slack) if slack < 0.95 * pace else None
    on = _later(days[-1], to_go)
    first, end = (None if x is None else _later(days[-1], x) for x in (early, late))
    verdict = f"At the pace of late, {on:%d %B %Y}" if on else "At this pace, not in a lifetime"
    if first and end:
        verdict += f"; between {first:%d %B %Y} and {end:%d %B %Y} in 8 of 10."
    elif first:
        verdict += (
            f"; not before {first:%d %B %Y}, and the pace is too uneven to tell a latest day."
        )
    else:
        verdict += "; too few records to tell a range."
    calculation = Calculation(
        value=to_go,
        figures=f"{sig(remaining)} / ({sig(sum(gains))} / {sum(spans)}) = {sig(to_go)} days",
        low=early,
        high=late if early is not None else None,
        interval="8 in 10" if early is not None else "",
        verdict=verdict,
        **common,
    )
    return Finish(on, first, end, pace, calculation)


def _later(day: date, days: float) -> date | None:
    try:
        return day + timedelta(days=math.ceil(days - 1e-9))
    except OverflowError:
        return None


def hours_in_kind(
    hours: float, rate: float, source: str, *, fringe: float = 0.0, unit: str = ""
) -> Calculation:
    """Value of volunteer hours at a stated rate.

    Args:
        hours: Volunteer hours, by the log. [h]
        rate: Money for an hour of this kind of work, whoever does it.
        source: Where the rate comes from, with its year.
        fringe: Benefits on top, as a part of the rate, where the scheme allows them.

    Source: rates paid for like work, as 2 CFR 200.306 (from memory) asks.
    """
    h = finite("hours", hours, least=0.0, upto=1e7)
    r = finite("rate", rate, upto=1e6)
    f = finite("fringe", fringe, least=0.0, upto=2.0)
    if not source.strip():
        raise OutOfRange("Say where the rate comes from, with its year.")
    value = h * r * (1 + f)
    return Calculation(
        "Volunteer hours, valued",
        value,
        unit,
        "hours × rate × (1 + fringe)",
        f"{sig(h)} × {sig(r)} × {sig(1 + f)} = {sig(value)}",
        (
            Input("", "Volunteer hours", h, "h", Origin.MEASURED, "log of hours"),
            Input("", "Rate", r, unit, Origin.ENTERED, source),
            Input("", "Fringe", f, "", Origin.ENTERED),
        ),
        source,
        limits="A gift in kind is no cash: it is never shown as money received.",
    )


def match_ratio(
    grant: float,
    cash: float,
    in_kind: float,
    *,
    asked: float = 1.0,
    of: str = "grant",
    cash_share: float = 0.0,
    unit: str = "",
) -> Calculation:
    """Own money and gifts in kind as a part of the grant or project, against the required match.

    Args:
        grant: The grant.
        cash, in_kind: The match in cash and in kind.
        asked: The match required, as a part of `of`.
        of: "grant", or "project" (grant and match together).
        cash_share: Least part of the match that must be cash.

    Source: the scheme's own rule.
    """
    g, c, k = (
        finite(name, x, least=0.0, upto=1e12)
        for name, x in (("grant", grant), ("cash", cash), ("gift in kind", in_kind))
    )
    required = finite("match asked for", asked, least=0.0, upto=100)
    least = finite("share of cash", cash_share, least=0.0, upto=1.0)
    if of not in ("grant", "project"):
        raise OutOfRange("A match is counted on the grant or on the whole project.")
    base = g if of == "grant" else g + c + k
    if base <= 0:
        raise OutOfRange("There is no grant or project yet to match.")
    required_sum = required * base
    shortfall = max(required_sum - c - k, 0.0)
    cash_shortfall = max(least * required_sum - c, 0.0)
    verdict = f"The match is {sig((c + k) / base)} of the {of}"
    verdict += f", {sig(shortfall)} short." if shortfall > 0 else ", as asked or more."
    if cash_shortfall > 0:
        verdict += f" In cash {sig(cash_shortfall)} is missing."
    return Calculation(
        "Match",
        (c + k) / base,
        "",
        f"(cash + in kind) / {of}",
        f"({sig(c)} + {sig(k)}) / {sig(base)} = {sig((c + k) / base)}",
        (
            Input("", "Grant", g, unit, Origin.ENTERED),
            Input("", "Cash", c, unit, Origin.ENTERED),
            Input("", "In kind", k, unit, Origin.ENTERED),
            Input(
                "",
                "Asked for",
                required_sum,
                unit,
                Origin.ENTERED,
                f"{per_cent(required)} of the {of}",
            ),
        ),
        "the scheme's own rule",
        verdict=verdict,
    )
