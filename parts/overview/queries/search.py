"""Finding a part, a tag or a person by a few letters."""

from dataclasses import dataclass, field

from django.db.models import Count

from parts.care.models import ConditionNote, Freeing, Measurement, Repair
from parts.engine.queries.parts import PartRow
from parts.engine.queries.search import MOST, _every, parts_by
from parts.people.models import HoursGiven
from parts.record.models import Engine, Find, Membership, PieceEntry, column

# Where names of people stand in the record, and how a row there is called, one and many.
_NAMED = (
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
class Found:
    """What a search found, no more than `MOST` of each."""

    parts: list[PartRow]
    finds: list[Find]
    people: list[PersonHit]
    more_parts: bool
    more_finds: bool

    @property
    def anything(self) -> bool:
        return bool(self.parts or self.finds or self.people)


def find_with_tag(engine: Engine, text: str) -> Find | None:
    """The find whose tag this is, typed exactly; None when none or more than one carries it."""
    rows = list(Find.objects.filter(engine=engine, tag=text.strip().upper()).exclude(tag="")[:2])
    return rows[0] if len(rows) == 1 else None


def search(engine: Engine, text: str) -> Found:
    """Parts by item or name, finds by tag or looks, people by name. Eleven queries at most."""
    words = text.split()
    if not words:
        return Found([], [], [], False, False)
    parts, more_parts = parts_by(engine, text)
    finds = list(_finds(engine, words)[: MOST + 1])
    return Found(
        parts,
        finds[:MOST],
        _people(engine, words)[:MOST],
        more_parts,
        len(finds) > MOST,
    )


def _finds(engine: Engine, words: list[str]):
    return Find.objects.filter(_every(words, "tag", "looks_like"), engine=engine)


def _people(engine: Engine, words: list[str]) -> list[PersonHit]:
    people: dict[str, PersonHit] = {}
    members = Membership.objects.filter(
        _every(words, "user__first_name", "user__last_name", "user__username"), engine=engine
    ).select_related("user")
    for member in members:
        name = member.user.get_full_name() or member.user.get_username()
        people[name] = PersonHit(name, member.get_role_display())
    for model, name_column, one, many in _NAMED:
        if not column.may_see(model, name_column):
            continue
        wanted = _every(words, name_column)
        rows = model.objects.filter(wanted, engine=engine).order_by(name_column)
        # Hours are counted in days: two kinds of work on one day are one day.
        counted = Count("day", distinct=True) if model is HoursGiven else Count("pk")
        for name, n in rows.values_list(name_column).annotate(n=counted)[: MOST * 2]:
            hit = people.setdefault(name, PersonHit(name))
            hit.did.append(f"{n} {one if n == 1 else many}")
    return sorted(people.values(), key=lambda p: p.name.lower())
