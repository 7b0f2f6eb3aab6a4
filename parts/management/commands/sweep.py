"""Remove files that no row of the record names."""

from django.core.management.base import BaseCommand

from parts.record.actions import files


class Command(BaseCommand):
    help = (
        "Removes photos, papers and reports that no row of the record names, such as a killed "
        "process leaves, and files that waited more than a day for their form. Bedplate does so "
        "itself when it starts. It may go on running meanwhile."
    )

    def handle(self, *args, **options):
        removed = files.sweep()
        self.stdout.write(f"{removed} file{'' if removed == 1 else 's'} removed.")
