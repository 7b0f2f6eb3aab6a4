"""Published tables, one CSV each. Every row carries `source` and `status`.

`status` is "seen" (the source was read) or "memory" (believed right, to be checked against the
source before anyone relies on it).
"""

import csv
from functools import cache
from importlib import resources


@cache
def read(name: str) -> tuple[dict[str, str], ...]:
    """Return the rows of table `name` ("threads" for threads.csv) as dicts of text."""
    text = (resources.files(__package__) / f"{name}.csv").read_text(encoding="utf-8")
    return tuple(csv.DictReader(text.splitlines()))
