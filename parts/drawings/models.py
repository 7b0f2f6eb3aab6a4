"""Drawings: sheets of one's own, balloons on them, and what the built-in elevation is tied to."""

from django.db import models
from django.urls import reverse

from parts.photos.models import Photo
from parts.record.models import Component, Engine, Part, column
from parts.record.models.base import FromPhone, Record, holds, kept


class Drawing(FromPhone, Record):
    """A sheet of one's own: an uploaded drawing, scan or photograph, with balloons set on it."""

    deletable = leads_only = True

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="drawings"))
    name = column.open(models.CharField(max_length=80, help_text="Plan, or cylinder in section."))
    picture = column.open(models.ForeignKey(Photo, models.PROTECT, related_name="drawings"))
    order = column.open(models.PositiveSmallIntegerField(default=1))
    note = column.place(models.CharField(max_length=200, blank=True))

    class Meta(Record.Meta):
        ordering = ["order", "pk"]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        return reverse("parts:drawing", args=[self.engine_id, self.pk])


class Balloon(Record):
    """A number on a drawing, whose leader ends at a place told in parts of its width and height."""

    deletable = leads_only = True

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="balloons"))
    drawing = column.open(models.ForeignKey(Drawing, models.PROTECT, related_name="balloons"))
    part = column.open(
        models.ForeignKey(Part, models.PROTECT, null=True, blank=True, related_name="balloons")
    )
    component = column.open(
        models.ForeignKey(Component, models.PROTECT, null=True, blank=True, related_name="balloons")
    )
    x = column.open(models.FloatField())
    y = column.open(models.FloatField())

    class Meta(Record.Meta):
        ordering = ["pk"]
        constraints = [
            holds(
                models.Q(x__gte=0, x__lte=1, y__gte=0, y__lte=1),
                name="balloon_on_the_sheet",
                says="A balloon points at a place on the drawing.",
            ),
            holds(
                models.Q(part__isnull=False, component__isnull=True)
                | models.Q(part__isnull=True, component__isnull=False),
                name="balloon_of_one",
                says="A balloon points at a part or at a component: choose one.",
            ),
        ]

    def __str__(self):
        return f"Balloon {self.part or self.component}"


class Tie(Record):
    """Which part or component a piece of the built-in elevation is, where the lead says so.

    Without a row, a piece is tied by the names of the starter list. A row with neither part
    nor component says that the piece is nothing of this engine, and is not drawn.
    """

    deletable = leads_only = True

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="ties"))
    piece = column.open(
        models.CharField(max_length=40, help_text="A key of the arrangement of its kind.")
    )
    part = column.open(
        models.ForeignKey(Part, models.PROTECT, null=True, blank=True, related_name="ties")
    )
    component = column.open(
        models.ForeignKey(Component, models.PROTECT, null=True, blank=True, related_name="ties")
    )

    class Meta(Record.Meta):
        ordering = ["piece"]
        constraints = [
            kept("engine", "piece", name="tie_once", says="This piece is tied already."),
            holds(
                models.Q(part__isnull=True) | models.Q(component__isnull=True),
                name="tie_to_one",
                says="Tie the piece to a part or to a component, not to both.",
            ),
        ]

    def __str__(self):
        return f"{self.piece}: {self.part or self.component or 'nothing'}"
