"""Runs the commands of manage.py. What stops one is told in a sentence, not in a traceback.

A traceback is left for faults of the program itself. `--traceback` shows one for all.
"""

import os
import shlex
import signal
import sys

SAYS = {
    "readonly": "It cannot be written: look at whose the file and its folder are.",
    "unable to open": "It cannot be opened: look at whose the file and its folder are.",
    "locked": "Another program holds it. Stop that, then try again.",
    "full": "The disk is full. Make room, then try again.",
    "no such table": "It has not been set up yet: start Bedplate once with {start}.",
}
DAMAGED = (
    "It is damaged, or it is no record of Bedplate. Move it away, and bring back a backup with "
    "{restore}."
)
# What PostgreSQL answers, in its own words.
SERVER_SAYS = {
    "No space left": "The disk is full. Make room, then try again.",
    "permission denied": "That role may not: the database must belong to it.",
    "relation": "It has not been set up yet: start Bedplate once with {start}.",
}
SERVER = "Look at BEDPLATE_DATABASE, and whether PostgreSQL runs."


def pasted(words: str) -> str:
    """A command of manage.py as it can be pasted into the terminal that this one was typed in."""
    python, here = sys.executable, os.getcwd() + os.sep
    return f"{shlex.quote(python.removeprefix(here))} {shlex.quote(sys.argv[0])} {words}"


def run(argv: list[str]) -> None:
    """Run a command and leave with its exit code."""
    if hasattr(sys.stdout, "reconfigure"):
        # A terminal of few signs shows a question mark where it has no dash.
        sys.stdout.reconfigure(errors="replace")
    try:
        _run(argv)
    except (KeyboardInterrupt, EOFError):
        # Ctrl+C, or the end of what is typed at a question. Impatience changes nothing now.
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        print("\nStopped.", file=sys.stderr)  # noqa: T201
        sys.exit(130)


def _run(argv: list[str]) -> None:
    from django.core.exceptions import ImproperlyConfigured
    from django.core.management import execute_from_command_line
    from django.db import DatabaseError, IntegrityError, ProgrammingError

    try:
        execute_from_command_line(argv)
    except Exception as fault:
        fresh = "relation" in str(fault) and "does not exist" in str(fault)
        ours = isinstance(fault, (IntegrityError, ProgrammingError)) and not fresh
        if "--traceback" in argv or ours:
            raise
        if isinstance(fault, DatabaseError):
            sys.exit(_of_the_record(str(fault)))
        if isinstance(fault, BrokenPipeError):
            # Whoever read what we print has gone, as `head` does.
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            sys.exit(1)
        if isinstance(fault, OSError):
            where = f"{fault.filename}: " if fault.filename else ""
            sys.exit(f"This machine refused: {where}{fault.strerror or fault}.")
        if isinstance(fault, ImproperlyConfigured):
            sys.exit(f"A setting is wrong. {fault}")
        raise


def _of_the_record(fault: str) -> str:
    from django.db import connection

    at_server = connection.vendor == "postgresql"
    says, else_ = (SERVER_SAYS, SERVER) if at_server else (SAYS, DAMAGED)
    advice = next((words for sign, words in says.items() if sign in fault), else_)
    advice = advice.format(start=pasted("start"), restore=pasted("restore FILE"))
    where = "in PostgreSQL" if at_server else f"at {connection.settings_dict['NAME']}"
    return f"The record {where}: {' '.join(fault.split()).rstrip('.')}. {advice}"
