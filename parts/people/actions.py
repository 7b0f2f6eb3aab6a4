"""The people of an engine, the hours they give, and links for people without a login."""

from django.contrib.auth import get_user_model, password_validation
from django.core.exceptions import ValidationError
from django.db import IntegrityError

from parts.record.actions import saving
from parts.record.actions.locking import writing
from parts.record.actions.saving import Refused
from parts.record.models import Engine, Membership

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
    try:
        with writing(engine.pk):
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
                    f"{saving.name_of(person)} is made up for the demonstration. Give the real "
                    "person a login of their own."
                )
            if Membership.objects.filter(engine=engine, user=person).exists():
                raise Refused(f"{saving.name_of(person)} belongs to this engine already.")
            return saving.add(Membership(engine=engine, user=person, role=role), by=by)
    except IntegrityError:
        # Two engines may let the same person in at once.
        raise Refused(f"Someone made the login {username} meanwhile. Try again.") from None


def change_role(member: Membership, role: str, *, seen: int, by) -> Membership:
    """Change what a person may do. An engine keeps one lead at least."""
    with writing(member.engine_id):
        if role != Role.LEAD:
            _another_lead(member)
        return saving.change(member, {"role": role}, seen=seen, by=by)


def remove_person(member: Membership, *, by, reason: str = "") -> None:
    """Let a person go. What they recorded stays, with their name."""
    with writing(member.engine_id):
        _another_lead(member)
        saving.remove(member, by=by, reason=reason)


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
            f"{saving.name_of(person)} also belongs to engines that you do not lead, so you "
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
