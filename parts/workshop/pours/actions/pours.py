"""Pours: planned for a crucible, metal set aside for them, and what came of them.

A pour that has happened is frozen: what it used and gave stands, until it is undone as a whole.
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
    """What came of the castings of one job: how many were good, and what was wrong."""

    good: int
    why: str = ""


@dataclass(frozen=True)
class Weighed:
    """A mass as it was written. [kg]"""

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
    """Write a pour with its castings, each (job, pieces, mass poured for one [kg]).

    Args:
        already: The castings were poured before anybody planned it: it is written afterwards.

    Raises:
        Refused: more than is waiting, more than the crucible may carry, or nothing at all.
    """
    castings = list(castings)
    with writing(pour.engine_id):
        engine = Engine.everything.get(pk=pour.engine_id)
        _fits(pour, sum(pieces * kg for _, pieces, kg in castings))
        if not already:
            for job, pieces, _ in castings:
                _waits(job, pieces)
        highest = Pour.everything.filter(engine=engine).aggregate(n=Max("number"))["n"] or 0
        pour.number = highest + 1
        saving.add(pour, by=by)
        for job, pieces, kg in castings:
            if job.engine_id != engine.pk:
                raise Refused("That job belongs to another engine.")
            row = PourCasting(engine=engine, pour=pour, job=job, pieces=pieces, poured_kg=kg)
            saving.add(row, by=by)
    return pour


def _fits(pour: Pour, poured_kg: float) -> None:
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
    """The metal of the tables that an alloy, metal or material is. Raises Refused."""
    try:
        return properties.alloy(key).metal
    except EngineeringError:
        pass
    try:
        return properties.metal(key).key
    except EngineeringError as error:
        raise Refused(str(error)) from None


def _waits(job: Job, pieces: int) -> None:
    if pieces < 1:
        raise Refused("How many? Give a number of castings, 1 or more.")
    if job.route != "cast":
        raise Refused(f"{job.part} is not to be cast.")
    told = PieceEntry.objects.filter(job=job)

    def n(**which):
        return told.filter(**which).aggregate(n=Sum("pieces"))["n"] or 0

    waiting = n(kind=Kind.DECIDED) - n(kind=Kind.STAGE, stage="poured")
    planned = PourCasting.objects.filter(job=job, pour__poured_on__isnull=True)
    elsewhere = planned.aggregate(n=Sum("pieces"))["n"] or 0
    if pieces > waiting - elsewhere:
        left = max(0, waiting - elsewhere)
        also = f", and {elsewhere} of them stand in another pour" if elsewhere else ""
        raise Refused(
            f"{job.part}: {waiting} {'waits' if waiting == 1 else 'wait'} to be poured{also}. "
            f"{pieces} cannot be poured; {left} can."
        )


def change(pour: Pour, values: dict, *, seen: int, by) -> Pour:
    """Mend a pour that has not happened. Raises Clash and Refused."""
    with writing(pour.engine_id):
        row = _open(pour)
        for name, value in values.items():
            setattr(row, name, value)
        castings = PourCasting.objects.filter(pour=pour)
        _fits(row, sum(c.pieces * c.poured_kg for c in castings))
        return saving.change(pour, values, seen=seen, by=by)


def _open(pour: Pour) -> Pour:
    """The pour as it is now, if it has not happened. Raises Refused."""
    row = Pour.everything.select_related("crucible").get(pk=pour.pk)
    if row.removed_at is not None:
        raise Refused(f"Pour {row.number} was given up meanwhile.")
    if row.poured_on is not None:
        raise Refused(
            f"Pour {row.number} was written down already, as poured on "
            f"{row.poured_on:%-d %b %Y}. What it used and gave stands."
        )
    return row


def set_aside(pour: Pour, charge: Mapping[MetalLot, Weighed], *, by) -> list[MetalMove]:
    """Set metal of the store aside for a pour, in place of what was set aside before.

    Raises:
        Refused: a lot does not hold so much, or was used up meanwhile; nothing is set aside then.
    """
    if not any(w.kg > metal_actions.NOUGHT for w in charge.values()):
        raise Refused("Nothing would be set aside: give a mass for one lot at least.")
    _of_one_engine(pour, charge)
    with writing(pour.engine_id):
        row = _open(pour)
        before = list(_planned(pour))
        lots = {move.lot_id: move.lot for move in before} | {lot.pk: lot for lot in charge}
        day = row.planned_for or date.today()
        with metal_actions.held(*lots.values()):
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
        if weighed.kg > metal_actions.NOUGHT
    ]


def free(pour: Pour, *, by) -> None:
    """Put what was set aside back into the store. Raises Refused."""
    with writing(pour.engine_id):
        _open(pour)
        _free(_planned(pour), by=by, reason="not set aside any more")


def give_up(pour: Pour, *, by, reason: str) -> None:
    """Give up a pour that has not happened: its castings wait again, its metal is free."""
    with writing(pour.engine_id):
        _open(pour)
        _free(_planned(pour), by=by, reason=reason)
        for casting in PourCasting.objects.filter(pour=pour):
            saving.remove(casting, by=by, reason=reason)
        saving.remove(pour, by=by, reason=reason)


def happened(
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
    """Write down what came of a pour, in one transaction: store, stages, wasters and costs.

    Good castings reach “poured”. Wasters reach it and go back, with the reason, to before their
    mould: it is broken, and must be made again. What comes back into the store is a new lot, worth
    a kilogram what the charge was worth on average. The rest is booked to the castings.

    Args:
        values: poured_on, and as known temperature_written, _unit, _c, who, happened.
        results: Result of each PourCasting, by its id.
        used: Metal that was really charged, by lot.
        back: Gates, risers, wasters and what was over, as weighed.
        bought: Fuel and other items bought for it.
        move_stages: False when somebody has written the stages down already.

    Raises:
        Refused: it was written down before, a lot does not hold so much, a waster has no reason.
            Nothing is written then.
    """
    day = values["poured_on"]
    _of_one_engine(pour, used)
    with writing(pour.engine_id):
        row = _open(pour)
        charged = sum(w.kg for w in used.values())
        if charged <= metal_actions.NOUGHT:
            raise Refused("Say what metal was really charged: give a mass for one lot at least.")
        if back is not None and back.kg > charged + metal_actions.NOUGHT:
            words = f"{amount(back.kg, 'kg')} cannot come back of {amount(charged, 'kg')}"
            raise Refused(in_units(words, pour.engine.units) + " that were charged.")
        before = list(_planned(pour))
        lots = {move.lot_id: move.lot for move in before} | {lot.pk: lot for lot in used}
        with metal_actions.held(*lots.values()):
            _free(before, by=by, reason=f"poured on {day:%-d %b %Y}")
            moves = _moves(row, used, day, planned=False, reason=f"Charged for pour {row.number}")
            saving.add_many(moves, by=by)
        for casting in PourCasting.objects.filter(pour=pour).select_related("job__part"):
            _came_out(casting, results.get(casting.pk), row, day, move_stages, by=by)
        if back is not None and back.kg > metal_actions.NOUGHT:
            _returns(row, back, used, day, by=by)
        done = saving.change(row, values, seen=row.version, by=by)
        costs.book(done, bought, by=by)
        return done


def undo(pour: Pour, *, by, reason: str) -> Pour:
    """Say that a pour did not happen as written: it is planned again, and may be recorded anew.

    Its metal is back in the lots it came from, the lot of its returns is gone, its stages are as
    they were before, and its costs are out of the tally.

    Raises:
        Refused: it has not happened, or something rests on it: returns that were used since, or
            castings that went on to a later stage.
    """
    with writing(pour.engine_id):
        row = Pour.everything.get(pk=pour.pk)
        if row.poured_on is None or row.removed_at is not None:
            raise Refused(f"{row} has no result yet: there is nothing to undo.")
        moves = list(MetalMove.objects.filter(pour=row).select_related("lot"))
        with metal_actions.held(*{move.lot for move in moves}):
            for move in moves:
                saving.remove(move, by=by, reason=reason)
        for lot in {move.lot for move in moves if move.kg > 0}:
            if lot.moves.filter(removed_at__isnull=True).exists():
                raise Refused(f"{lot} was booked since. Delete those entries first.")
            saving.remove(lot, by=by, reason=reason)
        for casting in PourCasting.objects.filter(pour=row).select_related("job__part"):
            _unpour(casting, row, by=by, reason=reason)
        costs.unbook(row, by=by, reason=reason)
        values = {"poured_on": None, "temperature_written": "", "temperature_unit": ""}
        values |= {"temperature_c": None}
        return saving.change(row, values, seen=row.version, by=by, reason=reason)


def _unpour(casting: PourCasting, pour: Pour, *, by, reason: str) -> None:
    """Delete the stages that the result of the pour wrote, all of them at once."""
    told = PieceEntry.objects.filter(job=casting.job, kind=Kind.STAGE, day=pour.poured_on)
    with balance.held(casting.job.part):
        for entry in told.filter(Q(reason=str(pour)) | Q(reason__startswith=f"{pour}: ")):
            saving.remove(entry, by=by, reason=reason)
    saving.change(casting, {"good": None}, seen=casting.version, by=by, reason=reason)


def _came_out(casting, result, pour, day, move_stages: bool, *, by) -> None:
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
    told = str(pour)
    entries.reach(casting.job, "poured", pieces, day=day, by=by, reason=told)
    if wasters:
        why = f"{told}: {result.why.strip()}"
        for stage in ("poured", "moulded"):
            entries.set_back(casting.job, stage, wasters, day=day, by=by, reason=why)


def _returns(pour: Pour, back: Weighed, used, day: date, *, by) -> MetalLot:
    """Take gates, risers, wasters and what was over into the store as a lot of its own.

    What is in it is not written: it is reckoned from the charge, until somebody has it assayed.
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
