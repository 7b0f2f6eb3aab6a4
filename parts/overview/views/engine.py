"""The engines of a person, and the first sheet of one."""

from django.shortcuts import render

from parts.drawings.views import elevation
from parts.record.access import engines_of, open_engine
from parts.record.queries.status import engines_with_counts
from parts.record.views.common import kept_till_changed, sheet, today

from ..queries import overview


def home(request):
    """The engines a person belongs to, with how they stand."""
    engines = engines_with_counts(engines_of(request.user))
    return render(request, "overview/home.html", {"engines": engines, "title": "Engines"})


@kept_till_changed
def engine(request, engine):
    """Sheet 1: how the engine stands, what is on the bench, what to decide."""
    access = open_engine(request.user, engine)
    drawn = elevation(request, access)
    shown = overview.overview(access.engine, today(), drawn["stood"])
    if drawn["picked"]:
        drawn["picked_cost"] = overview.cost_of(shown.costs, drawn["picked"])
    return sheet(
        request, access, "overview/engine.html", 1, shown=shown, facts=shown.facts, **drawn
    )
