"""The history in words: who, when, what, and from what to what."""

from dataclasses import dataclass
from datetime import date, datetime

from django.apps import apps
from django.core.exceptions import FieldDoesNotExist
from django.db import models

from ..models import Change, Engine, Part

# Told to nobody: what is reckoned from what was written, and secrets.
UNTOLD = {
    "engine",
    "unit",
    "value",
    "plus_or_minus_value",
    "sha256",
    "secret_sha256",
    "bytes",
    "width",
    "height",
    "format",
    "original",
    "file",
    "suffix",
    "page",
    "pdf",
    "plan",
    "demo",
    "begins",
}
UNTOLD_ENDS = ("_unit", "_mm", "_kg", "value_mm")
# Told only to those who may see places.
PLACES = {"where_found", "depth_written", "kept_at", "place"}
# Rows that are shown only to those who may see places.
OF_PLACES = {
    "bar",
    "barblank",
    "barmove",
    "crucible",
    "cutplan",
    "diaryentry",
    "metallot",
    "metalmove",
    "pour",
    "pourcasting",
}
WORDS = {
    "barblank": "blank",
    "barmove": "booking of bars",
    "cutplan": "cutting list",
    "conditionnote": "condition note",
    "costamount": "amount",
    "costitem": "cost",
    "costpaper": "paper",
    "diaryentry": "diary entry",
    "drawing": "sheet",
    "enginesize": "leading size",
    "fact": "what happened to pieces",
    "body": "shape",
    "freeing": "freeing",
    "hoursgiven": "hours",
    "measurement": "measure",
    "membership": "person",
    "metallot": "lot of metal",
    "metalmove": "booking of metal",
    "option": "way that was weighed",
    "patternface": "face of the pattern",
    "pourcasting": "castings of a pour",
    "photopair": "before and after",
    "readinglink": "reading link",
    "tie": "piece of the elevation",
}


@dataclass(frozen=True)
class Difference:
    """A field that was changed, in words."""

    label: str
    before: str
    after: str


@dataclass(frozen=True)
class HistoryLine:
    """A change in words.

    Args:
        may_come_back: The row is removed now, and this is its removal.
        made_by_id: Who made the row that was removed, to say who may bring it back.
    """

    change: Change
    kind: str
    differences: list[Difference]
    may_come_back: bool = False
    made_by_id: int | None = None

    @property
    def is_change(self) -> bool:
        return self.change.verb == Change.Verb.CHANGED


def kind_word(kind: str) -> str:
    """How a kind of row is called."""
    return WORDS.get(kind, kind)


def changes(engine: Engine, part: Part | None = None, *, may_see_places: bool):
    """Changes of an engine, or of one part, newest first."""
    rows = Change.objects.filter(engine=engine).select_related("part")
    if not may_see_places:
        rows = rows.exclude(kind__in=OF_PLACES)
    return rows.filter(part=part) if part else rows


def kinds_changed(engine: Engine) -> list[tuple[str, str]]:
    """Kinds of row that were changed, to choose from. One query."""
    kinds = Change.objects.filter(engine=engine).order_by().values_list("kind", flat=True)
    return sorted(((k, kind_word(k).capitalize()) for k in kinds.distinct()), key=lambda k: k[1])


def people_who_changed(engine: Engine) -> list[str]:
    """Who changed anything, to choose from. One query."""
    names = Change.objects.filter(engine=engine).order_by("by_name")
    return list(names.values_list("by_name", flat=True).distinct())


def lines_of(engine: Engine, rows, *, may_see_places: bool) -> list[HistoryLine]:
    """Changes in words. Rows that they name are fetched together, a query for each kind."""
    rows = list(rows)
    names = _names(rows)
    gone = _gone(rows)
    lines = []
    for row in rows:
        removal = row.verb == Change.Verb.REMOVED and (row.kind, row.row) in gone
        lines.append(
            HistoryLine(
                row,
                kind_word(row.kind),
                _differences(row, names, may_see_places),
                removal,
                gone.get((row.kind, row.row)) if removal else None,
            )
        )
        if removal:
            # Only the newest removal of a row offers to bring it back.
            del gone[(row.kind, row.row)]
    return lines


def _model(kind: str):
    try:
        return apps.get_model("parts", kind)
    except LookupError:
        return None


def _field(kind: str, name: str):
    model = _model(kind)
    try:
        return model._meta.get_field(name) if model else None
    except FieldDoesNotExist:
        return None


def _names(rows: list[Change]) -> dict[tuple[type, int], str]:
    """The names of the rows that changes refer to."""
    wanted: dict[type, set] = {}
    for row in rows:
        for name in row.before.keys() | row.after.keys():
            field = _field(row.kind, name)
            if isinstance(field, models.ForeignKey) and name != "engine":
                ids = {row.before.get(name), row.after.get(name)} - {None}
                wanted.setdefault(field.related_model, set()).update(ids)
    found = {}
    for model, ids in wanted.items():
        manager = getattr(model, "everything", model._default_manager)
        related = [f.name for f in model._meta.fields if f.name in ("part", "user")]
        for row in manager.select_related(*related).filter(pk__in=ids):
            found[(model, row.pk)] = str(row)
    return found


def _gone(rows: list[Change]) -> dict[tuple[str, int], int | None]:
    """Which of the removed rows are removed still, and who made them."""
    wanted: dict[str, set] = {}
    for row in rows:
        if row.verb == Change.Verb.REMOVED:
            wanted.setdefault(row.kind, set()).add(row.row)
    gone = {}
    for kind, ids in wanted.items():
        model = _model(kind)
        if model is None:
            continue
        found = model.everything.filter(pk__in=ids, removed_at__isnull=False)
        gone |= {(kind, pk): by for pk, by in found.values_list("pk", "made_by_id")}
    return gone


def _differences(row: Change, names: dict, may_see_places: bool) -> list[Difference]:
    told = []
    for name in dict.fromkeys([*row.before, *row.after]):
        if name in UNTOLD or name.endswith(UNTOLD_ENDS):
            continue
        if name in PLACES and not may_see_places:
            continue
        before = _shown(row.kind, name, row.before.get(name), names)
        after = _shown(row.kind, name, row.after.get(name), names)
        if before or after:
            told.append(Difference(_label(row.kind, name), before, after))
    return told


def _label(kind: str, name: str) -> str:
    field = _field(kind, name)
    return str(field.verbose_name) if field is not None else name.replace("_", " ")


def _shown(kind: str, name: str, value, names: dict) -> str:
    if value in (None, ""):
        return ""
    field = _field(kind, name)
    if isinstance(field, models.ForeignKey):
        return names.get((field.related_model, value), f"no. {value}")
    if isinstance(value, bool):
        return "yes" if value else "no"
    if field is not None and field.choices:
        return str(dict(field.flatchoices).get(value, value))
    if isinstance(field, models.DateTimeField):
        return f"{datetime.fromisoformat(value):%-d %b %Y, %H:%M}"
    if isinstance(field, models.DateField):
        return f"{date.fromisoformat(value):%-d %b %Y}"
    return str(value)
