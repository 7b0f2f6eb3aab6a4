"""Sheets of one's own, the balloons on them, and what the pieces of the elevation are."""

from django.db.models import Max

from parts.photos.actions import photos
from parts.record.actions import saving
from parts.record.actions.locking import writing
from parts.record.actions.saving import Refused
from parts.record.models import Engine

from .models import Balloon, Drawing, Tie


def keep_sheet(drawing: Drawing, file, *, by) -> Drawing:
    """Take in a drawing, scan or photograph as a sheet of an engine. Raises Refused."""
    with photos.whole(drawing, [file], by=by) as (known, new):
        if known is not None:
            if new:
                raise Refused(
                    "This sheet was saved before, with another picture. Add another sheet for it."
                )
            return known
        photos.add_all(new, by=by, caption=drawing.name)
        last = Drawing.objects.filter(engine=drawing.engine_id).aggregate(n=Max("order"))["n"]
        drawing.order = (last or 0) + 1
        drawing.picture = new[0]
        return saving.add(drawing, by=by)


def set_balloon(balloon: Balloon, *, by) -> Balloon:
    """Set a balloon on a sheet. Raises Refused where it belongs to another engine."""
    _of_one_engine(balloon, balloon.part, balloon.component)
    if balloon.drawing.engine_id != balloon.engine_id:
        raise Refused("That sheet belongs to another engine.")
    return saving.add(balloon, by=by)


def change_balloon(balloon: Balloon, values: dict, *, seen: int, by) -> Balloon:
    """Move a balloon, or let it stand for something else. Raises Refused, Clash."""
    _of_one_engine(balloon, values.get("part"), values.get("component"))
    return saving.change(balloon, values, seen=seen, by=by)


def _of_one_engine(row, part, component) -> None:
    for of in (part, component):
        if of is not None and of.engine_id != row.engine_id:
            raise Refused("What it stands for belongs to another engine.")


def tie_piece(engine: Engine, piece: str, *, by, part=None, component=None) -> Tie:
    """Say what a piece of the elevation is; with neither part nor component: nothing."""
    tie = Tie(engine=engine, piece=piece, part=part, component=component)
    _of_one_engine(tie, part, component)
    with writing(engine.pk):
        old = Tie.objects.filter(engine=engine, piece=piece).first()
        if old is None:
            return saving.add(tie, by=by)
        values = {"part": part, "component": component}
        return saving.change(old, values, seen=old.version, by=by)


def untie_piece(engine: Engine, piece: str, *, by) -> None:
    """Let a piece be again what its name says."""
    tie = Tie.objects.filter(engine=engine, piece=piece).first()
    if tie is not None:
        saving.remove(tie, by=by)
