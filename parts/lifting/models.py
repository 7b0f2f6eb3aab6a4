"""Lifting gear, lifts, and what hangs on them."""

from django.core.validators import MinValueValidator
from django.db import models
from django.urls import reverse

from parts.record.models import Engine, Part, column
from parts.record.models.base import Record, holds, kept
from parts.record.models.measure import Measure


class Gear(Record):
    """A sling, shackle or hoist that is owned, with what its own tag says."""

    deletable = leads_only = True

    class Kind(models.TextChoices):
        CHAIN = "chain", "Chain sling"
        WIRE = "wire", "Wire rope sling"
        WEB = "web", "Web sling"
        SHACKLE = "shackle", "Shackle"
        HOIST = "hoist", "Hoist or chain block"
        JACK = "jack", "Jack"
        WINCH = "winch", "Winch"
        LORRY = "lorry", "Lorry or trailer"

    class AngleFrom(models.TextChoices):
        NONE = "", "Not given"
        VERTICAL = "vertical", "From the vertical"
        HORIZONTAL = "horizontal", "From the horizontal"

    SLINGS = (Kind.CHAIN, Kind.WIRE, Kind.WEB)

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="gear"))
    kind = column.open(models.CharField(max_length=8, choices=Kind))
    name = column.open(models.CharField(max_length=120))
    rated = column.open(Measure("mass", "rated load on its tag"))
    rated_legs = column.open(
        models.PositiveSmallIntegerField(
            "what the rated load is for",
            choices=[
                (1, "One leg, pulled straight"),
                (2, "The whole sling of 2 legs"),
                (3, "The whole sling of 3 legs"),
                (4, "The whole sling of 4 legs"),
            ],
            null=True,
            blank=True,
        )
    )
    rated_angle = column.open(models.FloatField("angle on the tag", null=True, blank=True))
    rated_angle_from = column.open(
        models.CharField("counted from", max_length=10, choices=AngleFrom, default="", blank=True)
    )
    how_many = column.open(models.PositiveSmallIntegerField(default=1))
    inspected_on = column.open(models.DateField(null=True, blank=True))
    inspect_by = column.open(models.DateField("next inspection by", null=True, blank=True))
    owner = column.open(models.CharField(max_length=120, blank=True))
    note = column.place(models.TextField(blank=True))

    class Meta(Record.Meta):
        ordering = ["kind", "name", "pk"]
        verbose_name_plural = "gear"
        constraints = [
            holds(
                models.Q(rated_kg__isnull=True) | models.Q(rated_kg__gt=0),
                name="gear_rated",
                says="A rated load is more than nothing.",
            )
        ]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        return reverse("parts:gear", args=[self.engine_id])

    @property
    def tag_angle(self) -> float | None:
        """The angle on the tag, from the horizontal. [deg]"""
        if self.rated_angle is None or not self.rated_angle_from:
            return None
        upright = self.rated_angle_from == self.AngleFrom.VERTICAL
        return 90.0 - self.rated_angle if upright else self.rated_angle


class Lift(Record):
    """A lift that was thought through: what hangs on it, by which gear, at which angle."""

    deletable = True

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="lifts"))
    name = column.open(models.CharField(max_length=120))
    extra = column.open(Measure("mass", "mud, water and tackle", empty=0))
    legs = column.open(models.PositiveSmallIntegerField(default=2))
    angle_deg = column.open(
        models.FloatField("angle of the legs", help_text="From the horizontal.")
    )
    shared = column.open(
        models.BooleanField("the load is known to be shared equally by all legs", default=False)
    )
    sling = column.open(
        models.ForeignKey(
            Gear, models.PROTECT, null=True, blank=True, related_name="lifts_by_sling"
        )
    )
    shackle = column.open(
        models.ForeignKey(
            Gear, models.PROTECT, null=True, blank=True, related_name="lifts_by_shackle"
        )
    )
    hoist = column.open(
        models.ForeignKey(
            Gear, models.PROTECT, null=True, blank=True, related_name="lifts_by_hoist"
        )
    )
    planned_for = column.open(models.DateField(null=True, blank=True))
    done_on = column.open(models.DateField(null=True, blank=True))
    happened = column.place(models.TextField("how it went", blank=True))

    class Meta(Record.Meta):
        ordering = ["-pk"]
        constraints = [
            holds(
                models.Q(legs__gte=1, legs__lte=4, angle_deg__gt=0, angle_deg__lte=90),
                name="lift_legs_and_angle",
                says="A lift has 1 to 4 legs, at an angle of more than 0 and up to 90 degrees.",
            )
        ]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        return reverse("parts:lift", args=[self.engine_id, self.pk])


class LiftLoad(Record):
    """How many pieces of a part hang on a lift at once."""

    lift = column.open(models.ForeignKey(Lift, models.PROTECT, related_name="loads"))
    part = column.open(models.ForeignKey(Part, models.PROTECT, related_name="lift_loads"))
    pieces = column.open(
        models.PositiveSmallIntegerField(default=1, validators=[MinValueValidator(1)])
    )

    class Meta(Record.Meta):
        ordering = ["part__item", "pk"]
        constraints = [
            kept("lift", "part", name="lift_load_once", says="This part is on the lift already."),
            holds(
                models.Q(pieces__gt=0),
                name="lift_load_pieces",
                says="Give a number of pieces, 1 or more.",
            ),
        ]

    def __str__(self):
        return f"{self.pieces} × {self.part}"
