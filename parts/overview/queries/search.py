"""The search box: parts, tags and people by a few letters."""

from dataclasses import dataclass, field

from django.db.models import Count

from parts.care.models import ConditionNote, Freeing, Measurement, Repair
from parts.engine.queries.parts import PartRow
from parts.engine.queries.search import MOST, find_parts, has_every_word
from parts.people.models import HoursGiven
from parts.record.models import Engine, Find, Membership, PieceEntry, column

# The columns with names of people, and the name of a row there, singular and plural.
_NAME_COLUMNS = (
    (Find, "found_by", "find", "finds"),
    (ConditionNote, "who", "condition note", "condition notes"),
    (Measurement, "who", "measure", "measures"),
    (Repair, "who", "repair", "repairs"),
    (Freeing, "who", "freeing", "freeings"),
    (HoursGiven, "person", "day of hours", "days of hours"),
    (PieceEntry, "who", "entry about pieces", "entries about pieces"),
)


@dataclass
class PersonHit:
    """A person whose name is in the record, with what they did."""

    name: str
    role: str = ""
    did: list[str] = field(default_factory=list)


@dataclass(frozen=True)
class SearchResult:
    """The result of a search, no more than `MOST` of each kind."""

    parts: list[PartRow]
    finds: list[Find]
    people: list[PersonHit]
    more_parts: bool
    more_finds: bool

    @property
    def anything(self) -> bool:
        return bool(self.parts or self.finds or self.people)


def find_with_tag(engine: Engine, text: str) -> Find | None:
    """Return the find with exactly this tag; None when no or more than one find has it."""
    rows = list(Find.objects.filter(engine=engine, tag=text.strip().upper()).exclude(tag="")[:2])
    return rows[0] if len(rows) == 1 else None


def search(engine: Engine, text: str) -> SearchResult:
    """Return parts by item or name, finds by tag or looks, people by name. At most 11 queries."""
    words = text.split()
    if not words:
        return SearchResult([], [], [], False, False)
    parts, more_parts = find_parts(engine, text)
    finds = list(_finds(engine, words)[: MOST + 1])
    return SearchResult(
        parts,
        finds[:MOST],
        _people(engine, words)[:MOST],
        more_parts,
        len(finds) > MOST,
    )


def _finds(engine: Engine, words: list[str]):
    return Find.objects.filter(has_every_word(words, "tag", "looks_like"), engine=engine)


def _people(engine: Engine, words: list[str]) -> list[PersonHit]:
    people: dict[str, PersonHit] = {}
    members = Membership.objects.filter(
        has_every_word(words, "user__first_name", "user__last_name", "user__username"),
        engine=engine,
    ).select_related("user")
    for member in members:
        name = member.user.get_full_name() or member.user.get_username()
        people[name] = PersonHit(name, member.get_role_display())
    for model, name_column, singular, plural in _NAME_COLUMNS:
        if not column.may_see(model, name_column):
            continue
        condition = has_every_word(words, name_column)
        rows = model.objects.filter(condition, engine=engine).order_by(name_column)
        # Hours are counted in days: two kinds of work on one day are one day.
        total = Count("day", distinct=True) if model is HoursGiven else Count("pk")
        for name, n in rows.values_list(name_column).annotate(n=total)[: MOST * 2]:
            hit = people.setdefault(name, PersonHit(name))
            hit.did.append(f"{n} {singular if n == 1 else plural}")
    return sorted(people.values(), key=lambda p: p.name.lower())
