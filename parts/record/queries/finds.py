"""What finds were identified as."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Sum

from ..models import Find, Part, PieceEntry

IDENTIFIED = PieceEntry.objects.filter(kind=PieceEntry.Kind.IDENTIFIED).select_related("part")


@dataclass(frozen=True)
class Identification:
    """How many pieces of a find are a part, and the entry that said so last."""

    part: Part
    pieces: int
    said: PieceEntry


def identifications(find: Find) -> list[Identification]:
    """What a find was identified as, with what was taken back set off. One query."""
    return by_part(IDENTIFIED.filter(find=find))


def by_part(entries) -> list[Identification]:
    """Add up entries of identification by the part that they name."""
    pieces: dict[Part, int] = {}
    said: dict[Part, PieceEntry] = {}
    for entry in entries:
        pieces[entry.part] = pieces.get(entry.part, 0) + entry.pieces
        if entry.pieces > 0:
            said[entry.part] = entry
    by_item = sorted(pieces.items(), key=lambda one: one[0].item)
    return [Identification(part, n, said[part]) for part, n in by_item if n > 0]


def finds_that_are(parts: Iterable[Part | int]):
    """The finds identified as any of these parts, as dicts of `find`, `part` and `pieces`.

    A find whose identification was taken back is none of them.
    """
    rows = PieceEntry.objects.filter(part__in=parts, kind=PieceEntry.Kind.IDENTIFIED).order_by()
    return rows.values("find", "part").annotate(n=Sum("pieces")).filter(n__gt=0)
