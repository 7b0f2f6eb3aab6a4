"""A record of the older layout is converted whole, or refused and left alone."""

import gzip
import io
import json
import sqlite3
from contextlib import closing
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from django.test import override_settings

from parts.engine.models import Proposal
from parts.engineering.bars.cutting_list import Cutting
from parts.exchange import backup, older, schema
from parts.management import serving
from parts.record.models import Change, Job, Part, PieceEntry
from parts.workshop.bars.models import CutPlan

# Every table of the older layout, a few invented rows in each.
DUMP = Path(__file__).with_name("older_record.sql.gz")
NOW = datetime(2026, 11, 25, 18, 30)
RENAMED = {"parts_fact": "parts_pieceentry", "parts_making": "parts_job"}
# Columns whose words were renamed: these are looked at one by one below.
WORDS = {
    ("parts_fact", "kind"), ("parts_proposal", "matter"), ("parts_change", "kind"),
    ("parts_change", "before"), ("parts_change", "after"), ("parts_cutplan", "plan"),
    ("django_content_type", "model"), ("auth_permission", "codename"), ("auth_permission", "name"),
}  # fmt: skip


class Installation:
    def __init__(self, folder: Path):
        self.folder, self.record = folder, folder / "bedplate.sqlite3"
        self.media = folder / "media"

    def begin(self, spoil: str = ""):
        self.media.mkdir(parents=True)
        with closing(sqlite3.connect(self.record, isolation_level=None)) as db:
            db.executescript(gzip.decompress(DUMP.read_bytes()).decode())
            db.executescript(spoil)
            for table, column in (("photo", "original"), ("costpaper", "file"), ("report", "pdf")):
                for (name,) in db.execute(f"SELECT {column} FROM parts_{table}"):
                    (self.media / name).parent.mkdir(parents=True, exist_ok=True)
                    (self.media / name).write_bytes(f"the bytes of {name}".encode())
        return self

    def save(self, to: Path) -> Path:
        return backup.save(self.record, self.media, to, now=NOW).path

    def run(self, command: str, *words: str, **options) -> str:
        out = io.StringIO()
        here = override_settings(DATA_DIR=self.folder, MEDIA_ROOT=self.media)
        with here, schema.pointed_at(self.record):
            call_command(command, *words, stdout=out, **options)
        return out.getvalue()

    def rows(self) -> dict[str, dict[str, list]]:
        """Each column of each table, as it is stored, in the order of its rows."""
        with closing(sqlite3.connect(self.record)) as db:
            tables = {}
            for table in schema.tables_of(db):
                cursor = db.execute(f'SELECT * FROM "{table}" ORDER BY rowid')
                names = [column[0] for column in cursor.description]
                stored = cursor.fetchall()
                tables[table] = {n: [row[i] for row in stored] for i, n in enumerate(names)}
        return tables

    def files(self) -> dict[str, bytes]:
        every = [p for p in self.media.rglob("*") if p.is_file()]
        return {p.relative_to(self.media).as_posix(): p.read_bytes() for p in every}

    def everything(self) -> tuple:
        return self.rows(), self.files()


@pytest.fixture(autouse=True)
def with_migrations(django_db_blocker):
    # The tests' database is made without migrations; a record knows which it went through.
    with django_db_blocker.unblock(), override_settings(MIGRATION_MODULES={}):
        yield


@pytest.fixture(scope="module")
def before(tmp_path_factory):
    """The older record, to be looked at only."""
    return Installation(tmp_path_factory.mktemp("before") / "data").begin()


@pytest.fixture(scope="module")
def converted(tmp_path_factory, django_db_blocker):
    one = Installation(tmp_path_factory.mktemp("converted") / "data").begin()
    with django_db_blocker.unblock(), override_settings(MIGRATION_MODULES={}):
        one.printed = one.run("convert")
    return one


def test_dump_fills_every_table(before):
    assert not [t for t, columns in before.rows().items() if not next(iter(columns.values()))]


def test_convert_keeps_every_row_and_column(before, converted):
    old, new = before.rows(), converted.rows()
    assert {RENAMED.get(table, table) for table in old} == new.keys()
    compared = 0
    for table, columns in old.items():
        if table in older.LEFT_OUT:
            continue
        there = new[RENAMED.get(table, table)]
        for column, values in columns.items():
            if (table, column) in WORDS:
                continue
            name = "job_id" if column == "making_id" else column
            assert there[name] == values, (table, column)
            compared += 1
    assert compared > 700
    rows = sum(len(next(iter(c.values()))) for t, c in new.items() if t not in older.LEFT_OUT)
    assert f"Converted: {rows:,} rows in {len(new) - 2} tables" in converted.printed


def test_convert_keeps_every_file(before, converted):
    assert len(before.files()) > 5
    assert converted.files() == before.files()
    assert f"and {len(before.files())} files" in converted.printed


def test_convert_renames_words_where_they_mean_something(before, converted):
    old, new = before.rows(), converted.rows()
    words = {
        "fact": "pieceentry", "making": "job",
        "past_use": "beyond_repair", "past_use_placed": "beyond_repair_placed",
    }  # fmt: skip
    for table, column in (
        ("parts_fact", "kind"), ("parts_proposal", "matter"), ("parts_change", "kind"),
        ("django_content_type", "model"),
    ):  # fmt: skip
        values = old[table][column]
        assert set(values) & words.keys()
        there = new[RENAMED.get(table, table)][column]
        assert there == [words.get(value, value) for value in values]
    named = dict(zip(new["auth_permission"]["id"], new["auth_permission"]["codename"], strict=True))
    assert [named[n] for n in new["auth_group_permissions"]["permission_id"]] == ["view_job"]
    given = new["auth_user_user_permissions"]["permission_id"]
    assert [named[n] for n in given] == ["change_pieceentry"]


def test_convert_renames_words_in_the_history(before, converted):
    old, new = before.rows()["parts_change"], converted.rows()["parts_change"]
    jobs = 0
    for kind, was, now in zip(old["kind"], old["after"], new["after"], strict=True):
        was, now = json.loads(was), json.loads(now)
        if kind == "cutplan":
            assert '"making": ' not in json.dumps(now)
            continue
        jobs += "making" in was
        assert now.get("job") == was.get("making")
        assert {k: v for k, v in now.items() if k not in ("job", "kind", "matter")} == {
            k: v for k, v in was.items() if k not in ("making", "kind", "matter")
        }
        assert "past_use" not in (now.get("kind"), now.get("matter"))
    assert jobs > 5


def test_an_issued_report_stays_byte_for_byte(before, converted):
    pages = before.rows()["parts_report"]["page"]
    assert any("past_use" in page for page in pages)
    assert converted.rows()["parts_report"]["page"] == pages


def test_convert_leaves_a_record_that_the_app_reads(converted):
    with schema.pointed_at(converted.record):
        kinds = set(PieceEntry.everything.values_list("kind", flat=True))
        assert kinds >= {"beyond_repair", "beyond_repair_placed", "identified", "stage"}
        assert kinds <= set(PieceEntry.Kind.values)
        assert set(Proposal.everything.values_list("matter", flat=True)) <= set(
            Proposal.Matter.values
        )
        assert list(Part.objects.status(date(2026, 11, 25)))
        assert Job.objects.exclude(entries=None).exists()
        assert Cutting.read(CutPlan.objects.get().plan).pieces > 0
        assert Change.objects.filter(kind="job").exists()
    with closing(sqlite3.connect(converted.record)) as db:
        schema.check(db)


def test_convert_keeps_the_older_record_twice(before, converted, tmp_path):
    (aside,) = converted.folder.glob("replaced-*")
    there = Installation(aside)
    assert there.everything() == before.everything()
    (saved,) = converted.folder.glob("older-*.zip")
    again = Installation(tmp_path / "again")
    again.run("convert", str(saved))
    rows = {t: c for t, c in converted.rows().items() if t not in older.LEFT_OUT}
    assert {t: c for t, c in again.rows().items() if t not in older.LEFT_OUT} == rows
    assert again.files() == converted.files()


def test_convert_refuses_a_record_of_this_layout(converted):
    names = {p.name for p in converted.folder.iterdir()}
    with pytest.raises(CommandError, match=r"nothing to convert\. Nothing was changed\."):
        converted.run("convert")
    assert {p.name for p in converted.folder.iterdir()} == names


@pytest.mark.parametrize(
    ("command", "options"),
    [
        ("start", {"no_serve": True}),
        ("demo", {"no_serve": True}),
        ("remove_demo", {}),
        ("restore", {"file": "saved.zip"}),
    ],
)
def test_other_commands_name_convert_and_change_nothing(tmp_path, monkeypatch, command, options):
    here = Installation(tmp_path / "data").begin()
    words = [str(here.save(tmp_path / "saved.zip"))] if options.pop("file", "") else []
    before = here.everything()
    monkeypatch.setattr(serving, "_gather", lambda: None)
    with pytest.raises(CommandError, match=r"older layout.*manage\.py|older layout.*convert"):
        here.run(command, *words, **options)
    assert here.everything() == before
    assert not list(here.folder.glob("replaced-*"))


@pytest.mark.parametrize("last", ["0001_the_record", "0009_whole_records"])
def test_a_record_that_stopped_earlier_is_told_what_to_do(tmp_path, last):
    spoil = f"DELETE FROM django_migrations WHERE app = 'parts' AND name > '{last}'"
    here = Installation(tmp_path / "data").begin(spoil)
    with pytest.raises(CommandError, match=f"stopped at {last}.*0010_exhaust_and_overhang"):
        here.run("convert")
    with pytest.raises(CommandError, match="older layout"):
        here.run("start", no_serve=True)


TABLE, FIT, WHOLE = "not as ours is", "does not fit", "did not come over whole"
SPOILT = {
    "a table less": ("DROP TABLE parts_balloon", "not those of the older layout"),
    "a table more": ("CREATE TABLE more (a)", TABLE),
    "a table of parts more": ("CREATE TABLE parts_more (a)", "not those of the older layout"),
    "a column less": ("ALTER TABLE parts_tie DROP COLUMN made_at", "not those of"),
    "a column more": ("ALTER TABLE parts_tie ADD COLUMN more", "not those of the older"),
    "a column that is derived": ("ALTER TABLE parts_tie ADD COLUMN more AS (1)", "not those of"),
    "a trigger": (
        "CREATE TRIGGER sleeper AFTER INSERT ON auth_user BEGIN SELECT 1; END",
        "has a trigger",
    ),
    "a newer login": (
        "INSERT INTO django_migrations VALUES (NULL, 'auth', '0999_later', '2026-01-01')",
        "newer Bedplate",
    ),
    "a row that leads nowhere": ("UPDATE parts_fact SET part_id = 777", "hold together"),
    "a day that is none": ("UPDATE parts_fact SET day = 'soon'", FIT),
    "an hour that is none": ("UPDATE parts_part SET made_at = 7", FIT),
    "an id that is none": ("UPDATE parts_find SET uid = 'HG-0001' WHERE id = 1", FIT),
    "words for a number": ("UPDATE parts_fact SET pieces = 'some'", FIT),
    "no pieces": (
        "PRAGMA ignore_check_constraints = ON; UPDATE parts_fact SET pieces = 0",
        f"{FIT}|hold together",
    ),
    "history that is no JSON": (
        "PRAGMA ignore_check_constraints = ON; UPDATE parts_change SET after = '{'",
        f"{WHOLE}|hold together",
    ),
    "history that has a job already": ("UPDATE parts_change SET after = '{\"job\": 1}'", WHOLE),
    "money finer than a penny": ("UPDATE parts_option SET high = high + 0.001", WHOLE),
    "an entry of today's kind": (
        "UPDATE parts_fact SET kind = 'beyond_repair' WHERE kind = 'past_use'",
        WHOLE,
    ),
    "text in no encoding": ("UPDATE parts_find SET note = CAST(x'ff' AS TEXT)", FIT),
}  # fmt: skip
SAMPLE = {"a column less", "a trigger", "words for a number", "history that has a job already"}


@pytest.mark.parametrize(
    "what", [pytest.param(w, marks=[] if w in SAMPLE else pytest.mark.long) for w in SPOILT]
)
def test_a_spoilt_record_is_refused_whole(tmp_path, what):
    spoil, says = SPOILT[what]
    here = Installation(tmp_path / "data").begin(spoil)
    before = here.record.read_bytes(), here.files()
    with pytest.raises(CommandError, match=f"{says}.* Nothing was changed"):
        here.run("convert")
    assert (here.record.read_bytes(), here.files()) == before
    left = {p.name for p in here.folder.iterdir() if p.suffix != ".zip"}
    assert left <= {"bedplate.sqlite3", "media", "in_use"}


def test_a_row_that_is_lost_on_the_way_is_noticed(tmp_path, monkeypatch):
    real = older._write

    def forgetful(model, old):
        real(model, old)
        if model._meta.db_table == "parts_pieceentry":
            model._base_manager.order_by("pk").last().delete()

    monkeypatch.setattr(older, "_write", forgetful)
    here = Installation(tmp_path / "data").begin()
    before = here.everything()
    with pytest.raises(CommandError, match=r"parts_fact has 13 rows, and 12 came over\."):
        here.run("convert")
    assert here.everything() == before


@pytest.mark.parametrize("column", ["seen", "made_at", "part_id"])
def test_a_value_that_is_altered_on_the_way_is_noticed(tmp_path, monkeypatch, column):
    real = older._write
    altered = {"seen": "other words", "made_at": NOW.replace(tzinfo=UTC), "part_id": 1}

    def careless(model, old):
        real(model, old)
        if model._meta.db_table == "parts_conditionnote":
            model._base_manager.update(**{column: altered[column]})

    monkeypatch.setattr(older, "_write", careless)
    here = Installation(tmp_path / "data").begin()
    before = here.everything()
    with pytest.raises(CommandError, match=f"{column} of parts_conditionnote did not come"):
        here.run("convert")
    assert here.everything() == before
