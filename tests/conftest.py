"""What all tests share."""

import os
from collections import Counter

import pytest
from django.db import transaction

from parts.demo import clearing, load, people, reports, story
from parts.drafting import paper
from parts.record.models import Engine
from tests import make

# Browser tests hold an event loop in the main thread; Django would take that for async code.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")

OUTSIDE = Counter()
COLLECTED = pytest.StashKey[Counter]()


@pytest.fixture(scope="module")
def _loaded(django_db_setup, django_db_blocker):
    """The demonstration, loaded once for all tests of a module."""
    with django_db_blocker.unblock(), transaction.atomic():
        assert load.load()
        reports.issue()
        yield
        transaction.set_rollback(True)
    clearing.remove_files(range(1, 20))
    people.forget_password()


@pytest.fixture
def demo(_loaded, db):
    """The first engine of the demonstration."""
    return Engine.objects.get(demo=True, name=story.about("harrow_gap")["name"])


@pytest.fixture
def second(_loaded, db):
    """The second engine of the demonstration."""
    return Engine.objects.get(demo=True, name=story.about("ketterau")["name"])


@pytest.fixture
def engine():
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
