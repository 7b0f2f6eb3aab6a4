"""What every row of the record has in common."""

import secrets
import uuid

from django.conf import settings
from django.db import models

from . import column


class KeptManager(models.Manager):
    """Rows that have not been removed. Removing marks a row; nothing is ever deleted."""

    def get_queryset(self):
        return super().get_queryset().filter(removed_at__isnull=True)


class Record(models.Model):
    """A row of the record: who made it and when, its version, and whether it was removed.

    `version` rises with every change; an action that was begun on an older version is refused
    and shows both. Rows are written by actions, which also write the history.
    """

    version = models.PositiveIntegerField(default=1, editable=False)
    made_at = models.DateTimeField(auto_now_add=True)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.SET_NULL, null=True, related_name="+", editable=False
    )
    removed_at = models.DateTimeField(null=True, blank=True, editable=False)

    objects = KeptManager()
    everything = models.Manager()

    # Columns that may not be open and that the text of a row shows.
    named_by: tuple[str, ...] = ()
    # Whether a person may delete a row by itself, and whether only a lead may: money, the engine's
    # own data, what was decided.
    deletable = False
    leads_only = False
    # Of rows that belong to no part.
    part_id: int | None = None

    class Meta:
        abstract = True

    @classmethod
    def from_db(cls, db, field_names, values):
        row = super().from_db(db, field_names, values)
        if column.hidden():
            column.reveal(row, row.passed())
            if column.is_own(vars(row).get("made_by_id")):
                column.reveal(row, column.declared(cls, column.Kind.PERSONAL))
        return row

    @property
    def owners(self) -> tuple["Record", ...]:
        """The rows that this one belongs to, the nearest first. The engine is not among them."""
        rows = (
            getattr(self, field.name)
            for field in self._meta.concrete_fields
            if field.is_relation and issubclass(field.related_model, Record)
            if field.name != "engine" and getattr(self, field.attname) is not None
        )
        return tuple(rows)

    @property
    def needs_lead(self) -> bool:
        """Whether only a lead may delete or restore this row."""
        return self.leads_only

    def reason_to_keep(self) -> str:
        """Why this row cannot be deleted, as a sentence; nothing where it can."""
        return ""

    def reason_to_stay_deleted(self) -> str:
        """Why this row cannot be restored, as a sentence; nothing where it can."""
        return ""

    @staticmethod
    def derived_files(name: str) -> tuple[str, ...]:
        """The files that were made from a file of a row of this kind, beside it."""
        return ()

    def passed(self) -> tuple[str, ...]:
        """Columns that are withheld in other rows, and that somebody passed for all in this."""
        return ()


class FromPhone(models.Model):
    """A row with an id made where it was typed, on a phone or in a form: sent twice, saved once."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    sent_before = False  # set on a row that was there already when its form was sent again

    class Meta:
        abstract = True


def new_folder(kind: str, engine: int, uid) -> str:
    """A folder of its own for the files of one row, never used before.

    Whoever sends the same form at the same moment writes elsewhere, so that neither can delete
    or overwrite the files of the other.
    """
    return f"{kind}/{engine}/{uid}-{secrets.token_hex(4)}"


def kept(*fields: str, name: str, says: str) -> models.UniqueConstraint:
    """A constraint that holds among the rows that have not been removed; `says` when broken."""
    return models.UniqueConstraint(
        fields=fields,
        condition=models.Q(removed_at__isnull=True),
        name=name,
        violation_error_message=says,
    )


def holds(condition: models.Q, *, name: str, says: str) -> models.CheckConstraint:
    """A constraint on one row; `says` is the sentence for whoever breaks it."""
    return models.CheckConstraint(condition=condition, name=name, violation_error_message=says)


def exactly_or_more(*fields: str, name: str) -> models.CheckConstraint:
    """A constraint: at least one of the fields is filled in."""
    condition = models.Q()
    for field in fields:
        condition |= models.Q(**{f"{field}__isnull": False})
    says = f"Identify of: {' or '.join(fields)}."
    return holds(condition, name=name, says=says)
