"""The engine's own figures, each with its calculation, in both systems of units."""

from django.shortcuts import redirect
from django.urls import reverse

from parts.record.access import Right, open_engine
from parts.record.models import Engine
from parts.record.views.bench import bench, picked
from parts.record.views.common import form_page, save_change

from ..forms.figures import FiguresForm
from ..queries import figures as reckoning


def figures(request, engine):
    """What the engine's sizes tell; one calculation beside the list."""
    access = open_engine(request.user, engine)
    shown = reckoning.engine_figures(access.engine)
    calculations = shown.calculations
    place = picked(request, calculations)
    groups = [
        (group, [(calculations.index(w), w) for w in group.calculations]) for group in shown.groups
    ]
    return bench(
        request,
        access,
        "engine/figures.html",
        1,
        shown=shown,
        groups=groups,
        place=place,
        calculation_now=calculations[place] if calculations else None,
        back=access.engine.get_absolute_url(),
    )


def figures_edit(request, engine):
    """Change speed, steam and cut-off, and the cost of an hour."""
    access = open_engine(request.user, engine, Right.MANAGE)
    row = Engine.objects.get(pk=engine)
    form = FiguresForm(request.POST or None, instance=row, engine=row)
    back = reverse("parts:figures", args=[engine])
    if request.method == "POST" and save_change(request, form, said="The figures are changed."):
        return redirect(back)
    return form_page(
        request,
        access,
        form,
        title="What the figures are reckoned from",
        press="Keep the change",
        back=back,
        sheet_no=1,
    )
