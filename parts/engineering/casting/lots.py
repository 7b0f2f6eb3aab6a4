"""Lots of metal: their composition, that of a melt of them, and correcting a melt.

Masses in kg, compositions in per cent by mass, money in the unit of the prices.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType

from .. import tables
from ..calculation import Calculation, Caution, Input, Origin
from ..errors import OutOfRange, UnknownName, finite
from ..figures import sig
from ..materials import properties
from ..sentences import amount
from .cautions import ARSENIC, COPPER, CRUCIBLE, HOT_METAL, LEAD, ZINC

KEEP_OUT = Caution(
    "Keep aluminium and silicon bronze, plated work and unknown white metals out of the charge.",
    "0.005 % of aluminium or silicon spoils leaded bronze; cadmium plate and beryllium copper give "
    "deadly fume. When in doubt leave it out, or have it assayed.",
)


@dataclass(frozen=True)
class Lot:
    """Metal of one composition in the store, or to be bought.

    Args:
        name: What it is called ("lot 4, valve bodies").
        percent: Element -> per cent by mass; the rest up to 100 counts as "other".
        on_hand_kg: The mass on hand; None when any amount can be bought. [kg]
        cost_per_kg: The price of a kilogram, or its value to the shop.
        low, high: Element -> ends of its range, where the composition is a guess.
        origin, source: Where the composition comes from (an assay, a table).
    """

    name: str
    percent: Mapping[str, float]
    on_hand_kg: float | None = None
    cost_per_kg: float = 0.0
    low: Mapping[str, float] = field(default_factory=dict)
    high: Mapping[str, float] = field(default_factory=dict)
    origin: Origin = Origin.ENTERED
    source: str = ""


def scrap_keys() -> dict[str, str]:
    """Return key -> name of the scraps and pure metals in the table."""
    return {row["key"]: row["name"] for row in tables.read("scrap")}


def scrap(
    key: str, on_hand_kg: float | None = None, cost_per_kg: float = 0.0, name: str = ""
) -> Lot:
    """Return a lot with the usual composition of a kind of scrap, and its range.

    Raises:
        UnknownName: no such scrap. Source: table `scrap`, from memory: an assay is better.
    """
    rows = [row for row in tables.read("scrap") if row["key"] == key]
    if not rows:
        raise UnknownName(f"There is no scrap called {key!r}: {', '.join(scrap_keys())}.")
    return Lot(
        name or rows[0]["name"],
        MappingProxyType({r["element"]: float(r["nominal"]) for r in rows}),
        on_hand_kg,
        cost_per_kg,
        MappingProxyType({r["element"]: float(r["low"]) for r in rows}),
        MappingProxyType({r["element"]: float(r["high"]) for r in rows}),
        Origin.TABLE,
        f"{rows[0]['source']} ({rows[0]['status']})",
    )


def usual_losses() -> dict[str, float]:
    """Return element -> per cent lost in melting. Source: table `melt_loss`, from memory."""
    return {row["element"]: float(row["percent"]) for row in tables.read("melt_loss")}


def melt_composition(
    weights: Sequence[tuple[Lot, float]], losses: Mapping[str, float] | None = None
) -> dict[str, float]:
    """Return the composition of a melt, in per cent, after losses.

    Args:
        weights: (lot, kg) pairs.
        losses: Element -> per cent lost in melting; the usual ones when None, {} for none.
    """
    retained = retention(losses)
    mass: dict[str, float] = {}
    for lot, kg in weights:
        weight = finite(f"weight of {lot.name}", kg, above=None, upto=100_000)
        if weight < 0:
            raise OutOfRange(f"The weight of {lot.name} is less than nothing.")
        for element, share in composition(lot).items():
            mass[element] = mass.get(element, 0.0) + weight * share / 100 * retained(element)
    total = sum(mass.values())
    if total <= 0:
        raise OutOfRange("There is nothing in the crucible.")
    return {element: 100 * m / total for element, m in mass.items()}


def retention(losses: Mapping[str, float] | None):
    """Return a function of an element that gives the part of it left after melting."""
    table = usual_losses() if losses is None else dict(losses)
    for element, percent in table.items():
        finite(f"melting loss of {element}", percent, least=0.0, upto=90)
    return lambda element: 1 - table.get(element, 0.0) / 100


def composition(lot: Lot) -> dict[str, float]:
    """Return the lot's shares, brought to 100 % with "other"."""
    shares = {
        e: finite(f"share of {e} in {lot.name}", s, least=0.0, upto=100)
        for e, s in lot.percent.items()
    }
    total = sum(shares.values())
    if total > 100.5:
        raise OutOfRange(f"The shares in {lot.name} sum to {sig(total)} %, more than a whole.")
    if total > 100:
        return {e: s * 100 / total for e, s in shares.items()}
    if total < 100 - 1e-9:
        shares["other"] = shares.get("other", 0.0) + 100 - total
    return shares


def element_word(element: str) -> str:
    """Return the name of an element, or its symbol when no table has it."""
    try:
        return properties.element_name(element)
    except UnknownName:
        return element


def cautions_for(percent: Mapping[str, float]) -> tuple[Caution, ...]:
    """Return the cautions for a melt of this composition."""
    cautions = [HOT_METAL, CRUCIBLE]
    if percent.get("Pb", 0.0) > 0.5:
        cautions.append(LEAD)
    if percent.get("Zn", 0.0) > 1:
        cautions.append(ZINC)
    if percent.get("Cu", 0.0) > 50:
        cautions.append(COPPER)
        cautions.append(KEEP_OUT)
    if percent.get("As", 0.0) > 0.05:
        cautions.append(ARSENIC)
    return tuple(cautions)


def top_up(melt_kg: float, present_kg: float, wanted_percent: float, element: str) -> Calculation:
    """Pure metal to add to a melt to bring one element up to a share. [kg]

    m = (t M − z) ÷ (1 − t), with z kg present in M kg.

    Raises:
        OutOfRange: shares that cannot be, or a melt that holds more already (dilute it instead).
    """
    melt = finite("melt", melt_kg, "kg", upto=100_000)
    z = finite(f"{element_word(element)} present", present_kg, "kg", least=0.0, upto=melt)
    t = finite("share wanted", wanted_percent, upto=99.9) / 100
    value = (t * melt - z) / (1 - t)
    if value < -1e-9:
        raise OutOfRange(
            f"The melt holds {sig(100 * z / melt, 3)} % of {element_word(element)} already, more "
            f"than the {sig(100 * t, 3)} % wanted: thin it with metal that is free of it."
        )
    return Calculation(
        f"{element_word(element).capitalize()} to add",
        max(0.0, value),
        "kg",
        "(t × M − z) ÷ (1 − t)",
        f"({sig(t)} × {sig(melt)} − {sig(z)}) ÷ (1 − {sig(t)}) = {sig(max(0.0, value))}",
        (
            Input("t", "Share wanted", 100 * t, "percent", Origin.ENTERED),
            Input("M", "Melt", melt, "kg", Origin.CALCULATED),
            Input("z", f"{element_word(element).capitalize()} present", z, "kg", Origin.CALCULATED),
        ),
        "mass balance",
        cautions=(HOT_METAL, CRUCIBLE),
        limits="What is added burns off too: add the loss.",
    )


def dilution(melt_kg: float, present_percent: float, wanted_percent: float) -> Calculation:
    """Mass of the melt once it is diluted with metal free of the element. [kg]"""
    melt = finite("melt", melt_kg, "kg", upto=100_000)
    present = finite("share present", present_percent, upto=100)
    t = finite("share wanted", wanted_percent, upto=100)
    if t > present:
        raise OutOfRange(f"Thinning cannot raise {sig(present)} % to {sig(t)} %.")
    value = melt * present / t
    return Calculation(
        "Melt when thinned",
        value,
        "kg",
        "M × z ÷ t",
        f"{sig(melt)} × {sig(present)} ÷ {sig(t)} = {sig(value)}",
        (
            Input("M", "Melt", melt, "kg", Origin.CALCULATED),
            Input("z", "Share present", present, "percent", Origin.CALCULATED),
            Input("t", "Share wanted", t, "percent", Origin.ENTERED),
        ),
        "mass balance",
        verdict=f"Add {amount(value - melt, 'kg')} of metal free of it.",
        cautions=(HOT_METAL, CRUCIBLE),
    )
