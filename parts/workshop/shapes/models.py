"""The plain shapes of a part, and the measurements that give their sizes."""

from django.core.validators import MinValueValidator
from django.db import models

from parts.care.models import Measurement
from parts.record.models import Engine, Part, column
from parts.record.models.base import Record, holds, kept


class Body(Record):
    """One shape of a part, added or taken away. Its sizes are measurements of the part."""

    deletable = True

    class Along(models.TextChoices):
        X = "x", "along"
        Y = "y", "across"
        Z = "z", "upright"

    class SetOut(models.TextChoices):
        UNKNOWN = "", "Not known"
        CIRCLE = "circle", "On a circle"
        X = "x", "In a row along"
        Y = "y", "In a row across"
        Z = "z", "In a row upright"

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="bodies"))
    part = column.open(models.ForeignKey(Part, models.PROTECT, related_name="bodies"))
    order = column.open(models.PositiveSmallIntegerField(default=1))
    name = column.open(models.CharField(max_length=80, blank=True, help_text="Rim, boss, or bore."))
    shape = column.open(models.CharField(max_length=20, help_text="A key of trade.shapes.SHAPES."))
    away = column.open(models.BooleanField("taken away", default=False))
    times = column.open(
        models.PositiveSmallIntegerField("how many", default=1, validators=[MinValueValidator(1)])
    )
    set_out = column.open(models.CharField("set out", max_length=6, choices=SetOut, blank=True))
    spacing_mm = column.open(
        models.FloatField(default=0, help_text="Diameter of the circle, or from one to the next.")
    )
    along = column.open(models.CharField(max_length=1, choices=Along, default=Along.Z))
    at_x_mm = column.open(models.FloatField(default=0))
    at_y_mm = column.open(models.FloatField(default=0))
    at_z_mm = column.open(models.FloatField(default=0))

    class Meta(Record.Meta):
        ordering = ["order", "pk"]
        verbose_name_plural = "bodies"
        constraints = [
            holds(
                models.Q(set_out="") | models.Q(spacing_mm__gt=0),
                name="body_spacing",
                says="Several that are set out need their circle, or how far apart they are.",
            )
        ]

    def __str__(self):
        return self.name or self.shape


class BodySize(Record):
    """Which measurement gives a size of a body. One measurement may serve several bodies."""

    body = column.open(models.ForeignKey(Body, models.PROTECT, related_name="sizes"))
    key = column.open(models.CharField(max_length=20))
    measurement = column.open(
        models.ForeignKey(Measurement, models.PROTECT, related_name="body_sizes")
    )

    class Meta(Record.Meta):
        constraints = [
            kept("body", "key", name="body_size_once", says="The shape has this size already.")
        ]

    def __str__(self):
        return f"{self.key}: {self.measurement.written}"
