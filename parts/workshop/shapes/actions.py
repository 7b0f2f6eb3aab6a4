"""Add and change shapes, with the measures that give their sizes."""

from django.db.models import F
from django.utils import timezone

from parts.care.models import Measurement
from parts.record.actions import saving
from parts.record.actions.locking import writing
from parts.record.actions.saving import Clash, Refused
from parts.record.models import Change, Part

from .models import Body, BodySize

Sizes = dict[str, Measurement]
"""The measure of each size by its key: an existing row, or a new one to be added."""


def add_measures(part: Part, sizes: Sizes, *, by) -> Sizes:
    """Add the new ones among measures. Raises Refused for a measure of another engine."""
    for row in sizes.values():
        if row.engine_id != part.engine_id:
            raise Refused("That measure belongs to another engine.")
        if row.pk is None:
            saving.add(row, by=by)
    return sizes


def _words(sizes: Sizes) -> str:
    return ", ".join(f"{key.replace('_', ' ')} {row.written}" for key, row in sizes.items())


def add_body(body: Body, sizes: Sizes, *, by) -> Body:
    """Add a shape of a part with its sizes."""
    with writing(body.engine_id):
        add_measures(body.part, sizes, by=by)
        last = Body.objects.filter(part=body.part_id).order_by("order").last()
        body.order = last.order + 1 if last else 1
        saving.add(body, by=by, reason=_words(sizes))
        _set_sizes(body, sizes, by=by)
    return body


def change_body(body: Body, values: dict, *, seen: int, by, sizes: Sizes) -> Body:
    """Change a shape and its sizes. Raises Clash when someone else did so meanwhile."""
    with writing(body.engine_id):
        row = saving.change(body, values, seen=seen, by=by)
        add_measures(row.part, sizes, by=by)
        before = {
            size.key: size.measurement
            for size in row.sizes.select_related("measurement").order_by("pk")
        }
        if {k: m.pk for k, m in before.items()} == {k: m.pk for k, m in sizes.items()}:
            return row
        _set_sizes(row, sizes, by=by)
        if row.version == seen:  # only its sizes changed: that is a change too
            if not Body.objects.filter(pk=row.pk, version=seen).update(version=F("version") + 1):
                raise Clash(Body.everything.get(pk=row.pk), values)
            row.version += 1
        states = {"before": {"sizes": _words(before)}, "after": {"sizes": _words(sizes)}}
        saving.change_of(row, Change.Verb.CHANGED, by, **states).save()
    return row


def _set_sizes(body: Body, sizes: Sizes, *, by) -> None:
    """Replace the sizes of a shape. The history entry of the shape holds both."""
    body.sizes.update(removed_at=timezone.now())
    BodySize.objects.bulk_create(
        BodySize(body=body, key=key, measurement=row, made_by=by) for key, row in sizes.items()
    )
