"""What a poured bearing is calculated from."""

from django.db import models

from parts.care.models import Measurement
from parts.record.models import Engine, Part, column
from parts.record.models.base import Record, holds, kept
from parts.record.models.measure import Measure


class Bearing(Record):
    """What a poured bearing needs to be reckoned, beside its measured sizes."""

    deletable = True

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="bearings"))
    part = column.open(models.ForeignKey(Part, models.PROTECT, related_name="bearings"))
    journal = column.open(
        models.ForeignKey(
            Measurement, models.PROTECT, related_name="+", help_text="Diameter of the journal."
        )
    )
    shell = column.open(
        models.ForeignKey(
            Measurement, models.PROTECT, related_name="+", help_text="Inside of the shell."
        )
    )
    length = column.open(models.ForeignKey(Measurement, models.PROTECT, related_name="+"))
    halves = column.open(models.PositiveSmallIntegerField(default=2))
    collars = column.open(models.PositiveSmallIntegerField(default=0))
    collar_diameter = column.open(
        models.ForeignKey(Measurement, models.PROTECT, null=True, blank=True, related_name="+")
    )
    collar_thickness = column.open(
        models.ForeignKey(Measurement, models.PROTECT, null=True, blank=True, related_name="+")
    )
    grade = column.open(
        models.CharField(max_length=20, default="2", help_text="White metal grade.")
    )
    load = column.open(Measure("mass"))
    poured_on = column.open(models.DateField(null=True, blank=True))
    note = column.place(models.TextField(blank=True))

    class Meta(Record.Meta):
        ordering = ["part__item", "pk"]
        constraints = [
            kept(
                "part",
                name="bearing_once",
                says="This part has its bearing sheet already.",
            ),
            holds(
                models.Q(halves__in=[1, 2]),
                name="bearing_halves",
                says="A bearing is whole (1) or in two halves (2).",
            ),
        ]

    def __str__(self):
        return f"Bearing of {self.part}"
