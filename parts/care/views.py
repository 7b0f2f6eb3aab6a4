"""Measures, condition notes, repairs and the freeing log."""

from django.http import Http404
from django.shortcuts import get_object_or_404

from parts.record.access import Right, open_engine
from parts.record.actions.saving import name_of
from parts.record.models import Find, Part
from parts.record.views.common import (
    row_asked,
    row_page,
    today,
)

from . import actions, queries
from .forms import FreeingForm, MeasurementForm, NoteForm, RepairForm
from .models import ConditionNote, Freeing, Measurement, Repair


def _of(request, access) -> dict:
    """The part or find that the address names: ?part=12 or ?find=3."""
    name, row = row_asked(request, access, part=Part, find=Find)
    if row is None:
        raise Http404("Identify of.")
    # What is seen of a find that is one part is seen of that part.
    part = row if name == "part" else queries.part_of_find(row)
    return {"part": part, "find": row if name == "find" else None}


def _subject(row):
    return getattr(row, "find", None) or row.part


def _who(request) -> str:
    return name_of(request.user)[:80]


def _page(request, access, form, *, title, said, **more):
    """A page with a form over a row; back to what it is of when it is kept."""
    subject = _subject(form.instance)
    back, title = subject.get_absolute_url(), f"{title}: {subject}"
    return row_page(request, access, form, title=title, said=said, back=back, **more)


def _row(access, model, pk):
    """A row that the person may mend."""
    row = get_object_or_404(model, pk=pk, engine=access.engine)
    access.need_mend(row)
    return row


def measurement_new(request, engine):
    access = open_engine(request.user, engine, Right.RECORD)
    new = Measurement(engine=access.engine, day=today(), who=_who(request), **_of(request, access))
    form = MeasurementForm(
        request.POST or None,
        instance=new,
        engine=access.engine,
        instruments=queries.instruments_used(access.engine),
    )
    return _page(
        request,
        access,
        form,
        title="Measure",
        said="The measure is saved.",
        press="Save measure",
        extra="care/_instruments.html",
    )


def measurement_edit(request, engine, pk):
    access = open_engine(request.user, engine, Right.RECORD)
    row = _row(access, Measurement, pk)
    form = MeasurementForm(request.POST or None, instance=row, engine=access.engine)
    return _page(request, access, form, title="Measure", said="The measure is changed.")


def note_new(request, engine):
    access = open_engine(request.user, engine, Right.RECORD)
    new = ConditionNote(
        engine=access.engine, day=today(), who=_who(request), **_of(request, access)
    )
    form = NoteForm(request.POST or None, instance=new, engine=access.engine)
    return _page(
        request,
        access,
        form,
        title="Condition note",
        said="The note is saved.",
        press="Save note",
        template="care/note_form.html",
        soft_iron=_may_be_soft(_subject(new)),
    )


def note_edit(request, engine, pk):
    access = open_engine(request.user, engine, Right.RECORD)
    row = _row(access, ConditionNote, pk)
    form = NoteForm(request.POST or None, instance=row, engine=access.engine)
    return _page(
        request,
        access,
        form,
        title="Condition note",
        said="The note is changed.",
        template="care/note_form.html",
        soft_iron=_may_be_soft(_subject(row)),
    )


def _may_be_soft(subject) -> str:
    """What to know of cast iron that lay long in wet ground, where the piece may be cast iron."""
    return queries.GRAPHITISED if subject.material in ("cast_iron", "not_known") else ""


def repair_new(request, engine):
    """An old repair as found (?old=1), or work done now, which can end “beyond repair”."""
    access = open_engine(request.user, engine, Right.RECORD)
    part = _of(request, access)["part"]
    if part is None:
        raise Http404("Say which part it is of.")
    old = bool(request.GET.get("old"))
    new = Repair(engine=access.engine, part=part, old=old, day=today())
    new.who = "" if old else _who(request)
    form = RepairForm(
        request.POST or None,
        instance=new,
        engine=access.engine,
        beyond_repair=queries.beyond_repair_pieces(part) if access.may_decide else None,
    )
    return _page(
        request,
        access,
        form,
        title="Old repair, as found" if old else "Repair, done now",
        said="The repair is saved.",
        write=actions.add_repair,
        press="Save repair",
        intro=OLD_REPAIR if old else "",
    )


OLD_REPAIR = (
    "Someone kept this engine at work with what they had. Record what they did, who it was if "
    "anyone knows, and what it tells, before it is touched."
)


def repair_edit(request, engine, pk):
    access = open_engine(request.user, engine, Right.RECORD)
    row = _row(access, Repair, pk)
    form = RepairForm(request.POST or None, instance=row, engine=access.engine)
    return _page(request, access, form, title="Repair", said="The repair is changed.")


def freeing_new(request, engine):
    access = open_engine(request.user, engine, Right.RECORD)
    part = _of(request, access)["part"]
    if part is None:
        raise Http404("Say which part it is of.")
    new = Freeing(engine=access.engine, part=part, day=today(), who=_who(request))
    form = FreeingForm(request.POST or None, instance=new, engine=access.engine)
    return _page(
        request,
        access,
        form,
        title="Freeing",
        said="It is in the freeing log.",
        press="Save",
        **_freeing_cautions(),
    )


def freeing_edit(request, engine, pk):
    access = open_engine(request.user, engine, Right.RECORD)
    row = _row(access, Freeing, pk)
    form = FreeingForm(request.POST or None, instance=row, engine=access.engine)
    return _page(
        request,
        access,
        form,
        title="Freeing",
        said="The freeing log is changed.",
        **_freeing_cautions(),
    )


def _freeing_cautions() -> dict:
    return {
        "template": "care/freeing_form.html",
        "cautions": queries.FREEING_CAUTIONS,
        "defers": queries.FREEING_DEFERS,
    }
