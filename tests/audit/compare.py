"""Goes through pages and compares."""

import csv
import io
import math
import re
from decimal import Decimal

from django.urls import reverse

from tests.audit.page import STATES, Page, number
from tests.audit.rows import LB, Raw


class Audit:
    """Goes through the pages of an engine and notes each number that is not the sum of its rows."""

    def __init__(self, client, engine, every=1):
        self.client, self.engine, self.every = client, engine, every
        self.raw = Raw(engine)
        self.compared, self.wrong, self.idle = 0, [], set()

    def run(self, checks):
        """Go through the checks; return what is wrong, in words."""
        for check in checks:
            before = self.compared
            try:
                check(self)
            except LookupError as error:
                self.wrong.append(f"{check.__name__}: {error}")
            if self.compared == before:
                self.idle.add(check.__name__)
        return self.wrong

    def get(self, name, *args, **query):
        address = reverse(f"parts:{name}", args=[self.engine.pk, *args])
        response = self.client.get(address, query)
        if response.status_code != 200:
            raise LookupError(f"{address} answered {response.status_code}")
        return Page(
            response.request["PATH_INFO"] + response.request["QUERY_STRING"],
            response.content.decode(),
        )

    def table_of(self, name, *args):
        """A CSV as dicts."""
        content = self.client.get(reverse(f"parts:{name}", args=[self.engine.pk, *args])).content
        rows = list(csv.DictReader(io.StringIO(content.decode("utf-8-sig"))))
        for row in rows:
            self.same(name, "cells that are -0", [c for c in row.values() if c == "-0"], [])
        return rows

    def pages_of(self, name, **query):
        """Every page of a long list."""
        page = self.get(name, **query)
        yield page
        more = re.search(r"Page 1 of (\d+)", page.text)
        for n in range(2, int(more[1]) + 1 if more else 2):
            yield self.get(name, **query, page=n)

    def some(self, rows, most=1000):
        """Every row, or in a short run some of them, spread over all: one in `most` at least."""
        return [row for i, row in enumerate(rows) if i % min(self.every, most) == 0]

    def same(self, where, what, shown, expected):
        self.compared += 1
        if shown != expected:
            address = getattr(where, "address", where)
            self.wrong.append(f"{address}: {what}: shows {shown}, the rows come to {expected}")

    def near(self, where, what, text, kg):
        """A mass as shown, to three figures, in the unit of the engine."""
        shown = number(text)
        true = kg / LB if self.engine.mass_unit == "lb" else kg
        step = Decimal(10) ** (math.floor(math.log10(abs(true))) - 2) if true else Decimal(1)
        self.compared += 1
        if shown is None or abs(shown - true) > step * Decimal("0.5001"):
            address = getattr(where, "address", where)
            self.wrong.append(f"{address}: {what}: shows {text!r}, the rows come to {true:.4f}")

    def counts(self, page, raw):
        self.same(
            page,
            "pieces by state",
            {k: n for k, n in page.state_key().items() if n},
            {k: n for k, n in [*((s, raw[s]) for s in STATES), ("", raw["need"])] if n},
        )
