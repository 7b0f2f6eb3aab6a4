"""How the pieces of parts stand on a day, worked out in SQL from the dated entries.

The need (quantity less what is left off) is filled in order: fitted, in place, found, being
made, to be made, past use, missing; each takes what it has, capped by what is left of the need.

What each way of standing has to give is a sum of entries, some added and some taken away: found
are those identified, less those lost again, less those placed or past use. Added up in the order
of filling, most terms cancel, which leaves the running totals of `RUNNING`. A count is then the
growth of the running total, capped by the need, from one way of standing to the next. The ledger
(`parts.record.actions.balance`) sees to it that no running total ever falls.
"""

from datetime import date

from django.db import models
from django.db.models import (
    Case,
    Expression,
    ExpressionWrapper,
    F,
    IntegerField,
    Q,
    Sum,
    Value,
    When,
)
from django.db.models.functions import Coalesce, Greatest, Least

# The order in which the need is filled.
FILL_ORDER = ("fitted", "in_place", "found", "being_made", "to_be_made", "beyond_repair", "missing")
# The first of these that has a piece gives the line in which a part is drawn.
DRAWN_ORDER = (
    "missing",
    "beyond_repair",
    "to_be_made",
    "being_made",
    "found",
    "in_place",
    "fitted",
)

BEGUN = Q(entries__kind="stage", entries__begins=True)

# Running totals: the entries that are added, and those taken away.
RUNNING = {
    "fitted": (Q(entries__kind="fitted"), None),
    "in_place": (
        Q(entries__kind__in=["fitted", "placed"]),
        Q(entries__kind="beyond_repair_placed"),
    ),
    "found": (
        Q(entries__kind__in=["fitted", "identified"]),
        Q(entries__kind__in=["lost", "beyond_repair", "beyond_repair_placed"]),
    ),
    "being_made": (
        Q(entries__kind="identified") | BEGUN,
        Q(entries__kind__in=["lost", "beyond_repair", "beyond_repair_placed"]),
    ),
    "to_be_made": (
        Q(entries__kind__in=["identified", "decided"]),
        Q(entries__kind__in=["lost", "beyond_repair", "beyond_repair_placed"]),
    ),
    "beyond_repair": (Q(entries__kind__in=["identified", "decided"]), Q(entries__kind="lost")),
}


class Whole(ExpressionWrapper):
    """A number as the database gives it.

    Django calls a converter for every value of an expression. Counts need none, and for a list
    of thousands of rows the calls take longer than the query.
    """

    convert_value = staticmethod(Expression._convert_value_noop)

    def __init__(self, expression):
        super().__init__(expression, output_field=IntegerField())


def _total(added: Q, taken: Q | None, day: date | None) -> Coalesce:
    sign = [When(added, then=F("entries__pieces"))]
    if taken is not None:
        sign.append(When(taken, then=-F("entries__pieces")))
    holds = Q(entries__removed_at__isnull=True)
    if day is not None:
        holds &= Q(entries__day__lte=day)
    return Coalesce(Sum(Case(*sign, output_field=IntegerField()), filter=holds), 0)


def _over(total: str):
    return Greatest(F(total) - F("need"), Value(0), output_field=IntegerField())


class PartQuerySet(models.QuerySet):
    """Parts, with how their pieces stand."""

    def running(self, day: date | None = None) -> "PartQuerySet":
        """Add what is left off and the running totals. Adds one join and no query.

        To keep the grouping small, name the columns that are wanted with `.values(...)` before.
        """
        totals = {f"upto_{n}": Whole(_total(*entries, day)) for n, entries in RUNNING.items()}
        return self.annotate(
            left_off=Whole(_total(Q(entries__kind="left_off"), None, day)), **totals
        )

    def status(self, day: date | None = None) -> "PartQuerySet":
        """Add the seven counts, `need`, `spare` and `over_made`, as they were on `day`.

        `spare` are pieces on hand over the need; `over_made` are jobs over what is left of
        the need ("a piece has turned up"). `day` None counts every entry of the record.
        Adds one join and no query. To keep the grouping small, name the columns that are wanted
        with `.values(...)` before calling this.
        """
        rows = self.running(day).annotate(
            need=Whole(
                Greatest(F("quantity") - F("left_off"), Value(0), output_field=IntegerField())
            )
        )
        counts, before = {}, Value(0)
        for state in FILL_ORDER[:-1]:
            capped = Least(F(f"upto_{state}"), F("need"), output_field=IntegerField())
            counts[state] = Whole(capped - before)
            before = capped
        counts["missing"] = Whole(F("need") - before)
        return rows.annotate(
            **counts,
            spare=Whole(_over("upto_found")),
            over_made=Whole(_over("upto_to_be_made") - _over("upto_found")),
        )

    def with_pieces(self, *states: str) -> "PartQuerySet":
        """Keep parts that have any piece in one of the states. Needs `standing()` first."""
        condition = Q()
        for state in states:
            condition |= Q(**{f"{state}__gt": 0})
        return self.filter(condition)
