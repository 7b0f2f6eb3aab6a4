"""OpenJob sheets: all that someone at a bench must know of a job, for many jobs at once."""

from collections import defaultdict
from dataclasses import dataclass

from django.db.models import Q

from parts.care.models import Measurement
from parts.care.queries import MeasureLine, measure_lines
from parts.engineering.calculation import Origin
from parts.record.models import Engine, Job, Part, PieceEntry
from parts.record.queries.finds import finds_that_are
from parts.record.queries.status import counts_by, counts_of, status_table
from parts.workshop.shapes.models import Body
from parts.workshop.shapes.queries.masses import PieceMass, masses_of, of_shapes

from .job import JobStatus, sheet_of
from .jobs import open_jobs, stage_of, stages_reached
from .lines import StageSummary


@dataclass(frozen=True)
class JobSheet:
    """A job as it stands on its job sheet.

    Args:
        job: The row, with its part and component.
        told: Its stages and counts.
        size: The size to make, as written.
        metal: Key of the material.
        mass: Of one piece; None where it is not known.
        measures: Sizes as measured, the newest of each name, with how sure they are.
        bodies: The shapes of the part, to be drawn.
    """

    job: Job
    told: JobStatus
    size: str
    metal: str
    mass: PieceMass | None
    measures: list[MeasureLine]
    bodies: list[Body]

    @property
    def part(self) -> Part:
        return self.job.part


@dataclass(frozen=True)
class OpenJob:
    """A job with pieces that are not yet fitted, as a list of jobs names it."""

    job_id: int
    item: int
    name: str
    drawn: str
    quantity: int
    stage: StageSummary


@dataclass(frozen=True)
class Hands:
    """The jobs in one person's hands, in the order of items.

    Args:
        who: Whose; empty for those in nobody's.
        rows: As `job.open_jobs` gives them.
    """

    who: str
    rows: list[dict]

    @property
    def pieces(self) -> int:
        return sum(row["decided"] - row["fitted"] for row in self.rows)

    def prints(self, most: int) -> list[tuple[int, int]]:
        """The first and the last sheet of each print that holds so many sheets at most."""
        last = len(self.rows)
        return [(n, min(n + most - 1, last)) for n in range(1, last + 1, most)]


def jobs_by_person(engine: Engine) -> list[Hands]:
    """Jobs still to be fitted, by who makes them; nobody's last. Two queries."""
    items = dict(Part.objects.filter(engine=engine).values_list("pk", "item"))
    of_hands: dict[str, list[dict]] = defaultdict(list)
    for row in open_jobs(engine, None):
        if row["part_id"] in items:
            of_hands[row["who"].strip()].append(row)
    names = sorted(of_hands, key=lambda who: (who == "", who.lower()))
    return [
        Hands(who, sorted(of_hands[who], key=lambda row: (items[row["part_id"]], row["pk"])))
        for who in names
    ]


def open_jobs_of(rows: list[dict]) -> dict[int, OpenJob]:
    """What a list tells of some open jobs, by their ids. Three queries."""
    reached = stages_reached(Q(job__in=[row["pk"] for row in rows]))
    parts = Part.objects.filter(pk__in={row["part_id"] for row in rows})
    named = {pk: (item, name) for pk, item, name in parts.values_list("pk", "item", "name")}
    drawn = {pk: counts.drawn for pk, counts in counts_by(status_table(parts)).items()}
    return {
        row["pk"]: OpenJob(
            row["pk"],
            *named[row["part_id"]],
            drawn[row["part_id"]],
            row["decided"] - row["fitted"],
            stage_of(row, reached),
        )
        for row in rows
    }


def jobs_of_person(engine: Engine, who: str) -> list[int]:
    """Ids of the jobs still to be fitted that are in someone's hands."""
    return [
        row["pk"]
        for hands in jobs_by_person(engine)
        if hands.who == who.strip()
        for row in hands.rows
    ]


def job_sheets(engine: Engine, jobs: list[int]) -> list[JobSheet]:
    """OpenJob sheets in the order asked for. Ten queries, however many.

    Args:
        engine: Whose they are; jobs of another engine are left out.
        jobs: Ids.
    """
    rows = Job.objects.filter(engine=engine, pk__in=jobs)
    by_pk = {row.pk: row for row in rows.select_related("part__component", "engine")}
    chosen = [by_pk[pk] for pk in jobs if pk in by_pk]
    parts = {row.part_id: row.part for row in chosen}
    entries = _grouped(PieceEntry.objects.filter(job__in=by_pk).order_by("day", "pk"), "job_id")
    counts = {
        row.pk: counts_of(row) for row in Part.objects.filter(pk__in=parts).status().order_by()
    }
    masses = masses_of(engine, parts.values())
    measures = _measures(engine, list(parts))
    drawn = Body.objects.filter(part__in=parts).prefetch_related("sizes__measurement")
    bodies = _grouped(drawn, "part_id")
    return [
        JobSheet(
            row,
            sheet_of(row, entries[row.pk], counts[row.part_id]),
            row.size or row.part.size,
            row.metal or row.part.material,
            _mass(row, masses.get(row.part_id), bodies[row.part_id]),
            measures.get(row.part_id, []),
            bodies[row.part_id],
        )
        for row in chosen
    ]


def _mass(row: Job, mass: PieceMass | None, bodies: list[Body]) -> PieceMass | None:
    """What one piece will weigh: in the metal it is made of, not always the part's own."""
    if mass and mass.origin is Origin.CALCULATED and row.metal and row.metal != row.part.material:
        return of_shapes(bodies, row.metal)
    return mass


def _grouped(rows, name: str) -> dict[int, list]:
    found: dict[int, list] = defaultdict(list)
    for row in rows:
        found[getattr(row, name)].append(row)
    return found


def _measures(engine: Engine, parts: list[int]) -> dict[int, list[MeasureLine]]:
    """Measures of parts and of the finds that are theirs: the newest of each name. Two queries."""
    finds: dict[int, set[int]] = defaultdict(set)
    for row in finds_that_are(parts):
        finds[row["find"]].add(row["part"])
    rows = Measurement.objects.filter(Q(part__in=parts) | Q(find__in=finds), engine=engine)
    rows = rows.exclude(quantity=Measurement.Quantity.MASS)  # has a line of its own
    newest: dict[int, dict[tuple, Measurement]] = defaultdict(dict)
    for row in rows.order_by("day", "pk"):
        for part in {row.part_id} if row.part_id else finds[row.find_id]:
            newest[part][row.what.strip().lower(), row.nominal] = row
    return {
        part: measure_lines([named[key] for key in sorted(named)]) for part, named in newest.items()
    }
