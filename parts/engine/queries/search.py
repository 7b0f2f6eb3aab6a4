"""Search for parts by item number and words."""

from django.db.models import Q

from parts.engineering.measures.reading import whole
from parts.record.models import Engine, Part

from .parts import PartRow, rows_of

MOST = 20  # rows of one kind that a search shows


def find_parts(engine: Engine, text: str) -> tuple[list[PartRow], bool]:
    """Return parts by item or by words of their name, and whether there are more. Two queries."""
    words = text.split()
    ids = list(_parts(engine, words).values_list("pk", flat=True)[: MOST + 1]) if words else []
    return (rows_of(engine, ids[:MOST]) if ids else []), len(ids) > MOST


def has_every_word(words: list[str], *columns: str) -> Q:
    """Return the condition that every word is in one of the columns."""
    condition = Q()
    for word in words:
        in_any_column = Q()
        for name in columns:
            in_any_column |= Q(**{f"{name}__icontains": word})
        condition &= in_any_column
    return condition


def _parts(engine: Engine, words: list[str]):
    condition = has_every_word(words, "name", "size")
    item = whole(words[0])
    if item is not None:
        rest = has_every_word(words[1:], "name")
        condition = condition | Q(item=item) & rest if words[1:] else Q(item=item)
    return Part.objects.filter(condition, engine=engine).order_by("item")
