"""The bearing sheet: the page, its PDF, and its form."""

from django.contrib import messages
from django.shortcuts import redirect
from django.urls import reverse

from parts.record.access import Right, open_engine
from parts.record.actions.saving import name_of
from parts.record.views.bench import bench, part_of, picked, units_of
from parts.record.views.common import today
from parts.record.views.paper import on_paper, paper_size
from parts.workshop.patterns.views import _given, _sizes_page

from . import actions, queries
from . import sheets as bearing_paper
from .forms import BearingForm
from .models import Bearing


def bearing(request, engine, part):
    """The sheet of a poured bearing."""
    access = open_engine(request.user, engine)
    row = part_of(access, part)
    shown = queries.bearing_sheet(row, with_store=access.may_see_places)
    calculations = shown.calculations if shown else []
    place = picked(request, calculations)
    return bench(
        request,
        access,
        "workshop/bearings/bearing.html",
        3,
        part=row,
        shown=shown,
        figures=list(enumerate(calculations)),
        place=place,
        calculation_now=calculations[place] if calculations else None,
        back=row.get_absolute_url(),
    )


def bearing_pdf(request, engine, part):
    """The bearing sheet for the bench."""
    access = open_engine(request.user, engine)
    row = part_of(access, part)
    units, _ = units_of(request, access.engine)
    shown = queries.bearing_sheet(row, with_store=access.may_see_places)
    back = reverse("parts:bearing", args=[engine, part])
    if shown is None:
        messages.error(request, "No bearing is entered for this part yet.")
        return redirect(back)

    def draw():
        return bearing_paper.pdf(
            shown,
            units=units,
            day=today(),
            size=paper_size(request),
            drawn_up=name_of(request.user),
        )

    return on_paper(request, draw, back)


def bearing_edit(request, engine, part):
    """Write down what a bearing needs to be reckoned, or change it."""
    access = open_engine(request.user, engine, Right.RECORD)
    row = part_of(access, part)
    names = [one.key for one in BearingForm.wanted]
    standing = Bearing.objects.filter(part=row).select_related(*names).first()
    bearing = standing or Bearing(engine=access.engine, part=row)
    if standing:
        access.need_mend(standing)
    now = {name: getattr(standing, name) for name in names} if standing else {}
    return _sizes_page(
        request,
        access,
        BearingForm(request.POST or None, **_given(request, access, bearing, now)),
        title=f"Bearing {row}",
        press="Save bearing",
        said="The bearing is saved.",
        write=actions.change_bearing if standing else actions.add_bearing,
        name="bearing",
    )
