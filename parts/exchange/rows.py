"""Carrying the rows of a record between PostgreSQL and a file, and a digest over all of them.

A backup holds the record as an SQLite file, whichever database it came from, so that it comes back
into either. Who is logged in is never carried over.
"""

import hashlib
import json
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from pathlib import Path

from django.apps import apps
from django.contrib.contenttypes.models import ContentType
from django.contrib.sessions.models import Session
from django.core.management import call_command
from django.core.management.color import no_style
from django.db import DEFAULT_DB_ALIAS, DatabaseError, connection, connections, models, transaction
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.recorder import MigrationRecorder

from parts.record.actions.saving import Refused

from . import schema

BLOCK = 2000
HERE, FILE = DEFAULT_DB_ALIAS, "file"
# All that reading or writing a row may raise that no record of ours can hold.
MISFITS = (DatabaseError, ValueError, TypeError, ArithmeticError)


def carried() -> list[type[models.Model]]:
    """The models whose rows make up a record, in the order of their tables."""
    every = apps.get_models(include_auto_created=True)
    kept = [m for m in every if m._meta.managed and not m._meta.proxy and m is not Session]
    return sorted([*kept, MigrationRecorder.Migration], key=lambda model: model._meta.db_table)


def digest(alias: str = HERE) -> str:
    """A checksum over every value of every row, the same in whichever database they are."""
    total = hashlib.sha256()
    for model in carried():
        fields = model._meta.local_concrete_fields
        total.update(f"{model._meta.db_table} {[f.column for f in fields]}\n".encode())
        for row in _rows(model, alias):
            plain = [_plain(f, value) for f, value in zip(fields, row, strict=True)]
            total.update(json.dumps(plain, default=str, sort_keys=True).encode() + b"\n")
    return total.hexdigest()


def _rows(model, alias: str) -> Iterator[tuple]:
    names = [field.attname for field in model._meta.local_concrete_fields]
    rows = model._base_manager.using(alias).order_by("pk").values_list(*names)
    return rows.iterator(chunk_size=BLOCK)


def _plain(field: models.Field, value):
    """A value without what databases tell differently: zones of times, 1 and 1.0, 0 and -0."""
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat()
    if isinstance(value, float):
        return value + 0.0
    if isinstance(field, models.JSONField):
        return json.loads(json.dumps(value), parse_int=float)
    return value


def carry(source: str, target: str) -> None:
    """Write all rows of one database into another, whose tables are empty.

    Raises Refused when they are not the same there.
    """
    for model in carried():
        fields = model._meta.local_concrete_fields
        goal = connections[target]
        columns = ", ".join(goal.ops.quote_name(field.column) for field in fields)
        places = ", ".join(["%s"] * len(fields))
        table = goal.ops.quote_name(model._meta.db_table)
        line = f"INSERT INTO {table} ({columns}) VALUES ({places})"  # noqa: S608
        with goal.cursor() as cursor, closing(_rows(model, source)) as found:
            cursor.executemany(
                line,
                (
                    [f.get_db_prep_save(value, goal) for f, value in zip(fields, row, strict=True)]
                    for row in found
                ),
            )
    if digest(source) != digest(target):
        raise Refused("The rows are not the same in the other database as they were.")


def is_begun() -> bool:
    """Whether the database has the tables of a record."""
    return MigrationRecorder.Migration._meta.db_table in connection.introspection.table_names()


def write_file(file: Path) -> None:
    """Write what PostgreSQL holds at one moment to a new SQLite file. Raises Refused."""
    if not is_begun():
        raise Refused("There is no record in PostgreSQL yet, so there is nothing to save.")
    _check_version()
    schema.create(file, apps)
    with schema.opened(file, FILE), transaction.atomic(), transaction.atomic(using=FILE):
        with connection.cursor() as cursor:
            cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
        carry(HERE, FILE)


def _check_version() -> None:
    """Raise Refused when the tables in PostgreSQL are not those of this version."""
    executor = MigrationExecutor(connection)
    done = set(executor.loader.applied_migrations)
    schema.check_version(done, connection.introspection.table_names())
    if executor.migration_plan(executor.loader.graph.leaf_nodes()):
        raise Refused(
            "The record in PostgreSQL was made by an older Bedplate. Start this one first, once."
        )


@contextmanager
def read_file(file: Path) -> Iterator[None]:
    """Put the rows of a file in the place of all that PostgreSQL holds.

    They stay only if the block ends well, too. Raises Refused.
    """
    if not is_begun():
        call_command("migrate", verbosity=0, interactive=False)
    with transaction.atomic(), schema.opened(file, FILE):
        tables = [model._meta.db_table for model in [*carried(), Session]]
        with connection.cursor() as cursor:
            cursor.execute(f"TRUNCATE {', '.join(map(connection.ops.quote_name, tables))}")
        try:
            carry(FILE, HERE)
            connection.check_constraints()
        except MISFITS as error:
            told = " ".join(str(error).split())
            raise Refused(f"This backup is damaged: no record can hold that: {told}.") from None
        with connection.cursor() as cursor:
            for line in connection.ops.sequence_reset_sql(no_style(), carried()):
                cursor.execute(line)
        yield
        ContentType.objects.clear_cache()
