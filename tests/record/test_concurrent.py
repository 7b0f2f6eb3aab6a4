"""Several helpers at once, each with a connection of their own to a real database file."""

from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection

from parts.finds import actions as finds_actions
from parts.record.actions import entries, saving
from parts.record.actions.saving import Clash, Refused
from parts.record.models import Change, Find, Part, PieceEntry
from tests import make

pytestmark = pytest.mark.django_db(transaction=True)
DAY = make.FIRST_DAY


def at_once(work, n: int) -> list:
    """Run `work(i)` in n threads that begin together; return what each gave or raised."""

    def one(i):
        try:
            return work(i)
        except (Refused, Clash) as refusal:
            return refusal
        finally:
            connection.close()

    with ThreadPoolExecutor(n) as pool:
        return list(pool.map(one, range(n)))


def test_no_more_is_identified_than_was_found():
    engine = make.engine()
    find = make.find(engine, 3)
    parts = [make.part(engine, 5) for _ in range(8)]
    given = at_once(lambda i: entries.identify(find, parts[i], 1, day=DAY, by=None), 8)
    assert sum(isinstance(g, PieceEntry) for g in given) == 3
    assert sum(isinstance(g, Refused) for g in given) == 5
    assert PieceEntry.objects.filter(find=find).count() == 3


def test_no_piece_is_placed_twice():
    part = make.part(make.engine(), 5)
    make.found(part, 2)
    at_once(lambda i: entries.place(part, 1, day=DAY, by=None), 6)
    row = Part.objects.filter(pk=part.pk).status().get()
    assert (row.in_place, row.found) == (2, 0)


def test_each_find_gets_a_tag_of_its_own():
    engine = make.engine(tag_prefix="HG")
    at_once(
        lambda i: finds_actions.record_find(Find(engine=engine, day=DAY, note="rod"), by=None), 8
    )
    tags = sorted(Find.objects.values_list("tag", flat=True))
    assert tags == [f"HG-{n:04}" for n in range(1, 9)]


def test_one_find_sent_many_times_at_once_is_kept_once():
    engine, uid = make.engine(), "6f1f0c52-3f7a-4f6e-9a54-0d6d3f8f1a11"
    given = at_once(
        lambda i: finds_actions.record_find(
            Find(engine=engine, day=DAY, uid=uid, note="rod"), by=None
        ),
        6,
    )
    assert len({find.pk for find in given}) == 1
    assert Find.objects.count() == 1


def test_of_two_who_save_the_same_row_the_second_is_told():
    part = make.part(make.engine(), name="Rod")
    given = at_once(
        lambda i: saving.change(part, {"name": f"Rod {i}"}, seen=part.version, by=None), 4
    )
    kept = [g for g in given if isinstance(g, Part)]
    assert len(kept) == 1
    assert sum(isinstance(g, Clash) for g in given) == 3
    assert Part.objects.get().name == kept[0].name
    assert Change.objects.filter(kind="part", verb="changed").count() == 1
