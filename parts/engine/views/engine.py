"""Home, the engine's overview, and the engine's own data."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from parts.record.access import Right, open_engine
from parts.record.actions.saving import Clash
from parts.record.models import Engine
from parts.record.views.common import (
    form_page,
    row_page,
    sheet,
    show_clash,
    today,
)

from ..actions.engine import change_engine, start_engine
from ..forms.engine import EngineForm, NewEngineForm, OwnershipForm
from ..models import Ownership


def engine_new(request):
    """Start an engine, from a starter list or from nothing."""
    form = NewEngineForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        row = start_engine(
            form.instance,
            by=request.user,
            with_starter=form.cleaned_data["with_starter"],
            sizes=form.sizes(),
        )
        messages.success(request, f"{row.name} is begun. You are its lead.")
        return redirect(row.get_absolute_url())
    context = {
        "form": form,
        "title": "Start an engine",
        "press": "Start this engine",
        "back": reverse("parts:home"),
    }
    return render(request, "shared/form_page.html", context)


def engine_edit(request, engine):
    """Change the engine's data and leading sizes."""
    access = open_engine(request.user, engine, Right.MANAGE)
    row = Engine.objects.get(pk=engine)
    form = EngineForm(request.POST or None, instance=row)
    if request.method == "POST" and form.is_valid():
        seen = form.cleaned_data.get("seen") or row.version
        try:
            change_engine(row, form.values(), form.sizes(), seen=seen, by=request.user)
        except Clash as clash:
            show_clash(form, clash)
        else:
            messages.success(request, "The engine's data are changed.")
            return redirect(row.get_absolute_url())
    return form_page(
        request,
        access,
        form,
        title="The engine's data",
        press="Save",
        back=row.get_absolute_url(),
        sheet_no=1,
    )


def owners(request, engine):
    """Who owns the engine, who allowed its removal, and since when."""
    access = open_engine(request.user, engine)
    rows = Ownership.objects.filter(engine=access.engine)
    return sheet(request, access, "engine/owners.html", 1, rows=rows)


def owner_new(request, engine):
    access = open_engine(request.user, engine, Right.MANAGE)
    new = Ownership(engine=access.engine, since=today())
    return _owner(request, access, new, "It is saved.")


def owner_edit(request, engine, pk):
    access = open_engine(request.user, engine, Right.MANAGE)
    row = get_object_or_404(Ownership, pk=pk, engine=access.engine)
    return _owner(request, access, row, "It is changed.")


def _owner(request, access, row, said: str):
    form = OwnershipForm(request.POST or None, instance=row, engine=access.engine)
    back = reverse("parts:owners", args=[access.engine.pk])
    title = "Who owns or allowed"
    return row_page(request, access, form, title=title, said=said, back=back, sheet_no=1)
