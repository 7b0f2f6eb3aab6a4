"""Sheet 1: how the engine stands today, what is on the bench, what to decide."""

from dataclasses import dataclass
from datetime import date

from django.db.models import Q

from parts.drawings.queries import AsItStood, Shown, as_it_stood
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
    """A job that is begun and not yet fitted."""

    job_id: int
    part: Shown
    stage: StageSummary
    who: str


@dataclass(frozen=True)
class Overview:
    """What the first sheet shows.

    Args:
        facts: Caption and value for the title block, the most needed first.
        counts: How the pieces stand.
        bench: The first of the jobs that are begun, by route and item.
        on_bench: How many such jobs there are.
        to_decide: The first parts with pieces for which nothing is decided, most pieces first.
        deciding: How many such parts there are.
        costs, sums: How the costs stand, and all of them added up.
        components: Each component with its counts.
        diary: The newest day of the diary.
        to_identify: Finds with a piece that nobody has named yet.
        hours: Hours given in all.
    """

    facts: tuple[tuple[str, str], ...]
    counts: Counts
    bench: tuple[OnBench, ...]
    on_bench: int
    to_decide: tuple[Shown, ...]
    deciding: int
    costs: CostTable
    sums: Sums
    components: tuple
    diary: DiaryEntry | None
    to_identify: int
    hours: float


def overview(engine: Engine, day: date, stood: AsItStood | None = None) -> Overview:
    """Draw up the first sheet. A fixed number of queries.

    Args:
        engine: Whose it is.
        day: Today.
        stood: How it stood on the day that is asked for; today when not given. Counts follow it,
            costs and lists are of today.
    """
    stood = stood or as_it_stood(engine)
    now = stood if stood.day is None else as_it_stood(engine)
    bench, deciding, costs = _on_bench(engine, now), _to_decide(now), cost_table(engine)
    return Overview(
        facts=tuple(title_facts(engine, stood.written)),
        counts=stood.counts,
        bench=tuple(
            OnBench(row["pk"], now.shown("part", row["part_id"]), stage, row["who"])
            for row, stage in bench[:SHOWN]
        ),
        on_bench=len(bench),
        to_decide=tuple(now.shown("part", pk) for pk in deciding[:SHOWN]),
        deciding=len(deciding),
        costs=costs,
        sums=costs.sums,
        components=stood.components,
        diary=DiaryEntry.objects.filter(engine=engine, day__lte=day).first(),
        to_identify=finds_to_identify(engine),
        hours=sum(person.hours for person in hours_by_person(engine)),
    )


def _on_bench(engine: Engine, now: AsItStood) -> list[tuple[dict, StageSummary]]:
    """The jobs that are begun with their stages, by route and item. Two queries."""
    reached = jobs.stages_reached(Q(engine=engine))
    found = [(row, jobs.stage_of(row, reached)) for row in jobs.open_jobs(engine, None)]
    ways, items = list(ROUTES), {pk: item for pk, item, *_ in now.names}
    begun = [
        (ways.index(row["route"]), items[row["part_id"]], row["pk"], row, stage)
        for row, stage in found
        if row["part_id"] in items and jobs.begun(row["route"], stage)
    ]
    return [(row, stage) for *_, row, stage in sorted(begun, key=lambda one: one[:3])]


def _to_decide(now: AsItStood) -> list[int]:
    """The parts with pieces to decide: fasteners last, the most pieces first."""
    pieces = now.pieces_to_decide
    parts = [(fastener, -pieces[pk], pk) for pk, *_, fastener in now.names if pk in pieces]
    return [pk for *_, pk in sorted(parts, key=lambda one: one[:2])]


def cost_of(costs: CostTable, shown: Shown) -> Sums:
    """What a component or a part costs. No query."""
    of = costs.part if shown.what == "part" else costs.component
    return costs.kept(of == shown.pk).sums


def title_facts(engine: Engine, sizes: dict[str, str] | None = None) -> list[tuple[str, str]]:
    """Caption and value for the title block of the engine's sheets; sizes as written, if known."""
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
