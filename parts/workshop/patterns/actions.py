"""Add and change faces of a pattern."""

from parts.record.actions import saving
from parts.record.actions.locking import writing
from parts.record.actions.saving import Refused
from parts.workshop.shapes.actions import Sizes, add_measures

from .models import PatternFace


def add_face(face: PatternFace, sizes: Sizes, *, by) -> PatternFace:
    """Add a face of the pattern with its finished size. Raises Refused when it is there."""
    with writing(face.engine_id):
        face.measurement = add_measures(face.part, sizes, by=by)["finished"]
        _refuse_second(face)
        return saving.add(face, by=by)


def change_face(face: PatternFace, values: dict, *, seen: int, by, sizes: Sizes) -> PatternFace:
    """Change a face of the pattern. Raises Clash."""
    with writing(face.engine_id):
        measure = add_measures(face.part, sizes, by=by)["finished"]
        face.measurement = measure
        _refuse_second(face)
        return saving.change(face, values | {"measurement": measure}, seen=seen, by=by)


def _refuse_second(face: PatternFace) -> None:
    same = PatternFace.objects.filter(part=face.part_id, measurement=face.measurement_id)
    if same.exclude(pk=face.pk).exists():
        raise Refused("This size stands on the pattern sheet already.")
