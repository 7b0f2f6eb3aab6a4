"""The contents of the parts-to-make list: lines, groups, sums and filters."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

from parts.engineering.routes import Route, Stage, route
from parts.money.queries.costs import Sums, add_up
from parts.record.models import Material

SORTS = {
    "item": "Item number",
    "name": "Name",
    "likely": "Likely cost",
    "mass": "Mass",
    "wanted": "Wanted by",
}
NOT_BEGUN = "none"


@dataclass(frozen=True)
class Filters:
    """Which lines are shown. An empty filter shows all."""

    route: str = ""
    component: int | None = None
    material: str = ""
    who: str = ""
    stage: str = ""
    text: str = ""
    sort: str = "item"

    def keeps(self, line: "MakeLine | ToDecide") -> bool:
        return (
            self.route in ("", line.route)
            and self.component in (None, line.component_id)
            and self.material in ("", line.metal)
            and self.who in ("", line.who)
            and self.stage in ("", line.stage.key or NOT_BEGUN if line.stage else "")
            and (not self.text or all(word in line.words for word in self.text.lower().split()))
        )


@dataclass(frozen=True)
class StageSummary:
    """The furthest stage that unfitted pieces of a job have reached.

    Args:
        key: The furthest stage that any of them reached; "" for none.
        text: In words: "drawn", "14 of 22 cut", "not yet measured".
        reached: How many of them reached it.
        next_word: The stage that comes next; "fitted" after the last.
    """

    key: str
    text: str
    reached: int
    next_word: str


def stage_summary(steps: Route, left: int, fitted: int, reached: dict[str, int]) -> StageSummary:
    """Return the furthest stage and its count.

    Args:
        steps: The route of the job.
        left: Pieces not yet fitted.
        reached: Pieces that reached each stage, fitted ones included.
    """
    furthest, count = None, 0
    for stage in steps.stages:
        n = min(reached.get(stage.key, 0) - fitted, left)
        if n > 0:
            furthest, count = stage, n
    if furthest is None:
        first = steps.stages[0]
        return StageSummary("", f"not yet {first.word}", 0, first.word)
    text = furthest.word if count == left else f"{count} of {left} {furthest.word}"
    return StageSummary(furthest.key, text, count, _after(steps, furthest, count < left))


def _after(steps: Route, stage: Stage, some_behind: bool) -> str:
    if some_behind:
        return stage.word
    later = steps.stages[steps.place(stage.key) + 1 :]
    return later[0].word if later else "fitted"


@dataclass(frozen=True)
class MakeLine:
    """A job with pieces that are not yet fitted.

    Args:
        drawn, of_drawn: The status in which the part is drawn, and "5 of 8".
        quantity: Pieces not yet fitted.
        mass_kg: Of one piece; None when not known.
        mass_from: "measured", "typed" or "unknown".
        cost: Sums of its costs, spent and to come; None when it has none.
        over_made: Jobs of the part over the need: a piece has turned up.
        late: The day it was wanted by has passed.
    """

    job_id: int
    part_id: int
    item: int
    name: str
    component_id: int
    component: str
    drawn: str
    of_drawn: str
    route: str
    stage: StageSummary
    quantity: int
    decided: int
    fitted: int
    size: str
    metal: str
    mass_kg: float | None
    mass_from: str
    who: str
    wanted_by: date | None
    reason: str
    cost: Sums | None
    over_made: int
    late: bool

    @property
    def words(self) -> str:
        return f"{self.item} {self.name} {self.who} {self.size}".lower()

    @property
    def mass_total_kg(self) -> float | None:
        return None if self.mass_kg is None else self.mass_kg * self.quantity

    @property
    def route_word(self) -> str:
        return route(self.route).word

    @property
    def metal_word(self) -> str:
        return Material(self.metal).label


@dataclass(frozen=True)
class ToDecide:
    """A part with pieces missing or beyond repair for which nothing is decided."""

    part_id: int
    item: int
    name: str
    component_id: int
    component: str
    drawn: str
    of_drawn: str
    missing: int
    beyond_repair: int
    metal: str
    size: str
    route: str
    fastener: bool
    who = ""
    stage = None

    @property
    def words(self) -> str:
        return f"{self.item} {self.name} {self.size}".lower()

    @property
    def pieces(self) -> int:
        return self.missing + self.beyond_repair

    @property
    def route_word(self) -> str:
        return route(self.route).word if self.route else ""

    @property
    def metal_word(self) -> str:
        return Material(self.metal).label


@dataclass(frozen=True)
class MakeSums:
    """Lines of the list added up.

    Args:
        mass_kg: Of all pieces whose mass is known.
        mass_unknown: Lines without a mass.
    """

    lines: int
    pieces: int
    mass_kg: float
    mass_unknown: int
    cost: Sums


def sums_of(lines: Iterable[MakeLine]) -> MakeSums:
    lines = list(lines)
    masses = [line.mass_total_kg for line in lines]
    return MakeSums(
        len(lines),
        sum(line.quantity for line in lines),
        sum(mass for mass in masses if mass is not None),
        sum(mass is None for mass in masses),
        add_up(line.cost for line in lines if line.cost),
    )


@dataclass(frozen=True)
class MakeGroup:
    """The lines of one route, with their sums."""

    route: str
    title: str
    gloss: str
    lines: list[MakeLine]
    sums: MakeSums


@dataclass(frozen=True)
class MakeChoices:
    """The values to filter by: only those that occur in the list."""

    routes: list[tuple[str, str]]
    components: list[tuple[int, str]]
    materials: list[tuple[str, str]]
    people: list[str]
    stages: list[tuple[str, str]]


@dataclass(frozen=True)
class MakeList:
    """The parts-to-make list of an engine on a day."""

    day: date | None
    currency: str
    groups: list[MakeGroup]
    sums: MakeSums
    all_lines: int
    being_made: int
    to_decide: list[ToDecide]
    choices: MakeChoices

    @property
    def lines(self) -> list[MakeLine]:
        return [line for group in self.groups for line in group.lines]

    @property
    def pence(self) -> bool:
        """Whether any line has pence."""
        totals = (line.cost.total for line in self.lines if line.cost)
        return any(amount % 1 for t in totals for amount in (t.low, t.likely, t.high))

    @property
    def pieces_to_decide(self) -> int:
        return sum(part.pieces for part in self.to_decide)

    def groups_with(self, lines: Iterable[MakeLine]) -> list[MakeGroup]:
        """Return the groups with only these lines, for a page of a long list; sums cover all."""
        job_ids = {line.job_id for line in lines}
        groups = []
        for group in self.groups:
            matching = [line for line in group.lines if line.job_id in job_ids]
            if matching:
                groups.append(replace(group, lines=matching))
        return groups
