"""What all tests share."""

import os
from collections import Counter

import pytest

# Browser tests hold an event loop in the main thread; Django would take that for async code.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")

OUTSIDE = Counter()
COLLECTED = pytest.StashKey[Counter]()


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
