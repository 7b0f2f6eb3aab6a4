"""Sheet 3: parts to make, and each making from the decision to the fitting."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse

from ..access import Right, open_engine
from ..actions import facts
from ..documents import making as documents
from ..documents.svg.lettering import money
from ..documents.svg.scales import nice_top
from ..forms.making import MakeFilterForm, MakingForm, StepForm
from ..models import Fact, Making
from ..reckoning.costs import added_up
from ..reckoning.make_list import Filters, MakeList
from ..reckoning.making import parts_to_make
from ..reckoning.making_sheet import (
    costs_of_making,
    making_sheet,
    mass_of_part,
    part_to_decide,
)
from ..trade.reading import whole
from .common import act, form_page, page_of, save_change, sheet, today
from .options import tell_if_spare

BESIDE = 12  # parts still to decide that stand beside the list


def makings(request, engine):
    """Parts to make, grouped by route; beside them what is still to decide."""
    access = open_engine(request.user, engine)
    made = _made(request, access)
    page = page_of(request, made.lines)
    printing = request.GET.get("print") == "1"
    highs = [line.cost.total.high for line in made.lines if line.cost]
    return sheet(
        request,
        access,
        "making/print.html" if printing else "making/list.html",
        3,
        made=made,
        groups=made.groups if printing else made.groups_with(page),
        page=page,
        top=nice_top(float(max(highs, default=0)), 4),
        beside=made.to_decide[:BESIDE],
        filters=MakeFilterForm(request.GET, choices=made.choices),
        day=today(),
        facts=[
            ("Lines to make", made.sums.lines),
            ("Being made", made.being_made),
            ("Pieces to decide", made.pieces_to_decide),
            ("Likely cost", money(made.sums.cost.total.likely, made.currency, False)),
        ],
    )


def _made(request, access) -> MakeList:
    asked = request.GET
    filters = Filters(
        asked.get("route", ""),
        whole(asked.get("component")),
        asked.get("material", ""),
        asked.get("who", ""),
        asked.get("stage", ""),
        asked.get("q", ""),
        asked.get("sort", ""),
    )
    return parts_to_make(access.engine, None, filters)


def undecided(request, engine):
    """All parts with pieces missing or past use for which nothing is decided."""
    access = open_engine(request.user, engine)
    made = _made(request, access)
    page = page_of(request, made.to_decide)
    back = reverse("parts:makings", args=[engine])
    return sheet(request, access, "making/undecided.html", 3, made=made, page=page, back=back)


def makings_csv(request, engine):
    """The list as a table, filtered and sorted as on the screen."""
    access = open_engine(request.user, engine)
    return _file(documents.make_csv(_made(request, access), access.engine.name))


def undecided_csv(request, engine):
    """What is still to decide, as a table."""
    access = open_engine(request.user, engine)
    return _file(documents.to_decide_csv(_made(request, access), access.engine.name))


def _file(document) -> HttpResponse:
    name, kind, content = document
    response = HttpResponse(content, content_type=kind)
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


def _making(access, pk) -> Making:
    rows = Making.objects.select_related("part__component", "engine")
    return get_object_or_404(rows, pk=pk, engine=access.engine)


def making(request, engine, pk):
    """One making: its stages, its next step, what it costs, what happened."""
    access = open_engine(request.user, engine)
    row = _making(access, pk)
    costs = costs_of_making(row)
    mass_kg, mass_from = mass_of_part(row.part, row.metal)
    told = making_sheet(row)
    return sheet(
        request,
        access,
        "making/making.html",
        3,
        making=row,
        part=row.part,
        told=told,
        metal=row.metal or row.part.material,
        size=row.size or row.part.size,
        mass_kg=mass_kg,
        mass_all_kg=mass_kg * told.left if mass_kg else None,
        mass_from=mass_from,
        costs=costs,
        cost_sums=added_up(line.sums for line in costs),
        photos=row.part.photos.all()[:8],
        step_url=_next_url(row, told),
        today=today(),
        back=reverse("parts:makings", args=[engine]),
    )


def _next_url(row, told) -> str:
    name = "making_fit" if told.next_key == Fact.Kind.FITTED else "making_reach"
    return reverse(f"parts:{name}", args=[row.engine_id, row.pk])


def making_edit(request, engine, pk):
    """Mend who makes it, its size, its metal and the rest."""
    access = open_engine(request.user, engine, Right.DECIDE)
    row = _making(access, pk)
    back = reverse("parts:making", args=[engine, pk])
    form = MakingForm(request.POST or None, instance=row, engine=access.engine)
    if request.method == "POST" and save_change(request, form, said="The making is changed."):
        return redirect(back)
    return form_page(
        request,
        access,
        form,
        title=f"Change the making of {row.part}",
        press="Keep the change",
        back=back,
        sheet_no=3,
        remove=("making", row.pk),
    )


def making_reach(request, engine, pk):
    """Say that pieces reached a stage."""
    access = open_engine(request.user, engine, Right.IDENTIFY)
    row = _making(access, pk)
    told = making_sheet(row)
    form = _step(
        request,
        row,
        stages=[(s.key, s.word) for s in row.way.stages],
        initial={"stage": told.next_key, "pieces": max(told.next_pieces, 1)},
    )
    if _done(request, form, facts.reach, row, "The stage is kept."):
        return redirect("parts:making", engine, pk)
    return _step_page(request, access, row, form, f"{row.part}: a stage reached", "Keep this stage")


def making_fit(request, engine, pk):
    """Say that pieces were fitted to the engine."""
    access = open_engine(request.user, engine, Right.IDENTIFY)
    row = _making(access, pk)
    form = _step(request, row, initial={"pieces": max(making_sheet(row).left, 1)})
    if _done(request, form, facts.fit, row, "Fitted."):
        return redirect("parts:making", engine, pk)
    return _step_page(request, access, row, form, f"{row.part}: fitted", "Fitted")


def making_back(request, engine, pk):
    """Say that pieces have not reached a stage after all."""
    access = open_engine(request.user, engine, Right.IDENTIFY)
    row = _making(access, pk)
    reached = [s for s in making_sheet(row).stages if s.reached and s.key != Fact.Kind.FITTED]
    stages = [(s.key, s.word) for s in reached] or [(s.key, s.word) for s in row.way.stages]
    form = _step(
        request,
        row,
        stages=stages,
        because="Why it goes back",
        example="misrun in the thin flange",
        initial={"pieces": 1, "stage": stages[-1][0]},
    )
    if form.is_valid():
        _own_or_lead(access, row, stage=form.cleaned_data["stage"])
    if _done(request, form, facts.set_back, row, "Set back, with the reason."):
        return redirect("parts:making", engine, pk)
    return _step_page(request, access, row, form, f"{row.part}: set back", "Set back", danger=True)


def making_off(request, engine, pk):
    """Say that fitted pieces were taken off again."""
    access = open_engine(request.user, engine, Right.IDENTIFY)
    row = _making(access, pk)
    _own_or_lead(access, row, kind=Fact.Kind.FITTED)
    form = _step(
        request,
        row,
        because="Why it was taken off",
        example="the flange leaks",
        initial={"pieces": 1},
    )
    if _done(request, form, facts.take_off, row, "Taken off."):
        return redirect("parts:making", engine, pk)
    return _step_page(
        request, access, row, form, f"{row.part}: taken off", "Taken off", danger=True
    )


def making_more(request, engine, pk):
    """Decide to make more pieces in the same way."""
    access = open_engine(request.user, engine, Right.DECIDE)
    row = _making(access, pk)
    counts = part_to_decide(row.part)
    wanted = counts.missing + counts.past_use
    form = _step(request, row, initial={"pieces": max(wanted, 1)})
    if _done(request, form, facts.decide_more, row, "More decided."):
        tell_if_spare(request, form.cleaned_data["pieces"], wanted)
        return redirect("parts:making", engine, pk)
    return _step_page(request, access, row, form, f"Make more of {row.part}", "Decide")


def making_withdraw(request, engine, pk):
    """Reopen the decision for some pieces."""
    access = open_engine(request.user, engine, Right.DECIDE)
    row = _making(access, pk)
    form = _step(
        request,
        row,
        because="Why it is reopened",
        example="one turned up under the bed",
        initial={"pieces": max(making_sheet(row).left, 1)},
    )
    if _done(request, form, facts.withdraw, row, "The decision is reopened."):
        return redirect("parts:making", engine, pk)
    title = f"Reopen the decision on {row.part}"
    return _step_page(request, access, row, form, title, "Reopen", danger=True)


def _step(request, row, *, initial, **more) -> StepForm:
    return StepForm(request.POST or None, initial={"day": today()} | initial, **more)


def _done(request, form, verb, row, said: str):
    """Do what a sent form asks. None when nothing was sent, or when it is refused."""
    if request.method != "POST" or not form.is_valid():
        return None
    return act(request, verb, row, form=form, said=said, **form.cleaned_data)


def _step_page(request, access, row, form, title: str, press: str, danger=False):
    return form_page(
        request,
        access,
        form,
        title=title,
        press=press,
        danger=danger,
        back=reverse("parts:making", args=[row.engine_id, row.pk]),
        sheet_no=3,
    )


def _own_or_lead(access, row, **which) -> None:
    """Helpers undo only what they said themselves; a lead undoes anyone's, with a reason."""
    if access.may(Right.DECIDE):
        return
    said = Fact.objects.filter(making=row, pieces__gt=0, **which).last()
    if said is not None:
        access.need_mend(said)
