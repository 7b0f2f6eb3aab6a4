"""The fastener schedule, the thread of each fastener, and whether to make or to buy it."""

from django.contrib import messages
from django.db.models import Q
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from parts.drafting import paper
from parts.drafting.lettering import money
from parts.money.forms import SettlesForm
from parts.money.models import CostItem
from parts.money.queries.costs import CostLine, cost_lines, costs_to_come
from parts.record.access import Right, open_engine
from parts.record.actions.saving import Clash, name_of
from parts.record.models import Basis, Part
from parts.record.views.common import (
    act,
    form_page,
    kept_till_changed,
    page_of,
    row_page,
    sheet,
    today,
)

from . import actions, sheets
from .forms import ChooseForm, FastenerForm, PickForm, QuoteForm
from .models import Fastener, Quote
from .queries.orders import offer, order_sheet
from .queries.schedule import fastener_sheet, schedule

MEASURE = (
    "Clean it with a brush, not a file. Measure over the crests where the rust is least, and count "
    "over as many threads as are left: the count and the angle of the flanks outlive the rust."
)


@kept_till_changed
def fasteners(request, engine):
    """All fasteners by thread, length, head and material."""
    access = open_engine(request.user, engine)
    wanted = request.GET.get("shown") == "wanted"
    told = schedule(access.engine, today(), wanted_only=wanted)
    page = page_of(request, told.lines)
    return sheet(
        request,
        access,
        "workshop/fasteners/list.html",
        3,
        told=told,
        wanted=wanted,
        page=page,
        groups=told.groups_with(page),
        back=reverse("parts:jobs", args=[engine]),
        facts=[
            ("Fasteners", told.all_lines),
            ("Pieces to get", told.sums.to_get),
            ("To decide", told.sums.to_decide),
            ("The cheaper way", money(told.sums.least_cost, told.currency, False)),
        ],
    )


def fasteners_csv(request, engine):
    """The schedule as a table, as it is shown."""
    access = open_engine(request.user, engine)
    wanted = request.GET.get("shown") == "wanted"
    told = schedule(access.engine, today(), wanted_only=wanted)
    return _file(sheets.schedule_csv(told, access.engine.name))


def fasteners_order(request, engine):
    """The order sheet of a supplier: what is decided to be bought and not yet ordered."""
    access = open_engine(request.user, engine)
    if paper.trouble():
        messages.error(request, paper.trouble())
        return redirect("parts:fasteners", engine)
    order = order_sheet(access.engine, request.GET.get("from", ""), today())
    return _file(
        sheets.order_pdf(
            order,
            engine_name=access.engine.name,
            units=access.engine.units,
            drawn_up=name_of(request.user),
            paper_size="letter" if request.GET.get("paper") == "letter" else "A4",
        )
    )


def _file(document) -> HttpResponse:
    name, kind, content = document
    response = HttpResponse(content, content_type=kind)
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


def _part(access, pk) -> Part:
    row = get_object_or_404(Part, pk=pk, engine=access.engine)
    if not row.fastener:
        raise Http404("This part is not entered as a fastening.")
    return row


def fastener(request, engine, part):
    """One fastener: its thread, its mass and blank, what it costs either way."""
    access = open_engine(request.user, engine)
    row = _part(access, part)
    told = fastener_sheet(row, access.engine, today())
    costs = cost_lines(access.engine, None, Q(part=row) | Q(job__part=row))
    return sheet(
        request,
        access,
        "workshop/fasteners/fastener.html",
        3,
        part=row,
        told=told,
        line=told.line,
        costs=costs,
        may_write=access.may_record and (told.row is None or access.may_mend(told.row)),
        back=reverse("parts:fasteners", args=[engine]),
    )


def fastener_edit(request, engine, part):
    """Write down what was measured on a fastener."""
    access = open_engine(request.user, engine, Right.RECORD)
    row = _part(access, part)
    old = Fastener.objects.filter(part=row).first()
    if old is not None:
        access.need_mend(old)
    form = FastenerForm(
        request.POST or None,
        instance=old or Fastener(engine=access.engine, part=row),
        engine=access.engine,
    )
    return row_page(
        request,
        access,
        form,
        title=f"Thread of {row}",
        press="Save measures",
        said="The measures are saved.",
        back=reverse("parts:fastener", args=[engine, part]),
        sheet_no=3,
        intro=MEASURE,
    )


@require_POST
def fastener_pick(request, engine, part):
    """Say which of the threads it may be it is, for certain or not."""
    access = open_engine(request.user, engine, Right.IDENTIFY)
    row = _part(access, part)
    form = PickForm(request.POST)
    if form.is_valid():
        picked = form.cleaned_data
        word = "settled" if picked["sure"] else "entered as likely"
        try:
            act(request, actions.pick_thread, row, said=f"The thread is {word}.", **picked)
        except Clash:
            messages.error(request, "Someone else wrote its thread meanwhile. Look at it again.")
    else:
        messages.error(request, "Choose one of the threads listed.")
    return redirect("parts:fastener", engine, part)


@require_POST
def fastener_choose(request, engine, part):
    """Decide to make or to buy what is still to get."""
    access = open_engine(request.user, engine, Right.DECIDE)
    row = _part(access, part)
    form = ChooseForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Choose whether to make them or to buy them.")
        return redirect("parts:fastener", engine, part)
    way = form.cleaned_data["way"]
    line = fastener_sheet(row, access.engine, today()).line
    offered = offer(line, way, today(), access.engine.currency)
    spares = max(0, line.to_decide - line.counts.wanting)
    wanted = form.cleaned_data["tally"]
    price = actions.Price(**vars(offered)) if offered and wanted else None
    onto = None
    if price is not None:
        lines = _costs_of_others(row)
        asks = SettlesForm(
            request.POST,
            lines=lines,
            currency=access.engine.currency,
            one=True,
            carry={"way": way, "tally": "on"},
        )
        if lines and not asks.is_valid():
            return _ask_what_it_replaces(request, access, row, asks)
        onto = CostItem.objects.get(pk=asks.settled[0].pk) if lines and asks.settled else None
    done = act(
        request, actions.choose, row, way, line.to_decide, spares=spares, price=price, onto=onto,
        day=today(),
        said=lambda done: _said(done, way, price, access.engine.currency),
    )  # fmt: skip
    if done and wanted and not done.costed:
        why = "the same amount or a firmer one is written already" if price else "no price is known"
        messages.warning(request, f"No new amount was written into the cost tally: {why}.")
    return redirect("parts:fastener", engine, part)


def _said(done, way: str, price, currency: str) -> str:
    said = "Decided: to make them." if way == "machine" else "Decided: to buy them."
    if not done.costed:
        return said
    basis = Basis(price.basis).label.lower()
    return f"{said} Written into the costs: {money(price.likely, currency)}, {basis}."


def _costs_of_others(row) -> list[CostLine]:
    """Costs still to come of the part that no choice here wrote: the price may be one of them."""
    own = CostItem.objects.filter(part=row, note__startswith=actions.FROM_SCHEDULE)
    ours = set(own.values_list("pk", flat=True))
    return [line for line in costs_to_come(row) if line.pk not in ours]


def _ask_what_it_replaces(request, access, row, asks):
    """Ask before a price is added beside other costs of the same part."""
    return form_page(
        request,
        access,
        asks,
        title=f"Costs of {row}",
        press="Decide",
        back=reverse("parts:fastener", args=[access.engine.pk, row.pk]),
        sheet_no=3,
        intro="Other costs of it are still to come. Is the price one of them?",
    )


def quote_new(request, engine, part):
    """Write down what a supplier asks."""
    access = open_engine(request.user, engine, Right.MANAGE)
    row = _part(access, part)
    form = QuoteForm(
        request.POST or None,
        instance=Quote(engine=access.engine, part=row),
        engine=access.engine,
        initial={"day": today()},
    )
    return row_page(
        request,
        access,
        form,
        title=f"A quote for {row}",
        press="Save quote",
        said="The quote is saved.",
        back=reverse("parts:fastener", args=[engine, part]),
        sheet_no=3,
    )


def quote_edit(request, engine, pk):
    """Mend a quote."""
    access = open_engine(request.user, engine, Right.MANAGE)
    row = get_object_or_404(Quote.objects.select_related("part"), pk=pk, engine=access.engine)
    return row_page(
        request,
        access,
        QuoteForm(request.POST or None, instance=row, engine=access.engine),
        title=f"Edit the quote for {row.part}",
        said="The quote is changed.",
        back=reverse("parts:fastener", args=[engine, row.part_id]),
        sheet_no=3,
    )
