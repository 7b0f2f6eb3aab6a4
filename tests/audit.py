"""Reads the numbers off the pages as served, and adds the same up from the raw rows.

The sums are plain Python over the rows of the record, day by day as the design lays down; no query
or sum of the application is used, so that it cannot agree with itself by mistake.
"""

import csv
import io
import math
import re
from collections import Counter, defaultdict
from decimal import Decimal
from html.parser import HTMLParser
from xml.etree import ElementTree

from django.urls import reverse

from parts import models
from parts.trade.routes import ROUTES

from .test_demo_tables import filled

STATES = {
    "fitted": "Fitted",
    "in_place": "In place",
    "found": "Found",
    "being_made": "Being made",
    "to_be_made": "To be made",
    "past_use": "Past use",
    "missing": "Missing",
}
LB = Decimal("0.45359237")
NOTHING = Decimal(0)
VOID = {"area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "wbr"}


# ---- Reading a page ----


class _Reader(HTMLParser):
    def __init__(self):
        super().__init__()
        self.tree = ElementTree.TreeBuilder()

    def handle_starttag(self, tag, attrs):
        self.tree.start(tag, {key: value or "" for key, value in attrs})
        if tag in VOID:
            self.tree.end(tag)

    def handle_startendtag(self, tag, attrs):
        self.tree.start(tag, {key: value or "" for key, value in attrs})
        self.tree.end(tag)

    def handle_endtag(self, tag):
        if tag not in VOID:
            self.tree.end(tag)

    def handle_data(self, data):
        self.tree.data(data)


def _of_class(element, name):
    return name in element.get("class", "").split()


def words(element, but=("spoken", "lining", "range")):
    """What a person reads of an element: without drawings and what is only spoken."""
    if element.tag in ("svg", "script", "style", "select") or any(
        _of_class(element, name) for name in but
    ):
        return ""
    inner = [element.text or ""]
    for child in element:
        inner += [words(child, but), child.tail or ""]
    return " ".join("".join(inner).split()) if element.tag == "td" else "".join(inner)


def folded(element):
    return " ".join(words(element).split())


class Page:
    """A page as it was served."""

    def __init__(self, address, content):
        self.address = address
        reader = _Reader()
        reader.feed(content)
        self.root = reader.tree.close()
        self.text = folded(
            self.root.find(".//main") if self.root.find(".//main") is not None else self.root
        )

    def tables(self, *heads):
        """The tables that have all these heads."""
        for table in self.root.iter("table"):
            found = [folded(th) for th in table.findall("./thead/tr/th")]
            if all(any(name.startswith(head) for name in found) for head in heads):
                yield Table(table, found)

    def table(self, *heads):
        found = next(self.tables(*heads), None)
        if found is None:
            raise LookupError(f"{self.address} has no table of {', '.join(heads)}.")
        return found

    def state_key(self):
        """The counts of the key of states by state, with "" for all."""
        table = next(t for t in self.root.iter("table") if _of_class(t, "state-key"))
        rows = [[folded(cell) for cell in row] for row in table.findall("./tbody/tr")]
        by_word = {word: state for state, word in STATES.items()}
        counts = {
            by_word[next(word for word in by_word if row[1].startswith(word))]: int(row[2])
            for row in rows
        }
        return counts | {"": int(folded(table.findall("./tfoot/tr/td")[-1]))}

    def figure(self, pattern):
        """The number of the first group of a pattern in the page; None where it is not there."""
        found = re.search(pattern, self.text)
        return number(found[1]) if found else None

    def facts(self):
        """What stands beside each caption of the lists of facts."""
        found = {}
        for dl in self.root.iter("dl"):
            for pair in dl.findall("./div"):
                found[folded(pair.find("dt"))] = folded(pair.find("dd"))
        return found


class Table:
    def __init__(self, element, heads):
        self.element, self.heads = element, heads

    def _row(self, row):
        cells, at = {}, 0
        for cell in row:
            head = self.heads[at] if at < len(self.heads) else ""
            cells[head] = folded(cell)
            at += int(cell.get("colspan", 1))
        link = next((a.get("href") for a in row.iter("a") if a.get("href", "").startswith("/")), "")
        return cells | {"href": link}

    @property
    def rows(self):
        return [
            self._row(row)
            for body in self.element.findall("./tbody")
            for row in body.findall("./tr")
            if not _of_class(row, "group")
        ]

    @property
    def groups(self):
        """Each group of rows: its own line, and the rows below it."""
        return [
            (self._row(body.find("./tr")), [self._row(row) for row in body.findall("./tr")[1:]])
            for body in self.element.findall("./tbody")
            if body.find("./tr") is not None and _of_class(body.find("./tr"), "group")
        ]

    @property
    def foot(self):
        return self._row(self.element.find("./tfoot/tr"))


def number(text):
    """The first number of a text: £1,180.50, −£40, 21.5 lb; None where there is none."""
    found = re.search(r"([−-]?)[^\d−-]{0,2}(\d[\d,]*(?:\.\d+)?)", text or "")
    if not found:
        return None
    return Decimal(found[2].replace(",", "")) * (-1 if found[1] else 1)


def pk_of(href):
    return int(re.findall(r"/(\d+)/", href)[-1])


# ---- Adding up the raw rows ----


class Raw:
    """The rows of an engine that are kept, and sums of them in plain Python."""

    def __init__(self, engine):
        self.engine = engine

        def kept(model, **which):
            which = which or {"engine_id": engine.pk}
            rows = model._base_manager.filter(removed_at__isnull=True, **which)
            return {row["id"]: row for row in rows.values()}

        self.parts = kept(models.Part)
        self.components = kept(models.Component)
        self.finds = kept(models.Find)
        self.makings = kept(models.Making)
        self.facts = list(kept(models.Fact).values())
        self.costs = kept(models.CostItem)
        self.amounts = list(kept(models.CostAmount, item__engine_id=engine.pk).values())
        self.hours = list(kept(models.HoursGiven).values())
        self.lots = kept(models.MetalLot)
        self.moves = list(kept(models.MetalMove).values())
        self.pours = kept(models.Pour)
        self.castings = list(kept(models.PourCasting).values())
        self.bars = kept(models.Bar)
        self.bar_moves = list(kept(models.BarMove).values())
        self.fasteners = {row["part_id"]: row for row in kept(models.Fastener).values()}
        self.lifts = kept(models.Lift)
        self._stand = {}

    # Pieces

    def stands(self, day=None):
        """How the pieces of each part stand on a day: counts by state, need, left_off, over."""
        if day not in self._stand:
            have = defaultdict(Counter)
            for fact in self.facts:
                if day is None or fact["day"] <= day:
                    kind = fact["kind"]
                    if kind == "stage":
                        route = ROUTES[self.makings[fact["making_id"]]["route"]]
                        kind = "begun" if fact["stage"] == route.begins else ""
                    have[fact["part_id"]][kind] += fact["pieces"]
            found = {}
            for pk, part in self.parts.items():
                counts = Counter(filled(have[pk], part["quantity"]))
                counts["left_off"] = have[pk]["left_off"]
                counts["need"] = max(0, part["quantity"] - have[pk]["left_off"])
                found[pk] = counts
            self._stand[day] = found
        return self._stand[day]

    def stand_in(self, parts=None, day=None):
        """The counts of some parts added up; of all when none are named."""
        total = Counter()
        for pk, counts in self.stands(day).items():
            if parts is None or pk in parts:
                total.update(counts)
        return total

    def parts_of(self, component, within=False):
        inside = {component}
        while within:
            more = {pk for pk, c in self.components.items() if c["parent_id"] in inside} - inside
            if not more:
                break
            inside |= more
        return {pk for pk, part in self.parts.items() if part["component_id"] in inside}

    def sums(self, key, day=None, first=None, **which):
        """Pieces of facts added up by a column or by several."""
        total = Counter()
        for fact in self.facts:
            if day is not None and fact["day"] > day:
                continue
            if first is not None and fact["day"] < first:
                continue
            if all(fact[name] == value for name, value in which.items()):
                total[fact[key] if isinstance(key, str) else tuple(fact[k] for k in key)] += fact[
                    "pieces"
                ]
        return total

    def known(self, find):
        """Pieces of a find by the part they are."""
        told = self.sums("part_id", kind="identified", find_id=find)
        return {part: n for part, n in told.items() if n > 0}

    def left_of(self, find):
        row = self.finds[find]
        return 0 if row["odd"] else row["quantity"] - sum(self.known(find).values())

    def making(self, pk, day=None):
        """Pieces of a making: decided, fitted and reached by stage."""
        told = self.sums(("kind", "stage"), day, making_id=pk)
        reached = Counter({stage: n for (kind, stage), n in told.items() if kind == "stage"})
        reached["decided"], reached["fitted"] = told["decided", ""], told["fitted", ""]
        return reached

    def to_make(self, day=None):
        """Pieces not yet fitted by making, where there are any."""
        told = {pk: self.making(pk, day) for pk in self.makings}
        left = {pk: n["decided"] - n["fitted"] for pk, n in told.items()}
        return {pk: n for pk, n in left.items() if n > 0}

    # Money

    def cost(self, pk, day=None):
        """One cost: spent, ordered, and (low, likely, high) to come and in all."""
        rows = [
            row
            for row in self.amounts
            if row["item_id"] == pk and (day is None or row["day"] <= day)
        ]
        paid = [row for row in rows if row["basis"] == "paid"]
        spent = sum((row["likely"] for row in paid), NOTHING)
        rank = {"estimated": 1, "quoted": 2, "ordered": 3}
        rest = [row for row in rows if row["basis"] != "paid"]
        best = max(rest, key=lambda row: (rank[row["basis"]], row["day"], row["id"]), default=None)
        to_come = (NOTHING,) * 3
        if best is not None and not any(row["settles"] for row in paid):
            to_come = tuple(max(best[end] - spent, NOTHING) for end in ("low", "likely", "high"))
        return {
            "spent": spent,
            "basis": best["basis"] if best else "",
            "ordered": to_come[1] if best and best["basis"] == "ordered" else NOTHING,
            "to come": to_come,
            "total": tuple(spent + amount for amount in to_come),
            "rows": len(rows),
        }

    def part_of_cost(self, pk):
        row = self.costs[pk]
        making = self.makings.get(row["making_id"])
        return row["part_id"] or (making and making["part_id"])

    def component_of_cost(self, pk):
        part = self.part_of_cost(pk)
        return self.parts[part]["component_id"] if part else self.costs[pk]["component_id"]

    def money(self, costs=None, day=None):
        """Costs added up; of all when none are named."""
        rows = [self.cost(pk, day) for pk in (self.costs if costs is None else costs)]
        return {
            "spent": sum((row["spent"] for row in rows), NOTHING),
            "ordered": sum((row["ordered"] for row in rows), NOTHING),
            "to come": tuple(sum((row["to come"][i] for row in rows), NOTHING) for i in range(3)),
            "total": tuple(sum((row["total"][i] for row in rows), NOTHING) for i in range(3)),
        }

    def costs_of_making(self, pk, open_ones):
        """Its own, and where it is the first open one of its part, those of the part alone."""
        part = self.makings[pk]["part_id"]
        first = min(one for one in open_ones if self.makings[one]["part_id"] == part)
        return [
            item
            for item, row in self.costs.items()
            if row["making_id"] == pk
            or (first == pk and row["making_id"] is None and row["part_id"] == part)
        ]

    # Metal, hours

    def metal(self, lot):
        moves = [m for m in self.moves if m["lot_id"] == lot]
        real = [Decimal(repr(m["kg"])) for m in moves if not m["planned"]]
        return {
            "in": sum((kg for kg in real if kg > 0), NOTHING),
            "out": -sum((kg for kg in real if kg < 0), NOTHING),
            "on hand": sum(real, NOTHING),
            "aside": -sum((Decimal(repr(m["kg"])) for m in moves if m["planned"]), NOTHING),
        }

    def hours_by(self, key, last=None, first=None):
        total = Counter()
        for row in self.hours:
            if (last is None or row["day"] <= last) and (first is None or row["day"] >= first):
                total[row[key] if isinstance(key, str) else key(row)] += row["hours"]
        return total

    def component_of_hours(self, row):
        part = self.parts.get(row["part_id"])
        return row["component_id"] or (part and part["component_id"])


# ---- Comparing ----


class Audit:
    """Goes through the pages of an engine and notes each number that is not the sum of its rows."""

    def __init__(self, client, engine, every=1):
        self.client, self.engine, self.every = client, engine, every
        self.raw = Raw(engine)
        self.compared, self.wrong, self.idle = 0, [], set()

    def run(self, checks):
        """Go through the checks; return what is wrong, in words."""
        for check in checks:
            before = self.compared
            try:
                check(self)
            except LookupError as error:
                self.wrong.append(f"{check.__name__}: {error}")
            if self.compared == before:
                self.idle.add(check.__name__)
        return self.wrong

    def get(self, name, *args, **query):
        address = reverse(f"parts:{name}", args=[self.engine.pk, *args])
        response = self.client.get(address, query)
        if response.status_code != 200:
            raise LookupError(f"{address} answered {response.status_code}")
        return Page(
            response.request["PATH_INFO"] + response.request["QUERY_STRING"],
            response.content.decode(),
        )

    def table_of(self, name, *args):
        """A CSV as dicts."""
        content = self.client.get(reverse(f"parts:{name}", args=[self.engine.pk, *args])).content
        rows = list(csv.DictReader(io.StringIO(content.decode("utf-8-sig"))))
        for row in rows:
            self.same(name, "cells that are -0", [c for c in row.values() if c == "-0"], [])
        return rows

    def pages_of(self, name, **query):
        """Every page of a long list."""
        page = self.get(name, **query)
        yield page
        more = re.search(r"Page 1 of (\d+)", page.text)
        for n in range(2, int(more[1]) + 1 if more else 2):
            yield self.get(name, **query, page=n)

    def some(self, rows, most=1000):
        """Every row, or in a short run some of them, spread over all: one in `most` at least."""
        return [row for i, row in enumerate(rows) if i % min(self.every, most) == 0]

    def same(self, where, what, shown, expected):
        self.compared += 1
        if shown != expected:
            address = getattr(where, "address", where)
            self.wrong.append(f"{address}: {what}: shows {shown}, the rows come to {expected}")

    def near(self, where, what, text, kg):
        """A mass as shown, to three figures, in the unit of the engine."""
        shown = number(text)
        true = kg / LB if self.engine.mass_unit == "lb" else kg
        step = Decimal(10) ** (math.floor(math.log10(abs(true))) - 2) if true else Decimal(1)
        self.compared += 1
        if shown is None or abs(shown - true) > step * Decimal("0.5001"):
            address = getattr(where, "address", where)
            self.wrong.append(f"{address}: {what}: shows {text!r}, the rows come to {true:.4f}")

    def counts(self, page, raw):
        self.same(
            page,
            "pieces by state",
            {k: n for k, n in page.state_key().items() if n},
            {k: n for k, n in [*((s, raw[s]) for s in STATES), ("", raw["need"])] if n},
        )
