"""Finds and the site diary."""

from django.core.validators import MinValueValidator
from django.db import models
from django.urls import reverse

from . import column
from .base import FromPhone, Record, holds
from .choices import ConditionClass, Material
from .engine import Engine
from .measure import Measure


class Find(FromPhone, Record):
    """Something accounted for: recovered from the site, or still on the engine.

    What it was identified as, and whether it stands on the engine, are dated entries with
    quantities, so that one find can be two parts. Two finds may carry one tag: both are kept and
    the clash is shown until someone settles it.
    """

    deletable = True

    class Odd(models.TextChoices):
        NONE = "", "A piece of the engine, or may be"
        TOOL = "tool", "A tool"
        GLASS = "glass", "Glass or pottery"
        BONE = "bone", "Bone"
        PERSONAL = "personal", "Something personal"
        OTHER = "other", "Something else"

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="finds"))
    tag = column.open(models.CharField(max_length=20, blank=True))
    day = column.open(models.DateField())
    quantity = column.open(
        models.PositiveIntegerField(default=1, validators=[MinValueValidator(1)])
    )
    found_by = column.open(models.CharField(max_length=80, blank=True))
    still_on_engine = column.open(models.BooleanField(default=False))
    looks_like = column.open(
        models.CharField(max_length=120, blank=True, help_text="Short: bent lever.")
    )
    material = column.open(
        models.CharField(max_length=20, choices=Material, default=Material.NOT_KNOWN)
    )
    condition_class = column.open(
        models.PositiveSmallIntegerField(choices=ConditionClass, null=True, blank=True)
    )
    odd = column.open(
        models.CharField("what it is", max_length=10, choices=Odd, default=Odd.NONE, blank=True)
    )
    # The longest side, and one piece.
    length = column.open(Measure("length"))
    mass = column.open(Measure("mass"))
    # Places: told only to those who may see places.
    where_found = column.place(
        models.CharField(
            "where it lay", max_length=200, blank=True, help_text="Square D3, 40 cm down."
        )
    )
    depth = column.place(Measure("length", "below ground"))
    kept_at = column.place(models.CharField("where it is kept", max_length=120, blank=True))
    note = column.place(models.TextField(blank=True))

    class Meta(Record.Meta):
        ordering = ["-day", "-pk"]
        indexes = [
            models.Index(fields=["engine", "day"], name="find_by_day"),
            models.Index(fields=["engine", "tag"], name="find_by_tag"),
        ]
        constraints = [
            holds(models.Q(quantity__gt=0), name="find_quantity", says="How many? 1 or more."),
            holds(
                models.Q(mass_kg__isnull=True) | models.Q(mass_kg__gt=0),
                name="find_mass_positive",
                says="A mass must be more than nothing.",
            ),
        ]

    def __str__(self):
        return f"{self.name}, {self.looks_like}" if self.looks_like else self.name

    @property
    def name(self) -> str:
        """The tag, or a stand-in for a find that has none."""
        return self.tag or f"untagged {self.pk}"

    def get_absolute_url(self):
        return reverse("parts:find", args=[self.engine_id, self.pk])

    def reason_to_keep(self) -> str:
        if self.entries.exists():
            return "This find is identified as a part. Take that back first, then delete it."
        return ""


class DiaryEntry(FromPhone, Record):
    """A day on the site: who was there, weather, water, what was done, what is next."""

    deletable = True

    engine = column.place(models.ForeignKey(Engine, models.PROTECT, related_name="diary"))
    day = column.place(models.DateField())
    there = column.place(models.CharField("who was there", max_length=200, blank=True))
    weather = column.place(models.CharField(max_length=120, blank=True))
    water = column.place(models.CharField(max_length=120, blank=True))
    done = column.place(models.TextField("what was done"))
    next = column.place(models.TextField("what is next", blank=True))
    recording = column.place(
        models.CharField(max_length=160, blank=True, help_text="Name of a recording.")
    )
    recording_minute = column.place(models.CharField(max_length=9, blank=True, help_text="12:30"))

    class Meta(Record.Meta):
        ordering = ["-day", "-pk"]
        verbose_name_plural = "diary entries"

    def __str__(self):
        return f"Diary, {self.day}"
