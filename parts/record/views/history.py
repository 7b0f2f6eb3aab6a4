"""The history of the engine and of a part; removing rows and bringing them back."""

from django.core.exceptions import PermissionDenied
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse

from ..access import Right, open_engine
from ..actions import removing
from ..forms.filters import ChangeFilter
from ..forms.pieces import ReasonForm
from ..models import Part
from ..queries import history as queries
from .common import act, page_of, sheet


def history(request, engine):
    """Every change of the record, newest first."""
    access = open_engine(request.user, engine)
    return _history(request, access)


def part_history(request, engine, pk):
    """Every change of a part and of what belongs to it."""
    access = open_engine(request.user, engine)
    part = get_object_or_404(Part.everything, pk=pk, engine=access.engine)
    return _history(request, access, part)


def _history(request, access, part=None):
    rows = queries.changes(access.engine, part)
    filters = ChangeFilter(request.GET, queryset=rows, engine=access.engine)
    page = page_of(request, filters.qs)
    lines = queries.lines_of(page.object_list)
    return sheet(
        request,
        access,
        "record/history.html",
        2 if part else 1,
        filters=filters,
        page=page,
        lines=[(line, _may_bring_back(access, line)) for line in lines],
        part=part,
        back=part.get_absolute_url() if part else access.engine.get_absolute_url(),
    )


def _may_bring_back(access, line) -> bool:
    model = removing.deletable().get(line.change.kind)
    if not line.may_come_back or model is None:
        return False
    if access.may(Right.DECIDE):
        return True
    # What a row itself needs decides too; the page that asks checks it.
    own = access.may(Right.RECORD) and line.made_by_id == access.user.pk
    return own and not model.leads_only


def _row(access, kind: str, pk: int, *, removed: bool):
    """A row that the person may remove or bring back."""
    model = removing.deletable().get(kind)
    if model is None:
        raise Http404("There is no such row.")
    row = get_object_or_404(model.everything, pk=pk, removed_at__isnull=not removed)
    if row.engine_id != access.engine.pk:
        raise Http404("There is no such row.")
    access.need_mend(row)
    if row.needs_lead and not access.may(Right.DECIDE):
        raise PermissionDenied("Only a lead may take this out of the record.")
    return row


def _address(access, row) -> str:
    """Where a row is seen."""
    if row.removed_at is None and hasattr(row, "get_absolute_url"):
        return row.get_absolute_url()
    for owner in row.owners:
        if owner.removed_at is None and hasattr(owner, "get_absolute_url"):
            return owner.get_absolute_url()
    return reverse("parts:history", args=[access.engine.pk])


def row_remove(request, engine, kind, pk):
    """Take a row out of the record, with a reason. It can be brought back."""
    access = open_engine(request.user, engine, Right.RECORD)
    row = _row(access, kind, pk, removed=False)
    form = ReasonForm(request.POST or None)
    word = queries.kind_word(kind)
    if request.method == "POST" and form.is_valid():
        reason = form.cleaned_data["reason"]
        said = "Deleted. It can be restored from the history."
        if act(request, removing.remove, row, form=form, reason=reason, said=said):
            row.removed_at = True
            return redirect(_address(access, row))
    return sheet(
        request,
        access,
        "shared/confirm.html",
        2,
        title=f"Delete this {word}?",
        question=f"{row}. It stays in the history, and can be brought back from there.",
        press="Delete",
        back=_address(access, row),
        form=form,
    )


def row_bring_back(request, engine, kind, pk):
    """Bring back a row that was removed."""
    access = open_engine(request.user, engine, Right.RECORD)
    row = _row(access, kind, pk, removed=True)
    form = ReasonForm(request.POST or None, needed=False)
    word = queries.kind_word(kind)
    if request.method == "POST" and form.is_valid():
        reason = form.cleaned_data["reason"]
        if act(request, removing.bring_back, row, form=form, reason=reason, said="Restored."):
            row.removed_at = None
            return redirect(_address(access, row))
    return sheet(
        request,
        access,
        "shared/confirm.html",
        2,
        title=f"Restore this {word}?",
        question=f"{row}. It will count again as it did before.",
        press="Restore",
        back=reverse("parts:history", args=[engine]),
        form=form,
    )
