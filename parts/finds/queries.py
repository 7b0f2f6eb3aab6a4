"""Finds with their identifications, possible matches for a find, and the diary."""

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
NEEDED_STATES = ("missing", "to_be_made", "being_made")
# Finds of `finds_of` with pieces still to identify.
TO_IDENTIFY = Q(odd="", identified__lt=F("quantity"))

# What the law of most places requires when a find is no piece of the engine.
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
    """A possible match for a find.

    Args:
        counts: The counts of the part.
        reasons: What speaks for it, in words.
        against: What speaks against it, in words.
    """

    part: Part
    counts: Counts
    reasons: tuple[str, ...]
    against: tuple[str, ...]


# The number of likely parts that are counted, to show a few that are still needed.
MOST_COUNTED = 200


def suggest_parts(find: Find, most: int = 5) -> list[Suggestion]:
    """Return the parts still needed that a find may be, best first. Two queries.

    Mass, size and the words of the find are scored, with the material for or against them: a
    material alone makes no match. What was not recorded does not count either way.
    """
    rows = Part.objects.filter(engine_id=find.engine_id).order_by("item")
    columns = rows.values_list("pk", "name", "material", "mass_kg", "length_mm", named=True)
    words = _words(f"{find.looks_like} {find.note}")
    points = ((_points(find, words, row), row.pk) for row in columns)
    likely = {pk: p for p, pk in nlargest(MOST_COUNTED, points, key=itemgetter(0)) if p > 0}
    needed = (
        Part.objects.filter(pk__in=likely).status().with_pieces(*NEEDED_STATES).order_by("item")
    )
    best = nlargest(most, needed, key=lambda part: likely[part.pk] + 0.25 * bool(part.missing))
    return [_suggestion(find, words, part) for part in best]


def _points(find: Find, words: set[str], part) -> float:
    """Return how well a part fits a find; 0 when only the material speaks for it."""
    fit = (
        _near(find.mass_kg, part.mass_kg)
        + _near(find.length_mm, part.length_mm)
        + min(3.0, 1.5 * len(words & _words(part.name)))
    )
    return fit + _of_material(find, part) if fit > 0 else 0.0


def _suggestion(find: Find, words: set[str], part: Part) -> Suggestion:
    by_material, shared = _of_material(find, part), words & _words(part.name)
    mass, length = _near(find.mass_kg, part.mass_kg), _near(find.length_mm, part.length_mm)
    scores = [
        (by_material, _MATERIAL_WORDS[by_material].format(part.get_material_display().lower())),
        (mass, f"mass {find.mass_written} against {part.mass_written}"),
        (length, f"length {find.length_written} against {part.length_written}"),
        (len(shared), f"the words fit: {', '.join(sorted(shared))}"),
    ]
    return Suggestion(
        part,
        counts_of(part),
        tuple(reason for score, reason in scores if score > 0),
        tuple(reason for score, reason in scores if score < 0),
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


def _near(value: float | None, expected: float | None) -> float:
    if not value or not expected:
        return 0.0
    off = abs(log(value / expected))
    if off < 0.06:
        return 3.0
    if off < 0.25:
        return 1.5
    # A broken or dirty piece can be far off, so this counts little.
    return -0.5 if off < 0.7 else -1.5


@lru_cache(maxsize=8192)
def _words(text: str) -> frozenset[str]:
    words = re.findall(r"[a-z]{3,}", text.lower())
    return frozenset(w[:-1] if w.endswith("s") and len(w) > 4 else w for w in words)


def _identified() -> Coalesce:
    """Return the number of identified pieces of a find, less those taken back.

    A subquery for each find shown: a join with groups would add up all finds first.
    """
    rows = PieceEntry.objects.filter(
        find=OuterRef("pk"), kind=PieceEntry.Kind.IDENTIFIED
    ).order_by()
    return Coalesce(Subquery(rows.values("find").annotate(n=Sum("pieces")).values("n")), 0)


def finds_of(engine: Engine):
    """Return finds, newest first, each with its identified pieces and photos."""
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
    """Return the tags that more than one find carries."""
    return list(
        Find.objects.filter(engine=engine)
        .exclude(tag="")
        .values_list("tag", flat=True)
        .annotate(n=Count("pk"))
        .filter(n__gt=1)
        .order_by("tag")
    )


def same_tag(find: Find) -> list[Find]:
    """Return other finds with the same tag."""
    if not find.tag:
        return []
    return list(Find.objects.filter(engine_id=find.engine_id, tag=find.tag).exclude(pk=find.pk))


def still_to_identify(find: Find, identifications: list[Identification]) -> int:
    """Return the number of pieces of a find still to identify."""
    return find.quantity - sum(row.pieces for row in identifications)


@dataclass(frozen=True)
class FindLine:
    """A find of the list, with its identifications."""

    find: Find
    identifications: list[Identification]

    @property
    def left(self) -> int:
        """Pieces still to identify; none of a find that is no piece of the engine."""
        return 0 if self.find.odd else still_to_identify(self.find, self.identifications)


def find_lines(finds: Iterable[Find]) -> list[FindLine]:
    """Return lines of finds from `finds_of`, with their identifications. No query."""
    return [FindLine(find, by_part(find.identified_entries)) for find in finds]


@dataclass(frozen=True)
class FindCounts:
    """The finds of an engine, counted."""

    finds: int
    pieces: int
    to_identify: int
    odd: int


def find_counts(engine: Engine) -> FindCounts:
    """Return the numbers of finds, pieces, finds to identify and odd finds. Two queries."""
    sums = Find.objects.filter(engine=engine).aggregate(
        finds=Count("pk"),
        pieces=Coalesce(Sum("quantity"), 0),
        odd=Count("pk", filter=~Q(odd="")),
    )
    return FindCounts(sums["finds"], sums["pieces"], finds_to_identify(engine), sums["odd"])


def finds_to_identify(engine: Engine) -> int:
    """Return the number of finds with pieces still to identify. One query."""
    rows = Find.objects.filter(engine=engine).annotate(identified=_identified())
    return rows.filter(TO_IDENTIFY).count()


def diary_of(engine: Engine, first=None, last=None):
    """Return diary entries between two days, newest first."""
    rows = DiaryEntry.objects.filter(engine=engine).prefetch_related("photos")
    if first:
        rows = rows.filter(day__gte=first)
    if last:
        rows = rows.filter(day__lte=last)
    return rows
