"""What is compared on each page of an engine: a function for each subject."""

import math
import re
from collections import Counter
from datetime import timedelta
from decimal import Decimal

from parts import models

from .audit import LB, STATES, folded, number, pk_of

ZERO = Decimal(0)
# In which line a part is drawn that stands in several ways: the first of these.
DRAWN = ("missing", "past_use", "to_be_made", "being_made", "found", "in_place", "fitted")


def _int(text):
    return int(number(text) or 0)


def _rows(page, *heads):
    """The rows of all tables of these heads: none where there is no such table."""
    return [row for table in page.tables(*heads) for row in table.rows]


def _drawn(counts):
    state = next((s for s in DRAWN if counts[s]), "found")
    some = f"{counts[state]} of {counts['need']}" if 0 < counts[state] < counts["need"] else ""
    return f"{STATES[state]} {some}".strip()


def _on_engine(counts):
    return counts["in_place"] + counts["fitted"]


def _accounted(counts):
    return _on_engine(counts) + counts["found"]


def _wanting(counts):
    return counts["missing"] + counts["past_use"]


def _over(a, page, counts, pattern="{} on hand beyond the need"):
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
    _over(a, page, counts)
    a.same(page, "left off", page.figure(r"(\d+) left off") or 0, counts["left_off"])
    shown = re.search(r"Pieces accounted for\s*(\d+) of (\d+)", page.text)
    a.same(page, "accounted for", shown.groups(), (str(_accounted(counts)), str(counts["need"])))
    a.same(page, "spent", page.figure(r"Cost to completion\s*(\S+) spent"), money["spent"])
    told = re.search(
        r"Likely (\S+) in all, (\S+) to ([^,\s]+(?:,\d{3})*[^,\s]*), added up", page.text
    )
    low, likely, high = money["total"]
    a.same(page, "costs", [number(n) for n in told.groups()], [likely, low, high])
    waiting = sum(raw.left_of(find) > 0 for find in raw.finds)
    a.same(page, "finds to identify", page.figure(r"(\d+) finds? still to identify") or 0, waiting)
    hours = sum(raw.hours_by("person").values())
    a.same(page, "hours", page.figure(r"([\d.,]+) hours given"), hours)
    undecided = sum(_wanting(n) > 0 for n in raw.stands().values())
    a.same(page, "parts to decide", page.figure(r"To decide\s*(\d+) part"), undecided)
    begun = [pk for pk in raw.to_make() if _begun(raw, pk)]
    a.same(page, "being made", page.figure(r"On the bench now\s*(\d+) being made"), len(begun))
    for row in page.table("Part", "Missing", "Past use").rows:
        n = raw.stands()[pk_of(row["href"])]
        a.same(
            page,
            row["Part"],
            (_int(row["Missing"]), _int(row["Past use"])),
            (n["missing"], n["past_use"]),
        )
    for row in page.table("Component", "Pieces", "To be made").rows:
        n = raw.stand_in(raw.parts_of(pk_of(row["href"])))
        shown = [
            _int(row[h])
            for h in (
                "Pieces",
                "On the engine",
                "Found",
                "Being made",
                "To be made",
                "Past use",
                "Missing",
            )
        ]
        a.same(
            page,
            row["Component"],
            shown,
            [
                n["need"],
                _on_engine(n),
                n["found"],
                n["being_made"],
                n["to_be_made"],
                n["past_use"],
                n["missing"],
            ],
        )


def _begun(raw, pk):
    """Some piece that is not fitted has reached the stage that begins it."""
    reached, route = raw.making(pk), models.Making.everything.get(pk=pk).way
    left = reached["decided"] - reached["fitted"]
    furthest = [s.key for s in route.stages if min(reached[s.key] - reached["fitted"], left) > 0]
    return bool(furthest) and route.place(furthest[-1]) >= route.place(route.begins)


def parts_list(a):
    raw = a.raw
    for page in a.pages_of("part_list"):
        a.counts(page, raw.stand_in())
        _over(a, page, raw.stand_in())
        for row in page.table("Part", "State", "No.").rows:
            pk = pk_of(row["href"])
            a.same(
                page,
                row["Part"],
                (_int(row["No."]), row["State"]),
                (raw.parts[pk]["quantity"], _drawn(raw.stands()[pk])),
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
        _over(a, page, counts)
        finds = raw.sums("find_id", kind="identified", part_id=pk)
        items = [(li.find(".//a"), li.find(".//span")) for li in page.root.iter("li")]
        shown = {
            pk_of(link.get("href")): _int(folded(told))
            for link, told in items
            if link is not None and re.search(r"/finds/\d+/$", link.get("href", ""))
        }
        finds = {find: n for find, n in finds.items() if n > 0}
        a.same(page, "finds", shown, finds)
        entries = sum(fact["part_id"] == pk for fact in raw.facts)
        a.same(page, "dated entries", page.figure(r"come from: (\d+) dated") or 0, entries)
        own = [m for m in raw.makings if raw.makings[m]["part_id"] == pk]
        told = [(raw.making(m)["decided"], raw.making(m)["fitted"]) for m in own]
        shown = [
            (int(d), int(f or 0))
            for d, f in re.findall(r"(\d+) decided(?:, (\d+) fitted)?(?! beyond)", page.text)
        ]
        a.same(page, "makings", shown, told)
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
            a.same(page, f"{row['Tag']}, how many", _int(row["No."]), quantity)
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
        a.same(page, "how many", _int(page.facts()["How many"]), row["quantity"])
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
        shown = [_int(row[h]) for h in ("Parts", "Pieces", "On the engine", "Missing or past use")]
        a.same(page, row["Component"], shown, [len(own), n["need"], _on_engine(n), _wanting(n)])
    for pk in a.some(raw.components, 4):
        page = a.get("component", pk)
        a.counts(page, raw.stand_in(raw.parts_of(pk, within=True)))


def makings(a):
    raw, open_ones = a.raw, a.raw.to_make()
    costs = {pk: raw.costs_of_making(pk, open_ones) for pk in open_ones}
    seen = {}
    for page in a.pages_of("makings"):
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
                    (_int(row["No."]), number(row["Likely"])),
                    (open_ones[pk], likely),
                )
                a.same(
                    page,
                    f"{row['Part']}, how it stands",
                    row["State"].startswith(_drawn(raw.stands()[raw.makings[pk]["part_id"]])),
                    True,
                )
            own = {
                pk
                for pk in open_ones
                if raw.makings[pk]["route"] == raw.makings[pk_of(rows[0]["href"])]["route"]
            }
            of = raw.money(c for pk in own for c in costs[pk])
            a.same(
                page,
                title,
                (_int(head["No."]), number(head["Likely"])),
                (sum(open_ones[pk] for pk in own), of["total"][1]),
            )
        of = raw.money(c for pk in open_ones for c in costs[pk])
        foot = table.foot
        a.same(
            page,
            "all",
            (_int(foot["No."]), number(foot["Likely"])),
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
    a.same("makings", "lines", set(seen), set(open_ones))
    for row, pk in zip(
        sorted(a.table_of("makings_csv"), key=_line),
        sorted(open_ones, key=lambda pk: _line_of(raw, pk)),
        strict=True,
    ):
        n, of = raw.making(pk), raw.money(costs[pk])
        shown = [int(row[h]) for h in ("item", "pieces", "decided", "fitted")]
        a.same(
            "makings.csv",
            row["part"],
            shown,
            [
                raw.parts[raw.makings[pk]["part_id"]]["item"],
                open_ones[pk],
                n["decided"],
                n["fitted"],
            ],
        )
        if costs[pk]:
            shown = [Decimal(row[h]) for h in ("cost low", "cost likely", "cost high", "spent")]
            a.same("makings.csv", row["part"], shown, [*of["total"], of["spent"]])


def _line(row):
    return int(row["item"]), int(row["pieces"]), int(row["decided"]), row["how"]


def _line_of(raw, pk):
    n, row = raw.making(pk), raw.makings[pk]
    how = models.Making.everything.get(pk=pk).way.word
    return raw.parts[row["part_id"]]["item"], n["decided"] - n["fitted"], n["decided"], how


def undecided(a):
    raw = a.raw
    wanting = {pk: n for pk, n in raw.stands().items() if _wanting(n)}
    told = (sum(_wanting(n) for n in wanting.values()), len(wanting))
    listed = {}
    for page in a.pages_of("undecided"):
        shown = re.search(r"(\d+) pieces? missing or past use, of (\d+) part", page.text)
        a.same(page, "still to decide", tuple(map(int, shown.groups())), told)
        for li in page.root.iter("li"):
            link = next((x.get("href") for x in li.iter("a") if "/parts/" in x.get("href", "")), "")
            if "two-ends" in li.get("class", "") and link:
                text = folded(li)
                missing, past = (
                    re.search(r"(\d+) missing", text),
                    re.search(r"(\d+) past use", text),
                )
                listed[pk_of(link)] = (
                    int(missing[1]) if missing else 0,
                    int(past[1]) if past else 0,
                )
    a.same(
        "undecided",
        "parts",
        listed,
        {pk: (n["missing"], n["past_use"]) for pk, n in wanting.items()},
    )
    page = a.get("makings")
    shown = re.search(r"Still to decide\s*(\d+) pieces?, (\d+) part", page.text)
    a.same(page, "still to decide", tuple(map(int, shown.groups())), told)
    shown = {
        int(row["item"]): (int(row["missing"]), int(row["past use"]))
        for row in a.table_of("undecided_csv")
    }
    a.same(
        "to-decide.csv",
        "parts",
        shown,
        {raw.parts[pk]["item"]: (n["missing"], n["past_use"]) for pk, n in wanting.items()},
    )


def making_pages(a):
    raw = a.raw
    for pk in a.some(raw.makings):
        page, n = a.get("making", pk), raw.making(pk)
        left = f"{n['decided'] - n['fitted']} of {n['decided']}"
        a.same(page, "not yet fitted", page.facts()["Not yet fitted"], left)
        way = models.Making.everything.get(pk=pk).way
        shown = [_int(row["Reached"]) for row in page.table("Stage", "Reached").rows]
        a.same(page, "stages", shown, [*(n[s.key] for s in way.stages), n["fitted"]])
        own = [c for c, row in raw.costs.items() if row["making_id"] == pk]
        if own:
            of = raw.money(own)
            shown = re.search(r"Spent (\S+), likely total\s*(\S+)", page.text)
            a.same(page, "costs", tuple(map(number, shown.groups())), (of["spent"], of["total"][1]))


def _worth(raw, lot):
    return (max(raw.metal(lot)["on hand"], ZERO) * raw.lots[lot]["value_per_kg"]).quantize(
        Decimal("0.01")
    )


def metal(a):
    raw, seen = a.raw, set()
    for page in a.pages_of("metal", used=1):
        for table in page.tables("Lot", "On hand", "Worth"):
            for row in table.rows:
                pk = pk_of(row["href"])
                seen.add(pk)
                a.near(
                    page, f"{row['Lot']}, on hand", row["On hand"] or "0", raw.metal(pk)["on hand"]
                )
                a.near(
                    page,
                    f"{row['Lot']}, set aside",
                    row["Set aside"] or "0",
                    raw.metal(pk)["aside"],
                )
                a.same(page, f"{row['Lot']}, worth", number(row["Worth"]) or ZERO, _worth(raw, pk))
            a.near(
                page,
                "on hand in all",
                table.foot["On hand"],
                sum(raw.metal(pk)["on hand"] for pk in raw.lots),
            )
            a.near(
                page,
                "set aside in all",
                table.foot["Set aside"] or "0",
                sum(raw.metal(pk)["aside"] for pk in raw.lots),
            )
            a.same(
                page,
                "worth in all",
                number(table.foot["Worth"]),
                sum(_worth(raw, pk) for pk in raw.lots),
            )
    a.same("metal", "lots", seen, set(raw.lots))
    by_name = {raw.lots[pk]["name"]: pk for pk in raw.lots}
    for row in a.table_of("metal_csv"):
        told = raw.metal(by_name[row["lot"]])
        shown = [
            Decimal(row[h]) for h in ("in kg", "out kg", "on hand kg", "set aside kg", "on hand lb")
        ]
        rows = [told["in"], told["out"], told["on hand"], told["aside"], told["on hand"] / LB]
        a.same("metal.csv", row["lot"], [round(n, 3) for n in shown], [round(n, 3) for n in rows])
        a.same(
            "metal.csv",
            f"{row['lot']}, worth",
            Decimal(row["worth"]),
            _worth(raw, by_name[row["lot"]]),
        )
    for pk in raw.lots:
        page, left = a.get("lot", pk), ZERO
        found = re.search(r"On hand\s*([\d.,]+ \w+)", page.text)
        a.near(page, "on hand", found[1], raw.metal(pk)["on hand"])
        moves = sorted(
            (m for m in raw.moves if m["lot_id"] == pk and not m["planned"]),
            key=lambda m: (m["day"], m["id"]),
        )
        tables = [row for table in page.tables("Day", "In", "Out", "Left") for row in table.rows]
        for row, move, line in zip(tables[::-1], moves, a.table_of("lot_csv", pk), strict=True):
            left += Decimal(repr(move["kg"]))
            a.near(page, f"left after {move['day']}", row["Left"] or "0", left)
            a.same("lot.csv", "left", Decimal(line["left kg"]), round(left, 3).normalize())


def pours(a):
    raw = a.raw
    for page in a.pages_of("pours"):
        for row in _rows(page, "Pour", "Metal", "Castings", "Good"):
            pk = pk_of(row["href"])
            own = [c for c in raw.castings if c["pour_id"] == pk]
            pieces, good = sum(c["pieces"] for c in own), sum(c["good"] or 0 for c in own)
            a.same(page, row["Pour"], _int(row["Castings"]), pieces)
            if raw.pours[pk]["poured_on"]:
                shown = [int(n) for n in re.findall(r"\d+", row["Good"])]
                a.same(
                    page,
                    f"{row['Pour']}, good",
                    shown,
                    [good, pieces - good] if pieces > good else [good],
                )
    for pk, row in raw.pours.items():
        page = a.get("pour", pk)
        own = [c for c in raw.castings if c["pour_id"] == pk]
        pieces, good = sum(c["pieces"] for c in own), sum(c["good"] or 0 for c in own)
        told = f"{good} good of {pieces}" if row["poured_on"] else str(pieces)
        a.same(page, "castings", page.facts()["Castings"], told)
        a.near(
            page,
            "to pour",
            page.facts()["To pour"],
            sum(c["pieces"] * Decimal(repr(c["poured_kg"])) for c in own),
        )
        moves = [m for m in raw.moves if m["pour_id"] == pk]
        out = [m for m in moves if m["kg"] < 0 and m["planned"] == (row["poured_on"] is None)]
        for table in page.tables("Lot", "Kind"):
            if out:
                a.near(
                    page,
                    "in all",
                    table.foot[table.heads[2]],
                    -sum(Decimal(repr(m["kg"])) for m in out),
                )


def bars(a):
    raw = a.raw
    here = Counter()
    for move in raw.bar_moves:
        here[move["bar_id"]] += move["bars"]
    for page in a.pages_of("bars"):
        for table in page.tables("Bar", "Here", "Free"):
            shown = Counter((row["Length"], _int(row["Here"])) for row in table.rows)
            rows = [
                (b["length_written"], here[pk], b["offcut"])
                for pk, b in raw.bars.items()
                if b["in_store"]
            ]
            a.same(
                page,
                "bars here",
                Counter(n for _, n in shown.elements()),
                Counter(n for _, n, offcut in rows if n or not offcut),
            )


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
        to_get[pk] = _wanting(n) + n["to_be_made"] + short
    for page in a.pages_of("fasteners"):
        table = page.table("Part", "Quantity", "To get")
        a.same(page, "all to get", _int(table.foot["To get"]), sum(to_get.values()))
        a.same(page, "to get", page.figure(r"fastenings, (\d+) piece"), sum(to_get.values()))
        for head, rows in table.groups:
            a.same(
                page, head["Part"], _int(head["To get"]), sum(to_get[_part_of(row)] for row in rows)
            )
            for row in rows:
                pk = _part_of(row)
                a.same(
                    page,
                    row["Part"],
                    (_int(row["Quantity"]), _int(row["To get"])),
                    (raw.parts[pk]["quantity"], to_get[pk]),
                )
                a.same(
                    page, f"{row['Part']}, how it stands", row["State"], _drawn(raw.stands()[pk])
                )
    by_item = {raw.parts[pk]["item"]: pk for pk in own}
    lines = a.table_of("fasteners_csv")
    a.same("fasteners.csv", "lines", {int(row["item"]) for row in lines}, set(by_item))
    for row in lines:
        pk = by_item[int(row["item"])]
        n = raw.stands()[pk]
        shown = [int(row[h]) for h in ("quantity", "missing", "past use", "to be made", "to get")]
        a.same(
            "fasteners.csv",
            row["part"],
            shown,
            [raw.parts[pk]["quantity"], n["missing"], n["past_use"], n["to_be_made"], to_get[pk]],
        )


def _part_of(row):
    return int(re.search(r"/parts/(\d+)/", row["href"])[1])


def lifts(a):
    """The mass on the hook is what its own rows come to, to the figures they are shown with."""
    for pk, lift in a.raw.lifts.items():
        page = a.get("lift", pk, units="metric")
        tables = list(page.tables("Part", "No.", "All, at most"))
        total = page.figure(r"Mass on the hook(?:, at most)?\s*([\d.,]+) kg")
        if not tables or total is None:
            continue
        parts = [number(row["All, at most"]) for row in tables[0].rows]
        rough = sum(Decimal(10) ** (n.adjusted() - 3) for n in [*parts, total]) / 2
        a.same(
            page,
            "mass on the hook",
            abs(sum(parts) + Decimal(repr(lift["extra_kg"] or 0)) - total) <= rough,
            True,
        )


def costs(a):
    raw, page = a.raw, a.get("costs")
    amounts = ("Spent", "Ordered, not paid", "To come", "Likely total")

    def of(money):
        return [money["spent"], money["ordered"], money["to come"][1], money["total"][1]]

    headings = {"other": "Other"} | dict(models.Heading.choices)
    by_heading, by_component = {}, {}
    for pk, row in raw.costs.items():
        by_heading.setdefault(headings[row["heading"]], []).append(pk)
        component = models.Component.everything.filter(pk=raw.component_of_cost(pk)).first()
        by_component.setdefault(str(component) if component else "No one component", []).append(pk)
    for head, groups in (("Cost of", by_heading), ("Component", by_component)):
        table = next(page.tables(head, *amounts))
        for row in table.rows:
            a.same(
                page,
                row[head],
                [number(row[h]) for h in amounts],
                of(raw.money(groups.pop(row[head], []))),
            )
        a.same(page, f"{head}, none left out", groups, {})
        a.same(page, f"{head}, all", [number(table.foot[h]) for h in amounts], of(raw.money()))
    basis = page.table("Basis", "Low", "Likely", "High")
    rows = {row["Basis"]: [number(row[h]) for h in ("Low", "Likely", "High")] for row in basis.rows}
    spent = raw.money()["spent"]
    told = {"Paid": [spent] * 3}
    for key, word in (("estimated", "Estimated"), ("quoted", "Quoted"), ("ordered", "Ordered")):
        own = [raw.cost(pk)["to come"] for pk in raw.costs if raw.cost(pk)["basis"] == key]
        told[word] = [sum((one[i] for one in own), ZERO) for i in range(3)]
    a.same(page, "by basis", rows, told)
    a.same(
        page,
        "all by basis",
        [number(basis.foot[h]) for h in ("Low", "Likely", "High")],
        list(raw.money()["total"]),
    )
    so_far = ZERO
    for row in page.table("Month", "Spent", "So far").rows if list(page.tables("Month")) else ():
        paid = sum(
            (
                x["likely"]
                for x in raw.amounts
                if x["basis"] == "paid"
                and x["item_id"] in raw.costs
                and f"{x['day']:%b %Y}" == row["Month"]
            ),
            ZERO,
        )
        so_far += paid
        a.same(page, row["Month"], (number(row["Spent"]), number(row["So far"])), (paid, so_far))
    seen = set()
    for page in a.pages_of("costs"):
        table = page.table("What it is for", "Heading", "Likely total")
        for row in table.rows:
            pk = pk_of(row["href"])
            seen.add(pk)
            one = raw.cost(pk)
            a.same(
                page,
                row["What it is for"],
                [number(row[h]) for h in ("Spent", "To come", "Likely total")],
                [one["spent"], one["to come"][1], one["total"][1]],
            )
        all_of = raw.money()
        a.same(
            page,
            "all costs",
            [number(table.foot[h]) for h in ("Spent", "To come", "Likely total")],
            [all_of["spent"], all_of["to come"][1], all_of["total"][1]],
        )
    a.same("costs", "costs", seen, set(raw.costs))
    lines = a.table_of("costs_csv")
    a.same("costs.csv", "lines", len(lines), len(raw.costs))
    ends = ("spent", "ordered not paid", "to come low", "to come likely", "to come high")
    shown = [sum(Decimal(row[h]) for row in lines) for h in ends]
    a.same("costs.csv", "all", shown, [all_of["spent"], all_of["ordered"], *all_of["to come"]])
    for row in a.table_of("tally_csv"):
        if row["by"] == "all":
            shown = [Decimal(row[h]) for h in (*ends, "total low", "total likely", "total high")]
            a.same(
                "tally.csv",
                "all",
                shown,
                [all_of["spent"], all_of["ordered"], *all_of["to come"], *all_of["total"]],
            )


def cost_pages(a):
    raw = a.raw
    for pk in a.some(raw.costs):
        page, one = a.get("cost", pk), raw.cost(pk)
        told = page.facts()
        a.same(
            page,
            "sums",
            [number(told["Spent"]), number(told["Still to come"])],
            [one["spent"], one["to come"][1]],
        )
        a.same(page, "likely total", page.figure(r"Likely total\s*(\S+)"), one["total"][1])
        a.same(page, "amounts", sum(len(t.rows) for t in page.tables("Day", "Basis")), one["rows"])


def progress(a):
    raw, page = a.raw, a.get("report_list")
    counts, hours = raw.stand_in(), raw.hours_by(raw.component_of_hours)
    shown = page.figure(r"Pieces on the engine, in place or fitted\s*([\d.,]+) pieces")
    a.same(page, "pieces on the engine", shown, _on_engine(counts))
    a.same(page, "hours", page.figure(r"Hours given\s*([\d.,]+) h"), sum(hours.values()))
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
                "Missing or past use",
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
                _on_engine(n),
                n["found"],
                n["being_made"],
                _wanting(n),
                hours[pk],
                raw.money(own)["spent"],
            ],
        )


def hours_and_people(a):
    raw = a.raw
    by_person, by_work = raw.hours_by("person"), raw.hours_by("work")
    by_work = {dict(models.Work.choices)[key]: n for key, n in by_work.items()}
    total = ZERO
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
        (models.Fact, "who", "(?:entry|entries) about pieces"),
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
            shown = {head: _int(row[head]) for head in table.heads[1:]}
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
            (_accounted(counts), counts["need"], _accounted(before)),
        )
        money, earlier = raw.money(day=last), raw.money(day=eve)
        shown = re.search(r"(\S+)\s*spent in all, (\S+) of it in this time", page.text)
        a.same(
            page,
            "spent",
            tuple(map(number, shown.groups())),
            (money["spent"], money["spent"] - earlier["spent"]),
        )
        hours, in_time = raw.hours_by("person", last), raw.hours_by("person", last, first)
        shown = re.search(
            r"([\d.,]+) h\s*given by (\d+) p\w+, ([\d.,]+) h of it in this time", page.text
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
                    "Missing or past use",
                    "Spent",
                )
            ]
            a.same(
                page,
                row["Component"],
                shown,
                [
                    n["need"],
                    _on_engine(n),
                    _on_engine(was),
                    n["found"],
                    n["being_made"],
                    _wanting(n),
                    raw.money(costs, last)["spent"],
                ],
            )
        _report_costs(a, page, last)
        _report_makings(a, page, first, last)


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


def _report_makings(a, page, first, last):
    raw = a.raw
    open_ones, n = raw.to_make(last), raw.stand_in(day=last)
    for table in page.tables("Part", "Metal", "Likely cost"):
        a.same(page, "parts to make", _int(table.foot["No."]), sum(open_ones.values()))
        a.same(page, "lines", sum(len(rows) for _, rows in table.groups), len(open_ones))
    shown = page.figure(r"(\d+) more pieces, of \d+ parts, are missing or past use")
    a.same(page, "still to decide", shown or 0, _wanting(n))
    steps = {}
    for pk in raw.makings:
        told = raw.sums(("kind", "stage"), last, first, making_id=pk)
        way = models.Making.everything.get(pk=pk).way
        order = [("stage", s.key) for s in way.stages] + [("fitted", "")]
        reached = [(key, told[key]) for key in order if told[key] > 0]
        if reached:
            (kind, stage), pieces = reached[-1]
            word = "fitted" if kind == "fitted" else way.stage(stage).word
            steps[(raw.parts[raw.makings[pk]["part_id"]]["item"], word.capitalize(), pieces)] = pk
    for table in page.tables("Made and fitted", "How far", "Pieces"):
        for row in table.rows:
            key = (int(row["Made and fitted"].split()[0]), row["How far"], _int(row["Pieces"]))
            a.same(page, f"what was done: {key}", key in steps, True)


_SIGNS = {"×": "*", "÷": "/", "−": "-", "²": "**2", "³": "**3", "π": "pi", ",": "", "^": "**"}
_KNOWN = {name: getattr(math, name) for name in ("sin", "cos", "tan", "radians", "sqrt", "pi")}


def _put_in(figures):
    """What a formula with its numbers put in comes to, and what it says; None if not plain."""
    said = re.match(r"([^=a-zA-Zπ√]*(?:(?:sin|cos|tan|√|π)[^=a-zA-Zπ√]*)*)= ?([\d.,]+)", figures)
    if not said:
        return None
    sum_of = re.sub(r"(sin|cos|tan) ([\d.]+)°", r"\1(radians(\2))", said[1])
    sum_of = re.sub(r"√ ?([\d.]+)", r"sqrt(\1)", sum_of).replace("√", "sqrt")
    for sign, plain in _SIGNS.items():
        sum_of = sum_of.replace(sign, plain)
    try:
        value = eval(sum_of, {"__builtins__": {}}, _KNOWN)  # noqa: S307, our own page
    except (SyntaxError, TypeError):
        return None
    return value, said[2].rstrip(".").replace(",", "")


def formulas(a):
    """The numbers put into a formula come to the answer that stands beside them."""
    raw = a.raw
    fasteners = [pk for pk in a.some(raw.parts) if raw.parts[pk]["fastener"]]
    pages = [a.get(name) for name in ("figures", "pours", "bar_plan")]
    pages += [a.get("pour", pk) for pk in raw.pours]
    pages += [a.get("lift", pk, working=n) for pk in raw.lifts for n in range(4)]
    for name in ("bodies", "pattern", "bearing"):
        pages += [a.get(name, pk) for pk in a.some(raw.parts)[::4]]
    pages += [a.get("fastener", pk) for pk in fasteners]
    for page in pages:
        for div in page.root.iter("div"):
            if div.get("class") != "formula" or not (found := _put_in(folded(div[-1]))):
                continue
            value, said = found
            places = len(said.partition(".")[2])
            # Whole numbers of more than four figures are written to four.
            step = 10.0 ** (-places if places else max(0, len(said) - 4))
            a.same(page, folded(div[-1]), abs(value - float(said)) <= 0.5001 * step, True)


CHECKS = (
    overview, parts_list, part_pages, finds, find_pages, components, makings, undecided,
    making_pages, metal, pours, bars, fasteners, lifts, costs, cost_pages, progress,
    hours_and_people, search, reports, formulas,
)  # fmt: skip
