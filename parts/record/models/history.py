"""The history: every change of the record, who made it and what it was before."""

from django.conf import settings
from django.db import models

from . import column
from .engine import Engine, Part


class Change(models.Model):
    """One change of one row. Written by `parts.record.actions.saving`, never altered.

    One table holds the changes of all rows, so that the history of a part, with its finds,
    measures and jobs, or of the whole engine, is one query in order of time.
    """

    class Verb(models.TextChoices):
        ADDED = "added", "added"
        CHANGED = "changed", "changed"
        REMOVED = "removed", "removed"
        BROUGHT_BACK = "brought_back", "brought back"

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="changes"))
    part = column.open(models.ForeignKey(Part, models.PROTECT, null=True, related_name="changes"))
    kind = column.open(
        models.CharField(max_length=30, help_text="name of the model, in lower case")
    )
    row = column.open(models.PositiveBigIntegerField())
    title = column.open(models.CharField(max_length=200))
    verb = column.open(models.CharField(max_length=12, choices=Verb))
    at = models.DateTimeField(auto_now_add=True)
    by = column.open(
        models.ForeignKey(settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+")
    )
    by_name = column.open(models.CharField(max_length=150))
    reason = column.place(models.TextField(blank=True))
    before = column.place(models.JSONField(default=dict))
    after = column.place(models.JSONField(default=dict))

    class Meta:
        ordering = ["-at", "-pk"]
        indexes = [
            models.Index(fields=["engine", "-at"], name="change_of_engine"),
            models.Index(fields=["part", "-at"], name="change_of_part"),
            models.Index(fields=["kind", "row"], name="change_of_row"),
        ]

    def __str__(self):
        return f"{self.title} {self.verb} by {self.by_name}"
