"""The cost tally and the list of costs as CSV."""

from collections.abc import Iterable
from datetime import date

from parts.drafting.table_csv import TYPE, file_name, table

from .queries.costs import NOTHING, CostLine, Sums
from .queries.tally import Tally

TALLY_HEAD = (
    "by",
    "of",
    "costs",
    "spent",
    "ordered not paid",
    "to come low",
    "to come likely",
    "to come high",
    "total low",
    "total likely",
    "total high",
    "currency",
)
ITEMS_HEAD = (
    "heading",
    "what",
    "supplier",
    "component",
    "item",
    "part",
    "basis",
    "spent",
    "ordered not paid",
    "to come low",
    "to come likely",
    "to come high",
    "total likely",
    "nothing more to pay",
    "currency",
)


def tally_csv(tally: Tally, engine_name: str) -> tuple[str, str, bytes]:
    """Return (file name, type, bytes) of the tally.

    The rows of each of heading, component and basis add up to the row of all; the rows of the
    months add up to what was spent.
    """
    rows = [_sums("heading", row.word, row.sums, tally.currency) for row in tally.by_heading]
    rows += [_sums("component", row.word, row.sums, tally.currency) for row in tally.by_component]
    for row in tally.by_basis:
        a = row.amount
        paid = row.key == "paid"
        rows.append(
            (
                "basis",
                row.word,
                None,
                a.likely if paid else NOTHING,
                a.likely if row.key == "ordered" else NOTHING,
                *((NOTHING,) * 3 if paid else (a.low, a.likely, a.high)),
                a.low,
                a.likely,
                a.high,
                tally.currency,
            )
        )
    for month in tally.by_month:
        rows.append(
            ("month", f"{month.month:%Y-%m}", None, month.spent, *[None] * 7, tally.currency)
        )
    rows.append(_sums("all", "All costs", tally.sums, tally.currency))
    return file_name(engine_name, "cost tally", tally.day), TYPE, table(TALLY_HEAD, rows)


def _sums(by: str, word: str, sums: Sums, currency: str) -> tuple:
    to_come, total = sums.to_come, sums.total
    return (
        by,
        word,
        sums.items,
        sums.spent,
        sums.committed.likely,
        to_come.low,
        to_come.likely,
        to_come.high,
        total.low,
        total.likely,
        total.high,
        currency,
    )


def costs_csv(
    lines: Iterable[CostLine], engine_name: str, currency: str, day: date | None = None
) -> tuple[str, str, bytes]:
    """Return (file name, type, bytes) of costs, a row each."""
    rows = []
    for line in lines:
        sums = line.sums
        to_come = sums.to_come
        rows.append(
            (
                line.heading_word,
                line.what,
                line.supplier,
                line.component,
                line.item,
                line.part,
                line.basis_word,
                line.spent,
                sums.committed.likely,
                to_come.low,
                to_come.likely,
                to_come.high,
                sums.total.likely,
                line.settled,
                currency,
            )
        )
    return file_name(engine_name, "costs", day), TYPE, table(ITEMS_HEAD, rows)
