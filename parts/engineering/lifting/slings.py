"""Lifting: the load in each leg of a sling, compared with the rating of the gear.

An aid to planning, not a lift plan: a qualified rigger decides, and the tag on the gear rules.
Loads, ratings and pulls are given as a weight in kg, as on tags. Angles are measured from the
horizontal: 90 hangs plumb, 30 is the flattest allowed.
"""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass, replace

from .. import tables
from ..calculation import Calculation, Caution, Input, Origin
from ..errors import OutOfRange, UnknownName, finite
from ..figures import full, sig
from ..sentences import amount

LIMIT_DEG = 30.0  # from the horizontal; the makers' tables stop here
PLUMB_DEG = 85.0  # within 5 degrees counts as plumb: 29 CFR 1910.184(b)

RIGGER = Caution(
    "A calculation, not a lift plan: a qualified rigger decides, and the tag on the gear rules.",
    "No tag, no lift. Follow the maker and the code of the place (in the US 29 CFR 1910.184, "
    "1926.251 and ASME B30.9; in Britain LOLER 1998).",
)
UNDER_THE_LOAD = Caution(
    "Never stand or reach under a load.",
    "Water, mud, scale and a hidden bolt make it heavier than its drawing. Lift an inch, look, "
    "set down.",
)
CAUTIONS = (RIGGER, UNDER_THE_LOAD)


@dataclass(frozen=True)
class Gear:
    """A sling, shackle, hook or winch.

    Args:
        name: What it is ("chain sling 3").
        rated_kg: The rated load: of one leg pulled straight, or of the whole sling. [kg]
        tag_read: True when the rating was read off the tag or mark on the gear itself.
        source: Who read it and when, or the table.
        legs: Legs that the rated load is for together, 1 to 4.
        tag_deg: For a whole sling: the flattest angle of its legs, from the horizontal, for
            which the tag rates it. [deg]
    """

    name: str
    rated_kg: float
    tag_read: bool
    source: str = ""
    legs: int = 1
    tag_deg: float = 90.0

    @property
    def origin(self) -> Origin:
        return Origin.MEASURED if self.tag_read else Origin.TABLE

    @property
    def legs_shared(self) -> int:
        """Legs that share the load by the tag: of four legs three, as in the tables."""
        return min(self.legs, 3)


def leg_tension(load_kg, legs, angle_deg):
    """Return the load in each of `legs` equal legs at `angle_deg` from the horizontal. [kg]

    Takes plain numbers or arrays. T = W / (n sin a). No limit is checked here.
    """
    if isinstance(angle_deg, int | float):
        return load_kg / (legs * math.sin(math.radians(angle_deg)))
    import numpy as np

    return load_kg / (legs * np.sin(np.radians(angle_deg)))


def off_centre_tensions(load_kg, near_mm, far_mm, height_mm):
    """Return the loads in two legs, near leg first, when the centre of gravity is not midway. [kg]

    Args:
        near_mm, far_mm: Level distances from the hook's plumb line to the two fixings. [mm]
        height_mm: Height of the hook over the fixings. [mm]

    Source: moments about each fixing; T = V L / H.
    """
    span = near_mm + far_mm
    near = load_kg * far_mm / span * math.hypot(near_mm, height_mm) / height_mm
    far = load_kg * near_mm / span * math.hypot(far_mm, height_mm) / height_mm
    return near, far


def leg_angle(leg_mm: float, spread_mm: float) -> float:
    """Return the angle of two equal legs from the horizontal. [deg]

    Args:
        leg_mm: Length of a leg. [mm]
        spread_mm: Distance between the fixings. [mm]
    """
    leg = finite("length of the leg", leg_mm, "mm", upto=1e6)
    spread = finite("spread of the fixings", spread_mm, "mm", least=0.0, upto=1e6)
    if spread >= 2 * leg:
        raise OutOfRange(
            f"Two legs of {amount(leg, 'mm')} do not reach over a spread of {amount(spread, 'mm')}."
        )
    return math.degrees(math.acos(spread / 2 / leg))


def counted_legs(legs: int, shared: bool) -> tuple[int, str]:
    """Return the number of legs counted as carrying, and why."""
    if legs not in (1, 2, 3, 4):
        raise OutOfRange(f"A sling has 1 to 4 legs, not {legs!r}.")
    if legs <= 2:
        return legs, "as rigged"
    if shared:
        return 3, f"three of {legs}, as the published tables do when the load is known to be shared"
    return 2, f"two of {legs}: on a stiff load two legs can carry it all"


def leg_rating(gear: Gear) -> Calculation:
    """Rating of one leg of a piece of gear. [kg]

    A tag of several legs usually rates the whole sling with its legs at a stated angle. One leg
    may then carry R / (n sin a), with n = 3 for a sling of four.

    Raises:
        OutOfRange: no such rating, or a tag that rates a flatter angle than any sling allows.

    Source: statics; OSHA, guidance on safe sling use, table 1, rates 3 and 4 legs alike.
    """
    rated = finite(f"rated load of {gear.name}", gear.rated_kg, "kg", upto=1e6)
    if gear.legs == 1:
        return Calculation(
            f"Rated load of {gear.name}",
            rated,
            "kg",
            "as marked",
            inputs=(Input("R", "Rated load", rated, "kg", gear.origin, gear.source),),
            source="the tag or mark on the gear",
        )
    angle = limit_angle(gear.tag_deg, f"angle on the tag of {gear.name}")
    value = leg_tension(rated, gear.legs_shared, angle)
    return Calculation(
        f"What one leg of {gear.name} may carry",
        value,
        "kg",
        "R / (n × sin a)",
        f"{full(rated, 'kg')} / ({gear.legs_shared} × sin {full(angle)}°) = {amount(value, 'kg')}",
        (
            Input("R", "Rated load of the whole sling", rated, "kg", gear.origin, gear.source),
            Input("n", f"Legs that share it, of {gear.legs}", gear.legs_shared, "", Origin.TABLE),
            Input("a", "Angle on the tag, from the horizontal", angle, "deg", gear.origin),
        ),
        "statics; 3 and 4 legs are rated alike in OSHA's guidance on safe sling use, table 1",
    )


def limit_angle(angle_deg: float, what: str = "limit angle") -> float:
    """Return an angle from the horizontal that may limit a lift. [deg]

    Raises:
        OutOfRange: it is no number from 30 to 90.
    """
    angle = finite(what, angle_deg, "deg", upto=90.0)
    if angle < LIMIT_DEG:
        raise OutOfRange(
            f"The {what} is {sig(angle)}°; no leg may lie flatter than {sig(LIMIT_DEG)}° from the "
            "horizontal."
        )
    return angle


def compare_with_rating(
    gear: Gear | None, load_kg: float, what: str
) -> tuple[str, bool, tuple[Input, ...]]:
    """Return the verdict on a load, whether it is refused, and the rating as inputs."""
    if gear is None:
        return "No gear named: read its tag before anything is lifted.", False, ()
    rating = leg_rating(gear)
    rated, name = rating.value, gear.name if gear.legs == 1 else f"one leg of {gear.name}"
    share = f"{what} is {sig(100 * load_kg / rated, 3)} % of the rating of {name}"
    origin = gear.origin if gear.legs == 1 else Origin.CALCULATED
    rating_inputs = (Input("R", f"Rated load of {name}", rated, "kg", origin, gear.source),)
    if load_kg > rated:
        verdict = (
            f"Over the rating: do not lift. {what} is {amount(load_kg, 'kg')}; {name} is rated "
            f"{amount(rated, 'kg')}."
        )
        return verdict, True, rating_inputs
    if not gear.tag_read:
        return (
            f"The tag of {gear.name} has not been read: no tag, no lift. {share}.",
            True,
            rating_inputs,
        )
    return f"{share}.", False, rating_inputs


def _tag_refusal(gear: Gear | None, load_kg: float, legs: int, angle_deg: float) -> str:
    """Return why the tag of a whole sling does not allow this rigging, or "" when it does."""
    if gear is None or gear.legs == 1:
        return ""
    if angle_deg < gear.tag_deg:
        return (
            f"Do not lift. The tag of {gear.name} rates it with its legs at {sig(gear.tag_deg)}° "
            f"from the horizontal or steeper; these lie at {sig(angle_deg)}°."
        )
    allowed = gear.rated_kg * legs / gear.legs_shared
    if load_kg > allowed:
        return (
            f"Over the rating: do not lift. {legs} legs of {gear.name} may carry "
            f"{amount(allowed, 'kg')} together, however steep they are; "
            f"{amount(load_kg, 'kg')} hangs on them."
        )
    return ""


def leg_load(
    mass_kg: float,
    legs: int,
    angle_deg: float,
    gear: Gear | None = None,
    *,
    shared: bool = False,
    limit_deg: float = LIMIT_DEG,
) -> Calculation:
    """Load in each leg when the hook is over the middle. [kg]

    Args:
        mass_kg: What is lifted, the most it can be. [kg]
        legs: Legs rigged, 1 to 4. Of three or four, two are counted.
        angle_deg: Angle of the legs from the horizontal; one leg hangs plumb (85 to 90). [deg]
        gear: The gear of each leg, compared with its rating.
        shared: True when the load is known to be shared by all legs (a spreader that evens them
            out): then three are counted, as in the published tables.
        limit_deg: Flattest angle allowed, never under 30. [deg]

    Returns:
        Calculation. Under the limit angle it has no value and is refused; over the rating, or with
        an unread tag, it is refused.

    Raises:
        OutOfRange: no such angle, mass or number of legs.

    Source: T = W / (n sin a). Legs counted: OSHA, guidance on safe sling use, table 1.
    """
    mass = finite("mass", mass_kg, "kg", upto=1e6)
    angle = finite("angle from the horizontal", angle_deg, "deg", upto=90.0)
    limit = limit_angle(limit_deg)
    counted, why = counted_legs(legs, shared)
    if counted == 1 and angle < PLUMB_DEG:
        raise OutOfRange(f"One leg hangs plumb; it cannot lie at {sig(angle)}°.")
    inputs = (
        Input("W", "Mass, the most it can be", mass, "kg", Origin.ENTERED),
        Input("n", f"Legs counted of {legs}", counted, "", Origin.ASSUMED, why),
        Input("a", "Angle from the horizontal", angle, "deg", Origin.ENTERED),
    )
    formula = "W / (n × sin a)"
    source = "statics; legs counted as in the notes to OSHA's sling tables"
    if angle < limit:
        return Calculation(
            "Load in each leg",
            None,
            "kg",
            formula,
            inputs=inputs,
            source=source,
            verdict=f"The legs lie at {sig(angle)}° from the horizontal, under the limit of "
            f"{sig(limit)}°: do not lift. Use longer legs or a spreader.",
            refused=True,
            cautions=CAUTIONS,
        )
    value = leg_tension(mass, counted, angle)
    verdict, refused, gear_inputs = compare_with_rating(gear, value, "The load in a leg")
    if tag_refusal := _tag_refusal(gear, mass, counted, angle):
        verdict, refused = f"{tag_refusal} {verdict}", True
    return Calculation(
        "Load in each leg",
        value,
        "kg",
        formula,
        f"{full(mass, 'kg')} / ({counted} × sin {full(angle)}°) = {amount(value, 'kg')}",
        inputs + gear_inputs,
        source,
        verdict=f"Counted on {counted} leg{'s' if counted > 1 else ''} ({why}). {verdict}",
        refused=refused,
        cautions=CAUTIONS,
        limits="Legs of one length, fixings level, hook over the centre of gravity, a steady lift.",
        parts=(leg_rating(gear),) if gear and gear.legs > 1 else (),
    )


def off_centre(
    mass_kg: float,
    near_mm: float,
    far_mm: float,
    height_mm: float,
    gear: Gear | None = None,
    *,
    limit_deg: float = LIMIT_DEG,
) -> Calculation:
    """Load in the worse of two legs when the centre of gravity is not midway. [kg]

    Args:
        near_mm, far_mm: Level distances from the centre of gravity to the fixings. [mm]
        height_mm: Height of the hook over the fixings. [mm]
        gear: The gear of each leg.

    Returns:
        Calculation; its parts are the near and the far leg.

    Source: moments about each fixing; T = V L / H.
    """
    mass = finite("mass", mass_kg, "kg", upto=1e6)
    near, far = sorted(
        (
            finite("distance to the near fixing", near_mm, "mm", upto=1e6),
            finite("distance to the far fixing", far_mm, "mm", upto=1e6),
        )
    )
    height = finite("height of the hook", height_mm, "mm", upto=1e6)
    limit = limit_angle(limit_deg)
    parts = []
    for name, own_mm, other_mm, load in zip(
        ("near", "far"),
        (near, far),
        (far, near),
        off_centre_tensions(mass, near, far, height),
        strict=True,
    ):
        angle = math.degrees(math.atan2(height, own_mm))
        flat = angle < limit
        verdict, refused, gear_inputs = compare_with_rating(
            gear, load, f"The load in the {name} leg"
        )
        if tag_refusal := _tag_refusal(gear, mass, 2, angle):
            verdict, refused = f"{tag_refusal} {verdict}", True
        if flat:
            verdict = (
                f"The {name} leg lies at {sig(angle, 3)}° from the horizontal, under the limit of "
                f"{sig(limit)}°: do not lift. Raise the hook on longer legs."
            )
        parts.append(
            Calculation(
                f"Load in the {name} leg",
                None if flat else load,
                "kg",
                "W × (other distance) / (both distances) × L / H",
                ""
                if flat
                else f"{amount(mass, 'kg')} × {amount(other_mm, 'mm')} / "
                f"{amount(near + far, 'mm')} × {full(math.hypot(own_mm, height), 'mm')} / "
                f"{full(height, 'mm')} = "
                f"{amount(load, 'kg')}",
                (
                    Input("W", "Mass", mass, "kg", Origin.ENTERED),
                    Input("d", f"Distance to the {name} fixing", own_mm, "mm", Origin.ENTERED),
                    Input("H", "Height of the hook", height, "mm", Origin.ENTERED),
                    Input("a", "Angle from the horizontal", angle, "deg", Origin.CALCULATED),
                    *gear_inputs,
                ),
                "statics: moments about each fixing",
                verdict=verdict,
                refused=refused or flat,
                cautions=CAUTIONS,
            )
        )
    bad = [part for part in parts if part.value is None]
    worst = bad[0] if bad else max(parts, key=lambda part: part.value)
    return replace(
        worst,
        name="Load in the worse leg",
        refused=any(part.refused for part in parts),
        verdict=" ".join(dict.fromkeys(part.verdict for part in parts)),
        limits="Two legs, fixings level and above the centre of gravity, hook plumb over it.",
        parts=tuple(parts),
    )


def planning_mass(mass_kg: float, *, guessed_walls: bool = False) -> Calculation:
    """Mass to plan a lift by: a tenth over the mass, a quarter where walls are guessed. [kg]"""
    mass = finite("mass", mass_kg, "kg", upto=1e6)
    over = 0.25 if guessed_walls else 0.10
    return Calculation(
        "Mass to plan the lift by",
        mass * (1 + over),
        "kg",
        "W × (1 + m)",
        f"{full(mass, 'kg')} × {1 + over:g} = {amount(mass * (1 + over), 'kg')}",
        (
            Input("W", "Mass from the drawing", mass, "kg", Origin.CALCULATED),
            Input("m", "Margin", over, "", Origin.ASSUMED, "common practice, no source"),
        ),
        verdict="Weigh it if you can.",
        cautions=CAUTIONS,
    )


def weight_in_water(
    mass_kg: float, density_kg_m3: float = 7200.0, water_kg_m3: float = 1000.0
) -> Calculation:
    """Load on the hook while a solid piece is fully under water. [kg]  Archimedes."""
    mass = finite("mass", mass_kg, "kg", upto=1e6)
    rho = finite("density", density_kg_m3, "kg_m3", upto=25000)
    water = finite("density of the water", water_kg_m3, "kg_m3", upto=1300)
    value = mass * (1 - water / rho)
    return Calculation(
        "Weight under water",
        value,
        "kg",
        "W × (1 − ρ_w / ρ)",
        f"{full(mass, 'kg')} × (1 − {full(water, 'kg_m3')} / {full(rho, 'kg_m3')}) = "
        f"{amount(value, 'kg')}",
        (
            Input("W", "Mass", mass, "kg", Origin.ENTERED),
            Input("ρ", "Density", rho, "kg_m3", Origin.ENTERED),
            Input("ρ_w", "Density of the water", water, "kg_m3", Origin.ENTERED),
        ),
        "Archimedes",
        verdict=f"The hook takes up {amount(mass - value, 'kg')} more as it comes out of the "
        "water, and the water inside it besides.",
        cautions=CAUTIONS,
    )


def slings(confirmed: Collection[str] = ()) -> tuple[dict[str, str], ...]:
    """Return the rows of the sling table that may be offered.

    Args:
        confirmed: Keys of kinds ("wire_rope", "web") whose rows a person has confirmed. Rows from
            memory are not offered until then.
    """
    return tuple(
        row for row in tables.read("slings") if row["status"] == "seen" or row["key"] in confirmed
    )


def sling(key: str, size: str, hitch: str = "vertical", *, confirmed: Collection[str] = ()) -> Gear:
    """Return one leg of a sling of the published table, its tag not yet read.

    Raises:
        UnknownName: no such sling, or its rows need to be confirmed first.
    """
    rows = [r for r in tables.read("slings") if r["key"] == key]
    if not rows:
        raise UnknownName(f"There is no sling called {key!r}.")
    for row in slings(confirmed):
        row_key = tuple(row[k] for k in ("key", "size", "hitch", "legs", "angle_deg"))
        if row_key == (key, size, hitch, "1", "90"):
            return Gear(f"{row['name']}, {size}", float(row["rated_kg"]), False, row["source"])
    if all(r["status"] == "memory" for r in rows) and key not in confirmed:
        raise UnknownName(
            f"The rated loads of {rows[0]['name']} are from memory and kept back until a person "
            "has confirmed them. Read the tag on the sling."
        )
    raise UnknownName(f"No rated load is known for {rows[0]['name']}, {size}, {hitch}.")


def shackle(size: str, side_deg: float = 0.0) -> Gear:
    """Return a shackle of the published list, its mark not yet read.

    Args:
        size: As listed ("1/2 in").
        side_deg: Pull out of line, 0 to 90 [deg]; between listed angles the lower rating counts.
    """
    side = finite("pull out of line", side_deg, "deg", least=0.0, upto=90.0)
    for row in tables.read("shackles"):
        if row["size"] == size:
            factor = 1.0 if side <= 5 else float(row["side_45" if side <= 45 else "side_90"])
            name = f"shackle {size}" + (f" pulled {sig(side)}° out of line" if side > 5 else "")
            return Gear(name, float(row["rated_kg"]) * factor, False, row["source"])
    raise UnknownName(f"There is no shackle of {size!r} in the list.")


def choked(gear: Gear, angle_deg: float) -> Gear:
    """Return a sling choked at `angle_deg` (180 is straight), from its choker rating."""
    angle = finite("angle of choke", angle_deg, "deg", least=0.0, upto=180.0)
    rows = sorted(tables.read("choker"), key=lambda r: -float(r["angle_deg"]))
    factor = next(float(r["factor"]) for r in rows if angle >= float(r["angle_deg"]))
    return replace(
        gear, name=f"{gear.name} choked at {sig(angle)}°", rated_kg=gear.rated_kg * factor
    )
