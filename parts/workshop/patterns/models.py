"""The faces of a casting that are machined."""

from django.db import models

from parts.care.models import Measurement
from parts.engineering.casting.patterns import DRAFT_MOST_DEG
from parts.record.models import Engine, Part, column
from parts.record.models.base import Record, holds, kept
from parts.record.models.measure import Measure


class PatternFace(Record):
    """A size of a casting that the pattern is made by, with the face it ends on.

    The finished size is a measurement. Contraction, allowance and draft are the trade's unless a
    figure of one's own stands above them.
    """

    deletable = True

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="pattern_faces"))
    part = column.open(models.ForeignKey(Part, models.PROTECT, related_name="pattern_faces"))
    measurement = column.open(
        models.ForeignKey(Measurement, models.PROTECT, related_name="pattern_faces")
    )
    kind = column.open(
        models.CharField(max_length=20, help_text="A kind of face of trade.castings.")
    )
    contraction_percent = column.open(models.FloatField(null=True, blank=True))
    allowance = column.open(Measure("length"))
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
