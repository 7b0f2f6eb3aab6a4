"""Tests that need PostgreSQL: skipped, with a sentence, where the record is elsewhere."""

import pytest
from django.db import connection

MARKS = (
    pytest.mark.long,
    pytest.mark.postgresql,
    pytest.mark.skipif(
        connection.vendor != "postgresql",
        reason="no PostgreSQL is named: set BEDPLATE_DATABASE=postgresql://…",
    ),
)


def only_on_postgresql(test):
    """Mark a test that shows nothing on SQLite. It runs in the check "PostgreSQL"."""
    for mark in MARKS:
        test = mark(test)
    return test
