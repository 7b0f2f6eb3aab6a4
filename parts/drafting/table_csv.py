"""Tables as CSV that spreadsheets open correctly and without running formulas."""

import csv
import io
import re
from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal

TYPE = "text/csv; charset=utf-8"
# Spreadsheets run a cell that begins with one of these as a formula.
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")
_BOM = "\ufeff"


def cell(value: object) -> str:
    """Return a value as the text of a cell.

    Numbers have a decimal point, no thousands separators and no minus before 0; dates are
    year-month-day; text that a spreadsheet would run as a formula gets an apostrophe before it.

    >>> cell(Decimal("1250.50")), cell(date(2026, 3, 1)), cell(None), cell("=1+1"), cell(-3)
    ('1250.50', '2026-03-01', '', "'=1+1", '-3')
    >>> cell(-0.0), cell(-0.0002), cell(Decimal("-0.00")), cell(-2.5)
    ('0', '0', '0.00', '-2.5')
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        value = Decimal(repr(value)).quantize(Decimal("0.001")).normalize()
    if isinstance(value, Decimal):
        return format(value + 0, "f")  # -0 + 0 is 0
    if isinstance(value, int):
        return str(value)
    if isinstance(value, date):
        return value.isoformat()
    text = str(value)
    return f"'{text}" if text.startswith(_FORMULA_STARTS) else text


def table(head: Sequence[str], rows: Iterable[Sequence[object]]) -> bytes:
    """Return a table as CSV bytes: UTF-8 with a byte order mark, lines ended by CR LF."""
    buffer = io.StringIO(newline="")
    writer = csv.writer(buffer, lineterminator="\r\n")
    writer.writerow([cell(word) for word in head])
    writer.writerows([cell(value) for value in row] for row in rows)
    return (_BOM + buffer.getvalue()).encode()


def file_name(*words: object, suffix: str = "csv") -> str:
    """Return a file name made of words.

    >>> file_name("Harrow Gap sawmill engine", "parts to make", date(2026, 3, 1))
    'harrow-gap-sawmill-engine-parts-to-make-2026-03-01.csv'
    """
    text = "-".join(str(word) for word in words if word not in (None, ""))
    return f"{re.sub(r'[^a-z0-9]+', '-', text.lower()).strip('-') or 'table'}.{suffix}"
