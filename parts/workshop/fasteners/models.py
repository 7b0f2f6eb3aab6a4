"""Threads of fasteners, and prices quoted for them."""

from django.core.validators import MinValueValidator
from django.db import models

from parts.record.models import Engine, Part, column
from parts.record.models.base import Record, holds, kept
from parts.record.models.measure import Measure


class Fastener(Record):
    """What a fastener is: its thread, length and head, measured or named."""

    deletable = True

    class Kind(models.TextChoices):
        BOLT = "bolt", "Bolt"
        STUD = "stud", "Stud"
        NUT = "nut", "Nut"
        SCREW = "screw", "Set screw"
        WASHER = "washer", "Washer"
        PIN = "pin", "Pin or cotter"

    class Head(models.TextChoices):
        HEXAGON = "hexagon", "Hexagon"
        SQUARE = "square", "Square"
        COUNTERSUNK = "countersunk", "Countersunk"
        CHEESE = "cheese", "Cheese"
        NONE = "none", "None"

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="fasteners"))
    part = column.open(models.ForeignKey(Part, models.PROTECT, related_name="fasteners"))
    kind = column.open(models.CharField(max_length=8, choices=Kind, default=Kind.BOLT))
    head = column.open(models.CharField(max_length=12, choices=Head, default=Head.HEXAGON))
    series = column.open(
        models.CharField(max_length=12, blank=True, help_text="A series of trade.threads.")
    )
    size = column.open(
        models.CharField(max_length=12, blank=True, help_text="Its nominal size there.")
    )
    sure = column.open(models.BooleanField("thread is certain", default=False))
    length = column.open(Measure("length"))
    crest = column.open(Measure("length", "over the crests"))
    threads_per_inch = column.open(models.FloatField(null=True, blank=True))
    flank_deg = column.open(models.FloatField("flank angle", null=True, blank=True))
    flats = column.open(Measure("length", "across flats"))
    nuts = column.open(models.PositiveSmallIntegerField("nuts with each", default=0))
    spares = column.open(models.PositiveSmallIntegerField(default=0))
    minutes_each = column.open(models.FloatField("minutes to make one", null=True, blank=True))
    minutes_setting = column.open(models.FloatField("minutes to set up", null=True, blank=True))

    class Meta(Record.Meta):
        ordering = ["part__item", "pk"]
        constraints = [kept("part", name="fastener_once", says="This part has its thread already.")]

    def __str__(self):
        return f"{self.get_kind_display()} of {self.part}"


class Quote(Record):
    """What a supplier asks for a piece, and from when."""

    deletable = leads_only = True

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="quotes"))
    part = column.open(models.ForeignKey(Part, models.PROTECT, related_name="quotes"))
    supplier = column.money(models.CharField(max_length=120))
    day = column.money(models.DateField())
    each = column.money(models.DecimalField("price of one", max_digits=10, decimal_places=2))
    carriage = column.money(models.DecimalField(max_digits=10, decimal_places=2, default=0))
    least = column.money(
        models.PositiveIntegerField("least order", default=1, validators=[MinValueValidator(1)])
    )
    good_until = column.money(models.DateField(null=True, blank=True))
    note = column.place(models.CharField(max_length=200, blank=True))

    class Meta(Record.Meta):
        ordering = ["-day", "pk"]
        constraints = [
            holds(
                models.Q(each__gte=0, carriage__gte=0),
                name="quote_not_negative",
                says="A price cannot be less than nothing.",
            )
        ]

    def __str__(self):
        return f"{self.supplier}, {self.day}"
