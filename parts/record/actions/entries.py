"""What happened to the pieces of a part, as verbs. Each writes dated entries and keeps the ledger.

Every verb takes the day it happened, who says so and, where a thing is undone, the reason.
Raises Refused, with a sentence, when it cannot have been.
"""

from datetime import date

from django.db.models import Sum

from ..models import Find, Job, Part, PieceEntry
from . import saving
from .balance import held
from .saving import Refused, name_of

Kind = PieceEntry.Kind


def _write(part: Part, kind: str, pieces: int, *, day: date, by, **more) -> PieceEntry:
    entry = PieceEntry(
        engine_id=part.engine_id,
        part=part,
        kind=kind,
        pieces=pieces,
        day=day,
        who=more.pop("who", "") or name_of(by),
        **more,
    )
    return saving.add(entry, by=by, reason=entry.reason)


def _balance(day: date, **which) -> int:
    return PieceEntry.objects.filter(day__lte=day, **which).aggregate(n=Sum("pieces"))["n"] or 0


def _some(pieces: int) -> None:
    if pieces < 1:
        raise Refused("How many? Give a number of pieces, 1 or more.")


# Finds


def identify(find: Find, part: Part, pieces: int, *, day: date, by, reason="") -> PieceEntry:
    """Say that pieces of a find are this part."""
    _some(pieces)
    if find.engine_id != part.engine_id:
        raise Refused("That find belongs to another engine.")
    with held(part, find):
        return _write(part, Kind.IDENTIFIED, pieces, day=day, by=by, find=find, reason=reason)


def take_back(find: Find, part: Part, pieces: int, *, day: date, by, reason: str) -> PieceEntry:
    """Say that pieces of a find turned out not to be this part."""
    _some(pieces)
    with held(part, find):
        return _write(part, Kind.IDENTIFIED, -pieces, day=day, by=by, find=find, reason=reason)


def place(
    part: Part, pieces: int, *, day: date, by, find: Find | None = None, reason=""
) -> PieceEntry:
    """Say that found pieces stand on the engine, where they worked."""
    _some(pieces)
    with held(part):
        return _write(part, Kind.PLACED, pieces, day=day, by=by, find=find, reason=reason)


def take_down(part: Part, pieces: int, *, day: date, by, find=None, reason="") -> list[PieceEntry]:
    """Say that pieces which stood on the engine were taken off it.

    Pieces beyond repair that stood there keep their verdict, off the engine, when more are taken
    down than there are sound ones.
    """
    _some(pieces)
    entries = []
    with held(part):
        placed = _balance(day, part=part, kind=Kind.PLACED)
        bad = _balance(day, part=part, kind=Kind.BEYOND_REPAIR_PLACED)
        bad_too = max(0, pieces - (placed - bad))
        entries.append(_write(part, Kind.PLACED, -pieces, day=day, by=by, find=find, reason=reason))
        if bad_too:
            entries.append(
                _write(part, Kind.BEYOND_REPAIR_PLACED, -bad_too, day=day, by=by, reason=reason)
            )
            entries.append(_write(part, Kind.BEYOND_REPAIR, bad_too, day=day, by=by, reason=reason))
    return entries


def still_on_engine(part: Part, pieces: int, *, day: date, by) -> Find:
    """Say that pieces are still on the engine: no tag, no photo."""
    _some(pieces)
    find = Find(
        engine_id=part.engine_id,
        day=day,
        quantity=pieces,
        found_by=name_of(by),
        still_on_engine=True,
        looks_like=part.name,
        material=part.material,
    )
    with held(part):
        saving.add(find, by=by)
        _write(part, Kind.IDENTIFIED, pieces, day=day, by=by, find=find)
        _write(part, Kind.PLACED, pieces, day=day, by=by, find=find)
    return find


def lose(part: Part, pieces: int, *, day: date, by, reason: str, find=None) -> list[PieceEntry]:
    """Say that pieces which lay off the engine were mislaid: stolen, mislaid, given back.

    Sound pieces go first; a piece beyond repair that goes takes its verdict with it.
    """
    _some(pieces)
    with held(part):
        on_hand = _balance(day, part=part, kind=Kind.IDENTIFIED) - _balance(
            day, part=part, kind=Kind.LOST
        )
        off = on_hand - _balance(day, part=part, kind=Kind.PLACED)
        bad = _balance(day, part=part, kind=Kind.BEYOND_REPAIR)
        entries = [_write(part, Kind.LOST, pieces, day=day, by=by, find=find, reason=reason)]
        bad_too = min(bad, max(0, pieces - (off - bad)))
        if bad_too:
            entries.append(
                _write(part, Kind.BEYOND_REPAIR, -bad_too, day=day, by=by, reason=reason)
            )
    return entries


def find_again(part: Part, pieces: int, *, day: date, by, reason="") -> PieceEntry:
    """Say that pieces which were mislaid have come back."""
    _some(pieces)
    with held(part):
        return _write(part, Kind.LOST, -pieces, day=day, by=by, reason=reason)


# Verdicts


def condemn(
    part: Part, pieces: int, *, day: date, by, reason, on_engine=False, find=None
) -> PieceEntry:
    """Give the verdict that pieces are beyond repair."""
    _some(pieces)
    kind = Kind.BEYOND_REPAIR_PLACED if on_engine else Kind.BEYOND_REPAIR
    with held(part):
        return _write(part, kind, pieces, day=day, by=by, find=find, reason=reason)


def reprieve(part: Part, pieces: int, *, day: date, by, reason, on_engine=False) -> PieceEntry:
    """Withdraw the verdict: a repair, or a second look, made them fit for use."""
    _some(pieces)
    kind = Kind.BEYOND_REPAIR_PLACED if on_engine else Kind.BEYOND_REPAIR
    with held(part):
        return _write(part, kind, -pieces, day=day, by=by, reason=reason)


def leave_off(part: Part, pieces: int, *, day: date, by, reason: str) -> PieceEntry:
    """Decide that pieces will not be replaced."""
    _some(pieces)
    with held(part):
        return _write(part, Kind.LEFT_OFF, pieces, day=day, by=by, reason=reason)


def want_again(part: Part, pieces: int, *, day: date, by, reason: str) -> PieceEntry:
    """Withdraw the decision to leave pieces off."""
    _some(pieces)
    with held(part):
        return _write(part, Kind.LEFT_OFF, -pieces, day=day, by=by, reason=reason)


# Jobs


def decide(part: Part, route: str, pieces: int, *, day: date, by, reason="", **details) -> Job:
    """Decide to replace pieces of a part by a route. Details are fields of Job."""
    _some(pieces)
    job = Job(engine_id=part.engine_id, part=part, route=route, reason=reason, **details)
    with held(part):
        saving.add(job, by=by, reason=reason)
        _write(part, Kind.DECIDED, pieces, day=day, by=by, job=job, reason=reason)
    return job


def decide_more(job: Job, pieces: int, *, day: date, by, reason="") -> PieceEntry:
    """Decide to make more pieces in the same way."""
    _some(pieces)
    with held(job.part):
        return _write(job.part, Kind.DECIDED, pieces, day=day, by=by, job=job, reason=reason)


def withdraw(job: Job, pieces: int, *, day: date, by, reason: str) -> list[PieceEntry]:
    """Withdraw the decision for some pieces. Those begun and not fitted go back first to begun."""
    _some(pieces)
    part = job.part
    with held(part):
        decided = _balance(day, job=job, kind=Kind.DECIDED)
        entries = [_write(part, Kind.DECIDED, -pieces, day=day, by=by, job=job, reason=reason)]
        entries += _lower(job, 0, decided - pieces, day=day, by=by, reason=reason)
    return entries


def reach(job: Job, stage: str, pieces: int, *, day: date, by, reason="") -> list[PieceEntry]:
    """Say that pieces reached a stage. Earlier stages that lag behind are reached with it."""
    _some(pieces)
    place_of = job.way.place(stage)
    with held(job.part):
        goal = _balance(day, job=job, kind=Kind.STAGE, stage=stage) + pieces
        return _raise(job, place_of, goal, day=day, by=by, reason=reason)


def set_back(job: Job, stage: str, pieces: int, *, day: date, by, reason: str) -> list[PieceEntry]:
    """Say that pieces have not reached a stage after all: a waster, a mistake, a change of mind.

    Later stages go back with it.
    """
    _some(pieces)
    if not reason.strip():
        raise Refused("Say why it goes back: for example “misrun in the thin flange”.")
    place_of = job.way.place(stage)
    with held(job.part):
        goal = _balance(day, job=job, kind=Kind.STAGE, stage=stage) - pieces
        return _lower(job, place_of, goal, day=day, by=by, reason=reason)


def fit(job: Job, pieces: int, *, day: date, by, reason="") -> list[PieceEntry]:
    """Say that pieces were fitted to the engine. All stages are then reached."""
    _some(pieces)
    with held(job.part):
        goal = _balance(day, job=job, kind=Kind.FITTED) + pieces
        last = len(job.way.stages) - 1
        entries = _raise(job, last, goal, day=day, by=by, reason=reason)
        entries.append(
            _write(job.part, Kind.FITTED, pieces, day=day, by=by, job=job, reason=reason)
        )
    return entries


def take_off(job: Job, pieces: int, *, day: date, by, reason: str) -> PieceEntry:
    """Say that fitted pieces were taken off again. They are back on the bench."""
    _some(pieces)
    with held(job.part):
        return _write(job.part, Kind.FITTED, -pieces, day=day, by=by, job=job, reason=reason)


def _raise(job, upto: int, goal: int, *, day, by, reason) -> list[PieceEntry]:
    entries = []
    for stage in job.way.stages[: upto + 1]:
        short = goal - _balance(day, job=job, kind=Kind.STAGE, stage=stage.key)
        if short > 0:
            entries.append(_stage(job, stage.key, short, day=day, by=by, reason=reason))
    return entries


def _lower(job, since: int, goal: int, *, day, by, reason) -> list[PieceEntry]:
    entries = []
    for stage in job.way.stages[since:]:
        over = _balance(day, job=job, kind=Kind.STAGE, stage=stage.key) - goal
        if over > 0:
            entries.append(_stage(job, stage.key, -over, day=day, by=by, reason=reason))
    return entries


def _stage(job, key: str, pieces: int, *, day, by, reason) -> PieceEntry:
    return _write(
        job.part,
        Kind.STAGE,
        pieces,
        day=day,
        by=by,
        job=job,
        stage=key,
        begins=key == job.way.begins,
        reason=reason,
    )


def unwrite(entry: PieceEntry, *, by, reason: str) -> None:
    """Remove an entry that was typed by mistake: it never happened. The ledger must still hold."""
    finds = [entry.find] if entry.find_id else []
    with held(entry.part, *finds):
        saving.remove(entry, by=by, reason=reason)
