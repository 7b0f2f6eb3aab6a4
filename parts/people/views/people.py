"""People of an engine, and the hours they give."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.cache import never_cache

from parts.record.access import Right, open_engine
from parts.record.actions.saving import Clash, Refused, name_of
from parts.record.models import Membership
from parts.record.views.common import (
    act,
    form_page,
    page_of,
    row_page,
    sheet,
    today,
)

from .. import actions, queries
from ..forms import HoursForm, NewPasswordForm, PersonForm, RoleForm
from ..models import HoursGiven


def people(request, engine):
    """Who belongs to the engine; a lead lets people in, changes roles, lets them go."""
    access = open_engine(request.user, engine)
    return sheet(
        request,
        access,
        "people/people.html",
        1,
        members=Membership.objects.filter(engine=access.engine).select_related("user"),
        hours=queries.hours_by_person(access.engine),
    )


@never_cache
def person_new(request, engine):
    access = open_engine(request.user, engine, Right.MANAGE)
    form = PersonForm(request.POST or None)
    back = reverse("parts:people", args=[engine])
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        said = f"{data['full_name'] or data['username']} has access."
        if act(request, actions.add_person, access.engine, form=form, said=said, **data):
            return redirect(back)
    return form_page(
        request, access, form, title="Invite a person", press="Invite", back=back, sheet_no=1
    )


def _member(access, pk):
    rows = Membership.objects.select_related("user", "engine")
    return get_object_or_404(rows, pk=pk, engine=access.engine)


def person_role(request, engine, pk):
    access = open_engine(request.user, engine, Right.MANAGE)
    member = _member(access, pk)
    form = RoleForm(request.POST or None, initial={"role": member.role, "seen": member.version})
    back = reverse("parts:people", args=[engine])
    if request.method == "POST" and form.is_valid():
        try:
            actions.change_role(member, **form.cleaned_data, by=request.user)
        except Clash:
            form.add_error(None, "Someone else changed this role meanwhile. Look again.")
        except Refused as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, "The role is changed.")
            return redirect(back)
    return form_page(
        request,
        access,
        form,
        title=f"What may {name_of(member.user)} do?",
        press="Change the role",
        back=back,
        sheet_no=1,
    )


@never_cache
def person_password(request, engine, pk):
    access = open_engine(request.user, engine, Right.MANAGE)
    member = _member(access, pk)
    form = NewPasswordForm(request.POST or None)
    back = reverse("parts:people", args=[engine])
    if request.method == "POST" and form.is_valid():
        said = f"{name_of(member.user)} has a new password."
        word = form.cleaned_data["password"]
        if act(request, actions.set_password, member, word, form=form, said=said):
            return redirect(back)
    return form_page(
        request,
        access,
        form,
        title=f"A new password for {name_of(member.user)}",
        press="Save",
        back=back,
        sheet_no=1,
    )


def person_remove(request, engine, pk):
    access = open_engine(request.user, engine, Right.MANAGE)
    member = _member(access, pk)
    back = reverse("parts:people", args=[engine])
    if request.method == "POST":
        act(
            request,
            actions.remove_person,
            member,
            said=f"{name_of(member.user)} no longer has access.",
        )
        return redirect(back)
    return sheet(
        request,
        access,
        "shared/confirm.html",
        1,
        title=f"Let {name_of(member.user)} go?",
        question="They will no longer see this engine. What they recorded stays, with their name.",
        press="Remove access",
        back=back,
    )


def hours(request, engine):
    """Volunteer hours, newest first, with sums by person and by work."""
    access = open_engine(request.user, engine)
    rows = HoursGiven.objects.filter(engine=access.engine).select_related("component", "part")
    return sheet(
        request,
        access,
        "people/hours.html",
        5,
        page=page_of(request, rows),
        people=queries.hours_by_person(access.engine),
        works=queries.hours_by_work(access.engine),
    )


def hours_new(request, engine):
    access = open_engine(request.user, engine, Right.RECORD)
    new = HoursGiven(engine=access.engine, day=today(), person=name_of(request.user))
    said = "The hours are saved."
    return _hours(request, access, new, said=said, press="Save hours")


def hours_edit(request, engine, pk):
    access = open_engine(request.user, engine, Right.RECORD)
    row = get_object_or_404(HoursGiven, pk=pk, engine=access.engine)
    access.need_mend(row)
    return _hours(request, access, row, said="The hours are changed.")


def _hours(request, access, row, **more):
    people = queries.people_known(access.engine)
    form = HoursForm(request.POST or None, instance=row, engine=access.engine, people=people)
    return row_page(
        request,
        access,
        form,
        title="Volunteer hours",
        back=reverse("parts:hours", args=[access.engine.pk]),
        sheet_no=5,
        extra="people/_known.html",
        **more,
    )
