"""Jobs: parts to make, still to decide, fastenings."""

import re
from collections import Counter
from decimal import Decimal

from parts import models
from tests.audit.page import folded, number, pk_of, whole
from tests.audit.rows import drawn, wanting


def begun(raw, pk):
    """Some piece that is not fitted has reached the stage that begins it."""
    reached, route = raw.job(pk), models.Job.everything.get(pk=pk).way
    left = reached["decided"] - reached["fitted"]
    furthest = [s.key for s in route.stages if min(reached[s.key] - reached["fitted"], left) > 0]
    return bool(furthest) and route.place(furthest[-1]) >= route.place(route.begins)


def jobs(a):
    raw, open_ones = a.raw, a.raw.to_make()
    costs = {pk: raw.costs_of_job(pk, open_ones) for pk in open_ones}
    seen = {}
    for page in a.pages_of("jobs"):
        table = page.table("Part", "State", "Mass", "Likely")
        for head, rows in table.groups:
            title = head["Part"]
            for row in rows:
                pk = pk_of(row["href"])
                seen[pk] = title
                likely = raw.money(costs[pk])["total"][1] if costs[pk] else None
                a.same(
                    page,
                    row["Part"],
                    (whole(row["No."]), number(row["Likely"])),
                    (open_ones[pk], likely),
                )
                a.same(
                    page,
                    f"{row['Part']}, how it stands",
                    row["State"].startswith(drawn(raw.stands()[raw.jobs[pk]["part_id"]])),
                    True,
                )
            own = {
                pk
                for pk in open_ones
                if raw.jobs[pk]["route"] == raw.jobs[pk_of(rows[0]["href"])]["route"]
            }
            of = raw.money(c for pk in own for c in costs[pk])
            a.same(
                page,
                title,
                (whole(head["No."]), number(head["Likely"])),
                (sum(open_ones[pk] for pk in own), of["total"][1]),
            )
        of = raw.money(c for pk in open_ones for c in costs[pk])
        foot = table.foot
        a.same(
            page,
            "all",
            (whole(foot["No."]), number(foot["Likely"])),
            (sum(open_ones.values()), of["total"][1]),
        )
        low, _, high = of["total"]
        shown = [
            number(n)
            for n in re.findall(
                r"[£€][\d,.]+", foot[next(h for h in table.heads if h.startswith("Cost"))]
            )
        ]
        a.same(page, "all, low to high", shown, [low, high])
    a.same("jobs", "lines", set(seen), set(open_ones))
    for row, pk in zip(
        sorted(a.table_of("jobs_csv"), key=_line),
        sorted(open_ones, key=lambda pk: _line_of(raw, pk)),
        strict=True,
    ):
        n, of = raw.job(pk), raw.money(costs[pk])
        shown = [int(row[h]) for h in ("item", "pieces", "decided", "fitted")]
        a.same(
            "jobs.csv",
            row["part"],
            shown,
            [
                raw.parts[raw.jobs[pk]["part_id"]]["item"],
                open_ones[pk],
                n["decided"],
                n["fitted"],
            ],
        )
        if costs[pk]:
            shown = [Decimal(row[h]) for h in ("cost low", "cost likely", "cost high", "spent")]
            a.same("jobs.csv", row["part"], shown, [*of["total"], of["spent"]])


def _line(row):
    return int(row["item"]), int(row["pieces"]), int(row["decided"]), row["how"]


def _line_of(raw, pk):
    n, row = raw.job(pk), raw.jobs[pk]
    how = models.Job.everything.get(pk=pk).way.word
    return raw.parts[row["part_id"]]["item"], n["decided"] - n["fitted"], n["decided"], how


def undecided(a):
    raw = a.raw
    undone = {pk: n for pk, n in raw.stands().items() if wanting(n)}
    told = (sum(wanting(n) for n in undone.values()), len(undone))
    listed = {}
    for page in a.pages_of("undecided"):
        shown = re.search(r"(\d+) pieces? missing or beyond repair, of (\d+) part", page.text)
        a.same(page, "still to decide", tuple(map(int, shown.groups())), told)
        for li in page.root.iter("li"):
            link = next((x.get("href") for x in li.iter("a") if "/parts/" in x.get("href", "")), "")
            if "two-ends" in li.get("class", "") and link:
                text = folded(li)
                missing, past = (
                    re.search(r"(\d+) missing", text),
                    re.search(r"(\d+) beyond repair", text),
                )
                listed[pk_of(link)] = (
                    int(missing[1]) if missing else 0,
                    int(past[1]) if past else 0,
                )
    a.same(
        "undecided",
        "parts",
        listed,
        {pk: (n["missing"], n["beyond_repair"]) for pk, n in undone.items()},
    )
    page = a.get("jobs")
    shown = re.search(r"Still to decide\s*(\d+) pieces?, (\d+) part", page.text)
    a.same(page, "still to decide", tuple(map(int, shown.groups())), told)
    shown = {
        int(row["item"]): (int(row["missing"]), int(row["beyond repair"]))
        for row in a.table_of("undecided_csv")
    }
    a.same(
        "to-decide.csv",
        "parts",
        shown,
        {raw.parts[pk]["item"]: (n["missing"], n["beyond_repair"]) for pk, n in undone.items()},
    )


def job_pages(a):
    raw = a.raw
    for pk in a.some(raw.jobs):
        page, n = a.get("job", pk), raw.job(pk)
        left = f"{n['decided'] - n['fitted']} of {n['decided']}"
        a.same(page, "not yet fitted", page.entries()["Not yet fitted"], left)
        way = models.Job.everything.get(pk=pk).way
        shown = [whole(row["Reached"]) for row in page.table("Stage", "Reached").rows]
        a.same(page, "stages", shown, [*(n[s.key] for s in way.stages), n["fitted"]])
        own = [c for c, row in raw.costs.items() if row["job_id"] == pk]
        if own:
            of = raw.money(own)
            shown = re.search(r"Spent (\S+), likely total\s*(\S+)", page.text)
            a.same(page, "costs", tuple(map(number, shown.groups())), (of["spent"], of["total"][1]))


def fasteners(a):
    raw = a.raw
    own = {pk for pk, part in raw.parts.items() if part["fastener"]}
    begun = Counter()
    for (part, kind, begins), n in raw.sums(("part_id", "kind", "begins")).items():
        begun[part] += n if kind == "stage" and begins else -n if kind == "fitted" else 0
    to_get = {}
    for pk in own:
        n = raw.stands()[pk]
        spares = raw.fasteners[pk]["spares"] if pk in raw.fasteners else 0
        short = max(0, spares - n["spare"] - max(0, begun[pk] - n["being_made"]))
        to_get[pk] = wanting(n) + n["to_be_made"] + short
    for page in a.pages_of("fasteners"):
        table = page.table("Part", "Quantity", "To get")
        a.same(page, "all to get", whole(table.foot["To get"]), sum(to_get.values()))
        a.same(page, "to get", page.figure(r"fastenings, (\d+) piece"), sum(to_get.values()))
        for head, rows in table.groups:
            a.same(
                page,
                head["Part"],
                whole(head["To get"]),
                sum(to_get[_part_of(row)] for row in rows),
            )
            for row in rows:
                pk = _part_of(row)
                a.same(
                    page,
                    row["Part"],
                    (whole(row["Quantity"]), whole(row["To get"])),
                    (raw.parts[pk]["quantity"], to_get[pk]),
                )
                a.same(page, f"{row['Part']}, how it stands", row["State"], drawn(raw.stands()[pk]))
    by_item = {raw.parts[pk]["item"]: pk for pk in own}
    lines = a.table_of("fasteners_csv")
    a.same("fasteners.csv", "lines", {int(row["item"]) for row in lines}, set(by_item))
    for row in lines:
        pk = by_item[int(row["item"])]
        n = raw.stands()[pk]
        shown = [
            int(row[h]) for h in ("quantity", "missing", "beyond repair", "to be made", "to get")
        ]
        a.same(
            "fasteners.csv",
            row["part"],
            shown,
            [
                raw.parts[pk]["quantity"],
                n["missing"],
                n["beyond_repair"],
                n["to_be_made"],
                to_get[pk],
            ],
        )


def _part_of(row):
    return int(re.search(r"/parts/(\d+)/", row["href"])[1])
