"""Sheet 2: the parts list, one part, components."""

from django.core.paginator import Paginator
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse

from parts.record.access import Right, open_engine
from parts.record.actions.saving import Refused
from parts.record.models import Component, Part
from parts.record.queries.status import component_counts
from parts.record.views.common import (
    PAGE,
    act,
    back_to,
    form_page,
    kept_till_changed,
    page_of,
    save_change,
    sheet,
)

from ..actions.parts import add_component, add_part, change_component, change_part
from ..forms.filters import PartFilter
from ..forms.parts import ComponentForm, PartForm
from ..queries import parts, pieces


@kept_till_changed
def part_list(request, engine):
    """The parts list: filtered, sorted, a hundred to a page, with sums over all that is shown."""
    access = open_engine(request.user, engine)
    filters = PartFilter(request.GET, engine=access.engine)
    chosen = filters.chosen
    shown = parts.part_list(access.engine, chosen)
    filters.count_choices(shown.choices)
    ids = parts.in_order(filters.qs, chosen.get("sort", ""))
    pages = Paginator(ids, PAGE)
    pages.count = shown.counts.parts
    page = pages.get_page(request.GET.get("page"))
    return sheet(
        request,
        access,
        "engine/list.html",
        2,
        filters=filters,
        shown=shown,
        page=page,
        rows=parts.rows_of(access.engine, list(page.object_list)),
        by_component=chosen.get("sort") == "component",
        waiting=pieces.open_proposals(access.engine),
        facts=[("Parts", shown.counts.parts), ("Pieces", shown.counts.need)],
    )


def part_new(request, engine):
    access = open_engine(request.user, engine, Right.MANAGE)
    new = Part(engine=access.engine)
    form = PartForm(
        request.POST or None,
        instance=new,
        engine=access.engine,
        initial={"component": request.GET.get("component")},
    )
    if request.method == "POST" and form.is_valid():
        said = f"{new.item} {new.name} is in the parts list."
        if act(request, add_part, form.instance, form=form, said=said):
            return back_to(form.instance)
    back = reverse("parts:part_list", args=[engine])
    return form_page(request, access, form, title="A new part", press="Keep this part", back=back)


def part_edit(request, engine, pk):
    access = open_engine(request.user, engine, Right.MANAGE)
    row = get_object_or_404(Part, pk=pk, engine=access.engine)
    form = PartForm(request.POST or None, instance=row, engine=access.engine)
    if request.method == "POST":
        saved = _change(request, form, change_part, "quantity", "The part is changed.")
        if saved:
            return back_to(saved)
    return form_page(
        request,
        access,
        form,
        title=f"Change part {row.item}",
        press="Keep the change",
        back=row.get_absolute_url(),
        remove=("part", row.pk),
    )


def _change(request, form, write, field, said):
    """Save a change; what the action refuses is shown at a field."""
    try:
        return save_change(request, form, said=said, write=write)
    except Refused as refusal:
        form.add_error(field, str(refusal))
        return None


def components(request, engine):
    """The components as a tree, with how their parts stand."""
    access = open_engine(request.user, engine)
    counts = {row.pk: n for row, n in component_counts(access.engine)}
    branches = parts.tree_of(Component.objects.filter(engine=access.engine)).branches()
    rows = [(b, counts[b.component.pk]) for b in branches]
    return sheet(request, access, "engine/components.html", 2, rows=rows)


def component(request, engine, pk):
    """One component: what lies in it, its parts, its pictures."""
    access = open_engine(request.user, engine)
    rows = Component.objects.select_related("parent")
    row = get_object_or_404(rows, pk=pk, engine=access.engine)
    ids = Part.objects.filter(component=row).order_by("item").values_list("pk", flat=True)
    page = page_of(request, ids)
    shown = parts.part_list(access.engine, {"component": row.pk})
    return sheet(
        request,
        access,
        "engine/component.html",
        2,
        component=row,
        within=row.children.filter(removed_at=None),
        page=page,
        rows=parts.rows_of(access.engine, list(page.object_list)),
        counts=shown.counts,
        photos=row.photos.filter(removed_at=None)[:12],
    )


def component_new(request, engine):
    access = open_engine(request.user, engine, Right.MANAGE)
    form = ComponentForm(
        request.POST or None,
        instance=Component(engine=access.engine),
        engine=access.engine,
        initial={"parent": request.GET.get("parent")},
    )
    if request.method == "POST" and form.is_valid():
        kept = act(request, add_component, form.instance, form=form, said="It is kept.")
        if kept:
            return back_to(kept)
    back = reverse("parts:components", args=[engine])
    return form_page(request, access, form, title="A new component", press="Keep it", back=back)


def component_edit(request, engine, pk):
    access = open_engine(request.user, engine, Right.MANAGE)
    row = get_object_or_404(Component, pk=pk, engine=access.engine)
    form = ComponentForm(request.POST or None, instance=row, engine=access.engine)
    if request.method == "POST":
        saved = _change(request, form, change_component, "parent", "It is changed.")
        if saved:
            return redirect(saved.get_absolute_url())
    return form_page(
        request,
        access,
        form,
        title=f"Change component {row.number}",
        press="Keep the change",
        back=row.get_absolute_url(),
        remove=("component", row.pk),
    )
