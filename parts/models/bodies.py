"""What a part is made of, for the sums: plain shapes with measured sizes, and pattern faces."""

from django.core.validators import MinValueValidator
from django.db import models

from ..trade.castings import DRAFT_MOST_DEG
from . import column
from .base import Record, holds, kept
from .engine import Engine, Measurement, Part


class Body(Record):
    """One shape of a part, added or taken away. Its sizes are measurements of the part."""

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


class PatternFace(Record):
    """A size of a casting that the pattern is made by, with the face it ends on.

    The finished size is a measurement. Contraction, allowance and draft are the trade's unless a
    figure of one's own stands above them.
    """

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="pattern_faces"))
    part = column.open(models.ForeignKey(Part, models.PROTECT, related_name="pattern_faces"))
    measurement = column.open(
        models.ForeignKey(Measurement, models.PROTECT, related_name="pattern_faces")
    )
    kind = column.open(
        models.CharField(max_length=20, help_text="A kind of face of trade.castings.")
    )
    contraction_percent = column.open(models.FloatField(null=True, blank=True))
    allowance_written = column.open(models.CharField(max_length=60, blank=True))
    allowance_unit = models.CharField(max_length=8, blank=True, editable=False)
    allowance_mm = models.FloatField(null=True, blank=True, editable=False)
    draft_deg = column.open(models.FloatField(default=0))
    note = column.place(models.CharField(max_length=160, blank=True))

    class Meta(Record.Meta):
        ordering = ["pk"]
        constraints = [
            kept(
                "part",
                "measurement",
                name="pattern_face_once",
                says="This size stands on the pattern sheet already.",
            ),
            holds(
                models.Q(draft_deg__gte=0, draft_deg__lte=DRAFT_MOST_DEG),
                name="pattern_draft",
                says=f"A draft is an angle from 0 to {DRAFT_MOST_DEG:g} degrees.",
            ),
        ]

    def __str__(self):
        return str(self.measurement)


class Bearing(Record):
    """What a poured bearing needs to be reckoned, beside its measured sizes."""

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
    load_written = column.open(models.CharField(max_length=60, blank=True))
    load_unit = models.CharField(max_length=8, blank=True, editable=False)
    load_kg = models.FloatField(null=True, blank=True, editable=False)
    poured_on = column.open(models.DateField(null=True, blank=True))
    note = column.place(models.TextField(blank=True))

    class Meta(Record.Meta):
        ordering = ["part__item"]
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
