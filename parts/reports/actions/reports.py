"""Issue a funders' report: store the copy that is sent."""

from dataclasses import dataclass

from parts.photos.models import Photo
from parts.record.actions import files, saving
from parts.record.actions.locking import writing
from parts.record.actions.saving import Refused, name_of
from parts.record.models import Engine

from ..models import Report, pdf_path
from ..queries.report import Details


@dataclass(frozen=True)
class Draft:
    """A report before it is issued: body as HTML, tables by file name, ids of its photographs."""

    page: str
    tables: dict[str, str]
    photos: frozenset[int] = frozenset()


def freeze(engine: Engine, details: Details, draft: Draft, *, by) -> Report:
    """Store a report as it is sent. Raises Refused when a picture may not go out."""
    pictures = Photo.objects.filter(engine=engine, pk__in=draft.photos)
    report = Report(
        engine=engine,
        **vars(details),
        page=draft.page,
        engine_name=engine.name,
        drawn_up=name_of(by),
        tables=draft.tables,
    )
    with writing(engine.pk):
        if Report.everything.filter(engine=engine, number=details.number).exists():
            raise Refused(f"Report {details.number} was frozen meanwhile. Look at yours again.")
        not_passed = pictures.filter(may_go_out=False).first()
        if not_passed:
            raise Refused(f"The photo “{not_passed}” has not been passed for funders.")
        saving.add(report, by=by)
        report.photos.set(pictures)
    return report


def store_pdf(report: Report, content: bytes) -> None:
    """Store the PDF of an issued report, unless it has one already."""
    with files.written_first() as write:
        name = write(pdf_path(report), content)
        with writing(report.engine_id):
            Report.everything.filter(pk=report.pk, pdf="").update(pdf=name)
    report.refresh_from_db()
