"""Hours that people gave."""

from django.db import models

from parts.record.models import Component, Engine, Part, Work, column
from parts.record.models.base import Record, holds


class HoursGiven(Record):
    """Hours that a person gave, and to what."""

    deletable = True

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="hours"))
    person = column.personal(models.CharField(max_length=80))
    day = column.open(models.DateField())
    hours = column.open(models.DecimalField(max_digits=5, decimal_places=2))
    work = column.open(models.CharField(max_length=12, choices=Work))
    component = column.open(
        models.ForeignKey(Component, models.PROTECT, null=True, blank=True, related_name="hours")
    )
    part = column.open(
        models.ForeignKey(Part, models.PROTECT, null=True, blank=True, related_name="hours")
    )
    note = column.place(models.CharField(max_length=200, blank=True))

    class Meta(Record.Meta):
        ordering = ["-day", "person", "pk"]
        verbose_name_plural = "hours given"
        indexes = [models.Index(fields=["engine", "day"], name="hours_by_day")]
        constraints = [
            holds(
                models.Q(hours__gt=0, hours__lte=24),
                name="hours_of_a_day",
                says="Hours of one day are more than 0 and no more than 24.",
            )
        ]

    named_by = ("person",)

    def __str__(self):
        return f"{self.person or 'Somebody'}, {self.hours} h, {self.day}"
