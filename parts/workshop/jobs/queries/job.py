"""One making: how far it is, stage by stage, and what it costs."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Q, Sum

from parts.care.models import Measurement
from parts.engineering.routes import Stage
from parts.money.queries.costs import CostLine, Sums, added_up, cost_lines
from parts.record.models import Fact, Making, Part
from parts.record.queries.status import Counts, counts_of
from parts.workshop.shapes.queries.shapes import kg_of, part_volume

from .jobs import first_of_part, mass_of, open_makings

Kind = Fact.Kind


@dataclass(frozen=True)
class StageLine:
    """A stage of a making: how many pieces reached it, and the facts that say so."""

    key: str
    word: str
    reached: int
    happened: list["Happened"]
    state: str  # "done", "now" or "ahead"


@dataclass(frozen=True)
class Happened:
    """A fact of a making, in words: "poured: 2", "set back from poured: 1".

    `short` leaves the stage out, for where it is named already: "2", "1 set back".
    """

    fact: Fact
    words: str
    short: str


_ROUND = {Kind.DECIDED: "decision reopened", Kind.FITTED: "taken off"}


def _in_words(fact: Fact, words: dict[str, str]) -> Happened:
    word, n = words.get(fact.stage or fact.kind, "decided"), abs(fact.pieces)
    if fact.pieces > 0:
        return Happened(fact, f"{word}: {n}", str(n))
    turn = _ROUND.get(fact.kind, f"set back from {word}")
    return Happened(fact, f"{turn}: {n}", f"{n} {_ROUND.get(fact.kind, 'set back')}")


@dataclass(frozen=True)
class MakingSheet:
    """A making with its stages, as it stands."""

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


def making_sheet(making: Making) -> MakingSheet:
    """How far a making is, stage by stage. Two queries.

    The next stage is the first that some piece has not reached; after the last, pieces wait to
    be fitted. `upto` is how many will have reached it then.
    """
    facts = list(Fact.objects.filter(making=making).order_by("day", "pk"))
    counts = counts_of(Part.objects.filter(pk=making.part_id).standing().get())
    return sheet_of(making, facts, counts)


def sheet_of(making: Making, facts: list[Fact], counts: Counts) -> MakingSheet:
    """A making with its stages, from its facts (by day) and how its part stands. No query."""
    n: dict[str, int] = {}
    for fact in facts:
        key = fact.stage or fact.kind
        n[key] = n.get(key, 0) + fact.pieces
    decided, fitted = n.get(Kind.DECIDED, 0), n.get(Kind.FITTED, 0)
    steps = [*making.way.stages, Stage(str(Kind.FITTED), "fitted")]
    behind = next((s for s in steps if n.get(s.key, 0) < decided), None)
    happened = [_in_words(fact, {s.key: s.word for s in steps}) for fact in facts]
    lines = [
        StageLine(
            s.key,
            s.word,
            n.get(s.key, 0),
            [h for h in happened if (h.fact.stage or h.fact.kind) == s.key],
            _stage_state(s, behind, n.get(s.key, 0), decided),
        )
        for s in steps
    ]
    return MakingSheet(
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


def in_words(making: Making, facts: list[Fact]) -> str:
    """What facts say of a making: "measured: 2; poured: 2". No query."""
    words = {s.key: s.word for s in making.way.stages} | {str(Kind.FITTED): "fitted"}
    return "; ".join(_in_words(fact, words).words for fact in facts)


def stages_to_write(
    wanted: Iterable[tuple[Making, str, int]], day: date
) -> dict[int, list[tuple[Stage, int]]]:
    """Which stages will be written when pieces reach one, by making: those that lag behind too.

    Args:
        wanted: (making, key of the stage or "fitted", pieces) of each.
        day: Counted as on this day, as `actions.facts` does.

    One query.
    """
    pieces: dict[tuple[Making, str], int] = {}
    for making, key, n in wanted:
        pieces[making, key] = pieces.get((making, key), 0) + n
    facts = Fact.objects.filter(making__in={making.pk for making, _ in pieces}, day__lte=day)
    rows = facts.order_by().values_list("making_id", "kind", "stage").annotate(n=Sum("pieces"))
    reached = {(making, stage or kind): n for making, kind, stage, n in rows}
    found: dict[int, list[tuple[Stage, int]]] = {}
    for (making, key), more in pieces.items():
        stages = making.way.stages
        if key != Kind.FITTED:
            stages = stages[: making.way.place(key) + 1]
        goal = reached.get((making.pk, key), 0) + more
        short = [(stage, goal - reached.get((making.pk, stage.key), 0)) for stage in stages]
        found[making.pk] = [(stage, n) for stage, n in short if n > 0]
    return found


def _stage_state(stage: Stage, behind: Stage | None, reached: int, decided: int) -> str:
    if decided and reached >= decided:
        return "done"
    return "now" if stage is behind or reached else "ahead"


def part_to_decide(part: Part) -> Counts:
    """How the pieces of a part stand. One query."""
    return counts_of(Part.objects.filter(pk=part.pk).standing().get())


@dataclass(frozen=True)
class JobCosts:
    """The costs of a making, and those of its part that name no making.

    Args:
        counted: The costs of the part count with this making in the list of parts to make: it is
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


def costs_of_making(making: Making) -> JobCosts:
    """The costs of one making and of its part, as they stand. Five queries."""
    of_part = Q(part=making.part_id, making__isnull=True)
    lines = cost_lines(making.engine, None, Q(making=making) | of_part)
    first = first_of_part(open_makings(making.engine, None, Q(part=making.part_id)))
    return JobCosts(
        [line for line in lines if line.making_id],
        [line for line in lines if not line.making_id],
        first.get(making.part_id) == making.pk,
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
