"""The funders' report on paper and as a page: one body, laid out twice.

The body is frozen as it was sent. Its pictures have relative addresses ("photo/12/900.jpg"), so
that the same copy serves a member's page and a reading link; on paper they become files.
"""

import re
from collections.abc import Mapping
from datetime import date, datetime, time

from django.template.loader import render_to_string
from django.utils import timezone

from parts.drafting import paper
from parts.drafting.pen import Drawn
from parts.drafting.scales import nice_top
from parts.drawings.sheets.arrangement import picture

from .curves import progress_curve

FOUND_NAMED = 24  # finds told by name; the rest are counted
PICTURE = re.compile(r'src="photo/(\d+)/(\d+)\.jpg"')


def body(report, today: date) -> str:
    """Return the body of a `reckoning.report.FundersReport` as HTML."""
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


def _drawings(report) -> list[tuple[str, Drawn]]:
    """The engine on the eve of the first day and on the last, each with a word over it."""
    eve, last = report.stood_before, report.stood
    told = [
        (f"At the start, {report.first:%-d %B %Y}", eve),
        (f"At the end, {report.last:%-d %B %Y}", last),
    ]
    drawn = [(word, picture(one, title=f"The engine as it stood. {word}")) for word, one in told]
    return [(word, svg) for word, svg in drawn if svg]


def pictures_of(page: str) -> set[int]:
    """The ids of the photographs that a frozen body shows."""
    return {int(pk) for pk, _ in PICTURE.findall(page)}


def pdf(
    page: str,
    *,
    title: str,
    engine_name: str,
    drawn_up: str,
    day: date,
    taken: str,
    files: Mapping[int, str],
    attached: Mapping[str, bytes],
    paper_size: str = "A4",
) -> tuple[str, str, bytes]:
    """Lay a frozen body on paper; return file name, type and bytes.

    Args:
        page: The frozen body.
        title, engine_name, drawn_up: For the title block.
        day: The day it was drawn up.
        taken: Of which day the figures are.
        files: The stored name of the 900 pixel picture of each photograph.
        attached: Files to put inside, such as the cost tally.
        paper_size: "A4" or "letter".
    """

    def on_paper(match):
        return f'src="media:{files[int(match[1])]}"'

    changed = timezone.make_aware(datetime.combine(day, time(12)))
    content = paper.write_pdf(
        "reports/paper.html",
        {
            "page": PICTURE.sub(on_paper, page),
            "title": title,
            "engine_name": engine_name,
            "drawn_up": drawn_up,
            "date": f"{day:%-d %b %Y}",
            "taken": taken,
            "paper": paper_size,
        },
        attached=[(name, data, changed) for name, data in attached.items()],
    )
    name = re.sub(r"[^a-z0-9]+", "-", f"{engine_name} {title}".lower()).strip("-")
    return f"{name}.pdf", "application/pdf", content
