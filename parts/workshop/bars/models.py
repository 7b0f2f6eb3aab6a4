"""Bars, offcuts, blanks and cutting lists."""

from django.db import models

from parts.record.models import Engine, Job, Material, column
from parts.record.models.base import Record, holds, kept
from parts.record.models.measure import Measure


class Bar(Record):
    """Bar of one section: a stock length that can be bought, or bars and offcuts in the store."""

    deletable = True

    class Section(models.TextChoices):
        ROUND = "round", "Round"
        HEXAGON = "hexagon", "Hexagon"
        SQUARE = "square", "Square"
        FLAT = "flat", "Flat"

    engine = column.place(models.ForeignKey(Engine, models.PROTECT, related_name="bars"))
    material = column.place(models.CharField(max_length=20, choices=Material))
    section = column.place(models.CharField(max_length=8, choices=Section, default=Section.ROUND))
    across = column.place(Measure("length", blank=False))
    length = column.place(Measure("length", blank=False))
    in_store = column.place(
        models.BooleanField(default=False, help_text="In the store, not to be bought.")
    )
    offcut = column.place(models.BooleanField(default=False))
    price = column.place(
        models.DecimalField(
            "price of one bar", max_digits=10, decimal_places=2, null=True, blank=True
        )
    )
    supplier = column.place(models.CharField(max_length=120, blank=True))
    kept_at = column.place(models.CharField("where it is kept", max_length=120, blank=True))

    class Meta(Record.Meta):
        ordering = ["material", "section", "across_mm", "-length_mm", "pk"]
        constraints = [
            holds(
                models.Q(length_mm__gt=0, across_mm__gt=0),
                name="bar_sizes",
                says="A bar has a size across and a length, both more than nothing.",
            )
        ]

    def __str__(self):
        return f"{self.across_written} {self.get_section_display().lower()}, {self.length_written}"

    def reason_to_keep(self) -> str:
        if self.moves.exists():
            return "Bars of this were booked. Book out what is left of them instead."
        return ""


class CutPlan(Record):
    """A cutting list as it was cut, or is about to be: frozen, with what it took and left."""

    engine = column.place(models.ForeignKey(Engine, models.PROTECT, related_name="cut_plans"))
    number = column.place(models.PositiveIntegerField())
    drawn_on = column.place(models.DateField())
    cut_on = column.place(models.DateField(null=True, blank=True))
    kerf_mm = column.place(models.FloatField())
    end_trim_mm = column.place(models.FloatField(default=0))
    plan = column.place(
        models.JSONField(help_text="Bars with their cuts, as trade.bars gave them.")
    )
    note = column.place(models.TextField(blank=True))

    class Meta(Record.Meta):
        ordering = ["-number"]
        constraints = [
            kept("engine", "number", name="cut_plan_once", says="Another plan has this number.")
        ]

    def __str__(self):
        return f"Cutting list {self.number}"


class BarMove(Record):
    """Bars into or out of the store. Fewer than none there never are: the action holds that."""

    engine = column.place(models.ForeignKey(Engine, models.PROTECT, related_name="bar_moves"))
    bar = column.place(models.ForeignKey(Bar, models.PROTECT, related_name="moves"))
    day = column.place(models.DateField())
    bars = column.place(models.IntegerField(help_text="In is positive, out is negative."))
    cut_plan = column.place(
        models.ForeignKey(CutPlan, models.PROTECT, null=True, blank=True, related_name="moves")
    )
    reason = column.place(models.CharField(max_length=200, blank=True))

    class Meta(Record.Meta):
        ordering = ["day", "pk"]
        constraints = [
            holds(~models.Q(bars=0), name="bar_move_some", says="Give a number of bars.")
        ]

    def __str__(self):
        return f"{self.bar}: {self.bars:+d}"


class BarBlank(Record):
    """The blank a job is turned from: which bar, how long, with what to face off."""

    deletable = True

    engine = column.place(models.ForeignKey(Engine, models.PROTECT, related_name="bar_blanks"))
    job = column.place(models.ForeignKey(Job, models.PROTECT, related_name="bar_blanks"))
    section = column.place(
        models.CharField(max_length=8, choices=Bar.Section, default=Bar.Section.ROUND)
    )
    across = column.place(Measure("length", blank=False))
    length = column.place(Measure("length", "finished length", blank=False))
    faces = column.place(models.PositiveSmallIntegerField("ends faced", default=2))
    holding_mm = column.place(models.FloatField("to hold by", default=0, help_text="millimetres"))

    class Meta(Record.Meta):
        ordering = ["job__part__item", "pk"]
        constraints = [
            kept("job", name="blank_once", says="This job has its blank already."),
            holds(
                models.Q(length_mm__gt=0, across_mm__gt=0),
                name="blank_sizes",
                says="A blank has a size across and a length, both more than nothing.",
            ),
        ]

    def __str__(self):
        return f"Blank of {self.job.part}"
