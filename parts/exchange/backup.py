"""Saving an installation to one file, and bringing it back.

One zip holds the record (a clean SQLite file, whichever database it came from), the photos, papers
and reports, and a manifest with the checksum of each. It does not hold the secret key, nor who is
logged in: whoever comes upon a backup cannot pass for someone on the running installation, and
after a restore people log in again with the passwords they had.

Knows nothing of the app that runs: it works on the paths it is given.
"""

import errno
import hashlib
import json
import os
import re
import shutil
import sqlite3
import struct
import tempfile
import zipfile
import zlib
from collections.abc import Callable
from contextlib import AbstractContextManager, closing, contextmanager, nullcontext
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path, PurePosixPath
from typing import Protocol

from parts.record.actions.saving import Refused

try:
    import fcntl
except ImportError:  # not on Windows: there nobody is stopped, only told
    fcntl = None

FORM = "bedplate backup 1"
MANIFEST, RECORD, MEDIA = "manifest.json", "record.sqlite3", "media/"
BLOCK = 1024 * 1024
# Some 200 bytes a file: enough for 300,000 of them.
MANIFEST_LIMIT = 64 * BLOCK
COMPRESSIONS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
# Encrypted; sizes told behind the bytes instead of before them.
STRANGE_FLAGS = 0x1 | 0x8
# What a zip ends with (APPNOTE.TXT of the ZIP format, 4.3.16).
END_MARK, END_LENGTH, NO_COMMENT = b"PK\x05\x06", 22, b"\0\0"
# A record packs to a tenth or so; to less than this only what was made to fill a disk.
MOST_PACKED = 200
# All that reading a spoilt zip or manifest may raise.
DAMAGE = (
    zipfile.BadZipFile,
    zlib.error,
    struct.error,
    EOFError,
    KeyError,
    NotImplementedError,
    OverflowError,
    RuntimeError,
    ValueError,
)
_NAME = re.compile(r"[^\\:\x00-\x1f\x7f-\x9f]+")


@dataclass(frozen=True)
class Kept:
    """What a backup holds.

    Args:
        path: Where it lies.
        made_at: When it was made, in words of ISO 8601.
        files: How many files beside the record.
        size: Bytes of the zip.
        missing: Names of files that the record speaks of and that were not there to keep.
    """

    path: Path
    made_at: str
    files: int
    size: int
    missing: tuple[str, ...] = ()


@contextmanager
def in_use(folder: Path):
    """Hold an installation's folder while it is served, so that nothing is put under its feet.

    Raises Refused when another process holds it. Without locks of the system it holds nothing.
    """
    if fcntl is None:
        yield
        return
    folder.mkdir(parents=True, exist_ok=True)
    with open(folder / "in_use", "w", encoding="utf-8") as file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            raise Refused(
                f"Bedplate is being served from {folder}. Stop it first (Ctrl+C where it runs), "
                "then try again."
            ) from None
        yield


# Saving


def save(record: Path, media: Path, to: Path, *, now: datetime) -> Kept:
    """Write the record and its files to a new zip. The app may go on running meanwhile.

    Args:
        record: The SQLite database.
        media: The folder of photos, papers and reports.
        to: The zip to write.
        now: When it is made.

    Raises:
        Refused: there is no record, the file is there already, or it cannot be written.
    """
    if not record.is_file():
        raise Refused(f"There is no record at {record} yet, so there is nothing to save.")
    if to.exists():
        raise Refused(f"{to} is there already. Give another name, so that no backup is lost.")
    if to.resolve().is_relative_to(media.resolve()):
        raise Refused("A backup cannot lie among the photos it saves. Give another folder.")
    try:
        to.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".saving-", dir=to.parent) as folder:
            part = Path(folder) / "backup.zip"
            kept = _write(record, media, part, Path(folder) / RECORD, now)
            size = part.stat().st_size
            _name(part, to)
    except OSError as error:
        raise Refused(f"The backup could not be written to {to}: {error.strerror}.") from None
    except sqlite3.Error as error:
        raise Refused(
            f"The record at {record} cannot be saved: {error}. If it is damaged, move it away and "
            "bring back an earlier backup."
        ) from None
    return Kept(to, size=size, **kept)


def _name(part: Path, to: Path) -> None:
    """Give the finished file its name, without writing over one that came meanwhile."""
    try:
        os.link(part, to)
    except FileExistsError:
        raise
    except OSError:
        # A disk without links, such as a memory stick.
        part.replace(to)


def _write(record: Path, media: Path, part: Path, copy: Path, now: datetime) -> dict:
    # The record first: a photo is stored before its row is, so what this copy speaks of is there.
    _copy_record(record, copy)
    listed, missing = [], _missing(copy, media)
    part.touch(mode=0o600)
    with zipfile.ZipFile(part, "w", zipfile.ZIP_STORED) as pack:
        listed.append(_put(pack, copy, RECORD, zipfile.ZIP_DEFLATED))
        for file in sorted(p for p in media.rglob("*") if p.is_file()):
            name = MEDIA + file.relative_to(media).as_posix()
            listed.append(_put(pack, file, name, zipfile.ZIP_STORED))
        told = {"form": FORM, "made_at": now.isoformat(timespec="seconds"), "files": listed}
        pack.writestr(MANIFEST, json.dumps(told, indent=1, ensure_ascii=False))
    return {
        "made_at": told["made_at"],
        "files": len(listed) - 1,
        "missing": tuple(missing),
    }


def _copy_record(record: Path, copy: Path) -> None:
    """Copy the database as it stands at one moment, what is still in its log too."""
    with closing(sqlite3.connect(record, timeout=20)) as live:
        live.execute("VACUUM INTO ?", (str(copy),))
    with closing(sqlite3.connect(copy)) as kept:
        tables = {name for (name,) in kept.execute("SELECT name FROM sqlite_master")}
        if not tables:
            raise Refused(f"The record at {record} is empty yet, so there is nothing to save.")
        if "django_session" in tables:
            # Whoever reads these could walk in as someone who is logged in.
            kept.execute("DELETE FROM django_session")
            kept.commit()
            kept.execute("VACUUM")


def _missing(copy: Path, media: Path) -> list[str]:
    """Files that the record names and that are not among the media."""
    named = []
    with closing(sqlite3.connect(copy)) as kept:
        tables = {name for (name,) in kept.execute("SELECT name FROM sqlite_master")}
        for table, column in (
            ("parts_photo", "original"),
            ("parts_costpaper", "file"),
            ("parts_report", "pdf"),
        ):
            if table in tables:
                rows = kept.execute(f"SELECT {column} FROM {table}")  # noqa: S608
                named += [name for (name,) in rows if name]
    return [name for name in named if not (media / name).is_file()]


def _put(pack: zipfile.ZipFile, file: Path, name: str, how: int) -> dict:
    info = zipfile.ZipInfo.from_file(file, name, strict_timestamps=False)
    info.compress_type = how
    total, size = hashlib.sha256(), 0
    with file.open("rb") as source, pack.open(info, "w", force_zip64=True) as goal:
        while block := source.read(BLOCK):
            total.update(block)
            size += len(block)
            goal.write(block)
    return {"name": name, "size": size, "sha256": total.hexdigest()}


# Bringing back


class Server(Protocol):
    """A record that is not in a file: see `rows.py`."""

    def is_begun(self) -> bool:
        """Whether it holds a record."""

    def write_file(self, file: Path) -> None:
        """Write what it holds to a new SQLite file."""

    def read_file(self, file: Path) -> AbstractContextManager:
        """Put the rows of a file in the place of its own, if the context ends well."""


@dataclass(frozen=True)
class Restored:
    """What was brought back, and where what stood there before is kept (None: nothing did)."""

    kept: Kept
    aside: Path | None


def bring_back(
    file: Path,
    record: Path,
    media: Path,
    *,
    check: Callable[[sqlite3.Connection], None],
    bring_up_to_date: Callable[[Path], None],
    now: datetime,
    server: Server | None = None,
) -> Restored:
    """Bring back a backup. All of it is checked before anything is touched.

    What stood there before is not deleted: it is moved to a folder beside it.

    Args:
        file: The zip.
        record: Where the database belongs. Nothing may have it open. With a server, where it
            would belong: it is left alone.
        media: Where the files belong.
        check: Raises Refused when a record is not of the app that runs.
        bring_up_to_date: Gives the record that was unpacked the form of the app that runs.
        now: The day and time, for the name of the folder.
        server: Holds the record instead of a file.

    Raises:
        Refused: in words, why it cannot be brought back. Then nothing was changed.
    """
    data = record.parent
    stage = None
    try:
        data.mkdir(parents=True, exist_ok=True)
        stage = Path(tempfile.mkdtemp(prefix=".restoring-", dir=data))
        kept = _unpack(file, stage)
        _check_record(stage / RECORD, check)
        bring_up_to_date(stage / RECORD)
        (stage / MEDIA).mkdir(exist_ok=True)
        aside = data / f"replaced-{now:%Y-%m-%d-%H%M%S}"
        moves = [(media, aside / media.name), (stage / MEDIA, media)]
        if server is None:
            old = [record.with_name(record.name + tail) for tail in ("", "-wal", "-shm")]
            moves = [(path, aside / path.name) for path in old] + moves
            _swap([*moves, (stage / RECORD, record)], aside)
        else:
            if server.is_begun():
                server.write_file(stage / record.name)
            moves.insert(0, (stage / record.name, aside / record.name))
            _swap(moves, aside, together_with=server.read_file(stage / RECORD))
    except OSError as error:
        raise Refused(f"The backup could not be brought back: {error.strerror}.") from None
    finally:
        if stage:
            shutil.rmtree(stage, ignore_errors=True)
    return Restored(kept, aside if aside.exists() else None)


def _unpack(file: Path, stage: Path) -> Kept:
    if not file.is_file():
        raise Refused(f"There is no file {file}.")
    try:
        with zipfile.ZipFile(file) as pack:
            _check_layout(pack)
            told, listed = _manifest(pack)
            size = sum(one["size"] for one in listed)
            if size > shutil.disk_usage(stage).free:
                raise Refused(f"There is too little room: the backup needs {size / 1e6:,.0f} MB.")
            for one in listed:
                _take(pack, one, stage / one["name"])
    except DAMAGE:
        raise Refused(f"{file} is no backup of Bedplate, or it is damaged.") from None
    return Kept(file, told["made_at"], len(listed) - 1, file.stat().st_size)


def _check_layout(pack: zipfile.ZipFile) -> None:
    """Hold a zip to the plain layout that ours have: its files end to end, and nothing else.

    Bytes before, between or behind the files, files that share bytes, a name that comes twice and
    strange compressions are how one file passes for two, or a small one unpacks to a huge one.
    """
    end = 0
    for info in sorted(pack.infolist(), key=lambda info: info.header_offset):
        plain = info.compress_type in COMPRESSIONS and not info.flag_bits & STRANGE_FLAGS
        bomb = info.file_size > BLOCK + MOST_PACKED * info.compress_size
        if info.header_offset != end or bomb or not plain:
            raise zipfile.BadZipFile("not as we write them")
        pack.fp.seek(info.header_offset + 26)
        name, extra = struct.unpack("<HH", pack.fp.read(4))
        end += 30 + name + extra + info.compress_size
    names = pack.namelist()
    pack.fp.seek(-END_LENGTH, os.SEEK_END)
    last = pack.fp.read()
    ended = last.startswith(END_MARK) and last.endswith(NO_COMMENT)
    if end != pack.start_dir or not ended or len(set(names)) != len(names):
        raise zipfile.BadZipFile("not as we write them")


def _manifest(pack: zipfile.ZipFile) -> tuple[dict, list[dict]]:
    names = pack.namelist()
    if MANIFEST not in names:
        raise Refused("This zip is no backup of Bedplate: it has no manifest.")
    with pack.open(MANIFEST) as source:
        written = source.read(MANIFEST_LIMIT + 1)
    if len(written) > MANIFEST_LIMIT:
        raise Refused("This backup is refused: its manifest is larger than any of ours.")
    told = json.loads(written)
    if not isinstance(told, dict) or told.get("form") != FORM:
        raise Refused("This backup is of a form that this Bedplate does not know. Update it first.")
    listed = told.get("files")
    if not isinstance(listed, list) or not all(_is_line(one) for one in listed):
        raise ValueError("a bad manifest")
    datetime.fromisoformat(str(told.get("made_at")))
    wanted = [one["name"] for one in listed]
    if RECORD not in wanted:
        raise Refused("This backup is damaged: the record is not in it.")
    if sorted(names) != sorted([*wanted, MANIFEST]):
        raise Refused("This backup is damaged: it does not hold what its manifest says.")
    if bad := next((name for name in wanted if not _is_ours(name)), None):
        raise Refused(f"This backup is refused: {bad!r} does not belong in one.")
    return told, listed


def _is_line(one) -> bool:
    return (
        isinstance(one, dict)
        and isinstance(one.get("name"), str)
        and isinstance(one.get("sha256"), str)
        and type(one.get("size")) is int
        and one["size"] >= 0
    )


def _is_ours(name: str) -> bool:
    """Whether a name is the record or lies among the media, and nowhere else."""
    if name == RECORD:
        return True
    path = PurePosixPath(name)
    return (
        name.startswith(MEDIA)
        and bool(_NAME.fullmatch(name))
        and not path.is_absolute()
        and str(path) == name
        and ".." not in path.parts
    )


def _take(pack: zipfile.ZipFile, one: dict, goal: Path) -> None:
    goal.parent.mkdir(parents=True, exist_ok=True)
    total, size = hashlib.sha256(), 0
    with pack.open(one["name"]) as source, goal.open("wb") as out:
        # No more is read than the manifest says: a small file cannot fill the disk.
        while block := source.read(min(BLOCK, one["size"] - size + 1)):
            total.update(block)
            size += len(block)
            if size > one["size"]:
                break
            out.write(block)
    goal.chmod(0o600)
    if size != one["size"] or total.hexdigest() != one["sha256"]:
        raise Refused(f"This backup is damaged: {one['name']} is not as it was saved.")


def _check_record(record: Path, check: Callable[[sqlite3.Connection], None]) -> None:
    try:
        with closing(sqlite3.connect(f"{record.as_uri()}?mode=ro", uri=True)) as kept:
            # Nothing that the file itself defines may do more than plain sums.
            kept.execute("PRAGMA trusted_schema=OFF")
            check(kept)
            sound = kept.execute("PRAGMA integrity_check").fetchone()[0]
            astray = kept.execute("PRAGMA foreign_key_check").fetchone()
    except (sqlite3.Error, ValueError):
        raise Refused("This backup is damaged: its record cannot be read.") from None
    if sound != "ok" or astray:
        raise Refused("This backup is damaged: its record does not hold together.")


def _swap(moves: list[tuple[Path, Path]], aside: Path, together_with=None) -> None:
    """Move what stands there aside and the new in; if that fails, move the old back.

    Args:
        moves: From where to where, in this order; what is not there is passed over.
        aside: The folder for the old, which must be new.
        together_with: A context around it, whose end may fail, too.
    """
    done: list[tuple[Path, Path]] = []
    try:
        if aside.exists():
            raise FileExistsError(errno.EEXIST, f"{aside} is there already")
        with together_with or nullcontext():
            for source, goal in moves:
                if source.exists():
                    goal.parent.mkdir(parents=True, exist_ok=True)
                    shutil.move(source, goal)
                    done.append((source, goal))
    except BaseException:
        # Whatever stops it, Ctrl+C too.
        for source, goal in reversed(done):
            shutil.move(goal, source)
        if aside.is_dir():
            aside.rmdir()
        raise
