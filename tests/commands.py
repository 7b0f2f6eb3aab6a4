"""Runs the commands as people run them, in a process of their own, on a folder of their own."""

import os
import re
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
# Long, for a machine that does much else.
SOON = 400


def environment(data: Path, **more: str) -> dict[str, str]:
    """Nothing of the machine but where programs are; a hash of passwords that is quick enough."""
    return {"PATH": os.environ["PATH"], "HOME": str(data), "BEDPLATE_DATA": str(data)} | more


def run(data: Path, *words: str, cwd: Path | None = None, before=None, **more: str):
    return subprocess.run(
        [sys.executable, str(ROOT / "manage.py"), *words],
        env=environment(data, **more),
        cwd=cwd or ROOT,
        capture_output=True,
        text=True,
        timeout=SOON,
        stdin=subprocess.DEVNULL,
        preexec_fn=before,
    )


def done(*args, **kwargs) -> str:
    result = run(*args, **kwargs)
    assert result.returncode == 0, result.stderr
    return result.stdout


def refused(*args, **kwargs) -> str:
    result = run(*args, **kwargs)
    assert result.returncode != 0
    assert "Traceback" not in result.stderr
    assert re.search(r"\.\n\Z", result.stderr), "It ends with a sentence."
    return result.stderr


def count(data: Path, table: str, where: str = "1") -> int:
    with closing(sqlite3.connect(data / "bedplate.sqlite3")) as db:
        return db.execute(f"SELECT count(*) FROM {table} WHERE {where}").fetchone()[0]


def record(data: Path) -> dict[str, int]:
    with closing(sqlite3.connect(data / "bedplate.sqlite3")) as db:
        names = [n for (n,) in db.execute("SELECT name FROM sqlite_master WHERE type='table'")]
    return {name: count(data, name) for name in names if name.startswith(("parts_", "auth_"))}


def media(data: Path) -> dict[str, bytes]:
    root = data / "media"
    return {p.relative_to(root).as_posix(): p.read_bytes() for p in root.rglob("*") if p.is_file()}
