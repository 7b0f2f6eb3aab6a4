"""The rules that the dated entries of a part must keep on every day of the record.

They span rows, so no constraint of the database can hold them: every action that writes entries
does so inside `held(part)`, which locks the engine and checks the whole ledger before the
transaction ends.
"""

from collections import defaultdict
from contextlib import contextmanager
from datetime import date

from django.db.models import Sum

from ..models import Find, Part, PieceEntry
from .locking import writing
from .saving import Refused

Kind = PieceEntry.Kind


@contextmanager
def held(part: Part, *finds: Find):
    """Lock the engine, run the block, then check the ledger. Raises Refused."""
    with writing(part.engine_id):
        yield
        check_part(part)
        for find in finds:
            check_find(find)


def check_find(find: Find) -> None:
    """No more may be identified, in all parts together, than was found."""
    row = Find.everything.get(pk=find.pk)
    entries = PieceEntry.objects.filter(find=find, kind=Kind.IDENTIFIED)
    told = entries.aggregate(n=Sum("pieces"))["n"] or 0
    if told > row.quantity:
        raise Refused(
            f"Find {row.name} is {row.quantity} {_pieces(row.quantity)}; "
            f"{told} would be identified. Identify fewer, or correct how many were found."
        )


def check_part(part: Part) -> None:
    """Walk the entries of a part day by day and refuse the first that cannot be."""
    quantity = Part.everything.values_list("quantity", flat=True).get(pk=part.pk)
    ways = {}
    balance: dict = defaultdict(int)
    entries = (
        PieceEntry.objects.filter(part=part)
        .select_related("job")
        .order_by("day", "pk")
        .only("kind", "day", "pieces", "find_id", "job__route", "stage")
    )
    day = None
    for entry in entries:
        if day is not None and entry.day != day:
            _check_day(day, balance, ways, quantity)
        day = entry.day
        if entry.job_id:
            ways[entry.job_id] = entry.job.way
        balance[(entry.kind, entry.job_id, entry.stage)] += entry.pieces
        if entry.kind == Kind.IDENTIFIED:
            balance[("find", entry.find_id, "")] += entry.pieces
    if day is not None:
        _check_day(day, balance, ways, quantity)


def _check_day(day: date, balance: dict, ways: dict, quantity: int) -> None:
    def n(kind, job=None, stage=""):
        return balance[(kind, job, stage)]

    on_hand = n(Kind.IDENTIFIED) - n(Kind.LOST)
    placed, left_off = n(Kind.PLACED), n(Kind.LEFT_OFF)
    off, on = n(Kind.BEYOND_REPAIR), n(Kind.BEYOND_REPAIR_PLACED)
    when = f"on {day:%-d %b %Y}"
    rules = [
        (
            all(v >= 0 for (k, *_), v in balance.items() if k == "find"),
            f"More would be taken back than was identified from that find {when}.",
        ),
        (
            n(Kind.LOST) >= 0 and on_hand >= 0,
            f"Only {n(Kind.IDENTIFIED)} {_pieces(n(Kind.IDENTIFIED))} had been found {when}.",
        ),
        (
            0 <= placed <= max(on_hand, 0),
            f"Only {on_hand} {_pieces(on_hand)} of it {_was(on_hand)} on hand {when}; "
            f"{placed} cannot stand on the engine.",
        ),
        (
            0 <= off <= on_hand - placed,
            f"Only {on_hand - placed} {_pieces(on_hand - placed)} of it lay off the engine {when}; "
            f"{off} cannot be beyond repair.",
        ),
        (
            0 <= on <= placed,
            f"Only {placed} {_pieces(placed)} of it stood on the engine {when}; "
            f"{on} of them cannot be beyond repair.",
        ),
        (
            0 <= left_off <= quantity,
            f"The engine should have {quantity} of it; {left_off} cannot be left off {when}.",
        ),
    ]
    for holds, sentence in rules:
        if not holds:
            raise Refused(sentence)
    for job, way in ways.items():
        before, word = n(Kind.DECIDED, job), "decided"
        if before < 0:
            raise Refused(f"More would be withdrawn than was decided {when}.")
        steps = [(s.word, n(Kind.STAGE, job, s.key)) for s in way.stages]
        for step, count in [*steps, ("fitted", n(Kind.FITTED, job))]:
            if count < 0:
                raise Refused(f"More would be set back from “{step}” than had reached it {when}.")
            if count > before:
                raise Refused(
                    f"Only {before} {_pieces(before)} had reached “{word}” {when}; "
                    f"{count} cannot be “{step}”."
                )
            before, word = count, step


def _pieces(n: int) -> str:
    return "piece" if n == 1 else "pieces"


def _was(n: int) -> str:
    return "was" if n == 1 else "were"
