"""Add and change bearings, with the measures that give their sizes."""

from parts.record.actions import saving
from parts.record.actions.locking import writing
from parts.record.actions.saving import Refused
from parts.workshop.shapes.actions import Sizes, add_measures

from .models import Bearing


def add_bearing(bearing: Bearing, sizes: Sizes, *, by) -> Bearing:
    """Add the bearing of a part. Raises Refused when it has one."""
    with writing(bearing.engine_id):
        for name, row in add_measures(bearing.part, sizes, by=by).items():
            setattr(bearing, name, row)
        if Bearing.objects.filter(part=bearing.part_id).exists():
            raise Refused("This part has its bearing sheet already.")
        return saving.add(bearing, by=by)


def change_bearing(bearing: Bearing, values: dict, *, seen: int, by, sizes: Sizes) -> Bearing:
    """Change a bearing. Raises Clash."""
    with writing(bearing.engine_id):
        measures = dict.fromkeys(("collar_diameter", "collar_thickness"))
        measures |= add_measures(bearing.part, sizes, by=by)
        return saving.change(bearing, values | measures, seen=seen, by=by)
