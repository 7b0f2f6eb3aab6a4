"""Parts to make: what is decided and not yet fitted, and what is still to decide."""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import date

from django.db.models import F, Q, Sum
from django.utils import timezone

from ..models import Engine, Fact, Making, Material, Measurement, Part
from ..trade.routes import ROUTES, Route, Stage, route
from .costs import Sums, added_up, cost_lines
from .standing import counts_of

Kind = Fact.Kind
SORTS = {
    "item": "Item number",
    "name": "Name",
    "likely": "Likely cost",
    "mass": "Mass",
    "wanted": "Wanted by",
}
NOT_BEGUN = "none"
STANDING = (
    "pk",
    "item",
    "name",
    "quantity",
    "material",
    "size",
    "mass_kg",
    "usual_route",
    "fastener",
    "component_id",
    "component__name",
)


@dataclass(frozen=True)
class Filters:
    """Which lines are shown. An empty word keeps all."""

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
            and all(word in line.words for word in self.text.lower().split())
        )


@dataclass(frozen=True)
class StageSummary:
    """How far the pieces of a making are that are not yet fitted.

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


def stage_summary(way: Route, left: int, fitted: int, reached: dict[str, int]) -> StageSummary:
    """Say how far pieces are. `reached` counts all pieces by stage, the fitted ones too."""
    furthest, count = None, 0
    for stage in way.stages:
        n = min(reached.get(stage.key, 0) - fitted, left)
        if n > 0:
            furthest, count = stage, n
    if furthest is None:
        first = way.stages[0]
        return StageSummary("", f"not yet {first.word}", 0, first.word)
    text = furthest.word if count == left else f"{count} of {left} {furthest.word}"
    return StageSummary(furthest.key, text, count, _after(way, furthest, count < left))


def _after(way: Route, stage: Stage, some_behind: bool) -> str:
    if some_behind:
        return stage.word
    later = way.stages[way.place(stage.key) + 1 :]
    return later[0].word if later else "fitted"


@dataclass(frozen=True)
class MakeLine:
    """A making with pieces that are not yet fitted.

    Args:
        drawn, of_drawn: The state in whose line the part is drawn, and "5 of 8".
        quantity: Pieces not yet fitted.
        mass_kg: Of one piece; None when not known.
        mass_from: "measured", "typed" or "unknown".
        cost: What its costs come to, spent and to come; None when there is no cost.
        over_made: Makings of the part over the need: a piece has turned up.
        late: The day it was wanted by has passed.
    """

    making_id: int
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
    words: str = field(repr=False, default="")

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
    """A part with pieces missing or past use for which nothing is decided."""

    part_id: int
    item: int
    name: str
    component_id: int
    component: str
    drawn: str
    of_drawn: str
    missing: int
    past_use: int
    metal: str
    size: str
    route: str
    fastener: bool
    words: str = field(repr=False, default="")
    who = ""
    stage = None

    @property
    def pieces(self) -> int:
        return self.missing + self.past_use

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
        added_up(line.cost for line in lines if line.cost),
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
    """What the list can be filtered by: only what stands in it."""

    routes: list[tuple[str, str]]
    components: list[tuple[int, str]]
    materials: list[tuple[str, str]]
    hands: list[str]
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
        """Any line has small money."""
        totals = (line.cost.total for line in self.lines if line.cost)
        return any(amount % 1 for t in totals for amount in (t.low, t.likely, t.high))

    @property
    def pieces_to_decide(self) -> int:
        return sum(part.pieces for part in self.to_decide)

    def groups_with(self, lines: Iterable[MakeLine]) -> list[MakeGroup]:
        """The groups with only these lines, for a page of a long list; the sums stay whole."""
        wanted = {line.making_id for line in lines}
        groups = []
        for group in self.groups:
            kept = [line for line in group.lines if line.making_id in wanted]
            if kept:
                groups.append(replace(group, lines=kept))
        return groups


def parts_to_make(
    engine: Engine, day: date | None = None, filters: Filters | None = None
) -> MakeList:
    """List what is to be made, and what is still to decide, as they stood on `day`. 7 queries."""
    filters = filters or Filters()
    makings = _open_makings(engine, day)
    reached = _reached(engine, day)
    parts = _parts(engine, day, {row["part_id"] for row in makings})
    masses = _measured_masses(engine, day)
    costs = _costs(engine, day, makings)
    by_day = day or timezone.localdate()
    lines = [
        _line(row, parts[row["part_id"]], reached.get(row["pk"], {}), masses, costs, by_day)
        for row in makings
        if row["part_id"] in parts
    ]
    undecided = [_undecided(row) for row in parts.values() if row["missing"] + row["past_use"]]
    kept = [line for line in lines if filters.keeps(line)]
    return MakeList(
        day,
        engine.currency,
        _groups(kept, filters.sort),
        sums_of(kept),
        len(lines),
        sum(1 for line in lines if begun(line)),
        [part for part in undecided if filters.keeps(part)],
        _choices(lines),
    )


def begun(line: MakeLine) -> bool:
    way = route(line.route)
    return bool(line.stage.key) and way.place(line.stage.key) >= way.place(way.begins)


def _until(day: date | None) -> Q:
    return Q() if day is None else Q(day__lte=day)


def _open_makings(engine: Engine, day: date | None) -> list[dict]:
    """Makings with more decided than fitted. One query."""
    told = Q(facts__removed_at__isnull=True)
    if day is not None:
        told &= Q(facts__day__lte=day)
    return list(
        Making.objects.filter(engine=engine)
        .values("pk", "part_id", "route", "who", "metal", "size", "wanted_by", "reason")
        .annotate(
            decided=Sum("facts__pieces", filter=told & Q(facts__kind=Kind.DECIDED), default=0),
            fitted=Sum("facts__pieces", filter=told & Q(facts__kind=Kind.FITTED), default=0),
        )
        .filter(decided__gt=F("fitted"))
        .order_by("pk")
    )


def _reached(engine: Engine, day: date | None) -> dict[int, dict[str, int]]:
    """How many pieces of each making reached each stage. One query."""
    rows = (
        Fact.objects.filter(_until(day), engine=engine, kind=Kind.STAGE)
        .order_by()
        .values_list("making_id", "stage")
        .annotate(n=Sum("pieces"))
    )
    reached: dict[int, dict[str, int]] = {}
    for making, stage, n in rows:
        reached.setdefault(making, {})[stage] = n
    return reached


def _parts(engine: Engine, day: date | None, wanted: set[int]) -> dict[int, dict]:
    """Parts of open makings, and parts with pieces to decide, with their counts. One query."""
    rows = Part.objects.filter(engine=engine).values(*STANDING).standing(day).order_by("item")
    return {
        row["pk"]: row
        for row in rows
        if row["pk"] in wanted or row["missing"] > 0 or row["past_use"] > 0
    }


def _measured_masses(engine: Engine, day: date | None) -> dict[int, float]:
    """The newest measured mass [kg] of one piece of each part. One query."""
    rows = Measurement.objects.filter(
        _until(day),
        engine=engine,
        quantity=Measurement.Quantity.MASS,
        what__iexact="mass",
        part__isnull=False,
    )
    return dict(rows.order_by("day", "pk").values_list("part_id", "value"))


def _costs(engine: Engine, day: date | None, makings: list[dict]) -> dict[int, Sums]:
    """The costs of each making. Those of a part alone go to its first open making."""
    open_ones = {row["pk"] for row in makings}
    first: dict[int, int] = {}
    for row in makings:
        first.setdefault(row["part_id"], row["pk"])
    sums: dict[int, Sums] = {}
    of_something = Q(making__isnull=False) | Q(part__isnull=False)
    for line in cost_lines(engine, day, of_something):
        pk = line.making_id or first.get(line.part_id)
        if pk in open_ones:
            sums[pk] = sums.get(pk, Sums()) + line.sums
    return sums


def _line(row, part, reached, masses, costs, by_day) -> MakeLine:
    counts = counts_of(part)
    left = row["decided"] - row["fitted"]
    mass, source = mass_of(masses.get(row["part_id"]), part["mass_kg"])
    return MakeLine(
        making_id=row["pk"],
        part_id=row["part_id"],
        item=part["item"],
        name=part["name"],
        component_id=part["component_id"],
        component=part["component__name"],
        drawn=counts.drawn,
        of_drawn=counts.of_drawn,
        route=row["route"],
        stage=stage_summary(route(row["route"]), left, row["fitted"], reached),
        quantity=left,
        decided=row["decided"],
        fitted=row["fitted"],
        size=row["size"] or part["size"],
        metal=row["metal"] or part["material"],
        mass_kg=mass,
        mass_from=source,
        who=row["who"],
        wanted_by=row["wanted_by"],
        reason=row["reason"],
        cost=costs.get(row["pk"]),
        over_made=counts.over_made,
        late=row["wanted_by"] is not None and row["wanted_by"] < by_day,
        words=f"{part['item']} {part['name']} {row['who']} {row['size']}".lower(),
    )


def mass_of(measured_kg: float | None, typed_kg: float | None) -> tuple[float | None, str]:
    """The mass of one piece, and where it comes from."""
    if measured_kg is not None:
        return measured_kg, "measured"
    if typed_kg is not None:
        return typed_kg, "typed"
    return None, "unknown"


def _undecided(row: dict) -> ToDecide:
    counts = counts_of(row)
    return ToDecide(
        row["pk"],
        row["item"],
        row["name"],
        row["component_id"],
        row["component__name"],
        counts.drawn,
        counts.of_drawn,
        counts.missing,
        counts.past_use,
        row["material"],
        row["size"],
        row["usual_route"],
        row["fastener"],
        f"{row['item']} {row['name']} {row['size']}".lower(),
    )


def _sort_key(sort: str):
    last = date.max
    keys = {
        "name": lambda line: line.name.lower(),
        "likely": lambda line: -(line.cost.total.likely if line.cost else -1),
        "mass": lambda line: -(line.mass_total_kg or 0),
        "wanted": lambda line: line.wanted_by or last,
    }
    first = keys.get(sort, lambda line: 0)
    return lambda line: (first(line), line.item, line.making_id)


def _groups(lines: list[MakeLine], sort: str) -> list[MakeGroup]:
    of_route: dict[str, list[MakeLine]] = {}
    for line in sorted(lines, key=_sort_key(sort)):
        of_route.setdefault(line.route, []).append(line)
    return [
        MakeGroup(way.key, way.title, way.gloss, of_route[way.key], sums_of(of_route[way.key]))
        for way in ROUTES.values()
        if way.key in of_route
    ]


def _choices(lines: list[MakeLine]) -> MakeChoices:
    routes = {line.route for line in lines}
    metals = {line.metal for line in lines}
    stages = {line.stage.key for line in lines}
    order = {s.key: s.word for way in ROUTES.values() for s in way.stages}
    return MakeChoices(
        [(way.key, way.word) for way in ROUTES.values() if way.key in routes],
        sorted({(line.component_id, line.component) for line in lines}, key=lambda c: c[1]),
        [(key, word) for key, word in Material.choices if key in metals],
        sorted({line.who for line in lines if line.who}),
        ([(NOT_BEGUN, "not begun")] if "" in stages else [])
        + [(key, word) for key, word in order.items() if key in stages],
    )
