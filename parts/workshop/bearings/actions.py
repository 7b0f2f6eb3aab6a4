"""Writes what a bearing is calculated from."""

from parts.record.actions import saving
from parts.record.actions.locking import writing
from parts.record.actions.saving import Refused
from parts.workshop.shapes.actions import Sizes, write_measures

from .models import Bearing


def write_bearing(bearing: Bearing, sizes: Sizes, *, by) -> Bearing:
    """Write what a poured bearing needs to be reckoned."""
    with writing(bearing.engine_id):
        for name, row in write_measures(bearing.part, sizes, by=by).items():
            setattr(bearing, name, row)
        if Bearing.objects.filter(part=bearing.part_id).exists():
            raise Refused("This part has its bearing sheet already.")
        return saving.add(bearing, by=by)


def change_bearing(bearing: Bearing, values: dict, *, seen: int, by, sizes: Sizes) -> Bearing:
    """Change a bearing. Raises Clash."""
    with writing(bearing.engine_id):
        written = dict.fromkeys(("collar_diameter", "collar_thickness"))
        written |= write_measures(bearing.part, sizes, by=by)
        return saving.change(bearing, values | written, seen=seen, by=by)
