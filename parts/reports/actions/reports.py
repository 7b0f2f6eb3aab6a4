"""Freezing a funders' report: the copy that is sent, kept as it was."""

from collections.abc import Iterable
from datetime import date

from django.db import transaction
from django.db.models import Max

from parts.photos.models import Photo
from parts.record.actions import files, saving
from parts.record.actions.saving import Refused, name_of
from parts.record.models import Engine

from ..models import Report, pdf_path


def next_number(engine: Engine) -> int:
    most = Report.everything.filter(engine=engine).aggregate(n=Max("number"))["n"]
    return (most or 0) + 1


def freeze(
    engine: Engine,
    *,
    by,
    number: int,
    title: str,
    first_day: date,
    last_day: date,
    words: str,
    next_words: str,
    page: str,
    photos: Iterable[int],
    tables: dict[str, str],
) -> Report:
    """Keep a report as it is sent. Raises Refused when a picture may not go out.

    Args:
        page: The body, as HTML.
        photos: The ids of the photographs in it.
        tables: The tables inside its PDF, by file name.
    """
    shown = Photo.objects.filter(engine=engine, pk__in=photos)
    held_back = shown.filter(may_go_out=False).first()
    if held_back:
        raise Refused(f"The photo “{held_back}” has not been passed for funders.")
    report = Report(
        engine=engine,
        number=number,
        title=title,
        first_day=first_day,
        last_day=last_day,
        words=words,
        next_words=next_words,
        page=page,
        engine_name=engine.name,
        drawn_up=name_of(by),
        tables=tables,
    )
    with transaction.atomic():
        saving.add(report, by=by)
        report.photos.set(shown)
    return report


def keep_pdf(report: Report, content: bytes) -> None:
    """Keep the PDF of a frozen report beside it, once: what is kept already stays."""
    with files.written_first() as write:
        name = write(pdf_path(report), content)
        with transaction.atomic():
            Report.everything.filter(pk=report.pk, pdf="").update(pdf=name)
    report.refresh_from_db()
