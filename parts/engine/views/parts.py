"""Sheet 2: the parts list, one part, components."""

from django.core.paginator import Paginator
from django.shortcuts import get_object_or_404
from django.urls import reverse

from parts.record.access import Right, open_engine
from parts.record.models import Component, Part
from parts.record.queries.status import component_counts
from parts.record.views.common import (
    PAGE,
    kept_till_changed,
    page_of,
    row_page,
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
    return row_page(
        request,
        access,
        form,
        title="A new part",
        press="Save part",
        said=lambda part: f"{part.item} {part.name} is in the parts list.",
        write=add_part,
        back=reverse("parts:part_list", args=[engine]),
        to=new,
    )


def part_edit(request, engine, pk):
    access = open_engine(request.user, engine, Right.MANAGE)
    row = get_object_or_404(Part, pk=pk, engine=access.engine)
    return row_page(
        request,
        access,
        PartForm(request.POST or None, instance=row, engine=access.engine),
        title=f"Edit part {row.item}",
        said="The part is changed.",
        write=change_part,
        back=row.get_absolute_url(),
    )


def components(request, engine):
    """The components as a tree, with how their parts stand."""
    access = open_engine(request.user, engine)
    counts = {row.pk: n for row, n in component_counts(access.engine)}
    branches = parts.Tree(Component.objects.filter(engine=access.engine)).branches()
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
    new = Component(engine=access.engine)
    form = ComponentForm(
        request.POST or None,
        instance=new,
        engine=access.engine,
        initial={"parent": request.GET.get("parent")},
    )
    return row_page(
        request,
        access,
        form,
        title="A new component",
        said="It is saved.",
        write=add_component,
        back=reverse("parts:components", args=[engine]),
        to=new,
    )


def component_edit(request, engine, pk):
    access = open_engine(request.user, engine, Right.MANAGE)
    row = get_object_or_404(Component, pk=pk, engine=access.engine)
    return row_page(
        request,
        access,
        ComponentForm(request.POST or None, instance=row, engine=access.engine),
        title=f"Edit component {row.number}",
        said="It is changed.",
        write=change_component,
        back=row.get_absolute_url(),
    )
