"""Deleting rows and restoring them. What stands against it, each model says of its own rows."""

from functools import cache

from django.apps import apps
from django.core.exceptions import ValidationError

from ..models import PieceEntry
from ..models.base import Record
from . import saving
from .balance import held
from .entries import unwrite
from .locking import writing
from .saving import Refused


@cache
def deletable() -> dict[str, type[Record]]:
    """The kinds of row that a person may delete by itself, by the name they have in addresses."""
    models = apps.get_app_config("parts").get_models()
    return {m._meta.model_name: m for m in models if issubclass(m, Record) and m.deletable}


def remove(row: Record, *, by, reason: str) -> None:
    """Mark a row as deleted.

    Raises:
        Refused: something still needs it.
    """
    if isinstance(row, PieceEntry):
        unwrite(row, by=by, reason=reason)
        return
    with writing(row.engine_id):
        if why := row.reason_to_keep():
            raise Refused(why)
        saving.remove(row, by=by, reason=reason)


def bring_back(row: Record, *, by, reason: str = "") -> None:
    """Restore a deleted row. An entry of pieces comes back only if the balance still holds.

    Raises:
        Refused: what it belongs to is gone, or something else has its place.
    """
    if isinstance(row, PieceEntry):
        with held(row.part, *([row.find] if row.find_id else [])):
            saving.bring_back(row, by=by, reason=reason)
        return
    with writing(row.engine_id):
        if why := row.reason_to_stay_deleted():
            raise Refused(why)
        _check_place(row)
        saving.bring_back(row, by=by, reason=reason)


def _check_place(row: Record) -> None:
    """What a row belongs to must be there, and nothing may have taken its number meanwhile."""
    for owner in row.owners:
        if owner.removed_at is not None:
            raise Refused(f"What it belongs to was deleted too. Restore “{owner}” first.")
    removed_at, row.removed_at = row.removed_at, None
    try:
        row.validate_constraints()
    except ValidationError as error:
        raise Refused(" ".join(error.messages)) from None
    finally:
        row.removed_at = removed_at
