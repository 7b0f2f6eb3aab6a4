"""Job sheets (all that someone at a bench needs for a job), and open jobs by person."""

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

from .job import JobStatus, status_from
from .jobs import open_jobs, stage_of, stages_reached
from .lines import StageSummary


@dataclass(frozen=True)
class JobSheet:
    """A job as printed on its job sheet.

    Args:
        job: The row, with its part and component.
        status: Its stages and counts.
        size: The size to make, as written.
        metal: Key of the material.
        mass: Of one piece; None where it is not known.
        measures: Sizes as measured, the newest of each name, with how sure they are.
        shapes: The shapes of the part, to be drawn.
    """

    job: Job
    status: JobStatus
    size: str
    metal: str
    mass: PieceMass | None
    measures: list[MeasureLine]
    shapes: list[Body]

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
class PersonJobs:
    """The open jobs assigned to one person, in the order of items.

    Args:
        who: The person; empty for jobs that nobody has.
        rows: As `jobs.open_jobs` gives them.
    """

    who: str
    rows: list[dict]

    @property
    def pieces(self) -> int:
        return sum(row["decided"] - row["fitted"] for row in self.rows)

    def prints(self, most: int) -> list[tuple[int, int]]:
        """Return the first and last sheet of each print of at most `most` sheets."""
        last = len(self.rows)
        return [(n, min(n + most - 1, last)) for n in range(1, last + 1, most)]


def jobs_by_person(engine: Engine) -> list[PersonJobs]:
    """Return open jobs by person, those of nobody last. Two queries."""
    items = dict(Part.objects.filter(engine=engine).values_list("pk", "item"))
    by_name: dict[str, list[dict]] = defaultdict(list)
    for row in open_jobs(engine, None):
        if row["part_id"] in items:
            by_name[row["who"].strip()].append(row)
    names = sorted(by_name, key=lambda who: (who == "", who.lower()))
    return [
        PersonJobs(who, sorted(by_name[who], key=lambda row: (items[row["part_id"]], row["pk"])))
        for who in names
    ]


def open_jobs_of(rows: list[dict]) -> dict[int, OpenJob]:
    """Return open jobs by id, as a list shows them. Three queries."""
    reached = stages_reached(Q(job__in=[row["pk"] for row in rows]))
    parts = Part.objects.filter(pk__in={row["part_id"] for row in rows})
    item_and_name = {pk: (item, name) for pk, item, name in parts.values_list("pk", "item", "name")}
    status_by_part = {pk: counts.drawn for pk, counts in counts_by(status_table(parts)).items()}
    return {
        row["pk"]: OpenJob(
            row["pk"],
            *item_and_name[row["part_id"]],
            status_by_part[row["part_id"]],
            row["decided"] - row["fitted"],
            stage_of(row, reached),
        )
        for row in rows
    }


def jobs_of_person(engine: Engine, who: str) -> list[int]:
    """Return the ids of the open jobs of a person. Two queries."""
    return [
        row["pk"]
        for person in jobs_by_person(engine)
        if person.who == who.strip()
        for row in person.rows
    ]


def job_sheets(engine: Engine, jobs: list[int]) -> list[JobSheet]:
    """Return job sheets in the order of `jobs`. Ten queries, however many.

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
    shape_rows = Body.objects.filter(part__in=parts).prefetch_related("sizes__measurement")
    shapes = _grouped(shape_rows, "part_id")
    return [
        JobSheet(
            row,
            status_from(row, entries[row.pk], counts[row.part_id]),
            row.size or row.part.size,
            row.metal or row.part.material,
            _mass(row, masses.get(row.part_id), shapes[row.part_id]),
            measures.get(row.part_id, []),
            shapes[row.part_id],
        )
        for row in chosen
    ]


def _mass(row: Job, mass: PieceMass | None, shapes: list[Body]) -> PieceMass | None:
    """Return the mass of one piece in the metal of the job, which may differ from the part's."""
    if mass and mass.origin is Origin.CALCULATED and row.metal and row.metal != row.part.material:
        return of_shapes(shapes, row.metal)
    return mass


def _grouped(rows, name: str) -> dict[int, list]:
    groups: dict[int, list] = defaultdict(list)
    for row in rows:
        groups[getattr(row, name)].append(row)
    return groups


def _measures(engine: Engine, parts: list[int]) -> dict[int, list[MeasureLine]]:
    """Return the newest measure of each name, of parts and their finds, by part. Two queries."""
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
        part: measure_lines([by_name[key] for key in sorted(by_name)])
        for part, by_name in newest.items()
    }
