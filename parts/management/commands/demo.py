"""Load the demonstration, write its papers, and serve it."""

from pathlib import Path

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from parts.demo import load, papers, people, reports
from parts.record.actions.saving import Refused
from parts.record.models import Membership
from restoration.run import pasted

from .. import serving

Role = Membership.Role


class Command(BaseCommand):
    help = (
        "Sets up Bedplate with an invented engine, writes its report and lists to a folder, and "
        "serves it on this machine. Running it again loses nothing."
    )

    def add_arguments(self, parser):
        serving.add_arguments(parser)
        parser.add_argument(
            "--folder", type=Path, help="where the papers go, to stay there [.data/demo-papers]"
        )

    def handle(self, *args, port, no_serve, folder, **options):
        serving.set_up(self._say)
        try:
            new = load.load(say=self._say)
            reports.issue(say=self._say)
        except Refused as refusal:
            raise CommandError(f"The demonstration could not be loaded. {refusal}") from None
        if not new:
            self._say("The demonstration is here already. Nothing of it was changed.")
        self._write_papers(folder or settings.DATA_DIR / papers.FOLDER)
        if no_serve:
            self._tell(f"\nWhen served: http://{serving.HOST}:{port}/")
        else:
            serving.serve(port, self._say, lambda at: self._tell(f"\nBedplate is at {at}", True))

    def _say(self, words: str) -> None:
        self.stdout.write(words)
        self.stdout.flush()

    def _write_papers(self, folder: Path) -> None:
        engine = load.engines().first()
        if engine is None:
            return
        report = reports.last_of(engine)
        try:
            files = papers.write(engine, report, folder, timezone.localdate())
        except OSError as error:
            self._say(f"The papers could not be written to {folder}: {error.strerror}.")
            return
        self._say("\nThe papers of the demonstration:")
        for file in files:
            self._say(f"  {file.resolve()}")

    def _tell(self, where: str, served: bool = False) -> None:
        self._say(where)
        self._say("Logins of the demonstration:")
        secret = people.password()
        for role in (Role.LEAD, Role.HELPER, Role.READER):
            member = (
                Membership.objects.filter(
                    engine=load.engines().first(), role=role, user__in=people.users()
                )
                .select_related("user")
                .order_by("pk")
                .first()
            )
            if member:
                known = member.user.check_password(secret)
                word = secret if known else "(its password was changed)"
                self._say(f"  {role.label:7} {member.user.get_username():8} {word}")
        self._say(f"Take the demonstration away again with:\n  {pasted('remove_demo')}")
        self._say(f"Begin your own record with:\n  {pasted('start')}")
        if served:
            self._say("Stop with Ctrl+C.")
