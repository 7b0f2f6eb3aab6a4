"""The bar plan: which blanks are sawn from which bar, and what the bars to buy cost."""

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
from parts.workshop.fasteners.queries.lines import Spec, as_money, facing, figures_of

from ..models import Bar, BarBlank, CutPlan
from .store import BarLine, Store, bar_store, open_plans

SOLVER_SECONDS = 3.0
SAME_SIZE_MM = 0.1  # bars and blanks whose sizes across differ by less are of one size
NOT_REMOVED = Q(entries__removed_at__isnull=True)


@dataclass(frozen=True)
class BarJob:
    """A job from bar with pieces whose stock is not in.

    Args:
        pieces: To saw: decided, less those with stock in, less those on an open cutting list.
        on_lists: Pieces on open cutting lists.
        blank_id: None when no blank is recorded.
        saw_length: Length to saw, with its calculation.
    """

    job_id: int
    part_id: int
    item: int
    name: str
    material: str
    pieces: int
    on_lists: int
    blank_id: int | None = None
    section: str = ""
    across_mm: float = 0.0
    across_written: str = ""
    saw_length: Calculation | None = None

    @property
    def label(self) -> str:
        return f"{self.item} {self.name}"

    @property
    def section_word(self) -> str:
        return Bar.Section(self.section).label if self.section else ""


@dataclass(frozen=True)
class LeftOut:
    """A blank that the plan leaves out, and the reason."""

    job: BarJob
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
    """The cutting list as calculated from the record now.

    Args:
        cutting: Bars with their cuts, by material and section.
        calculations: The cost of each kind of `cutting`.
        left_out: Blanks that no bar takes, with the reason.
        no_blank: Jobs from bar without a recorded blank.
        jobs: All jobs from bar whose stock is not all in.
        to_buy: Bars that are not in the store.
        data: The list as plain data, as it would be saved.
    """

    cutting: Cutting
    calculations: list[Calculation]
    left_out: list[LeftOut]
    no_blank: list[BarJob]
    jobs: list[BarJob]
    to_buy: list[ToBuy]
    kerf_mm: float
    end_trim_mm: float
    data: dict = field(repr=False)
    cautions = CAUTIONS

    @property
    def cost(self) -> Decimal:
        """The cost of the bars to buy that have a price."""
        return sum((row.sum for row in self.to_buy if row.sum is not None), Decimal(0))

    @property
    def unpriced(self) -> int:
        return sum(row.bars for row in self.to_buy if row.sum is None)

    @property
    def mark(self) -> str:
        """A digest of the list: it changes when anything in the list does."""
        text = json.dumps([self.data, self.kerf_mm, self.end_trim_mm], sort_keys=True)
        return hashlib.sha256(text.encode()).hexdigest()[:16]

    @property
    def pieces(self) -> int:
        return self.cutting.pieces


def bar_jobs(engine: Engine) -> list[BarJob]:
    """Return the jobs from bar whose stock is not all in. Three queries."""
    listed = in_plan(open_plans(engine))
    blanks = {b.job_id: b for b in BarBlank.objects.filter(engine=engine)}
    rows = (
        Job.objects.filter(engine=engine, route="machine")
        .values("pk", "part_id", "part__item", "part__name", "part__material", "metal")
        .annotate(
            decided=Sum(
                "entries__pieces",
                filter=NOT_REMOVED & Q(entries__kind=PieceEntry.Kind.DECIDED),
                default=0,
            ),
            stock=Sum("entries__pieces", filter=NOT_REMOVED & Q(entries__begins=True), default=0),
        )
        .filter(decided__gt=0)
        .order_by("part__item", "pk")
    )
    jobs = [
        _bar_job(row, blanks.get(row["pk"]), listed.get(row["pk"], 0), facing(engine))
        for row in rows
    ]
    return [job for job in jobs if job.pieces or job.on_lists]


def _bar_job(row: dict, blank: BarBlank | None, listed: int, facing_mm: float) -> BarJob:
    job = BarJob(
        row["pk"],
        row["part_id"],
        row["part__item"],
        row["part__name"],
        row["metal"] or row["part__material"],
        max(0, row["decided"] - row["stock"] - listed),
        listed,
    )
    if blank is None:
        return job
    return replace(
        job,
        blank_id=blank.pk,
        section=blank.section,
        across_mm=blank.across_mm,
        across_written=blank.across_written,
        saw_length=sawn_length(
            blank.length_mm, faces=blank.faces, facing_mm=facing_mm, holding_mm=blank.holding_mm
        ),
    )


def live_plan(engine: Engine, kerf_mm: float, end_trim_mm: float = 0.0) -> LivePlan:
    """Return the cheapest cutting list over all open blanks. Five queries, and at most 3 s.

    A blank that no bar takes is left out with the reason, and the rest is planned.
    Bars in the store cost nothing unless they have a price.
    """
    jobs = bar_jobs(engine)
    open_jobs = [job for job in jobs if job.pieces]
    blanks = [job for job in open_jobs if job.blank_id]
    store = bar_store(engine)
    kinds: dict[tuple, list[BarJob]] = {}
    for job in blanks:
        kinds.setdefault((job.material, job.section, _stock_size(job, store)), []).append(job)
    cuts, calculations, left_out = [], [], []
    for (material, section, across), group in sorted(kinds.items()):
        bars = _bars_of(store, material, section, across)
        group, rejects = _split_by_fit(group, bars, end_trim_mm)
        left_out += rejects
        if not group:
            continue
        names, blank_rows = _named_blanks(group)
        stocks, stock_rows = _named_stock(bars)
        plan, why = _solve(
            blank_rows, stock_rows, kerf_mm, end_trim_mm, SOLVER_SECONDS / len(kinds)
        )
        if plan is None:
            left_out += [LeftOut(job, why) for job in group]
            continue
        cuts.append(Kind.of(plan, names, stocks, group[0]))
        calculations.append(_in_currency(plan, engine.currency))
    cutting = Cutting(tuple(cuts))
    return LivePlan(
        cutting,
        calculations,
        left_out,
        [job for job in open_jobs if not job.blank_id],
        jobs,
        _to_buy(cutting, store),
        kerf_mm,
        end_trim_mm,
        cutting.plain(),
    )


def _stock_size(job: BarJob, store: Store) -> float:
    """Return the size across of the bar of the same size, so that both compare as equal."""
    sizes = [
        bar.across_mm
        for bar in store.all
        if bar.material == job.material
        and bar.section == job.section
        and abs(bar.across_mm - job.across_mm) <= SAME_SIZE_MM
    ]
    return min(sizes, key=lambda mm: (abs(mm - job.across_mm), mm), default=job.across_mm)


def _bars_of(store: Store, material: str, section: str, across: float) -> list[BarLine]:
    return [
        bar
        for bar in store.all
        if bar.material == material
        and bar.section == section
        and abs(bar.across_mm - across) <= SAME_SIZE_MM
        and (not bar.in_store or bar.free)
    ]


def _split_by_fit(jobs: list[BarJob], bars: list[BarLine], trim: float):
    """Return the jobs whose blank some bar takes, and the others with the reason."""
    if not bars:
        words = f"{Material(jobs[0].material).label.lower()} {jobs[0].section_word.lower()} bar"
        why = (
            f"No {words} of {jobs[0].across_written} is in the store or listed to buy: "
            "list a stock length, or write another bar for the blank."
        )
        return [], [LeftOut(job, why) for job in jobs]
    longest = max(bar.length_mm for bar in bars) - trim
    fitting = [job for job in jobs if job.saw_length.value <= longest + 1e-6]
    rejects = [
        LeftOut(
            job,
            f"{job.label} is {job.saw_length.value:g} mm long as sawn, and the longest bar gives "
            f"{max(0.0, longest):g} mm: list a longer bar, or make the piece in two.",
        )
        for job in jobs
        if job.saw_length.value > longest + 1e-6
    ]
    return fitting, rejects


def _named_blanks(jobs: list[BarJob]) -> tuple[dict[str, BarJob], tuple[Blank, ...]]:
    """Return jobs by a unique name, and their blanks under these names."""
    names: dict[str, BarJob] = {}
    for job in jobs:
        name, n = job.label, 2
        while name in names:
            name, n = f"{job.label} ({n})", n + 1
        names[name] = job
    rows = tuple(
        Blank(name, job.saw_length.value, job.pieces, job.material, job.section)
        for name, job in names.items()
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
def _solve(
    blanks: tuple[Blank, ...], stock: tuple[Stock, ...], kerf: float, trim: float, seconds: float
) -> tuple[BarPlan | None, str]:
    """Return the plan, or None and the reason.

    Cached, so that a page loaded again and the list saved from it are the same.
    """
    try:
        plans = cutting_lists(blanks, stock, seconds=seconds, kerf_mm=kerf, end_trim_mm=trim)
    except EngineeringError as error:
        return None, str(error)
    (plan,) = plans.values()
    return plan, ""


def _in_currency(plan: BarPlan, currency: str) -> Calculation:
    """Return the calculation of a plan, its cost in the currency of the engine."""
    origin = (Origin.CALCULATED, "finished length with what is faced and held")
    calculation = plan.calculation.with_origins({"l": origin})
    return calculation if calculation.unit else replace(calculation, unit=currency)


def _to_buy(cutting: Cutting, store: Store) -> list[ToBuy]:
    counts: Counter[int] = Counter()
    for kind in cutting.kinds:
        for bar in kind.bars:
            if bar.buy:
                counts[bar.bar] += bar.bars
    return [ToBuy(line, counts[line.pk]) for line in store.to_buy if counts[line.pk]]


# One blank; the saved lists


@dataclass(frozen=True)
class UsualBlank:
    """The likely blank of a job, from its fastener and the bars on record."""

    section: str
    across_mm: float
    length_mm: float
    calculation: Calculation
    bar: str = ""


def usual_blank(job: Job) -> UsualBlank | None:
    """Return the blank of a fastener, on the thinnest bar that takes it. Two queries."""
    row = Fastener.objects.filter(part_id=job.part_id).first()
    if row is None:
        return None
    material = job.metal or job.part.material
    blank = figures_of(Spec.of(row, material, facing(job.engine))).blank
    if blank is None:
        return None
    bars = Bar.objects.filter(
        engine_id=job.engine_id,
        material=material,
        section=blank.section,
        across_mm__gte=blank.across_mm - 0.05,
    ).order_by("across_mm", "pk")
    bar = bars.first()
    return UsualBlank(
        blank.section,
        bar.across_mm if bar else blank.across_mm,
        blank.finished_mm,
        blank.calculation,
        bar.across_written if bar else "",
    )


@dataclass(frozen=True)
class ListLine:
    """A saved cutting list."""

    pk: int
    number: int
    drawn_on: date
    cut_on: date | None
    pieces: int
    bars: int


@dataclass(frozen=True)
class Estimate:
    """The estimated cost of the bars to buy."""

    low: Decimal
    likely: Decimal
    high: Decimal
    note: str


def bar_estimate(plan: LivePlan) -> Estimate | None:
    """Return the estimate for the bars to buy; None when none has a price."""
    if not plan.cost:
        return None
    spread = estimate_class("2", float(plan.cost))
    missing = f"; {plan.unpriced} bars without a price are not in it" if plan.unpriced else ""
    note = f"At the prices written with the bars{missing}. Range: {spread.source}, class 2"
    return Estimate(as_money(spread.low), plan.cost, as_money(spread.high), note)


def cut_lists(engine: Engine) -> list[ListLine]:
    """Return all cutting lists, newest first. One query."""
    lines = []
    for row in CutPlan.objects.filter(engine=engine):
        cutting = Cutting.read(row.plan)
        lines.append(
            ListLine(row.pk, row.number, row.drawn_on, row.cut_on, cutting.pieces, cutting.bars)
        )
    return lines
