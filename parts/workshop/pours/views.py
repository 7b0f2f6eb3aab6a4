"""Sheet 3: the pour plan, and each pour from the proposal to what came of it."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from parts.drafting import paper
from parts.drafting.lettering import money
from parts.engineering.measures import Measure
from parts.engineering.measures.reading import whole
from parts.money.models import CostItem
from parts.record.access import Right, open_engine
from parts.record.actions.saving import name_of
from parts.record.models import Job, Material
from parts.record.views.common import (
    act,
    form_page,
    kept_till_changed,
    page_of,
    row_page,
    sheet,
    today,
)
from parts.workshop.jobs.queries.job import stages_to_write
from parts.workshop.metal.forms import WhyForm
from parts.workshop.metal.models import MetalLot
from parts.workshop.metal.queries import metal_store

from . import sheets as document
from .actions import pours as acts
from .actions.costs import BoughtItem
from .actions.costs import book as book_costs
from .actions.pours import Result, Weighed
from .forms import (
    FUELS,
    CastingsForm,
    HappenedForm,
    PourCostsForm,
    PourForm,
    WeighForm,
    written_mass,
)
from .models import Pour
from .queries import plan as queries
from .queries import pour as sheets
from .queries.costs import pour_booking

LATEST = 10  # of each list, where several stand together


@kept_till_changed
def pours(request, engine):
    """What waits to be poured, by metal, in the pours proposed for it; and all pours."""
    access = open_engine(request.user, engine, Right.SEE_PLACES)
    ready = request.GET.get("ready") == "1"
    kind = request.GET.get("kind", "")
    plan = queries.pour_plan(access.engine, ready=ready, material=kind)
    lines = queries.pours_of(access.engine)
    alone = plan.metals[0].proposed if kind and plan.metals else ()
    return sheet(
        request,
        access,
        "workshop/pours/list.html",
        3,
        plan=plan,
        ready=ready,
        kind=kind,
        some=":" if kind else f":{LATEST}",
        page=page_of(request, alone if kind else lines),
        listed=lines[:LATEST] if kind else page_of(request, lines),
        back=reverse("parts:jobs", args=[engine]),
        facts=[
            ("Castings waiting", plan.pieces),
            ("Pours proposed", plan.pours),
            ("Crucibles", len(plan.good)),
        ],
    )


def pour_new(request, engine):
    """Plan a pour from a proposal: ?metal=bronze&crucible=3&take=12x2,15x1."""
    access = open_engine(request.user, engine, Right.IDENTIFY)
    waiting = _asked(access.engine, request.GET.get("take", ""))
    if not waiting:
        return redirect("parts:pours", engine)
    material = waiting[0][1].line.metal
    metals = queries.metal_choices(material)
    form = PourForm(
        request.POST or None,
        instance=Pour(engine=access.engine, who=name_of(request.user)),
        engine=access.engine,
        metals=metals,
        initial={"crucible": whole(request.GET.get("crucible"))},
    )
    rows = [(w.job_id, f"{w.line.item} {w.line.name}", n, w.poured_kg, w.short) for n, w in waiting]
    castings = CastingsForm(request.POST or None, engine=access.engine, waiting=rows)
    if request.method == "POST" and form.is_valid() and castings.is_valid():
        made = _planned(request, access, form, castings)
        if made:
            return redirect("parts:pour", engine, made.pk)
    return sheet(
        request,
        access,
        "workshop/pours/new.html",
        3,
        form=form,
        castings=castings,
        word=Material(material).label,
        back=reverse("parts:pours", args=[engine]),
    )


def _asked(engine, take: str) -> list[tuple[int, queries.Waiting]]:
    """(pieces, what waits) of each casting that an address names, all of the first one's metal."""
    known = {w.job_id: w for w in queries.waiting_castings(engine)}
    found = []
    for word in take[:4000].split(","):
        job, _, n = word.partition("x")
        pieces, waiting = whole(n, 5), known.get(whole(job))
        if not waiting or pieces is None:
            continue
        if not found or waiting.line.metal == found[0][1].line.metal:
            found.append((pieces, waiting))
    return found


def _planned(request, access, form, castings):
    jobs = Job.objects.filter(engine=access.engine).select_related("part")
    rows = [
        (get_object_or_404(jobs, pk=key), pieces, kg) for key, pieces, kg in castings.castings()
    ]
    return act(request, acts.plan, form.instance, rows, form=form, said="The pour is planned.")


def _pour(access, pk) -> Pour:
    rows = Pour.objects.select_related("crucible", "engine")
    return get_object_or_404(rows, pk=pk, engine=access.engine)


def _pour_url(pour) -> str:
    return reverse("parts:pour", args=[pour.engine_id, pour.pk])


def pour(request, engine, pk):
    """One pour: castings, charge, heat, fuel, time, check list; afterwards what came of it."""
    access = open_engine(request.user, engine, Right.SEE_PLACES)
    row = _pour(access, pk)
    return sheet(
        request,
        access,
        "workshop/pours/pour.html",
        3,
        pour=row,
        told=sheets.pour_sheet(row),
        booking=pour_booking(row) if row.poured_on else None,
        back=reverse("parts:pours", args=[engine]),
    )


def pour_edit(request, engine, pk):
    """Mend a pour that has not happened."""
    access = open_engine(request.user, engine, Right.IDENTIFY)
    row = _pour(access, pk)
    back = _pour_url(row)
    if row.poured_on:
        return redirect(back)
    metals = queries.metal_choices(sheets.material_of(row.metal))
    return row_page(
        request,
        access,
        PourForm(request.POST or None, instance=row, engine=access.engine, metals=metals),
        title=f"Edit pour {row.number}",
        said="The pour is changed.",
        write=acts.change,
        back=back,
        sheet_no=3,
    )


def pour_aside(request, engine, pk):
    """Set metal of the store aside for a pour."""
    access = open_engine(request.user, engine, Right.IDENTIFY)
    row = _pour(access, pk)
    if row.poured_on:
        return redirect(_pour_url(row))
    told = sheets.pour_sheet(row)
    form = _weigh_form(request, access, row, told)
    if request.method == "POST" and form.is_valid():
        said, weighed = f"The metal of pour {row.number} is set aside.", _weighed(access, form)
        if act(request, acts.set_aside, row, weighed, form=form, said=said) is not None:
            return redirect(_pour_url(row))
    return sheet(
        request,
        access,
        "workshop/pours/aside.html",
        3,
        pour=row,
        told=told,
        weigh=form,
        back=_pour_url(row),
    )


def _weigh_form(request, access, row, told, said: bool = True) -> WeighForm:
    """Lots that may go in: those of the charge first, with what to weigh out of each.

    Unless somebody `said` so by setting it aside, a proposal is not filled in as if weighed.
    """
    unit = access.engine.mass_unit
    of_charge = {w.lot.pk: w for w in told.charge.weights}
    others = [
        lot
        for lot in sheets.usable(metal_store(access.engine), row.metal)
        if lot.pk not in of_charge
    ]
    return WeighForm(
        request.POST or None,
        engine=access.engine,
        lots=[
            (w.lot.pk, w.lot.name, _there(w.lot, unit), w.text(unit) if said else "")
            for w in of_charge.values()
        ],
        others=[(lot.pk, lot.name, _there(lot, unit), "") for lot in others],
    )


def _there(lot, unit: str) -> str:
    aside = f"{written_mass(round(lot.aside_kg, 3), unit)} of it" if lot.aside_kg else "none"
    on_hand = written_mass(round(lot.on_hand_kg, 3), unit)
    return f"{lot.kind}: {on_hand} on hand, {aside} set aside. {lot.good_for}".strip()


def _weighed(access, form) -> dict[MetalLot, Weighed]:
    given = form.weighed()
    lots = MetalLot.objects.filter(engine=access.engine, pk__in=given)
    return {lot: _as_weighed(given[lot.pk]) for lot in lots}


def _as_weighed(mass: Measure) -> Weighed:
    return Weighed(mass.value, mass.written, mass.unit)


@require_POST
def pour_free(request, engine, pk):
    """Put what was set aside back into the store."""
    access = open_engine(request.user, engine, Right.IDENTIFY)
    row = _pour(access, pk)
    act(request, acts.free, row, said="Nothing is set aside any more.")
    return redirect(_pour_url(row))


def pour_done(request, engine, pk):
    """Write down what came of a pour: store, stages and costs are booked with it."""
    access = open_engine(request.user, engine, Right.IDENTIFY)
    row = _pour(access, pk)
    if row.poured_on:
        return redirect(_pour_url(row))
    told = sheets.pour_sheet(row)
    stages = _stages(told.castings, today())
    form = HappenedForm(
        request.POST or None,
        engine=access.engine,
        castings=told.castings,
        back_kg=sheets.expected_back_kg(told),
        initial={"poured_on": today(), "who": row.who, "stages": stages},
    )
    weigh = _weigh_form(request, access, row, told, said=told.charge.status == "set aside")
    costs = _costs_form(request, row) if access.may_manage else None
    valid = [one.is_valid() for one in (form, weigh, costs) if one is not None]
    if request.method == "POST" and all(valid):
        stages = _stages(told.castings, form.cleaned_data["poured_on"])
        if form.agreed_to(stages) and _happened(request, access, row, form, weigh, costs):
            return redirect(_pour_url(row))
    return sheet(
        request,
        access,
        "workshop/pours/done.html",
        3,
        pour=row,
        told=told,
        form=form,
        weigh=weigh,
        costs=costs,
        stages=stages,
        back=_pour_url(row),
    )


def _stages(castings, day) -> str:
    """The stages that a pour marks as reached, in words: "13 Bush: measured 3, drawn 3"."""
    wanted = [(casting.job, "poured", casting.pieces) for casting in castings]
    written = stages_to_write(wanted, day)
    parts = {casting.job_id: casting.job.part for casting in castings}
    return "; ".join(
        f"{parts[job]}: " + ", ".join(f"{stage.word} {n}" for stage, n in stages)
        for job, stages in written.items()
    )


def _costs_form(request, row, booked=()) -> PourCostsForm:
    return PourCostsForm(
        request.POST or None,
        engine=row.engine,
        fuel=FUELS.get(row.fuel, row.fuel).capitalize(),
        booked=booked,
        costs=CostItem.objects.billed(row.engine),
        prefix="costs",
    )


def _items(form) -> list[BoughtItem]:
    return [BoughtItem(*item) for item in form.items()] if form else []


def _happened(request, access, row, form, weigh, costs):
    back = form.cleaned_data["back"]
    bought = _items(costs)
    return act(
        request,
        acts.record_result,
        row,
        form.values(),
        {key: Result(good, why) for key, (good, why) in form.results().items()},
        _weighed(access, weigh),
        _as_weighed(back) if back else None,
        bought,
        form=form,
        said=lambda done: f"Pour {row.number} is saved. {_booked(done)}",
        move_stages=not form.cleaned_data["already"],
    )


def _booked(pour) -> str:
    """What was booked to the castings, in a sentence."""
    booking, currency = pour_booking(pour), pour.engine.currency
    jobs = "; ".join(f"{line.part} {money(line.spent, currency, True)}" for line in booking.lines)
    said = f"Booked to its castings: {jobs}."
    if booking.free_lots:
        said += f" Metal valued at nothing: {', '.join(map(str, booking.free_lots))}."
    return said if booking.bought else f"{said} No fuel and no bought item is booked."


def pour_costs(request, engine, pk):
    """Book what a pour cost to its castings again: fuel, bought items, and metal as valued now."""
    access = open_engine(request.user, engine, Right.MANAGE)
    row = _pour(access, pk)
    if not row.poured_on:
        return redirect(_pour_url(row))
    form = _costs_form(request, row, pour_booking(row).bought)
    if request.method == "POST" and form.is_valid():
        items = _items(form)
        if act(request, book_costs, row, items, form=form, said=lambda _: _booked(row)):
            return redirect(_pour_url(row))
    return form_page(
        request,
        access,
        form,
        title=f"Costs of pour {row.number}",
        press="Book to the castings",
        back=_pour_url(row),
        sheet_no=3,
        intro="The metal is booked at what its lots are worth now, less what came back.",
    )


def pour_undo(request, engine, pk):
    """Undo the result of a pour as a whole: it is planned again."""
    access = open_engine(request.user, engine, Right.DECIDE)
    row = _pour(access, pk)
    if not row.poured_on:
        return redirect(_pour_url(row))
    form = WhyForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        said = f"The result of pour {row.number} is undone: store, stages and costs are as before."
        if act(request, acts.undo, row, form=form, said=said, reason=form.cleaned_data["reason"]):
            return redirect(_pour_url(row))
    return sheet(
        request,
        access,
        "shared/confirm.html",
        3,
        form=form,
        title=f"Undo the result of pour {row.number}",
        question="Its metal goes back into its lots, the lot of its returns is deleted, its stages "
        "and its costs are taken back. It is then planned again. The history keeps it.",
        press="Undo the result",
        back=_pour_url(row),
    )


def pour_drop(request, engine, pk):
    """Give up a pour that has not happened."""
    access = open_engine(request.user, engine, Right.IDENTIFY)
    row = _pour(access, pk)
    form = WhyForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        reason = form.cleaned_data["reason"]
        said = f"Pour {row.number} is cancelled."
        if act(request, acts.cancel, row, form=form, said=said, reason=reason):
            return redirect("parts:pours", engine)
    return sheet(
        request,
        access,
        "shared/confirm.html",
        3,
        form=form,
        title=f"Give up pour {row.number}",
        question="Its castings wait again, and the metal set aside for it is free. "
        "The history keeps it.",
        press="Cancel pour",
        back=_pour_url(row),
    )


def pour_sheet_pdf(request, engine, pk):
    """The sheet of the foundry day, on A4 or with ?paper=letter."""
    access = open_engine(request.user, engine, Right.SEE_PLACES)
    row = _pour(access, pk)
    if trouble := paper.trouble():
        messages.error(request, trouble)
        return redirect(_pour_url(row))
    name, kind, content = document.pdf(
        sheets.pour_sheet(row),
        engine=access.engine,
        drawn_up=name_of(request.user),
        day=today(),
        paper_size="letter" if request.GET.get("paper") == "letter" else "A4",
    )
    response = HttpResponse(content, content_type=kind)
    response["Content-Disposition"] = f'inline; filename="{name}"'
    return response
