"""Converts a record of the layout from before the migrations began again.

Every row of the old tables is written through the models of the first migration into a new file.
Then both are compared: the rows of each table are counted, and each column has the same checksum,
where words were renamed after the new words are turned back. Whatever differs, the new file is
dropped. The app then brings it up to date like any record.
"""

import hashlib
import json
import re
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from decimal import InvalidOperation
from functools import partial
from pathlib import Path

from django.core.exceptions import ValidationError
from django.db import DatabaseError, connection, models, transaction
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder

from parts.record.actions.saving import Refused

from . import schema

FIRST = ("parts", "0001_the_record")
# Of the columns of the old tables: what else a file has is nothing that our migrations made.
COLUMNS = "ccd50b1173b5b704e698bbec534249e250ea2147b2f2614b53ed0ca84ccf250e"
TABLES = {"parts_pieceentry": "parts_fact", "parts_job": "parts_making"}
COLUMN, OLD_COLUMN = "job_id", "making_id"
# Who is logged in is left out, and the new record has migrations of its own.
LEFT_OUT = {"django_session", schema.MIGRATIONS}
ROWS = 500
# All that a value may raise that its column cannot take.
UNFIT = (
    DatabaseError,
    ValidationError,
    InvalidOperation,
    ValueError,
    AttributeError,
    TypeError,
    OverflowError,
    RecursionError,
)

NAMES = {"fact": "pieceentry", "making": "job"}
VALUES = {"past_use": "beyond_repair", "past_use_placed": "beyond_repair_placed"}
# In JSON: the key that names a job, and the keys under which a renamed value stands.
KEYS, KINDS = {"making": "job"}, {"kind", "matter"}


def _turned(words: dict[str, str]) -> dict[str, str]:
    return {new: old for old, new in words.items()}


def _name(value: str, *, back: bool = False) -> str:
    """The name of a model, alone or behind a verb: fact, add_fact, Can add fact."""
    words = _turned(NAMES) if back else NAMES
    found = re.fullmatch(rf"(.*[_ ])?({'|'.join(words)})", value)
    return f"{found[1] or ''}{words[found[2]]}" if found else value


def _value(value: str, *, back: bool = False) -> str:
    return (_turned(VALUES) if back else VALUES).get(value, value)


def _data(value, *, back: bool = False):
    """What JSON holds."""
    if isinstance(value, list):
        return [_data(one, back=back) for one in value]
    if not isinstance(value, dict):
        return value
    keys = _turned(KEYS) if back else KEYS
    return {
        keys.get(key, key): _value(one, back=back)
        if key in KINDS and isinstance(one, str)
        else _data(one, back=back)
        for key, one in value.items()
    }


RENAMED: dict[tuple[str, str], Callable] = {
    ("parts_pieceentry", "kind"): _value,
    ("parts_proposal", "matter"): _value,
    ("parts_change", "kind"): _name,
    ("parts_change", "before"): _data,
    ("parts_change", "after"): _data,
    ("parts_cutplan", "plan"): _data,
    ("django_content_type", "model"): _name,
    ("auth_permission", "codename"): _name,
    ("auth_permission", "name"): _name,
}


def check(db: sqlite3.Connection) -> None:
    """Raise Refused when a record is not of the older layout as its last migration left it."""
    tables, done = schema.read(db)
    if not schema.is_older(done, tables):
        raise Refused("The record is not of an older layout: there is nothing to convert.")
    if schema.LAST_OF_OLDER not in done:
        last = max(name for app, name in done if app == "parts")
        raise Refused(
            f"The record stopped at {last}, before the last step of the older layout. Start it "
            f"once with the last Bedplate that has {schema.LAST_OF_OLDER[1]}, then convert it."
        )
    ours = schema.expected(_done_elsewhere(done) | {FIRST})
    schema.compare(_elsewhere(tables), _elsewhere(ours))
    if _sum_of_columns(tables) != COLUMNS:
        raise Refused("It is refused: its tables are not those of the older layout.")


def check_file(record: Path) -> None:
    """The same of the record that is here."""
    try:
        # Only who may write tidies up the log that SQLite keeps beside it.
        with closing(sqlite3.connect(f"{record.as_uri()}?mode=rw", uri=True)) as db:
            check(db)
    except sqlite3.Error as error:
        raise Refused(f"The record at {record} cannot be read: {error}.") from None


def _opened(record: Path) -> sqlite3.Connection:
    """A file from elsewhere, to read from: nothing it defines may do more than plain sums."""
    db = sqlite3.connect(f"{record.as_uri()}?mode=ro", uri=True)
    db.execute("PRAGMA trusted_schema=OFF")
    return db


def _done_elsewhere(done: set[tuple[str, str]]) -> set[tuple[str, str]]:
    rest = {(app, name) for app, name in done if app != "parts"}
    schema.check_version(rest, ())
    return rest


def _elsewhere(tables: dict) -> dict:
    return {name: table for name, table in tables.items() if not name.startswith("parts_")}


def _sum_of_columns(tables: dict) -> str:
    ours = {n: sorted(map(str, t[0])) for n, t in tables.items() if n.startswith("parts_")}
    return hashlib.sha256(json.dumps(ours, sort_keys=True).encode()).hexdigest()


def convert(record: Path) -> dict[str, int]:
    """Put a record of this version in the place of one of the older layout that `check` passed.

    Returns:
        How many rows each table has.

    Raises:
        Refused: a row does not fit, or something differs. Then the file is as it was.
    """
    new = record.with_name(f"{record.name}-new")
    try:
        with closing(_opened(record)) as old:
            done = _done_elsewhere(schema.read(old)[1]) | {FIRST}
            registry = MigrationLoader(None).project_state(sorted(done)).apps
            schema.create(new, registry)
            with schema.pointed_at(new), transaction.atomic():
                for model in _models(registry):
                    _write(model, old)
                for app, name in sorted(done):
                    MigrationRecorder(connection).record_applied(app, name)
            counts = _compare(old, new, registry)
        schema.bring_up_to_date(new)
        new.replace(record)
    finally:
        for tail in ("", "-wal", "-shm"):
            new.with_name(new.name + tail).unlink(missing_ok=True)
    return counts


def _models(registry) -> list[type[models.Model]]:
    every = registry.get_models(include_auto_created=True)
    return [m for m in every if m._meta.managed and m._meta.db_table not in LEFT_OUT]


def _old_names(model: type[models.Model], old: sqlite3.Connection) -> dict[models.Field, str]:
    """The columns of a model that the old table has, by what they were called."""
    rows = old.execute("SELECT name FROM pragma_table_info(?)", (_old(model),))
    there = {name for (name,) in rows}
    fields = {}
    for field in model._meta.concrete_fields:
        renamed = field.column == COLUMN and OLD_COLUMN in there
        fields[field] = OLD_COLUMN if renamed else field.column
    kept = {field: name for field, name in fields.items() if name in there}
    if lost := sorted(there - set(kept.values())):
        raise Refused(f"The column {lost[0]} of {_old(model)} has no place any more.")
    return kept


def _old(model: type[models.Model]) -> str:
    table = model._meta.db_table
    return TABLES.get(table, table)


def _rows(db: sqlite3.Connection, table: str, columns: list[str]) -> Iterator[list[tuple]]:
    names = ", ".join(f'"{name}"' for name in columns)
    rows = db.execute(f'SELECT {names} FROM "{table}" ORDER BY rowid')  # noqa: S608
    while chunk := rows.fetchmany(ROWS):
        yield chunk


def _write(model: type[models.Model], old: sqlite3.Connection) -> None:
    """Write all rows of an old table through its model, with the ids and times they have."""
    columns = _old_names(model, old)
    for field in columns:
        # The day a row was made is not today. The model is of the registry, made for this alone.
        if isinstance(field, models.DateField):
            field.auto_now = field.auto_now_add = False
    readers = [(field.attname, _reader(field)) for field in columns]
    try:
        for chunk in _rows(old, _old(model), list(columns.values())):
            rows = [
                model(**{name: read(v) for (name, read), v in zip(readers, row, strict=True)})
                for row in chunk
            ]
            model._base_manager.bulk_create(rows, batch_size=ROWS)
    except (*UNFIT, sqlite3.Error) as error:
        raise Refused(f"A row of {_old(model)} does not fit its new table.") from error


def _reader(field: models.Field) -> Callable:
    """What makes a value of the file one of the model, in today's words."""
    column = field.get_col(field.model._meta.db_table)
    steps = connection.ops.get_db_converters(column) + column.get_db_converters(connection)
    rename = RENAMED.get((field.model._meta.db_table, field.column))

    def read(value):
        for step in steps:
            value = step(value, column, connection)
        return rename(value) if rename else value

    return read


def _compare(old: sqlite3.Connection, new: Path, registry) -> dict[str, int]:
    """How many rows each table has. Raises Refused when old and new differ."""
    counts = {}
    with closing(sqlite3.connect(new)) as made:
        for model in _models(registry):
            table = model._meta.db_table
            old_table, columns = _old(model), _old_names(model, old)
            steps = [RENAMED.get((table, field.column)) for field in columns]
            before = _sums(old, old_table, list(columns.values()), [_as_it_was(s) for s in steps])
            names = [field.column for field in columns]
            after = _sums(made, table, names, [_as_it_was(s, back=True) for s in steps])
            if before[0] != after[0]:
                raise Refused(f"{old_table} has {before[0]} rows, and {after[0]} came over.")
            for name, one, other in zip(columns.values(), before[1], after[1], strict=True):
                if one != other:
                    raise Refused(f"The column {name} of {old_table} did not come over whole.")
            counts[table] = after[0]
    return counts


def _as_it_was(step: Callable | None, *, back: bool = False) -> Callable:
    """How a column is read for its checksum: in the old words, JSON without regard to spaces."""
    if step is _data:
        return partial(_text, back=back)
    return partial(step, back=True) if step and back else lambda value: value


def _text(stored: str, *, back: bool) -> str:
    try:
        data = json.loads(stored)
    except ValueError:
        return stored  # what came over is JSON, and so differs
    return json.dumps(_data(data, back=True) if back else data)


def _sums(db, table: str, columns: list[str], steps: list[Callable]) -> tuple[int, list[str]]:
    """How many rows a table has, and the checksum of each column."""
    count, sums = 0, [hashlib.sha256() for _ in columns]
    for chunk in _rows(db, table, columns):
        count += len(chunk)
        for row in chunk:
            for total, step, value in zip(sums, steps, row, strict=True):
                total.update(repr(step(value)).encode() + b"\n")
    return count, [total.hexdigest() for total in sums]
