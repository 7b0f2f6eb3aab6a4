"""The shapes and sizes of a part: its sketch, volume, mass and balance, and its wear."""

from django.http import Http404
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse

from parts.engineering.solids.shapes import SHAPES
from parts.record.access import Right, open_engine
from parts.record.actions.saving import name_of
from parts.record.views.bench import bench, part_of, picked
from parts.record.views.common import row_page

from . import actions
from .forms import BodyForm, ShapeForm
from .models import Body
from .queries import shapes
from .sheets import sketch_of


def bodies(request, engine, part):
    """The shapes of a part, drawn and reckoned."""
    access = open_engine(request.user, engine)
    row = part_of(access, part)
    shown = shapes.body_sheet(row)
    calculations = [*shown.calculations, *([shown.as_made] if shown.as_made else [])]
    calculations += [one.calculation for one in shown.wear]
    place = picked(request, calculations)
    return bench(
        request,
        access,
        "workshop/shapes/shapes.html",
        2,
        part=row,
        shown=shown,
        figures=list(enumerate(calculations)),
        place=place,
        calculation_now=calculations[place] if calculations else None,
        sketch=sketch_of([line.row for line in shown.bodies], row.material),
        shapes=ShapeForm(),
        back=row.get_absolute_url(),
    )


def body_new(request, engine, part):
    """Add a shape to a part: ?shape=bar says which."""
    access = open_engine(request.user, engine, Right.RECORD)
    row = part_of(access, part)
    shape = request.GET.get("shape", "")
    if shape not in SHAPES:  # not said, or no such shape: the page of the part has them all
        return redirect("parts:bodies", engine, part)
    body = Body(engine=access.engine, part=row, shape=shape)
    body.along, begins = shapes.next_place(shapes.shape_rows(row))
    setattr(body, f"at_{body.along}_mm", begins)
    return _page(
        request,
        access,
        body,
        title=f"A {SHAPES[shape].name} of {row}",
        press="Save shape",
        said="The shape is saved.",
        write=actions.add_body,
    )


def _page(request, access, body: Body, **page):
    now = {}
    if body.pk:
        now = {one.key: one.measurement for one in body.sizes.select_related("measurement")}
    form = BodyForm(
        request.POST or None,
        instance=body,
        engine=access.engine,
        known=shapes.measures_of(body.part),
        now=now,
        by=name_of(request.user)[:80],
    )
    back = reverse("parts:bodies", args=[body.engine_id, body.part_id])
    template = "shared/sizes_form.html"
    return row_page(request, access, form, back=back, template=template, **page)


def body_edit(request, engine, pk):
    """Change a shape of a part."""
    access = open_engine(request.user, engine, Right.RECORD)
    body = get_object_or_404(Body.objects.select_related("part"), pk=pk, engine=access.engine)
    access.need_mend(body)
    if body.shape not in SHAPES:
        raise Http404("There is no such shape.")
    return _page(
        request,
        access,
        body,
        title=f"{body.name or SHAPES[body.shape].name.capitalize()} of {body.part}",
        said="The shape is changed.",
        write=actions.change_body,
    )
