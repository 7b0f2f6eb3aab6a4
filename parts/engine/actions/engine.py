"""Add and change an engine, with its leading sizes and starter list."""

from parts.engineering import measures, starters
from parts.record.actions import saving
from parts.record.actions.locking import writing
from parts.record.models import Component, Engine, Membership, Part

from ..models import EngineSize


def start_engine(
    engine: Engine, *, by, with_starter: bool = True, sizes: dict[str, str] | None = None
) -> Engine:
    """Add an engine; `by` becomes its lead.

    With a starter list, it gets the components and parts usual for its kind, to be corrected
    against the engine itself.
    """
    with writing(engine.pk):
        saving.add(engine, by=by)
        if by is not None:
            saving.add(Membership(engine=engine, user=by, role=Membership.Role.LEAD), by=by)
        if with_starter and engine.kind in starters.KINDS:
            lay_out(engine, starters.starter(engine.kind), by=by)
        for name, written in (sizes or {}).items():
            set_size(engine, name, written, by=by)
    return engine


def change_engine(engine: Engine, values: dict, sizes: dict[str, str], *, seen: int, by) -> Engine:
    """Change the data and leading sizes of an engine together. Raises Clash."""
    with writing(engine.pk):
        engine = saving.change(engine, values, seen=seen, by=by)
        for name, written in sizes.items():
            set_size(engine, name, written, by=by)
    return engine


def lay_out(engine: Engine, starter, *, by) -> None:
    """Add the components and parts of a starter list to an engine."""
    rows: dict[str, Component] = {}
    # A parent is added before its components.
    waiting = list(starter.components)
    while waiting:
        line = waiting.pop(0)
        if line.parent and line.parent not in rows:
            waiting.append(line)
            continue
        rows[line.name] = saving.add(
            Component(
                engine=engine, number=line.number, name=line.name, parent=rows.get(line.parent)
            ),
            by=by,
        )
    parts = [
        Part(
            engine=engine,
            component=rows[component.name],
            item=line.number,
            name=line.name,
            quantity=line.quantity,
            material=line.material,
            usual_route=line.route,
            fastener=line.fastener,
            note=line.note,
        )
        for component in starter.components
        for line in component.parts
    ]
    saving.add_many(parts, by=by, reason=starter.line)


def set_size(engine: Engine, name: str, written: str, *, by) -> EngineSize | None:
    """Set a leading size of the engine, or delete it when `written` is empty.

    Raises measures.MeasureError when it cannot be read.
    """
    row = EngineSize.objects.filter(engine=engine, name=name).first()
    if not written.strip():
        if row:
            saving.remove(row, by=by)
        return None
    measure = measures.read_length(written, default=engine.length_unit)
    values = {"written": written.strip(), "unit": measure.unit, "value_mm": measure.value}
    if row:
        return saving.change(row, values, seen=row.version, by=by)
    return saving.add(EngineSize(engine=engine, name=name, **values), by=by)
