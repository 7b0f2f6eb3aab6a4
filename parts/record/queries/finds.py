"""What finds were identified as."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Sum

from ..models import Fact, Find, Part

IDENTIFIED = Fact.objects.filter(kind=Fact.Kind.IDENTIFIED).select_related("part")


@dataclass(frozen=True)
class Identification:
    """How many pieces of a find are a part, and the entry that said so last."""

    part: Part
    pieces: int
    said: Fact


def identifications(find: Find) -> list[Identification]:
    """What a find was identified as, with what was taken back set off. One query."""
    return by_part(IDENTIFIED.filter(find=find))


def by_part(facts) -> list[Identification]:
    """Add up entries of identification by the part that they name."""
    pieces: dict[Part, int] = {}
    said: dict[Part, Fact] = {}
    for fact in facts:
        pieces[fact.part] = pieces.get(fact.part, 0) + fact.pieces
        if fact.pieces > 0:
            said[fact.part] = fact
    by_item = sorted(pieces.items(), key=lambda one: one[0].item)
    return [Identification(part, n, said[part]) for part, n in by_item if n > 0]


def finds_that_are(parts: Iterable[Part | int]):
    """The finds identified as any of these parts, as dicts of `find`, `part` and `pieces`.

    A find whose identification was taken back is none of them.
    """
    rows = Fact.objects.filter(part__in=parts, kind=Fact.Kind.IDENTIFIED).order_by()
    return rows.values("find", "part").annotate(n=Sum("pieces")).filter(n__gt=0)
