"""Starting an engine, its sizes, and its plan."""

from datetime import date
from itertools import pairwise

from django.db import transaction

from ..models import (
    Component,
    Engine,
    EngineSize,
    Membership,
    Part,
    Plan,
    PlanPoint,
)
from ..trade import measures, starters
from . import record
from .record import Refused


def start_engine(
    engine: Engine, *, by, with_starter: bool = True, sizes: dict[str, str] | None = None
) -> Engine:
    """Begin an engine; whoever begins it is its lead.

    With a starter list, it gets the components and parts usual for its kind: a start, to be
    corrected against the engine itself.
    """
    with transaction.atomic():
        record.add(engine, by=by)
        if by is not None:
            record.add(Membership(engine=engine, user=by, role=Membership.Role.LEAD), by=by)
        if with_starter and engine.kind in starters.KINDS:
            lay_out(engine, starters.starter(engine.kind), by=by)
        for name, written in (sizes or {}).items():
            set_size(engine, name, written, by=by)
    return engine


def change_engine(engine: Engine, values: dict, sizes: dict[str, str], *, seen: int, by) -> Engine:
    """Change the engine's data and leading sizes together. Raises Clash."""
    with transaction.atomic():
        engine = record.change(engine, values, seen=seen, by=by)
        for name, written in sizes.items():
            set_size(engine, name, written, by=by)
    return engine


def lay_out(engine: Engine, starter, *, by) -> None:
    """Give an engine the components and parts of a starter list."""
    rows: dict[str, Component] = {}
    # A component stands after the one it belongs to.
    waiting = list(starter.components)
    while waiting:
        line = waiting.pop(0)
        if line.parent and line.parent not in rows:
            waiting.append(line)
            continue
        rows[line.name] = record.add(
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
    record.add_many(parts, by=by, reason=starter.line)


def set_size(engine: Engine, name: str, written: str, *, by) -> EngineSize | None:
    """Write down a leading size of the engine, or take it away when nothing is written.

    Raises measures.MeasureError when it cannot be read.
    """
    row = EngineSize.objects.filter(engine=engine, name=name).first()
    if not written.strip():
        if row:
            record.remove(row, by=by)
        return None
    measure = measures.read_length(written, default=engine.length_unit)
    values = {"written": written.strip(), "unit": measure.unit, "value_mm": measure.value}
    if row:
        return record.change(row, values, seen=row.version, by=by)
    return record.add(EngineSize(engine=engine, name=name, **values), by=by)


def freeze_plan(
    engine: Engine, name: str, frozen_on: date, points: list[tuple], *, by, note: str = ""
) -> Plan:
    """Freeze what should be done by when.

    Args:
        points: (day, pieces on the engine again, hours given, money spent), each counted from
            the start of the work, so that none may fall.

    Raises:
        Refused: no points, a day twice, or a figure that falls.
    """
    points = sorted(points)
    if len(points) < 2:
        raise Refused("A plan needs two days at least: where it begins and where it ends.")
    for (day, *before), (next_day, *after) in pairwise(points):
        if day == next_day:
            raise Refused(f"{day:%-d %b %Y} stands in the plan twice.")
        if any(b > a for b, a in zip(before, after, strict=True)):
            raise Refused(
                f"From {day:%-d %b %Y} to {next_day:%-d %b %Y} a figure falls. Pieces, hours and "
                "money are counted from the start, so they can only stay or rise."
            )
    with transaction.atomic():
        plan = record.add(Plan(engine=engine, name=name, frozen_on=frozen_on, note=note), by=by)
        PlanPoint.objects.bulk_create(
            [
                PlanPoint(plan=plan, day=day, pieces=pieces, hours=hours, money=money)
                for day, pieces, hours, money in points
            ]
        )
    return plan
