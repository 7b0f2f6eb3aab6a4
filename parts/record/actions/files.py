"""Rows and their files: saved whole or not at all.

One rule for everything that carries files. A form carries an id made where it was typed; each of
its files gets an id from that and its checksum. The files are written first, into new folders of
their own, then all rows in one transaction. What fails leaves neither. What is killed half-way
leaves at most files that no row names, which `sweep` removes. Sent again, a form adds what is not
there yet and never doubles.
"""

import os
import uuid
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from datetime import datetime, timedelta
from pathlib import PurePosixPath

from django.apps import apps
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import DatabaseError, OperationalError, models
from django.utils import timezone

from ..models import Engine
from .locking import writing
from .saving import Refused

# Where files lie, and how old one that no row names must be before it is swept. No request takes
# an hour; a file that waits for its form is kept for a day.
ROOTS = {
    "photos": timedelta(hours=1),
    "papers": timedelta(hours=1),
    "reports": timedelta(hours=1),
    "waiting": timedelta(days=1),
}

Write = Callable[[str, bytes], str]


def id_of(form: uuid.UUID | None, sha256: str) -> uuid.UUID:
    """The id of a file that came with a form; without a form's id, a new one."""
    return uuid.uuid5(uuid.UUID(str(form)), sha256) if form else uuid.uuid4()


@contextmanager
def written_first() -> Iterator[Write]:
    """Write files, then rows: yields the function that writes a file and returns its name.

    However the block ends, a written file that no row names is deleted again.

    Raises:
        Refused: the disk or the database could not take it. Nothing was saved.
    """
    names: list[str] = []

    def write(name: str, content: bytes) -> str:
        names.append(name)  # told before: half a file has to go as well
        default_storage.save(name, ContentFile(content))
        _to_disk(name)
        return name

    try:
        yield write
    except (OSError, OperationalError) as error:
        raise Refused(f"Nothing was saved: {_reason(error)}. Try again in a while.") from error
    finally:
        _drop_unnamed(names)


def _reason(error: Exception) -> str:
    if isinstance(error, OSError):
        return f"the files could not be written ({error.strerror or error})"
    return f"the record could not be written ({error})"


def _to_disk(name: str) -> None:
    """Hold a file and its name against a loss of power before a row names it."""
    if os.name == "nt":  # folders cannot be held there
        return
    for place in (name, *map(str, PurePosixPath(name).parents)):
        held = os.open(default_storage.path(place), os.O_RDONLY)
        try:
            os.fsync(held)
        finally:
            os.close(held)


def _drop_unnamed(names: list[str]) -> None:
    with suppress(OSError, DatabaseError):  # what cannot be dropped now is swept later
        dropped = set(names) - named_by_rows(names)
        for name in dropped:
            default_storage.delete(name)
        for folder in {name.rpartition("/")[0] for name in dropped}:
            default_storage.delete(folder)


@contextmanager
def sent_once(row) -> Iterator:
    """One transaction for the rows of a form; yields the row that it made when it was sent before.

    The lock on the engine keeps one form that is sent twice at once from going in twice.

    Raises:
        Refused: the row was deleted since, or belongs to another engine.
    """
    with writing(row.engine_id):
        known = type(row).everything.filter(uid=row.uid).first()
        if known is not None:
            if known.engine_id != row.engine_id:
                raise Refused("This form was saved for another engine already. Open a new one.")
            if known.removed_at is not None:
                raise Refused(
                    "This was saved before and deleted since. It can be restored in the "
                    "history; to write another, open a new form."
                )
            known.sent_before = True
        yield known


def named_by_rows(among: Iterable[str] | None = None) -> set[str]:
    """The files that rows name, removed rows too, and what is shown of their pictures.

    Args:
        among: Only these are asked for; None asks for all.
    """
    named = set()
    for model in apps.get_app_config("parts").get_models():
        for field in model._meta.concrete_fields:
            if isinstance(field, models.FileField):
                rows = model._base_manager.exclude(**{field.name: ""})
                if among is not None:
                    rows = rows.filter(**{f"{field.name}__in": among})
                for name in rows.values_list(field.name, flat=True):
                    named.update((name, *model.derived_files(name)))
    return named


def sweep() -> int:
    """Remove files that no row names and no request can be writing still. Returns how many.

    A record without any engine removes nothing: it is not the one that these files belong to.
    """
    if not Engine.everything.exists():
        return 0
    now = timezone.now()
    old = [
        (name, is_file)
        for root, age in ROOTS.items()
        for name, is_file in _within(root)
        if _changed(name) < now - age
    ]
    named = named_by_rows()
    removed = 0
    for name, is_file in old:
        if name not in named:
            with suppress(OSError):  # a folder that still holds something stays
                default_storage.delete(name)
                removed += is_file
    return removed


def _changed(name: str) -> datetime:
    try:
        return default_storage.get_modified_time(name)
    except FileNotFoundError:  # gone meanwhile
        return timezone.now()


def _within(folder: str) -> Iterator[tuple[str, bool]]:
    """What lies in a folder, with whether it is a file; each folder after what it holds."""
    if not default_storage.exists(folder):
        return
    folders, names = default_storage.listdir(folder)
    yield from ((f"{folder}/{name}", True) for name in names)
    for name in folders:
        yield from _within(f"{folder}/{name}")
        yield f"{folder}/{name}", False
