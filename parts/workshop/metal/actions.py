"""The metal store: lots, what goes in and out of them, and crucibles.

What is left of a lot is the sum of its moves. It never goes below nothing, on no day and not by
what is set aside for a pour: the rule spans rows, so every move is written inside `held`, which
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

NOUGHT = 1e-6  # kg: what rounding of written masses leaves behind


@contextmanager
def held(*lots: MetalLot):
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
        if left < -NOUGHT:
            short = in_units(amount(-left, "kg"), lot.engine.units)
            raise Refused(
                f"{lot} does not hold so much on {day:%-d %b %Y}: {short} would be wanting. "
                "Somebody may have used it meanwhile; look at the lot again."
            )
    if left + aside < -NOUGHT:
        short = in_units(amount(-left - aside, "kg"), lot.engine.units)
        raise Refused(
            f"{lot} does not hold so much beside what is set aside for pours: "
            f"{short} would be wanting. Take less, or free what is set aside."
        )


def free_kg(lot: MetalLot) -> float:
    """What is left of a lot and not set aside. [kg] One query."""
    return MetalMove.objects.filter(lot=lot).aggregate(kg=Sum("kg"))["kg"] or 0.0


def new_lot(lot: MetalLot, move: MetalMove | None = None, *, by) -> MetalLot:
    """Write a new lot, with the first metal that goes into it. Raises Refused."""
    with writing(lot.engine_id):
        if lot.find is not None:
            _may_be_melted(lot.find, lot.engine_id)
        saving.add(lot, by=by)
        if move is not None:
            move.lot, move.engine_id = lot, lot.engine_id
            with held(lot):
                saving.add(move, by=by, reason=move.reason)
    return lot


def _may_be_melted(find: Find, engine_id: int) -> None:
    """A find becomes metal once, and only when it is no piece of use to the engine."""
    if find.engine_id != engine_id:
        raise Refused("That find belongs to another engine.")
    other = MetalLot.objects.filter(find=find).first()
    if other is not None:
        raise Refused(f"Find {find.name} is in the store already, as {other}.")
    told = PieceEntry.objects.filter(find=find, kind=PieceEntry.Kind.IDENTIFIED).order_by()
    for row in told.values("part", "part__item", "part__name").annotate(n=Sum("pieces")):
        if row["n"] <= 0:
            continue
        worn = PieceEntry.objects.filter(part=row["part"], kind=PieceEntry.Kind.BEYOND_REPAIR)
        if (worn.aggregate(n=Sum("pieces"))["n"] or 0) < row["n"]:
            raise Refused(
                f"Find {find.name} is {row['part__item']} {row['part__name']}, a piece of the "
                "engine that nobody has called past use. Give that verdict first, or say that it "
                "is not that part."
            )


def change_lot(lot: MetalLot, values: dict, *, seen: int, by) -> MetalLot:
    """Mend what is known of a lot. Raises Clash."""
    return saving.change(lot, values, seen=seen, by=by)


def book(
    lot: MetalLot, kg: float, *, day: date, by, written="", unit="", reason="", pour=None
) -> MetalMove:
    """Book metal into a lot (more than 0) or out of it (less). [kg] Raises Refused."""
    if abs(kg) <= NOUGHT:
        raise Refused("How much? Give a mass, like 12 lb 6 oz or 5.6 kg.")
    with held(lot):
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


def unwrite(move: MetalMove, *, by, reason: str) -> None:
    """Remove a move that was typed by mistake: it never happened. Raises Refused."""
    if move.pour_id is not None:
        raise Refused(
            f"This belongs to pour {move.pour.number}. What a pour used stands with the pour."
        )
    with held(move.lot):
        saving.remove(move, by=by, reason=reason)
