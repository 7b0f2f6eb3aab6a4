"""Freezing a funders' report: the copy that is sent, kept as it was."""

from collections.abc import Iterable
from datetime import date

from django.core.files.base import ContentFile
from django.db import transaction
from django.db.models import Max

from ..models import Engine, Photo, Report
from . import record
from .record import Refused


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
    pdf: bytes | None,
) -> Report:
    """Keep a report as it is sent. Raises Refused when a picture may not go out."""
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
    )
    with transaction.atomic():
        record.add(report, by=by)
        report.photos.set(shown)
    if pdf:
        keep_pdf(report, pdf)
    return report


def keep_pdf(report: Report, content: bytes) -> None:
    """Keep the PDF of a frozen report beside it, once."""
    if not report.pdf:
        report.pdf.save(f"{report.engine_id}-{report.pk}.pdf", ContentFile(content), save=False)
        Report.everything.filter(pk=report.pk).update(pdf=report.pdf.name)
