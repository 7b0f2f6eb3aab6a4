"""Writing lifts: what hangs on the hook is kept with the same history as the rest."""

from django.db.models import F
from django.utils import timezone

from parts.record.actions import saving
from parts.record.actions.locking import writing
from parts.record.actions.saving import Refused
from parts.record.models import Change, Part

from .models import Lift, LiftLoad


def _loads_in_words(lift: Lift) -> str:
    return "; ".join(str(load) for load in lift.loads.select_related("part"))


def _held(lift: Lift) -> Lift:
    """The lift as it is now."""
    now = Lift.everything.filter(pk=lift.pk).first()
    if now is None or now.removed_at is not None:
        raise Refused("Someone else removed this lift meanwhile.")
    return now


def _tell(lift: Lift, before: str, *, by) -> None:
    """Write what hangs on the hook into the history, and raise the version."""
    after = _loads_in_words(lift)
    if after == before:
        return
    Lift.everything.filter(pk=lift.pk).update(version=F("version") + 1)
    change = saving.change_of(
        lift, Change.Verb.CHANGED, by, before={"on the hook": before}, after={"on the hook": after}
    )
    change.save()


def plan(lift: Lift, part: Part | None = None, pieces: int = 1, *, by) -> Lift:
    """Keep a new lift, with the first part that hangs on it if one is named."""
    with writing(lift.engine_id):
        saving.add(lift, by=by)
        if part is not None:
            hang(lift, part, pieces, by=by)
    return lift


def hang(lift: Lift, part: Part, pieces: int, *, by) -> LiftLoad:
    """Say how many pieces of a part hang on the hook.

    Raises:
        Refused: no such number of pieces, more than the engine has, or a part of another engine.
    """
    if part.engine_id != lift.engine_id:
        raise Refused("That part belongs to another engine.")
    if not 1 <= pieces <= part.quantity:
        many = "1 piece" if part.quantity == 1 else f"{part.quantity} pieces"
        raise Refused(f"The engine has {many} of {part}: hang 1 to {part.quantity} on the hook.")
    with writing(lift.engine_id):
        lift = _held(lift)
        before = _loads_in_words(lift)
        load, _ = LiftLoad.objects.update_or_create(
            lift=lift,
            part=part,
            defaults={"pieces": pieces},
            create_defaults={"pieces": pieces, "made_by": by},
        )
        _tell(lift, before, by=by)
    return load


def take_off(lift: Lift, part: Part, *, by) -> None:
    """Take a part off the hook again. Nothing happens when it does not hang there."""
    with writing(lift.engine_id):
        lift = _held(lift)
        before = _loads_in_words(lift)
        LiftLoad.objects.filter(lift=lift, part=part).update(removed_at=timezone.now())
        _tell(lift, before, by=by)
