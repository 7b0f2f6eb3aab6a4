"""Sheets for the bench: the pattern sheet of a casting, the sheet of a poured bearing."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse

from ..access import Right, open_engine
from ..actions import bodies as acts
from ..actions.record import name_of
from ..documents import bearing_sheet as bearing_paper
from ..documents import paper
from ..documents import pattern_sheet as pattern_paper
from ..documents.part_sketch import sketch_of
from ..forms.bodies import BearingForm, FaceForm
from ..models import Bearing, PatternFace
from ..reckoning import bearings, patterns
from ..reckoning import bodies as shapes
from .bodies import bench, part_of, picked, units_of
from .common import act, form_page, save_change, today


def on_paper(request, document, back: str):
    """A PDF as an answer; where this machine makes none, back with a sentence why."""
    if paper.trouble():
        messages.error(request, paper.trouble())
        return redirect(back)
    name, kind, content = document()
    answer = HttpResponse(content, content_type=kind)
    answer["Content-Disposition"] = f'inline; filename="{name}"'
    return answer


def paper_size(request) -> str:
    return "letter" if request.GET.get("paper") == "letter" else "A4"


def pattern(request, engine, part):
    """The pattern sheet of a part, with the working of one figure beside it."""
    access = open_engine(request.user, engine)
    row = part_of(access, part)
    shown = patterns.pattern_sheet(row)
    units, _ = units_of(request, access.engine)
    workings = shown.workings
    place = picked(request, workings)
    sized = [line for line in shown.lines if line.size]
    return bench(
        request,
        access,
        "workshop/pattern.html",
        3,
        part=row,
        shown=shown,
        figures=[(workings.index(w), w) for w in shown.masses],
        rows=[(sized.index(line) if line.size else None, line) for line in shown.lines],
        place=place,
        working_now=workings[place] if workings else None,
        face_sketch=pattern_paper.face_sketch(sized[place], shown.metal, units)
        if place < len(sized)
        else "",
        sketch=sketch_of(shown.body_rows, shown.metal, units),
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


def _sizes_form(request, access, form, *, title, press, name, remove=None):
    row = form.instance
    return form_page(
        request,
        access,
        form,
        title=title,
        press=press,
        back=reverse(f"parts:{name}", args=[access.engine.pk, row.part_id]),
        sheet_no=3,
        template="workshop/sizes_form.html",
        remove=remove,
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
    form = FaceForm(request.POST or None, **_given(request, access, face, {}))
    if request.method == "POST" and form.is_valid():
        said = "The size stands on the pattern sheet."
        if act(request, acts.add_face, form.instance, form.sizes, form=form, said=said):
            return redirect("parts:pattern", engine, part)
    title = f"A size of the pattern of {face.part}"
    return _sizes_form(request, access, form, title=title, press="Keep this size", name="pattern")


def face_edit(request, engine, pk):
    """Change a size of the pattern sheet."""
    access = open_engine(request.user, engine, Right.RECORD)
    rows = PatternFace.objects.select_related("part", "measurement")
    face = get_object_or_404(rows, pk=pk, engine=access.engine)
    access.need_mend(face)
    now = {"finished": face.measurement}
    form = FaceForm(request.POST or None, **_given(request, access, face, now))
    if request.method == "POST" and form.is_valid():
        said = "The pattern sheet is changed."
        if save_change(request, form, said=said, write=acts.change_face, sizes=form.sizes):
            return redirect("parts:pattern", engine, face.part_id)
    return _sizes_form(
        request,
        access,
        form,
        title=f"{face.measurement.what}: pattern of {face.part}",
        press="Keep the change",
        name="pattern",
        remove=("patternface", face.pk),
    )


def bearing(request, engine, part):
    """The sheet of a poured bearing."""
    access = open_engine(request.user, engine)
    row = part_of(access, part)
    shown = bearings.bearing_sheet(row, with_store=access.may_see_places)
    workings = shown.workings if shown else []
    place = picked(request, workings)
    return bench(
        request,
        access,
        "workshop/bearing.html",
        3,
        part=row,
        shown=shown,
        figures=list(enumerate(workings)),
        place=place,
        working_now=workings[place] if workings else None,
        back=row.get_absolute_url(),
    )


def bearing_pdf(request, engine, part):
    """The bearing sheet for the bench."""
    access = open_engine(request.user, engine)
    row = part_of(access, part)
    units, _ = units_of(request, access.engine)
    shown = bearings.bearing_sheet(row, with_store=access.may_see_places)
    back = reverse("parts:bearing", args=[engine, part])
    if shown is None:
        messages.error(request, "No bearing is written down for this part yet.")
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
    form = BearingForm(request.POST or None, **_given(request, access, bearing, now))
    if request.method == "POST" and form.is_valid() and _keep_bearing(request, form, standing):
        return redirect("parts:bearing", engine, part)
    return _sizes_form(
        request,
        access,
        form,
        title=f"Bearing {row}",
        press="Keep the bearing",
        name="bearing",
        remove=("bearing", standing.pk) if standing else None,
    )


def _keep_bearing(request, form, standing):
    said = "The bearing is kept."
    if standing is None:
        return act(request, acts.write_bearing, form.instance, form.sizes, form=form, said=said)
    return save_change(request, form, said=said, write=acts.change_bearing, sizes=form.sizes)
