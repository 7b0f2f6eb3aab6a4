"""Reads the tables of check values beside the tests.

A row is a question with its answer. `outside` is "yes" when the answer comes from outside this
project (printed in a source, or given by an independent library or method), and then it counts as
a check against the world; "no" when it is our own sum, kept so that it cannot drift.
"""

import csv
import json
from pathlib import Path

import pytest

VALUES = Path(__file__).with_name("values")


def rows(module):
    """Return (function, inputs, expected, rel_tol) of each row of values/<module>.csv."""
    with (VALUES / f"{module}.csv").open(encoding="utf-8") as file:
        table = list(csv.DictReader(file))
    params = []
    for number, row in enumerate(table, start=2):
        marks = [pytest.mark.outside(row["source"])] if row["outside"] == "yes" else []
        params.append(
            pytest.param(
                row["function"],
                json.loads(row["inputs"]),
                float(row["expected"]),
                float(row["rel_tol"]),
                marks=marks,
                id=f"line {number} {row['function']}",
            )
        )
    return params
