"""What happened to the pieces of a part, as verbs. Each writes dated facts and keeps the ledger.

Every verb takes the day it happened, who says so and, where a thing is undone, the reason.
Raises Refused, with a sentence, when it cannot have been.
"""

from datetime import date

from django.db.models import Sum

from ..models import Fact, Find, Making, Part
from . import saving
from .balance import held
from .saving import Refused, name_of

Kind = Fact.Kind


def _write(part: Part, kind: str, pieces: int, *, day: date, by, **more) -> Fact:
    fact = Fact(
        engine_id=part.engine_id,
        part=part,
        kind=kind,
        pieces=pieces,
        day=day,
        who=more.pop("who", "") or name_of(by),
        **more,
    )
    return saving.add(fact, by=by, reason=fact.reason)


def _balance(day: date, **which) -> int:
    return Fact.objects.filter(day__lte=day, **which).aggregate(n=Sum("pieces"))["n"] or 0


def _some(pieces: int) -> None:
    if pieces < 1:
        raise Refused("How many? Give a number of pieces, 1 or more.")


# Finds


def identify(find: Find, part: Part, pieces: int, *, day: date, by, reason="") -> Fact:
    """Say that pieces of a find are this part."""
    _some(pieces)
    if find.engine_id != part.engine_id:
        raise Refused("That find belongs to another engine.")
    with held(part, find):
        return _write(part, Kind.IDENTIFIED, pieces, day=day, by=by, find=find, reason=reason)


def take_back(find: Find, part: Part, pieces: int, *, day: date, by, reason: str) -> Fact:
    """Say that pieces of a find turned out not to be this part."""
    _some(pieces)
    with held(part, find):
        return _write(part, Kind.IDENTIFIED, -pieces, day=day, by=by, find=find, reason=reason)


def place(part: Part, pieces: int, *, day: date, by, find: Find | None = None, reason="") -> Fact:
    """Say that found pieces stand on the engine, where they worked."""
    _some(pieces)
    with held(part):
        return _write(part, Kind.PLACED, pieces, day=day, by=by, find=find, reason=reason)


def take_down(part: Part, pieces: int, *, day: date, by, find=None, reason="") -> list[Fact]:
    """Say that pieces which stood on the engine were taken off it.

    Pieces past use that stood there keep their verdict, off the engine, when more are taken
    down than there are sound ones.
    """
    _some(pieces)
    facts = []
    with held(part):
        placed = _balance(day, part=part, kind=Kind.PLACED)
        bad = _balance(day, part=part, kind=Kind.PAST_USE_PLACED)
        bad_too = max(0, pieces - (placed - bad))
        facts.append(_write(part, Kind.PLACED, -pieces, day=day, by=by, find=find, reason=reason))
        if bad_too:
            facts.append(
                _write(part, Kind.PAST_USE_PLACED, -bad_too, day=day, by=by, reason=reason)
            )
            facts.append(_write(part, Kind.PAST_USE, bad_too, day=day, by=by, reason=reason))
    return facts


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


def lose(part: Part, pieces: int, *, day: date, by, reason: str, find=None) -> list[Fact]:
    """Say that pieces which lay off the engine were lost again: stolen, mislaid, given back.

    Sound pieces go first; a piece past use that goes takes its verdict with it.
    """
    _some(pieces)
    with held(part):
        on_hand = _balance(day, part=part, kind=Kind.IDENTIFIED) - _balance(
            day, part=part, kind=Kind.LOST
        )
        off = on_hand - _balance(day, part=part, kind=Kind.PLACED)
        bad = _balance(day, part=part, kind=Kind.PAST_USE)
        facts = [_write(part, Kind.LOST, pieces, day=day, by=by, find=find, reason=reason)]
        bad_too = min(bad, max(0, pieces - (off - bad)))
        if bad_too:
            facts.append(_write(part, Kind.PAST_USE, -bad_too, day=day, by=by, reason=reason))
    return facts


def find_again(part: Part, pieces: int, *, day: date, by, reason="") -> Fact:
    """Say that pieces which were lost again have come back."""
    _some(pieces)
    with held(part):
        return _write(part, Kind.LOST, -pieces, day=day, by=by, reason=reason)


# Verdicts


def condemn(part: Part, pieces: int, *, day: date, by, reason, on_engine=False, find=None) -> Fact:
    """Give the verdict that pieces are past use."""
    _some(pieces)
    kind = Kind.PAST_USE_PLACED if on_engine else Kind.PAST_USE
    with held(part):
        return _write(part, kind, pieces, day=day, by=by, find=find, reason=reason)


def reprieve(part: Part, pieces: int, *, day: date, by, reason, on_engine=False) -> Fact:
    """Withdraw the verdict: a repair, or a second look, made them fit for use."""
    _some(pieces)
    kind = Kind.PAST_USE_PLACED if on_engine else Kind.PAST_USE
    with held(part):
        return _write(part, kind, -pieces, day=day, by=by, reason=reason)


def leave_off(part: Part, pieces: int, *, day: date, by, reason: str) -> Fact:
    """Decide that pieces will not be replaced."""
    _some(pieces)
    with held(part):
        return _write(part, Kind.LEFT_OFF, pieces, day=day, by=by, reason=reason)


def want_again(part: Part, pieces: int, *, day: date, by, reason: str) -> Fact:
    """Withdraw the decision to leave pieces off."""
    _some(pieces)
    with held(part):
        return _write(part, Kind.LEFT_OFF, -pieces, day=day, by=by, reason=reason)


# Makings


def decide(part: Part, route: str, pieces: int, *, day: date, by, reason="", **details) -> Making:
    """Decide to replace pieces of a part by a route. Details are fields of Making."""
    _some(pieces)
    making = Making(engine_id=part.engine_id, part=part, route=route, reason=reason, **details)
    with held(part):
        saving.add(making, by=by, reason=reason)
        _write(part, Kind.DECIDED, pieces, day=day, by=by, making=making, reason=reason)
    return making


def decide_more(making: Making, pieces: int, *, day: date, by, reason="") -> Fact:
    """Decide to make more pieces in the same way."""
    _some(pieces)
    with held(making.part):
        return _write(
            making.part, Kind.DECIDED, pieces, day=day, by=by, making=making, reason=reason
        )


def withdraw(making: Making, pieces: int, *, day: date, by, reason: str) -> list[Fact]:
    """Reopen the decision for some pieces. Those begun and not fitted go back first to begun."""
    _some(pieces)
    part = making.part
    with held(part):
        decided = _balance(day, making=making, kind=Kind.DECIDED)
        facts = [_write(part, Kind.DECIDED, -pieces, day=day, by=by, making=making, reason=reason)]
        facts += _lower(making, 0, decided - pieces, day=day, by=by, reason=reason)
    return facts


def reach(making: Making, stage: str, pieces: int, *, day: date, by, reason="") -> list[Fact]:
    """Say that pieces reached a stage. Earlier stages that lag behind are reached with it."""
    _some(pieces)
    place_of = making.way.place(stage)
    with held(making.part):
        goal = _balance(day, making=making, kind=Kind.STAGE, stage=stage) + pieces
        return _raise(making, place_of, goal, day=day, by=by, reason=reason)


def set_back(making: Making, stage: str, pieces: int, *, day: date, by, reason: str) -> list[Fact]:
    """Say that pieces have not reached a stage after all: a waster, a mistake, a change of mind.

    Later stages go back with it.
    """
    _some(pieces)
    if not reason.strip():
        raise Refused("Say why it goes back: for example “misrun in the thin flange”.")
    place_of = making.way.place(stage)
    with held(making.part):
        goal = _balance(day, making=making, kind=Kind.STAGE, stage=stage) - pieces
        return _lower(making, place_of, goal, day=day, by=by, reason=reason)


def fit(making: Making, pieces: int, *, day: date, by, reason="") -> list[Fact]:
    """Say that pieces were fitted to the engine. All stages are then reached."""
    _some(pieces)
    with held(making.part):
        goal = _balance(day, making=making, kind=Kind.FITTED) + pieces
        last = len(making.way.stages) - 1
        facts = _raise(making, last, goal, day=day, by=by, reason=reason)
        facts.append(
            _write(making.part, Kind.FITTED, pieces, day=day, by=by, making=making, reason=reason)
        )
    return facts


def take_off(making: Making, pieces: int, *, day: date, by, reason: str) -> Fact:
    """Say that fitted pieces were taken off again. They are back on the bench."""
    _some(pieces)
    with held(making.part):
        return _write(
            making.part, Kind.FITTED, -pieces, day=day, by=by, making=making, reason=reason
        )


def _raise(making, upto: int, goal: int, *, day, by, reason) -> list[Fact]:
    facts = []
    for stage in making.way.stages[: upto + 1]:
        short = goal - _balance(day, making=making, kind=Kind.STAGE, stage=stage.key)
        if short > 0:
            facts.append(_stage(making, stage.key, short, day=day, by=by, reason=reason))
    return facts


def _lower(making, since: int, goal: int, *, day, by, reason) -> list[Fact]:
    facts = []
    for stage in making.way.stages[since:]:
        over = _balance(day, making=making, kind=Kind.STAGE, stage=stage.key) - goal
        if over > 0:
            facts.append(_stage(making, stage.key, -over, day=day, by=by, reason=reason))
    return facts


def _stage(making, key: str, pieces: int, *, day, by, reason) -> Fact:
    return _write(
        making.part,
        Kind.STAGE,
        pieces,
        day=day,
        by=by,
        making=making,
        stage=key,
        begins=key == making.way.begins,
        reason=reason,
    )


def unwrite(fact: Fact, *, by, reason: str) -> None:
    """Remove a fact that was typed by mistake: it never happened. The ledger must still hold."""
    finds = [fact.find] if fact.find_id else []
    with held(fact.part, *finds):
        saving.remove(fact, by=by, reason=reason)
