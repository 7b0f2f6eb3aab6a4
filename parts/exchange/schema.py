"""The tables that a record of this version has, or had at an earlier migration.

What comes from outside is held to them before it is used: a trigger, a view or a table that no
migration made could do what nobody here wrote.
"""

import sqlite3
import tempfile
from collections.abc import Collection, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from django.core.management import call_command
from django.db import DEFAULT_DB_ALIAS, ConnectionHandler, DatabaseError, connection, connections
from django.db.migrations.exceptions import InconsistentMigrationHistory
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder

from parts.record.actions.saving import Refused
from restoration import environment

MIGRATIONS = MigrationRecorder.Migration._meta.db_table
# What shows the layout from before the migrations began again: its last migration, or, in a record
# that stopped before that, a table that only it had.
LAST_OF_OLDER, TABLE_OF_OLDER = ("parts", "0010_exhaust_and_overhang"), "parts_fact"


class Older(Refused):
    """A record is of the older layout, which `older` converts."""


def is_older(done: set[tuple[str, str]], tables: Collection[str]) -> bool:
    """Whether a record with these migrations and tables is of the older layout."""
    return LAST_OF_OLDER in done or TABLE_OF_OLDER in tables


def check_version(done: set[tuple[str, str]], tables: Collection[str]) -> None:
    """Raise Older or Refused when a record does not have the layout of this version.

    Args:
        done: (app, name) of the migrations that a record went through.
        tables: The names of its tables.
    """
    if is_older(done, tables):
        raise Older("The record is of an older layout.")
    if newer := sorted(done - set(MigrationLoader(None).disk_migrations)):
        raise Refused(
            f"The record was made by a newer Bedplate ({'.'.join(newer[0])}). Update this one "
            "first."
        )


def check(db: sqlite3.Connection) -> None:
    """Raise Refused when a record is not ours, newer than this version, or has more than ours.

    Raises Older when it is of the older layout.
    """
    tables, done = read(db)
    check_version(done, tables)
    compare(tables, expected(done))


def read(db: sqlite3.Connection) -> tuple[dict, set[tuple[str, str]]]:
    """The tables of a record and the migrations it went through.

    Raises Refused when it is no record of engines, or has more than tables and indexes.
    """
    kinds = {kind for (kind,) in db.execute("SELECT type FROM sqlite_master")}
    if strange := sorted(kinds - {"table", "index"}):
        raise Refused(f"It is refused: its record has a {strange[0]}, which ours never has.")
    tables = tables_of(db)
    done = set()
    if MIGRATIONS in tables:
        rows = db.execute(f"SELECT app, name FROM {MIGRATIONS}")  # noqa: S608
        done = {(str(app), str(name)) for app, name in rows}
    if not any(app == "parts" for app, _ in done):
        raise Refused("It is of something else: its record is no record of engines.")
    return tables, done


def compare(tables: dict, ours: dict) -> None:
    """Raise Refused when tables are not as ours are."""
    for name in sorted(tables.keys() | ours.keys()):
        if tables.get(name) != ours.get(name):
            raise Refused(f"It is refused: in its record the table {name!r} is not as ours is.")


def expected(done: set[tuple[str, str]]) -> dict:
    """The tables that these migrations make."""
    state = MigrationLoader(None).project_state(sorted(done))
    with tempfile.TemporaryDirectory(prefix="bedplate-schema-") as folder:
        scratch = Path(folder) / "scratch.sqlite3"
        create(scratch, state.apps)
        with closing(sqlite3.connect(scratch)) as db:
            return tables_of(db)


def create(record: Path, apps) -> None:
    """Make the tables of all models of a registry in a new SQLite file."""
    models = [m for m in apps.get_models() if m._meta.managed and not m._meta.proxy]
    with pointed_at(record), connection.schema_editor() as editor:
        for model in [*models, MigrationRecorder.Migration]:
            editor.create_model(model)


def tables_of(db: sqlite3.Connection) -> dict:
    """The columns and indexes of each table, by its name."""
    names = db.execute(
        "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite\\_%' "
        "ESCAPE '\\'"
    )
    return {name: (_columns(db, name), _indexes(db, name)) for (name,) in names.fetchall()}


def _columns(db: sqlite3.Connection, table: str) -> frozenset:
    """Name, type, whether it may be empty, default, place in the key, whether it is derived."""
    rows = db.execute("SELECT * FROM pragma_table_xinfo(?)", (table,))
    return frozenset(row[1:] for row in rows)


def _indexes(db: sqlite3.Connection, table: str) -> frozenset:
    """Unique or not, of some rows or of all, and of which columns: the name may be an older one."""
    rows = db.execute('SELECT name, "unique", partial FROM pragma_index_list(?)', (table,))
    return frozenset(
        (unique, partial, tuple(db.execute("SELECT name FROM pragma_index_info(?)", (name,))))
        for name, unique, partial in rows.fetchall()
    )


@contextmanager
def opened(record: Path, alias: str) -> Iterator[None]:
    """Open an SQLite file under an alias; what else has that alias has it again afterwards."""
    known = connections.settings
    before = (known[alias], connections[alias]) if alias in known else None
    settings = environment.sqlite(record)
    every = ConnectionHandler({DEFAULT_DB_ALIAS: settings, alias: settings})
    connections[alias] = every[alias]
    if before:  # for threads that begin meanwhile, too: each has connections of its own
        known[alias] = every.settings[alias]
    try:
        yield
    finally:
        connections[alias].close()
        del connections[alias]
        if before:
            known[alias], connections[alias] = before


def pointed_at(record: Path):
    """Point Django's connection at an SQLite file; point it back, whatever happens."""
    return opened(record, DEFAULT_DB_ALIAS)


def bring_up_to_date(record: Path) -> None:
    """Do the migrations that a record lacks. Raises Refused when they cannot be done."""
    try:
        with pointed_at(record):
            call_command("migrate", verbosity=0, interactive=False)
    except (DatabaseError, InconsistentMigrationHistory) as error:
        raise Refused(f"Its record cannot be brought up to date: {error}.") from None
