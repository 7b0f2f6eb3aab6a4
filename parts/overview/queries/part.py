"""One part, whole: how its pieces stand, its finds, makings, costs, and what may be done."""

from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Q, Sum

from parts.care import queries as care_queries
from parts.engine.models import Proposal
from parts.money.queries.costs import CostLine, Sums, added_up, cost_lines
from parts.photos.models import Photo
from parts.record.models import Fact, Find, Making, Part
from parts.record.queries.history import HistoryLine, changes, lines_of
from parts.record.queries.status import Counts, counts_now
from parts.workshop.bearings.models import Bearing
from parts.workshop.jobs.queries.lines import StageSummary, stage_summary
from parts.workshop.patterns.models import PatternFace

Kind = Fact.Kind
BEARING_METALS = {"bronze", "brass", "cast_iron", "white_metal"}


@dataclass(frozen=True)
class FindLine:
    """A find that was identified as the part: how many pieces, and how many stand on the engine."""

    find: Find
    pieces: int
    placed: int


@dataclass(frozen=True)
class MakingLine:
    """A making of the part: how many, and how far they are."""

    making: Making
    decided: int
    fitted: int
    stage: StageSummary | None

    @property
    def words(self) -> str:
        if not self.decided:
            return "withdrawn"
        return self.stage.text if self.stage else "all fitted"


@dataclass(frozen=True)
class PartSheet:
    """What the page of a part shows."""

    counts: Counts
    photos: list[Photo]
    photo_count: int
    finds: list[FindLine]
    measurements: list[care_queries.MeasureLine]
    notes: list
    repairs: list
    freeings: list
    makings: list[MakingLine]
    costs: list[CostLine]
    cost_sums: Sums
    proposals: list[Proposal]
    history: list[HistoryLine]
    facts: list[Fact]
    length: str
    length_other: str
    mass: str
    mass_other: str

    offers_pattern: bool
    offers_bearing: bool

    @property
    def old_repairs(self) -> list:
        return [r for r in self.repairs if r.old]

    @property
    def new_repairs(self) -> list:
        return [r for r in self.repairs if not r.old]

    @property
    def places(self) -> list[str]:
        """Where its pieces are kept, each once; told beside a state in which they lie somewhere."""
        if self.counts.drawn not in ("found", "past_use"):
            return []
        return list(dict.fromkeys(line.find.kept_at for line in self.finds if line.find.kept_at))


def part_sheet(part: Part, *, history: int = 10) -> PartSheet:
    """All of a part. A fixed number of queries."""
    finds = _finds(part)
    ids = [line.find.pk for line in finds]
    photos = Photo.objects.filter(Q(part=part) | Q(find__in=ids) | Q(repair__part=part))
    costs = cost_lines(part.engine, None, Q(part=part) | Q(making__part=part))
    told = changes(part.engine, part)[:history]
    return PartSheet(
        counts=counts_now(part),
        photos=list(photos.order_by("-day", "-pk")[:9]),
        photo_count=photos.count(),
        finds=finds,
        measurements=care_queries.measurements_of(part, ids),
        notes=care_queries.notes_of(part, ids),
        repairs=care_queries.repairs_of(part),
        freeings=care_queries.freeings_of(part),
        makings=_makings(part),
        costs=costs,
        cost_sums=added_up(line.sums for line in costs),
        proposals=list(Proposal.objects.filter(part=part).select_related("made_by")),
        history=lines_of(told),
        facts=list(
            Fact.objects.filter(part=part).select_related("find", "making").order_by("-day", "-pk")
        ),
        length=care_queries.shown_written(part.length_written, part.length_unit),
        length_other=care_queries.in_other_unit(
            "length", part.length_unit, part.length_mm, part.length_written
        ),
        mass=care_queries.shown_written(part.mass_written, part.mass_unit),
        mass_other=care_queries.in_other_unit("mass", part.mass_unit, part.mass_kg),
        **_offers(part),
    )


def _offers(part: Part) -> dict[str, bool]:
    """Which bench sheets a part is offered: none that does not suit how it is made. One query."""
    of_part = {"part": OuterRef("pk")}
    has = Part.objects.filter(pk=part.pk).values_list(
        Exists(PatternFace.objects.filter(**of_part)),
        Exists(Making.objects.filter(route="cast", **of_part)),
        Exists(Bearing.objects.filter(**of_part)),
    )
    faces, castings, bearing = has.get()
    route = part.usual_route
    turned = route == "machine" and part.material not in BEARING_METALS
    return {
        "offers_pattern": faces or castings or route in ("", "cast"),
        "offers_bearing": bearing or not (part.fastener or route == "buy" or turned),
    }


def _finds(part: Part) -> list[FindLine]:
    """The finds that are the part, newest first. One query."""
    held = Q(facts__part=part, facts__removed_at__isnull=True)
    rows = Find.objects.filter(facts__part=part, facts__kind=Kind.IDENTIFIED).distinct()
    rows = Find.objects.filter(pk__in=rows.values("pk"))
    rows = rows.annotate(
        told=Sum("facts__pieces", filter=held & Q(facts__kind=Kind.IDENTIFIED)),
        placed=Sum("facts__pieces", filter=held & Q(facts__kind=Kind.PLACED), default=0),
    )
    return [FindLine(row, row.told, row.placed) for row in rows.filter(told__gt=0)]


def _makings(part: Part) -> list[MakingLine]:
    """The makings of a part with how far they are. Two queries."""
    makings = list(Making.objects.filter(part=part).order_by("pk"))
    sums: dict[tuple[int, str], int] = {}
    rows = Fact.objects.filter(part=part, making__isnull=False).order_by()
    for making, kind, stage, n in rows.values_list("making_id", "kind", "stage").annotate(
        n=Sum("pieces")
    ):
        sums[(making, stage or kind)] = n
    return [_making_line(making, sums) for making in makings]


def _making_line(making: Making, sums: dict[tuple[int, str], int]) -> MakingLine:
    decided = sums.get((making.pk, Kind.DECIDED), 0)
    fitted = sums.get((making.pk, Kind.FITTED), 0)
    reached = {s.key: sums.get((making.pk, s.key), 0) for s in making.way.stages}
    left = decided - fitted
    stage = stage_summary(making.way, left, fitted, reached) if left > 0 else None
    return MakingLine(making, decided, fitted, stage)
