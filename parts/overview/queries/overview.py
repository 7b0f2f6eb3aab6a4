"""Sheet 1: the status of the engine, the jobs on the bench, and what to decide."""

from dataclasses import dataclass
from datetime import date

from django.db.models import Q

from parts.drawings.queries import EngineOnDay, Target, engine_on_day
from parts.engine.models import EngineSize
from parts.engineering.routes import ROUTES
from parts.finds.queries import finds_to_identify
from parts.money.queries.costs import CostTable, Sums, cost_table
from parts.people.queries import hours_by_person
from parts.record.models import DiaryEntry, Engine, Membership
from parts.record.queries.status import Counts
from parts.workshop.jobs.queries import jobs
from parts.workshop.jobs.queries.lines import StageSummary

SHOWN = 6


@dataclass(frozen=True)
class OnBench:
    """A job that is begun and not all fitted."""

    job_id: int
    part: Target
    stage: StageSummary
    who: str


@dataclass(frozen=True)
class Overview:
    """The figures of the first sheet.

    Args:
        facts: Caption and value for the title block, the most needed first.
        counts: The counts of all pieces.
        bench: The first of the jobs that are begun, by route and item.
        on_bench: The number of such jobs.
        to_decide: The first parts with pieces to decide, most pieces first.
        deciding: The number of such parts.
        costs, sums: The costs, and their sums.
        components: Each component with its counts.
        diary: The newest day of the diary.
        to_identify: The number of finds with pieces still to identify.
        hours: All volunteer hours.
    """

    facts: tuple[tuple[str, str], ...]
    counts: Counts
    bench: tuple[OnBench, ...]
    on_bench: int
    to_decide: tuple[Target, ...]
    deciding: int
    costs: CostTable
    sums: Sums
    components: tuple
    diary: DiaryEntry | None
    to_identify: int
    hours: float


def overview(engine: Engine, day: date, on_day: EngineOnDay | None = None) -> Overview:
    """Return the figures of the first sheet. A fixed number of queries.

    Args:
        day: Today.
        on_day: The engine on the day to show; today when not given. Counts are of that day,
            costs and lists of today.
    """
    on_day = on_day or engine_on_day(engine)
    today = on_day if on_day.day is None else engine_on_day(engine)
    bench, deciding, costs = _on_bench(engine, today), _to_decide(today), cost_table(engine)
    return Overview(
        facts=tuple(title_facts(engine, on_day.written)),
        counts=on_day.counts,
        bench=tuple(
            OnBench(row["pk"], today.target("part", row["part_id"]), stage, row["who"])
            for row, stage in bench[:SHOWN]
        ),
        on_bench=len(bench),
        to_decide=tuple(today.target("part", pk) for pk in deciding[:SHOWN]),
        deciding=len(deciding),
        costs=costs,
        sums=costs.sums,
        components=on_day.components,
        diary=DiaryEntry.objects.filter(engine=engine, day__lte=day).first(),
        to_identify=finds_to_identify(engine),
        hours=sum(person.hours for person in hours_by_person(engine)),
    )


def _on_bench(engine: Engine, today: EngineOnDay) -> list[tuple[dict, StageSummary]]:
    """Return the jobs that are begun with their stages, by route and item. Two queries."""
    reached = jobs.stages_reached(Q(engine=engine))
    jobs_and_stages = [(row, jobs.stage_of(row, reached)) for row in jobs.open_jobs(engine, None)]
    routes, items = list(ROUTES), {pk: item for pk, item, *_ in today.names}
    begun = [
        (routes.index(row["route"]), items[row["part_id"]], row["pk"], row, stage)
        for row, stage in jobs_and_stages
        if row["part_id"] in items and jobs.begun(row["route"], stage)
    ]
    return [(row, stage) for *_, row, stage in sorted(begun, key=lambda row_key: row_key[:3])]


def _to_decide(today: EngineOnDay) -> list[int]:
    """Return the ids of parts with pieces to decide: fasteners last, most pieces first."""
    pieces = today.pieces_to_decide
    parts = [(fastener, -pieces[pk], pk) for pk, *_, fastener in today.names if pk in pieces]
    return [pk for *_, pk in sorted(parts, key=lambda row_key: row_key[:2])]


def cost_of(costs: CostTable, target: Target) -> Sums:
    """Return the sums of the costs of a component or part. No query."""
    owner = costs.part if target.what == "part" else costs.component
    return costs.select(owner == target.pk).sums


def title_facts(engine: Engine, sizes: dict[str, str] | None = None) -> list[tuple[str, str]]:
    """Return caption and value for the title block; `sizes` as entered, to save their query."""
    if sizes is None:
        sizes = {s.name: s.written for s in EngineSize.objects.filter(engine=engine)}
    facts = [("Kind", engine.get_kind_display())]
    if engine.built:
        facts.append(("Built", engine.built))
    if "bore" in sizes and "stroke" in sizes:
        bore, stroke = sizes["bore"], sizes["stroke"]
        same = bore.split()[-1] == stroke.split()[-1] and " " in bore
        bore = bore.rsplit(" ", 1)[0] if same else bore
        facts.append(("Bore × stroke", f"{bore} × {stroke}"))
    if "flywheel" in sizes:
        facts.append(("Flywheel", sizes["flywheel"]))
    if engine.speed_rpm:
        facts.append(("Speed", f"{engine.speed_rpm:g} rpm"))
    lead = Membership.objects.filter(engine=engine, role="lead").select_related("user").first()
    if lead:
        facts.append(("Lead restorer", lead.user.get_full_name() or lead.user.username))
    return facts
