"""What gathers from several subjects: progress, hours, search, reports."""

import re
from datetime import timedelta

from parts import models
from tests.audit.page import STATES, folded, number, pk_of, whole
from tests.audit.rows import NOTHING, accounted, on_engine, wanting


def progress(a):
    raw, page = a.raw, a.get("report_list")
    counts, hours = raw.stand_in(), raw.hours_by(raw.component_of_hours)
    shown = page.figure(r"Pieces on the engine, in place or fitted\s*([\d.,]+) pieces")
    a.same(page, "pieces on the engine", shown, on_engine(counts))
    a.same(page, "hours", page.figure(r"Volunteer hours\s*([\d.,]+) h"), sum(hours.values()))
    a.same(
        page,
        "spent",
        page.figure(r"Money spent\s*([^,\s]+(?:,\d{3})*(?:\.\d\d)?)"),
        raw.money()["spent"],
    )
    for row in page.table("Component", "Pieces", "Hours", "Spent").rows:
        pk = pk_of(row["href"])
        n = raw.stand_in(raw.parts_of(pk))
        own = [c for c in raw.costs if raw.component_of_cost(c) == pk]
        shown = [
            number(row[h])
            for h in (
                "Pieces",
                "On the engine",
                "Found",
                "Being made",
                "Missing or beyond repair",
                "Hours",
                "Spent",
            )
        ]
        a.same(
            page,
            row["Component"],
            shown,
            [
                n["need"],
                on_engine(n),
                n["found"],
                n["being_made"],
                wanting(n),
                hours[pk],
                raw.money(own)["spent"],
            ],
        )


def hours_and_people(a):
    raw = a.raw
    by_person, by_work = raw.hours_by("person"), raw.hours_by("work")
    by_work = {dict(models.Work.choices)[key]: n for key, n in by_work.items()}
    total = NOTHING
    for page in a.pages_of("hours"):
        tables = [t for t in page.root.iter("table") if "dense" in t.get("class", "")]
        for table, told in zip(tables, (by_person, by_work), strict=True):
            shown = {folded(r[0]): number(folded(r[1])) for r in table.findall("./tbody/tr")}
            a.same(page, "hours", shown, dict(told))
        total += sum(number(row["Hours"]) for row in page.table("Who", "Work", "Hours").rows)
    a.same("hours", "all rows", total, sum(by_person.values()))
    page = a.get("people")
    shown = {row["Who"]: number(row["Hours"]) for row in page.table("Who", "Hours", "Last").rows}
    a.same(page, "hours", shown, dict(by_person))


def search(a):
    raw = a.raw
    kinds = (
        (models.Find, "found_by", "finds?"),
        (models.ConditionNote, "who", "condition notes?"),
        (models.Measurement, "who", "measures?"),
        (models.Repair, "who", "repairs?"),
        (models.Freeing, "who", "freeings?"),
        (models.HoursGiven, "person", "(?:day|days) of hours"),
        (models.PieceEntry, "who", "(?:entry|entries) about pieces"),
    )
    for person in a.some(sorted({row["person"] for row in raw.hours})):
        page = a.get("search", q=person)
        own = next((folded(li) for li in page.root.iter("li") if folded(li).startswith(person)), "")
        for model, column, word in kinds:
            rows = [
                r
                for r in model._base_manager.filter(
                    engine_id=a.engine.pk, removed_at__isnull=True
                ).values()
                if r[column] == person
            ]
            if model is models.HoursGiven:
                rows = {row["day"] for row in rows}
            shown = re.search(rf"(\d+) {word}\b", own)
            a.same(page, f"{person}: {word}", int(shown[1]) if shown else 0, len(rows))


def reports(a):
    """Each report, which tells what stood on its last day."""
    raw = a.raw
    for report in models.Report.objects.filter(engine=a.engine):
        page, first, last = a.get("report", report.pk), report.first_day, report.last_day
        eve = first - timedelta(days=1)
        counts, before = raw.stand_in(day=last), raw.stand_in(day=eve)
        table = page.table("Pieces", "In place", "In all")
        for row, n in zip(table.rows, (before, counts), strict=True):
            shown = {head: whole(row[head]) for head in table.heads[1:]}
            a.same(
                page,
                row["Pieces"],
                shown,
                {w: n[s] for s, w in STATES.items()} | {"In all": n["need"]},
            )
        shown = re.search(
            r"(\d+) of (\d+)\s*pieces found, in place or fitted; (\d+) when", page.text
        )
        a.same(
            page,
            "accounted for",
            tuple(map(int, shown.groups())),
            (accounted(counts), counts["need"], accounted(before)),
        )
        money, earlier = raw.money(day=last), raw.money(day=eve)
        shown = re.search(r"(\S+)\s*spent in all, (\S+) of it in this period", page.text)
        a.same(
            page,
            "spent",
            tuple(map(number, shown.groups())),
            (money["spent"], money["spent"] - earlier["spent"]),
        )
        hours, in_time = raw.hours_by("person", last), raw.hours_by("person", last, first)
        shown = re.search(
            r"([\d.,]+) h\s*given by (\d+) p\w+, ([\d.,]+) h of it in this period", page.text
        )
        a.same(
            page,
            "hours",
            tuple(map(number, shown.groups())),
            (sum(hours.values()), len(hours), sum(in_time.values())),
        )
        for row in page.table("Component", "At the start", "Spent").rows:
            component = models.Component.objects.get(
                engine=a.engine, number=int(row["Component"].split()[0])
            )
            own = raw.parts_of(component.pk)
            n, was = raw.stand_in(own, last), raw.stand_in(own, eve)
            costs = [c for c in raw.costs if raw.component_of_cost(c) == component.pk]
            shown = [
                number(row[h])
                for h in (
                    "Pieces",
                    "On the engine",
                    "At the start",
                    "Found",
                    "Being made",
                    "Missing or beyond repair",
                    "Spent",
                )
            ]
            a.same(
                page,
                row["Component"],
                shown,
                [
                    n["need"],
                    on_engine(n),
                    on_engine(was),
                    n["found"],
                    n["being_made"],
                    wanting(n),
                    raw.money(costs, last)["spent"],
                ],
            )
        _report_costs(a, page, last)
        _report_jobs(a, page, first, last)


def _report_costs(a, page, last):
    raw = a.raw
    table = page.table("Cost of", "Spent", "Not yet ordered")
    columns = ("Spent", "Ordered", "Not yet ordered", "Likely total")
    for row in [*table.rows, table.foot]:
        word = row["Cost of"]
        heads = dict(models.Heading.choices)
        own = [c for c, item in raw.costs.items() if word in ("All costs", heads[item["heading"]])]
        of = raw.money(own, last)
        told = [of["spent"], of["ordered"], of["to come"][1] - of["ordered"], of["total"][1]]
        a.same(page, word, [number(row[h]) for h in columns], told)


def _report_jobs(a, page, first, last):
    raw = a.raw
    open_ones, n = raw.to_make(last), raw.stand_in(day=last)
    for table in page.tables("Part", "Metal", "Likely cost"):
        a.same(page, "parts to make", whole(table.foot["No."]), sum(open_ones.values()))
        a.same(page, "lines", sum(len(rows) for _, rows in table.groups), len(open_ones))
    shown = page.figure(r"(\d+) more pieces, of \d+ parts, are missing or beyond repair")
    a.same(page, "still to decide", shown or 0, wanting(n))
    steps = {}
    for pk in raw.jobs:
        told = raw.sums(("kind", "stage"), last, first, job_id=pk)
        way = models.Job.everything.get(pk=pk).way
        order = [("stage", s.key) for s in way.stages] + [("fitted", "")]
        reached = [(key, told[key]) for key in order if told[key] > 0]
        if reached:
            (kind, stage), pieces = reached[-1]
            word = "fitted" if kind == "fitted" else way.stage(stage).word
            steps[(raw.parts[raw.jobs[pk]["part_id"]]["item"], word.capitalize(), pieces)] = pk
    for table in page.tables("Made and fitted", "How far", "Pieces"):
        for row in table.rows:
            key = (int(row["Made and fitted"].split()[0]), row["How far"], whole(row["Pieces"]))
            a.same(page, f"what was done: {key}", key in steps, True)
