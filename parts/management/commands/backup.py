"""Save record and photos to one file."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import connection
from django.utils import timezone

from parts.exchange import backup, rows
from parts.record.actions.saving import Refused


def record_path() -> Path:
    """Where the record lies as an SQLite file; where it would, when PostgreSQL holds it."""
    name = "bedplate.sqlite3" if server() else connection.settings_dict["NAME"]
    return Path(settings.DATA_DIR) / name


def server() -> backup.Server | None:
    """What holds the record in the place of a file."""
    return None if connection.vendor == "sqlite" else rows


@contextmanager
def record_file() -> Iterator[Path]:
    """The record as an SQLite file: where it lies, or a copy of what PostgreSQL holds.

    Raises Refused when PostgreSQL holds none.
    """
    if not server():
        yield record_path()
        return
    with TemporaryDirectory(prefix="bedplate-record-") as folder:
        file = Path(folder) / "record.sqlite3"
        rows.write_file(file)
        yield file


class Command(BaseCommand):
    help = "Saves record, photos, papers and reports to one zip. Bedplate may go on running."

    def add_arguments(self, parser):
        parser.add_argument(
            "file", nargs="?", type=Path, help="the zip, or a folder for it [this folder]"
        )

    def handle(self, *args, file, **options):
        now = timezone.localtime()
        name = f"bedplate-{now:%Y-%m-%d-%H%M%S}.zip"
        to = Path(name) if file is None else file / name if file.is_dir() else file
        try:
            with record_file() as record:
                kept = backup.save(record, Path(settings.MEDIA_ROOT), to, now=now)
        except Refused as refusal:
            raise CommandError(str(refusal)) from None
        self.stdout.write(
            f"Saved to {kept.path.resolve()}: the record and {kept.files} files, "
            f"{kept.size / 1e6:.1f} MB. Keep a copy somewhere else."
        )
        if kept.missing:
            self.stderr.write(
                f"{len(kept.missing)} files that the record speaks of were not there to save, "
                f"the first of them {kept.missing[0]}."
            )
