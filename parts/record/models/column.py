"""What a column may tell, declared beside the field, and who is looking.

Each editable column of each model is declared open, money, place or personal:

    where_found = column.place(models.CharField("where it lay", max_length=200))

While somebody is looking who may not see places or personal data (`Viewer`), words of such columns
are read from the database as an empty `Withheld` text, whichever page, list, table, sheet or report
asks for them. Numbers and dates are not withheld: rows that are wholly places (the stores, the
pours, the diary) are shown only behind `Right.SEE_PLACES`. Conditions of a query are not withheld
either: search only the columns that `may_see` allows.
"""

from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from enum import StrEnum

from django.db import models

from .measure import Measure


class Kind(StrEnum):
    OPEN = "open"
    MONEY = "money"
    PLACE = "place"
    PERSONAL = "personal"


@dataclass
class Viewer:
    """Who looks at the record at the moment: what is hidden, and whose own words are not."""

    hidden: frozenset[Kind] = frozenset({Kind.PLACE, Kind.PERSONAL})
    user_id: int | None = None


# None: a command, or a test of the floors below the screens; nothing is hidden.
_viewer: ContextVar[Viewer | None] = ContextVar("viewer", default=None)


class Withheld(str):
    """An empty text in place of words that the viewer may not see. Carries them as `words`."""

    __slots__ = ("words",)

    def __new__(cls, words: str):
        text = super().__new__(cls)
        text.words = words
        return text


def hidden() -> frozenset[Kind]:
    """The kinds of column that the viewer may not see."""
    viewer = _viewer.get()
    return viewer.hidden if viewer else frozenset()


def may_see(model, name: str) -> bool:
    """Return whether the viewer may see a column of others' rows."""
    return kind_of(model._meta.get_field(name)) not in hidden()


def is_own(user_id: int | None) -> bool:
    """Return whether a person is the viewer."""
    viewer = _viewer.get()
    return viewer is not None and user_id is not None and viewer.user_id == user_id


@contextmanager
def unknown_viewer():
    """Hide places and personal data, as from a stranger, until `let_see` is called inside."""
    token = _viewer.set(Viewer())
    try:
        yield
    finally:
        _viewer.reset(token)


def let_see(hidden: frozenset[Kind], user_id: int | None) -> None:
    """From now on hide only these kinds. Changes nothing where nobody is looking."""
    if viewer := _viewer.get():
        viewer.hidden, viewer.user_id = hidden, user_id


def reveal(row: models.Model, names=None) -> None:
    """Give a row its words back that were withheld: all, or those of some columns."""
    for name, value in list(vars(row).items()):
        if isinstance(value, Withheld) and (names is None or name in names):
            setattr(row, name, value.words)


def open(field: models.Field) -> models.Field:
    """Declare a column that everybody who may see the record may see."""
    return _declare(field, Kind.OPEN)


def money(field: models.Field) -> models.Field:
    """Declare a column of prices and values."""
    return _declare(field, Kind.MONEY)


def place(field: models.Field) -> models.Field:
    """Declare a column that may tell where something lies or is stored: most free text does."""
    return _declare(field, Kind.PLACE)


def personal(field: models.Field) -> models.Field:
    """Declare a column of a person's own data."""
    return _declare(field, Kind.PERSONAL)


def kind_of(field: models.Field) -> Kind | None:
    """What a column was declared as; None when it was not."""
    return getattr(field, "column_kind", None)


def declared(model, *kinds: Kind) -> list[str]:
    """The names of the columns of a model that were declared as one of these kinds."""
    return [f.name for f in model._meta.local_concrete_fields if kind_of(f) in kinds]


def is_place(model) -> bool:
    """Return whether every column of a model is a place, so that its rows as a whole are."""
    kinds = {kind_of(f) for f in model._meta.local_concrete_fields} - {None}
    return kinds == {Kind.PLACE}


def _declare(field: models.Field, kind: Kind) -> models.Field:
    if isinstance(field, Measure):
        for one in (field.written, field.unit, field.value):
            _declare(one, kind)
        return field
    field.column_kind = kind
    words = isinstance(field, models.CharField | models.TextField)
    if words and kind in (Kind.PLACE, Kind.PERSONAL):

        def from_db_value(value, expression, connection):
            return Withheld(value) if value and kind in hidden() else value

        field.from_db_value = from_db_value
    return field
