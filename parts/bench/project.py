"""A large made-up engine, the same each time. Its rows are no example of real work.

Rows are written in bulk and past the actions, which keep the history of one row at a time: the
lines of history are made up here too.
"""

import random
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

from django.contrib.auth import get_user_model

from parts.care.models import ConditionNote, Measurement
from parts.engineering.routes import ROUTES
from parts.money.models import CostAmount, CostItem
from parts.people.models import HoursGiven
from parts.record.models import (
    Change,
    Component,
    DiaryEntry,
    Engine,
    Find,
    Heading,
    Job,
    Material,
    Membership,
    Part,
    PieceEntry,
    Work,
)
from parts.workshop.metal.models import Crucible

FIRST = date(2024, 3, 1)
DAYS = 640
NOUNS = ("bolt", "stud", "gland", "lever", "bush", "bracket", "cover", "pin", "washer", "strap")
KINDS = ("bearing", "valve", "guide", "governor", "pump", "crank", "eccentric", "flywheel")
PEOPLE = ("Ada", "Bert", "Cyril", "Dora", "Enid")
CHUNK = 2000


@dataclass(frozen=True)
class Size:
    """How many rows of each kind to make."""

    parts: int = 5000
    finds: int = 10_000
    changes: int = 20_000
    jobs: int = 2000
    costs: int = 3000
    notes: int = 4000
    measurements: int = 4000
    hours: int = 1500
    diary: int = 300

    def scaled(self, by: float) -> "Size":
        return Size(*(max(round(n * by), 1) for n in vars(self).values()))


def build(size: Size, *, name: str = "A large made-up engine", lead=None) -> Engine:
    """Write the engine with all its rows, and return it. `lead` is made when not given."""
    return _Builder(size).build(name, lead)


class _Builder:
    def __init__(self, size: Size):
        self.size = size
        self.draw = random.Random(1907)  # noqa: S311  the same project on every machine
        self.entries: list[PieceEntry] = []

    def build(self, name: str, lead) -> Engine:
        if lead is None:
            lead = get_user_model().objects.create_superuser(username="bench", password=None)
        self.lead = lead
        self.engine = Engine.objects.create(name=name, kind="horizontal_slide_valve")
        Membership.objects.create(engine=self.engine, user=lead, role="lead")
        self._parts()
        self._finds()
        self._jobs()
        self._foundry()
        self._write(PieceEntry, self.entries)
        self._costs()
        self._looked_at()
        self._days()
        self._history()
        return self.engine

    def _write(self, model, rows) -> list:
        return model.objects.bulk_create(list(rows), batch_size=CHUNK)

    def _day(self) -> date:
        return FIRST + timedelta(days=self.draw.randrange(DAYS))

    def _entry(self, part: Part, kind: str, pieces: int, **more) -> None:
        self.entries.append(
            PieceEntry(
                engine=self.engine, part=part, kind=kind, pieces=pieces, day=self._day(), **more
            )
        )

    def _parts(self) -> None:
        many = max(self.size.parts // 60, 2)
        self.components = self._write(
            Component,
            (
                Component(engine=self.engine, number=n + 1, name=f"{KINDS[n % 8].title()} {n + 1}")
                for n in range(many)
            ),
        )
        for row in self.components[8:]:
            row.parent = self.components[row.number % 8]
        Component.objects.bulk_update(self.components[8:], ["parent"])
        materials, routes = Material.values, [*ROUTES, ""]
        self.parts = self._write(
            Part,
            (
                Part(
                    engine=self.engine,
                    component=self.draw.choice(self.components),
                    item=n + 1,
                    name=f"{self.draw.choice(KINDS).title()} {self.draw.choice(NOUNS)}",
                    quantity=self.draw.choice((1, 1, 1, 2, 2, 4, 6, 8, 12)),
                    material=self.draw.choice(materials),
                    usual_route=self.draw.choice(routes),
                    fastener=self.draw.random() < 0.2,
                    size=f"{self.draw.randint(1, 40)} in",
                    mass_written="3 lb",
                    mass_unit="lb",
                    mass_kg=1.36,
                )
                for n in range(self.size.parts)
            ),
        )

    def _finds(self) -> None:
        finds = self._write(
            Find,
            (
                Find(
                    engine=self.engine,
                    tag=f"BP-{n + 1:05}",
                    day=self._day(),
                    quantity=self.draw.choice((1, 1, 1, 2, 4)),
                    looks_like=f"{self.draw.choice(NOUNS)} from the heap",
                    material=self.draw.choice(Material.values),
                    found_by=self.draw.choice(PEOPLE),
                    odd=self.draw.choice(("", "", "", "", "", "", "", "", "", "tool")),
                    where_found="Square C4, 20 cm down",
                )
                for n in range(self.size.finds)
            ),
        )
        for find in finds:
            if find.odd or self.draw.random() < 0.15:
                continue
            part = self.draw.choice(self.parts)
            self._entry(part, "identified", find.quantity, find=find)
            fate = self.draw.random()
            if fate < 0.25:
                self._entry(part, "placed", find.quantity, find=find)
            elif fate < 0.4:
                self._entry(part, "beyond_repair", find.quantity)

    def _jobs(self) -> None:
        routes = list(ROUTES)
        self.jobs = self._write(
            Job,
            (
                Job(
                    engine=self.engine,
                    part=self.draw.choice(self.parts),
                    route=self.draw.choice(routes),
                    who=self.draw.choice(PEOPLE),
                    reason="None was found",
                )
                for _ in range(self.size.jobs)
            ),
        )
        for job in self.jobs:
            pieces = job.part.quantity
            way = ROUTES[job.route]
            self._entry(job.part, "decided", pieces, job=job)
            reached = self.draw.randrange(len(way.stages) + 2)
            for stage in way.stages[:reached]:
                begins = stage.key == way.begins
                self._entry(job.part, "stage", pieces, job=job, stage=stage.key, begins=begins)
            if reached > len(way.stages):
                self._entry(job.part, "fitted", pieces, job=job)

    def _foundry(self) -> None:
        """A crucible, so that what waits to be poured is gathered."""
        Crucible.objects.create(engine=self.engine, name="No. 16", carries_kg=17.4)

    def _costs(self) -> None:
        headings = Heading.values
        items = []
        for n in range(self.size.costs):
            of = (
                {"job": self.draw.choice(self.jobs)}
                if n % 3
                else {"component": self.draw.choice(self.components)}
            )
            heading = self.draw.choice(headings)
            items.append(CostItem(engine=self.engine, heading=heading, what=f"Cost {n + 1}", **of))
        amounts = []
        for item in self._write(CostItem, items):
            likely = Decimal(self.draw.randint(500, 90_000)) / 100
            low, high = likely * 8 // 10, likely * 2
            amounts.append(self._amount(item, "estimated", low, likely, high))
            basis = self.draw.choice(("quoted", "ordered", "paid", ""))
            if basis:
                amounts.append(self._amount(item, basis, likely, likely, likely))
        self._write(CostAmount, amounts)

    def _amount(self, item, basis, low, likely, high) -> CostAmount:
        return CostAmount(
            item=item, basis=basis, day=self._day(), low=low, likely=likely, high=high
        )

    def _looked_at(self) -> None:
        self._write(
            ConditionNote,
            (
                ConditionNote(
                    engine=self.engine,
                    part=self.draw.choice(self.parts),
                    day=self._day(),
                    condition_class=self.draw.randrange(4),
                    seen="Rust where the paint is gone",
                    who=self.draw.choice(PEOPLE),
                )
                for _ in range(self.size.notes)
            ),
        )
        self._write(
            Measurement,
            (
                Measurement(
                    engine=self.engine,
                    part=self.draw.choice(self.parts),
                    what="mass",
                    quantity="mass",
                    written="2 lb",
                    unit="lb",
                    value=0.9,
                    day=self._day(),
                )
                for _ in range(self.size.measurements)
            ),
        )

    def _days(self) -> None:
        works = Work.values
        self._write(
            HoursGiven,
            (
                HoursGiven(
                    engine=self.engine,
                    person=self.draw.choice(PEOPLE),
                    day=self._day(),
                    hours=self.draw.randint(1, 8),
                    work=self.draw.choice(works),
                )
                for _ in range(self.size.hours)
            ),
        )
        self._write(
            DiaryEntry,
            (
                DiaryEntry(engine=self.engine, day=self._day(), done="Dug along the north wall")
                for _ in range(self.size.diary)
            ),
        )

    def _history(self) -> None:
        begun = datetime(2024, 3, 1, tzinfo=UTC)
        rows = []
        for n in range(self.size.changes):
            part = self.draw.choice(self.parts)
            rows.append(
                Change(
                    engine=self.engine,
                    part=part,
                    kind="part",
                    row=part.pk,
                    title=str(part),
                    verb="changed",
                    by=self.lead,
                    by_name=self.draw.choice(PEOPLE),
                    before={"size": "12 in"},
                    after={"size": part.size, "quantity": n % 9 + 1},
                )
            )
        self._write(Change, rows)
        # auto_now_add gives all of them one moment; spread them as a record is.
        rows = Change.objects.filter(engine=self.engine).order_by("pk")
        for n, row in enumerate(spread := list(rows.only("pk"))):
            row.at = begun + timedelta(minutes=n * 45)
        Change.objects.bulk_update(spread, ["at"], batch_size=CHUNK)
