"""The metal store: lots, what goes in and out of them, and crucibles.

What is left of a lot is the sum of its moves. It never goes below nothing, on no day and not by
what is set aside for a pour: the rule spans rows, so every move is written inside `locked`, which
locks the engine and checks the lots before the transaction ends.
"""

from collections import defaultdict
from contextlib import contextmanager
from datetime import date

from django.db.models import Sum

from parts.engineering.sentences import amount, in_units
from parts.record.actions import saving
from parts.record.actions.locking import writing
from parts.record.actions.saving import Refused
from parts.record.models import Find, PieceEntry

from .models import MetalLot, MetalMove

TOLERANCE_KG = 1e-6  # kg: what rounding of written masses leaves behind


@contextmanager
def locked(*lots: MetalLot):
    """Lock the engine, run the block, then check that none went below nothing. Raises Refused."""
    with writing(*(lot.engine_id for lot in lots)):
        yield
        for lot in lots:
            _check(lot)


def _check(lot: MetalLot) -> None:
    moves = MetalMove.objects.filter(lot=lot)
    by_day: dict[date, float] = defaultdict(float)
    aside = 0.0
    for day, kg, planned in moves.values_list("day", "kg", "planned"):
        if planned:
            aside += kg
        else:
            by_day[day] += kg
    left = 0.0
    for day in sorted(by_day):
        left += by_day[day]
        if left < -TOLERANCE_KG:
            short = in_units(amount(-left, "kg"), lot.engine.units)
            raise Refused(
                f"{lot} does not hold so much on {day:%-d %b %Y}: {short} would be wanting. "
                "Somebody may have used it meanwhile; look at the lot again."
            )
    if left + aside < -TOLERANCE_KG:
        short = in_units(amount(-left - aside, "kg"), lot.engine.units)
        raise Refused(
            f"{lot} does not hold so much beside what is set aside for pours: "
            f"{short} would be wanting. Take less, or free what is set aside."
        )


def free_kg(lot: MetalLot) -> float:
    """Return what is left of a lot and not set aside. [kg] One query."""
    return MetalMove.objects.filter(lot=lot).aggregate(kg=Sum("kg"))["kg"] or 0.0


def new_lot(lot: MetalLot, move: MetalMove | None = None, *, by) -> MetalLot:
    """Write a new lot, with the first metal that goes into it. Raises Refused."""
    with writing(lot.engine_id):
        if lot.find is not None:
            _may_be_melted(lot.find, lot.engine_id)
        saving.add(lot, by=by)
        if move is not None:
            move.lot, move.engine_id = lot, lot.engine_id
            with locked(lot):
                saving.add(move, by=by, reason=move.reason)
    return lot


def _may_be_melted(find: Find, engine_id: int) -> None:
    """Refuse a find that is a lot already or a usable piece of the engine. Raises Refused."""
    if find.engine_id != engine_id:
        raise Refused("That find belongs to another engine.")
    other = MetalLot.objects.filter(find=find).first()
    if other is not None:
        raise Refused(f"Find {find.name} is in the store already, as {other}.")
    entries = PieceEntry.objects.filter(find=find, kind=PieceEntry.Kind.IDENTIFIED).order_by()
    for row in entries.values("part", "part__item", "part__name").annotate(n=Sum("pieces")):
        if row["n"] <= 0:
            continue
        beyond_repair = PieceEntry.objects.filter(
            part=row["part"], kind=PieceEntry.Kind.BEYOND_REPAIR
        )
        if (beyond_repair.aggregate(n=Sum("pieces"))["n"] or 0) < row["n"]:
            raise Refused(
                f"Find {find.name} is {row['part__item']} {row['part__name']}, a piece of the "
                "engine that nobody has called beyond repair. Give that verdict first, or say that "
                "it is not that part."
            )


def change_lot(lot: MetalLot, values: dict, *, seen: int, by) -> MetalLot:
    """Change the details of a lot. Raises Clash."""
    return saving.change(lot, values, seen=seen, by=by)


def book(
    lot: MetalLot, kg: float, *, day: date, by, written="", unit="", reason="", pour=None
) -> MetalMove:
    """Book metal into a lot (more than 0) or out of it (less). [kg] Raises Refused."""
    if abs(kg) <= TOLERANCE_KG:
        raise Refused("How much? Give a mass, like 12 lb 6 oz or 5.6 kg.")
    with locked(lot):
        move = MetalMove(
            engine_id=lot.engine_id,
            lot=lot,
            day=day,
            kg=kg,
            written=written,
            unit=unit,
            reason=reason,
            pour=pour,
        )
        return saving.add(move, by=by, reason=reason)


def delete_move(move: MetalMove, *, by, reason: str) -> None:
    """Delete a move that was entered by mistake. Raises Refused."""
    if move.pour_id is not None:
        raise Refused(
            f"This belongs to pour {move.pour.number}. What a pour used stands with the pour."
        )
    with locked(move.lot):
        saving.remove(move, by=by, reason=reason)
