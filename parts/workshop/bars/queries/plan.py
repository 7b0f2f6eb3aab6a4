"""The bar store and the bar plan: which blanks are sawn from which bar."""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from functools import lru_cache

from django.db.models import Q, Sum

from parts.engineering.bars.cutting import (
    CAUTIONS,
    BarPlan,
    Blank,
    Stock,
    cutting_lists,
    sawn_length,
)
from parts.engineering.bars.cutting_list import Cutting, Kind, in_plan
from parts.engineering.calculation import Calculation, Origin
from parts.engineering.errors import EngineeringError
from parts.engineering.estimating.three_point import estimate_class
from parts.record.models import Engine, Job, Material, PieceEntry
from parts.workshop.fasteners.models import Fastener
from parts.workshop.fasteners.queries.lines import Spec, as_money, facing, reckoned

from ..models import Bar, BarBlank, CutPlan
from .store import BarLine, Store, bar_store, open_plans

SECONDS = 3.0
ALIKE_MM = 0.1  # bars and blanks whose sizes across differ by less are of one size
TOLD = Q(entries__removed_at__isnull=True)


@dataclass(frozen=True)
class Turned:
    """A job from bar with pieces whose stock is not in.

    Args:
        pieces: To saw: decided, less those with stock in, less those on an open cutting list.
        listed: On open cutting lists.
        blank_id: None when its blank is not written down.
        sawn: Length to saw, with its calculation.
    """

    job_id: int
    part_id: int
    item: int
    name: str
    material: str
    pieces: int
    listed: int
    blank_id: int | None = None
    section: str = ""
    across_mm: float = 0.0
    across_written: str = ""
    sawn: Calculation | None = None

    @property
    def label(self) -> str:
        return f"{self.item} {self.name}"

    @property
    def section_word(self) -> str:
        return Bar.Section(self.section).label if self.section else ""


@dataclass(frozen=True)
class LeftOut:
    """A blank that the plan leaves out, and why."""

    turned: Turned
    sentence: str


@dataclass(frozen=True)
class ToBuy:
    """Bars to buy of one length."""

    bar: BarLine
    bars: int

    @property
    def sum(self) -> Decimal | None:
        return None if self.bar.price is None else self.bar.price * self.bars


@dataclass(frozen=True)
class LivePlan:
    """The cutting list as it would be drawn up now.

    Args:
        cutting: Bars with their cuts, by material and section.
        calculations: Of each kind of `cutting`, how its cost was reached.
        left_out: Blanks that no bar takes, with the reason.
        no_blank: Jobs from bar whose blank is not written down.
        to_buy: Bars that are not in the store.
        frozen: What would be kept, as plain data.
    """

    cutting: Cutting
    calculations: list[Calculation]
    left_out: list[LeftOut]
    no_blank: list[Turned]
    turned: list[Turned]
    to_buy: list[ToBuy]
    kerf_mm: float
    end_trim_mm: float
    frozen: dict = field(repr=False)
    cautions = CAUTIONS

    @property
    def cost(self) -> Decimal:
        """Of the bars to buy that have a price."""
        return sum((row.sum for row in self.to_buy if row.sum is not None), Decimal(0))

    @property
    def unpriced(self) -> int:
        return sum(row.bars for row in self.to_buy if row.sum is None)

    @property
    def mark(self) -> str:
        """Changes when anything of the list does."""
        text = json.dumps([self.frozen, self.kerf_mm, self.end_trim_mm], sort_keys=True)
        return hashlib.sha256(text.encode()).hexdigest()[:16]

    @property
    def pieces(self) -> int:
        return self.cutting.pieces


def turned_jobs(engine: Engine) -> list[Turned]:
    """Jobs from bar whose stock is not all in. Three queries."""
    listed = in_plan(open_plans(engine))
    blanks = {b.job_id: b for b in BarBlank.objects.filter(engine=engine)}
    rows = (
        Job.objects.filter(engine=engine, route="machine")
        .values("pk", "part_id", "part__item", "part__name", "part__material", "metal")
        .annotate(
            decided=Sum(
                "entries__pieces", filter=TOLD & Q(entries__kind=PieceEntry.Kind.DECIDED), default=0
            ),
            stock=Sum("entries__pieces", filter=TOLD & Q(entries__begins=True), default=0),
        )
        .filter(decided__gt=0)
        .order_by("part__item", "pk")
    )
    found = [
        _turned(row, blanks.get(row["pk"]), listed.get(row["pk"], 0), facing(engine))
        for row in rows
    ]
    return [one for one in found if one.pieces or one.listed]


def _turned(row: dict, blank: BarBlank | None, listed: int, facing_mm: float) -> Turned:
    one = Turned(
        row["pk"],
        row["part_id"],
        row["part__item"],
        row["part__name"],
        row["metal"] or row["part__material"],
        max(0, row["decided"] - row["stock"] - listed),
        listed,
    )
    if blank is None:
        return one
    return replace(
        one,
        blank_id=blank.pk,
        section=blank.section,
        across_mm=blank.across_mm,
        across_written=blank.across_written,
        sawn=sawn_length(
            blank.length_mm, faces=blank.faces, facing_mm=facing_mm, holding_mm=blank.holding_mm
        ),
    )


def live_plan(engine: Engine, kerf_mm: float, end_trim_mm: float = 0.0) -> LivePlan:
    """The cheapest cutting list over all open blanks. Five queries, and at most 3 s.

    A blank that no bar takes is left out with a sentence, and the rest is planned all the same.
    Bars in the store cost nothing unless a price is written beside them.
    """
    turned = turned_jobs(engine)
    open_ones = [one for one in turned if one.pieces]
    blanks = [one for one in open_ones if one.blank_id]
    store = bar_store(engine)
    kinds: dict[tuple, list[Turned]] = {}
    for one in blanks:
        kinds.setdefault((one.material, one.section, _snapped(one, store)), []).append(one)
    cuts, calculations, left_out = [], [], []
    for (material, section, across), ones in sorted(kinds.items()):
        bars = _bars_of(store, material, section, across)
        ones, out = _that_fit(ones, bars, end_trim_mm)
        left_out += out
        if not ones:
            continue
        names, blank_rows = _named_blanks(ones)
        stocks, stock_rows = _named_stock(bars)
        plan, why = _solved(blank_rows, stock_rows, kerf_mm, end_trim_mm, SECONDS / len(kinds))
        if plan is None:
            left_out += [LeftOut(one, why) for one in ones]
            continue
        cuts.append(Kind.of(plan, names, stocks, ones[0]))
        calculations.append(_priced(plan, engine.currency))
    cutting = Cutting(tuple(cuts))
    return LivePlan(
        cutting,
        calculations,
        left_out,
        [one for one in open_ones if not one.blank_id],
        turned,
        _to_buy(cutting, store),
        kerf_mm,
        end_trim_mm,
        cutting.plain(),
    )


def _snapped(one: Turned, store: Store) -> float:
    """Its size across, as the bar of the same size has it."""
    near = [
        bar.across_mm
        for bar in store.all
        if bar.material == one.material
        and bar.section == one.section
        and abs(bar.across_mm - one.across_mm) <= ALIKE_MM
    ]
    return min(near, key=lambda mm: (abs(mm - one.across_mm), mm), default=one.across_mm)


def _bars_of(store: Store, material: str, section: str, across: float) -> list[BarLine]:
    return [
        bar
        for bar in store.all
        if bar.material == material
        and bar.section == section
        and abs(bar.across_mm - across) <= ALIKE_MM
        and (not bar.in_store or bar.free)
    ]


def _that_fit(ones: list[Turned], bars: list[BarLine], trim: float):
    """The blanks that some bar takes; and the others, with the reason."""
    if not bars:
        words = f"{Material(ones[0].material).label.lower()} {ones[0].section_word.lower()} bar"
        why = (
            f"No {words} of {ones[0].across_written} is in the store or listed to buy: "
            "list a stock length, or write another bar for the blank."
        )
        return [], [LeftOut(one, why) for one in ones]
    longest = max(bar.length_mm for bar in bars) - trim
    fit = [one for one in ones if one.sawn.value <= longest + 1e-6]
    out = [
        LeftOut(
            one,
            f"{one.label} is {one.sawn.value:g} mm long as sawn, and the longest bar gives "
            f"{max(0.0, longest):g} mm: list a longer bar, or make the piece in two.",
        )
        for one in ones
        if one.sawn.value > longest + 1e-6
    ]
    return fit, out


def _named_blanks(ones: list[Turned]) -> tuple[dict[str, Turned], tuple[Blank, ...]]:
    """Blanks under names of their own, so that each cut can be told from the others."""
    names: dict[str, Turned] = {}
    for one in ones:
        name, n = one.label, 2
        while name in names:
            name, n = f"{one.label} ({n})", n + 1
        names[name] = one
    rows = tuple(
        Blank(name, one.sawn.value, one.pieces, one.material, one.section)
        for name, one in names.items()
    )
    return names, rows


def _named_stock(bars: list[BarLine]) -> tuple[dict[str, BarLine], tuple[Stock, ...]]:
    names: dict[str, BarLine] = {}
    for bar in bars:
        name, n = bar.name, 2
        while name in names:
            name, n = f"{bar.name} ({n})", n + 1
        names[name] = bar
    rows = tuple(
        Stock(name, bar.length_mm, _cost_of(bar), bar.free if bar.in_store else None, bar.material,
              bar.section)
        for name, bar in names.items()
    )  # fmt: skip
    return names, rows


def _cost_of(bar: BarLine) -> float | None:
    if bar.price is None:
        return 0.0 if bar.in_store else None
    return float(bar.price)


@lru_cache(maxsize=64)
def _solved(
    blanks: tuple[Blank, ...], stock: tuple[Stock, ...], kerf: float, trim: float, seconds: float
) -> tuple[BarPlan | None, str]:
    """The plan, or the sentence on why there is none. Kept, so that a page asked for again, and
    the list frozen from it, are the same."""
    try:
        plans = cutting_lists(blanks, stock, seconds=seconds, kerf_mm=kerf, end_trim_mm=trim)
    except EngineeringError as why:
        return None, str(why)
    (plan,) = plans.values()
    return plan, ""


def _priced(plan: BarPlan, currency: str) -> Calculation:
    """The calculation of a plan, its cost in the money of the engine."""
    sawn = (Origin.CALCULATED, "finished length with what is faced and held")
    calculation = plan.calculation.with_origins({"l": sawn})
    return calculation if calculation.unit else replace(calculation, unit=currency)


def _to_buy(cutting: Cutting, store: Store) -> list[ToBuy]:
    counts: Counter[int] = Counter()
    for kind in cutting.kinds:
        for bar in kind.bars:
            if bar.buy:
                counts[bar.bar] += bar.bars
    return [ToBuy(line, counts[line.pk]) for line in store.to_buy if counts[line.pk]]


# One blank, one list


@dataclass(frozen=True)
class UsualBlank:
    """What a blank is likely to be: from its fastener and the bars that are listed."""

    section: str
    across_mm: float
    length_mm: float
    calculation: Calculation
    bar: str = ""


def usual_blank(job: Job) -> UsualBlank | None:
    """The blank of a fastener, on the thinnest listed bar that takes it. Two queries."""
    row = Fastener.objects.filter(part_id=job.part_id).first()
    if row is None:
        return None
    material = job.metal or job.part.material
    blank = reckoned(Spec.of(row, material, facing(job.engine))).blank
    if blank is None:
        return None
    fit = Bar.objects.filter(
        engine_id=job.engine_id,
        material=material,
        section=blank.section,
        across_mm__gte=blank.across_mm - 0.05,
    ).order_by("across_mm", "pk")
    bar = fit.first()
    return UsualBlank(
        blank.section,
        bar.across_mm if bar else blank.across_mm,
        blank.finished_mm,
        blank.calculation,
        bar.across_written if bar else "",
    )


@dataclass(frozen=True)
class ListLine:
    """A cutting list that was drawn up."""

    pk: int
    number: int
    drawn_on: date
    cut_on: date | None
    pieces: int
    bars: int


@dataclass(frozen=True)
class Estimate:
    """What the bars to buy are likely to cost."""

    low: Decimal
    likely: Decimal
    high: Decimal
    note: str


def bar_estimate(plan: LivePlan) -> Estimate | None:
    """What goes into the tally for the bars to buy; None when none has a price."""
    if not plan.cost:
        return None
    range_ = estimate_class("2", float(plan.cost))
    missing = f"; {plan.unpriced} bars without a price are not in it" if plan.unpriced else ""
    note = f"At the prices written with the bars{missing}. Range: {range_.source}, class 2"
    return Estimate(as_money(range_.low), plan.cost, as_money(range_.high), note)


def cut_lists(engine: Engine) -> list[ListLine]:
    """All cutting lists, newest first. One query."""
    found = []
    for row in CutPlan.objects.filter(engine=engine):
        cutting = Cutting.read(row.plan)
        found.append(
            ListLine(row.pk, row.number, row.drawn_on, row.cut_on, cutting.pieces, cutting.bars)
        )
    return found
