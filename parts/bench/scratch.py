"""A database, a folder of styles and a host name for one run, thrown away afterwards."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from django.core.management import call_command
from django.test.utils import override_settings

from parts.exchange.schema import pointed_at


@contextmanager
def scratch_database() -> Iterator[Path]:
    """Point the connection at a new, empty SQLite file for a while, whatever holds the record."""
    with (
        TemporaryDirectory(prefix="bedplate-bench-") as folder,
        pointed_at(Path(folder) / "bench.sqlite3"),
        _served_as_usual(Path(folder)),
    ):
        call_command("migrate", verbosity=0)
        yield Path(folder)


@contextmanager
def _served_as_usual(folder: Path) -> Iterator[None]:
    """Collected styles, as a server has them, and no debugging."""
    with override_settings(
        STATIC_ROOT=folder / "static", MEDIA_ROOT=folder / "media", ALLOWED_HOSTS=["*"], DEBUG=False
    ):
        call_command("collectstatic", verbosity=0, interactive=False)
        yield
