"""The people of an engine, the hours they give, and links for people without a login."""

import hashlib
import secrets
from datetime import date

from django.contrib.auth import get_user_model, password_validation
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F
from django.utils import timezone

from ..models import Engine, Membership, ReadingLink, Report
from . import record
from .record import Refused

User = get_user_model()
Role = Membership.Role
# Their password is printed in a terminal, so it must open nothing but the demonstration.
DEMO_GROUP = "Demonstration"


def add_person(
    engine: Engine, username: str, role: str, *, by, full_name: str = "", password: str = ""
) -> Membership:
    """Let a person into an engine: someone with a login already, or a new one with a password.

    Raises Refused.
    """
    username = username.strip()
    with transaction.atomic():
        person = User.objects.filter(username__iexact=username).first()
        if person is None:
            if not password:
                raise Refused(
                    f"Nobody is called {username} here yet. Give a first password to make the "
                    "login, or correct the name."
                )
            person = User(username=username, first_name=full_name.strip())
            _check_password(password, person)
            person.set_password(password)
            person.save()
        elif not engine.demo and person.groups.filter(name=DEMO_GROUP).exists():
            raise Refused(
                f"{record.name_of(person)} is made up for the demonstration. Give the real person "
                "a login of their own."
            )
        if Membership.objects.filter(engine=engine, user=person).exists():
            raise Refused(f"{record.name_of(person)} belongs to this engine already.")
        return record.add(Membership(engine=engine, user=person, role=role), by=by)


def change_role(member: Membership, role: str, *, seen: int, by) -> Membership:
    """Change what a person may do. An engine keeps one lead at least."""
    with transaction.atomic():
        _lock(member.engine_id)
        if role != Role.LEAD:
            _another_lead(member)
        return record.change(member, {"role": role}, seen=seen, by=by)


def remove_person(member: Membership, *, by, reason: str = "") -> None:
    """Let a person go. What they recorded stays, with their name."""
    with transaction.atomic():
        _lock(member.engine_id)
        _another_lead(member)
        record.remove(member, by=by, reason=reason)


def _lock(engine_id: int) -> None:
    Engine.everything.select_for_update().get(pk=engine_id)


def _another_lead(member: Membership) -> None:
    if Membership.objects.get(pk=member.pk).role != Role.LEAD:
        return
    leads = Membership.objects.filter(engine_id=member.engine_id, role=Role.LEAD)
    if not leads.exclude(pk=member.pk).exists():
        raise Refused("This is the only lead. Make someone else a lead first.")


def set_password(member: Membership, password: str, *, by) -> None:
    """Set a new password for a person who lost theirs.

    Only for people who belong to no engine but those of the lead who does it: else one engine's
    lead could take over a login that opens another's.
    """
    person = member.user
    mine = Membership.objects.filter(user=by, role=Role.LEAD).values("engine")
    if person != by and (
        person.is_staff or Membership.objects.filter(user=person).exclude(engine__in=mine).exists()
    ):
        raise Refused(
            f"{record.name_of(person)} also belongs to engines that you do not lead, so you "
            "cannot set this password. Whoever runs this installation can."
        )
    _check_password(password, person)
    person.set_password(password)
    person.save(update_fields=["password"])


def _check_password(password: str, person) -> None:
    try:
        password_validation.validate_password(password, person)
    except ValidationError as error:
        raise Refused(" ".join(error.messages)) from None


def make_link(
    report: Report, for_whom: str, lapses_on: date, *, by, today: date
) -> tuple[ReadingLink, str]:
    """Make a secret address for one frozen report. The secret is told once and not kept."""
    if lapses_on <= today:
        raise Refused("A link must lapse on a day to come.")
    if (lapses_on - today).days > 366:
        raise Refused("A link lapses within a year. Choose a nearer day; you can make a new one.")
    secret = secrets.token_urlsafe(32)
    link = ReadingLink(
        engine_id=report.engine_id,
        report=report,
        for_whom=for_whom,
        secret_sha256=hash_of(secret),
        lapses_on=lapses_on,
    )
    return record.add(link, by=by), secret


def hash_of(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()


def link_of(secret: str, today: date) -> ReadingLink | None:
    """The link that a secret opens today, if it has not lapsed or been withdrawn."""
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


def note_reading(link: ReadingLink) -> None:
    """Count that a link was read. Not a change of the record, so not in its history."""
    ReadingLink.objects.filter(pk=link.pk).update(
        times_read=F("times_read") + 1, last_read_at=timezone.now()
    )


def withdraw_link(link: ReadingLink, *, by) -> None:
    """Withdraw a link: from now on it opens nothing."""
    if link.withdrawn_at is None:
        record.change(link, {"withdrawn_at": timezone.now()}, seen=link.version, by=by)
