"""Home, the engine's overview, and the engine's own data."""

from django.contrib import messages
from django.http import HttpResponseRedirect
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from ..access import Right, engines_of, open_engine
from ..actions import engine as acts
from ..actions.record import Clash
from ..forms.engine import EngineForm, NewEngineForm, OwnershipForm, PlanForm
from ..models import Engine, Ownership, Plan
from ..reckoning import overview
from ..reckoning.standing import engines_with_counts
from .common import (
    act,
    form_page,
    kept_till_changed,
    save_change,
    save_new,
    sheet,
    show_clash,
    today,
)
from .drawings import elevation


def home(request):
    """The engines a person belongs to, with how they stand."""
    engines = engines_with_counts(engines_of(request.user))
    return render(request, "engine/home.html", {"engines": engines, "title": "Engines"})


@kept_till_changed
def engine(request, engine):
    """Sheet 1: how the engine stands, what is on the bench, what to decide."""
    access = open_engine(request.user, engine)
    drawn = elevation(request, access)
    shown = overview.overview(access.engine, today(), drawn["stood"])
    if drawn["picked"]:
        drawn["picked_cost"] = overview.cost_of(shown.costs, drawn["picked"])
    return sheet(
        request, access, "engine/overview.html", 1, shown=shown, facts=shown.facts, **drawn
    )


def engine_new(request):
    """Start an engine, from a starter list or from nothing."""
    form = NewEngineForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        row = acts.start_engine(
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
            acts.change_engine(row, form.values(), form.sizes(), seen=seen, by=request.user)
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
        press="Keep the change",
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
    form = OwnershipForm(
        request.POST or None,
        instance=Ownership(engine=access.engine, since=today()),
        engine=access.engine,
    )
    back = reverse("parts:owners", args=[engine])
    if request.method == "POST" and save_new(request, form, said="It is written down."):
        return redirect(back)
    return form_page(
        request, access, form, title="Who owns or allowed", press="Keep it", back=back, sheet_no=1
    )


def owner_edit(request, engine, pk):
    access = open_engine(request.user, engine, Right.MANAGE)
    row = get_object_or_404(Ownership, pk=pk, engine=access.engine)
    form = OwnershipForm(request.POST or None, instance=row, engine=access.engine)
    back = reverse("parts:owners", args=[engine])
    if request.method == "POST" and save_change(request, form, said="It is changed."):
        return redirect(back)
    return form_page(
        request,
        access,
        form,
        title="Who owns or allowed",
        press="Keep the change",
        back=back,
        sheet_no=1,
        remove=("ownership", row.pk),
    )


def plans(request, engine):
    """The plans that were frozen; the newest is the one progress is held against."""
    access = open_engine(request.user, engine)
    rows = Plan.objects.filter(engine=access.engine).prefetch_related("points")
    return sheet(request, access, "engine/plans.html", 6, rows=rows)


def plan_new(request, engine):
    """Freeze a plan on a date."""
    access = open_engine(request.user, engine, Right.MANAGE)
    form = PlanForm(request.POST or None, initial={"frozen_on": today()})
    back = reverse("parts:plans", args=[engine])
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        plan = act(
            request,
            acts.freeze_plan,
            access.engine,
            data["name"],
            data["frozen_on"],
            data["lines"],
            note=data["note"],
            said="The plan is frozen.",
            form=form,
        )
        if plan:
            return HttpResponseRedirect(back)
    return form_page(
        request, access, form, title="Freeze a plan", press="Freeze it", back=back, sheet_no=6
    )
