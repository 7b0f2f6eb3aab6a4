"""The fastener schedule, and the thread of one fastener."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from django.db.models import Q, Sum
from django.utils import timezone

from parts.care.models import Measurement
from parts.engineering.calculation import Calculation, Caution
from parts.engineering.errors import EngineeringError
from parts.engineering.fasteners.make_or_buy import break_even, buying_cost, making_cost
from parts.engineering.fasteners.threads import INCH
from parts.engineering.fasteners.worn_threads import Identification, identify
from parts.engineering.routes import route
from parts.engineering.sentences import amount
from parts.record.models import Engine, Job, Part, PieceEntry
from parts.record.queries.status import counts_of
from parts.workshop.jobs.queries.jobs import mass_of

from ..models import Fastener, Quote
from .lines import (
    KERF_MM,
    FastenerJob,
    QuoteLine,
    ScheduleLine,
    Spec,
    StockBar,
    facing,
    figures_of,
    making_fields,
)

NO_GRADE = Caution(
    "Salvaged bolts have no grade: never lift on one, never tighten one to a modern torque table.",
    "Wrought iron, case-hardened and cracked bolts look alike. Bolts that hold pressure, a "
    "flywheel or a load are for a competent engineer to choose, by the rules of the place.",
)
CAUTIONS = (NO_GRADE,)
PART_COLUMNS = ("pk", "item", "name", "quantity", "material", "size", "mass_kg", "component__name")
FASTENER_COLUMNS = (
    "pk",
    "part_id",
    "kind",
    "head",
    "series",
    "size",
    "sure",
    "length_mm",
    "length_written",
    "flats_mm",
    "nuts",
    "spares",
    "minutes_each",
    "minutes_setting",
)


@dataclass(frozen=True)
class ScheduleSums:
    """The sums of lines. Costs are of the lines whose cost is known.

    Args:
        unpriced: Lines with pieces to get for which neither making nor buying has a price.
        mass_unknown: Lines with pieces to get without a mass.
    """

    lines: int
    to_get: int
    to_decide: int
    mass_kg: float
    mass_unknown: int
    least_cost: Decimal
    unpriced: int


def sums_of(lines: Iterable[ScheduleLine]) -> ScheduleSums:
    """Add up lines. The cost of a line is the cheaper of making and buying."""
    lines = list(lines)
    to_get = [line for line in lines if line.to_get]
    costs = [
        min(c for c in (line.make_cost, line.buy_cost) if c is not None)
        if line.make_cost is not None or line.buy_cost is not None
        else None
        for line in to_get
    ]
    return ScheduleSums(
        len(lines),
        sum(line.to_get for line in lines),
        sum(line.to_decide for line in lines),
        sum(line.mass_lot_kg or 0.0 for line in to_get),
        sum(line.mass_kg is None for line in to_get),
        sum((c for c in costs if c is not None), Decimal(0)),
        sum(c is None for c in costs),
    )


@dataclass(frozen=True)
class ScheduleGroup:
    """Fasteners of one thread, length, head and material."""

    title: str
    length_mm: float | None
    head: str
    material: str
    settled: bool
    lines: list[ScheduleLine]
    sums: ScheduleSums


@dataclass(frozen=True)
class Schedule:
    """The fastener schedule of an engine.

    Args:
        all_lines: How many fasteners the engine has, shown or not.
    """

    day: date
    currency: str
    groups: list[ScheduleGroup]
    sums: ScheduleSums
    all_lines: int
    suppliers: list[str]
    cautions = CAUTIONS

    @property
    def lines(self) -> list[ScheduleLine]:
        return [line for group in self.groups for line in group.lines]

    def groups_with(self, lines: Iterable[ScheduleLine]) -> list[ScheduleGroup]:
        """Return the groups with only these lines, for a page; the sums of a group cover all."""
        part_ids = {line.part_id for line in lines}
        groups = [
            replace(group, lines=[line for line in group.lines if line.part_id in part_ids])
            for group in self.groups
        ]
        return [group for group in groups if group.lines]


def schedule(engine: Engine, day: date | None = None, *, wanted_only: bool = False) -> Schedule:
    """Return all fasteners of the engine by thread, length, head and material. Six queries."""
    day = day or timezone.localdate()
    lines = lines_of(engine, day, Q())
    shown = [line for line in lines if line.to_get or not wanted_only]
    return Schedule(
        day,
        engine.currency,
        _groups(shown),
        sums_of(shown),
        len(lines),
        sorted({s for s, _ in to_order(lines)}),
    )


def to_order(lines: Iterable[ScheduleLine]):
    """Yield (supplier, (line, pieces)) of what is decided to be bought and not ordered."""
    for line in lines:
        n = line.waiting("buy")
        if n:
            yield (line.quote.supplier if line.quote else ""), (line, n)


def lines_of(engine: Engine, day: date, condition: Q) -> list[ScheduleLine]:
    """Return the schedule lines of the fasteners that meet a condition on parts. Six queries."""
    rows = (
        Part.objects.filter(condition, engine=engine, fastener=True).values(*PART_COLUMNS).status()
    )
    of_part = Q(part__fastener=True) & _of_part(condition)
    fasteners = {
        r["part_id"]: r
        for r in Fastener.objects.filter(of_part, engine=engine).values(*FASTENER_COLUMNS)
    }
    jobs, begun = _jobs(engine, of_part)
    quotes = _quotes(engine, day, of_part)
    masses = dict(
        Measurement.objects.filter(
            of_part, engine=engine, quantity=Measurement.Quantity.MASS, what__iexact="mass"
        )
        .order_by("day", "pk")
        .values_list("part_id", "value")
    )
    stock = stock_bars(engine)
    return [
        _line(
            row,
            fasteners.get(row["pk"]),
            jobs.get(row["pk"], ()),
            begun.get(row["pk"], 0),
            masses,
            quotes.get(row["pk"], []),
            engine,
            stock,
        )
        for row in rows.order_by("item")
    ]


def _of_part(condition: Q) -> Q:
    """Turn a condition on parts into one on rows that belong to a part."""
    return Q(*((f"part__{name}", value) for name, value in condition.children))


def _jobs(engine: Engine, of_part: Q):
    """Return (open jobs by part, pieces begun and not fitted by part). One query."""
    not_removed = Q(entries__removed_at__isnull=True)

    def total(**conditions):
        return Sum("entries__pieces", filter=not_removed & Q(**conditions), default=0)

    rows = (
        Job.objects.filter(of_part, engine=engine)
        .values("pk", "part_id", "route")
        .annotate(
            decided=total(entries__kind=PieceEntry.Kind.DECIDED),
            begun=total(entries__kind=PieceEntry.Kind.STAGE, entries__begins=True),
            fitted=total(entries__kind=PieceEntry.Kind.FITTED),
        )
        .order_by("pk")
    )
    by_part: dict[int, tuple[FastenerJob, ...]] = {}
    begun_by_part: dict[int, int] = {}
    for row in rows:
        part, begun = row["part_id"], row["begun"] - row["fitted"]
        begun_by_part[part] = begun_by_part.get(part, 0) + begun
        if row["decided"] > row["fitted"]:
            word = route(row["route"]).word
            job = FastenerJob(
                row["pk"], row["route"], word, row["decided"] - row["begun"], row["begun"]
            )
            by_part[part] = (*by_part.get(part, ()), job)
    return by_part, begun_by_part


def _quotes(engine: Engine, day: date, of_part: Q) -> dict[int, list[QuoteLine]]:
    """Return quotes by part, the newest first. One query."""
    by_part: dict[int, list[QuoteLine]] = {}
    for q in Quote.objects.filter(of_part, engine=engine).order_by("-day", "-pk"):
        good = q.day <= day and (q.good_until is None or q.good_until >= day)
        by_part.setdefault(q.part_id, []).append(
            QuoteLine(
                q.pk, q.supplier, q.day, q.each, q.carriage, q.least, q.good_until, good, q.note
            )
        )
    return by_part


def stock_bars(engine: Engine) -> list[StockBar]:
    """Return bars that can be bought and have a price. One query."""
    rows = engine.bars.filter(in_store=False, price__isnull=False)
    return [
        StockBar(str(b), b.material, b.section, b.across_mm, b.length_mm, b.price) for b in rows
    ]


def _line(row, fastener, jobs, begun, masses, quotes, engine, stock) -> ScheduleLine:
    counts = counts_of(row)
    material = row["material"]
    spec = Spec.of(fastener, material, facing(engine)) if fastener else Spec(material=material)
    figures = figures_of(spec)
    mass, source = mass_of(masses.get(row["pk"]), row["mass_kg"])
    if source != "measured" and figures.mass is not None:
        mass, source = figures.mass.value, "calculated"
    spares = fastener["spares"] if fastener else 0
    # Pieces being made beyond the need are spares on their way.
    over_begun = max(0, begun - counts.being_made)
    short = max(0, spares - counts.spare - over_begun)
    over_decided = max(0, sum(m.not_begun for m in jobs) - counts.to_be_made)
    minutes = (fastener["minutes_setting"], fastener["minutes_each"]) if fastener else (None, None)
    return ScheduleLine(
        part_id=row["pk"],
        item=row["item"],
        name=row["name"],
        component=row["component__name"],
        quantity=row["quantity"],
        counts=counts,
        size_text=row["size"],
        fastener_id=fastener["pk"] if fastener else None,
        spec=spec,
        sure=bool(fastener and fastener["sure"]),
        length_written=fastener["length_written"] if fastener else "",
        spares=spares,
        spares_short=short,
        to_get=counts.wanting + counts.to_be_made + short,
        to_decide=counts.wanting + max(0, short - over_decided),
        figures=figures,
        mass_kg=mass,
        mass_from="" if mass is None else source,
        jobs=jobs,
        quote=next((q for q in quotes if q.good), None),
        old_quote=next((q for q in quotes if not q.good), None),
        **making_fields(spec, figures, engine.shop_rate, stock, minutes),
    )


def _key(line: ScheduleLine) -> tuple:
    t, spec = line.figures.thread, line.spec
    if t is None:
        return (1, "", 0.0, line.size_text.lower(), "", 0.0, spec.material)
    length = round(spec.length_mm or 0.0, 1)
    return (0, t.series, t.major_mm, t.size, f"{spec.kind} {spec.head_word}", length, spec.material)


def _groups(lines: list[ScheduleLine]) -> list[ScheduleGroup]:
    groups: dict[tuple, list[ScheduleLine]] = {}
    for line in lines:
        groups.setdefault(_key(line), []).append(line)
    return [_group(groups[key]) for key in sorted(groups)]


def _group(lines: list[ScheduleLine]) -> ScheduleGroup:
    first = lines[0]
    settled = first.figures.thread is not None
    if settled:
        title = f"{first.spec.kind_word}, {first.thread_name}"
    else:
        title = f"Thread not settled{', ' + first.size_text if first.size_text else ''}"
    return ScheduleGroup(
        title,
        first.spec.length_mm if settled else None,
        first.spec.head_word if settled else "",
        first.spec.material,
        settled,
        lines,
        sums_of(lines),
    )


# One fastener


@dataclass(frozen=True)
class FastenerSheet:
    """One fastener: its thread, its mass and blank, and whether to make or buy it.

    Args:
        row: Its record; None when there is none.
        identification: The threads that fit its measures; None with a reason in
            `no_identification`.
        make, buy, turn: The calculations of the comparison, for the pieces still to get.
    """

    line: ScheduleLine
    row: Fastener | None
    identification: Identification | None
    no_identification: str
    quotes: list[QuoteLine]
    make: Calculation | None
    buy: Calculation | None
    turn: Calculation | None
    pieces: int
    cautions = CAUTIONS


def fastener_sheet(part: Part, engine: Engine, day: date | None = None) -> FastenerSheet | None:
    """Return the sheet of one fastener; None when the part is not a fastener."""
    day = day or timezone.localdate()
    if not part.fastener:
        return None
    (line,) = lines_of(engine, day, Q(pk=part.pk))
    row = Fastener.objects.filter(part=part).first()
    identification, no_identification = _identify(row)
    quotes = _quotes(engine, day, Q(part=part)).get(part.pk, [])
    pieces = max(line.to_get, 1)
    make, buy, turn = _compare(line, pieces, engine)
    return FastenerSheet(
        line, row, identification, no_identification, quotes, make, buy, turn, pieces
    )


def _identify(row: Fastener | None) -> tuple[Identification | None, str]:
    if row is None or row.crest_mm is None or row.threads_per_inch is None:
        return None, (
            "Measure over the best-kept crests and count the threads in an inch: "
            "these two name most threads."
        )
    try:
        identification = identify(
            row.crest_mm,
            pitch_mm=INCH / row.threads_per_inch,
            flank_deg=row.flank_deg,
            flats_mm=row.flats_mm,
        )
    except (EngineeringError, ZeroDivisionError) as error:
        return None, str(error)
    return identification, ""


def _compare(line: ScheduleLine, pieces: int, engine: Engine):
    make = buy = turn = None
    if line.make is not None:
        blank = line.figures.blank
        make = making_cost(
            pieces,
            line.minutes_setting or 0.0,
            line.minutes_each,
            float(engine.shop_rate),
            line.make.bar,
            bar_from=(
                f"{line.bar.name}: {amount(blank.sawn_mm, 'mm')} + {amount(KERF_MM, 'mm')} of its "
                f"{amount(line.bar.length_mm, 'mm')}, at {line.bar.price}"
                if line.bar
                else ""
            ),
            money=engine.currency,
        )
    if line.quote is not None:
        q = line.quote
        buy = buying_cost(
            pieces,
            float(q.each),
            float(q.carriage),
            q.least,
            quoted=q.quoted,
            money=engine.currency,
        )
    if make and buy:
        turn = break_even(pieces, line.make, line.quote.buying, money=engine.currency)
    return make, buy, turn
