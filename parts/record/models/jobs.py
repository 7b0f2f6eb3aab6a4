"""Jobs: how missing or beyond-repair pieces will be replaced."""

from django.db import models
from django.urls import reverse

from parts.engineering.routes import Route, route

from . import column
from .base import Record, holds
from .choices import ROUTE_CHOICES, Material
from .engine import Engine, Part


class Job(Record):
    """A decision to replace pieces of a part by one route.

    How many were decided, which stages they reached and how many are fitted are dated entries.
    """

    deletable = leads_only = True

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="jobs"))
    part = column.open(models.ForeignKey(Part, models.PROTECT, related_name="jobs"))
    route = column.open(models.CharField(max_length=12, choices=ROUTE_CHOICES))
    who = column.open(
        models.CharField("assigned to", max_length=80, blank=True, help_text="Who makes it.")
    )
    metal = column.open(
        models.CharField(
            max_length=20, choices=Material, blank=True, help_text="If not the part's own."
        )
    )
    size = column.open(models.CharField("size to make", max_length=120, blank=True))
    wanted_by = column.open(models.DateField(null=True, blank=True))
    reason = column.place(models.TextField(blank=True, help_text="Why this way."))
    note = column.place(models.TextField(blank=True))

    class Meta(Record.Meta):
        ordering = ["part__item", "pk"]
        constraints = [
            holds(
                models.Q(route__in=[key for key, _ in ROUTE_CHOICES]),
                name="job_route",
                says="Choose how it will be made.",
            )
        ]

    def __str__(self):
        return f"{self.part}, {self.get_route_display()}"

    def get_absolute_url(self):
        return reverse("parts:job", args=[self.engine_id, self.pk])

    @property
    def way(self) -> Route:
        return route(self.route)

    def reason_to_keep(self) -> str:
        if self.entries.exists():
            return (
                "This job has dated entries. Withdraw the decision, which keeps them, "
                "or delete the entries that were typed by mistake first."
            )
        return ""
