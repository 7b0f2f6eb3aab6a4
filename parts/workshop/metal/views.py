"""Sheet 3: the metal store, its lots, and the crucibles."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse

from parts.drafting.lettering import money
from parts.record.access import Right, open_engine
from parts.record.models import Find, Material
from parts.record.views.common import (
    act,
    form_page,
    page_of,
    row_asked,
    row_page,
    sheet,
    today,
)

from . import actions, queries, sheets
from .forms import CrucibleForm, FirstMassForm, LotForm, MoveForm, WhyForm
from .models import Crucible, MetalLot, MetalMove


def metal(request, engine):
    """The lots of the store: what each is, what is left of it, what it is worth."""
    access = open_engine(request.user, engine, Right.SEE_PLACES)
    store = queries.metal_store(access.engine)
    material = request.GET.get("kind", "")
    used_up = request.GET.get("used") == "1"
    return sheet(
        request,
        access,
        "workshop/metal/store.html",
        3,
        store=store,
        page=page_of(request, store.lots_of(material, used_up)),
        kind=material,
        used_up=used_up,
        kinds=[(key, _word(key), kg) for key, kg in store.by_material],
        back=reverse("parts:jobs", args=[engine]),
        facts=[
            ("Lots", len(store.lots_of())),
            ("Worth", money(store.worth, store.currency, False)),
        ],
    )


def _word(material: str) -> str:
    return "Tin, zinc and others" if material == Material.NOT_KNOWN else Material(material).label


def metal_csv(request, engine):
    """The store as a table."""
    access = open_engine(request.user, engine, Right.SEE_PLACES)
    store = queries.metal_store(access.engine)
    return _file(sheets.store_csv(store, access.engine.name, today()))


def _file(document) -> HttpResponse:
    name, kind, content = document
    response = HttpResponse(content, content_type=kind)
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


def _lot(access, pk) -> MetalLot:
    return get_object_or_404(MetalLot, pk=pk, engine=access.engine)


def _lot_url(lot) -> str:
    return reverse("parts:lot", args=[lot.engine_id, lot.pk])


def lot(request, engine, pk):
    """One lot: what is in it, and all that went in and out."""
    access = open_engine(request.user, engine, Right.SEE_PLACES)
    row = _lot(access, pk)
    return sheet(
        request,
        access,
        "workshop/metal/lot.html",
        3,
        lot=row,
        line=queries.metal_store(access.engine).lot(row.pk),
        page=page_of(request, queries.moves_of(row)),
        aside=queries.set_aside_of(row),
        back=reverse("parts:metal", args=[engine]),
    )


def lot_csv(request, engine, pk):
    """What went in and out of a lot, as a table."""
    access = open_engine(request.user, engine, Right.SEE_PLACES)
    row = _lot(access, pk)
    return _file(sheets.moves_csv(row, queries.moves_of(row), access.engine.name))


def lot_new(request, engine):
    """A new lot, with what there is of it. ?find= makes it of a find."""
    access = open_engine(request.user, engine, Right.IDENTIFY)
    _, find = row_asked(request, access, find=Find)
    first = queries.initial_from_find(find) if find else {}
    mass = first.pop("mass_written", "")
    form = LotForm(
        request.POST or None,
        instance=MetalLot(engine=access.engine),
        engine=access.engine,
        may_price=access.may_manage,
        initial={"known": MetalLot.Known.ASSUMED, "find": find, **first},
    )
    amount = FirstMassForm(
        request.POST or None, engine=access.engine, initial={"mass": mass, "day": today()}
    )
    if request.method == "POST" and form.is_valid() and amount.is_valid():
        mass = amount.cleaned_data["mass"]
        move = MetalMove(
            day=amount.cleaned_data["day"], kg=mass.value, written=mass.written, unit=mass.unit
        )
        move.reason = form.instance.where_from or "First weighing"
        made = _kept(request, form, move)
        if made:
            return redirect(_lot_url(made))
    back = find.get_absolute_url() if find else reverse("parts:metal", args=[engine])
    return sheet(
        request,
        access,
        "workshop/metal/lot_new.html",
        3,
        form=form,
        amount=amount,
        find=find,
        back=back,
    )


def _kept(request, form, move):
    if move.kg <= 0:
        form.add_error(None, "How much is there? Give a mass more than nothing.")
        return None
    said = f"{form.instance.name} is in the store."
    return act(request, actions.new_lot, form.instance, move, form=form, said=said)


def lot_edit(request, engine, pk):
    """Mend what is known of a lot."""
    access = open_engine(request.user, engine, Right.IDENTIFY)
    row = _lot(access, pk)
    form = LotForm(
        request.POST or None, instance=row, engine=access.engine, may_price=access.may_manage
    )
    return row_page(
        request,
        access,
        form,
        title=f"Edit {row}",
        said="The lot is changed.",
        write=actions.change_lot,
        back=_lot_url(row),
        sheet_no=3,
    )


def lot_in(request, engine, pk):
    """Book metal into a lot."""
    return _book(request, engine, pk, out=False)


def lot_out(request, engine, pk):
    """Book metal out of a lot."""
    return _book(request, engine, pk, out=True)


def _book(request, engine, pk, *, out: bool):
    access = open_engine(request.user, engine, Right.IDENTIFY)
    row = _lot(access, pk)
    form = MoveForm(request.POST or None, engine=access.engine, out=out, initial={"day": today()})
    if request.method == "POST" and form.is_valid():
        mass = form.cleaned_data["mass"]
        done = act(
            request,
            actions.book,
            row,
            -mass.value if out else mass.value,
            form=form,
            said=f"{mass.written} {'taken from' if out else 'put to'} {row}.",
            day=form.cleaned_data["day"],
            written=mass.written,
            unit=mass.unit,
            reason=form.cleaned_data["reason"],
        )
        if done:
            return redirect(_lot_url(row))
    return form_page(
        request,
        access,
        form,
        title=f"{'Take from' if out else 'Put to'} {row}",
        press="Book it",
        back=_lot_url(row),
        sheet_no=3,
    )


def move_remove(request, engine, pk):
    """Take back a move that was typed by mistake."""
    access = open_engine(request.user, engine, Right.IDENTIFY)
    move = get_object_or_404(MetalMove.objects.select_related("lot"), pk=pk, engine=access.engine)
    access.need_mend(move)
    back = _lot_url(move.lot)
    form = WhyForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        reason = form.cleaned_data["reason"]
        if act(
            request, actions.delete_move, move, form=form, said="It never happened.", reason=reason
        ):
            return redirect(back)
    return sheet(
        request,
        access,
        "shared/confirm.html",
        3,
        form=form,
        title="Delete this entry",
        question=f"{move.day:%-d %b %Y}, {move.reason or 'no reason given'}: {move.lot} will stand "
        "as if this had never been booked. The history keeps it.",
        press="It never happened",
        back=back,
    )


def crucible_new(request, engine):
    access = open_engine(request.user, engine, Right.IDENTIFY)
    pot, title = Crucible(engine=access.engine), "Add a crucible"
    return _crucible(request, access, pot, title=title, said="The crucible is saved.")


def crucible_edit(request, engine, pk):
    access = open_engine(request.user, engine, Right.IDENTIFY)
    pot = get_object_or_404(Crucible, pk=pk, engine=access.engine)
    said = "The crucible is changed."
    return _crucible(request, access, pot, title=f"Edit {pot}", said=said)


def _crucible(request, access, pot, **more):
    form = CrucibleForm(request.POST or None, instance=pot, engine=access.engine)
    back = reverse("parts:pours", args=[access.engine.pk])
    return row_page(request, access, form, back=back, sheet_no=3, **more)
