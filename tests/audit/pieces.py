"""Pieces: overview, parts, components, finds."""

import re
from collections import Counter
from datetime import timedelta

from django.urls import reverse

from parts import models
from tests.audit.jobs import begun
from tests.audit.page import STATES, Page, folded, number, pk_of, whole
from tests.audit.rows import accounted, drawn, on_engine, wanting


def told_apart(a, page, counts, pattern="{} on hand beyond the need"):
    """What is told apart: left off, spares, made beyond the need."""
    a.same(
        page, "spares", page.figure(r"(\d+) (?:on hand beyond|spare on hand)") or 0, counts["spare"]
    )
    made = page.figure(r"(\d+) (?:being made (?:beyond|over)|decided beyond) the need") or 0
    a.same(page, "made beyond the need", made, counts["over_made"])


def overview(a):
    raw, page = a.raw, a.get("engine")
    counts, money = raw.stand_in(), raw.money()
    a.counts(page, counts)
    told_apart(a, page, counts)
    a.same(page, "left off", page.figure(r"(\d+) left off") or 0, counts["left_off"])
    shown = re.search(r"Pieces accounted for\s*(\d+) of (\d+)", page.text)
    a.same(page, "accounted for", shown.groups(), (str(accounted(counts)), str(counts["need"])))
    a.same(page, "spent", page.figure(r"Cost to completion\s*(\S+) spent"), money["spent"])
    told = re.search(
        r"Likely (\S+) in all, (\S+) to ([^,\s]+(?:,\d{3})*[^,\s]*), added up", page.text
    )
    low, likely, high = money["total"]
    a.same(page, "costs", [number(n) for n in told.groups()], [likely, low, high])
    waiting = sum(raw.left_of(find) > 0 for find in raw.finds)
    a.same(page, "finds to identify", page.figure(r"(\d+) finds? still to identify") or 0, waiting)
    hours = sum(raw.hours_by("person").values())
    a.same(page, "hours", page.figure(r"([\d.,]+) volunteer hours"), hours)
    undecided = sum(wanting(n) > 0 for n in raw.stands().values())
    a.same(page, "parts to decide", page.figure(r"To decide\s*(\d+) part"), undecided)
    on_bench = [pk for pk in raw.to_make() if begun(raw, pk)]
    a.same(page, "being made", page.figure(r"On the bench now\s*(\d+) being made"), len(on_bench))
    for row in page.table("Part", "Missing", "Beyond repair").rows:
        n = raw.stands()[pk_of(row["href"])]
        a.same(
            page,
            row["Part"],
            (whole(row["Missing"]), whole(row["Beyond repair"])),
            (n["missing"], n["beyond_repair"]),
        )
    _by_component(a, page)


def _by_component(a, page, day=None):
    for row in page.table("Component", "Pieces", "To be made").rows:
        n = a.raw.stand_in(a.raw.parts_of(pk_of(row["href"])), day)
        shown = [
            whole(row[h])
            for h in (
                "Pieces",
                "On the engine",
                "Found",
                "Being made",
                "To be made",
                "Beyond repair",
                "Missing",
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
                n["to_be_made"],
                n["beyond_repair"],
                n["missing"],
            ],
        )


def earlier_days(a):
    """How the engine stood on days of the past, and how it stands on the list of engines."""
    days = sorted({entry["day"] for entry in a.raw.entries})
    for day in (days[0] - timedelta(days=1), days[len(days) // 3], days[2 * len(days) // 3]):
        page, counts = a.get("engine", day=day.isoformat()), a.raw.stand_in(day=day)
        a.counts(page, counts)
        shown = re.search(r"Pieces accounted for\s*(\d+) of (\d+)", page.text)
        a.same(page, day, shown.groups(), (str(accounted(counts)), str(counts["need"])))
        _by_component(a, page, day)
    page, counts = Page("/", a.client.get(reverse("parts:home")).content.decode()), a.raw.stand_in()
    own = next(li for li in page.root.iter("li") if a.engine.name in folded(li))
    told = r"(\d+) of (\d+) pieces found, in place or fitted; (\d+) being made, (\d+) missing"
    shown = tuple(map(int, re.search(told, folded(own)).groups()))
    rows = (accounted(counts), counts["need"], counts["being_made"], counts["missing"])
    a.same(page, a.engine, shown, rows)


def parts_list(a):
    raw = a.raw
    proposals = models.Proposal.objects.filter(engine=a.engine).values_list("answer", flat=True)
    for page in a.pages_of("part_list"):
        a.counts(page, raw.stand_in())
        waiting = page.figure(r"Proposals, (\d+) waiting") or 0
        a.same(page, "proposals waiting", waiting, list(proposals).count("open"))
        told_apart(a, page, raw.stand_in())
        for row in page.table("Part", "State", "No.").rows:
            pk = pk_of(row["href"])
            a.same(
                page,
                row["Part"],
                (whole(row["No."]), row["State"]),
                (raw.parts[pk]["quantity"], drawn(raw.stands()[pk])),
            )
    for state in STATES:
        page = a.get("part_list", state=state)
        fit = {pk for pk, n in raw.stands().items() if n[state]}
        shown = re.search(r"(\d+) parts?, (\d+) pieces?", page.text)
        a.same(
            page,
            "parts and pieces",
            shown.groups(),
            (str(len(fit)), str(raw.stand_in(fit)["need"])),
        )
        a.counts(page, raw.stand_in(fit))


def part_pages(a):
    raw = a.raw
    for pk in a.some(raw.parts):
        page, counts = a.get("part", pk), raw.stands()[pk]
        by_word = {word: state for state, word in STATES.items()}
        table = next(
            t
            for t in page.root.iter("table")
            if folded(t).startswith(tuple(STATES.values()))
            or "Pieces by state" in "".join(t.itertext())
        )
        shown = {by_word[folded(r[0])]: int(folded(r[1])) for r in table.findall("./tbody/tr")}
        a.same(page, "pieces by state", shown, {s: counts[s] for s in STATES if counts[s]})
        a.same(page, "wanted", page.figure(r"(\d+) wanted"), counts["need"])
        a.same(
            page, "left off", page.figure(r"(\d+) more will be left off") or 0, counts["left_off"]
        )
        told_apart(a, page, counts)
        finds = raw.sums("find_id", kind="identified", part_id=pk)
        items = [(li.find(".//a"), li.find(".//span")) for li in page.root.iter("li")]
        shown = {
            pk_of(link.get("href")): whole(folded(told))
            for link, told in items
            if link is not None and re.search(r"/finds/\d+/$", link.get("href", ""))
        }
        finds = {find: n for find, n in finds.items() if n > 0}
        a.same(page, "finds", shown, finds)
        entries = sum(entry["part_id"] == pk for entry in raw.entries)
        a.same(page, "dated entries", page.figure(r"come from: (\d+) dated") or 0, entries)
        own = [m for m in raw.jobs if raw.jobs[m]["part_id"] == pk]
        told = [(raw.job(m)["decided"], raw.job(m)["fitted"]) for m in own]
        shown = [
            (int(d), int(f or 0))
            for d, f in re.findall(r"(\d+) decided(?:, (\d+) fitted)?(?! beyond)", page.text)
        ]
        a.same(page, "jobs", shown, told)
        costs = [c for c in raw.costs if raw.part_of_cost(c) == pk]
        for table in page.tables("What", "Basis", "To come, likely"):
            for row in table.rows:
                one = raw.cost(pk_of(row["href"]))
                a.same(
                    page,
                    row["What"],
                    (number(row["Spent"]), number(row["To come, likely"])),
                    (one["spent"], one["to come"][1]),
                )
            low, _, high = raw.money(costs)["total"]
            shown = [
                number(n) for n in re.findall(r"£[\d,.]+|€[\d,.]+", table.foot[table.heads[2]])
            ]
            a.same(page, "costs in all", shown, [low] if low == high else [low, high])
            a.same(page, "costs", len(table.rows), len(costs))


def finds(a):
    raw = a.raw
    left = {pk: raw.left_of(pk) for pk in raw.finds}
    told = (
        len(raw.finds),
        sum(f["quantity"] for f in raw.finds.values()),
        sum(n > 0 for n in left.values()),
        sum(f["odd"] != "" for f in raw.finds.values()),
    )
    seen = set()
    for page in a.pages_of("site"):
        shown = re.search(
            r"(\d+) finds, (\d+) pieces; (\d+) still to identify, (\d+) no piece", page.text
        )
        a.same(page, "finds", tuple(map(int, shown.groups())), told)
        for row in page.table("Tag", "Is", "No.").rows:
            pk = pk_of(row["href"])
            seen.add(pk)
            quantity = raw.finds[pk]["quantity"]
            a.same(page, f"{row['Tag']}, how many", whole(row["No."]), quantity)
            if raw.finds[pk]["odd"]:
                continue
            some = {n for n in raw.known(pk).values() if n < quantity}
            shown = [int(n) for n in re.findall(rf"(\d+) of {quantity}\b(?! not yet)", row["Is"])]
            a.same(
                page,
                f"{row['Tag']}, what it is",
                sorted(shown),
                sorted(n for n in raw.known(pk).values() if n < quantity),
            )
            unknown = re.search(r"(?:(\d+) of \d+ )?not yet known", row["Is"])
            shown = int(unknown[1] or quantity) if unknown else 0
            a.same(page, f"{row['Tag']}, still to identify {some}", shown, left[pk])
    a.same("site", "finds listed", seen, set(raw.finds))
    waiting = {
        pk_of(row["href"])
        for page in a.pages_of("site", shown="waiting")
        for table in page.tables("Tag", "Is")
        for row in table.rows
    }
    a.same(
        "site?shown=waiting",
        "finds still to identify",
        waiting,
        {pk for pk, n in left.items() if n > 0},
    )


def find_pages(a):
    raw = a.raw
    for pk in a.some(raw.finds):
        page, row = a.get("find", pk), raw.finds[pk]
        a.same(page, "how many", whole(page.entries()["How many"]), row["quantity"])
        shown = Counter(
            int(n)
            for n, q in re.findall(r"(-?\d+) of (-?\d+)(?! still)", page.text)
            if int(q) == row["quantity"]
        )
        a.same(page, "what it is", shown, Counter(raw.known(pk).values()))
        if raw.left_of(pk):
            form = a.get("identify", pk)
            shown = re.search(r"(-?\d+) of (\d+) still to identify", form.text)
            a.same(
                form,
                "still to identify",
                tuple(map(int, shown.groups())),
                (raw.left_of(pk), row["quantity"]),
            )


def components(a):
    raw, page = a.raw, a.get("components")
    rows = page.table("Component", "Parts", "Pieces").rows
    a.same(page, "components", {pk_of(row["href"]) for row in rows}, set(raw.components))
    for row in rows:
        own = raw.parts_of(pk_of(row["href"]))
        n = raw.stand_in(own)
        shown = [
            whole(row[h]) for h in ("Parts", "Pieces", "On the engine", "Missing or beyond repair")
        ]
        a.same(page, row["Component"], shown, [len(own), n["need"], on_engine(n), wanting(n)])
    for pk in a.some(raw.components, 4):
        page = a.get("component", pk)
        a.counts(page, raw.stand_in(raw.parts_of(pk, within=True)))
