"""Sheet 5: what it costs."""

from django.contrib import messages
from django.db.models import Q
from django.http import FileResponse, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse

from parts.drafting.charts import bars
from parts.drafting.lettering import money
from parts.drafting.scales import nice_top
from parts.engineering.casting.costs import share_out
from parts.record.access import Right, open_engine
from parts.record.models import Basis, Component, Job, Part
from parts.record.views.common import (
    act,
    form_page,
    kept_till_changed,
    page_of,
    row_asked,
    row_page,
    save,
    send,
    sheet,
    today,
)

from . import actions, sheets
from .forms import AmountForm, CostFilterForm, CostForm, PaperForm, SettlesForm
from .models import CostAmount, CostItem, CostPaper
from .queries.costs import (
    CostFilters,
    CostLine,
    amounts_handed_on,
    cost_lines,
    cost_table,
    open_costs,
)
from .queries.tally import cost_tally, simulated_total

MONTHS_SHOWN = 24


@kept_till_changed
def costs(request, engine):
    """The cost tally, and the costs it adds up."""
    access = open_engine(request.user, engine)
    tally = cost_tally(access.engine)
    kept = tally.costs.filtered(_filters(request.GET))
    page = page_of(request, kept.rows)
    currency = tally.currency
    rows = [*tally.by_heading, *tally.by_component]
    return sheet(
        request,
        access,
        "money/costs.html",
        5,
        tally=tally,
        pence=tally.pence,
        simulated=simulated_total(tally),
        top=nice_top(float(max([row.sums.total.high for row in rows] or [0])), 4),
        chart=_chart(tally),
        months_hidden=max(len(tally.by_month) - MONTHS_SHOWN, 0),
        page=page,
        lines=kept.lines(page.object_list),
        kept=kept.sums,
        filters=CostFilterForm(request.GET, components=tally.by_component),
        facts=[
            ("Spent", money(tally.spent, currency, False)),
            ("Ordered, not paid", money(tally.committed.likely, currency, False)),
            ("Still to come", money(tally.to_come.likely, currency, False)),
            ("Likely total", money(tally.total.likely, currency, False)),
        ],
    )


def _filters(asked) -> CostFilters:
    words = (asked.get(name, "") for name in ("heading", "basis", "component", "q"))
    return CostFilters(*words)


def _chart(tally):
    rows = [(f"{m.month:%b %Y}", float(m.spent)) for m in tally.by_month[-MONTHS_SHOWN:]]
    if not rows:
        return ""
    return bars(
        rows,
        write=lambda amount: money(round(amount), tally.currency),
        title="Spent, month by month",
        colour="green",
    )


def tally_csv(request, engine):
    """The cost tally as a table."""
    access = open_engine(request.user, engine)
    return _file(sheets.tally_csv(cost_tally(access.engine, today()), access.engine.name))


def costs_csv(request, engine):
    """The costs as a table, filtered as the list is."""
    access = open_engine(request.user, engine)
    kept = cost_table(access.engine).filtered(_filters(request.GET)).lines()
    name, currency = access.engine.name, access.engine.currency
    return _file(sheets.costs_csv(kept, name, currency, today()))


def _file(document) -> HttpResponse:
    name, kind, content = document
    response = HttpResponse(content, content_type=kind)
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


def cost(request, engine, pk):
    """One cost: its amounts by date, and its papers."""
    access = open_engine(request.user, engine)
    row = _cost(access, pk)
    return sheet(
        request,
        access,
        "money/cost.html",
        5,
        cost=row,
        line=_line(access, row),
        amounts=row.amounts.select_related("out_of", "lot"),
        handed_on=amounts_handed_on(row),
        papers=row.papers.all() if access.may_see_places else None,
        back=reverse("parts:costs", args=[engine]),
    )


def _line(access, row) -> CostLine:
    (line,) = cost_lines(access.engine, None, Q(pk=row.pk))
    return line


def _cost(access, pk) -> CostItem:
    rows = CostItem.objects.select_related("part", "job__part", "component", "pour")
    return get_object_or_404(rows, pk=pk, engine=access.engine)


def cost_new(request, engine):
    """Add a cost, with its first amount. ?part=, ?job=, ?component= say what it is for."""
    access = open_engine(request.user, engine, Right.MANAGE)
    item = CostItem(engine=access.engine, **_of(request, access))
    form = CostForm(request.POST or None, instance=item, engine=access.engine)
    amount = CostAmount(item=item, day=today())
    amount_form = AmountForm(
        request.POST or None,
        instance=amount,
        engine=access.engine,
        prefix="amount",
        optional=True,
        initial={"basis": "estimated"},
    )
    asks = None
    if request.method == "POST" and all([form.is_valid(), amount_form.is_valid()]):
        first = amount_form.instance if amount_form.given else None
        asks = _what_it_settles(request, access, form.instance, first)
        kept = _keep_cost(request, access, form, first, asks)
        if kept:
            return redirect("parts:cost", engine, kept.pk)
    back = reverse("parts:costs", args=[engine])
    return sheet(
        request,
        access,
        "money/cost_new.html",
        5,
        form=form,
        amount_form=amount_form,
        asks=asks,
        back=back,
    )


def _what_it_settles(request, access, item, first) -> SettlesForm | None:
    """Ask which cost a first amount settles, where there are any that it may."""
    if first is None or first.basis == Basis.ESTIMATED:
        return None
    part = item.part or (item.job.part if item.job else None)
    component = part.component_id if part else item.component_id
    lines = open_costs(
        access.engine, part=part and part.pk, component=component, heading=item.heading
    )
    paid = first.likely if first.basis == Basis.PAID else None
    asks = SettlesForm(request.POST, lines=lines, currency=access.engine.currency, paid=paid)
    return asks if lines else None


def _keep_cost(request, access, form, first, asks) -> CostItem | None:
    """Add a cost, or its first amount into the costs it settles. None when something is asked."""
    if asks is not None and not asks.is_valid():
        return None
    item, currency = form.instance, access.engine.currency
    if asks is None or not asks.settled:
        said = f"Saved: {item.what}, " + (
            f"{first.get_basis_display().lower()} {money(first.likely, currency)}."
            if first
            else "without an amount yet."
        )
        return act(request, actions.add_cost, item, first, form=form, said=said)
    lines = asks.settled
    sums = share_out(first.likely, [float(line.to_come.likely) for line in lines])
    rows = CostItem.objects.in_bulk([line.pk for line in lines])
    word = first.get_basis_display().lower()
    done = act(
        request,
        actions.book_receipt,
        [
            actions.ReceiptLine(rows[line.pk], amount, asks.rest_stands)
            for line, amount in zip(lines, sums, strict=True)
        ],
        day=first.day,
        basis=first.basis,
        note=", ".join(filter(None, [item.what, item.supplier, first.note, item.note])),
        form=form,
        said="Saved: "
        + "; ".join(
            f"{money(amount, currency)} {word} on “{line.what}”"
            for line, amount in zip(lines, sums, strict=True)
        )
        + ".",
    )
    if not done:
        return None
    for row in rows.values():
        _tell_if_over(request, access, row)
    return rows[lines[0].pk]


def _of(request, access) -> dict:
    """What the address says that the new cost is for."""
    found = {}
    for name, model in (("part", Part), ("job", Job), ("component", Component)):
        if row := row_asked(request, access, **{name: model})[1]:
            found[name] = row
    if "job" in found:
        found["part"] = found["job"].part
    return found


def cost_edit(request, engine, pk):
    """Mend what a cost is for."""
    access = open_engine(request.user, engine, Right.MANAGE)
    row = _cost(access, pk)
    return row_page(
        request,
        access,
        CostForm(request.POST or None, instance=row, engine=access.engine),
        title=f"Edit “{row.what}”",
        said="The cost is changed.",
        write=actions.change_cost,
        back=reverse("parts:cost", args=[engine, pk]),
        sheet_no=5,
    )


def amount_new(request, engine, pk):
    """Write an amount of a cost: estimated, quoted, ordered or paid."""
    access = open_engine(request.user, engine, Right.MANAGE)
    row = _cost(access, pk)
    form = AmountForm(
        request.POST or None,
        instance=CostAmount(item=row, day=today()),
        engine=access.engine,
        line=_line(access, row),
        initial={"basis": request.GET.get("basis", "")},
    )
    return _amount(
        request,
        access,
        form,
        title=f"An amount of “{row.what}”",
        press="Save amount",
        said="The amount is saved.",
        write=actions.add_amount,
    )


def _amount(request, access, form, *, said, write, **page):
    item = form.instance.item
    back = reverse("parts:cost", args=[access.engine.pk, item.pk])
    if request.method == "POST" and save(request, form, said=said, write=write):
        _tell_if_over(request, access, item)
        return redirect(back)
    return form_page(request, access, form, back=back, sheet_no=5, **page)


def _tell_if_over(request, access, row) -> None:
    line = _line(access, row)
    if line.over:
        currency = access.engine.currency
        messages.warning(
            request,
            f"{money(line.paid, currency)} is paid: {money(line.over, currency)} more than "
            f"was {line.basis}. If that is so, let it stand.",
        )


def amount_edit(request, engine, pk):
    """Edit an amount that was written wrongly."""
    access = open_engine(request.user, engine, Right.MANAGE)
    row = get_object_or_404(
        CostAmount.objects.select_related("item"),
        pk=pk,
        item__engine=access.engine,
        item__removed_at__isnull=True,
    )
    line = _line(access, row.item)
    return _amount(
        request,
        access,
        AmountForm(request.POST or None, instance=row, engine=access.engine, line=line),
        title=f"Edit an amount of “{row.item.what}”",
        said="The amount is changed.",
        write=actions.change_amount,
    )


def paper_new(request, engine, pk):
    """Keep a quote, order or receipt with a cost."""
    access = open_engine(request.user, engine, Right.MANAGE)
    row = _cost(access, pk)
    back = reverse("parts:cost", args=[engine, pk])
    form = PaperForm(
        request.POST or None,
        request.FILES or None,
        user=request.user,
        initial={"day": today(), "kind": "receipt"},
    )
    if request.method == "POST":

        def keep(by):
            return actions.add_paper(row, by=by, uid=form.uid, **form.cleaned_data)

        if send(request, form, keep, said="The paper is saved."):
            return redirect(back)
    return form_page(
        request,
        access,
        form,
        title=f"A paper of “{row.what}”",
        press="Save paper",
        back=back,
        sheet_no=5,
    )


def paper(request, engine, pk):
    """A paper as it came. It may tell where things are sent, so it is for leads and helpers."""
    access = open_engine(request.user, engine, Right.SEE_PLACES)
    row = get_object_or_404(
        CostPaper, pk=pk, item__engine=access.engine, item__removed_at__isnull=True
    )
    name = f"{row.day}-{row.get_kind_display().lower()}-{row.pk}.{row.suffix}"
    return FileResponse(row.file.open(), as_attachment=True, filename=name)
