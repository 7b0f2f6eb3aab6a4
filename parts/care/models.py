"""Condition notes, repairs, and the log of freeing what is seized or bedded."""

from django.db import models

from parts.record.models import ConditionClass, Engine, Find, Part, Urgency, column
from parts.record.models.base import (
    Record,
    exactly_or_more,
    holds,
)


class ConditionNote(Record):
    """A dated look at a part or find. The classes follow EN 16096, borrowed from buildings."""

    deletable = True

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

    deletable = True

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

    deletable = True

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


class Measurement(Record):
    """A size or mass that was taken, or that a drawing gives: kept as it was written."""

    deletable = True

    class Quantity(models.TextChoices):
        LENGTH = "length", "Length"
        MASS = "mass", "Mass"
        TEMPERATURE = "temperature", "Temperature"
        COUNT = "count", "Count"
        ANGLE = "angle", "Angle"

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="measurements"))
    part = column.open(
        models.ForeignKey(Part, models.PROTECT, null=True, blank=True, related_name="measurements")
    )
    find = column.open(
        models.ForeignKey(Find, models.PROTECT, null=True, blank=True, related_name="measurements")
    )
    what = column.open(
        models.CharField(max_length=80, help_text="Between centres, or big end bore.")
    )
    quantity = column.open(
        models.CharField(max_length=12, choices=Quantity, default=Quantity.LENGTH)
    )
    written = column.open(models.CharField(max_length=60))
    unit = models.CharField(max_length=8, blank=True, editable=False)
    value = models.FloatField(editable=False, help_text="mm, kg, °C or a count")
    plus_or_minus = column.open(
        models.CharField(max_length=60, blank=True, help_text="How sure: 1/64 in.")
    )
    plus_or_minus_value = models.FloatField(null=True, blank=True, editable=False)
    nominal = column.open(models.BooleanField(default=False, help_text="As made, not as found."))
    instrument = column.open(models.CharField(max_length=80, blank=True))
    day = column.open(models.DateField())
    who = column.open(models.CharField(max_length=80, blank=True))

    class Meta(Record.Meta):
        ordering = ["what", "-day", "pk"]
        constraints = [exactly_or_more("part", "find", name="measurement_of_something")]

    def __str__(self):
        return f"{self.what}: {self.written}"

    def reason_to_keep(self) -> str:
        """Whatever points at a measurement is calculated from it."""
        for relation in self._meta.get_fields(include_hidden=True):
            if not relation.one_to_many:
                continue
            rows = relation.related_model.objects.filter(**{relation.field.name: self})
            if any(all(owner.removed_at is None for owner in row.owners) for row in rows):
                return (
                    "A shape, a pattern or a bearing of the part is calculated from this measure. "
                    "Give that another measure first."
                )
        return ""
