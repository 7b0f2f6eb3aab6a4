"""Convert a record of an older layout: the one that is here, or one from a backup."""

from pathlib import Path

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import connections
from django.utils import timezone

from parts.exchange import backup, older
from parts.record.actions.saving import Refused

from .backup import record_path, server
from .restore import tell_aside


class Command(BaseCommand):
    help = (
        "Converts a record of an older layout to that of this version: the one in the data "
        "folder, of which it makes a backup first, or one from a backup. Rows, columns and files "
        "are compared before anything is replaced. Stop Bedplate before."
    )

    def add_arguments(self, parser):
        parser.add_argument(
            "file", nargs="?", type=Path, help="a backup of the older layout [the data folder]"
        )

    def handle(self, *args, file, **options):
        record, media = record_path(), Path(settings.MEDIA_ROOT)
        now, counts = timezone.localtime(), {}
        try:
            with backup.in_use(Path(settings.DATA_DIR)):
                connections.close_all()
                if file is None and server():
                    raise Refused("PostgreSQL never held the older layout. Name a backup of it.")
                if file is None:
                    file = record.parent / f"older-{now:%Y-%m-%d-%H%M%S}.zip"
                    older.check_file(record)
                    backup.save(record, media, file, now=now)
                    self.stdout.write(f"A backup of the record as it was: {file.resolve()}.")
                done = backup.bring_back(
                    file,
                    record,
                    media,
                    check=older.check,
                    bring_up_to_date=lambda path: counts.update(older.convert(path)),
                    now=now,
                    server=server(),
                )
        except Refused as refusal:
            raise CommandError(f"{refusal} Nothing was changed.") from None
        self.stdout.write(
            f"Converted: {sum(counts.values()):,} rows in {len(counts)} tables and "
            f"{done.kept.files} files. All were compared with the older ones. Everyone logs in "
            "again."
        )
        tell_aside(self.stdout, done)
