"""Progress: how much is done, what it cost against the plan, and when it may be finished."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

from ..calculation import Calculation, Input, Origin
from ..errors import OutOfRange, finite
from ..figures import per_cent, sig

# A pace that would take longer tells no finish.
LIFETIME_DAYS = 36_525
Z90 = 1.2815515655  # leaves 10 in 100 on each side
STANDARD = "ISO 21508:2018, terms from memory"


def weighted_progress(weights: Sequence[float], done: Sequence[float], by: str) -> Calculation:
    """Part of the work that is done, each piece weighted.

    Args:
        weights: Weight of each piece of work: hours, cost or pieces.
        done: Part of each that is done, 0 to 1; count a step only when it is recorded.
        by: What the weights are ("hours", "cost", "pieces"), for the name.

    Source: Σ w p / Σ w.
    """
    if len(weights) != len(done):
        raise OutOfRange("Give one weight for each piece of work.")
    w = [finite("weight", x, least=0.0, upto=1e12) for x in weights]
    p = [finite("part done", x, least=0.0, upto=1.0) for x in done]
    whole = math.fsum(w)
    if whole <= 0:
        return Calculation(
            f"Done, by {by}",
            None,
            "",
            "Σ w × p / Σ w",
            source="definition",
            verdict="Nothing is weighted yet, so there is nothing to be part of.",
        )
    have = math.fsum(x * y for x, y in zip(w, p, strict=True))
    return Calculation(
        f"Done, by {by}",
        100 * have / whole,
        "percent",
        "Σ w × p / Σ w",
        f"{sig(have)} / {sig(whole)} = {sig(100 * have / whole)} %",
        (
            Input("Σ w × p", f"Done, {by}", have, "", Origin.CALCULATED),
            Input("Σ w", f"All the work, {by}", whole, "", Origin.CALCULATED),
        ),
        "definition",
        verdict=f"{sig(have)} of {sig(whole)} {by}.",
    )


@dataclass(frozen=True)
class EarnedValue:
    """Planned, earned and actual value, and what follows. A figure that cannot be told is None.

    Args:
        cost_variance: Earned less actual: over 0 it cost less than planned.
        schedule_variance: Earned less planned: over 0 more is done than planned.
        cost_index, schedule_index: The same as ratios.
        at_completion: What the whole may cost at this rate.
        to_complete: What is still to be spent of it.
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
    """Planned, earned and actual value in the open standard's terms, and in words.

    Args:
        planned: Planned value: what the plan says should be done by now, at planned cost.
        earned: Earned value: what is done, at planned cost.
        actual: Actual cost of what is done.
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
    """When the work may be finished.

    Args:
        on: At the pace of late, or None when there is no pace.
        early, late: Ends of the range that holds 8 in 10; None where it has no end, or too few
            records tell one.
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
    """When the work may be finished, from the pace of late.

    Args:
        days: Days of record, rising.
        done: Work done by each day.
        whole: All the work.
        last: How many of the latest intervals set the pace.
        by: What is counted, for the words.

    Source: drift and scatter of the intervals; the range allows for both the unsure pace and the
    scatter still to come, as of a random walk (common practice, no source).
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
    left = max(total - record[-1], 0.0)
    inputs = (
        Input("R", f"Still to do, {by}", left, "", Origin.CALCULATED),
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
    if left == 0:
        end = days[-1]
        return Finish(end, end, end, pace, Calculation(value=0.0, verdict="All is done.", **common))
    if pace <= 0 or left / pace > LIFETIME_DAYS:
        gained = "Next to nothing" if pace > 0 else "Nothing"
        words = f"{gained} was gained in the last {sum(spans)} days: no finish can be told."
        return Finish(None, None, None, pace, Calculation(value=None, verdict=words, **common))
    to_go = left / pace
    early = late = None
    if len(spans) >= 3:
        scatter = sum((g - pace * d) ** 2 / d for g, d in zip(gains, spans, strict=True))
        scatter /= len(spans) - 1
        slack = Z90 * math.sqrt(scatter / sum(spans) + scatter / to_go)
        early = left / (pace + slack)
        late = left / (pace - slack) if slack < 0.95 * pace else None
    on = _later(days[-1], to_go)
    first, end = (None if x is None else _later(days[-1], x) for x in (early, late))
    words = f"At the pace of late, {on:%d %B %Y}" if on else "At this pace, not in a lifetime"
    if first and end:
        words += f"; between {first:%d %B %Y} and {end:%d %B %Y} in 8 of 10."
    elif first:
        words += f"; not before {first:%d %B %Y}, and the pace is too uneven to tell a latest day."
    else:
        words += "; too few records to tell a range."
    calculation = Calculation(
        value=to_go,
        figures=f"{sig(left)} / ({sig(sum(gains))} / {sum(spans)}) = {sig(to_go)} days",
        low=early,
        high=late if early is not None else None,
        interval="8 in 10" if early is not None else "",
        verdict=words,
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
    """What given hours are worth at a stated rate.

    Args:
        hours: Hours given, by the log. [h]
        rate: Money for an hour of this work, by the work and not by the person.
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
        "Hours given, valued",
        value,
        unit,
        "hours × rate × (1 + fringe)",
        f"{sig(h)} × {sig(r)} × {sig(1 + f)} = {sig(value)}",
        (
            Input("", "Hours given", h, "h", Origin.MEASURED, "log of hours"),
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
    """Own money and gifts in kind against what a scheme asks to be matched.

    Args:
        grant: The grant.
        cash, in_kind: What is put beside it.
        asked: Match asked for, as a part of `of`.
        of: "grant", or "project" (grant and match together).
        cash_share: Least part of the match that must be cash.

    Source: the scheme's own rule.
    """
    g, c, k = (
        finite(name, x, least=0.0, upto=1e12)
        for name, x in (("grant", grant), ("cash", cash), ("gift in kind", in_kind))
    )
    want = finite("match asked for", asked, least=0.0, upto=100)
    least = finite("share of cash", cash_share, least=0.0, upto=1.0)
    if of not in ("grant", "project"):
        raise OutOfRange("A match is counted on the grant or on the whole project.")
    base = g if of == "grant" else g + c + k
    if base <= 0:
        raise OutOfRange("There is no grant or project yet to match.")
    need = want * base
    short = max(need - c - k, 0.0)
    short_cash = max(least * need - c, 0.0)
    words = f"The match is {sig((c + k) / base)} of the {of}"
    words += f", {sig(short)} short." if short > 0 else ", as asked or more."
    if short_cash > 0:
        words += f" In cash {sig(short_cash)} is missing."
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
            Input("", "Asked for", need, unit, Origin.ENTERED, f"{per_cent(want)} of the {of}"),
        ),
        "the scheme's own rule",
        verdict=words,
    )
