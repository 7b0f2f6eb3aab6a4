"""A record moves between SQLite and PostgreSQL by backup and restore, and nothing is lost."""

from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from django.apps import apps
from django.contrib.contenttypes.models import ContentType
from django.contrib.sessions.models import Session
from django.core.management import CommandError, call_command
from django.db import transaction

from parts.demo import load
from parts.exchange import rows, schema
from parts.money.models import CostAmount
from parts.record.actions import saving
from parts.record.models import Change, Engine, Find, Part
from tests import make
from tests.postgresql import only_on_postgresql

FILES = ["first", "second"]


def tell() -> Engine:
    """A small record of each type of column: text, numbers, days, times, money, JSON, files."""
    engine = make.engine(name="Mühle №1", tag_prefix="ML")
    lead = make.member(engine, "lead")
    part = make.part(engine, 3, mass_kg=0.1 + 0.2, name="“Rod” \\ 5⅝″\n%s")
    make.found(part, 2)
    make.cost(engine, "castings", ("paid", date(2026, 2, 3), "12.50"), part=part)
    make.lot(engine, 10, scrap_key="", percent={"Sn": 10.0, "Cu": 88.0, "Zn": 2e-7}, by=lead)
    make.cut_plan(engine)
    saving.change(part, {"note": "bent"}, seen=part.version, by=lead)
    saving.remove(Find.objects.get(), by=lead, reason="typed twice")
    return engine


@pytest.fixture
def two(tmp_path, django_db_blocker):
    """Two SQLite files with the tables of this version; the first holds a record."""
    files = {alias: tmp_path / f"{alias}.sqlite3" for alias in FILES}
    with django_db_blocker.unblock():
        for file in files.values():
            schema.create(file, apps)
        with schema.pointed_at(files["first"]), transaction.atomic():
            tell()
        with schema.opened(files["first"], "first"), schema.opened(files["second"], "second"):
            yield


def carry():
    with transaction.atomic(using="second"):
        rows.carry("first", "second")


def test_the_rows_of_one_database_are_the_same_in_another(two):
    assert rows.digest("first") != rows.digest("second")
    carry()
    assert rows.digest("first") == rows.digest("second")
    for model in rows.carried():
        first, second = (model._base_manager.using(a).order_by("pk").values_list() for a in FILES)
        assert list(first) == list(second), model


PENNY = dict.fromkeys(("low", "likely", "high"), Decimal("12.51"))
CHANGES = {
    "a word": lambda: Part.objects.using("second").update(note="Bent"),
    "a figure in its last place": lambda: Part.objects.using("second").update(mass_kg=0.3),
    "a penny": lambda: CostAmount.objects.using("second").update(**PENNY),
    "a row less": lambda: Change.objects.using("second").order_by("pk").last().delete(),
    "what was removed": lambda: Find.everything.using("second").update(removed_at=None),
    "a figure in a history": lambda: Change.objects.using("second").update(after={"pieces": 1}),
}


@pytest.mark.parametrize("what", CHANGES)
def test_the_digest_tells_when_one_thing_is_other(what, two):
    carry()
    CHANGES[what]()
    assert rows.digest("first") != rows.digest("second")


def test_nobody_who_is_logged_in_is_carried_over():
    assert Session not in rows.carried()
    assert Engine in rows.carried()
    assert ContentType in rows.carried()


# With a server


@pytest.fixture
def data(tmp_path, settings):
    """The data folder of the installation that has its record in PostgreSQL."""
    settings.DATA_DIR = tmp_path / "data"
    settings.MEDIA_ROOT = settings.DATA_DIR / "media"
    # The tests' database is made without migrations; a record knows which it went through.
    settings.MIGRATION_MODULES = {}
    call_command("migrate", fake=True, verbosity=0)
    Path(settings.MEDIA_ROOT).mkdir(parents=True)
    return settings.DATA_DIR


def files_of(media: Path) -> dict[str, bytes]:
    return {str(p.relative_to(media)): p.read_bytes() for p in media.rglob("*") if p.is_file()}


@only_on_postgresql
@pytest.mark.django_db(transaction=True)
def test_the_demonstration_moves_to_postgresql_and_back(data, tmp_path, settings):
    file, back = tmp_path / "first.sqlite3", tmp_path / "back.sqlite3"
    with schema.pointed_at(file):
        call_command("migrate", verbosity=0)
        load.load()
        before = rows.digest()
        call_command("backup", tmp_path / "from-sqlite.zip", verbosity=0)
    photos = files_of(Path(settings.MEDIA_ROOT))
    assert photos

    Session.objects.create(session_key="a" * 32, session_data="x", expire_date="2099-01-01T00:00Z")
    stood_here = make.engine(name="Was here before")
    call_command("restore", tmp_path / "from-sqlite.zip")
    assert rows.digest() == before
    assert files_of(Path(settings.MEDIA_ROOT)) == photos
    assert not Session.objects.exists()
    (aside,) = data.glob("replaced-*")
    with schema.pointed_at(aside / "bedplate.sqlite3"):
        assert Engine.objects.get().name == stood_here.name

    # New rows go behind those that were brought.
    last = Part.everything.latest("pk").pk
    call_command("backup", tmp_path / "from-postgresql.zip", verbosity=0)
    assert make.part(Engine.objects.filter(demo=True).first()).pk > last

    with schema.pointed_at(back):
        settings.DATA_DIR = tmp_path / "elsewhere"
        settings.MEDIA_ROOT = settings.DATA_DIR / "media"
        call_command("restore", tmp_path / "from-postgresql.zip")
        assert rows.digest() == before
        assert files_of(Path(settings.MEDIA_ROOT)) == photos


@pytest.fixture
def saved(data, tmp_path):
    """A backup out of PostgreSQL, and what stands there now: something else."""
    tell()
    (data / "media" / "old.jpg").write_bytes(b"old")
    call_command("backup", tmp_path / "kept.zip", verbosity=0)
    Part.objects.update(note="changed since")
    (data / "media" / "old.jpg").write_bytes(b"new")
    return tmp_path / "kept.zip"


@only_on_postgresql
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("broken", ["rows", "files"])
def test_a_restore_that_fails_leaves_postgresql_and_the_files_as_they_were(
    broken, saved, data, monkeypatch
):
    before = rows.digest()

    def full(*given):
        raise OSError(28, "No space left on device")

    if broken == "rows":
        monkeypatch.setattr(rows.ContentType.objects, "clear_cache", full)
    else:
        monkeypatch.setattr("parts.exchange.backup.shutil.move", full)
    with pytest.raises(CommandError, match="Nothing was changed"):
        call_command("restore", saved)
    assert rows.digest() == before
    assert files_of(data / "media") == {"old.jpg": b"new"}
    assert not list(data.glob("replaced-*"))


@only_on_postgresql
@pytest.mark.django_db(transaction=True)
def test_what_no_column_of_postgresql_takes_is_refused_in_words(data, tmp_path):
    """SQLite keeps a text with a NUL, and one that is longer than its column."""
    before = rows.digest()
    with schema.pointed_at(tmp_path / "record.sqlite3"):
        call_command("migrate", verbosity=0)
        make.engine()
    for number, bad in enumerate(["a\0b", "x" * 1000]):
        zipped = tmp_path / f"{number}.zip"
        with schema.pointed_at(tmp_path / "record.sqlite3"):
            Engine.objects.update(name=bad)
            call_command("backup", zipped, verbosity=0)
        with pytest.raises(CommandError, match=r"no record can hold .* Nothing was changed\."):
            call_command("restore", zipped)
        assert rows.digest() == before
    assert not list(data.glob("replaced-*"))
