"""Add repairs, which may make pieces fit for use again."""

from parts.record.actions import entries, saving
from parts.record.actions.locking import writing
from parts.record.models import Part

from .models import Repair


def add_repair(repair: Repair, *, by, fit_again: int = 0, on_engine: bool = False) -> Repair:
    """Add a repair. A new one can withdraw "beyond repair" for pieces on the same day.

    Args:
        fit_again: Pieces that the repair made fit for use; 0 changes no status.
        on_engine: Whether the pieces are on the engine.

    Raises:
        Refused: an old repair, or more pieces than are beyond repair. Nothing is saved.
    """
    if fit_again and repair.old:
        raise saving.Refused("An old repair was done before the verdict; it cannot withdraw it.")
    with writing(repair.engine_id):
        saving.add(repair, by=by)
        if fit_again:
            part = Part.objects.get(pk=repair.part_id)
            why = f"Repaired: {repair.what}"
            entries.reprieve(
                part, fit_again, day=repair.day, by=by, reason=why, on_engine=on_engine
            )
    return repair
