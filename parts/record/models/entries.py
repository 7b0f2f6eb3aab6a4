"""Dated entries: the only thing that how pieces stand is counted from."""

from django.db import models
from django.db.models import Q

from . import column
from .base import Record, holds
from .engine import Engine, Part
from .finds import Find
from .jobs import Job


class PieceEntry(Record):
    """On a day, a number of pieces of a part began (or, when negative, ceased) to stand so.

    A withdrawn verdict, an undone stage, a piece taken off: all are rows of the same kind with a
    negative number, on the day they happened. A row typed by mistake is removed, with a reason,
    and then never happened. The actions keep the balances from going below zero.
    """

    deletable = True

    class Kind(models.TextChoices):
        IDENTIFIED = "identified", "Identified"
        PLACED = "placed", "On the engine"
        BEYOND_REPAIR = "beyond_repair", "Beyond repair"
        BEYOND_REPAIR_PLACED = "beyond_repair_placed", "Beyond repair, on the engine"
        DECIDED = "decided", "Decided to be made"
        STAGE = "stage", "Stage reached"
        FITTED = "fitted", "Fitted"
        LOST = "lost", "Mislaid"
        LEFT_OFF = "left_off", "Left off"

    DECISIONS = (Kind.BEYOND_REPAIR, Kind.BEYOND_REPAIR_PLACED, Kind.LEFT_OFF, Kind.DECIDED)

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="entries"))
    part = column.open(models.ForeignKey(Part, models.PROTECT, related_name="entries"))
    kind = column.open(models.CharField(max_length=20, choices=Kind))
    day = column.open(models.DateField())
    pieces = column.open(models.IntegerField())
    find = column.open(
        models.ForeignKey(Find, models.PROTECT, null=True, blank=True, related_name="entries")
    )
    job = column.open(
        models.ForeignKey(Job, models.PROTECT, null=True, blank=True, related_name="entries")
    )
    stage = column.open(models.CharField(max_length=20, blank=True))
    begins = column.open(models.BooleanField(default=False))
    reason = column.place(models.TextField(blank=True))
    who = column.open(models.CharField(max_length=80, blank=True))

    class Meta(Record.Meta):
        ordering = ["day", "pk"]
        indexes = [
            models.Index(
                fields=["part", "kind", "begins", "day", "pieces"],
                condition=Q(removed_at__isnull=True),
                name="entry_balance",
            ),
            models.Index(fields=["engine", "day"], name="entry_by_day"),
        ]
        constraints = [
            holds(
                ~Q(pieces=0), name="entry_some_pieces", says="Give a number of pieces other than 0."
            ),
            holds(
                Q(kind__in=["decided", "stage", "fitted"], job__isnull=False)
                | (~Q(kind__in=["decided", "stage", "fitted"]) & Q(job__isnull=True)),
                name="entry_job",
                says="An entry of a job belongs to a job, and no other does.",
            ),
            holds(
                ~Q(kind="identified") | Q(find__isnull=False),
                name="entry_find",
                says="Say which find was identified.",
            ),
            holds(
                (Q(kind="stage") & ~Q(stage="")) | (~Q(kind="stage") & Q(stage="", begins=False)),
                name="entry_stage",
                says="Name the stage that was reached.",
            ),
        ]

    @property
    def needs_lead(self) -> bool:
        """What was decided, and what became of it."""
        return self.kind in self.DECISIONS or self.job_id is not None

    @property
    def owners(self) -> tuple[Record, ...]:
        """The job, else the part, else the find: a piece is looked for in that order."""
        return tuple(row for row in (self.job, self.part, self.find) if row is not None)

    def __str__(self):
        return f"{self.day}: {self.get_kind_display()}, {self.pieces}"
