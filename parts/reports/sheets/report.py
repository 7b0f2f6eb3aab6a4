"""The funders' report as a page and on paper: one body, laid out twice.

The body is stored as it was sent. Its pictures have relative addresses ("photo/12/900.jpg"), so
that the same copy serves the page of a member and a reading link; on paper they become files.
"""

import re
from collections.abc import Mapping
from datetime import date, datetime, time

from django.template.loader import render_to_string
from django.utils import timezone

from parts.drafting import paper
from parts.drafting.pen import Markup
from parts.drafting.scales import nice_top
from parts.drawings.sheets.arrangement import picture

from .curves import progress_curve

FOUND_NAMED = 24  # finds listed by name; the rest are counted
PICTURE = re.compile(r'src="photo/(\d+)/(\d+)\.jpg"')


def body(report, today: date) -> str:
    """Return the body of a `queries.report.FundersReport` as HTML."""
    largest = max((row.sums.total.high for row in report.tally.by_heading), default=0)
    context = {
        "r": report,
        "engine": report.engine,
        "currency": report.engine.currency,
        "today": today,
        "curves": [(curve, progress_curve(curve)) for curve in report.progress.curves],
        "drawings": _drawings(report),
        "top": nice_top(float(largest), 4),
        "found_named": report.found[:FOUND_NAMED],
        "found_more": max(len(report.found) - FOUND_NAMED, 0),
    }
    return render_to_string("reports/_body.html", context)


def _drawings(report) -> list[tuple[str, Markup]]:
    """Return labelled drawings of the engine at the start and at the end of the period."""
    eve, last = report.stood_before, report.stood
    days = [
        (f"At the start, {report.details.first_day:%-d %B %Y}", eve),
        (f"At the end, {report.details.last_day:%-d %B %Y}", last),
    ]
    drawings = [(word, picture(one, title=f"The engine as it stood. {word}")) for word, one in days]
    return [(word, svg) for word, svg in drawings if svg]


def pictures_of(page: str) -> frozenset[int]:
    """Return the ids of the photographs in the body of a report."""
    return frozenset(int(pk) for pk, _ in PICTURE.findall(page))


def pdf(report, files: Mapping[int, str]) -> bytes:
    """Lay a frozen report on paper, with its tables inside.

    Args:
        report: The row, of which nothing is looked up.
        files: The stored name of the 900 pixel picture of each photograph.
    """

    def on_paper(match):
        return f'src="media:{files[int(match[1])]}"'

    day = timezone.localdate(report.made_at)
    changed = timezone.make_aware(datetime.combine(day, time(12)))
    context = {
        "page": PICTURE.sub(on_paper, report.page),
        "title": report.title,
        "engine_name": report.engine_name,
        "drawn_up": report.drawn_up,
        "date": f"{day:%-d %b %Y}",
        "taken": f"{report.last_day:%-d %b %Y}",
        "paper": "A4",
    }
    tables = [(name, table.encode(), changed) for name, table in report.tables.items()]
    return paper.write_pdf("reports/paper.html", context, attached=tables)
