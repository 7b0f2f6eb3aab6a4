"""Bars: the store, the blanks, the bar plan, and the cutting lists drawn up from it."""

from django.contrib import messages
from django.db.models import Q
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from parts.drafting import paper
from parts.drafting.lettering import money
from parts.engineering.bars.cutting_list import Cutting
from parts.engineering.measures import write_length
from parts.money.queries.costs import cost_lines
from parts.record.access import Right, open_engine
from parts.record.actions.saving import Clash, name_of
from parts.record.models import Job
from parts.record.views.common import (
    act,
    form_page,
    page_of,
    row_page,
    save,
    sheet,
    today,
)

from . import actions, sheets
from .forms import BarForm, BlankForm, BookForm, CutForm, FreezeForm, NewBarForm, SawForm, StockForm
from .models import Bar, BarBlank, CutPlan
from .queries import plan as queries
from .queries.store import bar_store

BARS = "parts:bars"


def bars(request, engine):
    """Bars and offcuts in the store, and lengths that can be bought."""
    access = open_engine(request.user, engine, Right.SEE_PLACES)
    store = bar_store(access.engine)
    return sheet(
        request,
        access,
        "workshop/bars/list.html",
        3,
        store=store,
        page=page_of(request, store.listed),
        lists=queries.cut_lists(access.engine),
        back=reverse("parts:jobs", args=[engine]),
    )


def bar_new(request, engine):
    """Write down bars that lie in the store."""
    access = open_engine(request.user, engine, Right.IDENTIFY)
    row = Bar(engine=access.engine, in_store=True)
    form = NewBarForm(
        request.POST or None, instance=row, engine=access.engine, initial={"day": today()}
    )
    return _row_page(
        request,
        access,
        form,
        title="Bars into the store",
        press="Save bars",
        said="The bars are in the store.",
        write=actions.add_bar,
    )


def stock_new(request, engine):
    """Write down a length that can be bought."""
    access = open_engine(request.user, engine, Right.MANAGE)
    form = StockForm(request.POST or None, instance=Bar(engine=access.engine), engine=access.engine)
    title, press = "A length that can be bought", "Save length"
    return _row_page(request, access, form, title=title, press=press, said="The length is listed.")


def bar_edit(request, engine, pk):
    """Mend a bar, or the price of a length."""
    access = open_engine(request.user, engine, Right.IDENTIFY)
    row = _bar(access, pk)
    access.need_mend(row)
    if not row.in_store:
        access.need(Right.MANAGE)
    kind = BarForm if row.in_store else StockForm
    form = kind(request.POST or None, instance=row, engine=access.engine)
    return _row_page(request, access, form, title=f"Edit {row}", said="The bar is changed.")


def _row_page(request, access, form, **more):
    back = reverse(BARS, args=[access.engine.pk])
    return row_page(request, access, form, back=back, sheet_no=3, **more)


def bar_book(request, engine, pk):
    """Book bars into the store or out of it."""
    access = open_engine(request.user, engine, Right.IDENTIFY)
    row = _bar(access, pk)
    form = BookForm(request.POST or None, initial={"day": today(), "bars": 1, "way": "out"})
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        n = data["bars"] if data["way"] == "in" else -data["bars"]
        said = f"Booked {'into' if n > 0 else 'out of'} the store: {abs(n)} of {row}."
        if act(request, actions.book, row, n, form=form, said=said, day=data["day"],
               reason=data["reason"]):  # fmt: skip
            return redirect(BARS, engine)
    return _page(request, access, form, f"Book {row}", "Book it")


def _bar(access, pk) -> Bar:
    return get_object_or_404(Bar, pk=pk, engine=access.engine)


def _page(request, access, form, title, press, back=None, **more):
    back = back or reverse(BARS, args=[access.engine.pk])
    return form_page(request, access, form, title=title, press=press, back=back, sheet_no=3, **more)


def blank(request, engine, pk):
    """Write the blank of a job: from its fastener, or as it is typed."""
    access = open_engine(request.user, engine, Right.IDENTIFY)
    job = get_object_or_404(
        Job.objects.select_related("part", "engine"), pk=pk, engine=access.engine
    )
    old = BarBlank.objects.filter(job=job).first()
    usual = None if old else queries.usual_blank(job)
    form = BlankForm(
        request.POST or None,
        instance=old or BarBlank(engine=access.engine, job=job),
        engine=access.engine,
        initial=_usual(usual, access.engine),
    )
    if request.method == "POST" and save(request, form, said="The blank is saved."):
        return redirect("parts:bar_plan", engine)
    return sheet(
        request, access, "workshop/bars/blank.html", 3, form=form, job=job, usual=usual,
        title=f"Blank of {job.part}", back=job.get_absolute_url(),
        remove=("barblank", old.pk) if old and access.may_mend(old) else None,
    )  # fmt: skip


def _usual(usual, engine) -> dict:
    if usual is None:
        return {}
    across = usual.bar or write_length(usual.across_mm, engine.length_unit)
    return {
        "section": usual.section,
        "across_written": across,
        "length_written": write_length(usual.length_mm, engine.length_unit),
        "faces": 2,
    }


def bar_plan(request, engine):
    """The cheapest cutting list over all blanks that are open, drawn."""
    access = open_engine(request.user, engine, Right.SEE_PLACES)
    saw = SawForm(request.GET, engine=access.engine)
    kerf, trim = saw.saw
    plan = queries.live_plan(access.engine, kerf, trim)
    kinds = sheets.drawings_of(plan.cutting, access.engine.units, kerf_mm=kerf, trim_mm=trim)
    return sheet(
        request,
        access,
        "workshop/bars/plan.html",
        3,
        saw=saw,
        plan=plan,
        kinds=list(zip(kinds, plan.calculations, strict=True)),
        lists=queries.cut_lists(access.engine),
        back=reverse("parts:jobs", args=[engine]),
        facts=[
            ("Pieces to saw", plan.pieces),
            ("Bars", plan.cutting.bars),
            ("Bars to buy", money(plan.cost, access.engine.currency)),
        ],
    )


@require_POST
def bar_plan_freeze(request, engine):
    """Draw up the plan that was seen as a numbered cutting list."""
    access = open_engine(request.user, engine, Right.MANAGE)
    form = FreezeForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Look at the plan first, then draw it up.")
        return redirect("parts:bar_plan", engine)
    data = form.cleaned_data
    plan = queries.live_plan(access.engine, data["kerf"], data["trim"])
    if plan.mark != data["mark"]:
        messages.error(request, "The plan has changed since you saw it. Look at it again.")
        return redirect("parts:bar_plan", engine)
    estimate = queries.bar_estimate(plan) if data["tally"] else None
    row = act(
        request, actions.save_cutting_list, access.engine, plan.cutting, kerf_mm=data["kerf"],
        end_trim_mm=data["trim"], day=today(),
        said=f"The cutting list is drawn up. {_added(estimate, data['tally'], access.engine)}",
        cost=actions.BarCost(**vars(estimate)) if estimate else None,
    )  # fmt: skip
    if row and estimate:
        _tell_if_counted_before(request, access, plan.cutting)
    return redirect("parts:cut_plan", engine, row.pk) if row else redirect("parts:bar_plan", engine)


def _added(estimate, asked: bool, engine) -> str:
    if estimate and estimate.likely:
        return f"Added to the costs: {money(estimate.likely, engine.currency)}, estimated."
    return "No bar to be bought has a price: no cost is added." if asked else "No cost is added."


def _tell_if_counted_before(request, access, cutting) -> None:
    """The bar of a piece may be in an estimate of its job already."""
    lines = cost_lines(access.engine, None, Q(job__in=cutting.by_job))
    named = [f"“{line.what}”" for line in lines if line.to_come.high and line.basis == "estimated"]
    if named:
        messages.warning(
            request,
            f"These estimates of its jobs are still to come: {', '.join(named)}. If the bar is in "
            "them, make them smaller: it counts with the cutting list now.",
        )


def _list(access, pk) -> CutPlan:
    return get_object_or_404(CutPlan, pk=pk, engine=access.engine)


def cut_plan(request, engine, pk):
    """A cutting list as it was drawn up."""
    access = open_engine(request.user, engine, Right.SEE_PLACES)
    row = _list(access, pk)
    cutting = Cutting.read(row.plan)
    saw = {"kerf_mm": row.kerf_mm, "trim_mm": row.end_trim_mm}
    return sheet(
        request,
        access,
        "workshop/bars/cut_plan.html",
        3,
        row=row,
        cutting=cutting,
        kinds=sheets.drawings_of(cutting, access.engine.units, **saw),
        cautions=sheets.CAUTIONS,
        cost_item=row.plan.get("cost_item"),
        back=reverse("parts:bar_plan", args=[engine]),
    )


def cut_plan_pdf(request, engine, pk):
    """A cutting list for the saw, on paper."""
    access = open_engine(request.user, engine, Right.SEE_PLACES)
    row = _list(access, pk)
    if paper.trouble():
        messages.error(request, paper.trouble())
        return redirect("parts:cut_plan", engine, pk)
    name, kind, content = sheets.saw_pdf(
        Cutting.read(row.plan),
        row,
        engine_name=access.engine.name,
        units=access.engine.units,
        drawn_up=name_of(row.made_by),
        paper_size="letter" if request.GET.get("paper") == "letter" else "A4",
    )
    response = HttpResponse(content, content_type=kind)
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


def cut_plan_cut(request, engine, pk):
    """Say that a cutting list was sawn: stock out, offcuts back, stages on."""
    access = open_engine(request.user, engine, Right.IDENTIFY)
    row = _list(access, pk)
    keep = "4 in" if access.engine.length_unit == "in" else "100 mm"
    initial = {"day": today(), "keep": keep, "stages": True, "seen": row.version}
    form = CutForm(request.POST or None, engine=access.engine, initial=initial)
    back = reverse("parts:cut_plan", args=[engine, pk])
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            if act(request, actions.cut, row, form=form, said="Sawn: the store is booked.",
                   day=data["day"], seen=data["seen"], keep_mm=data["keep"],
                   stages=data["stages"]):  # fmt: skip
                return redirect(back)
        except Clash:
            form.add_error(None, "Someone else changed this list meanwhile. Look at it again.")
    return _page(request, access, form, f"{row} is sawn", "It is sawn", back)


@require_POST
def cut_plan_back(request, engine, pk):
    """Take back a cutting list that is not cut."""
    access = open_engine(request.user, engine, Right.MANAGE)
    row = _list(access, pk)

    def said(uncosted: bool) -> str:
        words = "its estimate is deleted" if uncosted else "nothing is taken out of the costs"
        return f"{row} is taken back: its bars and pieces are free again, and {words}."

    act(request, actions.take_back, row, said=said, reason="taken back before it was cut")
    return redirect("parts:bar_plan", engine)
