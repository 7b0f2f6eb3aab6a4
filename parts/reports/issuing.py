"""Issues a funders' report: draws it up, freezes it, and puts it on paper.

Between sheets and screens, because the screens and the commands both do it.
"""

from collections.abc import Iterable
from datetime import date

from django.utils import timezone

from parts.drafting import paper
from parts.money import sheets as money_csv
from parts.photos.models import Photo
from parts.record.actions.saving import Refused
from parts.record.models import Engine
from parts.record.models.column import unknown_viewer

from .actions import reports
from .actions.reports import Draft
from .models import Report
from .queries.report import Details, funders_report
from .sheets import report


def draw_up(
    engine: Engine, details: Details, photos: Iterable[Photo] = (), today: date | None = None
) -> Draft:
    """Return a report, as it would be frozen on `today`: body and tables from one reading."""
    with unknown_viewer():
        told = funders_report(Engine.objects.get(pk=engine.pk), details, tuple(photos))
        page = report.body(told, today or timezone.localdate())
        name, _, table = money_csv.tally_csv(told.tally, engine.name)
    return Draft(page, {name: table.decode()}, report.pictures_of(page))


def issue(engine: Engine, details: Details, draft: Draft, *, by) -> Report:
    """Freeze a report, and put it on paper where this machine can. Raises Refused."""
    row = reports.freeze(engine, details, draft, by=by)
    put_on_paper(row)
    return row


def put_on_paper(row: Report) -> str:
    """Make the PDF of a frozen report, from nothing but what was frozen with it, and keep it, once.

    Returns:
        Nothing, or a sentence on why this machine cannot.
    """
    if row.pdf:
        return ""
    if trouble := paper.trouble():
        return trouble
    files = {photo.pk: photo.shown_path(900) for photo in row.pictures}
    try:
        reports.store_pdf(row, report.pdf(row, files))
    except Refused as refusal:
        return str(refusal)
    return ""
