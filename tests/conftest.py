"""What all tests share."""

import fcntl
import os
import shutil
from collections import Counter
from pathlib import Path

import pytest
from django.test import override_settings

from parts.demo import story
from parts.drafting import paper
from parts.exchange import schema
from parts.record.models import Engine
from tests import commands, make

# Browser tests hold an event loop in the main thread; Django would take that for async code.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")

OUTSIDE = Counter()
COLLECTED = pytest.StashKey[Counter]()


@pytest.fixture(scope="session")
def installations(tmp_path_factory) -> Path:
    """Two data folders, made once for all workers by the commands themselves; copy, do not write.

    `empty` was set up and has nobody in it yet, `demo` holds the demonstration; `printed.txt` is
    what the command printed when it made it.
    """
    folder = tmp_path_factory.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        folder = folder.parent  # the one that all workers share
    folder /= "installations"
    folder.mkdir(exist_ok=True)
    printed = folder / "printed.txt"
    with (folder / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not printed.exists():
            assert "no terminal" in commands.refused(folder / "empty", "start", "--no-serve")
            # With its times, so that the styles need not be gathered again.
            shutil.copytree(folder / "empty", folder / "demo")
            told = commands.done(folder / "demo", "demo", "--no-serve")
            printed.write_text(told, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def _loaded(installations, django_db_setup, tmp_path_factory):
    """The record and files that a module finds: a copy of the demonstration its command made."""
    data = shutil.copytree(installations / "demo", tmp_path_factory.mktemp("demo") / "data")
    in_it = override_settings(DATA_DIR=data, MEDIA_ROOT=data / "media")
    with in_it, schema.pointed_at(data / "bedplate.sqlite3"):
        yield


@pytest.fixture
def demo(_loaded, db):
    """The first engine of the demonstration."""
    return Engine.objects.get(demo=True, name=story.about("harrow_gap")["name"])


@pytest.fixture
def second(_loaded, db):
    """The second engine of the demonstration."""
    return Engine.objects.get(demo=True, name=story.about("ketterau")["name"])


@pytest.fixture
def engine(db):
    return make.engine(name="Mill engine", tag_prefix="ME")


@pytest.fixture
def lead(engine, client):
    person = make.member(engine, "lead", "ada")
    client.force_login(person)
    return person


@pytest.fixture
def as_role(engine, client):
    def login(role):
        person = make.member(engine, role)
        client.force_login(person)
        return person

    return login


@pytest.fixture
def blank_paper(monkeypatch):
    """For tests that ask who may have a paper and not what is on it: none is laid out."""
    monkeypatch.setattr(paper, "write_pdf", lambda *given, **more: b"%PDF-1.7")


def pytest_collection_finish(session):
    """Count the checks against the world that were collected, module by module."""
    session.config.stash[COLLECTED] = Counter(
        item.path.stem.removeprefix("test_")
        for item in session.items
        for _ in item.iter_markers("outside")
    )


@pytest.hookimpl(hookwrapper=True)
def pytest_runtest_makereport(item, call):
    report = (yield).get_result()
    if report.when == "call" and report.passed:
        for mark in item.iter_markers("outside"):
            OUTSIDE[(item.path.stem.removeprefix("test_"), mark.args[0])] += 1


def pytest_terminal_summary(terminalreporter):
    """Print how many checks against the world each module has, and from which source."""
    if not OUTSIDE:
        return
    terminalreporter.section("checks against the world")
    for (module, source), count in sorted(OUTSIDE.items()):
        terminalreporter.write_line(f"{module:12} {count:4}  {source}")
    terminalreporter.write_line(f"{'all':12} {sum(OUTSIDE.values()):4}")
