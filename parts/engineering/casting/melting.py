"""Melting: the castings of each pour, pouring temperatures, and the crucible.

Masses in kg, temperatures in degC. See `charge` for the charge from the metal store, `heats` for
heat and fuel. Planning figures only: the maker's instructions, local codes and the foundry's own
practice rule.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ..calculation import Calculation, Input, Origin
from ..constants import KG_PER_LB
from ..errors import Infeasible, OutOfRange, UnknownName, finite
from ..figures import full, per_cent
from ..materials import properties
from ..packing.cutting_patterns import Bin
from ..packing.packing import largest_first, pack
from ..sentences import amount
from .cautions import CRUCIBLE, HOT_METAL
from .heats import melt_cautions

LB = float(KG_PER_LB)


@dataclass(frozen=True)
class Casting:
    """Castings of one kind to pour.

    Args:
        name: What they are.
        poured_kg: Metal for one mould, with gates and risers. [kg]
        quantity: How many.
        metal: Metal or material ("bronze", "red_brass").
    """

    name: str
    poured_kg: float
    quantity: int = 1
    metal: str = "not_known"


@dataclass(frozen=True)
class Pour:
    """One heat of the crucible: how many of which casting, and the metal it takes. [kg]"""

    castings: tuple[tuple[str, int], ...]
    mass_kg: float


@dataclass(frozen=True)
class PourPlan:
    """The castings of one metal in the fewest pours.

    Args:
        pours: The fullest first.
        calculation: The number of pours, with its bound.
        proven: True when no plan has fewer.
        bound: No plan has fewer pours.
    """

    pours: tuple[Pour, ...]
    calculation: Calculation
    proven: bool
    bound: int


def fewest_pours(
    castings: Sequence[Casting], crucible_kg: float, *, seconds: float = 2.0
) -> PourPlan:
    """Group castings of one metal into the fewest pours.

    Args:
        castings: The castings to pour, all of one metal.
        crucible_kg: The most of this metal that the crucible may carry. [kg]
        seconds: Time limit, after which the best grouping so far is returned with its bound. At 0
            the castings are grouped largest first, with the bound that their mass alone gives. [s]

    Raises:
        OutOfRange: a mass that cannot be, nothing to pour, or castings of several metals.
        Infeasible: a casting that takes more than the crucible carries.
    Source: bin packing by patterns, see `packing`; exact when `proven`.
    """
    capacity = finite("mass the crucible may carry", crucible_kg, "kg", upto=100_000)
    needed = [c for c in castings if c.quantity != 0]
    if not needed:
        raise OutOfRange("Nothing is to be poured: list at least one casting.")
    metals = sorted({c.metal for c in needed})
    if len(metals) > 1:
        raise OutOfRange(f"One pour is of one metal; these are of {', '.join(metals)}.")
    for c in needed:
        finite(f"poured mass of {c.name}", c.poured_kg, "kg", upto=100_000)
        if c.quantity != int(c.quantity) or not 0 < c.quantity <= 10_000:
            raise OutOfRange(f"{c.name}: {c.quantity!r} castings cannot be poured.")
        if c.poured_kg > capacity + 1e-9:
            raise Infeasible(
                f"{c.name} takes {amount(c.poured_kg, 'kg')} and the crucible carries "
                f"{amount(capacity, 'kg')}: find a larger crucible, or pour it from two at once."
            )
    sizes = [float(c.poured_kg) for c in needed]
    counts = [int(c.quantity) for c in needed]
    bins = [Bin(capacity, 1.0)]
    best = largest_first(sizes, counts, bins)
    if seconds > 0:
        best = pack(sizes, counts, bins, seconds=seconds, first=best)
    pours = []
    for _, fill, n in best.fills:
        contents = tuple((c.name, k) for c, k in zip(needed, fill, strict=True) if k)
        mass = sum(k * z for k, z in zip(fill, sizes, strict=True))
        pours += [Pour(contents, mass)] * n
    pours.sort(key=lambda pour: -pour.mass_kg)
    return _pour_plan(
        tuple(pours), best, needed, capacity, sum(z * n for z, n in zip(sizes, counts, strict=True))
    )


def _pour_plan(pours, best, needed, capacity, total) -> PourPlan:
    mass_bound = math.ceil(total / capacity - 1e-9)
    bound = max(math.ceil(best.bound - 1e-6), mass_bound)
    count = len(pours)
    proven = best.proven or count == bound
    castings = _castings(sum(c.quantity for c in needed))
    verdict = f"{_pours(count)} of at most {amount(capacity, 'kg')} for {castings}"
    verdict += "; fewer cannot do." if proven else f"; at least {bound} are needed."
    if proven and count > mass_bound:
        verdict += f" By mass alone {mass_bound} would do, but the pieces do not divide so."
    metal = needed[0].metal
    cautions = melt_cautions(metal)
    calculation = Calculation(
        "Pours",
        float(count),
        "",
        "fewest groups with Σ poured mass ≤ crucible",
        " + ".join(full(pour.mass_kg, "kg") for pour in pours) + f" = {amount(total, 'kg')}",
        (
            Input("C", "Crucible carries", capacity, "kg", Origin.CALCULATED),
            *(
                Input("m", f"{c.name}, {c.quantity} wanted", c.poured_kg, "kg", Origin.CALCULATED)
                for c in needed
            ),
        ),
        "bin packing by patterns (Gilmore and Gomory 1961), solved with HiGHS",
        low=float(bound),
        high=float(count),
        interval="from the fewest that can be to this plan",
        verdict=verdict,
        cautions=cautions,
        limits="Moulds must all be ready before the metal is hot; leave a little for the last one.",
    )
    return PourPlan(pours, calculation, proven, bound)


def _pours(n: int) -> str:
    return "1 pour" if n == 1 else f"{n} pours"


def _castings(n: int) -> str:
    return "1 casting" if n == 1 else f"{n} castings"


SECTIONS = ("thin", "medium", "heavy")


def pouring_temperature(metal: str, section: str = "medium") -> Calculation:
    """Pouring temperature: higher for thin castings, lower for heavy ones. [degC]

    Args:
        metal: Metal or material.
        section: "thin", "medium" or "heavy".

    Raises:
        UnknownName: no such section, or no table has the metal's temperatures.
    """
    if section not in SECTIONS:
        raise UnknownName(f"A casting is thin, medium or heavy, not {section!r}.")
    kind = properties.metal(metal)
    figure = properties.figure(metal, "pouring")
    value = {"thin": figure.high, "medium": figure.value, "heavy": figure.low}[section]
    verdict = f"Pour {kind.name} for {section} castings at {amount(value, 'degC')}"
    try:
        over = value - properties.figure(metal, "liquidus").value
        verdict += f", {amount(over, 'degC_diff', 2)} over all melted."
    except UnknownName:
        verdict += "."
    return Calculation(
        "Pouring temperature",
        value,
        "degC",
        "usual range: the top for thin castings, the bottom for heavy ones",
        f"{amount(figure.low, 'degC')} to {amount(figure.high, 'degC')}",
        (Input("T", f"{kind.name}, usual", figure.value, "degC", Origin.TABLE, figure.cited),),
        figure.cited,
        low=figure.low,
        high=figure.high,
        interval="from heavy to thin castings",
        verdict=verdict,
        cautions=melt_cautions(metal),
        limits="Read it with a pyrometer in the metal; colour by eye misses by "
        f"{amount(50, 'degC_diff', 1)} and more.",
    )


def crucible_carries(brim_l: float, metal: str, *, fill: float = 0.8) -> Calculation:
    """Mass of metal that a crucible carries, from its measured brim volume. [kg]

    Args:
        brim_l: Water it holds to the brim, weighed before it is fired (1 kg is 1 l). [l]
        metal: Metal or material, for its density.
        fill: The part of the brim volume that is filled, 0.5 to 0.9.
    """
    brim = finite("brim volume", brim_l, "l", upto=1000)
    part_filled = finite("filling of the crucible", fill, least=0.5, upto=0.9)
    rho = properties.density(metal)
    value = brim / 1000 * part_filled * rho.value
    return Calculation(
        "The crucible carries",
        value,
        "kg",
        "V × f × ρ",
        f"{full(brim, 'l')} × {part_filled:g} × {full(rho.value, 'kg_m3')} = {amount(value, 'kg')}",
        (
            Input("V", "Brim volume", brim, "l", Origin.MEASURED),
            Input("f", "Filling", part_filled, "", Origin.ASSUMED, "0.75 to 0.85, practice"),
            rho.as_input("ρ", "Density"),
        ),
        "volume × density",
        cautions=(HOT_METAL, CRUCIBLE),
        limits="Melted metal is 4 to 7 % lighter than cold: the filling covers it.",
    )


def charge_for(poured_kg: float, metal: str) -> Calculation:
    """Cold metal to charge for a mass to pour: P ÷ (1 − s). [kg]

    Args:
        poured_kg: Castings with their gates and risers. [kg]
        metal: Metal or material, for its melting loss.

    Raises:
        UnknownName: no table has the metal's melting loss. OutOfRange: a mass that cannot be.
    """
    poured = finite("mass to pour", poured_kg, "kg", upto=100_000)
    kind = properties.metal(metal)
    loss = properties.figure(metal, "loss")
    value, low, high = (poured / (1 - s) for s in (loss.value, loss.low, loss.high))
    loss_input = Input("s", "Melting loss", loss.value * 100, "percent", Origin.TABLE, loss.cited)
    return Calculation(
        f"{kind.name.capitalize()} to charge",
        value,
        "kg",
        "P ÷ (1 − s)",
        f"{full(poured, 'kg')} ÷ (1 − {full(loss.value)}) = {amount(value, 'kg')}",
        (Input("P", "To pour, with gates and risers", poured, "kg", Origin.CALCULATED), loss_input),
        "foundry practice: melting loss",
        low=low,
        high=high,
        interval="from the limits of the melting loss",
        cautions=melt_cautions(metal),
        limits="Loss depends on the furnace and the scrap: weigh before and after.",
    )


def crucible_limit(
    carries_kg: float, metal: str, *, brim_l: float | None = None, charge_kg: float | None = None
) -> Calculation:
    """Limit of the mass of a metal in a crucible, from its limit for bronze. [kg]

    A lighter metal has less mass in the same volume. A heavier one may weigh no more than bronze,
    for the sake of pot and tongs. With a measured brim volume the lower of both limits holds.

    Args:
        carries_kg: Its limit for tin bronze. [kg]
        metal: Metal or material.
        brim_l: Volume to the brim, when measured. [l]
        charge_kg: A charge to compare with the limit. Over it the Calculation is refused.
            [kg]
    """
    bronze = finite("mass of bronze that the crucible may carry", carries_kg, "kg", upto=10_000)
    rho, bronze_rho = properties.density(metal), properties.density("tin_bronze")
    ratio = min(1.0, rho.value / bronze_rho.value)
    value = bronze * ratio
    formula = "B × ρ ÷ ρb, and no more than B"
    figures = f"{amount(bronze, 'kg')} × {amount(rho.value, 'kg_m3')} ÷ "
    figures += amount(bronze_rho.value, "kg_m3")
    figures += (
        f" = {amount(value, 'kg')}" if ratio < 1 else f", no more than {amount(bronze, 'kg')}"
    )
    inputs = [
        Input("B", "Carries of bronze", bronze, "kg", Origin.ENTERED),
        rho.as_input("ρ", "Density of the metal"),
        bronze_rho.as_input("ρb", "Density of bronze"),
    ]
    parts: tuple[Calculation, ...] = ()
    if brim_l is not None:
        by_volume = crucible_carries(brim_l, metal)
        parts, formula = (by_volume,), "least of " + formula + ", and V × f × ρ"
        figures += f"; by its room {amount(float(by_volume.value), 'kg')}"
        value = min(value, float(by_volume.value))
    verdict, over_limit = "", False
    if charge_kg is not None:
        over_limit = charge_kg > value + 1e-9
        verdict = f"{amount(charge_kg, 'kg')} of {amount(value, 'kg')}"
        verdict += f", {per_cent(charge_kg / value)} of the limit."
        if over_limit:
            verdict = (
                f"Over what the crucible may carry: {amount(charge_kg, 'kg')} against "
                f"{amount(value, 'kg')}. Do not pour this in one heat."
            )
    return Calculation(
        "The crucible may carry",
        value,
        "kg",
        formula,
        figures,
        tuple(inputs),
        "by volume: mass in proportion to density",
        verdict=verdict,
        refused=over_limit,
        cautions=(HOT_METAL, CRUCIBLE),
        limits="A crucible that is cracked, thinned or soaked with another metal carries nothing.",
        parts=parts,
    )
