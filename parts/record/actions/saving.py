"""Writing rows: the version is checked, the row written, and its history with it.

Every action of this floor writes through these four functions, in one transaction each.
"""

from datetime import date, datetime
from decimal import Decimal

from django.db import models
from django.db.models import F
from django.utils import timezone

from ..models import Change
from ..models.base import Record
from ..models.column import Withheld
from .locking import writing

NOT_TOLD = {"id", "version", "made_at", "made_by", "removed_at", "uid"}


class Clash(Exception):
    """Someone else saved the row meanwhile. Carries the row as it is now, and what was wanted."""

    def __init__(self, now: Record, wanted: dict):
        self.now, self.wanted = now, wanted
        super().__init__("Someone else changed this while you were writing.")


class Refused(Exception):
    """What was asked cannot be. The message is a whole sentence for the person who asked."""


def name_of(user) -> str:
    """How a person is called in the record."""
    if user is None:
        return "Bedplate"
    return user.get_full_name() or user.get_username()


def _told(value):
    """A value as the history keeps it."""
    if isinstance(value, models.Model):
        return value.pk
    if isinstance(value, datetime | date):
        return value.isoformat()
    if isinstance(value, Decimal):
        return str(value)
    if isinstance(value, Withheld):
        return value.words
    if isinstance(value, models.fields.files.FieldFile):
        return value.name
    return value


def _as_told(row: Record, names=None) -> dict:
    fields = [f for f in row._meta.concrete_fields if f.name not in NOT_TOLD]
    return {
        f.name: _told(getattr(row, f.attname))
        for f in fields
        if names is None or f.name in names or f.attname in names
    }


def change_of(row: Record, verb: str, by, reason="", before=None, after=None) -> Change:
    return Change(
        engine_id=row.engine_id,
        part_id=row.part_id,
        kind=row._meta.model_name,
        row=row.pk,
        title=str(row)[:200],
        verb=verb,
        by=by,
        by_name=name_of(by)[:150],
        reason=reason,
        before=before or {},
        after=after or {},
    )


def add(row: Record, *, by, reason: str = "") -> Record:
    """Write a new row and the line of history that says who made it."""
    with writing(row.engine_id):
        row.made_by = by
        row.save(force_insert=True)
        change_of(row, Change.Verb.ADDED, by, reason, after=_as_told(row)).save()
    return row


def add_many(rows: list[Record], *, by, reason: str = "") -> list[Record]:
    """Write many new rows of one model, each with its line of history."""
    if not rows:
        return rows
    with writing(*{row.engine_id for row in rows}):
        for row in rows:
            row.made_by = by
        type(rows[0]).objects.bulk_create(rows, batch_size=400)
        Change.objects.bulk_create(
            [change_of(row, Change.Verb.ADDED, by, reason, after=_as_told(row)) for row in rows],
            batch_size=400,
        )
    return rows


def change(row: Record, values: dict, *, seen: int, by, reason: str = "") -> Record:
    """Set fields of a row, if it is still at the version that the person saw.

    Args:
        row: The row; its own attributes may already hold the new values (a bound form's do).
        values: Field names and their new values.
        seen: The version that the person had before them.

    Raises:
        Clash: the row was changed or removed meanwhile. Nothing is written.
    """
    model = type(row)
    with writing(row.engine_id):
        old = model.everything.get(pk=row.pk)
        if old.version != seen or old.removed_at is not None:
            raise Clash(old, values)
        before, after = {}, {}
        for name, value in values.items():
            attname = model._meta.get_field(name).attname
            new = value.pk if isinstance(value, models.Model) else value
            if getattr(old, attname) != new:
                before[name], after[name] = _told(getattr(old, attname)), _told(value)
        if not after:
            return old
        changed = {name: values[name] for name in after}
        model.everything.filter(pk=row.pk).update(**changed, version=F("version") + 1)
        new = model.everything.get(pk=row.pk)
        change_of(new, Change.Verb.CHANGED, by, reason, before, after).save()
    return new


def remove(row: Record, *, by, reason: str = "") -> None:
    """Mark a row as removed. It can be brought back."""
    with writing(row.engine_id):
        now = timezone.now()
        kept = type(row).everything.filter(pk=row.pk, removed_at__isnull=True)
        if kept.update(removed_at=now, version=F("version") + 1):
            change_of(row, Change.Verb.REMOVED, by, reason, before=_as_told(row)).save()


def bring_back(row: Record, *, by, reason: str = "") -> None:
    """Bring back a row that was removed."""
    with writing(row.engine_id):
        gone = type(row).everything.filter(pk=row.pk, removed_at__isnull=False)
        if gone.update(removed_at=None, version=F("version") + 1):
            change_of(row, Change.Verb.BROUGHT_BACK, by, reason, after=_as_told(row)).save()
