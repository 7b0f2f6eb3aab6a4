"""A backup brings back what was saved, and a bad file brings back nothing."""

import hashlib
import json
import sqlite3
import zipfile
from contextlib import closing
from datetime import datetime
from pathlib import Path

import pytest

from parts.exchange import backup
from parts.record.actions.saving import Refused

NOW = datetime(2026, 11, 25, 18, 30)


class Installation:
    """A record and its photos in a folder, as an installation keeps them."""

    def __init__(self, folder: Path):
        self.folder = folder
        self.record, self.media = folder / "bedplate.sqlite3", folder / "media"

    def begin(self):
        self.media.mkdir(parents=True)
        with closing(sqlite3.connect(self.record)) as db:
            db.execute("PRAGMA journal_mode=WAL")
            db.execute("CREATE TABLE django_session (session_key TEXT)")
            db.execute("INSERT INTO django_session VALUES ('a-live-login')")
            db.execute("CREATE TABLE parts_photo (original TEXT)")
            db.execute("CREATE TABLE find (tag TEXT)")
            db.commit()
        return self

    def find(self, tag: str):
        with closing(sqlite3.connect(self.record)) as db:
            db.execute("INSERT INTO find VALUES (?)", (tag,))
            db.commit()

    def photo(self, name: str, content: bytes = b"a picture"):
        (self.media / name).parent.mkdir(parents=True, exist_ok=True)
        (self.media / name).write_bytes(content)
        with closing(sqlite3.connect(self.record)) as db:
            db.execute("INSERT INTO parts_photo VALUES (?)", (name,))
            db.commit()

    def finds(self) -> list[str]:
        with closing(sqlite3.connect(self.record)) as db:
            return [tag for (tag,) in db.execute("SELECT tag FROM find ORDER BY tag")]

    def files(self) -> dict[str, bytes]:
        files = (p for p in self.media.rglob("*") if p.is_file())
        return {p.relative_to(self.media).as_posix(): p.read_bytes() for p in files}

    def save(self, to: Path):
        return backup.save(self.record, self.media, to, now=NOW)

    def bring_back(self, file: Path):
        return backup.bring_back(
            file,
            self.record,
            self.media,
            check=lambda db: None,
            bring_up_to_date=lambda record: None,
            now=NOW,
        )


@pytest.fixture
def here(tmp_path):
    one = Installation(tmp_path / "here").begin()
    one.find("HG-0001")
    one.photo("photos/1/a/original.jpg", b"\xff\xd8 one")
    one.photo("papers/1/ü quote.pdf", b"%PDF one")
    return one


@pytest.fixture
def saved(here, tmp_path):
    return here.save(tmp_path / "kept.zip").path


def test_it_comes_back_into_an_empty_folder(here, saved, tmp_path):
    there = Installation(tmp_path / "there" / "data")
    done = there.bring_back(saved)
    assert there.finds() == ["HG-0001"]
    assert there.files() == here.files()
    assert done.aside is None
    assert done.kept.files == 2


def test_it_comes_back_over_what_was_changed_and_that_is_kept_aside(here, saved):
    before = here.files()
    here.find("HG-0002")
    here.photo("photos/1/b/original.jpg", b"later")
    (here.media / "photos/1/a/original.jpg").write_bytes(b"spoilt")
    done = here.bring_back(saved)
    assert here.finds() == ["HG-0001"]
    assert here.files() == before
    aside = Installation(done.aside)
    assert aside.finds() == ["HG-0001", "HG-0002"]
    assert aside.files()["photos/1/b/original.jpg"] == b"later"


def test_what_stands_only_in_the_log_is_saved_too(here, tmp_path):
    """The main file of a database in use lags behind its log."""
    with closing(sqlite3.connect(here.record)) as busy:
        busy.execute("PRAGMA wal_autocheckpoint=0")
        busy.execute("INSERT INTO find VALUES ('HG-0009')")
        busy.commit()
        copied = tmp_path / "copied.sqlite3"
        copied.write_bytes(here.record.read_bytes())
        with closing(sqlite3.connect(copied)) as naive:
            assert ("HG-0009",) not in naive.execute("SELECT tag FROM find").fetchall()
        kept = here.save(tmp_path / "kept.zip")
    assert kept.size == kept.path.stat().st_size
    there = Installation(tmp_path / "there")
    there.bring_back(kept.path)
    assert there.finds() == ["HG-0001", "HG-0009"]


def test_it_holds_nobodys_login_and_no_key(here, saved, tmp_path):
    (here.folder / "secret_key").write_text("the key", encoding="utf-8")
    with zipfile.ZipFile(here.save(tmp_path / "second.zip").path) as pack:
        assert not [name for name in pack.namelist() if "secret" in name]
        assert b"a-live-login" not in pack.read("record.sqlite3")
    assert saved.stat().st_mode & 0o077 == 0


def test_photos_are_stored_as_they_are_and_each_has_its_sum(saved):
    with zipfile.ZipFile(saved) as pack:
        told = json.loads(pack.read("manifest.json"))
        for one in told["files"]:
            assert hashlib.sha256(pack.read(one["name"])).hexdigest() == one["sha256"]
            if one["name"].startswith("media/"):
                assert pack.getinfo(one["name"]).compress_type == zipfile.ZIP_STORED
    assert told["made_at"] == "2026-11-25T18:30:00"


def test_a_photo_that_is_not_there_any_more_is_told(here, tmp_path):
    (here.media / "photos/1/a/original.jpg").unlink()
    assert here.save(tmp_path / "kept.zip").missing == ("photos/1/a/original.jpg",)


def test_no_backup_is_written_over(here, saved):
    before = saved.read_bytes()
    with pytest.raises(Refused, match="there already"):
        here.save(saved)
    assert saved.read_bytes() == before


def test_without_a_record_there_is_nothing_to_save(tmp_path):
    with pytest.raises(Refused, match="nothing to save"):
        Installation(tmp_path / "nothing").save(tmp_path / "kept.zip")
    assert not (tmp_path / "kept.zip").exists()


@pytest.mark.parametrize("content", [b"", b"no database " * 400])
def test_a_record_that_is_empty_or_damaged_is_not_saved(here, tmp_path, content):
    here.record.write_bytes(content)
    with pytest.raises(Refused, match=r"nothing to save|is damaged"):
        here.save(tmp_path / "kept.zip")
    assert list(tmp_path.glob("*.zip")) == []


def test_the_size_that_is_told_is_that_of_the_file(here, tmp_path):
    here.photo("photos/1/b/original.jpg", bytes(50_000))
    here.find("the same words again and again " * 3000)
    kept = here.save(tmp_path / "kept.zip")
    assert kept.size == kept.path.stat().st_size
    with zipfile.ZipFile(kept.path) as pack:
        assert kept.size < sum(info.file_size for info in pack.infolist()) - 30_000


def test_nothing_half_written_is_left_when_the_disk_says_no(here, tmp_path, monkeypatch):
    def full(*args):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(backup, "_put", full)
    with pytest.raises(Refused, match="No space left"):
        here.save(tmp_path / "out" / "kept.zip")
    assert list((tmp_path / "out").iterdir()) == []


# Bad files: the others stand in test_restore_spoilt.py


@pytest.mark.parametrize(
    "spoil",
    [lambda whole: b"hello", lambda whole: b"", lambda whole: whole[:-700]],
    ids=["no zip", "empty", "cut short"],
)
def test_a_bad_file_is_refused_in_words_and_changes_nothing(here, saved, spoil):
    saved.write_bytes(spoil(saved.read_bytes()))
    here.find("HG-0002")
    files, names = here.files(), {p.name for p in here.folder.iterdir()}
    with pytest.raises(Refused, match="no backup of Bedplate"):
        here.bring_back(saved)
    assert here.finds() == ["HG-0001", "HG-0002"]
    assert here.files() == files
    assert {p.name for p in here.folder.iterdir()} - {"bedplate.sqlite3-wal"} <= names


def test_every_single_damaged_byte_of_the_photos_is_noticed(here, saved, tmp_path):
    whole = saved.read_bytes()
    place = whole.index(b"\xff\xd8 one")
    for n in range(6):
        bad = tmp_path / f"bad{n}.zip"
        bad.write_bytes(whole[: place + n] + bytes([whole[place + n] ^ 1]) + whole[place + n + 1 :])
        with pytest.raises(Refused):
            here.bring_back(bad)
    assert here.finds() == ["HG-0001"]


@pytest.mark.parametrize(
    ("fault", "expected"),
    [(OSError(13, "Permission denied"), Refused), (KeyboardInterrupt(), KeyboardInterrupt)],
    ids=["not allowed", "Ctrl+C"],
)
def test_if_the_new_cannot_be_put_in_place_the_old_is_put_back(
    here, saved, monkeypatch, fault, expected
):
    real = backup.shutil.move

    def stubborn(source, goal):
        if Path(goal) == here.media and "restoring" in str(source):
            raise fault
        return real(source, goal)

    here.find("HG-0002")
    files = here.files()
    monkeypatch.setattr(backup.shutil, "move", stubborn)
    with pytest.raises(expected):
        here.bring_back(saved)
    assert here.finds() == ["HG-0001", "HG-0002"]
    assert here.files() == files
    assert not list(here.folder.glob("replaced-*"))


def test_a_folder_that_is_served_is_left_alone(tmp_path):
    refused = pytest.raises(Refused, match="being served")
    with backup.in_use(tmp_path), refused, backup.in_use(tmp_path):
        pass
    with backup.in_use(tmp_path):
        pass
