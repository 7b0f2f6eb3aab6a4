"""Hauling: the pull to slide, roll or free a piece, tackle, and the trips of a lorry.

Pulls are given as a weight in kg, as winches are rated. All of them are rough.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from .. import tables
from ..calculation import Calculation, Caution, Input, Origin
from ..errors import Infeasible, OutOfRange, UnknownName, finite
from ..figures import full, sig
from ..packing.packing import Bin, largest_first, pack
from ..sentences import amount
from .slings import RIGGER, Gear, compare_with_rating

TIGHT_ROPE = Caution(
    "Stand clear of a tight rope by its whole length, and never in the bight.",
    "A rope, chain or anchor that lets go kills. Blocks, anchors and shackles carry more than the "
    "winch does. Follow the makers and the code of the place.",
)
RUNS_AWAY = Caution(
    "Hold back a load on a slope with a second rope before it is moved.",
    "On rollers it runs by itself on a slope that looks level.",
)
BEDDED = Caution(
    "Dig round it, wash it free and jack it before you pull.",
    "Suction, roots and hidden bolts can hold many times the weight. A trench or pit is guarded by "
    "the excavation rules of the place (in the US 29 CFR 1926 subpart P).",
)
LASHED = Caution(
    "Lash each load; the weight over each axle and the road rules are the driver's to check.",
    "The payload on the plate rules, not the volume.",
)


def _row(table: str, key: str, what: str) -> dict[str, str]:
    for row in tables.read(table):
        if row["key"] == key:
            return row
    raise UnknownName(f"There is no {what} called {key!r}.")


def _table_input(letter: str, row: dict[str, str]) -> Input:
    source = row["source"] + (" (from memory)" if row["status"] == "memory" else "")
    return Input(letter, row["name"], float(row["value"]), "", Origin.TABLE, source)


def slide(
    mass_kg: float,
    surface: str | float,
    slope_deg: float = 0.0,
    gear: Gear | None = None,
) -> Calculation:
    """Pull to drag a load on skids or rollers, up (+) or down (−) a slope. [kg]

    Args:
        mass_kg: The load. [kg]
        surface: Key of the friction table ("rollers_planks", "greased_timber" …), or a person's
            own friction factor.
        slope_deg: Slope of the way, up is positive. [deg]
        gear: The winch or rope, compared with the high end of the range.

    Returns:
        Calculation; a value under 0 is the pull needed to hold the load back.

    Source: W (sin β + μ cos β).
    """
    mass = finite("mass", mass_kg, "kg", upto=1e6)
    slope = finite("slope", slope_deg, "deg", least=-60.0, upto=60.0)
    if isinstance(surface, str):
        row = _row("friction", surface, "surface")
        mu, low, high = (float(row[k]) for k in ("value", "low", "high"))
        friction_input = _table_input("μ", row)
    else:
        mu = low = high = finite("friction factor", surface, least=0.0, upto=3.0)
        friction_input = Input("μ", "Friction factor", mu, "", Origin.ENTERED)
    b = math.radians(slope)

    def pull(factor):
        return mass * (math.sin(b) + factor * math.cos(b))

    value, most, least = pull(mu), pull(high), pull(low)
    verdict, refused, gear_inputs = compare_with_rating(gear, max(most, abs(least)), "The pull")
    if least < 0:
        hold_back = amount(-least, "kg")
        verdict = f"It may run away by itself: hold it back with up to {hold_back}. {verdict}"
    has_range = low != high
    return Calculation(
        "Pull, as a weight",
        value,
        "kg",
        "W × (sin β + μ × cos β)",
        f"{full(mass, 'kg')} × (sin {full(slope)}° + {full(mu)} × cos {full(slope)}°) = "
        f"{amount(value, 'kg')}",
        (
            Input("W", "Mass", mass, "kg", Origin.ENTERED),
            friction_input,
            Input("β", "Slope, up", slope, "deg", Origin.ENTERED),
            *gear_inputs,
        ),
        "statics of the inclined plane",
        low=least if has_range else None,
        high=most if has_range else None,
        interval="from the range of the friction" if has_range else "",
        verdict=verdict,
        refused=refused,
        cautions=(TIGHT_ROPE, RUNS_AWAY, RIGGER) if slope or least < 0 else (TIGHT_ROPE, RIGGER),
        limits="Rough. Starting takes more than keeping it moving; an edge that digs in, far more.",
    )


def free_bedded(
    mass_kg: float, ground: str, slope_deg: float = 0.0, gear: Gear | None = None
) -> Calculation:
    """Pull to free a piece that is mired or bedded. [kg] Rough: a factor of two either way.

    Args:
        mass_kg: The piece with the mud and scale on it. [kg]
        ground: Key of the table ("light_mud", "mud_half", "buried" …).
        slope_deg: Slope of the way out, up is positive. [deg]

    Source: resistance factors of vehicle recovery manuals, which were made for vehicles.
    """
    mass = finite("mass", mass_kg, "kg", upto=1e6)
    slope = finite("slope", slope_deg, "deg", least=-45.0, upto=45.0)
    row = _row("ground_resistance", ground, "ground")
    grade = math.sin(math.radians(slope))
    value, low, high = (mass * max(float(row[k]) + grade, 0.0) for k in ("value", "low", "high"))
    verdict, refused, gear_inputs = compare_with_rating(gear, high, "The pull at its worst")
    return Calculation(
        "Pull to free it, as a weight",
        value,
        "kg",
        "W × (k + sin β)",
        f"{full(mass, 'kg')} × ({row['value']} + sin {full(slope)}°) = {amount(value, 'kg')}",
        (
            Input("W", "Mass", mass, "kg", Origin.ENTERED),
            _table_input("k", row),
            Input("β", "Slope, up", slope, "deg", Origin.ENTERED),
            *gear_inputs,
        ),
        "factors of vehicle recovery manuals",
        low=low,
        high=high,
        interval="from the range of the factor, which is rough",
        verdict=f"Rough: the factors were made for vehicles in mud, not for castings. {verdict}",
        refused=refused,
        cautions=(BEDDED, TIGHT_ROPE, RIGGER),
        limits="Nothing for bolts still fast, roots, ice or mortar. Dig first, then pull.",
    )


def tackle(
    load_kg: float,
    parts: int,
    *,
    sheaves: int | None = None,
    lead_blocks: int = 0,
    friction: float = 0.10,
    rule: str = "per_sheave",
    from_moving: bool = False,
    gear: Gear | None = None,
) -> Calculation:
    """Pull on the hauling part of a tackle. [kg]

    Args:
        load_kg: Load on the moving block. [kg]
        parts: Parts of rope at the moving block, 1 to 12.
        sheaves: Sheaves that the rope turns over; by default as many as parts.
        lead_blocks: Blocks that only turn the hauling part.
        friction: Loss at each sheave as a part of the load on it.
        rule: "per_sheave", the field rule (a tenth of the load for each sheave), or "exact" (each
            part of the rope pulls less than the one before).
        from_moving: True when the hauling part leaves the moving block ("exact" only).
        gear: The winch, compared with the pull.

    Source: field rule, army rigging and recovery manuals; the exact one is a geometric series.
    """
    load = finite("load", load_kg, "kg", upto=1e6)
    n = int(finite("number of parts", parts, upto=12))
    leads = int(finite("number of lead blocks", lead_blocks, least=0, upto=12))
    sheave_count = (
        n if sheaves is None else int(finite("number of sheaves", sheaves, least=0, upto=24))
    )
    c = finite("friction", friction, least=0.0, upto=0.5)
    if rule == "per_sheave":
        value = load * (1 + c * (sheave_count + leads)) / n
        formula, source = "W × (1 + c × s) / n", "field rule of rigging manuals"
        figures = f"{amount(load, 'kg')} × (1 + {sig(c)} × {sheave_count + leads}) / {n}"
        figures += f" = {amount(value, 'kg')}"
    elif rule == "exact":
        k = 1 + c
        power = n - 1 if from_moving else n
        series = sum(k**i for i in range(n))
        value = load * k**power / series * k**leads
        formula = "W × kᵐ × (k − 1) / (kⁿ − 1)"
        source = "geometric series of the rope's parts"
        figures = f"k = {sig(k)}, m = {power + leads}: {amount(value, 'kg')}"
    else:
        raise UnknownName('The friction of a tackle goes by the rule "per_sheave" or "exact".')
    verdict, refused, gear_inputs = compare_with_rating(gear, value, "The pull")
    anchor = load + value
    return Calculation(
        "Pull on the hauling part, as a weight",
        value,
        "kg",
        formula,
        figures,
        (
            Input("W", "Load on the moving block", load, "kg", Origin.ENTERED),
            Input("n", "Parts of rope at the moving block", n, "", Origin.ENTERED),
            Input("s", "Sheaves, with lead blocks", sheave_count + leads, "", Origin.ENTERED),
            Input("c", "Loss at each sheave", c, "", Origin.ASSUMED, "common practice, no source"),
            *gear_inputs,
        ),
        source,
        verdict=f"The pull gains {sig(load / value, 3)} to one. The anchor of the fixed block "
        f"carries up to {amount(anchor, 'kg')}. {verdict}",
        refused=refused,
        cautions=(TIGHT_ROPE, RIGGER),
        limits="Rope and sheaves in good order and well matched; rusty sheaves cost far more.",
    )


@dataclass(frozen=True)
class Trips:
    """The trips of a lorry.

    Args:
        loads: The names on each trip, heaviest trip first.
        masses_kg: The mass of each trip. [kg]
        bound: No plan has fewer trips.
        proven: True when the plan has the fewest.
        calculation: The number of trips.
    """

    loads: tuple[tuple[str, ...], ...]
    masses_kg: tuple[float, ...]
    bound: int
    proven: bool
    calculation: Calculation


def lorry_trips(
    pieces: Sequence[tuple[str, float]], payload_kg: float, *, seconds: float = 3.0
) -> Trips:
    """Return the fewest trips that carry every piece within the payload.

    Args:
        pieces: (name, mass in kg) of each; give the heaviest it could be.
        payload_kg: The most that the lorry may carry. [kg]
        seconds: Time limit, after which the best plan so far is returned with its bound. [s]

    Raises:
        Infeasible: a piece weighs more than the payload.

    Source: exact packing, see `packing.pack`.
    """
    payload = finite("payload", payload_kg, "kg", upto=1e6)
    if not pieces:
        raise OutOfRange("There is nothing to carry.")
    masses = [finite(f"mass of {name}", mass, "kg", upto=1e6) for name, mass in pieces]
    for (name, _), mass in zip(pieces, masses, strict=True):
        if mass > payload:
            raise Infeasible(
                f"{name} weighs {amount(mass, 'kg')}, over the payload of "
                f"{amount(payload, 'kg')}: it wants a bigger lorry."
            )
    count = Counter(masses)
    sizes = sorted(count, reverse=True)
    counts = [count[size] for size in sizes]
    bins = [Bin(payload, 1.0)]
    first = largest_first(sizes, counts, bins)
    least = max(math.ceil(sum(masses) / payload - 1e-9), sum(m > payload / 2 for m in masses))
    plan = first
    if round(first.cost) > least:
        plan = pack(sizes, counts, bins, seconds=seconds, first=first)
        least = max(least, math.ceil(plan.bound - 1e-6))
    names: dict[float, list[str]] = {}
    for (name, _), mass in zip(reversed(pieces), reversed(masses), strict=True):
        names.setdefault(mass, []).append(name)
    loads = []
    for _, fill, times in plan.fills:
        for _ in range(times):
            load = [(names[s].pop(), s) for s, n in zip(sizes, fill, strict=True) for _ in range(n)]
            loads.append(load)
    loads.sort(key=lambda load: -sum(mass for _, mass in load))
    trips = len(loads)
    proven = trips <= least
    verdict = (
        f"{trips} trip{'s' if trips > 1 else ''} carry all {len(pieces)} pieces; fewer cannot."
        if proven
        else f"{trips} trips carry all {len(pieces)} pieces; {least} might do, but no such plan "
        "was found in the time."
    )
    return Trips(
        tuple(tuple(name for name, _ in load) for load in loads),
        tuple(sum(mass for _, mass in load) for load in loads),
        least,
        proven,
        Calculation(
            "Trips of the lorry",
            float(trips),
            "",
            "fewest loads, each within the payload",
            f"{amount(sum(masses), 'kg')} in all, {amount(payload, 'kg')} a trip: at least {least}",
            (
                Input("P", "Payload", payload, "kg", Origin.ENTERED),
                Input("W", "All the pieces", sum(masses), "kg", Origin.CALCULATED),
            ),
            "exact packing by integer programming (Gilmore and Gomory 1961; HiGHS)",
            low=float(least) if not proven else None,
            high=float(trips) if not proven else None,
            interval="" if proven else "bound and best plan found",
            verdict=verdict,
            cautions=(LASHED,),
            limits="By mass only: length, height and the weight over each axle are not in it.",
        ),
    )
