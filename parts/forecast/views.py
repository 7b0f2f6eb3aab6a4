"""Plans: the list, and freezing a new one."""

from django.http import HttpResponseRedirect
from django.urls import reverse

from parts.record.access import Right, open_engine
from parts.record.views.common import act, form_page, sheet, today

from . import actions
from .forms import PlanForm
from .models import Plan


def plans(request, engine):
    """The plans that were frozen; the newest is the one progress is held against."""
    access = open_engine(request.user, engine)
    rows = Plan.objects.filter(engine=access.engine).prefetch_related("points")
    return sheet(request, access, "forecast/plans.html", 6, rows=rows)


def plan_new(request, engine):
    """New plan on a date."""
    access = open_engine(request.user, engine, Right.MANAGE)
    form = PlanForm(request.POST or None, initial={"frozen_on": today()})
    back = reverse("parts:plans", args=[engine])
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        plan = act(
            request,
            actions.freeze_plan,
            access.engine,
            data["name"],
            data["frozen_on"],
            data["lines"],
            note=data["note"],
            said="The plan is saved and cannot be changed.",
            form=form,
        )
        if plan:
            return HttpResponseRedirect(back)
    return form_page(request, access, form, title="New plan", press="Issue", back=back, sheet_no=6)
