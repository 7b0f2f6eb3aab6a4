"""The cost of the castings of a pour: metal at its value, fuel and bought items, shared out.

The metal charged counts at the value of its lots, and the metal returned is credited at its value,
so that the castings bear the metal that stayed in them and the melting loss. Common practice of
cost accounting, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_DOWN, ROUND_HALF_UP, Decimal
from fractions import Fraction

from ..calculation import Calculation, Input, Origin
from ..errors import OutOfRange
from ..sentences import Sentence, amount

PENNY = Decimal("0.01")
NOTHING = Decimal("0.00")
RULE = (
    "Metal is shared by the mass of the good castings, for wasters went back with the gates and "
    "risers; where nothing came back or none is good, by the mass poured of each. Fuel and bought "
    "items are shared by the mass poured, wasters included."
)


def share_out(total: Decimal, weights: Sequence[float]) -> list[Decimal]:
    """Share a sum of money by weights, to the penny: the shares add up to `total` exactly.

    The pennies left by rounding down go to the shares that lost most (largest remainder). Where no
    weight is more than nothing, all shares are equal.

    Raises:
        OutOfRange: no weight, or a weight or sum below 0.

    >>> [str(share) for share in share_out(Decimal("10.00"), [1, 1, 1])]
    ['3.34', '3.33', '3.33']
    """
    if not weights or total < 0 or any(not w >= 0 for w in weights):
        raise OutOfRange("A sum is shared by one weight or more, none of them below nothing.")
    exact = [Fraction(w) for w in weights] if any(weights) else [Fraction(1)] * len(weights)
    pennies = int(total / PENNY)
    shares = [pennies * w / sum(exact) for w in exact]
    whole = [int(share) for share in shares]
    first = sorted(range(len(whole)), key=lambda i: (whole[i] - shares[i], i))
    for i in first[: pennies - sum(whole)]:
        whole[i] += 1
    return [n * PENNY for n in whole]


@dataclass(frozen=True)
class Metal:
    """Metal of one lot: its mass [kg], and its value per kilogram."""

    name: str
    kg: float
    value_per_kg: Decimal

    @property
    def worth(self) -> Decimal:
        return (Decimal(str(self.kg)) * self.value_per_kg).quantize(PENNY, ROUND_HALF_UP)


@dataclass(frozen=True)
class PouredCasting:
    """Castings of one kind in a pour: the number poured, the number good, the mass of one. [kg]"""

    name: str
    pieces: int
    good: int
    each_kg: float


@dataclass(frozen=True)
class Purchase:
    """Fuel or another item bought for a pour, and its cost."""

    what: str
    amount: Decimal


@dataclass(frozen=True)
class Share:
    """The cost of one kind of casting.

    Args:
        metal: Of each lot charged, in their order.
        bought: Of each bought item, in their order.
    """

    metal: tuple[Decimal, ...]
    bought: tuple[Decimal, ...]

    @property
    def total(self) -> Decimal:
        return sum((*self.metal, *self.bought), NOTHING)


@dataclass(frozen=True)
class PourCosts:
    """The cost of a pour, and the share of each kind of casting. The shares sum to the total."""

    shares: tuple[Share, ...]
    calculation: Calculation

    @property
    def total(self) -> Decimal:
        return sum((share.total for share in self.shares), NOTHING)


def value_of_returns(charged: Sequence[Metal]) -> Decimal:
    """Return the value of a kilogram of returned metal: the mean of the charge, rounded down.

    >>> value_of_returns([Metal("ingot", 3.0, Decimal(9)), Metal("scrap", 1.0, Decimal(4))])
    Decimal('7.75')
    """
    kg = sum((Decimal(str(metal.kg)) for metal in charged), Decimal(0))
    if not kg:
        return NOTHING
    return (sum((m.worth for m in charged), NOTHING) / kg).quantize(PENNY, ROUND_DOWN)


def pour_costs(
    charged: Sequence[Metal],
    returned: Sequence[Metal],
    castings: Sequence[PouredCasting],
    bought: Sequence[Purchase],
    currency: str = "",
) -> PourCosts:
    """Share the cost of a pour over its castings, to the penny.

    The metal returned is deducted from each lot of the charge in proportion to its worth, and
    never more than the charge was worth.

    Raises:
        OutOfRange: there is no casting.
    """
    worth = [metal.worth for metal in charged]
    returned_worth = min(sum((m.worth for m in returned), NOTHING), sum(worth, NOTHING))
    deductions = share_out(returned_worth, [float(w) for w in worth]) if worth else []
    poured = [c.pieces * c.each_kg for c in castings]
    good = [c.good * c.each_kg for c in castings]
    by_mass = good if any(good) and any(m.kg > 0 for m in returned) else poured
    metal = [share_out(w - o, by_mass) for w, o in zip(worth, deductions, strict=True)]
    items = [share_out(item.amount, poured) for item in bought]
    shares = tuple(
        Share(tuple(lot[i] for lot in metal), tuple(item[i] for item in items))
        for i in range(len(castings))
    )
    total = sum((share.total for share in shares), NOTHING)
    bought_total = sum((item.amount for item in bought), NOTHING)
    return PourCosts(
        shares,
        Calculation(
            "Cost of the castings of the pour",
            float(total),
            currency,
            "metal charged at its value − what came back at its value + fuel and bought items",
            # Money alone: it reads the same in all units.
            Sentence(
                f"{sum(worth, NOTHING):,} − {returned_worth:,} + {bought_total:,} = {total:,}"
            ),
            (
                *(_metal_input(m, "charged") for m in charged),
                *(_metal_input(m, "came back") for m in returned),
                *(
                    Input("", item.what, float(item.amount), currency, Origin.ENTERED, "as booked")
                    for item in bought
                ),
            ),
            "common practice of cost accounting, no source",
            limits=f"{RULE} Metal valued at nothing, own or given, costs nothing here. "
            "No hours, and no wear of crucible and furnace.",
            parts=tuple(
                _share_calculation(c, s, by_mass[i], sum(by_mass), poured[i], sum(poured), currency)
                for i, (c, s) in enumerate(zip(castings, shares, strict=True))
            ),
        ),
    )


def _metal_input(metal: Metal, word: str) -> Input:
    source = f"at {metal.value_per_kg} a kilogram, the value of its lot: {metal.worth:,}"
    return Input("", f"{metal.name}, {word}", metal.kg, "kg", Origin.MEASURED, source)


def _share_calculation(
    cast, share: Share, mass, masses, poured, all_poured, currency
) -> Calculation:
    metal, bought = sum(share.metal, NOTHING), sum(share.bought, NOTHING)
    return Calculation(
        f"Share of {cast.name}",
        float(share.total),
        currency,
        "metal by mass + fuel and bought items by mass poured",
        f"metal {amount(mass, 'kg')} of {amount(masses, 'kg')}: {metal:,}; "
        f"fuel and bought items {amount(poured, 'kg')} of {amount(all_poured, 'kg')}: {bought:,}",
        (
            Input("", "Poured", cast.pieces, "", Origin.MEASURED, "pieces of the pour"),
            Input("", "Good", cast.good, "", Origin.MEASURED, "pieces of the pour"),
            Input("", "Mass of one as poured", cast.each_kg, "kg", Origin.MEASURED, "of the pour"),
        ),
        "common practice of cost accounting, no source",
    )
