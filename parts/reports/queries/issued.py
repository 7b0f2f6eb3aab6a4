"""The reports of an engine that were issued."""

from django.db.models import Max

from parts.record.models import Engine

from ..models import Report
from .report import Details


def next_number(engine: Engine) -> int:
    """The number after the highest that a report of this engine had."""
    most = Report.everything.filter(engine=engine).aggregate(n=Max("number"))["n"]
    return (most or 0) + 1


def issued_before(engine: Engine, details: Details, *, by) -> Report | None:
    """The report that the same form, sent before, became; None where it is new."""
    return Report.objects.filter(engine=engine, made_by=by, **vars(details)).first()
