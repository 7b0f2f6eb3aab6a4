"""Parts to make: what is decided and not yet fitted, and what is still to decide."""

from dataclasses import dataclass
from datetime import date

import numpy as np
from django.db.models import F, Q, Sum
from django.utils import timezone

from parts.care.models import Measurement
from parts.engineering.routes import ROUTES, route
from parts.money.queries.costs import CostTable, Sums, cost_table
from parts.record.models import Engine, Job, Material, Part, PieceEntry
from parts.record.models.status import Whole
from parts.record.queries.status import TABLE, counts_of, status_table
from parts.workshop.shapes.queries.shapes import kg_of, volumes

from .lines import (
    NOT_BEGUN,
    Filters,
    MakeChoices,
    MakeGroup,
    MakeLine,
    MakeList,
    StageSummary,
    ToDecide,
    stage_summary,
    sums_of,
)

Kind = PieceEntry.Kind
PART_COLUMNS = (
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


def parts_to_make(
    engine: Engine, day: date | None = None, filters: Filters | None = None
) -> MakeList:
    """Return the parts-to-make list as it was on `day` (None: today). Nine queries."""
    filters = filters or Filters()
    jobs = open_jobs(engine, day)
    reached = stages_reached(Q(engine=engine) & _until(day))
    part_ids = {row["part_id"] for row in jobs}
    table = status_table(Part.objects.filter(engine=engine), day)
    parts = _parts(engine, table, part_ids)
    masses = Masses(measured_masses(engine, day), volumes(engine, part_ids))
    for_part_or_job = Q(job__isnull=False) | Q(part__isnull=False)
    costs = _costs(cost_table(engine, day, for_part_or_job), jobs)
    reference_day = day or timezone.localdate()
    lines = [
        _line(row, parts[row["part_id"]], stage_of(row, reached), masses, costs, reference_day)
        for row in jobs
        if row["part_id"] in parts
    ]
    matching = [line for line in lines if filters.keeps(line)]
    return MakeList(
        day,
        engine.currency,
        _groups(matching, filters.sort),
        sums_of(matching),
        len(lines),
        sum(1 for line in lines if begun(line.route, line.stage)),
        _to_decide(parts, filters),
        _choices(lines),
    )


def parts_to_decide(engine: Engine, filters: Filters) -> list[ToDecide]:
    """Parts with pieces for which nothing is decided, in the order of items. Two queries."""
    table = status_table(Part.objects.filter(engine=engine))
    return _to_decide(_parts(engine, table, set()), filters)


def _to_decide(parts: dict[int, dict], filters: Filters) -> list[ToDecide]:
    undecided = (_undecided(row) for row in parts.values() if row["missing"] + row["beyond_repair"])
    return [part for part in undecided if filters.keeps(part)]


def begun(key: str, stage: StageSummary) -> bool:
    """Return whether a job of route `key` has reached the stage that counts as being made."""
    chosen = route(key)
    return bool(stage.key) and chosen.place(stage.key) >= chosen.place(chosen.begins)


def _until(day: date | None) -> Q:
    return Q() if day is None else Q(day__lte=day)


def open_jobs(engine: Engine, day: date | None, only: Q | None = None) -> list[dict]:
    """Return jobs with more decided than fitted, in the order they were decided. One query."""
    entries = Q(entries__removed_at__isnull=True)
    if day is not None:
        entries &= Q(entries__day__lte=day)
    return list(
        Job.objects.filter(only or Q(), engine=engine)
        .values("pk", "part_id", "route", "who", "metal", "size", "wanted_by", "reason")
        .annotate(
            decided=_pieces(entries & Q(entries__kind=Kind.DECIDED)),
            fitted=_pieces(entries & Q(entries__kind=Kind.FITTED)),
        )
        .filter(decided__gt=F("fitted"))
        .order_by("pk")
    )


def _pieces(entries: Q) -> Whole:
    return Whole(Sum("entries__pieces", filter=entries, default=0))


def stages_reached(entries: Q) -> dict[int, dict[str, int]]:
    """Return {job: {stage: pieces that reached it}} from the entries that match. One query."""
    rows = (
        PieceEntry.objects.filter(entries, kind=Kind.STAGE)
        .order_by()
        .values_list("job_id", "stage")
        .annotate(n=Whole(Sum("pieces")))
    )
    reached: dict[int, dict[str, int]] = {}
    for job, stage, n in rows:
        reached.setdefault(job, {})[stage] = n
    return reached


def stage_of(row: dict, reached: dict[int, dict[str, int]]) -> StageSummary:
    """Return the furthest stage of an open job and its count; `row` is one of `open_jobs`."""
    left = row["decided"] - row["fitted"]
    return stage_summary(route(row["route"]), left, row["fitted"], reached.get(row["pk"], {}))


def _parts(engine: Engine, table: np.ndarray, part_ids: set[int]) -> dict[int, dict]:
    """Return parts by id, with their counts: those of `part_ids` and those to decide. One query.

    The counts come from `table`, and only the columns from the database: grouping by every
    column takes longer.
    """
    counts_by_part = {
        pk: counts
        for pk, *row in table.tolist()
        for counts in [dict(zip(TABLE, row, strict=True))]
        if pk in part_ids or counts["missing"] or counts["beyond_repair"]
    }
    rows = Part.objects.filter(engine=engine).order_by("item").values(*PART_COLUMNS)
    return {
        row["pk"]: row | counts_by_part[row["pk"]] for row in rows if row["pk"] in counts_by_part
    }


def measured_masses(engine: Engine, day: date | None) -> dict[int, float]:
    """Return the newest measured mass [kg] of one piece of each part. One query."""
    rows = Measurement.objects.filter(
        _until(day),
        engine=engine,
        quantity=Measurement.Quantity.MASS,
        what__iexact="mass",
        part__isnull=False,
    )
    return dict(rows.order_by("day", "pk").values_list("part_id", "value"))


def _costs(costs: CostTable, jobs: list[dict]) -> dict[int, Sums]:
    """Return the costs of each job. Costs of a part that name no job go to its first open job."""
    open_ids = {row["pk"] for row in jobs}
    first = first_of_part(jobs)
    keys = zip(costs.job.tolist(), costs.part.tolist(), strict=True)
    job_ids = np.array([job or first.get(part, 0) for job, part in keys], dtype=np.int64)
    return {pk: sums for pk, sums in costs.sums_by(job_ids).items() if pk in open_ids}


def first_of_part(jobs: list[dict]) -> dict[int, int]:
    """Return {part: its first open job}, which takes the costs of the part that name no job."""
    first: dict[int, int] = {}
    for row in jobs:
        first.setdefault(row["part_id"], row["pk"])
    return first


def _line(row, part, stage, masses, costs, reference_day) -> MakeLine:
    counts = counts_of(part)
    metal = row["metal"] or part["material"]
    mass, source = masses.of(row["part_id"], metal, part["mass_kg"])
    return MakeLine(
        job_id=row["pk"],
        part_id=row["part_id"],
        item=part["item"],
        name=part["name"],
        component_id=part["component_id"],
        component=part["component__name"],
        drawn=counts.drawn,
        of_drawn=counts.of_drawn,
        route=row["route"],
        stage=stage,
        quantity=row["decided"] - row["fitted"],
        decided=row["decided"],
        fitted=row["fitted"],
        size=row["size"] or part["size"],
        metal=metal,
        mass_kg=mass,
        mass_from=source,
        who=row["who"],
        wanted_by=row["wanted_by"],
        reason=row["reason"],
        cost=costs.get(row["pk"]),
        over_made=counts.over_made,
        late=row["wanted_by"] is not None and row["wanted_by"] < reference_day,
    )


@dataclass(frozen=True)
class Masses:
    """Masses of parts as measured [kg], and the volumes of their shapes [mm3]."""

    measured: dict[int, float]
    volumes: dict[int, float]

    def of(self, part: int, metal: str, entered_kg: float | None) -> tuple[float | None, str]:
        shapes_kg = kg_of(self.volumes.get(part), metal)
        return mass_of(self.measured.get(part), entered_kg, shapes_kg)


def mass_of(
    measured_kg: float | None, entered_kg: float | None, shapes_kg: float | None = None
) -> tuple[float | None, str]:
    """Return the mass [kg] of one piece and its source: measured, else from shapes, else typed."""
    if measured_kg is not None:
        return measured_kg, "measured"
    if shapes_kg is not None:
        return shapes_kg, "from its shapes"
    if entered_kg is not None:
        return entered_kg, "typed"
    return None, "unknown"


def _undecided(row: dict) -> ToDecide:
    # Missing, then beyond repair, come first in the order in which a part is drawn.
    drawn = "missing" if row["missing"] else "beyond_repair"
    n, need = row[drawn], row["need"]
    return ToDecide(
        row["pk"],
        row["item"],
        row["name"],
        row["component_id"],
        row["component__name"],
        drawn,
        f"{n} of {need}" if n < need else "",
        row["missing"],
        row["beyond_repair"],
        row["material"],
        row["size"],
        row["usual_route"],
        row["fastener"],
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
    return lambda line: (first(line), line.item, line.job_id)


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
