"""Pours and what is cast in them."""

from django.db import models

from parts.record.models import Engine, Job, column
from parts.record.models.base import Record, holds, kept
from parts.record.models.measure import Measure
from parts.workshop.metal.models import Crucible


class Pour(Record):
    """Castings of one metal, planned for one heat of a crucible, and how it went."""

    engine = column.place(models.ForeignKey(Engine, models.PROTECT, related_name="pours"))
    number = column.place(models.PositiveIntegerField())
    metal = column.place(
        models.CharField(max_length=30, help_text="A metal or alloy of the trade tables.")
    )
    crucible = column.place(models.ForeignKey(Crucible, models.PROTECT, related_name="pours"))
    planned_for = column.place(models.DateField(null=True, blank=True))
    fuel = column.place(models.CharField(max_length=20, default="propane"))
    burner_kw = column.place(models.FloatField(null=True, blank=True))
    poured_on = column.place(models.DateField(null=True, blank=True))
    temperature = column.place(Measure("temperature", "poured at"))
    who = column.place(models.CharField("assigned to", max_length=160, blank=True))
    happened = column.place(models.TextField("how it went", blank=True))

    class Meta(Record.Meta):
        ordering = ["-number"]
        constraints = [
            kept("engine", "number", name="pour_number_once", says="Another pour has this number.")
        ]

    def __str__(self):
        return f"Pour {self.number}"


class PourCasting(Record):
    """Castings of one job in a pour; afterwards, how many were good."""

    engine = column.place(models.ForeignKey(Engine, models.PROTECT, related_name="pour_castings"))
    pour = column.place(models.ForeignKey(Pour, models.PROTECT, related_name="castings"))
    job = column.place(models.ForeignKey(Job, models.PROTECT, related_name="pour_castings"))
    pieces = column.place(models.PositiveIntegerField(default=1))
    poured_kg = column.place(models.FloatField(help_text="Of one, with gates and risers."))
    good = column.place(models.PositiveIntegerField(null=True, blank=True))

    class Meta(Record.Meta):
        ordering = ["pk"]
        constraints = [
            holds(
                models.Q(pieces__gt=0, poured_kg__gt=0),
                name="pour_casting_some",
                says="A pour takes 1 casting or more, each of some mass.",
            ),
            holds(
                models.Q(good__isnull=True) | models.Q(good__lte=models.F("pieces")),
                name="pour_casting_good",
                says="No more can be good than were poured.",
            ),
        ]

    def __str__(self):
        return f"{self.pieces} × {self.job.part}"
