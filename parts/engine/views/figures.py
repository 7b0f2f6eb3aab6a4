"""The engine's own figures, each with its calculation, in both systems of units."""

from django.urls import reverse

from parts.record.access import Right, open_engine
from parts.record.models import Engine
from parts.record.views.bench import bench, picked
from parts.record.views.common import row_page

from ..forms.figures import FiguresForm
from ..queries import figures as queries


def figures(request, engine):
    """What the engine's sizes tell; one calculation beside the list."""
    access = open_engine(request.user, engine)
    shown = queries.engine_figures(access.engine)
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
    return row_page(
        request,
        access,
        FiguresForm(request.POST or None, instance=row, engine=row),
        title="What the figures are calculated from",
        said="The figures are changed.",
        back=reverse("parts:figures", args=[engine]),
        sheet_no=1,
    )
