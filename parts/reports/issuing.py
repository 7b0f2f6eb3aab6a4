"""Issues a funders' report: draws it up, freezes it, and puts it on paper.

Between documents and screens, because the screens and the commands both do it.
"""

from dataclasses import dataclass
from datetime import date

from django.utils import timezone

from parts.drafting import paper
from parts.money import sheets as money_csv
from parts.record.actions.saving import Refused, name_of
from parts.record.models import Engine
from parts.record.models.column import unknown_viewer

from .actions import reports
from .models import Report
from .queries.report import funders_report
from .sheets import report


@dataclass(frozen=True)
class Draft:
    """A report drawn up: its body as HTML, and its tables as text, by file name."""

    page: str
    tables: dict[str, str]


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
) -> Draft:
    """Return a report, as it would be frozen on `today`: body and tables from one reading."""
    with unknown_viewer():
        told = funders_report(
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
        name, _, table = money_csv.tally_csv(told.tally, engine.name)
        return Draft(report.body(told, today or timezone.localdate()), {name: table.decode()})


def freeze(
    engine: Engine,
    draft: Draft,
    *,
    by,
    number: int,
    title: str,
    first_day: date,
    last_day: date,
    words: str = "",
    next_words: str = "",
) -> Report:
    """Freeze a report that was drawn up. Raises Refused when a picture in it may not go out."""
    return reports.freeze(
        engine,
        by=by,
        number=number,
        title=title,
        first_day=first_day,
        last_day=last_day,
        words=words,
        next_words=next_words,
        page=draft.page,
        tables=draft.tables,
        photos=report.pictures_of(draft.page),
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
    try:
        reports.keep_pdf(row, make_pdf(row))
    except Refused as refusal:
        return str(refusal)
    return ""


def make_pdf(row: Report) -> bytes:
    """Lay a frozen report on paper, from nothing but what was frozen with it."""
    return report.pdf(
        row.page,
        title=row.title,
        engine_name=row.engine_name,
        drawn_up=row.drawn_up,
        day=timezone.localdate(row.made_at),
        taken=f"{row.last_day:%-d %b %Y}",
        files={p.pk: p.shown_path(900) for p in row.pictures},
        attached={name: table.encode() for name, table in row.tables.items()},
    )[2]
