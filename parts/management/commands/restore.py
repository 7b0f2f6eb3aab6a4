"""Bring back what `backup` saved."""

import shlex
from pathlib import Path

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import connection, connections
from django.utils import timezone

from parts.exchange import backup, rows, schema
from parts.record.actions.saving import Refused
from restoration.run import pasted


class Command(BaseCommand):
    help = (
        "Brings back record and photos from a zip that backup made. It is checked first; what was "
        "here is kept aside. Stop Bedplate before."
    )

    def add_arguments(self, parser):
        parser.add_argument("file", type=Path)

    def handle(self, *args, file, **options):
        in_file = connection.vendor == "sqlite"
        name = connection.settings_dict["NAME"] if in_file else "bedplate.sqlite3"
        record = Path(settings.DATA_DIR) / name
        try:
            with backup.in_use(Path(settings.DATA_DIR)):
                connections.close_all()
                done = backup.bring_back(
                    file,
                    record,
                    Path(settings.MEDIA_ROOT),
                    check=schema.check,
                    bring_up_to_date=schema.bring_up_to_date,
                    now=timezone.localtime(),
                    server=None if in_file else rows,
                )
        except schema.Older as refusal:
            raise CommandError(
                f"{refusal} Nothing was changed. Convert it and bring it back in one with "
                f"{pasted(f'convert {shlex.quote(str(file))}')}."
            ) from None
        except Refused as refusal:
            raise CommandError(f"{refusal} Nothing was changed.") from None
        self.stdout.write(
            f"Brought back: the record of {done.kept.made_at} and {done.kept.files} files. "
            "Everyone logs in again."
        )
        tell_aside(self.stdout, done)


def tell_aside(out, done: backup.Restored) -> None:
    """Say where what was here before is kept."""
    if done.aside:
        out.write(
            f"What was here before is kept in {done.aside.resolve()}. "
            "Delete that folder when you are sure."
        )
