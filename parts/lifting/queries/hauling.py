"""Pulls and off-centre loads, one at a time, and the trips of a lorry."""

from dataclasses import dataclass, field
from datetime import date

from parts.engineering.calculation import Calculation
from parts.engineering.errors import EngineeringError
from parts.engineering.lifting import hauling, slings
from parts.engineering.lifting.hauling import Trips
from parts.engineering.sentences import amount, sentence
from parts.record.models import Component, Engine, Part
from parts.workshop.shapes.queries.masses import PieceMass, masses_of

from ..models import Gear
from .lifts import check_gear, gear_faults, rated_gear

# Pieces of one part that weigh less than this together travel as one bundle. [kg]
BUNDLE_KG = 25.0
SOLVER_SECONDS = 1.0  # to search for fewer trips while the page waits


def slide(mass, surface, slope, gear, day) -> Calculation:
    return check_gear(hauling.slide(mass, surface, slope or 0.0, rated_gear(gear)), gear, day)


def free_bedded(mass, ground, slope, gear, day) -> Calculation:
    return check_gear(hauling.free_bedded(mass, ground, slope or 0.0, rated_gear(gear)), gear, day)


def tackle(mass, parts, lead_blocks, gear, day) -> Calculation:
    calculation = hauling.tackle(mass, parts, lead_blocks=lead_blocks, gear=rated_gear(gear))
    return check_gear(calculation, gear, day)


def off_centre(mass, near, far, height, gear, day) -> Calculation:
    calculation = slings.off_centre(mass, near, far, height, rated_gear(gear))
    return check_gear(calculation, gear, day, 2)


@dataclass(frozen=True)
class Trip:
    """One load of the lorry."""

    number: int
    pieces: list[str]
    kg: float


@dataclass(frozen=True)
class Loads:
    """The loads of a lorry.

    Args:
        trips: Heaviest first.
        calculation: The number of trips; None where there is none.
        faults: Sentences on why the lorry may not be used.
        too_heavy: Sentences on what no trip can carry.
        unknown: Parts of unknown mass, which are in no trip.
        pieces: The found pieces to carry, those of unknown mass included.
        trouble: The reason why there are no trips; else "".
    """

    trips: list[Trip] = field(default_factory=list)
    calculation: Calculation | None = None
    faults: list[str] = field(default_factory=list)
    too_heavy: list[str] = field(default_factory=list)
    unknown: list[Part] = field(default_factory=list)
    pieces: int = 0
    trouble: str = ""


def lorry_loads(
    engine: Engine, lorry: Gear, day: date, component: Component | None = None
) -> Loads:
    """Return the fewest trips that carry all found pieces within the payload. Five queries.

    Each piece counts with the most it may weigh. Small pieces of one part go as a bundle.
    """
    rows = Part.objects.filter(engine=engine).status().filter(found__gt=0).order_by("item")
    if component is not None:
        rows = rows.filter(component=component)
    parts = list(rows)
    pieces = sum(part.found for part in parts)
    faults = gear_faults(lorry, day)
    if faults or not parts:
        return Loads(faults=faults, pieces=pieces)
    masses = masses_of(engine, parts)
    unknown = [part for part in parts if part.pk not in masses]
    bundles, too_heavy = [], []
    for part in parts:
        if part.pk not in masses:
            continue
        for name, kg in _bundles(part, masses[part.pk]):
            if kg > lorry.rated_kg:
                payload = amount(lorry.rated_kg, "kg")
                too_heavy.append(
                    sentence(
                        f"{name} may weigh {amount(kg, 'kg')}, over the payload of {payload}: it "
                        "wants a bigger lorry."
                    )
                )
            else:
                bundles.append((name, kg))
    if not bundles:
        return Loads(too_heavy=too_heavy, unknown=unknown, pieces=pieces)
    try:
        plan = hauling.lorry_trips(bundles, lorry.rated_kg, seconds=SOLVER_SECONDS)
    except EngineeringError as error:
        return Loads(too_heavy=too_heavy, unknown=unknown, pieces=pieces, trouble=str(error))
    return Loads(_trips(plan), plan.calculation, [], too_heavy, unknown, pieces)


def _bundles(part: Part, mass: PieceMass) -> list[tuple[str, float]]:
    """Return the bundles of a part: the name and the most each may weigh [kg]."""
    if part.found == 1:
        return [(str(part), mass.high)]
    if part.found * mass.high <= BUNDLE_KG:
        return [(f"{part}, all {part.found}", part.found * mass.high)]
    return [(f"{part}, {n} of {part.found}", mass.high) for n in range(1, part.found + 1)]


def _trips(plan: Trips) -> list[Trip]:
    rows = zip(plan.loads, plan.masses_kg, strict=True)
    return [Trip(n, list(names), kg) for n, (names, kg) in enumerate(rows, 1)]
