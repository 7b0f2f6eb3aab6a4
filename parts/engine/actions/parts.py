"""Add and change parts and components, with checks of quantities and of the component tree."""

from django.db import IntegrityError

from parts.record.actions import entries, saving
from parts.record.actions.balance import check_part
from parts.record.actions.locking import writing
from parts.record.actions.saving import Refused
from parts.record.models import Component, Part


def add_part(part: Part, *, by) -> Part:
    """Add a part. Raises Refused when its item number is taken."""
    return _add(part, f"Item number {part.item} was taken meanwhile. Choose another.", by)


def add_component(component: Component, *, by) -> Component:
    """Add a component. Raises Refused when its number is taken."""
    return _add(component, f"Number {component.number} was taken meanwhile. Choose another.", by)


def _add(row, message: str, by):
    try:
        return saving.add(row, by=by)
    except IntegrityError:
        raise Refused(message) from None


def change_part(part: Part, values: dict, *, seen: int, by) -> Part:
    """Change a part. A corrected quantity holds for all dates, so all entries are checked.

    Raises:
        Refused: more pieces are left off than there would be.
        Clash: someone else changed it meanwhile.
    """
    try:
        with writing(part.engine_id):
            part = saving.change(part, values, seen=seen, by=by)
            check_part(part)
    except IntegrityError:
        raise Refused("Another part took this item number meanwhile. Choose another.") from None
    return part


def change_component(component: Component, values: dict, *, seen: int, by) -> Component:
    """Change a component, which may not become part of itself.

    Raises:
        Refused: the component would lie within itself.
        Clash: someone else changed it meanwhile.
    """
    try:
        with writing(component.engine_id):
            component = saving.change(component, values, seen=seen, by=by)
            _refuse_ring(component)
    except IntegrityError:
        raise Refused("Another component took this number meanwhile. Choose another.") from None
    return component


def _refuse_ring(component: Component) -> None:
    rows = Component.everything.filter(engine_id=component.engine_id)
    parents = dict(rows.values_list("pk", "parent_id"))
    step, visited = component.parent_id, set()
    while step is not None and step not in visited:
        if step == component.pk:
            raise Refused("That component lies within this one; this one cannot lie within it too.")
        visited.add(step)
        step = parents.get(step)


def still_on_engine(pieces: dict[Part, int], *, day, by) -> list:
    """Record pieces of many parts as still on the engine, all or none. Raises Refused."""
    if not pieces:
        raise Refused("Tick the parts that are still on the engine.")
    with writing(*(part.engine_id for part in pieces)):
        return [entries.still_on_engine(part, n, day=day, by=by) for part, n in pieces.items()]
