"""The page of a part: counts, finds, jobs, costs, history and the sheets it offers."""

from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Q, Sum

from parts.care import queries as care_queries
from parts.engine.models import Proposal
from parts.money.queries.costs import CostLine, Sums, add_up, cost_lines
from parts.photos.models import Photo
from parts.record.models import Find, Job, Part, PieceEntry
from parts.record.queries.history import HistoryLine, changes, lines_of
from parts.record.queries.status import Counts, counts_now
from parts.workshop.bearings.models import Bearing
from parts.workshop.jobs.queries.lines import StageSummary, stage_summary
from parts.workshop.patterns.models import PatternFace

Kind = PieceEntry.Kind
BEARING_METALS = {"bronze", "brass", "cast_iron", "white_metal"}


@dataclass(frozen=True)
class FindLine:
    """A find identified as the part: its pieces, and those in place on the engine."""

    find: Find
    pieces: int
    placed: int


@dataclass(frozen=True)
class JobLine:
    """A job of the part: its pieces and their furthest stage."""

    job: Job
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
    """The data of the page of a part."""

    counts: Counts
    photos: list[Photo]
    photo_count: int
    finds: list[FindLine]
    measurements: list[care_queries.MeasureLine]
    notes: list
    repairs: list
    freeings: list
    jobs: list[JobLine]
    costs: list[CostLine]
    cost_sums: Sums
    proposals: list[Proposal]
    history: list[HistoryLine]
    entries: list[PieceEntry]
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
        """The places where its pieces are kept, in a status in which they are kept anywhere."""
        if self.counts.drawn not in ("found", "beyond_repair"):
            return []
        return list(dict.fromkeys(line.find.kept_at for line in self.finds if line.find.kept_at))


def part_sheet(part: Part, *, history: int = 10) -> PartSheet:
    """Return the data of the page of a part. A fixed number of queries."""
    finds = _finds(part)
    ids = [line.find.pk for line in finds]
    photos = Photo.objects.filter(Q(part=part) | Q(find__in=ids) | Q(repair__part=part))
    costs = cost_lines(part.engine, None, Q(part=part) | Q(job__part=part))
    newest = changes(part.engine, part)[:history]
    return PartSheet(
        counts=counts_now(part),
        photos=list(photos.order_by("-day", "-pk")[:9]),
        photo_count=photos.count(),
        finds=finds,
        measurements=care_queries.measurements_of(part, ids),
        notes=care_queries.notes_of(part, ids),
        repairs=care_queries.repairs_of(part),
        freeings=care_queries.freeings_of(part),
        jobs=_jobs(part),
        costs=costs,
        cost_sums=add_up(line.sums for line in costs),
        proposals=list(Proposal.objects.filter(part=part).select_related("made_by")),
        history=lines_of(newest),
        entries=list(
            PieceEntry.objects.filter(part=part)
            .select_related("find", "job")
            .order_by("-day", "-pk")
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
    """Return which bench sheets suit the way a part is made. One query."""
    of_part = {"part": OuterRef("pk")}
    exists = Part.objects.filter(pk=part.pk).values_list(
        Exists(PatternFace.objects.filter(**of_part)),
        Exists(Job.objects.filter(route="cast", **of_part)),
        Exists(Bearing.objects.filter(**of_part)),
    )
    faces, castings, bearing = exists.get()
    route = part.usual_route
    turned = route == "machine" and part.material not in BEARING_METALS
    return {
        "offers_pattern": faces or castings or route in ("", "cast"),
        "offers_bearing": bearing or not (part.fastener or route == "buy" or turned),
    }


def _finds(part: Part) -> list[FindLine]:
    """Return the finds identified as the part, newest first. One query."""
    of_part = Q(entries__part=part, entries__removed_at__isnull=True)
    rows = Find.objects.filter(entries__part=part, entries__kind=Kind.IDENTIFIED).distinct()
    rows = Find.objects.filter(pk__in=rows.values("pk"))
    rows = rows.annotate(
        identified=Sum("entries__pieces", filter=of_part & Q(entries__kind=Kind.IDENTIFIED)),
        placed=Sum("entries__pieces", filter=of_part & Q(entries__kind=Kind.PLACED), default=0),
    )
    return [FindLine(row, row.identified, row.placed) for row in rows.filter(identified__gt=0)]


def _jobs(part: Part) -> list[JobLine]:
    """Return the jobs of a part with their stages. Two queries."""
    jobs = list(Job.objects.filter(part=part).order_by("pk"))
    sums: dict[tuple[int, str], int] = {}
    rows = PieceEntry.objects.filter(part=part, job__isnull=False).order_by()
    for job, kind, stage, n in rows.values_list("job_id", "kind", "stage").annotate(
        n=Sum("pieces")
    ):
        sums[(job, stage or kind)] = n
    return [_job_line(job, sums) for job in jobs]


def _job_line(job: Job, sums: dict[tuple[int, str], int]) -> JobLine:
    decided = sums.get((job.pk, Kind.DECIDED), 0)
    fitted = sums.get((job.pk, Kind.FITTED), 0)
    reached = {s.key: sums.get((job.pk, s.key), 0) for s in job.way.stages}
    left = decided - fitted
    stage = stage_summary(job.way, left, fitted, reached) if left > 0 else None
    return JobLine(job, decided, fitted, stage)
