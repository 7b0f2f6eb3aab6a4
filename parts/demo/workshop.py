"""The workshop of the demonstration: shapes, pours, fasteners, bars, gear and lifts."""

from datetime import datetime, time

from django.apps import apps
from django.db.models import Max
from django.utils import timezone

from parts.record.models import Change

from . import workshop_bars, workshop_drawings, workshop_lifts, workshop_metal, workshop_shapes
from .telling import Telling

EVENING = time(19, 30)
# Of which engine, and in which order: the metal is poured before bars are cut.
KEY = "harrow_gap"
BENCHES = (workshop_shapes, workshop_metal, workshop_bars, workshop_lifts, workshop_drawings)


def tell(telling: Telling) -> None:
    """Write the workshop of the engine that was told, as if typed in on its last evening."""
    if telling.key != KEY:
        return
    last_day = telling.day(0)
    before = Change.objects.aggregate(pk=Max("pk"))["pk"] or 0
    for bench in BENCHES:
        bench.load(telling.engine, telling.people, last_day)
    evening = timezone.make_aware(datetime.combine(last_day, EVENING))
    written = Change.objects.filter(engine=telling.engine, pk__gt=before)
    for kind, pk in set(written.filter(verb=Change.Verb.ADDED).values_list("kind", "row")):
        model = apps.get_model("parts", kind)
        model.everything.filter(pk=pk).update(made_at=evening)
    written.update(at=evening)
