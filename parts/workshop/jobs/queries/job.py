"""One job: how far it is, stage by stage, and what it costs."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Q, Sum

from parts.care.models import Measurement
from parts.engineering.routes import Stage
from parts.money.queries.costs import CostLine, Sums, added_up, cost_lines
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
    """An entry of a job, in words: "poured: 2", "set back from poured: 1".

    `short` leaves the stage out, for where it is named already: "2", "1 set back".
    """

    entry: PieceEntry
    words: str
    short: str


_ROUND = {Kind.DECIDED: "decision reopened", Kind.FITTED: "taken off"}


def _in_words(entry: PieceEntry, words: dict[str, str]) -> Happened:
    word, n = words.get(entry.stage or entry.kind, "decided"), abs(entry.pieces)
    if entry.pieces > 0:
        return Happened(entry, f"{word}: {n}", str(n))
    turn = _ROUND.get(entry.kind, f"set back from {word}")
    return Happened(entry, f"{turn}: {n}", f"{n} {_ROUND.get(entry.kind, 'set back')}")


@dataclass(frozen=True)
class JobStatus:
    """A job with its stages, as it stands."""

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


def job_sheet(job: Job) -> JobStatus:
    """How far a job is, stage by stage. Two queries.

    The next stage is the first that some piece has not reached; after the last, pieces wait to
    be fitted. `upto` is how many will have reached it then.
    """
    entries = list(PieceEntry.objects.filter(job=job).order_by("day", "pk"))
    counts = counts_of(Part.objects.filter(pk=job.part_id).status().get())
    return sheet_of(job, entries, counts)


def sheet_of(job: Job, entries: list[PieceEntry], counts: Counts) -> JobStatus:
    """A job with its stages, from its entries (by day) and how its part stands. No query."""
    n: dict[str, int] = {}
    for entry in entries:
        key = entry.stage or entry.kind
        n[key] = n.get(key, 0) + entry.pieces
    decided, fitted = n.get(Kind.DECIDED, 0), n.get(Kind.FITTED, 0)
    steps = [*job.way.stages, Stage(str(Kind.FITTED), "fitted")]
    behind = next((s for s in steps if n.get(s.key, 0) < decided), None)
    happened = [_in_words(entry, {s.key: s.word for s in steps}) for entry in entries]
    lines = [
        StageLine(
            s.key,
            s.word,
            n.get(s.key, 0),
            [h for h in happened if (h.entry.stage or h.entry.kind) == s.key],
            _stage_state(s, behind, n.get(s.key, 0), decided),
        )
        for s in steps
    ]
    return JobStatus(
        decided,
        fitted,
        lines,
        behind.key if behind else "",
        behind.word if behind else "",
        decided - n.get(behind.key, 0) if behind else 0,
        decided,
        counts,
        happened[::-1],
    )


def in_words(job: Job, entries: list[PieceEntry]) -> str:
    """What entries say of a job: "measured: 2; poured: 2". No query."""
    words = {s.key: s.word for s in job.way.stages} | {str(Kind.FITTED): "fitted"}
    return "; ".join(_in_words(entry, words).words for entry in entries)


def stages_to_write(
    wanted: Iterable[tuple[Job, str, int]], day: date
) -> dict[int, list[tuple[Stage, int]]]:
    """Which stages will be written when pieces reach one, by job: those that lag behind too.

    Args:
        wanted: (job, key of the stage or "fitted", pieces) of each.
        day: Counted as on this day, as `actions.entries` does.

    One query.
    """
    pieces: dict[tuple[Job, str], int] = {}
    for job, key, n in wanted:
        pieces[job, key] = pieces.get((job, key), 0) + n
    entries = PieceEntry.objects.filter(job__in={job.pk for job, _ in pieces}, day__lte=day)
    rows = entries.order_by().values_list("job_id", "kind", "stage").annotate(n=Sum("pieces"))
    reached = {(job, stage or kind): n for job, kind, stage, n in rows}
    found: dict[int, list[tuple[Stage, int]]] = {}
    for (job, key), more in pieces.items():
        stages = job.way.stages
        if key != Kind.FITTED:
            stages = stages[: job.way.place(key) + 1]
        goal = reached.get((job.pk, key), 0) + more
        short = [(stage, goal - reached.get((job.pk, stage.key), 0)) for stage in stages]
        found[job.pk] = [(stage, n) for stage, n in short if n > 0]
    return found


def _stage_state(stage: Stage, behind: Stage | None, reached: int, decided: int) -> str:
    if decided and reached >= decided:
        return "done"
    return "now" if stage is behind or reached else "ahead"


def part_to_decide(part: Part) -> Counts:
    """How the pieces of a part stand. One query."""
    return counts_of(Part.objects.filter(pk=part.pk).status().get())


@dataclass(frozen=True)
class JobCosts:
    """The costs of a job, and those of its part that name no job.

    Args:
        counted: The costs of the part count with this job in the list of parts to make: it is
            the first of the part that is not yet fitted.
    """

    own: list[CostLine]
    of_part: list[CostLine]
    counted: bool

    @property
    def own_sums(self) -> Sums:
        return added_up(line.sums for line in self.own)

    @property
    def part_sums(self) -> Sums:
        return added_up(line.sums for line in self.of_part)

    @property
    def sums(self) -> Sums:
        """What the list of parts to make says of it."""
        return self.own_sums + self.part_sums if self.counted else self.own_sums


def costs_of_job(job: Job) -> JobCosts:
    """The costs of one job and of its part, as they stand. Five queries."""
    of_part = Q(part=job.part_id, job__isnull=True)
    lines = cost_lines(job.engine, None, Q(job=job) | of_part)
    first = first_of_part(open_jobs(job.engine, None, Q(part=job.part_id)))
    return JobCosts(
        [line for line in lines if line.job_id],
        [line for line in lines if not line.job_id],
        first.get(job.part_id) == job.pk,
    )


def mass_of_part(part: Part, metal: str = "") -> tuple[float | None, str]:
    """The mass [kg] of one piece of a part, and where it comes from. Four queries at most."""
    newest = (
        part.measurements.filter(quantity=Measurement.Quantity.MASS, what__iexact="mass")
        .order_by("-day", "-pk")
        .values_list("value", flat=True)
        .first()
    )
    shaped = None if newest is not None else kg_of(part_volume(part), metal or part.material)
    return mass_of(newest, part.mass_kg, shaped)
