"""Bring back what `backup` saved."""

import shlex
from pathlib import Path

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import connections
from django.utils import timezone

from parts.exchange import backup, schema
from parts.record.actions.saving import Refused
from restoration.run import pasted

from .backup import record_path, server


class Command(BaseCommand):
    help = (
        "Brings back record and photos from a zip that backup made. It is checked first; what was "
        "here is kept aside. Stop Bedplate before."
    )

    def add_arguments(self, parser):
        parser.add_argument("file", type=Path)

    def handle(self, *args, file, **options):
        try:
            with backup.in_use(Path(settings.DATA_DIR)):
                connections.close_all()
                done = backup.bring_back(
                    file,
                    record_path(),
                    Path(settings.MEDIA_ROOT),
                    check=schema.check,
                    bring_up_to_date=schema.bring_up_to_date,
                    now=timezone.localtime(),
                    server=server(),
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
