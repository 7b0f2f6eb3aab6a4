"""The history in words: who, when, what, and from what to what.

It shows every column that was typed, to everyone who may see that column in the row itself.
"""

from dataclasses import dataclass
from datetime import date, datetime

from django.apps import apps
from django.core.exceptions import FieldDoesNotExist
from django.db import models

from ..models import Change, Engine, Part, column
from ..models.column import Kind

# Editable in the model, but written by an action and never typed.
NOT_TYPED = {"engine", "plan", "begins"}
# Told in words by an action, beside the columns of the row itself.
IN_WORDS = {"sizes", "on the hook"}
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
    "pieceentry": "what happened to pieces",
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
        title: The text of the row; as it is now, for those who may not see all that it was.
        may_come_back: The row is removed now, and this is its removal.
        made_by_id: Who made the row that was removed, to say who may bring it back.
    """

    change: Change
    kind: str
    title: str
    differences: list[Difference]
    may_come_back: bool = False
    made_by_id: int | None = None

    @property
    def is_change(self) -> bool:
        return self.change.verb == Change.Verb.CHANGED


def kind_word(kind: str) -> str:
    """How a kind of row is called."""
    return WORDS.get(kind, kind)


def changes(engine: Engine, part: Part | None = None):
    """Changes of an engine, or of one part, newest first."""
    rows = Change.objects.filter(engine=engine).select_related("part")
    rows = rows.exclude(kind__in=_hidden_kinds())
    return rows.filter(part=part) if part else rows


def _hidden_kinds() -> list[str]:
    """Kinds of row that tell a place as a whole, where the viewer may not see places."""
    if Kind.PLACE not in column.hidden():
        return []
    rows = apps.get_app_config("parts").get_models()
    return [model._meta.model_name for model in rows if column.is_place(model)]


def kinds_changed(engine: Engine) -> list[tuple[str, str]]:
    """Kinds of row that were changed, to choose from. One query."""
    kinds = changes(engine).order_by().values_list("kind", flat=True)
    return sorted(((k, kind_word(k).capitalize()) for k in kinds.distinct()), key=lambda k: k[1])


def people_who_changed(engine: Engine) -> list[str]:
    """Who changed anything, to choose from. One query."""
    names = Change.objects.filter(engine=engine).order_by("by_name")
    return list(names.values_list("by_name", flat=True).distinct())


def lines_of(rows) -> list[HistoryLine]:
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
                _title(row, names),
                _differences(row, names),
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


def _is_retitled(kind: str) -> bool:
    """Return whether the text of such rows shows a column that the viewer may not see."""
    model = _model(kind)
    return not all(column.may_see(model, name) for name in getattr(model, "named_by", ()))


def _title(row: Change, names: dict) -> str:
    if _is_retitled(row.kind):
        return names.get((_model(row.kind), row.row), "")
    return row.title


def _names(rows: list[Change]) -> dict[tuple[type, int], str]:
    """The names of the rows that changes refer to."""
    wanted: dict[type, set] = {}
    for row in rows:
        if _is_retitled(row.kind):
            wanted.setdefault(_model(row.kind), set()).add(row.row)
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


def _is_shown(row: Change, name: str) -> bool:
    """Return whether a column was typed, and the viewer may see it."""
    field = _field(row.kind, name)
    hidden = column.hidden()
    if field is None:  # in words, or of a column that is no more
        return name in IN_WORDS or not hidden
    if not field.editable or name in NOT_TYPED:
        return False
    kind = column.kind_of(field)
    return kind not in hidden or (kind == Kind.PERSONAL and column.is_own(row.by_id))


def _differences(row: Change, names: dict) -> list[Difference]:
    told = []
    # A database need not keep the order of keys: columns are told in the order of their model.
    for name in sorted(row.before.keys() | row.after.keys(), key=lambda n: _place(row.kind, n)):
        if not _is_shown(row, name):
            continue
        before = _shown(row.kind, name, row.before.get(name), names)
        after = _shown(row.kind, name, row.after.get(name), names)
        if before or after:
            told.append(Difference(_label(row.kind, name), before, after))
    return told


def _place(kind: str, name: str) -> tuple:
    field = _field(kind, name)
    return (field is None, field.creation_counter if field else 0, name)


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
    if isinstance(value, float):
        return f"{value:.6g}"
    if isinstance(value, dict):
        return ", ".join(f"{key} {one}" for key, one in sorted(value.items()))
    if field is not None and field.choices:
        return str(dict(field.flatchoices).get(value, value))
    if isinstance(field, models.DateTimeField):
        return f"{datetime.fromisoformat(value):%-d %b %Y, %H:%M}"
    if isinstance(field, models.DateField):
        return f"{date.fromisoformat(value):%-d %b %Y}"
    return str(value)
