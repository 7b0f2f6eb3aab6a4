"""Sheet 1: how the engine stands today, what is on the bench, what to decide."""

from dataclasses import dataclass
from datetime import date

from ..models import DiaryEntry, Engine, EngineSize, Membership
from . import making, money
from .arrangement import AsItStood, Shown, as_it_stood
from .costs import Sums, added_up
from .people import hours_by_person
from .site import finds_to_identify
from .standing import Counts

SHOWN = 6


@dataclass(frozen=True)
class Overview:
    """What the first sheet shows.

    Args:
        facts: Caption and value for the title block, the most needed first.
        counts: How the pieces stand.
        bench: Makings that are begun, the furthest on first.
        to_decide: Parts with pieces for which nothing is decided, the most pieces first.
        deciding: How many such parts there are.
        tally: The cost tally.
        components: Each component with its counts.
        diary: The newest day of the diary.
        to_identify: Finds with a piece that nobody has named yet.
        hours: Hours given in all.
    """

    facts: tuple[tuple[str, str], ...]
    counts: Counts
    bench: tuple[making.MakeLine, ...]
    on_bench: int
    to_decide: tuple[making.ToDecide, ...]
    deciding: int
    tally: money.Tally
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
    tally = money.cost_tally(engine)
    make_list = making.parts_to_make(engine, cost_of=tally.lines)
    bench = [line for line in make_list.lines if making.begun(line)]
    deciding = sorted(make_list.to_decide, key=lambda part: (part.fastener, -part.pieces))
    return Overview(
        facts=tuple(title_facts(engine, stood.written)),
        counts=stood.counts,
        bench=tuple(bench[:SHOWN]),
        on_bench=len(bench),
        to_decide=tuple(deciding[:SHOWN]),
        deciding=len(deciding),
        tally=tally,
        components=stood.components,
        diary=DiaryEntry.objects.filter(engine=engine, day__lte=day).first(),
        to_identify=finds_to_identify(engine),
        hours=sum(person.hours for person in hours_by_person(engine)),
    )


def cost_of(tally: money.Tally, shown: Shown) -> Sums:
    """What a component or a part costs. No query."""
    of = "part_id" if shown.what == "part" else "component_id"
    return added_up(line.sums for line in tally.lines if getattr(line, of) == shown.pk)


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
