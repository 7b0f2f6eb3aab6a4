"""The locks of the record, and their one order: the engine first, and nothing before it.

All rows of the record belong to an engine. Whoever writes one does so inside `writing(engine)`: one
transaction that first locks the row of the engine, so that what it then reads cannot change before
it is done. So there is one lock in a transaction, and nobody can wait for each other in a ring.
Several engines are locked in one call, in the order of their ids. Reading takes no lock.

PostgreSQL locks the row; people who write to another engine go on. SQLite locks the whole file as
the transaction begins (see `restoration/environment.py`), which holds the same order.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from django.db import connection, transaction

from ..models import Engine

_held: ContextVar[frozenset[int]] = ContextVar("engines held", default=frozenset())


@contextmanager
def writing(*engines: int | None) -> Iterator[None]:
    """One transaction that holds engines, by their ids. None stands for one that is not saved yet.

    Inside another it is a part of that one: what fails in it undoes only it.
    """
    held = _held.get()
    wanted = sorted({engine for engine in engines if engine is not None} - held)
    if held and wanted:
        raise RuntimeError(f"Lock the engines {wanted} in one call with {sorted(held)}.")
    with transaction.atomic():
        if wanted and connection.features.has_select_for_update:
            # Rows that only point at the engine need not wait for it: no key of it changes.
            rows = Engine.everything.select_for_update(no_key=True).filter(pk__in=wanted)
            list(rows.order_by("pk").values_list("pk"))
        token = _held.set(held | frozenset(wanted))
        try:
            yield
        finally:
            _held.reset(token)
