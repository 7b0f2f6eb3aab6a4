"""One job: how far it is, stage by stage, and what it costs."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Q, Sum

from parts.care.models import Measurement
from parts.engineering.routes import Stage
from parts.money.queries.costs import CostLine, Sums, add_up, cost_lines
from parts.record.models import Job, Part, PieceEntry
from parts.record.queries.status import Counts, counts_of
from parts.workshop.shapes.queries.shapes import kg_of, part_volume

from .jobs import first_of_part, mass_of, open_jobs

Kind = PieceEntry.Kind


@dataclass(frozen=True)
class StageLine:
    """A stage of a job: how many pieces reached it, and the entries that say so."""

    key: str
    word: str
    reached: int
    happened: list["Happened"]
    state: str  # "done", "now" or "ahead"


@dataclass(frozen=True)
class Happened:
    """An entry of a job in words: "poured: 2", "set back from poured: 1".

    `short` leaves the stage out, for where it is named already: "2", "1 set back".
    """

    entry: PieceEntry
    words: str
    short: str


# Words for entries that take pieces back.
_REVERSED = {Kind.DECIDED: "decision reopened", Kind.FITTED: "taken off"}


def _in_words(entry: PieceEntry, words: dict[str, str]) -> Happened:
    word, n = words.get(entry.stage or entry.kind, "decided"), abs(entry.pieces)
    if entry.pieces > 0:
        return Happened(entry, f"{word}: {n}", str(n))
    phrase = _REVERSED.get(entry.kind, f"set back from {word}")
    return Happened(entry, f"{phrase}: {n}", f"{n} {_REVERSED.get(entry.kind, 'set back')}")


@dataclass(frozen=True)
class JobStatus:
    """The status of a job: its stages, its counts and its entries.

    Args:
        next_key: The first stage that some piece has not reached; "" after the last.
        next_pieces: Pieces that have not reached it.
        upto: Pieces that will have reached it once it is done.
        happened: Its entries, the newest first.
    """

    decided: int
    fitted: int
    stages: list[StageLine]
    next_key: str
    next_word: str
    next_pieces: int
    upto: int
    counts: Counts
    happened: list[Happened]

    @property
    def left(self) -> int:
        return self.decided - self.fitted


def job_status(job: Job) -> JobStatus:
    """Return the status of a job, stage by stage. Two queries."""
    entries = list(PieceEntry.objects.filter(job=job).order_by("day", "pk"))
    counts = counts_of(Part.objects.filter(pk=job.part_id).status().get())
    return status_from(job, entries, counts)


def status_from(job: Job, entries: list[PieceEntry], counts: Counts) -> JobStatus:
    """Return the status of a job from its entries (oldest first) and part counts. No query."""
    reached: dict[str, int] = {}
    for entry in entries:
        key = entry.stage or entry.kind
        reached[key] = reached.get(key, 0) + entry.pieces
    decided, fitted = reached.get(Kind.DECIDED, 0), reached.get(Kind.FITTED, 0)
    steps = [*job.way.stages, Stage(str(Kind.FITTED), "fitted")]
    behind = next((s for s in steps if reached.get(s.key, 0) < decided), None)
    happened = [_in_words(entry, {s.key: s.word for s in steps}) for entry in entries]
    lines = [
        StageLine(
            s.key,
            s.word,
            reached.get(s.key, 0),
            [h for h in happened if (h.entry.stage or h.entry.kind) == s.key],
            _stage_state(s, behind, reached.get(s.key, 0), decided),
        )
        for s in steps
    ]
    return JobStatus(
        decided,
        fitted,
        lines,
        behind.key if behind else "",
        behind.word if behind else "",
        decided - reached.get(behind.key, 0) if behind else 0,
        decided,
        counts,
        happened[::-1],
    )


def in_words(job: Job, entries: list[PieceEntry]) -> str:
    """Return the entries of a job as a line: "measured: 2; poured: 2". No query."""
    words = {s.key: s.word for s in job.way.stages} | {str(Kind.FITTED): "fitted"}
    return "; ".join(_in_words(entry, words).words for entry in entries)


def stages_to_write(
    goals: Iterable[tuple[Job, str, int]], day: date
) -> dict[int, list[tuple[Stage, int]]]:
    """Return the stages to write, by job, when pieces reach a stage: earlier ones are filled in.

    Args:
        goals: (job, key of the stage or "fitted", pieces) of each.
        day: Counted up to this day, as `actions.entries` does.

    One query.
    """
    pieces: dict[tuple[Job, str], int] = {}
    for job, key, n in goals:
        pieces[job, key] = pieces.get((job, key), 0) + n
    entries = PieceEntry.objects.filter(job__in={job.pk for job, _ in pieces}, day__lte=day)
    rows = entries.order_by().values_list("job_id", "kind", "stage").annotate(n=Sum("pieces"))
    reached = {(job, stage or kind): n for job, kind, stage, n in rows}
    stages_by_job: dict[int, list[tuple[Stage, int]]] = {}
    for (job, key), more in pieces.items():
        stages = job.way.stages
        if key != Kind.FITTED:
            stages = stages[: job.way.place(key) + 1]
        goal = reached.get((job.pk, key), 0) + more
        short = [(stage, goal - reached.get((job.pk, stage.key), 0)) for stage in stages]
        stages_by_job[job.pk] = [(stage, n) for stage, n in short if n > 0]
    return stages_by_job


def _stage_state(stage: Stage, behind: Stage | None, reached: int, decided: int) -> str:
    if decided and reached >= decided:
        return "done"
    return "now" if stage is behind or reached else "ahead"


def part_to_decide(part: Part) -> Counts:
    """Return the counts of a part. One query."""
    return counts_of(Part.objects.filter(pk=part.pk).status().get())


@dataclass(frozen=True)
class JobCosts:
    """The costs of a job, and those of its part that name no job.

    Args:
        counted: Whether the parts-to-make list adds the costs of the part to this job: it is
            the first of the part that is not yet fitted.
    """

    own: list[CostLine]
    of_part: list[CostLine]
    counted: bool

    @property
    def own_sums(self) -> Sums:
        return add_up(line.sums for line in self.own)

    @property
    def part_sums(self) -> Sums:
        return add_up(line.sums for line in self.of_part)

    @property
    def sums(self) -> Sums:
        """The sums that the parts-to-make list shows for it."""
        return self.own_sums + self.part_sums if self.counted else self.own_sums


def costs_of_job(job: Job) -> JobCosts:
    """Return the costs of one job and of its part. Five queries."""
    of_part = Q(part=job.part_id, job__isnull=True)
    lines = cost_lines(job.engine, None, Q(job=job) | of_part)
    first = first_of_part(open_jobs(job.engine, None, Q(part=job.part_id)))
    return JobCosts(
        [line for line in lines if line.job_id],
        [line for line in lines if not line.job_id],
        first.get(job.part_id) == job.pk,
    )


def mass_of_part(part: Part, metal: str = "") -> tuple[float | None, str]:
    """Return the mass [kg] of one piece of a part and its source. Four queries at most."""
    newest = (
        part.measurements.filter(quantity=Measurement.Quantity.MASS, what__iexact="mass")
        .order_by("-day", "-pk")
        .values_list("value", flat=True)
        .first()
    )
    shapes_kg = None if newest is not None else kg_of(part_volume(part), metal or part.material)
    return mass_of(newest, part.mass_kg, shapes_kg)
