"""Who belongs to an engine, and as what."""

from django.conf import settings
from django.db import models

from . import column
from .base import Record, kept
from .engine import Engine


class Membership(Record):
    """A person of an engine, and what they may do there."""

    class Role(models.TextChoices):
        LEAD = "lead", "Lead"
        HELPER = "helper", "Helper"
        READER = "reader", "Reader"

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="memberships"))
    user = column.open(
        models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="memberships")
    )
    role = column.open(models.CharField(max_length=8, choices=Role))

    class Meta(Record.Meta):
        ordering = ["role", "user__first_name", "user__username", "pk"]
        constraints = [
            kept(
                "engine",
                "user",
                name="member_once",
                says="This person belongs to the engine already.",
            )
        ]

    def __str__(self):
        return f"{self.user}, {self.get_role_display().lower()}"
