"""The funders' report: what was done between two days, and how the engine stood on each.

It contains no locations of the site and no place where parts are kept: finds are told by the part
they are, never by where they lay, and the diary, which tells places, is left out.
"""

from collections import defaultdict
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal

from django.db.models import Q

from parts.care.models import Repair
from parts.drawings.queries import EngineOnDay, engine_on_day
from parts.engine.models import Ownership
from parts.engineering.calculation import Caution
from parts.engineering.routes import ROUTES
from parts.money.queries import tally as money
from parts.people.queries import hours_by_person, hours_by_work
from parts.photos.models import Photo, PhotoPair
from parts.record.models import Engine, Part, PieceEntry
from parts.record.queries.status import Counts
from parts.workshop.jobs.queries import jobs

from .progress import Progress, progress

SHOWN_NAMES = 6


@dataclass(frozen=True)
class Done:
    """Something that was done to a part in the time.

    Args:
        day: When last.
        part: What.
        what: In words: "poured", "found", "fitted".
        pieces: How many.
    """

    day: date
    part: Part
    what: str
    pieces: int


@dataclass(frozen=True)
class Details:
    """What is entered for a report, by the names that the columns of `Report` have."""

    number: int
    title: str
    first_day: date
    last_day: date
    words: str = ""
    next_words: str = ""


@dataclass(frozen=True)
class FundersReport:
    """All that the report shows. Every figure is of its last day unless it says otherwise."""

    engine: Engine
    details: Details
    summary: tuple[str, ...]
    counts: Counts
    before: Counts
    stood: EngineOnDay
    stood_before: EngineOnDay
    progress: Progress
    found: tuple[Done, ...]
    made: tuple[Done, ...]
    repairs: tuple[Repair, ...]
    pairs: tuple[PhotoPair, ...]
    photos: tuple[Photo, ...]
    make_list: jobs.MakeList
    tally: money.Tally
    spent_in_time: Decimal
    hours: Decimal
    hours_in_time: Decimal
    helpers: int
    hours_by_work: tuple
    wanted: tuple[Part, ...]
    owners: tuple[Ownership, ...]
    cautions: tuple[Caution, ...]
    methods: tuple[str, ...]


def funders_report(
    engine: Engine, details: Details, photos: tuple[Photo, ...] = ()
) -> FundersReport:
    """Draw up the report from the record as it stood on the last day."""
    first, last = details.first_day, details.last_day
    eve = first - timedelta(days=1)
    told = progress(engine, last, since=eve)
    stood_before = engine_on_day(engine, eve)
    tally = money.cost_tally(engine, last)
    people = hours_by_person(engine, last=last)
    in_time = hours_by_work(engine, first, last)
    found, made = _done(engine, first, last)
    spent = tally.sums.spent - money.cost_tally(engine, eve).sums.spent
    make_list = jobs.parts_to_make(engine, last)
    wanted = _wanted(engine, last)
    hours = sum((p.hours for p in people), Decimal(0))
    hours_in_time = sum((w.hours for w in in_time), Decimal(0))
    report = FundersReport(
        engine=engine,
        details=details,
        summary=(),
        counts=told.counts,
        before=stood_before.counts,
        stood=engine_on_day(engine, last),
        stood_before=stood_before,
        progress=told,
        found=found,
        made=made,
        repairs=tuple(
            Repair.objects.filter(engine=engine, old=False, day__range=(first, last))
            .select_related("part")
            .order_by("-day", "pk")
        ),
        pairs=_pairs(engine, last),
        photos=photos,
        make_list=make_list,
        tally=tally,
        spent_in_time=spent,
        hours=hours,
        hours_in_time=hours_in_time,
        helpers=len(people),
        hours_by_work=tuple(in_time),
        wanted=wanted,
        owners=tuple(
            row
            for row in Ownership.objects.filter(engine=engine, since__lte=last).order_by("since")
            if row.who
        ),
        cautions=CAUTIONS,
        methods=METHODS,
    )
    return replace(report, summary=tuple(_summary(report)))


def _pairs(engine: Engine, last: date) -> tuple[PhotoPair, ...]:
    """Before and after, both passed for funders, the newest first."""
    rows = PhotoPair.objects.filter(
        engine=engine,
        after__day__lte=last,
        before__may_go_out=True,
        after__may_go_out=True,
        before__removed_at__isnull=True,
        after__removed_at__isnull=True,
    )
    return tuple(rows.select_related("before", "after").order_by("-after__day")[:6])


def _wanted(engine: Engine, last: date) -> tuple[Part, ...]:
    """Parts with missing pieces, the heaviest first: what a funder would ask about."""
    rows = Part.objects.filter(engine=engine, fastener=False).status(last).with_pieces("missing")
    return tuple(sorted(rows, key=lambda p: (-(p.mass_kg or 0), p.item))[:12])


def _done(engine: Engine, first: date, last: date) -> tuple[tuple[Done, ...], tuple[Done, ...]]:
    """What was found, and what jobs reached, in the time; newest first."""
    entries = (
        PieceEntry.objects.filter(engine=engine, day__range=(first, last))
        .filter(Q(kind__in=["identified", "stage", "fitted"]))
        .select_related("part", "job")
        .order_by("day", "pk")
    )
    found: dict[int, list] = {}
    steps: dict[int, list] = defaultdict(list)
    for entry in entries:
        if entry.kind == PieceEntry.Kind.IDENTIFIED:
            row = found.setdefault(entry.part_id, [entry.day, entry.part, 0])
            row[0], row[2] = entry.day, row[2] + entry.pieces
        else:
            steps[entry.job_id].append(entry)
    made = [done for rows in steps.values() if (done := _furthest(rows))]
    return (
        tuple(
            Done(day, part, "found", n)
            for day, part, n in sorted(found.values(), key=lambda r: r[0], reverse=True)
            if n > 0
        ),
        tuple(sorted(made, key=lambda d: d.day, reverse=True)),
    )


def _furthest(entries: list[PieceEntry]) -> Done | None:
    """The furthest that a job got: fitted, else the latest of its stages.

    What was undone in the time is set off: a waster was not poured. None where nothing is left.
    """
    way = ROUTES[entries[0].job.route]
    for key, word in [("", "fitted"), *((s.key, s.word) for s in reversed(way.stages))]:
        at = [entry for entry in entries if entry.stage == key]
        pieces = sum(entry.pieces for entry in at)
        if pieces > 0:
            day = max(entry.day for entry in at if entry.pieces > 0)
            return Done(day, at[0].part, word, pieces)
    return None


def _named(names: list[str]) -> str:
    names = [n[0].lower() + n[1:] for n in dict.fromkeys(names)]
    if len(names) > SHOWN_NAMES:
        return f"{', '.join(names[:SHOWN_NAMES])} and {len(names) - SHOWN_NAMES} more"
    if len(names) > 1:
        return f"{', '.join(names[:-1])} and {names[-1]}"
    return names[0] if names else ""


def _count(n: int, one: str, many: str = "") -> str:
    return f"{n} {one if n == 1 else many or one + 's'}"


def _summary(r: FundersReport):
    """The report in plain sentences, each from the record."""
    c, b = r.counts, r.before
    if r.engine.story:
        yield r.engine.story.split("\n")[0].strip()
    pieces = sum(d.pieces for d in r.found)
    if pieces:
        weighty = sorted(r.found, key=lambda d: -(d.part.mass_kg or 0))
        yield (
            f"Between {r.details.first_day:%-d %B %Y} and {r.details.last_day:%-d %B %Y} "
            f"{_count(pieces, 'piece was', 'pieces were')} found and named, among them the "
            f"{_named([d.part.name for d in weighty][:4])}."
        )
    yield (
        f"Of the {c.need} pieces that the engine should have, {c.accounted} are now found, in "
        f"place or fitted; at the start of this time it was {b.accounted}."
    )
    fitted = [d.part.name for d in r.made if d.what == "fitted"]
    if fitted:
        yield f"Newly made and fitted: {_named(fitted)}."
    if c.being_made or c.to_be_made:
        yield (
            f"{_count(c.being_made, 'piece is', 'pieces are')} being made and {c.to_be_made} "
            f"more decided; {_count(c.missing, 'piece is', 'pieces are')} still looked for."
        )
    if r.wanted:
        yield f"The weightiest still missing: {_named([p.name for p in r.wanted][:4])}."


CAUTIONS = (
    Caution(
        "A display engine is not thereby fit to run.",
        "No figure here says that it may be steamed or turned under power: that is for a "
        "licensed inspector under the law of the place.",
    ),
    Caution(
        "Old lagging, paint and bearing metal can hold asbestos and lead.",
        "Have them tested before they are disturbed; local codes and licensed practice decide.",
    ),
)
METHODS = (
    "Pieces are counted from dated entries of the record: found, placed, judged beyond repair, "
    "decided, begun, fitted, mislaid. The count of an earlier day is what the entries up to that "
    "day say.",
    "Where pieces stand in several ways, the need is filled in this order: fitted, in place, "
    "found, being made, to be made, beyond repair, missing.",
    "Costs stand on the highest basis known: estimated, quoted, ordered, paid. What is paid is "
    "never counted again as still to come. Ranges are added up, low to low and high to high, which "
    "gives a wider range than chance would.",
    "Condition classes 0 to 3 follow EN 16096, which was written for buildings and is borrowed "
    "here for loose parts.",
    "Positions of the site and of stored parts are left out on purpose: stripped engines are "
    "stripped by thieves.",
)
