"""Setting up an installation and serving it: what `demo` and `start` have in common."""

import hashlib
import socket
from contextlib import closing, suppress
from pathlib import Path

import django
from django.conf import settings
from django.contrib.staticfiles import finders
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import connection
from django.db.migrations.recorder import MigrationRecorder

from parts.drafting import paper
from parts.exchange import schema
from parts.exchange.backup import in_use
from parts.record.actions import files
from parts.record.actions.saving import Refused
from restoration.run import pasted

PORT, TRIES = 8000, 20
HOST = "127.0.0.1"
THREADS = 8
# What a page of pictures may weigh beyond the largest single file.
BEYOND = 20 * 1024 * 1024


def add_arguments(parser) -> None:
    parser.add_argument("--no-serve", action="store_true", help="do all but serve")
    parser.add_argument("--port", type=int, default=PORT, help=f"where to serve [{PORT}]")


def set_up(say) -> None:
    """Bring the record up to date, gather styles and fonts, and tell what this machine lacks."""
    with suppress(OSError):
        # Password hashes and pictures with their places: not for other users of the machine.
        Path(settings.DATA_DIR).chmod(0o700)
    check_record()
    call_command("migrate", verbosity=0, interactive=False)
    _gather()
    if trouble := paper.trouble():
        say(trouble)


def check_record() -> None:
    """Raise CommandError when the record is damaged, of an older layout, or of a newer version.

    Raises DatabaseError when it cannot be read or written at all.
    """
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA quick_check(1)")
            found = cursor.fetchone()[0]
            # Writes what is there anyway: the only sure way to learn whether one may.
            cursor.execute("PRAGMA user_version = 0")
        if found != "ok":
            raise CommandError(
                f"The record at {connection.settings_dict['NAME']} is damaged ({found}). Move it "
                f"away, and bring back a backup with {pasted('restore FILE')}."
            )
    try:
        schema.check_version(
            set(MigrationRecorder(connection).applied_migrations()),
            connection.introspection.table_names(),
        )
    except schema.Older as refusal:
        raise CommandError(
            f"{refusal} Nothing was changed. Convert it with {pasted('convert')}."
        ) from None
    except Refused as refusal:
        raise CommandError(str(refusal)) from None


def _gather() -> None:
    """Gather styles, fonts and scripts where they are served from, if any changed since."""
    sources = sorted(
        (name, Path(storage.path(name)).stat().st_mtime_ns)
        for finder in finders.get_finders()
        for name, storage in finder.list([])
    )
    told = f"{django.__version__} {settings.DEBUG} {sources}".encode()
    root, now = Path(settings.STATIC_ROOT), hashlib.sha256(told).hexdigest()
    # Beside the folder: all that lies in it is served to anyone.
    stamp = root.with_name(f".{root.name}-gathered")
    if not (root.exists() and stamp.exists() and stamp.read_text(encoding="utf-8") == now):
        call_command("collectstatic", verbosity=0, interactive=False)
        (root / ".gathered").unlink(missing_ok=True)  # where it was once kept
        stamp.write_text(now, encoding="utf-8")


def _listen(port: int) -> socket.socket | None:
    """A socket that holds a port, or None when something else does."""
    held = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    held.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        held.bind((HOST, port))
        held.listen(128)
    except OSError:
        held.close()
        return None
    return held


def open_port(port: int, say) -> socket.socket:
    """Hold the port, or the next that is free. Raises CommandError when none of 20 is."""
    if not 1 <= port <= 65535:
        raise CommandError(f"There is no port {port}. Ports run from 1 to 65535: --port 8000.")
    for tried in range(port, min(port + TRIES, 65536)):
        if held := _listen(tried):
            if tried != port:
                say(f"Port {port} is taken by something else. Serving at port {tried} instead.")
            return held
    raise CommandError(f"Ports {port} to {tried} are all taken. Choose another with --port.")


def serve(port: int, say, tell) -> None:
    """Serve until stopped; `tell` is called with the address once the port is held.

    Raises CommandError when no port is free, or these data are being served already.
    """
    import waitress

    from restoration.wsgi import application

    options = {}
    if settings.PUBLIC:
        # The web server in front speaks https; it tells so in this header.
        options = {
            "trusted_proxy": HOST,
            "trusted_proxy_count": 1,
            "trusted_proxy_headers": "x-forwarded-for x-forwarded-proto",
        }
    try:
        with in_use(Path(settings.DATA_DIR)), closing(open_port(port, say)) as held:
            files.sweep()
            tell(f"http://{HOST}:{held.getsockname()[1]}/")
            waitress.serve(
                application,
                sockets=[held],
                threads=THREADS,
                max_request_body_size=settings.UPLOAD_LIMIT_BYTES + BEYOND,
                ident=None,
                _quiet=True,
                **options,
            )
    except Refused as refusal:
        raise CommandError(str(refusal)) from None
