"""Add uploaded sheets and their balloons, and tie pieces of the elevation to the record."""

from django.db.models import Max

from parts.photos.actions import photos
from parts.record.actions import saving
from parts.record.actions.locking import writing
from parts.record.actions.saving import Refused
from parts.record.models import Engine

from .models import Balloon, Drawing, Tie


def add_sheet(drawing: Drawing, file, *, by) -> Drawing:
    """Store a drawing, scan or photograph as a sheet of an engine. Raises Refused."""
    with photos.whole(drawing, [file], by=by) as (existing, pictures):
        if existing is not None:
            if pictures:
                raise Refused(
                    "This sheet was saved before, with another picture. Add another sheet for it."
                )
            return existing
        photos.add_all(pictures, by=by, caption=drawing.name)
        last = Drawing.objects.filter(engine=drawing.engine_id).aggregate(n=Max("order"))["n"]
        drawing.order = (last or 0) + 1
        drawing.picture = pictures[0]
        return saving.add(drawing, by=by)


def add_balloon(balloon: Balloon, *, by) -> Balloon:
    """Add a balloon to a sheet. Raises Refused where it belongs to another engine."""
    _check_engine(balloon, balloon.part, balloon.component)
    if balloon.drawing.engine_id != balloon.engine_id:
        raise Refused("That sheet belongs to another engine.")
    return saving.add(balloon, by=by)


def change_balloon(balloon: Balloon, values: dict, *, seen: int, by) -> Balloon:
    """Move a balloon, or change its target. Raises Refused, Clash."""
    _check_engine(balloon, values.get("part"), values.get("component"))
    return saving.change(balloon, values, seen=seen, by=by)


def _check_engine(row, part, component) -> None:
    for target in (part, component):
        if target is not None and target.engine_id != row.engine_id:
            raise Refused("What it stands for belongs to another engine.")


def tie_piece(engine: Engine, piece: str, *, by, part=None, component=None) -> Tie:
    """Tie a piece of the elevation to a part or component; with neither, to nothing."""
    tie = Tie(engine=engine, piece=piece, part=part, component=component)
    _check_engine(tie, part, component)
    with writing(engine.pk):
        old = Tie.objects.filter(engine=engine, piece=piece).first()
        if old is None:
            return saving.add(tie, by=by)
        values = {"part": part, "component": component}
        return saving.change(old, values, seen=old.version, by=by)


def untie_piece(engine: Engine, piece: str, *, by) -> None:
    """Remove the tie of a piece, so that the starter list decides again."""
    tie = Tie.objects.filter(engine=engine, piece=piece).first()
    if tie is not None:
        saving.remove(tie, by=by)
