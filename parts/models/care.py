"""Condition notes, repairs, and the log of freeing what is seized or bedded."""

from django.db import models

from . import column
from .base import Record, exactly_or_more, holds
from .choices import ConditionClass, Urgency
from .engine import Engine, Part
from .site import Find


class ConditionNote(Record):
    """A dated look at a part or find. The classes follow EN 16096, borrowed from buildings."""

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="condition_notes"))
    part = column.open(
        models.ForeignKey(
            Part, models.PROTECT, null=True, blank=True, related_name="condition_notes"
        )
    )
    find = column.open(
        models.ForeignKey(
            Find, models.PROTECT, null=True, blank=True, related_name="condition_notes"
        )
    )
    day = column.open(models.DateField())
    condition_class = column.open(models.PositiveSmallIntegerField(choices=ConditionClass))
    seen = column.place(models.TextField("what was seen"))
    urgency = column.open(
        models.PositiveSmallIntegerField(choices=Urgency, default=Urgency.LONG_TERM)
    )
    recommendation = column.place(models.TextField("what should be done", blank=True))
    who = column.open(models.CharField("who looked", max_length=80, blank=True))

    class Meta(Record.Meta):
        ordering = ["-day", "-pk"]
        indexes = [models.Index(fields=["part", "-day"], name="condition_newest")]
        constraints = [
            exactly_or_more("part", "find", name="condition_of_something"),
            holds(
                models.Q(condition_class__lte=3, urgency__lte=3),
                name="condition_class_range",
                says="Choose one of the classes 0 to 3.",
            ),
        ]

    def __str__(self):
        return f"{self.day}: {self.get_condition_class_display()}"


class Repair(Record):
    """Work done on a part: an old repair as found, or work done now."""

    class Undone(models.TextChoices):
        YES = "yes", "Yes, it can be undone"
        PARTLY = "partly", "In part"
        NO = "no", "No, it is there for good"
        NOT_KNOWN = "not_known", "Not known"

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="repairs"))
    part = column.open(models.ForeignKey(Part, models.PROTECT, related_name="repairs"))
    old = column.open(models.BooleanField(default=False))
    day = column.open(models.DateField(help_text="The day it was done, or an old one first seen."))
    when = column.open(
        models.CharField("when it was done", max_length=60, blank=True, help_text="About 1930.")
    )
    what = column.open(models.CharField("what was done", max_length=200))
    how = column.place(models.TextField("how", blank=True))
    who = column.open(models.CharField("by whom", max_length=120, blank=True))
    tells = column.place(models.TextField("what it tells", blank=True))
    undone = column.open(
        models.CharField(
            "can it be undone", max_length=10, choices=Undone, default=Undone.NOT_KNOWN
        )
    )
    keep = column.open(models.BooleanField("keep it", default=True))

    class Meta(Record.Meta):
        ordering = ["-old", "-day", "-pk"]

    def __str__(self):
        return self.what


class Freeing(Record):
    """One attempt at freeing a seized or bedded piece, and what happened."""

    class Means(models.TextChoices):
        PENETRANT = "penetrant", "Penetrant"
        HEAT = "heat", "Heat"
        COLD = "cold", "Cold"
        PRESS = "press", "Press or jack"
        PULL = "pull", "Pull or draw"
        SHOCK = "shock", "Blows"
        TURN = "turn", "Turning to and fro"
        CUT = "cut", "Cut or drilled out"

    class Outcome(models.TextChoices):
        NOTHING = "nothing", "Did not move"
        MOVED = "moved", "Moved a little"
        FREE = "free", "Came free"
        BROKE = "broke", "Something broke"

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="freeings"))
    part = column.open(models.ForeignKey(Part, models.PROTECT, related_name="freeings"))
    day = column.open(models.DateField())
    means = column.open(models.CharField(max_length=10, choices=Means))
    how = column.place(models.TextField("what was tried", help_text="What, how much, how long."))
    outcome = column.open(models.CharField(max_length=8, choices=Outcome))
    seen = column.place(models.TextField("what happened", blank=True))
    who = column.open(models.CharField(max_length=80, blank=True))

    class Meta(Record.Meta):
        ordering = ["-day", "-pk"]

    def __str__(self):
        return f"{self.day}: {self.get_means_display()}"
