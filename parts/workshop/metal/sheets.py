"""The metal store as tables."""

from collections.abc import Iterable

from parts.drafting.table_csv import TYPE, file_name, table
from parts.engineering.constants import KG_PER_LB

from .queries import MoveLine, Store

HEAD = (
    "lot",
    "kind",
    "material",
    "what is in it",
    "low and high",
    "how known",
    "in kg",
    "out kg",
    "on hand kg",
    "on hand lb",
    "set aside kg",
    "value per kg",
    "worth",
    "currency",
    "where from",
    "find",
    "kept at",
)
MOVE_HEAD = ("day", "in kg", "out kg", "left kg", "as written", "pour", "what for")


def store_csv(store: Store, engine_name: str, day) -> tuple[str, str, bytes]:
    """Return (file name, type, bytes) of the store: a row for each lot, those used up too."""
    rows = (
        (
            lot.name,
            lot.kind,
            lot.material.replace("_", " "),
            ", ".join(f"{s.element} {s.percent:.4g}" for s in lot.shares),
            ", ".join(f"{s.element} {s.low:.4g} to {s.high:.4g}" for s in lot.shares if s.guessed),
            lot.known_word,
            lot.in_kg,
            lot.out_kg,
            lot.on_hand_kg,
            lot.on_hand_kg / float(KG_PER_LB),
            lot.aside_kg,
            lot.value_per_kg,
            lot.worth,
            store.currency,
            lot.where_from,
            lot.find_name,
            lot.kept_at,
        )
        for lot in store.lots
    )
    return file_name(engine_name, "metal store", day), TYPE, table(HEAD, rows)


def moves_csv(lot, moves: Iterable[MoveLine], engine_name: str) -> tuple[str, str, bytes]:
    """Return (file name, type, bytes) of what went in and out of a lot, the oldest first."""
    rows = (
        (
            line.move.day,
            line.move.kg if line.move.kg > 0 else None,
            -line.move.kg if line.move.kg < 0 else None,
            line.left_kg,
            line.move.written,
            line.move.pour.number if line.move.pour else None,
            line.move.reason,
        )
        for line in reversed(list(moves))
    )
    return file_name(engine_name, lot.name), TYPE, table(MOVE_HEAD, rows)
