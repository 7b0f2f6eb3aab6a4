"""Set up an installation for real work, and serve it."""

import getpass
import os
import sys
from pathlib import Path

from django.contrib.auth import get_user_model, password_validation
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError

from parts.people.actions import DEMO_GROUP

from .. import serving

User = get_user_model()


class Command(BaseCommand):
    help = (
        "Sets up Bedplate for real work and serves it. The first time, it asks for the name and "
        "password of the first lead. Running it again loses nothing."
    )

    def add_arguments(self, parser):
        serving.add_arguments(parser)
        parser.add_argument("--name", help="login of the first lead: marta")
        parser.add_argument("--full-name", default="", help="as it stands in the record")
        parser.add_argument(
            "--password-file",
            type=Path,
            help="file whose first line is the password; else BEDPLATE_FIRST_PASSWORD, else asked",
        )

    def handle(self, *args, port, no_serve, name, full_name, password_file, **options):
        serving.set_up(self._say)
        if not User.objects.exclude(groups__name=DEMO_GROUP).exists():
            self._first_lead(name, full_name, password_file)
        elif name:
            self._say("There are people here already, so no first lead was made.")
        if not no_serve:
            serving.serve(port, self._say, self._tell)

    def _tell(self, address: str) -> None:
        self._say(f"\nBedplate is at {address}\nStop with Ctrl+C.")

    def _say(self, words: str) -> None:
        self.stdout.write(words)
        self.stdout.flush()

    def _first_lead(self, name, full_name, password_file) -> None:
        if not name and not sys.stdin.isatty():
            raise CommandError(
                "Nobody is here yet, and there is no terminal to ask for the first lead. Give "
                "--name and --password-file."
            )
        if not name:
            self._say("Nobody is here yet. Who is the first lead?")
            name = input("Login, one word: ").strip()
            full_name = full_name or input("Full name, as it stands in the record: ").strip()
        person = User(username=name.strip(), first_name=full_name.strip())
        try:
            person.clean_fields(exclude=["password"])
            person.validate_unique()
        except ValidationError as error:
            raise CommandError(" ".join(error.messages)) from None
        person.set_password(self._password(person, password_file))
        person.save()
        self._say(f"{person.get_username()} can log in now and start an engine.")

    def _password(self, person, file: Path | None) -> str:
        given = os.environ.get("BEDPLATE_FIRST_PASSWORD", "")
        if file:
            try:
                given = (file.read_text(encoding="utf-8").splitlines() or [""])[0]
            except (OSError, UnicodeDecodeError):
                raise CommandError(f"The password cannot be read from {file}.") from None
        if given or file or not sys.stdin.isatty():
            if trouble := self._trouble(given, person):
                raise CommandError(trouble)
            return given
        while True:
            given = getpass.getpass("Password: ")
            if trouble := self._trouble(given, person):
                self._say(trouble)
            elif getpass.getpass("The same again: ") == given:
                return given
            else:
                self._say("The two were not the same. Again:")

    @staticmethod
    def _trouble(password: str, person) -> str:
        try:
            password_validation.validate_password(password, person)
        except ValidationError as error:
            return " ".join(error.messages)
        return ""
