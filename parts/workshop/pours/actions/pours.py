"""Plan pours, set metal aside for them, and record their results.

A pour with a result cannot be changed, only undone as a whole.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from django.db.models import Max, Q, Sum

from parts.engineering.casting import melting
from parts.engineering.casting.costs import Metal, value_of_returns
from parts.engineering.errors import EngineeringError
from parts.engineering.materials import properties
from parts.engineering.sentences import amount, in_units
from parts.record.actions import balance, entries, saving
from parts.record.actions.locking import writing
from parts.record.actions.saving import Refused
from parts.record.models import Engine, Job, PieceEntry
from parts.workshop.metal import actions as metal_actions
from parts.workshop.metal.models import Crucible, MetalLot, MetalMove

from ..models import Pour, PourCasting
from . import costs

Kind = PieceEntry.Kind


@dataclass(frozen=True)
class Result:
    """The result of the castings of one job: how many were good, and what was wrong."""

    good: int
    why: str = ""


@dataclass(frozen=True)
class Weighed:
    """A mass with its text as entered. [kg]"""

    kg: float
    written: str = ""
    unit: str = ""


def plan(
    pour: Pour,
    castings: Iterable[tuple[Job, int, float]],
    *,
    by,
    already: bool = False,
) -> Pour:
    """Add a planned pour with its castings, each (job, pieces, mass poured for one [kg]).

    Args:
        already: The pour is entered afterwards: its castings need not be waiting.

    Raises:
        Refused: more pieces than are waiting, more than the crucible may carry, or no casting.
    """
    castings = list(castings)
    with writing(pour.engine_id):
        engine = Engine.everything.get(pk=pour.engine_id)
        _check_crucible(pour, sum(pieces * kg for _, pieces, kg in castings))
        if not already:
            for job, pieces, _ in castings:
                _check_waiting(job, pieces)
        highest = Pour.everything.filter(engine=engine).aggregate(n=Max("number"))["n"] or 0
        pour.number = highest + 1
        saving.add(pour, by=by)
        for job, pieces, kg in castings:
            if job.engine_id != engine.pk:
                raise Refused("That job belongs to another engine.")
            row = PourCasting(engine=engine, pour=pour, job=job, pieces=pieces, poured_kg=kg)
            saving.add(row, by=by)
    return pour


def _check_crucible(pour: Pour, poured_kg: float) -> None:
    if poured_kg <= 0:
        raise Refused("Nothing is to be poured: give at least one casting.")
    pot: Crucible = pour.crucible
    if pot.engine_id != pour.engine_id or pot.removed_at is not None:
        raise Refused("That crucible is not here any more. Choose another.")
    if not pot.good:
        raise Refused(f"{pot} is marked as not fit for use. Choose another crucible.")
    kind = metal_of(pour.metal)
    try:
        charge = float(melting.charge_for(poured_kg, kind).value)
        limit = melting.crucible_limit(pot.carries_kg, kind, brim_l=pot.brim_l, charge_kg=charge)
    except EngineeringError as error:
        raise Refused(in_units(error, pour.engine.units)) from None
    if limit.refused:
        over = in_units(limit.verdict, pour.engine.units)
        raise Refused(f"{over} Take fewer castings, or a larger crucible than {pot}.")


def metal_of(key: str) -> str:
    """Return the metal of the tables for an alloy, metal or material. Raises Refused."""
    try:
        return properties.alloy(key).metal
    except EngineeringError:
        pass
    try:
        return properties.metal(key).key
    except EngineeringError as error:
        raise Refused(str(error)) from None


def _check_waiting(job: Job, pieces: int) -> None:
    if pieces < 1:
        raise Refused("How many? Give a number of castings, 1 or more.")
    if job.route != "cast":
        raise Refused(f"{job.part} is not to be cast.")
    entries = PieceEntry.objects.filter(job=job)

    def total(**conditions):
        return entries.filter(**conditions).aggregate(n=Sum("pieces"))["n"] or 0

    waiting = total(kind=Kind.DECIDED) - total(kind=Kind.STAGE, stage="poured")
    planned = PourCasting.objects.filter(job=job, pour__poured_on__isnull=True)
    in_other_pours = planned.aggregate(n=Sum("pieces"))["n"] or 0
    if pieces > waiting - in_other_pours:
        left = max(0, waiting - in_other_pours)
        also = f", and {in_other_pours} of them stand in another pour" if in_other_pours else ""
        raise Refused(
            f"{job.part}: {waiting} {'waits' if waiting == 1 else 'wait'} to be poured{also}. "
            f"{pieces} cannot be poured; {left} can."
        )


def change(pour: Pour, values: dict, *, seen: int, by) -> Pour:
    """Change a planned pour. Raises Clash and Refused."""
    with writing(pour.engine_id):
        row = _still_planned(pour)
        for name, value in values.items():
            setattr(row, name, value)
        castings = PourCasting.objects.filter(pour=pour)
        _check_crucible(row, sum(c.pieces * c.poured_kg for c in castings))
        return saving.change(pour, values, seen=seen, by=by)


def _still_planned(pour: Pour) -> Pour:
    """Return the present row of a planned pour. Raises Refused when it has a result."""
    row = Pour.everything.select_related("crucible").get(pk=pour.pk)
    if row.removed_at is not None:
        raise Refused(f"Pour {row.number} was cancelled meanwhile.")
    if row.poured_on is not None:
        raise Refused(
            f"Pour {row.number} was entered already, as poured on "
            f"{row.poured_on:%-d %b %Y}. What it used and gave stands."
        )
    return row


def set_aside(pour: Pour, charge: Mapping[MetalLot, Weighed], *, by) -> list[MetalMove]:
    """Set metal of the store aside for a pour, replacing what was set aside before.

    Raises:
        Refused: a lot does not hold so much; nothing is changed then.
    """
    if not any(w.kg > metal_actions.TOLERANCE_KG for w in charge.values()):
        raise Refused("Nothing would be set aside: give a mass for one lot at least.")
    _of_one_engine(pour, charge)
    with writing(pour.engine_id):
        row = _still_planned(pour)
        before = list(_planned(pour))
        lots = {move.lot_id: move.lot for move in before} | {lot.pk: lot for lot in charge}
        day = row.planned_for or date.today()
        with metal_actions.locked(*lots.values()):
            _free(before, by=by, reason="weighed out anew")
            moves = _moves(
                row, charge, day, planned=True, reason=f"Set aside for pour {row.number}"
            )
            saving.add_many(moves, by=by)
    return moves


def _planned(pour: Pour):
    return MetalMove.objects.filter(pour=pour, planned=True).select_related("lot")


def _free(moves, *, by, reason: str) -> None:
    for move in moves:
        saving.remove(move, by=by, reason=reason)


def _of_one_engine(pour: Pour, charge: Iterable[MetalLot]) -> None:
    if any(lot.engine_id != pour.engine_id for lot in charge):
        raise Refused("That lot belongs to another engine.")


def _moves(pour, charge, day, *, planned: bool, reason: str) -> list[MetalMove]:
    return [
        MetalMove(
            engine_id=pour.engine_id,
            lot=lot,
            day=day,
            kg=-weighed.kg,
            written=weighed.written,
            unit=weighed.unit,
            pour=pour,
            planned=planned,
            reason=reason,
        )
        for lot, weighed in charge.items()
        if weighed.kg > metal_actions.TOLERANCE_KG
    ]


def free(pour: Pour, *, by) -> None:
    """Return the metal set aside for a pour to the store. Raises Refused."""
    with writing(pour.engine_id):
        _still_planned(pour)
        _free(_planned(pour), by=by, reason="not set aside any more")


def cancel(pour: Pour, *, by, reason: str) -> None:
    """Cancel a planned pour: its castings wait again, its metal is free. Raises Refused."""
    with writing(pour.engine_id):
        _still_planned(pour)
        _free(_planned(pour), by=by, reason=reason)
        for casting in PourCasting.objects.filter(pour=pour):
            saving.remove(casting, by=by, reason=reason)
        saving.remove(pour, by=by, reason=reason)


def record_result(
    pour: Pour,
    values: dict,
    results: Mapping[int, Result],
    used: Mapping[MetalLot, Weighed],
    back: Weighed | None = None,
    bought: Iterable[costs.BoughtItem] = (),
    *,
    by,
    move_stages: bool = True,
) -> Pour:
    """Record the result of a pour in one transaction: store, stages, wasters and costs.

    Good castings reach “poured”. Wasters reach it and go back, with the reason, to before their
    mould, which must be made again. Returns are a new lot at the average value of the charge.
    The rest is booked to the castings.

    Args:
        values: poured_on, and as known temperature_written, _unit, _c, who, happened.
        results: Result of each PourCasting, by its id.
        used: Metal actually charged, by lot.
        back: Gates, risers, wasters and surplus, as weighed.
        bought: Fuel and other items bought for it.
        move_stages: False when the stages are recorded already.

    Raises:
        Refused: it has a result, a lot does not hold so much, or a waster has no reason.
            Nothing is saved then.
    """
    day = values["poured_on"]
    _of_one_engine(pour, used)
    with writing(pour.engine_id):
        row = _still_planned(pour)
        charged = sum(w.kg for w in used.values())
        if charged <= metal_actions.TOLERANCE_KG:
            raise Refused("Say what metal was really charged: give a mass for one lot at least.")
        if back is not None and back.kg > charged + metal_actions.TOLERANCE_KG:
            words = f"{amount(back.kg, 'kg')} cannot come back of {amount(charged, 'kg')}"
            raise Refused(in_units(words, pour.engine.units) + " that were charged.")
        before = list(_planned(pour))
        lots = {move.lot_id: move.lot for move in before} | {lot.pk: lot for lot in used}
        with metal_actions.locked(*lots.values()):
            _free(before, by=by, reason=f"poured on {day:%-d %b %Y}")
            moves = _moves(row, used, day, planned=False, reason=f"Charged for pour {row.number}")
            saving.add_many(moves, by=by)
        for casting in PourCasting.objects.filter(pour=pour).select_related("job__part"):
            _record_casting(casting, results.get(casting.pk), row, day, move_stages, by=by)
        if back is not None and back.kg > metal_actions.TOLERANCE_KG:
            _returns(row, back, used, day, by=by)
        done = saving.change(row, values, seen=row.version, by=by)
        costs.book(done, bought, by=by)
        return done


def undo(pour: Pour, *, by, reason: str) -> Pour:
    """Undo the result of a pour: it is planned again, and may be recorded anew.

    Its metal returns to its lots; the lot of its returns, its stages and its costs are deleted.

    Raises:
        Refused: it has no result, its returns were used since, or its castings have reached a
            later stage.
    """
    with writing(pour.engine_id):
        row = Pour.everything.get(pk=pour.pk)
        if row.poured_on is None or row.removed_at is not None:
            raise Refused(f"{row} has no result yet: there is nothing to undo.")
        moves = list(MetalMove.objects.filter(pour=row).select_related("lot"))
        with metal_actions.locked(*{move.lot for move in moves}):
            for move in moves:
                saving.remove(move, by=by, reason=reason)
        for lot in {move.lot for move in moves if move.kg > 0}:
            if lot.moves.filter(removed_at__isnull=True).exists():
                raise Refused(f"{lot} was booked since. Delete those entries first.")
            saving.remove(lot, by=by, reason=reason)
        for casting in PourCasting.objects.filter(pour=row).select_related("job__part"):
            _undo_casting(casting, row, by=by, reason=reason)
        costs.unbook(row, by=by, reason=reason)
        values = {"poured_on": None, "temperature_written": "", "temperature_unit": ""}
        values |= {"temperature_c": None}
        return saving.change(row, values, seen=row.version, by=by, reason=reason)


def _undo_casting(casting: PourCasting, pour: Pour, *, by, reason: str) -> None:
    """Delete the stages that the result of the pour wrote."""
    entries = PieceEntry.objects.filter(job=casting.job, kind=Kind.STAGE, day=pour.poured_on)
    with balance.held(casting.job.part):
        for entry in entries.filter(Q(reason=str(pour)) | Q(reason__startswith=f"{pour}: ")):
            saving.remove(entry, by=by, reason=reason)
    saving.change(casting, {"good": None}, seen=casting.version, by=by, reason=reason)


def _record_casting(casting, result, pour, day, move_stages: bool, *, by) -> None:
    part, pieces = casting.job.part, casting.pieces
    if result is None or not 0 <= result.good <= pieces:
        raise Refused(f"{part}: how many of {pieces} were good? Give a number from 0 to {pieces}.")
    wasters = pieces - result.good
    if wasters and not result.why.strip():
        raise Refused(
            f"{part}: say what was wrong with {'it' if wasters == 1 else 'them'}, "
            "for example “misrun in the thin flange”."
        )
    saving.change(casting, {"good": result.good}, seen=casting.version, by=by)
    if not move_stages:
        return
    reason = str(pour)
    entries.reach(casting.job, "poured", pieces, day=day, by=by, reason=reason)
    if wasters:
        why = f"{reason}: {result.why.strip()}"
        for stage in ("poured", "moulded"):
            entries.set_back(casting.job, stage, wasters, day=day, by=by, reason=why)


def _returns(pour: Pour, back: Weighed, used, day: date, *, by) -> MetalLot:
    """Add gates, risers, wasters and surplus to the store as a lot of their own.

    Its composition is calculated from the charge until it is assayed.
    """
    kind = properties.metal(metal_of(pour.metal)).material
    lot = MetalLot(
        engine_id=pour.engine_id,
        name=f"Returns of pour {pour.number}",
        material=kind,
        where_from=f"Gates, risers and wasters of pour {pour.number}",
        value_per_kg=value_of_returns(
            [Metal(lot.name, w.kg, lot.value_per_kg) for lot, w in used.items()]
        ),
    )
    move = MetalMove(
        day=day,
        kg=back.kg,
        written=back.written,
        unit=back.unit,
        pour=pour,
        reason=f"Came back from pour {pour.number}",
    )
    return metal_actions.new_lot(lot, move, by=by)
