"""Parts by their words."""

from django.db.models import Q

from parts.engineering.measures.reading import whole
from parts.record.models import Engine, Part

from .parts import PartRow, rows_of

MOST = 20


def parts_by(engine: Engine, text: str) -> tuple[list[PartRow], bool]:
    """Parts by item or by words of their name, and whether there are more. Two queries."""
    words = text.split()
    ids = list(_parts(engine, words).values_list("pk", flat=True)[: MOST + 1]) if words else []
    return (rows_of(engine, ids[:MOST]) if ids else []), len(ids) > MOST


def _every(words: list[str], *columns: str) -> Q:
    """Every word stands in one of the columns."""
    wanted = Q()
    for word in words:
        any_of = Q()
        for name in columns:
            any_of |= Q(**{f"{name}__icontains": word})
        wanted &= any_of
    return wanted


def _parts(engine: Engine, words: list[str]):
    wanted = _every(words, "name", "size")
    item = whole(words[0])
    if item is not None:
        named = _every(words[1:], "name")
        wanted = wanted | Q(item=item) & named if words[1:] else Q(item=item)
    return Part.objects.filter(wanted, engine=engine).order_by("item")
