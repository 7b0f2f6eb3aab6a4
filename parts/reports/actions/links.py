"""Reading links: secret addresses that show one report."""

import hashlib
import secrets
from datetime import date

from django.db.models import F
from django.utils import timezone

from parts.record.actions import saving
from parts.record.actions.saving import Refused

from ..models import ReadingLink, Report


def add_link(
    report: Report, for_whom: str, lapses_on: date, *, by, today: date
) -> tuple[ReadingLink, str]:
    """Return a new reading link for an issued report and its secret, which is not stored."""
    if lapses_on <= today:
        raise Refused("A link must expire on a day to come.")
    if (lapses_on - today).days > 366:
        raise Refused("A link expires within a year. Choose a nearer day; you can make a new one.")
    secret = secrets.token_urlsafe(32)
    link = ReadingLink(
        engine_id=report.engine_id,
        report=report,
        for_whom=for_whom,
        secret_sha256=hash_of(secret),
        lapses_on=lapses_on,
    )
    return saving.add(link, by=by), secret


def hash_of(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()


def link_of(secret: str, today: date) -> ReadingLink | None:
    """Return the link that a secret opens today, unless it has expired or been withdrawn."""
    return (
        ReadingLink.objects.filter(
            secret_sha256=hash_of(secret),
            withdrawn_at__isnull=True,
            lapses_on__gte=today,
            report__removed_at__isnull=True,
            engine__removed_at__isnull=True,
        )
        .select_related("report", "engine")
        .first()
    )


def count_reading(link: ReadingLink) -> None:
    """Count a reading of a link. This is not a change of the record, so it has no history."""
    ReadingLink.objects.filter(pk=link.pk).update(
        times_read=F("times_read") + 1, last_read_at=timezone.now()
    )


def withdraw_link(link: ReadingLink, *, by) -> None:
    """Withdraw a link, so that it opens nothing any more."""
    if link.withdrawn_at is None:
        saving.change(link, {"withdrawn_at": timezone.now()}, seen=link.version, by=by)
