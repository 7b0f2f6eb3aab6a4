"""What the site has given: finds and what they are, which parts a find may be, the diary."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from heapq import nlargest
from math import log
from operator import itemgetter

from django.db.models import Count, F, OuterRef, Prefetch, Q, Subquery, Sum
from django.db.models.functions import Coalesce

from parts.engineering.calculation import Caution
from parts.photos.models import Photo
from parts.record.models import DiaryEntry, Engine, Find, Part, PieceEntry
from parts.record.queries.finds import IDENTIFIED, Identification, by_part
from parts.record.queries.status import Counts, counts_of

# Metals that rust and dirt make hard to tell apart.
ALIKE = [
    {"cast_iron", "steel", "wrought_iron"},
    {"brass", "bronze", "copper"},
    {"white_metal", "lead"},
]
WANTED = ("missing", "to_be_made", "being_made")
# Finds of `finds_of` with a piece that nobody has named yet.
TO_IDENTIFY = Q(odd="", identified__lt=F("quantity"))

# What the law of most places wants when a find is no piece of the engine.
LAWS = {
    "bone": Caution(
        "Stop digging here. If it may be human, leave it where it lies and tell the police.",
        "Nearly everywhere human remains must be reported before anything is moved. Animal bone "
        "is common; someone who knows bones must say which it is.",
    ),
    "personal": Caution(
        "Ask the owner of the ground before it leaves the site.",
        "It may belong to someone living, and in many places old things of value must be reported.",
    ),
    "glass": Caution(
        "Note where it lay before you lift it.",
        "In many places old finds belong to the owner of the ground or must be reported, and on "
        "protected ground nothing may be lifted. Ask the local authority.",
    ),
    "tool": Caution(
        "Note where it lay before you lift it.",
        "In many places old finds belong to the owner of the ground or must be reported, and on "
        "protected ground nothing may be lifted. Ask the local authority.",
    ),
    "other": Caution(
        "If it may be a shell, a cartridge or a gas bottle: do not touch it, go away, call the "
        "police.",
        "Anything else old: in many places finds must be reported. Ask the local authority.",
    ),
}


@dataclass(frozen=True)
class Suggestion:
    """A part that a find may be.

    Args:
        part: The part.
        counts: How its pieces stand.
        reasons: Why, in words.
        against: What speaks against it, in words.
    """

    part: Part
    counts: Counts
    reasons: tuple[str, ...]
    against: tuple[str, ...]


# How many likely parts are asked how they stand, to show a few that are still wanted.
ASKED = 200


def suggest_parts(find: Find, most: int = 5) -> list[Suggestion]:
    """The parts still wanted that a find may be, best first. Two queries.

    Mass, size and the words of the find are weighed, with the material for or against them: a
    material alone makes no match. What was not recorded says nothing either way.
    """
    rows = Part.objects.filter(engine_id=find.engine_id).order_by("item")
    columns = rows.values_list("pk", "name", "material", "mass_kg", "length_mm", named=True)
    words = _words(f"{find.looks_like} {find.note}")
    points = ((_points(find, words, row), row.pk) for row in columns)
    likely = {pk: p for p, pk in nlargest(ASKED, points, key=itemgetter(0)) if p > 0}
    wanted = Part.objects.filter(pk__in=likely).status().with_pieces(*WANTED).order_by("item")
    best = nlargest(most, wanted, key=lambda part: likely[part.pk] + 0.25 * bool(part.missing))
    return [_suggestion(find, words, part) for part in best]


def _points(find: Find, words: set[str], part) -> float:
    """How well a part fits a find; nothing or less when nothing but the material speaks for it."""
    fit = (
        _near(find.mass_kg, part.mass_kg)
        + _near(find.length_mm, part.length_mm)
        + min(3.0, 1.5 * len(words & _words(part.name)))
    )
    return fit + _of_material(find, part) if fit > 0 else 0.0


def _suggestion(find: Find, words: set[str], part: Part) -> Suggestion:
    by_material, shared = _of_material(find, part), words & _words(part.name)
    mass, length = _near(find.mass_kg, part.mass_kg), _near(find.length_mm, part.length_mm)
    told = [
        (by_material, _MATERIAL_WORDS[by_material].format(part.get_material_display().lower())),
        (mass, f"mass {find.mass_written} against {part.mass_written}"),
        (length, f"length {find.length_written} against {part.length_written}"),
        (len(shared), f"the words fit: {', '.join(sorted(shared))}"),
    ]
    return Suggestion(
        part,
        counts_of(part),
        tuple(why for score, why in told if score > 0),
        tuple(why for score, why in told if score < 0),
    )


_MATERIAL_WORDS = {
    1.5: "same material: {}",
    0.5: "{} can look like it under rust",
    0.0: "",
    # White metal is no steel bolt, however well its size fits.
    -6.0: "the part is {}",
}


def _of_material(find: Find, part) -> float:
    if "not_known" in (find.material, part.material):
        return 0.0
    if find.material == part.material:
        return 1.5
    return 0.5 if any({find.material, part.material} <= group for group in ALIKE) else -6.0


def _near(found: float | None, wanted: float | None) -> float:
    if not found or not wanted:
        return 0.0
    off = abs(log(found / wanted))
    if off < 0.06:
        return 3.0
    if off < 0.25:
        return 1.5
    # A broken or dirty piece can be far off, so this weighs little.
    return -0.5 if off < 0.7 else -1.5


@lru_cache(maxsize=8192)
def _words(text: str) -> frozenset[str]:
    words = re.findall(r"[a-z]{3,}", text.lower())
    return frozenset(w[:-1] if w.endswith("s") and len(w) > 4 else w for w in words)


def _identified() -> Coalesce:
    """How many pieces of a find are identified, what was taken back set off.

    Asked of each find that is shown: joined and grouped, all finds would be added up first.
    """
    rows = PieceEntry.objects.filter(
        find=OuterRef("pk"), kind=PieceEntry.Kind.IDENTIFIED
    ).order_by()
    return Coalesce(Subquery(rows.values("find").annotate(n=Sum("pieces")).values("n")), 0)


def finds_of(engine: Engine):
    """Finds, newest first, each with how many of it are identified and its photos."""
    return (
        Find.objects.filter(engine=engine)
        .order_by("-day", "-pk")
        .annotate(identified=_identified())
        .prefetch_related(
            Prefetch("photos", Photo.objects.order_by("pk")),
            Prefetch("entries", IDENTIFIED, to_attr="identified_entries"),
        )
    )


def clashing_tags(engine: Engine) -> list[str]:
    """Tags that more than one find carries: someone must say which is right."""
    return list(
        Find.objects.filter(engine=engine)
        .exclude(tag="")
        .values_list("tag", flat=True)
        .annotate(n=Count("pk"))
        .filter(n__gt=1)
        .order_by("tag")
    )


def same_tag(find: Find) -> list[Find]:
    """Other finds that carry the tag of this one."""
    if not find.tag:
        return []
    return list(Find.objects.filter(engine_id=find.engine_id, tag=find.tag).exclude(pk=find.pk))


def still_to_identify(find: Find, known: list[Identification]) -> int:
    """How many pieces of a find nobody has named yet."""
    return find.quantity - sum(one.pieces for one in known)


@dataclass(frozen=True)
class FindLine:
    """A find of the list, with what it is."""

    find: Find
    known: list[Identification]

    @property
    def left(self) -> int:
        """Pieces still to identify; none of a find that is no piece of the engine."""
        return 0 if self.find.odd else still_to_identify(self.find, self.known)


def find_lines(finds: Iterable[Find]) -> list[FindLine]:
    """Finds that came from `finds_of`, each with what it is. No query."""
    return [FindLine(find, by_part(find.identified_entries)) for find in finds]


@dataclass(frozen=True)
class FindCounts:
    """Finds of an engine, counted."""

    finds: int
    pieces: int
    to_identify: int
    odd: int


def find_counts(engine: Engine) -> FindCounts:
    """How many finds, pieces, finds still to identify and odd finds. Two queries."""
    sums = Find.objects.filter(engine=engine).aggregate(
        finds=Count("pk"),
        pieces=Coalesce(Sum("quantity"), 0),
        odd=Count("pk", filter=~Q(odd="")),
    )
    return FindCounts(sums["finds"], sums["pieces"], finds_to_identify(engine), sums["odd"])


def finds_to_identify(engine: Engine) -> int:
    """How many finds have a piece that nobody has named yet. One query."""
    rows = Find.objects.filter(engine=engine).annotate(identified=_identified())
    return rows.filter(TO_IDENTIFY).count()


def diary_of(engine: Engine, first=None, last=None):
    """Diary entries, newest first, between two days."""
    rows = DiaryEntry.objects.filter(engine=engine).prefetch_related("photos")
    if first:
        rows = rows.filter(day__gte=first)
    if last:
        rows = rows.filter(day__lte=last)
    return rows
