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
    OpenJob,
    QuoteLine,
    ScheduleLine,
    Spec,
    StockBar,
    facing,
    made,
    reckoned,
)

NO_GRADE = Caution(
    "Salvaged bolts have no grade: never lift on one, never tighten one to a modern torque table.",
    "Wrought iron, case-hardened and cracked bolts look alike. Bolts that hold pressure, a "
    "flywheel or a load are for a competent engineer to choose, by the rules of the place.",
)
CAUTIONS = (NO_GRADE,)
TOLD = ("pk", "item", "name", "quantity", "material", "size", "mass_kg", "component__name")
ROW = (
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
    """Lines added up; money of the lines whose cost is known.

    Args:
        unpriced: Lines with pieces to get for which neither way has a price.
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
    lines = list(lines)
    wanted = [line for line in lines if line.to_get]
    costs = [
        min(c for c in (line.make_cost, line.buy_cost) if c is not None)
        if line.make_cost is not None or line.buy_cost is not None
        else None
        for line in wanted
    ]
    return ScheduleSums(
        len(lines),
        sum(line.to_get for line in lines),
        sum(line.to_decide for line in lines),
        sum(line.mass_lot_kg or 0.0 for line in wanted),
        sum(line.mass_kg is None for line in wanted),
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
        """The groups with only these lines, for a page; the sums of a group stay whole."""
        wanted = {line.part_id for line in lines}
        kept = [
            replace(group, lines=[line for line in group.lines if line.part_id in wanted])
            for group in self.groups
        ]
        return [group for group in kept if group.lines]


def schedule(engine: Engine, day: date | None = None, *, wanted_only: bool = False) -> Schedule:
    """All fasteners of the engine by thread, length, head and material. Six queries."""
    day = day or timezone.localdate()
    lines = lines_of(engine, day, Q())
    kept = [line for line in lines if line.to_get or not wanted_only]
    return Schedule(
        day,
        engine.currency,
        _groups(kept),
        sums_of(kept),
        len(lines),
        sorted({s for s, _ in to_order(lines)}),
    )


def to_order(lines: Iterable[ScheduleLine]):
    """(supplier, line) of what is decided to be bought and not ordered."""
    for line in lines:
        n = line.waiting("buy")
        if n:
            yield (line.quote.supplier if line.quote else ""), (line, n)


def lines_of(engine: Engine, day: date, which: Q) -> list[ScheduleLine]:
    rows = Part.objects.filter(which, engine=engine, fastener=True).values(*TOLD).status()
    of_part = Q(part__fastener=True) & _of_part(which)
    written = {
        r["part_id"]: r for r in Fastener.objects.filter(of_part, engine=engine).values(*ROW)
    }
    jobs, under_way = _jobs(engine, of_part)
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
            written.get(row["pk"]),
            jobs.get(row["pk"], ()),
            under_way.get(row["pk"], 0),
            masses,
            quotes.get(row["pk"], []),
            engine,
            stock,
        )
        for row in rows.order_by("item")
    ]


def _of_part(which: Q) -> Q:
    """The same condition on parts, asked of rows that belong to a part."""
    return Q(*((f"part__{name}", value) for name, value in which.children))


def _jobs(engine: Engine, of_part: Q):
    """Jobs with pieces decided and not fitted, by part; and pieces begun and not fitted."""
    told = Q(entries__removed_at__isnull=True)

    def total(**which):
        return Sum("entries__pieces", filter=told & Q(**which), default=0)

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
    by_part: dict[int, tuple[OpenJob, ...]] = {}
    under_way: dict[int, int] = {}
    for row in rows:
        part, on = row["part_id"], row["begun"] - row["fitted"]
        under_way[part] = under_way.get(part, 0) + on
        if row["decided"] > row["fitted"]:
            word = route(row["route"]).word
            one = OpenJob(
                row["pk"], row["route"], word, row["decided"] - row["begun"], row["begun"]
            )
            by_part[part] = (*by_part.get(part, ()), one)
    return by_part, under_way


def _quotes(engine: Engine, day: date, of_part: Q) -> dict[int, list[QuoteLine]]:
    """Quotes by part, the newest first."""
    found: dict[int, list[QuoteLine]] = {}
    for q in Quote.objects.filter(of_part, engine=engine).order_by("-day", "-pk"):
        good = q.day <= day and (q.good_until is None or q.good_until >= day)
        found.setdefault(q.part_id, []).append(
            QuoteLine(
                q.pk, q.supplier, q.day, q.each, q.carriage, q.least, q.good_until, good, q.note
            )
        )
    return found


def stock_bars(engine: Engine) -> list[StockBar]:
    """Bars that can be bought and have a price. One query."""
    rows = engine.bars.filter(in_store=False, price__isnull=False)
    return [
        StockBar(str(b), b.material, b.section, b.across_mm, b.length_mm, b.price) for b in rows
    ]


def _line(row, written, jobs, under_way, masses, quotes, engine, stock) -> ScheduleLine:
    counts = counts_of(row)
    material = row["material"]
    spec = Spec.of(written, material, facing(engine)) if written else Spec(material=material)
    said = reckoned(spec)
    measured, source = mass_of(masses.get(row["pk"]), row["mass_kg"])
    if source != "measured" and said.mass is not None:
        measured, source = said.mass.value, "reckoned"
    spares = written["spares"] if written else 0
    # Pieces being made beyond the need are spares on their way.
    over_begun = max(0, under_way - counts.being_made)
    short = max(0, spares - counts.spare - over_begun)
    over_decided = max(0, sum(m.not_begun for m in jobs) - counts.to_be_made)
    minutes = (written["minutes_setting"], written["minutes_each"]) if written else (None, None)
    return ScheduleLine(
        part_id=row["pk"],
        item=row["item"],
        name=row["name"],
        component=row["component__name"],
        quantity=row["quantity"],
        counts=counts,
        size_text=row["size"],
        fastener_id=written["pk"] if written else None,
        spec=spec,
        sure=bool(written and written["sure"]),
        length_written=written["length_written"] if written else "",
        spares=spares,
        spares_short=short,
        to_get=counts.wanting + counts.to_be_made + short,
        to_decide=counts.wanting + max(0, short - over_decided),
        said=said,
        mass_kg=measured,
        mass_from="" if measured is None else source,
        jobs=jobs,
        quote=next((q for q in quotes if q.good), None),
        old_quote=next((q for q in quotes if not q.good), None),
        **made(spec, said, engine.shop_rate, stock, minutes),
    )


def _key(line: ScheduleLine) -> tuple:
    t, spec = line.said.thread, line.spec
    if t is None:
        return (1, "", 0.0, line.size_text.lower(), "", 0.0, spec.material)
    length = round(spec.length_mm or 0.0, 1)
    return (0, t.series, t.major_mm, t.size, f"{spec.kind} {spec.head_word}", length, spec.material)


def _groups(lines: list[ScheduleLine]) -> list[ScheduleGroup]:
    found: dict[tuple, list[ScheduleLine]] = {}
    for line in lines:
        found.setdefault(_key(line), []).append(line)
    return [_group(found[key]) for key in sorted(found)]


def _group(lines: list[ScheduleLine]) -> ScheduleGroup:
    first = lines[0]
    settled = first.said.thread is not None
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
        row: As it is written down; None when it is not.
        found: What its measures say of the thread; `no_found` says why they say nothing.
        make, buy, turn: The Calculations of the comparison, for the pieces still to get.
    """

    line: ScheduleLine
    row: Fastener | None
    found: Identification | None
    no_found: str
    quotes: list[QuoteLine]
    make: Calculation | None
    buy: Calculation | None
    turn: Calculation | None
    pieces: int
    cautions = CAUTIONS


def fastener_sheet(part: Part, engine: Engine, day: date | None = None) -> FastenerSheet | None:
    """The sheet of one fastener; None when the part is none."""
    day = day or timezone.localdate()
    if not part.fastener:
        return None
    (line,) = lines_of(engine, day, Q(pk=part.pk))
    row = Fastener.objects.filter(part=part).first()
    found, no_found = _identified(row)
    quotes = _quotes(engine, day, Q(part=part)).get(part.pk, [])
    pieces = max(line.to_get, 1)
    make, buy, turn = _compared(line, pieces, engine)
    return FastenerSheet(line, row, found, no_found, quotes, make, buy, turn, pieces)


def _identified(row: Fastener | None) -> tuple[Identification | None, str]:
    if row is None or row.crest_mm is None or row.threads_per_inch is None:
        return None, (
            "Measure over the best-kept crests and count the threads in an inch: "
            "these two name most threads."
        )
    try:
        found = identify(
            row.crest_mm,
            pitch_mm=INCH / row.threads_per_inch,
            flank_deg=row.flank_deg,
            flats_mm=row.flats_mm,
        )
    except (EngineeringError, ZeroDivisionError) as why:
        return None, str(why)
    return found, ""


def _compared(line: ScheduleLine, pieces: int, engine: Engine):
    make = buy = turn = None
    if line.make is not None:
        blank = line.said.blank
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
