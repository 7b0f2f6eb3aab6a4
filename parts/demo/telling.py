"""Writes the tables of one engine's story into the record, through the actions.

Rows are written in bulk, each by whoever signed it; afterwards their days and those of their
history are set back to the days of the story, so that the record reads as if it had been kept
for two years.
"""

from collections import defaultdict
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from itertools import groupby

from django.core.files.base import ContentFile
from django.utils import timezone

from parts.care.models import ConditionNote, Freeing, Measurement, Repair
from parts.engine.actions import engine
from parts.engine.models import Ownership, Proposal
from parts.engineering.routes import ROUTES
from parts.forecast import actions as forecast_actions
from parts.money import actions as money_actions
from parts.money.models import CostAmount, CostItem
from parts.people.models import HoursGiven
from parts.photos.actions import photos
from parts.photos.models import PhotoPair
from parts.record.actions import saving
from parts.record.models import (
    Change,
    Component,
    DiaryEntry,
    Engine,
    Find,
    Job,
    Membership,
    Part,
    PieceEntry,
)
from parts.record.models.measure import read

from . import receipts, story

# Who typed in what people without a login had to say.
PAPERS = "P. Nandan"
# What only a lead decides.
LEADS = {"decided", "beyond_repair", "beyond_repair_placed", "left_off"}
WAKING, BED = time(8, 30), time(22, 0)


def yes(text: str) -> bool:
    return text == "yes"


class Telling:
    """The telling of one engine's story.

    Args:
        key: The folder of its tables.
        people: Users by the name they sign with.
        later: Days by which the whole story is moved; negative is earlier.
    """

    def __init__(self, key: str, people: dict, later: int = 0):
        self.key, self.people, self.later = key, people, later
        self.about = story.about(key)
        roles = {row["written_as"]: row["role"] for row in self.rows("people")}
        self.lead = next(people[name] for name, role in roles.items() if role == "lead")
        self.first = min(
            self.day(row["days_before"])
            for table in ("diary", "finds", "hours")
            for row in self.rows(table)
        )
        self._written: dict[tuple[str, str], dict[int, date]] = defaultdict(dict)
        self._order: list[tuple[str, str, int]] = []

    # Reading the tables

    def rows(self, table: str):
        return story.read(self.key, table)

    def day(self, days_before: str | int) -> date:
        return story.day(self.key, days_before) + timedelta(days=self.later)

    def by(self, signs: str):
        """Who typed it in: the person, or for people without a login whoever keeps the papers."""
        return self.people.get(signs) or self.people.get(PAPERS) or self.lead

    # Writing

    def _write(self, told: list[tuple], reason: str = "") -> None:
        """Write rows of one model, given as (row, by, day), oldest first."""
        told.sort(key=lambda one: one[2])
        for row, _, _ in told:
            fields = row._meta.concrete_fields
            row.clean_fields(exclude=[f.name for f in fields if f.is_relation or not f.editable])
        for by, some in groupby(told, key=lambda one: one[1]):
            some = list(some)
            saving.add_many([row for row, _, _ in some], by=by, reason=reason)
            for row, _, day in some:
                self._note(row, "added", day)

    def _note(self, row, verb: str, day: date) -> None:
        kind = row._meta.model_name
        self._written[kind, verb][row.pk] = max(day, self.first)
        self._order.append((kind, verb, row.pk))

    def tell(self) -> Engine:
        """Write everything but the pictures."""
        self._engine()
        self._parts()
        self._finds()
        self._jobs()
        self._entries()
        self._care()
        self._money()
        self._days()
        self._proposals()
        return self.engine

    def _engine(self) -> None:
        names = {field.name for field in Engine._meta.concrete_fields}
        values = {k: v for k, v in self.about.items() if k in names}
        values["speed_rpm"] = float(values["speed_rpm"])
        values["readers_see_places"] = yes(values["readers_see_places"])
        self.engine = Engine(**values, demo=True)
        self._write([(self.engine, self.lead, self.first)])
        self._write(
            [
                (
                    Membership(engine=self.engine, user=user, role=row["role"]),
                    self.lead,
                    self.first,
                )
                for row in self.rows("people")
                if (user := self.people.get(row["written_as"]))
            ]
        )
        for row in self.rows("sizes"):
            size = engine.set_size(self.engine, row["name"], row["written"], by=self.lead)
            self._note(size, "added", self.first)
        self._write(
            [
                (
                    Ownership(
                        engine=self.engine,
                        who=row["who"],
                        right=row["right"],
                        since=self.day(row["since"]),
                        until=self.day(row["until"]) if row["until"] else None,
                        terms=row["terms"],
                    ),
                    self.lead,
                    self.day(row["since"]),
                )
                for row in self.rows("ownership")
            ]
        )
        points = [
            (self.day(r["days_before"]), int(r["pieces"]), Decimal(r["hours"]), Decimal(r["money"]))
            for r in self.rows("plan_points")
        ]
        for row in self.rows("plan"):
            on = self.day(row["days_before"])
            plan = forecast_actions.freeze_plan(
                self.engine, row["name"], on, points, by=self.lead, note=row["note"]
            )
            self._note(plan, "added", on)

    def _parts(self) -> None:
        self.components: dict[str, Component] = {"": None}
        waiting = list(self.rows("components"))
        while waiting:
            ready = [row for row in waiting if row["parent"] in self.components]
            waiting = [row for row in waiting if row not in ready]
            made = {
                row["number"]: Component(
                    engine=self.engine,
                    number=int(row["number"]),
                    name=row["name"],
                    parent=self.components[row["parent"]],
                    note=row["note"],
                )
                for row in ready
            }
            self._write([(one, self.lead, self.first) for one in made.values()])
            self.components |= made
        typed_first = {row["item"]: int(row["was"]) for row in self.rows("corrections")}
        self.parts = {
            row["item"]: Part(
                engine=self.engine,
                component=self.components[row["component"]],
                item=int(row["item"]),
                name=row["name"],
                quantity=typed_first.get(row["item"], int(row["quantity"])),
                material=row["material"],
                usual_route=row["route"],
                fastener=yes(row["fastener"]),
                size=row["size"],
                note=row["note"],
                **Part.length.columns(row["length"], self.engine),
                **Part.mass.columns(row["mass"], self.engine),
            )
            for row in self.rows("parts")
        }
        self._write([(part, self.lead, self.first) for part in self.parts.values()])
        for row in self.rows("corrections"):
            part = self.parts[row["item"]]
            self.parts[row["item"]] = saving.change(
                part,
                {"quantity": int(row["became"])},
                seen=part.version,
                by=self.by(row["who"]),
                reason=row["reason"],
            )
            self._note(part, "changed", self.day(row["days_before"]))

    def _finds(self) -> None:
        self.finds = {
            row["ref"]: Find(
                engine=self.engine,
                tag=row["tag"],
                day=self.day(row["days_before"]),
                quantity=int(row["quantity"]),
                found_by=row["found_by"],
                still_on_engine=yes(row["still_on_engine"]),
                looks_like=row["looks_like"],
                material=row["material"],
                condition_class=int(row["condition_class"]) if row["condition_class"] else None,
                odd=row["odd"],
                where_found=row["where_found"],
                kept_at=row["kept_at"],
                note=row["note"],
                **Find.depth.columns(row["depth"], self.engine),
                **Find.length.columns(row["length"], self.engine),
                **Find.mass.columns(row["mass"], self.engine),
            )
            for row in self.rows("finds")
        }
        self._write([(find, self.by(find.found_by), find.day) for find in self.finds.values()])

    def _jobs(self) -> None:
        decided: dict[str, date] = {}
        for row in self.rows("entries"):
            if row["kind"] == "decided":
                decided.setdefault(row["job"], self.day(row["days_before"]))
        self.jobs = {
            row["key"]: Job(
                engine=self.engine,
                part=self.parts[row["item"]],
                route=row["route"],
                who=row["who"],
                metal=row["metal"],
                size=row["size"],
                wanted_by=self.day(row["wanted_by"]) if row["wanted_by"] else None,
                reason=row["reason"],
            )
            for row in self.rows("jobs")
        }
        self._write([(one, self.lead, decided[key]) for key, one in self.jobs.items()])

    def _entries(self) -> None:
        told = []
        for row in self.rows("entries"):
            job = self.jobs[row["job"]] if row["job"] else None
            entry = PieceEntry(
                engine=self.engine,
                part=self.parts[row["item"]],
                kind=row["kind"],
                day=self.day(row["days_before"]),
                pieces=int(row["pieces"]),
                find=self.finds[row["find"]] if row["find"] else None,
                job=job,
                stage=row["stage"],
                begins=bool(row["stage"]) and row["stage"] == ROUTES[job.route].begins,
                reason=row["reason"],
                who=row["who"],
            )
            by = self.lead if row["kind"] in LEADS else self.by(row["who"])
            told.append((entry, by, entry.day))
        self._write(told)

    def _of(self, row) -> dict:
        """The part and find that a row of a table is about."""
        about = {"engine": self.engine}
        if row["item"]:
            about["part"] = self.parts[row["item"]]
        if row.get("find"):
            about["find"] = self.finds[row["find"]]
        return about

    def _signed(self, table: str, make) -> None:
        told = []
        for row in self.rows(table):
            one = make(row)
            told.append((one, self.by(row["who"]), self.day(row["days_before"])))
        self._write(told)

    def _care(self) -> None:
        self._signed(
            "condition_notes",
            lambda row: ConditionNote(
                **self._of(row),
                day=self.day(row["days_before"]),
                condition_class=int(row["condition_class"]),
                urgency=int(row["urgency"]),
                seen=row["seen"],
                recommendation=row["recommendation"],
                who=row["who"],
            ),
        )
        self._signed(
            "repairs",
            lambda row: Repair(
                **self._of(row),
                old=yes(row["old"]),
                day=self.day(row["days_before"]),
                keep=yes(row["keep"]),
                **{name: row[name] for name in ("when", "what", "how", "who", "tells", "undone")},
            ),
        )
        self._signed(
            "freeing",
            lambda row: Freeing(
                **self._of(row),
                day=self.day(row["days_before"]),
                **{name: row[name] for name in ("means", "how", "outcome", "seen", "who")},
            ),
        )
        self._signed("measurements", self._measurement)

    def _measurement(self, row) -> Measurement:
        quantity = "mass" if row["what"].startswith("Mass") else "length"
        measure = read(quantity, row["written"], self.engine)
        sure = row["plus_or_minus"]
        return Measurement(
            **self._of(row),
            what=row["what"],
            quantity=quantity,
            written=row["written"],
            unit=measure.unit,
            value=measure.value,
            plus_or_minus=sure,
            plus_or_minus_value=read(quantity, sure, self.engine).value if sure else None,
            nominal=yes(row["nominal"]),
            instrument=row["instrument"],
            day=self.day(row["days_before"]),
            who=row["who"],
        )

    def _money(self) -> None:
        amounts = defaultdict(list)
        for row in self.rows("cost_amounts"):
            amounts[row["cost"]].append(row)
        items = {}
        for row in self.rows("cost_items"):
            job = self.jobs[row["job"]] if row["job"] else None
            component = self.components[row["component"]]
            items[row["key"]] = CostItem(
                engine=self.engine,
                heading=row["heading"],
                what=row["what"],
                part=job.part if job else self.parts[row["item"]] if row["item"] else None,
                job=job,
                component=component,
                supplier=row["supplier"],
                note=row["note"],
            )
        self._write(
            [
                (item, self.lead, self.day(amounts[key][0]["days_before"]))
                for key, item in items.items()
            ]
        )
        told = [
            (
                CostAmount(
                    item=items[row["cost"]],
                    day=self.day(row["days_before"]),
                    basis=row["basis"],
                    low=Decimal(row["low"]),
                    likely=Decimal(row["likely"]),
                    high=Decimal(row["high"]),
                    settles=yes(row["settles"]),
                ),
                self.lead,
                self.day(row["days_before"]),
            )
            for row in self.rows("cost_amounts")
        ]
        self._write(told)
        for row in self.rows("cost_amounts"):
            if row["paper"]:
                self._paper(items[row["cost"]], row)

    def _paper(self, item: CostItem, row: dict) -> None:
        day, kind = self.day(row["days_before"]), row["paper"]
        content = receipts.paper(
            kind, item.supplier, item.what, row["likely"], self.engine.currency, day
        )
        name = f"{kind.capitalize()} of {item.supplier or 'a receipt book'}"
        paper = money_actions.add_paper(
            item, ContentFile(content), kind=kind, name=name, day=day, by=self.lead
        )
        self._note(paper, "added", day)

    def _days(self) -> None:
        self._write(
            [
                (
                    HoursGiven(
                        engine=self.engine,
                        person=row["person"],
                        day=self.day(row["days_before"]),
                        hours=Decimal(row["hours"]),
                        work=row["work"],
                        component=self.components[row["component"]],
                        note=row["note"],
                    ),
                    self.by(row["person"]),
                    self.day(row["days_before"]),
                )
                for row in self.rows("hours")
            ]
        )
        names = ("there", "weather", "water", "done", "next", "recording", "recording_minute")
        self._write(
            [
                (
                    DiaryEntry(
                        engine=self.engine,
                        day=self.day(row["days_before"]),
                        **{name: row[name] for name in names},
                    ),
                    self.by(row["there"].split(", ")[0]),
                    self.day(row["days_before"]),
                )
                for row in self.rows("diary")
            ]
        )

    def _proposals(self) -> None:
        for row in self.rows("proposals"):
            names = ("matter", "route", "words")
            one = Proposal(
                engine=self.engine,
                part=self.parts[row["item"]],
                pieces=int(row["pieces"]),
                **{name: row[name] for name in names},
            )
            self._write([(one, self.by(row["who"]), self.day(row["days_before"]))])
            if row["answer"] != Proposal.Answer.OPEN:
                # What was decided on it stands among the entries.
                values = {"answer": row["answer"], "answer_words": row["answer_words"]}
                saving.change(one, values, seen=one.version, by=self.lead)
                self._note(one, "changed", self.day(row["answered_days_before"]))

    def show(self, pictures) -> None:
        """Keep the pictures: (row of photos.csv, the checked picture) each; then tie the pairs."""
        kept = {}
        signs = {row["name"]: row["written_as"] for row in self.rows("people")}
        for row, picture in pictures:
            taken = self.day(row["days_before"])
            credit = row["credit"]
            photo = photos.keep(
                self.engine,
                picture,
                by=self.by(signs.get(credit, credit)),
                day=taken,
                part=self.parts[row["item"]] if row["item"] else None,
                find=self.finds[row["find"]] if row["find"] else None,
                component=self.components[row["component"]],
                credit=credit,
                caption=row["caption"],
                may_go_out=yes(row["may_go_out"]),
            )
            kept[row["key"]] = photo
            self._note(photo, "added", taken)
        for row in self.rows("photo_pairs"):
            before, after = kept[row["before"]], kept[row["after"]]
            tie: PhotoPair = photos.pair(before, after, row["view"], by=self.lead)
            self._note(tie, "added", after.day)

    # Setting back

    def set_back(self) -> None:
        """Date the rows and their history on the days of the story, in the order they came."""
        by_day = defaultdict(list)
        for kind, verb, pk in self._order:
            by_day[self._written[kind, verb][pk]].append((kind, verb, pk))
        at = {}
        for day, rows in by_day.items():
            begin = timezone.make_aware(datetime.combine(day, WAKING))
            end = timezone.make_aware(datetime.combine(day, BED))
            step = min(timedelta(minutes=7), (end - begin) / len(rows))
            at |= {row: begin + step * n for n, row in enumerate(rows)}
        changes = list(Change.objects.filter(engine=self.engine).only("kind", "row", "verb", "at"))
        for change in changes:
            change.at = at[change.kind, change.verb, change.row]
        Change.objects.bulk_update(changes, ["at"], batch_size=200)
        self._set_back_rows(at)

    def _set_back_rows(self, at: dict) -> None:
        from django.apps import apps

        for kind in {kind for kind, _, _ in at}:
            model = apps.get_model("parts", kind)
            rows = [model(pk=pk) for k, verb, pk in at if k == kind and verb == "added"]
            for row in rows:
                row.made_at = at[kind, "added", row.pk]
            model.everything.bulk_update(rows, ["made_at"], batch_size=200)
