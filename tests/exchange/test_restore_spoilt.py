"""Spoilt and hostile backups: each is refused in words, and nothing is touched.

All are made of one sound backup of a real record. Every one goes through `manage.py restore`'s own
code, which turns only a refusal into a sentence: any other fault would fail the test.
"""

import hashlib
import io
import json
import random
import re
import sqlite3
import struct
import tempfile
import tracemalloc
import zipfile
from contextlib import closing
from datetime import datetime
from pathlib import Path

import pytest
from django.apps import apps
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db.migrations.loader import MigrationLoader
from django.test import override_settings

from parts.exchange import backup, schema

RECORD, MANIFEST = "record.sqlite3", "manifest.json"
PHOTO, OTHER = "media/photos/1/a/original.jpg", "media/photos/1/b/original.jpg"
MB = 1024 * 1024
MOST_MEMORY = 200 * MB


class Installation:
    def __init__(self, folder: Path):
        self.folder = folder / "data"
        self.media, self.record = self.folder / "media", self.folder / "bedplate.sqlite3"

    def begin(self) -> bytes:
        """Make a record with some files, and return a backup of it."""
        for name, content in ((PHOTO, b"\xff\xd8 one" * 99), (OTHER, b"\xff\xd8 two" * 99)):
            (self.folder / name).parent.mkdir(parents=True)
            (self.folder / name).write_bytes(content)
        (self.folder / "secret_key").write_text("the key", encoding="utf-8")
        (self.folder / "in_use").touch()
        schema.create(self.record, apps)
        with closing(sqlite3.connect(self.record)) as db:
            for app, name in MigrationLoader(None).disk_migrations:
                row = (
                    "INSERT INTO django_migrations (app, name, applied) VALUES (?, ?, '2026-01-01')"
                )
                db.execute(row, (app, name))
            db.commit()
        kept = self.folder.parent / "kept.zip"
        backup.save(self.record, self.media, kept, now=datetime(2026, 11, 25, 18, 30))
        return kept.read_bytes()

    def everything(self) -> dict[str, bytes | None]:
        """All that lies in the folder and beside it."""
        every = sorted(self.folder.parent.rglob("*"))
        return {str(p): p.read_bytes() if p.is_file() else None for p in every}

    def restore(self, file: Path) -> str:
        out = io.StringIO()
        here = override_settings(DATA_DIR=self.folder, MEDIA_ROOT=self.media)
        with here, schema.pointed_at(self.record):
            call_command("restore", str(file), stdout=out)
        return out.getvalue()


@pytest.fixture(scope="module")
def here(tmp_path_factory, django_db_blocker):
    # The tests' database is made without migrations; a record knows which it went through.
    with django_db_blocker.unblock(), override_settings(MIGRATION_MODULES={}):
        one = Installation(tmp_path_factory.mktemp("here"))
        one.backup = one.begin()
        yield one


# How a backup is taken apart and put together


def unpack(whole: bytes) -> tuple[dict[str, bytes], dict]:
    with zipfile.ZipFile(io.BytesIO(whole)) as pack:
        content = {name: pack.read(name) for name in pack.namelist()}
    return content, json.loads(content.pop(MANIFEST))


def pack(content: dict[str, bytes] | list, manifest, how=zipfile.ZIP_STORED) -> bytes:
    """A zip of these files and a manifest: a dictionary, text, bytes or nothing."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", how) as made:
        for name, data in content.items() if isinstance(content, dict) else content:
            made.writestr(name, data)
        if manifest is not None:
            plain = isinstance(manifest, str | bytes)
            made.writestr(MANIFEST, manifest if plain else json.dumps(manifest))
    return out.getvalue()


def line(name: str, data: bytes) -> dict:
    return {"name": name, "size": len(data), "sha256": hashlib.sha256(data).hexdigest()}


def listing(content: dict[str, bytes]) -> dict:
    """A manifest that is right for these files."""
    files = [line(name, data) for name, data in content.items()]
    return {"form": backup.FORM, "made_at": "2026-11-25T18:30:00", "files": files}


def cut(share: float):
    return lambda whole: whole[: int(len(whole) * share)]


def flip(place: int):
    """One bit of the bytes that hold the files: the directory behind them is spoilt by `field`."""

    def spoil(whole: bytes) -> bytes:
        with zipfile.ZipFile(io.BytesIO(whole)) as made:
            infos = made.infolist()
        # Not in the heads of the files, where the day of a file stands.
        info = random.Random(place).choice(infos)
        begins = info.header_offset + 30 + len(info.filename) + 20
        at = random.Random(place + 1).randrange(begins, begins + info.compress_size - 20)
        return whole[:at] + bytes([whole[at] ^ 1 << place % 8]) + whole[at + 1 :]

    return spoil


def field(at: int, value: bytes):
    """Change a field of the first entry of the directory."""

    def spoil(whole: bytes) -> bytes:
        with zipfile.ZipFile(io.BytesIO(whole)) as made:
            start = made.start_dir + at
        return whole[:start] + value + whole[start + len(value) :]

    return spoil


def members(change):
    """Change the files; the manifest stays as it was."""

    def spoil(whole: bytes) -> bytes:
        content, manifest = unpack(whole)
        changed = change(content)
        return pack(content if changed is None else changed, manifest)

    return spoil


def told(change):
    """Change the manifest: in place, or to what is returned."""

    def spoil(whole: bytes) -> bytes:
        content, manifest = unpack(whole)
        changed = change(manifest)
        return pack(content, manifest if changed is None else changed)

    return spoil


def added(name: str, data: bytes = b"x", how=zipfile.ZIP_STORED):
    """A file more, which stands in the manifest too."""

    def spoil(whole: bytes) -> bytes:
        content, manifest = unpack(whole)
        manifest["files"].append(line(name, data))
        try:
            return pack(content | {name: data}, manifest, how)
        except UnicodeEncodeError:
            return pack(content, manifest, how)

    return spoil


def bomb(name: str):
    """A file of 300 MB that packs to nothing."""

    def spoil(whole: bytes) -> bytes:
        content, manifest = unpack(whole)
        total, zeros = hashlib.sha256(), bytes(MB)
        for _ in range(300):
            total.update(zeros)
        lines = {one["name"]: one for one in manifest["files"]}
        lines[name] = {"name": name, "size": 300 * MB, "sha256": total.hexdigest()}
        manifest["files"] = [one for key, one in lines.items() if key != MANIFEST]
        content.pop(name, None)
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as made:
            for key, data in content.items():
                made.writestr(key, data)
            if name != MANIFEST:
                made.writestr(MANIFEST, json.dumps(manifest))
            with made.open(name, "w") as goal:
                for _ in range(300):
                    goal.write(zeros)
        return out.getvalue()

    return spoil


def record(change):
    """Change the record's own bytes, and make the manifest right for them."""

    def spoil(whole: bytes) -> bytes:
        content, _ = unpack(whole)
        content[RECORD] = change(content[RECORD])
        return pack(content, listing(content))

    return spoil


def sql(script: str):
    def change(data: bytes) -> bytes:
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "record"
            path.write_bytes(data)
            with closing(sqlite3.connect(path, isolation_level=None)) as db:
                db.executescript(script)
            return path.read_bytes()

    return record(change)


def twice(name: str):
    def spoil(whole: bytes) -> bytes:
        content, manifest = unpack(whole)
        every = [*content.items(), (name, content.get(name, b"{}"))]
        manifest["files"] += [one for one in manifest["files"] if one["name"] == name]
        return pack(every, manifest)

    return spoil


def overlapping(whole: bytes) -> bytes:
    """Two names for the bytes of one file, as the bombs do that unpack to many times their size."""
    content, manifest = unpack(whole)
    content[OTHER] = content[PHOTO]
    manifest = listing(content)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as made:
        for name, data in content.items():
            made.writestr(name, data)
        made.writestr(MANIFEST, json.dumps(manifest))
        made.getinfo(OTHER).header_offset = made.getinfo(PHOTO).header_offset
    return out.getvalue()


def with_a_gap(whole: bytes) -> bytes:
    content, manifest = unpack(whole)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as made:
        for name, data in content.items():
            made.writestr(name, data)
        out.write(b"hidden")
        made.start_dir = out.tell()
        made.writestr(MANIFEST, json.dumps(manifest))
    return out.getvalue()


def prefixed(before: bytes):
    """Bytes before the zip, with the places in its directory put right, so that it is read."""

    def spoil(whole: bytes) -> bytes:
        content, manifest = unpack(whole)
        out = io.BytesIO(before)
        out.seek(0, io.SEEK_END)
        with zipfile.ZipFile(out, "a") as made:
            for name, data in content.items():
                made.writestr(name, data)
            made.writestr(MANIFEST, json.dumps(manifest))
        return out.getvalue()

    return spoil


def comment(whole: bytes) -> bytes:
    out = io.BytesIO(whole)
    with zipfile.ZipFile(out, "a") as made:
        made.comment = b"hello"
    return out.getvalue()


def link(whole: bytes) -> bytes:
    content, manifest = unpack(whole)
    info = zipfile.ZipInfo("media/link")
    info.external_attr = 0o120777 << 16
    return pack([*content.items(), (info, b"/etc/passwd")], manifest)


def swapped(one: str, other: str):
    def change(content):
        content[one], content[other] = content[other], content[one]

    return members(change)


def without_line(manifest):
    manifest["files"].pop()


def put(**values):
    return told(lambda manifest: manifest.update(values))


def first(**values):
    return told(lambda manifest: manifest["files"][0].update(values))


def lost(*names: str):
    def change(manifest):
        for name in names:
            del manifest[name]

    return told(change)


NO_BACKUP, NOT_SAID, NOT_SAVED = (
    "no backup of Bedplate",
    "what its manifest says",
    "as it was saved",
)
STRANGE, NOT_OURS, CANNOT = "does not belong", "is not as ours is", "cannot be read"
SPOILT = {
    # The file as a whole
    "empty": (lambda whole: b"", NO_BACKUP),
    "one byte": (lambda whole: b"P", NO_BACKUP),
    "a letter": (lambda whole: b"Dear all, " * 500, NO_BACKUP),
    **{f"cut at {n} %": (cut(n / 100), NO_BACKUP) for n in (1, 10, 25, 50, 75, 90, 99)},
    "last byte gone": (lambda whole: whole[:-1], NO_BACKUP),
    "first byte gone": (lambda whole: whole[1:], NO_BACKUP),
    "a byte in the middle gone": (lambda whole: whole[:5000] + whole[5001:], NO_BACKUP),
    "a byte in the middle more": (lambda whole: whole[:5000] + b"x" + whole[5000:], NO_BACKUP),
    "a byte before": (lambda whole: b"x" + whole, NO_BACKUP),
    "a script before": (lambda whole: b"#!/bin/sh\nexit\n" + whole, NO_BACKUP),
    "a script before, places put right": (prefixed(b"#!/bin/sh\nexit\n"), NO_BACKUP),
    "a PDF before, places put right": (prefixed(b"%PDF-1.7\n%%EOF\n"), NO_BACKUP),
    "itself before": (lambda whole: whole + whole, NO_BACKUP),
    "bytes behind": (lambda whole: whole + b"x" * 9, NO_BACKUP),
    "a comment": (comment, NO_BACKUP),
    "hidden bytes between": (with_a_gap, NO_BACKUP),
    "halves exchanged": (lambda whole: whole[9999:] + whole[:9999], NO_BACKUP),
    **{f"flipped bit {n}": (flip(n), f"{NO_BACKUP}|{NOT_SAVED}|form") for n in range(12)},
    # The zip's directory
    "directory: flags, encrypted": (field(8, b"\x01\x00"), NO_BACKUP),
    "directory: flags, sizes behind": (field(8, b"\x08\x00"), NO_BACKUP),
    "directory: unknown compression": (field(10, b"\x63\x00"), NO_BACKUP),
    "directory: check sum": (field(16, b"\x00\x00\x00\x01"), NO_BACKUP),
    "directory: packed size": (field(20, b"\xff\xff\x00\x00"), NO_BACKUP),
    "directory: unpacked size": (field(24, b"\x01\x00\x00\x00"), f"{NO_BACKUP}|{NOT_SAVED}"),
    "directory: length of name": (field(28, b"\xff\xff"), NO_BACKUP),
    "directory: place": (field(42, b"\xfe\xff\xff\x7f"), NO_BACKUP),
    "bzip2": (added("media/x", bytes(9000), zipfile.ZIP_BZIP2), NO_BACKUP),
    "lzma": (added("media/x", bytes(9000), zipfile.ZIP_LZMA), NO_BACKUP),
    "files that share bytes": (overlapping, NO_BACKUP),
    "photo that fills the disk": (bomb(PHOTO), NO_BACKUP),
    "record that fills the disk": (bomb(RECORD), NO_BACKUP),
    "manifest that fills memory": (bomb(MANIFEST), NO_BACKUP),
    # The files
    "two photos exchanged": (
        members(lambda c: c.update({PHOTO: c[OTHER], OTHER: c[PHOTO]})),
        NOT_SAVED,
    ),
    "record and photo exchanged": (swapped(RECORD, PHOTO), NOT_SAVED),
    "photo longer": (members(lambda c: c.update({PHOTO: c[PHOTO] + b"x"})), NOT_SAVED),
    "photo empty": (members(lambda c: c.update({PHOTO: b""})), NOT_SAVED),
    "photo missing": (members(lambda c: {RECORD: c[RECORD], OTHER: c[OTHER]}), NOT_SAID),
    "record missing": (members(lambda c: {k: c[k] for k in (PHOTO, OTHER)}), NOT_SAID),
    "a file too many": (members(lambda c: c | {"media/x": b"x"}), NOT_SAID),
    "a folder too many": (members(lambda c: c | {"media/x/": b""}), NOT_SAID),
    "a link": (link, NOT_SAID),
    "photo twice": (twice(PHOTO), NO_BACKUP),
    "record twice": (twice(RECORD), NO_BACKUP),
    "manifest twice": (members(lambda c: c | {MANIFEST: b"{}"}), NO_BACKUP),
    # The manifest
    "no manifest": (lambda whole: pack(unpack(whole)[0], None), "no manifest"),
    "manifest: no JSON": (told(lambda m: "files:"), NO_BACKUP),
    "manifest: nothing": (told(lambda m: ""), NO_BACKUP),
    "manifest: a list": (told(lambda m: "[]"), "of a form"),
    "manifest: null": (told(lambda m: "null"), "of a form"),
    "manifest: no text": (told(lambda m: b"\xff\xfe\xfd\xfc"), NO_BACKUP),
    "manifest: deep": (told(lambda m: "[" * 200_000), NO_BACKUP),
    "manifest: a number without end": (told(lambda m: "9" * 99_999), NO_BACKUP),
    "manifest: too large": (told(lambda m: " " * (64 * MB + 1)), "manifest is larger"),
    "manifest: another form": (put(form="bedplate backup 9"), "of a form"),
    "manifest: no form": (lost("form"), "of a form"),
    "manifest: no files": (lost("files"), NO_BACKUP),
    "manifest: no day": (lost("made_at"), NO_BACKUP),
    "manifest: a day that commands the terminal": (put(made_at="\x1b[2J"), NO_BACKUP),
    "manifest: a day in a list": (put(made_at=["2026-01-01"]), NO_BACKUP),
    "manifest: files are numbers": (put(files=[1, 2, 3]), NO_BACKUP),
    "manifest: files are names": (put(files={RECORD: 1}), NO_BACKUP),
    "manifest: no record": (told(lambda m: m.update(files=m["files"][1:])), "not in it|says"),
    "manifest: a file not told": (told(without_line), NOT_SAID),
    "manifest: name is a number": (first(name=7), NO_BACKUP),
    "manifest: name is half a sign": (first(name="media/\ud800"), "record is not in it"),
    "manifest: size below nothing": (first(size=-1), NO_BACKUP),
    "manifest: size is true": (first(size=True), NO_BACKUP),
    "manifest: size is part of one": (first(size=1.5), NO_BACKUP),
    "manifest: size of a planet": (first(size=10**30), "too little room"),
    "manifest: size too small": (first(size=1), NOT_SAVED),
    "manifest: wrong sum": (first(sha256="0" * 64), NOT_SAVED),
    "manifest: sum is a number": (first(sha256=0), NO_BACKUP),
    # Names that lead elsewhere
    "name: up": (added("media/../../outside"), STRANGE),
    "name: up from the root": (added("../outside"), STRANGE),
    "name: from the root": (added("/outside"), STRANGE),
    "name: of a drive": (added("media/C:x"), STRANGE),
    "name: the other slash": (added("media\\..\\..\\outside"), STRANGE),
    "name: the secret key": (added("secret_key"), STRANGE),
    "name: the record's log": (added("record.sqlite3-wal"), STRANGE),
    "name: the styles": (added("static/css/base.css"), STRANGE),
    "name: a dot": (added("media/./x"), STRANGE),
    "name: two slashes": (added("media//x"), STRANGE),
    "name: commands the terminal": (added("media/\x1b[2J"), STRANGE),
    "name: a line more": (added("media/x\n"), STRANGE),
    "name: too long": (added("media/" + "x" * 400), "could not be brought back"),
    "name: a folder and a file": (added(f"{PHOTO}/x"), "could not be brought back"),
    # The record
    "record: a letter": (record(lambda data: b"Dear all, " * 500), CANNOT),
    "record: nothing": (record(lambda data: b""), "no record of engines"),
    "record: cut": (record(lambda data: data[: len(data) // 2]), f"{CANNOT}|together"),
    "record: a page of noise": (
        record(lambda data: data[:8192] + random.Random(1).randbytes(4096) + data[12288:]),
        f"{CANNOT}|together|as ours",
    ),
    "record: of something else": (sql("DROP TABLE django_migrations"), "no record of engines"),
    "record: no migrations": (sql("DELETE FROM django_migrations"), "no record of engines"),
    "record: newer": (
        sql("INSERT INTO django_migrations VALUES (NULL, 'parts', '0999_later', '2026-01-01')"),
        "newer Bedplate",
    ),
    "record: migrations left out": (
        sql("DELETE FROM django_migrations WHERE name <> '0001_the_record'"),
        f"{NOT_OURS}|up to date",
    ),
    "record: a trigger": (
        sql(
            "CREATE TRIGGER sleeper AFTER INSERT ON auth_user BEGIN "
            "UPDATE auth_user SET is_superuser = 1; END"
        ),
        "has a trigger",
    ),
    "record: a view": (sql("CREATE VIEW people AS SELECT * FROM auth_user"), "has a view"),
    "record: a view for a table": (
        sql("DROP TABLE axes_accesslog; CREATE VIEW axes_accesslog AS SELECT 1"),
        "has a view",
    ),
    "record: a virtual table": (sql("CREATE VIRTUAL TABLE words USING fts5(a)"), NOT_OURS),
    "record: a table more": (sql("CREATE TABLE more (a)"), NOT_OURS),
    "record: a table less": (sql("DROP TABLE axes_accesslog"), NOT_OURS),
    "record: a column more": (sql("ALTER TABLE auth_group ADD COLUMN more"), NOT_OURS),
    "record: a column that is derived": (
        sql("ALTER TABLE auth_group ADD COLUMN more AS (hex(zeroblob(999999999)))"),
        NOT_OURS,
    ),
    "record: a default": (
        sql(
            "DROP TABLE django_session; CREATE TABLE django_session (session_key varchar(40) "
            "NOT NULL PRIMARY KEY DEFAULT 'x', session_data text NOT NULL, "
            "expire_date datetime NOT NULL)"
        ),
        NOT_OURS,
    ),
    "record: an index on a sum": (sql("CREATE INDEX more ON auth_group (abs(id))"), NOT_OURS),
    "record: an index of some rows": (
        sql("CREATE INDEX more ON auth_group (id) WHERE id > 3"),
        NOT_OURS,
    ),
    "record: a row that leads nowhere": (
        sql("INSERT INTO auth_user_groups (user_id, group_id) VALUES (777, 777)"),
        "hold together",
    ),
    "record: a schema that is none": (
        sql("PRAGMA writable_schema=ON; UPDATE sqlite_master SET sql='nonsense' WHERE rowid=1"),
        CANNOT,
    ),
}
# A short sample for the normal run: one of each kind.
SAMPLE = {
    "cut at 50 %", "a script before, places put right", "flipped bit 0", "directory: place",
    "files that share bytes", "photo twice", "manifest: no day", "name: up", "record: a trigger",
    "record: a table more",
}  # fmt: skip


@pytest.mark.parametrize(
    "what", [pytest.param(w, marks=[] if w in SAMPLE else pytest.mark.long) for w in SPOILT]
)
def test_a_spoilt_backup_is_refused_in_words_and_nothing_is_touched(here, tmp_path, what):
    spoil, says = SPOILT[what]
    bad = tmp_path / "bad.zip"
    bad.write_bytes(spoil(here.backup))
    before = here.everything()
    tracemalloc.start()
    try:
        with pytest.raises(CommandError, match=says) as refusal:
            here.restore(bad)
        _, most = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert re.fullmatch(r"[^\x00-\x1f\x7f-\x9f]+\. Nothing was changed\.", str(refusal.value))
    assert most < MOST_MEMORY
    assert here.everything() == before


def test_there_are_enough_of_them():
    assert len(SPOILT) >= 60
    assert SPOILT.keys() >= SAMPLE


def test_the_sound_backup_they_are_made_of_comes_back(here, tmp_path):
    """Else they might all be refused for some reason of their own."""
    there = Installation(tmp_path)
    content, manifest = unpack(here.backup)
    sound = (here.backup, pack(content, manifest), pack(content, listing(content)))
    for n, whole in enumerate(sound):
        file = tmp_path / "sound.zip"
        file.write_bytes(whole)
        assert "Everyone logs in again" in there.restore(file)
        assert (there.folder / PHOTO).read_bytes() == content[PHOTO]
        for aside in there.folder.glob("replaced-*"):
            aside.rename(tmp_path / f"aside-{n}")


@pytest.mark.long
def test_whatever_single_bit_is_flipped_it_comes_back_whole_or_not_at_all(here, tmp_path):
    """Some bits mean nothing, such as those of the hour in the zip's directory."""
    content, _ = unpack(here.backup)
    rng, refused = random.Random(2), 0
    with zipfile.ZipFile(io.BytesIO(here.backup)) as made:
        directory = made.start_dir
    # Half of them in the directory and the manifest before it, which are small.
    places = [rng.randrange(len(here.backup)) for _ in range(40)]
    places += [rng.randrange(directory - 500, len(here.backup)) for _ in range(60)]
    for n, place in enumerate(places):
        there = Installation(tmp_path / str(n))
        spoilt = bytearray(here.backup)
        spoilt[place] ^= 1 << rng.randrange(8)
        there.folder.parent.mkdir()
        bad = there.folder.parent / "bad.zip"
        bad.write_bytes(spoilt)
        try:
            there.restore(bad)
        except CommandError:
            refused += 1
            assert not there.record.exists()
            assert not there.media.exists()
        else:
            for name in (PHOTO, OTHER):
                assert (there.folder / name).read_bytes() == content[name]
            with closing(sqlite3.connect(there.record)) as db:
                assert db.execute("SELECT count(*) FROM django_migrations").fetchone()[0] > 20
    assert refused > 60


def test_the_layout_that_is_asked_for_is_the_one_of_the_standard(here):
    """APPNOTE.TXT of the ZIP format, 4.3.7: a local header is 30 bytes, a name and an extra field,
    the lengths of which stand at 26 and 28.
    """
    signature, *_, name, extra = struct.unpack("<4s5H3I2H", here.backup[:30])
    assert signature == b"PK\x03\x04"
    assert here.backup[30 : 30 + name] == RECORD.encode()
    assert extra == 20
