"""Add lifts and change the loads on their hooks, with history."""

from django.db.models import F
from django.utils import timezone

from parts.record.actions import saving
from parts.record.actions.locking import writing
from parts.record.actions.saving import Refused
from parts.record.models import Change, Part

from .models import Lift, LiftLoad


def _loads_in_words(lift: Lift) -> str:
    return "; ".join(str(load) for load in lift.loads.select_related("part"))


def _present(lift: Lift) -> Lift:
    """Return the present row of a lift. Raises Refused when it is deleted."""
    row = Lift.everything.filter(pk=lift.pk).first()
    if row is None or row.removed_at is not None:
        raise Refused("Someone else deleted this lift meanwhile.")
    return row


def _save_history(lift: Lift, before: str, *, by) -> None:
    """Write the changed loads into the history, and raise the version."""
    after = _loads_in_words(lift)
    if after == before:
        return
    Lift.everything.filter(pk=lift.pk).update(version=F("version") + 1)
    change = saving.change_of(
        lift, Change.Verb.CHANGED, by, before={"on the hook": before}, after={"on the hook": after}
    )
    change.save()


def add_lift(lift: Lift, part: Part | None = None, pieces: int = 1, *, by) -> Lift:
    """Add a lift, with the first part on its hook if one is given."""
    with writing(lift.engine_id):
        saving.add(lift, by=by)
        if part is not None:
            set_load(lift, part, pieces, by=by)
    return lift


def set_load(lift: Lift, part: Part, pieces: int, *, by) -> LiftLoad:
    """Set how many pieces of a part are on the hook.

    Raises:
        Refused: no such number of pieces, more than the engine has, or a part of another engine.
    """
    if part.engine_id != lift.engine_id:
        raise Refused("That part belongs to another engine.")
    if not 1 <= pieces <= part.quantity:
        many = "1 piece" if part.quantity == 1 else f"{part.quantity} pieces"
        raise Refused(f"The engine has {many} of {part}: hang 1 to {part.quantity} on the hook.")
    with writing(lift.engine_id):
        lift = _present(lift)
        before = _loads_in_words(lift)
        load, _ = LiftLoad.objects.update_or_create(
            lift=lift,
            part=part,
            defaults={"pieces": pieces},
            create_defaults={"pieces": pieces, "made_by": by},
        )
        _save_history(lift, before, by=by)
    return load


def remove_load(lift: Lift, part: Part, *, by) -> None:
    """Take a part off the hook. Nothing happens when it is not on it."""
    with writing(lift.engine_id):
        lift = _present(lift)
        before = _loads_in_words(lift)
        LiftLoad.objects.filter(lift=lift, part=part).update(removed_at=timezone.now())
        _save_history(lift, before, by=by)
