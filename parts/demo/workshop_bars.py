"""Threads, quotes, bars and cutting lists of the sawmill engine. All invented."""

from datetime import date, timedelta
from decimal import Decimal

from parts.engineering import measures
from parts.engineering.fasteners.threads import thread
from parts.record.actions import saving
from parts.record.models import Engine, Job, Part
from parts.workshop.bars import actions as bars_actions
from parts.workshop.bars.models import Bar, BarBlank, CutPlan
from parts.workshop.bars.queries.plan import bar_estimate, live_plan, usual_blank
from parts.workshop.fasteners import actions as fasteners_actions
from parts.workshop.fasteners.models import Fastener, Quote
from parts.workshop.fasteners.queries.schedule import fastener_sheet

RATE = Decimal("18.00")  # what an hour at the bench is put at, where nothing else is written
KERF_MM, TRIM_MM = 25.4 / 8, 25.4 / 4
# item: kind, head, series, size, sure, length, crest, threads an inch, flank angle, flats, nuts,
# spares, minutes to set up and for one
THREADS = {
    102: ("bolt", "hexagon", "BSW", "1 1/8", True, "6 in", "1.118 in", 7, 55, "", 0, 0, 45, 70),
    103: ("nut", "hexagon", "BSW", "1 1/8", True, "", "", None, None, "1.86 in", 0, 0, None, None),
    204: ("stud", "none", "BSW", "7/8", True, "4 in", "0.866 in", 9, 55, "", 0, 2, 30, 25),
    205: ("nut", "hexagon", "BSW", "7/8", True, "", "", None, None, "1.48 in", 0, 2, None, None),
    209: ("stud", "none", "BSW", "3/4", True, "5 in", "0.742 in", 10, 55, "", 0, 0, 30, 25),
    403: ("stud", "none", "BSW", "3/4", True, "3 1/2 in", "0.744 in", 10, 55, "", 0, 1, 30, 22),
    404: ("nut", "hexagon", "BSW", "3/4", True, "", "", None, None, "1.3 in", 0, 0, None, None),
    408: ("stud", "none", "BSW", "5/8", True, "3 1/2 in", "0.618 in", 11, 55, "", 0, 1, 25, 20),
    409: ("nut", "hexagon", "BSW", "5/8", True, "", "", None, None, "1.1 in", 0, 0, None, None),
    609: ("bolt", "hexagon", "BSW", "5/8", True, "2 3/4 in", "0.62 in", 11, 55, "", 1, 2, 30, 28),
    719: ("bolt", "hexagon", "BSW", "5/8", False, "2 1/2 in",
        "0.612 in", 11, None, "", 1, 0, 30, 26),
    903: ("bolt", "hexagon", "BSW", "1", True, "7 in", "0.993 in", 8, 55, "", 0, 0, 45, 60),
    1110: ("screw", "square", "", "", False, "1 1/4 in", "0.491 in",
        12.5, None, "", 0, 0, None, None),
    1207: ("bolt", "hexagon", "BSW", "1/2", False, "1 1/2 in",
        "0.494 in", 12, None, "", 1, 0, 20, 18),
    1310: ("stud", "none", "BSW", "3/4", True, "6 in", "0.746 in", 10, 55, "", 0, 0, 30, 35),
    1508: ("bolt", "hexagon", "BSW", "1/2", True, "4 in", "0.495 in", 12, 55, "", 0, 2, 25, 22),
}  # fmt: skip
# item, supplier, days before, price of one, carriage, least order, holds for so many days, note
QUOTES = (
    (609, "Ashpike Fasteners", 34, "3.10", "6.50", 10, 60, "Black, with nuts"),
    (609, "Corrow Steel", 210, "2.40", "12.00", 50, 90, ""),
    (719, "Ashpike Fasteners", 34, "2.90", "6.50", 10, 60, "Black, with nuts"),
    (1207, "Ashpike Fasteners", 120, "1.15", "6.50", 10, 60, ""),
    (1508, "Ashpike Fasteners", 34, "1.85", "6.50", 1, 60, ""),
    (408, "Ashpike Fasteners", 34, "9.80", "6.50", 1, 60, "Turned to order"),
)
# section, across, length, price, supplier: what can be bought
LENGTHS = (
    ("round", "1/2 in", "3 m", "7.20", "Corrow Steel"),
    ("round", "5/8 in", "3 m", "10.90", "Corrow Steel"),
    ("round", "5/8 in", "1 m", "4.60", "Corrow Steel"),
    ("round", "3/4 in", "3 m", "15.40", "Corrow Steel"),
    ("round", "7/8 in", "3 m", "21.00", "Corrow Steel"),
    ("round", "3 3/4 in", "12 in", "48.00", "Corrow Steel"),
    ("hexagon", "0.92 in", "3 m", "17.50", "Corrow Steel"),
    ("hexagon", "1.11 in", "3 m", "24.00", "Corrow Steel"),
)
# section, across, length, how many, offcut, kept at, where from: what lies in the store
STORE = (
    ("round", "7/8 in", "19 1/2 in", 1, True, "rack behind the lathe", "Left from the cover studs"),
    ("round", "3/4 in", "4 1/4 in", 3, True, "tin under the bench", "Left from the chest studs"),
    ("round", "5/8 in", "8 in", 1, True, "tin under the bench", "Off the heap, straight"),
    ("round", "1 in", "30 in", 1, True, "rack behind the lathe", "Left from the guide-bar bolts"),
)
# item, how many ends are faced, across, length: blanks that no thread tells
BLANKS = ((1203, 2, "3 3/4 in", "8 in"),)
SAWN = 408  # the studs of the cutting list that was sawn
SAWN_BEFORE = 12  # days


def load(engine: Engine, people: dict, last_day: date) -> list[CutPlan]:
    """Write threads, quotes and bars, and a cutting list that was sawn; leave one to draw up.

    Args:
        engine: The sawmill engine. Parts that it does not have are left out.
        people: Users by the name they sign with.
        last_day: The last day of the story.
    """
    lead, keeper = people.get("M. Ellery"), people.get("P. Nandan")
    turner = people.get("J. Tarrant") or lead
    if not engine.shop_rate:
        engine = saving.change(engine, {"shop_rate": RATE}, seen=engine.version, by=lead)
    parts = {part.item: part for part in Part.objects.filter(engine=engine, fastener=True)}
    for item, row in THREADS.items():
        if item in parts:
            saving.add(_fastener(engine, parts[item], row), by=turner)
    for item, *row in QUOTES:
        if item in parts:
            saving.add(_quote(engine, parts[item], row, last_day), by=lead)
    for row in LENGTHS:
        saving.add(_length(engine, row), by=lead)
    for row in STORE:
        _stored(engine, row, last_day - timedelta(days=60), by=turner)
    lists = [_sawn(engine, parts, last_day - timedelta(days=SAWN_BEFORE), lead, turner)]
    _blanks(engine, by=keeper or lead)
    return [row for row in lists if row is not None]


def _fastener(engine, part, row) -> Fastener:
    kind, head, series, size, sure, length, crest, tpi, flank, flats, nuts, spares, set_, each = row
    return Fastener(
        engine=engine,
        part=part,
        kind=kind,
        head=head,
        series=series,
        size=thread(series, size).size if series else "",
        sure=sure,
        threads_per_inch=tpi,
        flank_deg=flank,
        nuts=nuts,
        spares=spares,
        minutes_setting=set_,
        minutes_each=each,
        **Fastener.length.columns(length, engine),
        **Fastener.crest.columns(crest, engine),
        **Fastener.flats.columns(flats, engine),
    )


def _quote(engine, part, row, last_day) -> Quote:
    supplier, before, each, carriage, least, holds, note = row
    day = last_day - timedelta(days=before)
    return Quote(
        engine=engine,
        part=part,
        supplier=supplier,
        day=day,
        each=Decimal(each),
        carriage=Decimal(carriage),
        least=least,
        good_until=day + timedelta(days=holds),
        note=note,
    )


def _length(engine, row) -> Bar:
    section, across, length, price, supplier = row
    return Bar(
        engine=engine,
        material="steel",
        section=section,
        price=Decimal(price),
        supplier=supplier,
        **Bar.across.columns(across, engine),
        **Bar.length.columns(length, engine),
    )


def _stored(engine, row, day, *, by) -> Bar:
    section, across, length, n, offcut, kept_at, reason = row
    bar = Bar(
        engine=engine,
        material="steel",
        section=section,
        in_store=True,
        offcut=offcut,
        kept_at=kept_at,
        **Bar.across.columns(across, engine),
        **Bar.length.columns(length, engine),
    )
    return bars_actions.add_bar(bar, n, day=day, by=by, reason=reason)


def _blank(job: Job, *, by) -> None:
    """The blank that its thread tells."""
    usual = usual_blank(job)
    if usual is None or BarBlank.objects.filter(job=job).exists():
        return
    engine = job.engine
    across = usual.bar or measures.write_length(usual.across_mm, engine.length_unit)
    saving.add(
        BarBlank(
            engine=engine,
            job=job,
            section=usual.section,
            **BarBlank.across.columns(across, engine),
            **BarBlank.length.columns(
                measures.write_length(usual.length_mm, engine.length_unit), engine
            ),
        ),
        by=by,
    )


def _sawn(engine, parts, day, lead, turner) -> CutPlan | None:
    """The spindle gland studs: decided, drawn up and sawn, their bar in the tally."""
    part = parts.get(SAWN)
    if part is None:
        return None
    line = fastener_sheet(part, engine, day).line
    if not line.to_decide:
        return None
    spares = line.to_decide - line.counts.wanting
    reason = "Two studs and one over: quicker turned than waited for"
    chosen = fasteners_actions.choose(
        part, "machine", line.to_decide, spares=spares, day=day, by=lead, reason=reason
    )
    _blank(chosen.job, by=turner)
    plan = live_plan(engine, KERF_MM, TRIM_MM)
    if not plan.pieces:
        return None
    estimate = bar_estimate(plan)
    row = bars_actions.save_cutting_list(
        engine,
        plan.cutting,
        kerf_mm=KERF_MM,
        end_trim_mm=TRIM_MM,
        day=day,
        by=lead,
        cost=bars_actions.BarCost(**vars(estimate)) if estimate else None,
    )
    return bars_actions.cut(row, day=day, by=turner, seen=row.version)


def _blanks(engine, *, by) -> None:
    """Blanks of what is still to saw, from their threads or as they were written."""
    waiting = Job.objects.filter(engine=engine, route="machine").select_related("part", "engine")
    own = {item: row for item, *row in BLANKS}
    for job in waiting:
        if job.part.item in own:
            faces, across, length = own[job.part.item]
            saving.add(
                BarBlank(
                    engine=engine,
                    job=job,
                    section="round",
                    faces=faces,
                    **BarBlank.across.columns(across, engine),
                    **BarBlank.length.columns(length, engine),
                ),
                by=by,
            )
        elif job.part.fastener:
            _blank(job, by=by)
