"""How the pieces of parts stand on a day, worked out in SQL from the dated facts.

Each kind of fact is summed up to the day, which gives a balance per part. The need (quantity
less what is left off) is then filled in order: fitted, in place, found, being made, to be made,
past use, missing; each takes what it has, capped by what is left of the need.
"""

from datetime import date

from django.db import models
from django.db.models import F, IntegerField, Q, Sum, Value
from django.db.models.functions import Coalesce, Greatest, Least

# The order in which the need is filled.
FILL_ORDER = ("fitted", "in_place", "found", "being_made", "to_be_made", "past_use", "missing")
# The first of these that has a piece gives the line in which a part is drawn.
DRAWN_ORDER = (
    "missing",
    "past_use",
    "to_be_made",
    "being_made",
    "found",
    "in_place",
    "fitted",
)
BALANCES = {
    "identified": Q(facts__kind="identified"),
    "placed": Q(facts__kind="placed"),
    "off_past_use": Q(facts__kind="past_use"),
    "on_past_use": Q(facts__kind="past_use_placed"),
    "decided": Q(facts__kind="decided"),
    "begun": Q(facts__kind="stage", facts__begins=True),
    "fitted_off": Q(facts__kind="fitted"),
    "lost": Q(facts__kind="lost"),
    "left_off": Q(facts__kind="left_off"),
}


def _balance(condition: Q, day: date | None) -> Coalesce:
    condition &= Q(facts__removed_at__isnull=True)
    if day is not None:
        condition &= Q(facts__day__lte=day)
    return Coalesce(Sum("facts__pieces", filter=condition), 0)


def _at_least_zero(expression):
    return Greatest(expression, Value(0), output_field=IntegerField())


class PartQuerySet(models.QuerySet):
    """Parts, with how their pieces stand."""

    def standing(self, day: date | None = None) -> "PartQuerySet":
        """Add the seven counts, `need`, `spare` and `over_made`, as they were on `day`.

        `spare` are pieces on hand over the need; `over_made` are makings over what is left of
        the need ("a piece has turned up"). `day` None counts every fact of the record.
        Adds one join and no query. To keep the grouping small, name the columns that are wanted
        with `.values(...)` before calling this.
        """
        have = {f"b_{name}": _balance(q, day) for name, q in BALANCES.items()}
        rows = self.annotate(**have).annotate(
            need=_at_least_zero(F("quantity") - F("b_left_off")),
            # What each way of standing has to give, before the need caps it.
            h_fitted=F("b_fitted_off"),
            h_in_place=_at_least_zero(F("b_placed") - F("b_on_past_use")),
            h_found=_at_least_zero(
                F("b_identified") - F("b_lost") - F("b_placed") - F("b_off_past_use")
            ),
            h_being_made=_at_least_zero(F("b_begun") - F("b_fitted_off")),
            h_to_be_made=_at_least_zero(F("b_decided") - F("b_begun")),
            h_past_use=F("b_off_past_use") + F("b_on_past_use"),
        )
        left = F("need")
        for state in FILL_ORDER[:-1]:
            rows = rows.annotate(
                **{state: Least(F(f"h_{state}"), _at_least_zero(left), output_field=IntegerField())}
            )
            left = left - F(state)
        return rows.annotate(
            missing=_at_least_zero(left),
            spare=_at_least_zero(F("h_fitted") + F("h_in_place") + F("h_found") - F("need")),
            over_made=_at_least_zero(
                F("h_being_made") + F("h_to_be_made") - F("being_made") - F("to_be_made")
            ),
        )

    def with_pieces(self, *states: str) -> "PartQuerySet":
        """Keep parts that have any piece in one of the states. Needs `standing()` first."""
        condition = Q()
        for state in states:
            condition |= Q(**{f"{state}__gt": 0})
        return self.filter(condition)
