"""The one gate: who may see and change what, engine by engine.

A stranger gets "not found", so that nobody learns which engines there are. A member who lacks
the right gets "not allowed".
"""

from dataclasses import dataclass
from enum import StrEnum

from django.core.exceptions import PermissionDenied
from django.db.models import QuerySet
from django.http import Http404

from .models import Engine, Membership, column
from .models.column import Kind

Role = Membership.Role


class Right(StrEnum):
    SEE = "see"
    SEE_PLACES = "see places"  # positions, where parts are kept, metal stores
    RECORD = "record"  # finds, photos, condition, measures, freeing, repairs, diary, hours
    IDENTIFY = "identify"  # identify, place, move a stage, book metal
    DECIDE = "decide"  # verdict “beyond repair”, decide a job, leave off, correct others' words
    MANAGE = "manage"  # costs, funds, reports, links, people, the engine's own data


MAY = {
    Right.SEE: {Role.LEAD, Role.HELPER, Role.READER},
    Right.SEE_PLACES: {Role.LEAD, Role.HELPER},
    Right.RECORD: {Role.LEAD, Role.HELPER},
    Right.IDENTIFY: {Role.LEAD, Role.HELPER},
    Right.DECIDE: {Role.LEAD},
    Right.MANAGE: {Role.LEAD},
}


# Columns that a role does not see (`record.models.column`). Of personal data all see their own.
HIDDEN = {
    Role.LEAD: frozenset(),
    Role.HELPER: frozenset({Kind.PERSONAL}),
    Role.READER: frozenset({Kind.PERSONAL, Kind.PLACE}),
}


def hide_columns(get_response):
    """Middleware: hide what is not open until `open_engine` has found out who is looking."""

    def middleware(request):
        with column.unknown_viewer():
            return get_response(request)

    return middleware


@dataclass(frozen=True)
class Access:
    """What one person may do with one engine."""

    engine: Engine
    user: object
    role: str

    def may(self, right: Right) -> bool:
        if right == Right.SEE_PLACES and self.engine.readers_see_places:
            return True
        return self.role in MAY[right]

    @property
    def hidden(self) -> frozenset[Kind]:
        """The kinds of column that the person does not see."""
        return HIDDEN[self.role] - ({Kind.PLACE} if self.may_see_places else set())

    def need(self, right: Right) -> None:
        """Raise PermissionDenied, in words, unless the person has the right."""
        if not self.may(right):
            raise PermissionDenied(f"This needs the right to {right}. Ask a lead of this engine.")

    def may_mend(self, row) -> bool:
        """Leads may change any words; helpers only what they recorded themselves."""
        if self.may(Right.DECIDE):
            return True
        return self.may(Right.RECORD) and row.made_by_id == self.user.pk

    def need_mend(self, row) -> None:
        if not self.may_mend(row):
            raise PermissionDenied("Only a lead may change what someone else recorded.")

    # For templates.
    @property
    def may_see_places(self) -> bool:
        return self.may(Right.SEE_PLACES)

    @property
    def may_see_personal(self) -> bool:
        return Kind.PERSONAL not in self.hidden

    @property
    def may_record(self) -> bool:
        return self.may(Right.RECORD)

    @property
    def may_identify(self) -> bool:
        return self.may(Right.IDENTIFY)

    @property
    def may_decide(self) -> bool:
        return self.may(Right.DECIDE)

    @property
    def may_manage(self) -> bool:
        return self.may(Right.MANAGE)


def engines_of(user) -> QuerySet[Engine]:
    """The engines that a person belongs to."""
    return Engine.objects.filter(
        memberships__user=user, memberships__removed_at__isnull=True
    ).distinct()


def open_engine(user, pk: int, right: Right = Right.SEE) -> Access:
    """Return the person's Access to an engine: the first line of every view of an engine.

    Raises:
        Http404: there is no such engine, or the person does not belong to it.
        PermissionDenied: the person belongs to it and lacks the right.
    """
    member = (
        Membership.objects.filter(user_id=user.pk, engine_id=pk, engine__removed_at__isnull=True)
        .select_related("engine")
        .first()
    )
    if member is None:
        raise Http404("There is no such engine, or you do not belong to it.")
    access = Access(member.engine, user, member.role)
    access.need(right)
    column.let_see(access.hidden, user.pk)
    if access.may_see_places:
        column.reveal(access.engine, column.declared(Engine, Kind.PLACE))
    return access
