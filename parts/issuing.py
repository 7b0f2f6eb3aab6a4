"""Issues a funders' report: draws it up, freezes it, and puts it on paper.

Between documents and screens, because the screens and the commands both do it.
"""

from datetime import date

from django.utils import timezone

from .actions import reports as acts
from .actions.record import name_of
from .documents import money as money_csv
from .documents import paper
from .documents import report as document
from .models import Engine, Report
from .models.column import unknown_viewer
from .reckoning import report as reckoning
from .reckoning.money import cost_tally


def draw_up(
    engine: Engine,
    first: date,
    last: date,
    *,
    by,
    title: str,
    number: int,
    words: str = "",
    next_words: str = "",
    photos=(),
    today: date | None = None,
) -> str:
    """Return the body of a report, as it would be frozen on `today`."""
    with unknown_viewer():
        told = reckoning.funders_report(
            Engine.objects.get(pk=engine.pk),
            first,
            last,
            title=title,
            number=number,
            drawn_up=name_of(by),
            words=words,
            next_words=next_words,
            photos=tuple(photos),
        )
        return document.body(told, today or timezone.localdate())


def freeze(
    engine: Engine,
    page: str,
    *,
    by,
    number: int,
    title: str,
    first_day: date,
    last_day: date,
    words: str = "",
    next_words: str = "",
) -> Report:
    """Freeze a body that was drawn up. Raises Refused when a picture in it may not go out."""
    return acts.freeze(
        engine,
        by=by,
        number=number,
        title=title,
        first_day=first_day,
        last_day=last_day,
        words=words,
        next_words=next_words,
        page=page,
        photos=document.pictures_of(page),
        pdf=None,
    )


def put_on_paper(row: Report) -> str:
    """Make the PDF of a frozen report and keep it, once.

    Returns:
        Nothing, or a sentence on why this machine cannot.
    """
    if row.pdf:
        return ""
    if trouble := paper.trouble():
        return trouble
    acts.keep_pdf(row, make_pdf(row)[2])
    row.refresh_from_db()
    return ""


def make_pdf(row: Report) -> tuple[str, str, bytes]:
    """Lay a frozen report on paper, with its cost tally inside as CSV: name, type, bytes."""
    files = {p.pk: p.shown_path(900) for p in row.photos.all()}
    tally = money_csv.tally_csv(cost_tally(row.engine, row.last_day), row.engine.name)
    return document.pdf(
        row.page,
        title=row.title,
        engine_name=row.engine.name,
        drawn_up=name_of(row.made_by),
        day=timezone.localdate(row.made_at),
        taken=f"{row.last_day:%-d %b %Y}",
        files=files,
        attached={tally[0]: tally[2]},
    )
