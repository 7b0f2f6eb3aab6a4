"""Plans: what should be done by when, as frozen and dated copies."""

from django.db import models

from parts.record.models import Engine, column
from parts.record.models.base import Record, holds


class Plan(Record):
    """What should be done by when: a frozen, dated copy. A new plan is a new row."""

    deletable = leads_only = True

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="plans"))
    name = column.open(models.CharField(max_length=120))
    frozen_on = column.open(models.DateField())
    note = column.place(models.TextField(blank=True))

    class Meta(Record.Meta):
        ordering = ["-frozen_on", "-pk"]

    def __str__(self):
        return self.name


class PlanPoint(models.Model):
    """What a plan says should be done by a day, counted from the start of the work."""

    plan = column.open(models.ForeignKey(Plan, models.CASCADE, related_name="points"))
    day = column.open(models.DateField())
    pieces = column.open(
        models.PositiveIntegerField(help_text="pieces standing on the engine again")
    )
    hours = column.open(
        models.DecimalField(max_digits=9, decimal_places=1, help_text="hours given")
    )
    money = column.money(
        models.DecimalField(max_digits=12, decimal_places=2, help_text="money spent")
    )

    class Meta:
        ordering = ["day", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["plan", "day"],
                name="plan_day_once",
                violation_error_message="The plan has this day already.",
            ),
            holds(
                models.Q(hours__gte=0, money__gte=0),
                name="plan_not_negative",
                says="Hours and money of a plan cannot be less than nothing.",
            ),
        ]

    def __str__(self):
        return f"{self.plan}, {self.day}"
