"""The same numbers, added up from the raw rows in plain Python, as the design lays down."""

from collections import Counter, defaultdict
from decimal import Decimal

from parts import models
from parts.engineering.routes import ROUTES
from tests.audit.page import STATES
from tests.demo.test_tables import filled

LB = Decimal("0.45359237")
NOTHING = Decimal(0)
# In which line a part is drawn that stands in several ways: the first of these.
DRAWN = ("missing", "beyond_repair", "to_be_made", "being_made", "found", "in_place", "fitted")


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
        self.jobs = kept(models.Job)
        self.entries = list(kept(models.PieceEntry).values())
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
            for entry in self.entries:
                if day is None or entry["day"] <= day:
                    kind = entry["kind"]
                    if kind == "stage":
                        route = ROUTES[self.jobs[entry["job_id"]]["route"]]
                        kind = "begun" if entry["stage"] == route.begins else ""
                    have[entry["part_id"]][kind] += entry["pieces"]
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
        """Pieces of entries added up by a column or by several."""
        total = Counter()
        for entry in self.entries:
            if day is not None and entry["day"] > day:
                continue
            if first is not None and entry["day"] < first:
                continue
            if all(entry[name] == value for name, value in which.items()):
                total[entry[key] if isinstance(key, str) else tuple(entry[k] for k in key)] += (
                    entry["pieces"]
                )
        return total

    def known(self, find):
        """Pieces of a find by the part they are."""
        told = self.sums("part_id", kind="identified", find_id=find)
        return {part: n for part, n in told.items() if n > 0}

    def left_of(self, find):
        row = self.finds[find]
        return 0 if row["odd"] else row["quantity"] - sum(self.known(find).values())

    def job(self, pk, day=None):
        """Pieces of a job: decided, fitted and reached by stage."""
        told = self.sums(("kind", "stage"), day, job_id=pk)
        reached = Counter({stage: n for (kind, stage), n in told.items() if kind == "stage"})
        reached["decided"], reached["fitted"] = told["decided", ""], told["fitted", ""]
        return reached

    def to_make(self, day=None):
        """Pieces not yet fitted by job, where there are any."""
        told = {pk: self.job(pk, day) for pk in self.jobs}
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
        paid_here = sum((row["likely"] for row in paid), NOTHING)
        spent = paid_here - sum(
            (
                row["likely"]
                for row in self.amounts
                if self.bill_of(row) == pk and (day is None or row["day"] <= day)
            ),
            NOTHING,
        )
        rank = {"estimated": 1, "quoted": 2, "ordered": 3}
        rest = [row for row in rows if row["basis"] != "paid"]
        best = max(rest, key=lambda row: (rank[row["basis"]], row["day"], row["id"]), default=None)
        to_come = (NOTHING,) * 3
        if best is not None and not any(row["settles"] for row in paid):
            to_come = tuple(
                max(best[end] - paid_here, NOTHING) for end in ("low", "likely", "high")
            )
        return {
            "spent": spent,
            "basis": best["basis"] if best else "",
            "ordered": to_come[1] if best and best["basis"] == "ordered" else NOTHING,
            "to come": to_come,
            "total": tuple(spent + amount for amount in to_come),
            "rows": len(rows),
        }

    def bill_of(self, amount):
        """The kept cost that an amount of another was paid under, or None."""
        lot = self.lots.get(amount["lot_id"])
        bill = amount["out_of_id"] or (lot and lot["bought_as_id"])
        return bill if bill in self.costs and amount["item_id"] in self.costs else None

    def part_of_cost(self, pk):
        row = self.costs[pk]
        job = self.jobs.get(row["job_id"])
        return row["part_id"] or (job and job["part_id"])

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

    def costs_of_job(self, pk, open_ones):
        """Its own, and where it is the first open one of its part, those of the part alone."""
        part = self.jobs[pk]["part_id"]
        first = min(one for one in open_ones if self.jobs[one]["part_id"] == part)
        return [
            item
            for item, row in self.costs.items()
            if row["job_id"] == pk
            or (first == pk and row["job_id"] is None and row["part_id"] == part)
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


def drawn(counts):
    state = next((s for s in DRAWN if counts[s]), "found")
    some = f"{counts[state]} of {counts['need']}" if 0 < counts[state] < counts["need"] else ""
    return f"{STATES[state]} {some}".strip()


def on_engine(counts):
    return counts["in_place"] + counts["fitted"]


def accounted(counts):
    return on_engine(counts) + counts["found"]


def wanting(counts):
    return counts["missing"] + counts["beyond_repair"]
