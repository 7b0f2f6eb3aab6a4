"""Sheets for the bench: the pattern sheet of a casting, the sheet of a poured bearing."""

from django.shortcuts import get_object_or_404
from django.urls import reverse

from parts.record.access import Right, open_engine
from parts.record.actions.saving import name_of
from parts.record.views.bench import bench, part_of, picked, units_of
from parts.record.views.common import row_page, today
from parts.record.views.paper import on_paper, paper_size
from parts.workshop.shapes.queries import shapes
from parts.workshop.shapes.sheets import sketch_of

from . import actions
from . import sheets as pattern_paper
from .forms import FaceForm
from .models import PatternFace
from .queries import pattern as patterns


def pattern(request, engine, part):
    """The pattern sheet of a part, with the calculation of one figure beside it."""
    access = open_engine(request.user, engine)
    row = part_of(access, part)
    shown = patterns.pattern_sheet(row)
    units, _ = units_of(request, access.engine)
    calculations = shown.calculations
    place = picked(request, calculations)
    sized = [line for line in shown.lines if line.size]
    return bench(
        request,
        access,
        "workshop/patterns/pattern.html",
        3,
        part=row,
        shown=shown,
        figures=[(calculations.index(w), w) for w in shown.masses],
        rows=[(sized.index(line) if line.size else None, line) for line in shown.lines],
        place=place,
        calculation_now=calculations[place] if calculations else None,
        face_sketch=pattern_paper.face_sketch(sized[place], shown.metal, units)
        if place < len(sized)
        else "",
        sketch=sketch_of(shown.shape_rows, shown.metal, units),
        back=row.get_absolute_url(),
    )


def pattern_pdf(request, engine, part):
    """The pattern sheet for the bench."""
    access = open_engine(request.user, engine)
    row = part_of(access, part)
    units, _ = units_of(request, access.engine)

    def draw():
        return pattern_paper.pdf(
            patterns.pattern_sheet(row),
            units=units,
            day=today(),
            size=paper_size(request),
            drawn_up=name_of(request.user),
        )

    return on_paper(request, draw, reverse("parts:pattern", args=[engine, part]))


def _sizes_page(request, access, form, *, name, **page):
    return row_page(
        request,
        access,
        form,
        back=reverse(f"parts:{name}", args=[access.engine.pk, form.instance.part_id]),
        sheet_no=3,
        template="shared/sizes_form.html",
        **page,
    )


def _given(request, access, row, now) -> dict:
    return {
        "instance": row,
        "engine": access.engine,
        "known": shapes.measures_of(row.part),
        "now": now,
        "by": name_of(request.user)[:80],
    }


def face_new(request, engine, part):
    """Add a size to the pattern sheet."""
    access = open_engine(request.user, engine, Right.RECORD)
    face = PatternFace(engine=access.engine, part=part_of(access, part))
    return _sizes_page(
        request,
        access,
        FaceForm(request.POST or None, **_given(request, access, face, {})),
        title=f"A size of the pattern of {face.part}",
        press="Save size",
        said="The size stands on the pattern sheet.",
        write=actions.add_face,
        name="pattern",
    )


def face_edit(request, engine, pk):
    """Change a size of the pattern sheet."""
    access = open_engine(request.user, engine, Right.RECORD)
    rows = PatternFace.objects.select_related("part", "measurement")
    face = get_object_or_404(rows, pk=pk, engine=access.engine)
    access.need_mend(face)
    now = {"finished": face.measurement}
    return _sizes_page(
        request,
        access,
        FaceForm(request.POST or None, **_given(request, access, face, now)),
        title=f"{face.measurement.what}: pattern of {face.part}",
        said="The pattern sheet is changed.",
        write=actions.change_face,
        name="pattern",
    )
