"""Take the demonstration away, and leave all else."""

from django.core.management import call_command
from django.core.management.base import BaseCommand

from parts.demo import clearing
from restoration.run import pasted

from .. import serving


class Command(BaseCommand):
    help = (
        "Deletes the engines, photos, papers and logins of the demonstration for good; all else "
        "stays."
    )

    def handle(self, *args, **options):
        serving.check_record()
        call_command("migrate", verbosity=0, interactive=False)
        gone, kept = clearing.remove_demo()
        if gone:
            self.stdout.write(
                f"The demonstration is gone: {gone} engines, their photos, papers and logins."
            )
        else:
            self.stdout.write("There is no demonstration here. Nothing was changed.")
        for name in kept:
            self.stdout.write(
                f"{name} belongs to an engine of yours and was kept, without a password. "
                f"Give a new one:\n  {pasted(f'changepassword {name}')}"
            )
