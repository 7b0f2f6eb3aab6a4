"""How the pieces of parts stand on a day, counted from the dated entries.

`GIVES` is the one definition. The need (quantity less what is left off) is filled in its order:
each status takes what its entries give it, capped by what is left of the need. Added up in that
order most entries cancel, which leaves a running total up to each status; a count is the growth of
the running total, capped by the need, from one status to the next. The rules on entries
(`parts.record.actions.balance`) see to it that no running total ever falls.

The totals are summed in SQL; `counted` makes the counts of them, in SQL (`Part.objects.status`) or
for many parts at once in arrays (`parts.record.queries.status`). What a status is called, its place
in the key and the order in which it is drawn stand in `parts.drafting.lines`.
"""

from collections import Counter
from collections.abc import Mapping
from datetime import date
from functools import partial

from django.db import models
from django.db.models import Case, Expression, ExpressionWrapper, F, IntegerField, Q, Sum, When
from django.db.models.functions import Coalesce, Greatest, Least

# In the order in which the need is filled: what a piece of each kind of entry gives a status, or
# takes from it. "begun" is a piece that reached the stage with which its job begins.
GIVES = {
    "fitted": {"fitted": 1},
    "in_place": {"placed": 1, "beyond_repair_placed": -1},
    "found": {"identified": 1, "lost": -1, "placed": -1, "beyond_repair": -1},
    "being_made": {"begun": 1, "fitted": -1},
    "to_be_made": {"decided": 1, "begun": -1},
    "beyond_repair": {"beyond_repair": 1, "beyond_repair_placed": 1},
}
FILL_ORDER = (*GIVES, "missing")  # the last is what remains of the need
NEED = ("need", "left_off", "spare", "over_made")


def _totals() -> dict[str, dict[str, int]]:
    """What a piece of each kind of entry adds to the sums that the counts are made of."""
    totals, running = {"left_off": {"left_off": 1}}, Counter()
    for status, gives in GIVES.items():
        running.update(gives)
        totals[f"upto_{status}"] = {kind: n for kind, n in running.items() if n}
    return totals


TOTALS = _totals()


def counted(totals: Mapping, quantity, least, greatest) -> dict:
    """The counts by status, and `NEED`, of the sums that `TOTALS` names.

    Args:
        totals: The sums: expressions, or arrays with a row to a part.
        quantity: Pieces that the engine should have, alike.
        least, greatest: The lesser and the greater of two of them.

    Returns:
        `spare` are pieces on hand over the need; `over_made` are jobs over what is left of the
        need ("a piece has turned up").
    """
    need = greatest(quantity - totals["left_off"], 0)
    counts, before = {}, 0
    for status in GIVES:
        capped = least(totals[f"upto_{status}"], need)
        counts[status], before = capped - before, capped
    spare, made = (greatest(totals[f"upto_{s}"] - need, 0) for s in ("found", "to_be_made"))
    counts[FILL_ORDER[-1]] = need - before
    return counts | dict(zip(NEED, (need, totals["left_off"], spare, made - spare), strict=True))


class Whole(ExpressionWrapper):
    """A number as the database gives it.

    Django calls a converter for every value of an expression. Counts need none, and for a list
    of thousands of rows the calls take longer than the query.
    """

    convert_value = staticmethod(Expression._convert_value_noop)

    def __init__(self, expression):
        super().__init__(expression, output_field=IntegerField())


def _sum(entries: dict[str, int], day: date | None) -> Coalesce:
    pieces = F("entries__pieces")
    signs = [When(_of(entries, 1), then=pieces)]
    if -1 in entries.values():
        signs.append(When(_of(entries, -1), then=-pieces))
    holds = Q(entries__removed_at__isnull=True)
    if day is not None:
        holds &= Q(entries__day__lte=day)
    return Coalesce(Sum(Case(*signs, output_field=IntegerField()), filter=holds), 0)


def _of(entries: dict[str, int], sign: int) -> Q:
    kinds = {kind for kind, n in entries.items() if n == sign}
    of_kinds = Q(entries__kind__in=sorted(kinds - {"begun"}))
    begun = Q(entries__kind="stage", entries__begins=True)
    return of_kinds | begun if "begun" in kinds else of_kinds


class PartQuerySet(models.QuerySet):
    """Parts, with how their pieces stand."""

    def running(self, day: date | None = None) -> "PartQuerySet":
        """Add the sums of `TOTALS`. Adds one join and no query.

        To keep the grouping small, name the columns that are wanted with `.values(...)` before.
        """
        return self.annotate(**{n: Whole(_sum(entries, day)) for n, entries in TOTALS.items()})

    def status(self, day: date | None = None) -> "PartQuerySet":
        """Add the count of each status and `NEED` (see `counted`), as they were on `day`.

        `day` None counts every entry of the record. Adds one join and no query. To keep the
        grouping small, name the columns that are wanted with `.values(...)` before calling this.
        """
        least, greatest = (partial(f, output_field=IntegerField()) for f in (Least, Greatest))
        counts = counted({n: F(n) for n in TOTALS}, F("quantity"), least, greatest)
        del counts["left_off"]  # is a sum itself
        return self.running(day).annotate(**{name: Whole(n) for name, n in counts.items()})

    def with_pieces(self, *states: str) -> "PartQuerySet":
        """Keep parts that have any piece in one of the states. Needs `status()` first."""
        condition = Q()
        for state in states:
            condition |= Q(**{f"{state}__gt": 0})
        return self.filter(condition)
