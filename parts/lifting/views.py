"""Lifts: gear by its tag, each lift with its figures, how it went, and what a lorry fetches."""

from functools import partial

from django.contrib import messages
from django.http import Http404
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_POST

from parts.drafting.qr import square_code
from parts.engineering.errors import EngineeringError
from parts.engineering.measures import write_mass
from parts.record.access import Right, open_engine
from parts.record.actions.saving import name_of
from parts.record.models import Part
from parts.record.views.bench import bench, picked, units_of
from parts.record.views.common import (
    act,
    back_to,
    page_of,
    row_asked,
    row_page,
    sheet,
    today,
)
from parts.record.views.paper import on_paper, paper_size
from parts.workshop.shapes.queries import masses

from . import actions, forms, sheets
from .models import Gear, Lift
from .queries import hauling
from .queries import lifts as queries

SITE = 4
# Sums of hauling: title, form, what reckons it.
HAULS = {
    "drag": ("Drag or roll a load", forms.SlideForm, hauling.slide),
    "free": ("Pull a piece out of the ground", forms.BeddedForm, hauling.free_bedded),
    "tackle": ("Pull through tackle", forms.TackleForm, hauling.tackle),
    "off-centre": ("Lift with the balance off centre", forms.OffCentreForm, hauling.off_centre),
}


def lifts(request, engine):
    """All lifts, newest first, each with its verdict."""
    access = open_engine(request.user, engine)
    page = page_of(request, queries.lifts_of(access.engine))
    return sheet(
        request,
        access,
        "lifting/list.html",
        SITE,
        page=page,
        lines=queries.lift_sheets(list(page.object_list), today()),
        hauls=[(key, title) for key, (title, *_) in HAULS.items()],
        back=reverse("parts:site", args=[engine]),
    )


def _lift(access, pk) -> Lift:
    return get_object_or_404(queries.lifts_of(access.engine), pk=pk)


def lift(request, engine, pk):
    """One lift: may it be lifted, and how do you know."""
    access = open_engine(request.user, engine)
    row = _lift(access, pk)
    (shown,) = queries.lift_sheets([row], today())
    units, _ = units_of(request, access.engine)
    place = picked(request, shown.calculations)
    gear = [(word, g) for word, g in _gear_of(row) if g]
    return bench(
        request,
        access,
        "lifting/lift.html",
        SITE,
        lift=row,
        shown=shown,
        gear=[(word, line) for word, g in gear for line in queries.gear_lines([g], shown.day)],
        place=place,
        calculation_now=shown.calculations[place] if shown.calculations else None,
        sketch=sheets.sketch(shown, units),
        form=forms.LoadForm(engine=access.engine, auto_id="load_%s"),
        may_mend=access.may_mend(row),
        back=reverse("parts:lifts", args=[engine]),
    )


def _gear_of(row: Lift):
    return (("Sling", row.sling), ("Shackle", row.shackle), ("Hoist or crane", row.hoist))


def lift_pdf(request, engine, pk):
    """The lift plan for the site."""
    access = open_engine(request.user, engine)
    row = _lift(access, pk)
    (shown,) = queries.lift_sheets([row], today())
    units, _ = units_of(request, access.engine)
    address = request.build_absolute_uri(row.get_absolute_url())

    def draw():
        return sheets.pdf(
            shown,
            units=units,
            address=square_code(address, title="Square code that opens this lift"),
            day=today(),
            size=paper_size(request),
            drawn_up=name_of(request.user),
        )

    return on_paper(request, draw, row.get_absolute_url())


def lift_new(request, engine):
    """Plan a lift; with ?part= that part hangs on the hook from the start."""
    access = open_engine(request.user, engine, Right.RECORD)
    _, part = row_asked(request, access, part=Part)
    new = Lift(engine=access.engine)
    form = forms.LiftForm(
        request.POST or None,
        instance=new,
        engine=access.engine,
        initial={"name": part.name} if part else {},
    )
    return row_page(
        request,
        access,
        form,
        title=f"Plan a lift of {part}" if part else "Plan a lift",
        press="Save lift",
        said="The lift is saved.",
        write=partial(actions.add_lift, part=part),
        back=reverse("parts:lifts", args=[engine]),
        to=new,
        sheet_no=SITE,
    )


def lift_edit(request, engine, pk):
    """Change how a lift is rigged."""
    access = open_engine(request.user, engine, Right.RECORD)
    row = _lift(access, pk)
    access.need_mend(row)
    form = forms.LiftForm(request.POST or None, instance=row, engine=access.engine)
    return _change(request, access, form, title=f"Edit the lift: {row.name}")


def lift_done(request, engine, pk):
    """Write down how a lift went."""
    access = open_engine(request.user, engine, Right.RECORD)
    row = _lift(access, pk)
    if row.done_on:
        access.need_mend(row)
    initial = {} if row.done_on else {"done_on": today()}
    form = forms.HappenedForm(
        request.POST or None, instance=row, engine=access.engine, initial=initial
    )
    return _change(request, access, form, title=f"How it went: {row.name}", remove=None)


def _change(request, access, form, **more):
    said, back = "The lift is changed.", form.instance.get_absolute_url()
    return row_page(
        request, access, form, said=said, press="Save", back=back, sheet_no=SITE, **more
    )


@require_POST
def lift_put(request, engine, pk):
    """Hang pieces of a part on the hook, or change how many."""
    access = open_engine(request.user, engine, Right.RECORD)
    row = _lift(access, pk)
    access.need_mend(row)
    form = forms.LoadForm(request.POST, engine=access.engine)
    if form.is_valid():
        data = form.cleaned_data
        act(
            request,
            actions.set_load,
            row,
            data["part"],
            data["pieces"],
            said="It hangs on the hook.",
        )
    else:
        messages.error(request, "Choose a part and a number of pieces, 1 or more.")
    return back_to(row)


@require_POST
def lift_take(request, engine, pk, part):
    """Take a part off the hook again."""
    access = open_engine(request.user, engine, Right.RECORD)
    row = _lift(access, pk)
    access.need_mend(row)
    part = get_object_or_404(Part.everything, pk=part, engine=access.engine)
    act(request, actions.remove_load, row, part, said=f"{part} is off the hook.")
    return back_to(row)


def gear(request, engine):
    """Gear that is at hand, with what each tag says and when it was inspected."""
    access = open_engine(request.user, engine)
    page = page_of(request, Gear.objects.filter(engine=access.engine))
    return sheet(
        request,
        access,
        "lifting/gear.html",
        SITE,
        page=page,
        lines=queries.gear_lines(page.object_list, today()),
        back=reverse("parts:lifts", args=[engine]),
    )


def gear_new(request, engine):
    access = open_engine(request.user, engine, Right.DECIDE)
    new, said = Gear(engine=access.engine), "The gear is in the list."
    return _gear(request, access, new, title="Add gear", said=said)


def gear_edit(request, engine, pk):
    access = open_engine(request.user, engine, Right.DECIDE)
    row = get_object_or_404(Gear, pk=pk, engine=access.engine)
    return _gear(request, access, row, title=f"Edit {row.name}", said="The gear is changed.")


def _gear(request, access, row, **more):
    form = forms.GearForm(request.POST or None, instance=row, engine=access.engine)
    back = reverse("parts:gear", args=[access.engine.pk])
    return row_page(request, access, form, press="Save", back=back, sheet_no=SITE, **more)


def haul(request, engine, kind):
    """A pull, or two unlike legs, reckoned while you stand beside it. Nothing is kept."""
    access = open_engine(request.user, engine)
    if kind not in HAULS:
        raise Http404("There is no such sum.")
    title, form_class, sum_of = HAULS[kind]
    asked = request.GET if "mass" in request.GET else None
    form = form_class(asked, engine=access.engine, initial=_load_asked(request, access))
    calculation = _calculation_of(form, sum_of) if asked is not None else None
    units, _ = units_of(request, access.engine)
    drawn = ""
    if calculation and kind == "off-centre":
        data = form.cleaned_data
        drawn = sheets.two_legs(calculation, data["near"], data["far"], data["height"], units)
    return bench(
        request,
        access,
        "lifting/haul.html",
        SITE,
        form=form,
        title=title,
        kind=kind,
        hauls=[(key, word) for key, (word, *_) in HAULS.items()],
        calculation_now=calculation,
        sketch=drawn,
        back=reverse("parts:lifts", args=[engine]),
    )


def _load_asked(request, access) -> dict:
    """The mass that a link from a lift or part hands on (?part=)."""
    engine = access.engine
    _, part = row_asked(request, access, part=Part)
    known = masses.masses_of(engine, [part]) if part else {}
    if not known:
        return {}
    return {"mass": write_mass(known[part.pk].high, engine.mass_unit, engine.ton, 6)}


def _calculation_of(form, sum_of):
    if not form.is_valid():
        return None
    try:
        return sum_of(**form.cleaned_data, day=today())
    except EngineeringError as error:
        form.add_error(None, str(error))
        return None


def lorry(request, engine):
    """The fewest trips that fetch everything that was found."""
    access = open_engine(request.user, engine)
    form = forms.LorryForm(request.GET if "lorry" in request.GET else None, engine=access.engine)
    loads = None
    if form.is_bound and form.is_valid():
        chosen = form.cleaned_data
        loads = hauling.lorry_loads(access.engine, chosen["lorry"], today(), chosen["component"])
    return bench(
        request,
        access,
        "lifting/lorry.html",
        SITE,
        form=form,
        loads=loads,
        lorries=form.fields["lorry"].queryset.exists(),
        back=reverse("parts:lifts", args=[engine]),
    )
