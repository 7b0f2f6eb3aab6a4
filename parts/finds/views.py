"""Sheet 4: finds, what they are, and the site diary."""

from django.db.models import Q
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse

from parts.care import queries as care_queries
from parts.care.queries import in_other_unit
from parts.engine.queries.search import find_parts
from parts.record.access import Right, open_engine
from parts.record.actions import entries
from parts.record.actions.saving import name_of
from parts.record.models import DiaryEntry, Find, Part, PieceEntry
from parts.record.queries import finds
from parts.record.views.common import (
    act,
    back_to,
    form_page,
    page_of,
    row_page,
    send,
    sheet,
    today,
)
from parts.workshop.metal.queries import lots_of_find

from . import actions, queries
from .forms import DiaryForm, FindForm, IdentifyForm, TakeBackForm

SHOWN = {
    "all": ("All finds", Q()),
    "waiting": ("Still to identify", queries.TO_IDENTIFY),
    "odd": ("No piece of the engine", ~Q(odd="")),
    "on": ("Still on the engine", Q(still_on_engine=True)),
}


def site(request, engine):
    """Finds, newest first, with what each is."""
    access = open_engine(request.user, engine)
    shown = request.GET.get("shown", "all")
    if shown not in SHOWN:
        shown = "all"
    rows = queries.finds_of(access.engine).filter(SHOWN[shown][1])
    counts = queries.find_counts(access.engine)
    page = page_of(request, rows)
    page.object_list = queries.find_lines(page)
    return sheet(
        request,
        access,
        "finds/finds.html",
        4,
        page=page,
        shown=shown,
        choices=[(key, word) for key, (word, _) in SHOWN.items()],
        counts=counts,
        clashes=queries.clashing_tags(access.engine),
        facts=[
            ("Finds", counts.finds),
            ("Pieces", counts.pieces),
            ("To identify", counts.to_identify),
        ],
    )


def find_new(request, engine):
    """Record a find: on a phone, with one hand, in half a minute."""
    access = open_engine(request.user, engine, Right.RECORD)
    next_tag = actions.next_tag(access.engine)
    form = FindForm(
        request.POST or None,
        request.FILES or None,
        user=request.user,
        instance=Find(engine=access.engine, day=today(), found_by=name_of(request.user)),
        engine=access.engine,
        next_tag=next_tag,
    )
    if request.method == "POST":

        def keep(by):
            return actions.record_find(form.instance, form.cleaned_data["pictures"], by=by)

        if find := send(request, form, keep, said=lambda find: f"Kept as {find.name}."):
            return back_to(find)
    return sheet(
        request,
        access,
        "finds/find_new.html",
        4,
        form=form,
        next_tag=next_tag,
    )


def find(request, engine, pk):
    """One find: its photos, what it is, what it may be."""
    access = open_engine(request.user, engine)
    row = get_object_or_404(Find, pk=pk, engine=access.engine)
    known = finds.identifications(row)
    left = queries.still_to_identify(row, known)
    return sheet(
        request,
        access,
        "finds/find.html",
        4,
        find=row,
        known=known,
        left=left,
        suggestions=queries.suggest_parts(row) if left and not row.odd else [],
        same_tag=queries.same_tag(row),
        notes=row.condition_notes.all(),
        measurements=care_queries.measure_lines(row.measurements.all()),
        photos=row.photos.all(),
        may_mend=access.may_mend(row),
        law=queries.LAWS.get(row.odd),
        length_other=in_other_unit("length", row.length_unit, row.length_mm, row.length_written),
        mass_other=in_other_unit("mass", row.mass_unit, row.mass_kg, row.mass_written),
        lots=lots_of_find(row) if access.may_see_places else [],
    )


def find_edit(request, engine, pk):
    """Mend what was written of a find."""
    access = open_engine(request.user, engine, Right.RECORD)
    row = get_object_or_404(Find, pk=pk, engine=access.engine)
    access.need_mend(row)
    return row_page(
        request,
        access,
        FindForm(request.POST or None, instance=row, engine=access.engine),
        title=f"Edit find {row.name}",
        said="The find is changed.",
        write=actions.change_find,
        back=row.get_absolute_url(),
        sheet_no=4,
        remove=None,
    )


def identify(request, engine, pk):
    """Say what a find is: pick a part that it may be or one that is searched for, then how many."""
    access = open_engine(request.user, engine, Right.IDENTIFY)
    row = get_object_or_404(Find, pk=pk, engine=access.engine)
    text = request.GET.get("q", "").replace("\0", "")[:80]
    matches, more = find_parts(access.engine, text)
    left = queries.still_to_identify(row, finds.identifications(row))
    form = IdentifyForm(
        request.POST or None,
        engine=access.engine,
        initial={
            "pieces": max(left, 1),
            "day": today(),
            "placed": row.still_on_engine,
            "part": request.GET.get("part"),
        },
    )
    if request.method == "POST" and form.is_valid():
        data = dict(form.cleaned_data)
        part = data["part"]
        done = act(
            request,
            actions.identify_and_place,
            row,
            form=form,
            said=f"{row.name} is {part}.",
            **data,
        )
        if done:
            return back_to(row)
    return sheet(
        request,
        access,
        "finds/identify.html",
        4,
        form=form,
        find=row,
        left=left,
        part=form.chosen,
        suggestions=queries.suggest_parts(row),
        text=text,
        matches=matches,
        more=more,
        photos=row.photos.all()[:4],
    )


def take_back(request, engine, pk, part):
    """Say that a find is not that part after all."""
    access = open_engine(request.user, engine, Right.IDENTIFY)
    row = get_object_or_404(Find, pk=pk, engine=access.engine)
    part = get_object_or_404(Part, pk=part, engine=access.engine)
    _own_or_lead(access, row, part)
    form = TakeBackForm(request.POST or None, initial={"day": today()})
    if request.method == "POST" and form.is_valid():
        said = f"{row.name} is no longer {part}."
        if act(request, entries.take_back, row, part, form=form, said=said, **form.cleaned_data):
            return back_to(row)
    return form_page(
        request,
        access,
        form,
        title=f"{row.name} is not {part}",
        press="Undo",
        back=row.get_absolute_url(),
        sheet_no=4,
    )


def _own_or_lead(access, row, part):
    """Helpers undo only what they said themselves; a lead undoes anyone's, with a reason."""
    if access.may(Right.DECIDE):
        return
    identified = PieceEntry.objects.filter(find=row, part=part, kind=PieceEntry.Kind.IDENTIFIED)
    said = identified.filter(pieces__gt=0).last()
    if said is not None:
        access.need_mend(said)


def diary(request, engine):
    """The site diary, newest first. It tells places in its own words, so not to readers."""
    access = open_engine(request.user, engine, Right.SEE_PLACES)
    rows = queries.diary_of(access.engine)
    return sheet(request, access, "finds/diary.html", 4, page=page_of(request, rows, 50))


def diary_new(request, engine):
    access = open_engine(request.user, engine, Right.RECORD)
    entry = DiaryEntry(engine=access.engine, day=today())
    form = DiaryForm(
        request.POST or None,
        request.FILES or None,
        user=request.user,
        instance=entry,
        engine=access.engine,
    )
    if request.method == "POST":

        def keep(by):
            return actions.record_diary(form.instance, form.cleaned_data["pictures"], by=by)

        if send(request, form, keep, said="The day is saved."):
            return redirect("parts:diary", access.engine.pk)
    return form_page(
        request,
        access,
        form,
        title="Add a diary entry",
        press="Save day",
        back=reverse("parts:diary", args=[access.engine.pk]),
        sheet_no=4,
    )


def diary_edit(request, engine, pk):
    access = open_engine(request.user, engine, Right.RECORD)
    row = get_object_or_404(DiaryEntry, pk=pk, engine=access.engine)
    access.need_mend(row)
    return row_page(
        request,
        access,
        DiaryForm(request.POST or None, instance=row, engine=access.engine),
        title=f"Diary of {row.day:%-d %b %Y}",
        said="The day is changed.",
        back=reverse("parts:diary", args=[access.engine.pk]),
        sheet_no=4,
    )
