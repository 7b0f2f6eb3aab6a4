"""White-metal bearings: grades, masses, temperatures, clearances and pressures.

Sizes in mm, masses in kg, temperatures in degC, forces in N, pressures in kPa. Clearances are
always on the diameter, never on the radius. Planning figures: a competent person decides before
metal is melted, and before a load is put on.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from math import pi

from .. import tables
from ..calculation import Calculation, Caution, Input, Origin
from ..casting.cautions import POURED_SHELL, when_melted
from ..constants import KPA_PER_PSI
from ..errors import OutOfRange, UnknownName, finite
from ..figures import full
from ..materials import properties
from ..materials.properties import Alloy, Figure
from ..sentences import amount
from .journals import bore, clearance, journal_speed, mean_pressure, pressure_velocity, rules

__all__ = [
    "Grade",
    "bore",
    "clearance",
    "grade",
    "grades",
    "grades_matching",
    "journal_speed",
    "mean_pressure",
    "metal_to_melt",
    "pouring",
    "preheat",
    "pressure_velocity",
    "reclaimed",
    "rules",
    "shell",
    "thickness",
]

PSI = float(KPA_PER_PSI)
OVERFILL = Figure(0.20, 0.15, 0.30, "", "gate and overfill, shop practice, from memory", "memory")
THICKNESS = Figure(4.76, 3.175, 6.35, "mm", "after machining, scribd.com/doc/163680250", "seen")
BORING_STOCK = Figure(2.4, 1.6, 3.2, "mm", "on the diameter, shop practice, from memory", "memory")
OVERHEATING = Caution(
    f"Never leave the pot above about {amount(510, 'degC', 2)}.",
    "White metal that is too hot burns its tin to dross and gives off lead fume.",
)


@dataclass(frozen=True)
class Grade:
    """A grade of white metal, as ASTM B23 numbers them.

    Args:
        key: "1", "2", "3", "7", "8", "11", "13" or "15".
        base: "tin" or "lead".
        service: What it is for.
        alloy: Its composition limits.
        load_kpa: What it carries on a good oil film [kPa].
    """

    key: str
    base: str
    service: str
    alloy: Alloy
    load_kpa: Figure

    @property
    def metal(self) -> str:
        """The key of this grade in the tables of metals."""
        return f"white_metal_{self.key}"


@cache
def _grades() -> dict[str, Grade]:
    grades_by_key = {}
    for row in tables.read("white_metal"):
        low, high = float(row["load_low_psi"]) * PSI, float(row["load_high_psi"]) * PSI
        load = Figure(high, low, high, "kPa", row["load_source"], row["load_status"])
        grades_by_key[row["key"]] = Grade(
            row["key"], row["base"], row["service"], properties.alloy(f"B23-{row['key']}"), load
        )
    return grades_by_key


def grades() -> tuple[Grade, ...]:
    """Return all grades, tin-base first."""
    return tuple(sorted(_grades().values(), key=lambda one: (one.base != "tin", int(one.key))))


def grade(key: str | int) -> Grade:
    """Return a grade by its number. Raises UnknownName."""
    try:
        return _grades()[str(key)]
    except KeyError:
        raise UnknownName(f"There is no grade {key!r} of white metal in the tables.") from None


def grades_matching(percent: Mapping[str, float]) -> tuple[tuple[Grade, tuple[str, ...]], ...]:
    """Return every grade with the limits that a composition breaks, the nearest grade first.

    Args:
        percent: Element -> per cent by mass.

    Raises:
        UnknownName: unknown element. OutOfRange: a share that cannot be.
    """
    pairs = [(one, properties.outside_limits(one.alloy.key, percent)) for one in grades()]
    return tuple(sorted(pairs, key=lambda pair: (len(pair[1]), int(pair[0].key))))


def shell(
    bore_mm: float,
    thickness_mm: float,
    length_mm: float,
    *,
    half: bool = False,
    boring_stock_mm: float = 0.0,
    collars: int = 0,
    collar_diameter_mm: float = 0.0,
    collar_thickness_mm: float = 0.0,
) -> Calculation:
    """Volume of white metal in a shell [mm3], full or half, with collars at its ends.

    V = π/4 × ((d + 2 t)² - (d - b)²) × L, and of each collar π/4 × (D² - (d - b)²) × w; half of it
    for a half shell.

    Args:
        bore_mm: The finished bore, d [mm].
        thickness_mm: Thickness of the finished lining, t [mm].
        length_mm: Length of the lining between the collars, L [mm].
        half: True for a half shell.
        boring_stock_mm: Metal bored out after pouring, on the diameter, b [mm]; the mandrel is
            smaller by as much.
        collars: The number of collars, 0 to 2.
        collar_diameter_mm: Outside of a collar, D [mm].
        collar_thickness_mm: Thickness of a collar along the shaft, w [mm].

    Raises:
        OutOfRange: a size that cannot be, or sizes that contradict each other.
    """
    d = finite("bore", bore_mm, "mm", upto=2000)
    t = finite("thickness of the lining", thickness_mm, "mm", upto=100)
    length = finite("length of the bearing", length_mm, "mm", upto=5000)
    stock = finite("boring stock", boring_stock_mm, "mm", least=0.0, upto=50)
    if t > d / 2:
        raise OutOfRange(
            f"A lining of {amount(t, 'mm')} is too thick for a bore of {amount(d, 'mm')}."
        )
    if stock >= d:
        raise OutOfRange("The boring stock is as large as the bore.")
    if collars not in (0, 1, 2):
        raise OutOfRange("A bearing has no collar, one or two.")
    mandrel = d - stock
    volume = pi / 4 * ((d + 2 * t) ** 2 - mandrel**2) * length
    inputs = [
        Input("d", "Finished bore", d, "mm", Origin.ENTERED),
        Input("t", "Thickness of the lining", t, "mm", Origin.ENTERED),
        Input("L", "Length of the bearing", length, "mm", Origin.ENTERED),
        Input(
            "b", "Boring stock on the diameter", stock, "mm", Origin.ENTERED, BORING_STOCK.source
        ),
    ]
    formula = "π/4 × ((d + 2 × t)² - (d - b)²) × L"
    outer, inner = amount(d + 2 * t, "mm"), amount(mandrel, "mm")
    figures = f"π/4 × (({outer})² - ({inner})²) × {amount(length, 'mm')}"
    if collars:
        outside = finite("outside of the collar", collar_diameter_mm, "mm", upto=4000)
        width = finite("thickness of the collar", collar_thickness_mm, "mm", upto=500)
        if outside <= d:
            raise OutOfRange("The collar is no larger than the bore.")
        volume += collars * pi / 4 * (outside**2 - mandrel**2) * width
        inputs += [
            Input("n", "Collars", float(collars), "", Origin.ENTERED),
            Input("D", "Outside of the collar", outside, "mm", Origin.ENTERED),
            Input("w", "Thickness of the collar", width, "mm", Origin.ENTERED),
        ]
        formula += " + n × π/4 × (D² - (d - b)²) × w"
        figures += f" + {collars} × π/4 × (({amount(outside, 'mm')})² - ({inner})²)"
        figures += f" × {amount(width, 'mm')}"
    if half:
        volume /= 2
        formula, figures = f"½ × ({formula})", f"½ × ({figures})"
    return Calculation(
        "White metal in the half shell" if half else "White metal in the shell",
        volume,
        "mm3",
        formula,
        f"{figures} = {amount(volume, 'mm3')}",
        tuple(inputs),
        "geometry",
        limits="Anchor holes, oil grooves and a shell that is not round are left out.",
    )


def metal_to_melt(
    shell_volume: Calculation,
    grade_key: str | int,
    *,
    pieces: int = 1,
    overfill: float | None = None,
    loss: float | None = None,
) -> Calculation:
    """White metal to melt for shells of one kind [kg]: n V ρ (1 + o) / (1 - s).

    Args:
        shell_volume: The volume of one, from `shell`.
        grade_key: The grade of white metal.
        pieces: The number of shells.
        overfill: A person's own share for gate and overfill, as a part of one.
        loss: A person's own share lost as dross, as a part of one.

    Returns:
        Calculation in kg; its part "White metal in the bearing" is the mass that remains.

    Raises:
        OutOfRange: a share or count that cannot be. UnknownName: unknown grade.
    """
    kind = grade(grade_key)
    count = finite("number of shells", pieces, upto=1000)
    if count != int(count):
        raise OutOfRange("The number of shells must be whole.")
    rho = properties.density(kind.metal)
    gate, gate_low, gate_high = _share(OVERFILL, overfill, "o", "Gate and overfill", 2.0)
    dross = properties.figure(kind.metal, "loss")
    dross_input, dross_low, dross_high = _share(dross, loss, "s", "Dross", 0.5)
    mass_in_place = count * shell_volume.value * 1e-9 * rho.value
    value = mass_in_place * (1 + gate.value / 100) / (1 - dross_input.value / 100)
    low = mass_in_place * rho.low / rho.value * (1 + gate_low) / (1 - dross_low)
    high = mass_in_place * rho.high / rho.value * (1 + gate_high) / (1 - dross_high)
    in_place = Calculation(
        "White metal in the bearing",
        mass_in_place,
        "kg",
        "n × V × ρ",
        f"{count:g} × {full(shell_volume.value, 'mm3')} × {full(rho.value, 'kg_m3')}"
        f" = {amount(mass_in_place, 'kg')}",
        (
            Input("n", "Shells", count, "", Origin.ENTERED),
            Input("V", shell_volume.name, shell_volume.value, "mm3", Origin.CALCULATED),
            rho.as_input("ρ", f"Density of grade {kind.key}"),
        ),
        "geometry",
        parts=(shell_volume,),
    )
    return Calculation(
        "White metal to melt",
        value,
        "kg",
        "n × V × ρ × (1 + o) ÷ (1 - s)",
        f"{full(mass_in_place, 'kg')} × {1 + gate.value / 100:.4g} ÷ "
        f"{1 - dross_input.value / 100:.4g} = {amount(value, 'kg')}",
        (*in_place.inputs, gate, dross_input),
        "shop practice",
        low,
        high,
        "from the limits of density, overfill and dross",
        cautions=(POURED_SHELL, *when_melted(kind.metal), OVERHEATING),
        parts=(in_place,),
    )


def _share(table: Figure, own: float | None, letter: str, name: str, upto: float):
    """Return a share as an Input in per cent, and its low and high, own or from the table."""
    if own is None:
        entry = Input(letter, name, table.value * 100, "percent", Origin.TABLE, table.cited)
        return entry, table.low, table.high
    value = finite(name.lower(), own, least=0.0, upto=upto)
    return Input(letter, name, value * 100, "percent", Origin.ENTERED), value, value


def reclaimed(needed: Calculation, on_hand_kg: float, grade_key: str | int) -> Calculation:
    """New white metal needed beside the reclaimed metal [kg], 0 when there is enough.

    Args:
        needed: The metal to melt, from `metal_to_melt` (the dross is in it already).
        on_hand_kg: Reclaimed metal of that grade on hand [kg].
        grade_key: Its grade.

    Returns:
        Calculation in kg, with a verdict.

    Raises:
        OutOfRange: a mass that cannot be. UnknownName: unknown grade.
    """
    kind = grade(grade_key)
    on_hand = finite("reclaimed metal on hand", on_hand_kg, "kg", least=0.0, upto=1e6)
    shortage = max(0.0, needed.value - on_hand)
    most = needed.high if needed.high is not None else needed.value
    if shortage:
        verdict = f"Not enough: {amount(shortage, 'kg')} of new grade {kind.key} is wanting."
    elif on_hand < most:
        surplus = amount(on_hand - needed.value, "kg")
        verdict = f"Just enough: {surplus} is over, which a wasteful pour takes."
    else:
        verdict = f"Enough: {amount(on_hand - needed.value, 'kg')} is over."
    return Calculation(
        "New white metal wanting",
        shortage,
        "kg",
        "W - H, not less than 0",
        f"{amount(needed.value, 'kg')} - {amount(on_hand, 'kg')}, so {amount(shortage, 'kg')}",
        (
            Input("W", needed.name, needed.value, "kg", Origin.CALCULATED),
            Input("H", "Reclaimed metal on hand", on_hand, "kg", Origin.MEASURED),
        ),
        "white metal is harder than lead and can be melted and used again: common practice, no "
        "source",
        low=max(0.0, (needed.low if needed.low is not None else needed.value) - on_hand),
        high=max(0.0, most - on_hand),
        interval="from the limits of the metal to melt",
        verdict=verdict,
        cautions=when_melted(kind.metal),
        limits="Scrap of one grade, clean and dry. Never mix tin-base with lead-base, nor with "
        "zinc or solder; a doubtful lot is worth an assay.",
        parts=(needed,),
    )


def pouring(grade_key: str | int) -> Calculation:
    """Pouring temperature of a grade [degC], with its range.

    Raises:
        UnknownName: unknown grade, or one whose temperature no table here gives.
    """
    kind = grade(grade_key)
    table = properties.figure(kind.metal, "pouring")
    melts = properties.figure(kind.metal, "liquidus")
    return Calculation(
        f"Pour grade {kind.key} at",
        table.value,
        "degC",
        "table",
        f"{amount(table.value, 'degC', 3)}",
        (melts.as_input("T", "All melted at"),),
        table.cited,
        table.low,
        table.high,
        "the range of practice",
        cautions=(POURED_SHELL, OVERHEATING, *when_melted(kind.metal)),
        limits="One pour without a stop, stirred from the bottom, through a clean stream.",
    )


def preheat(part: str) -> Calculation:
    """Temperature for preheating a part before pouring [degC].

    Args:
        part: "mandrel" (and caps and dams), "block" or "shell" (tinned).

    Raises:
        UnknownName: no such part.
    """
    rows = {row["part"]: row for row in tables.read("preheat")}
    if part not in rows:
        raise UnknownName(f"Warm the mandrel, the block or the shell, not {part!r}.")
    row = rows[part]
    value, low, high = ((float(row[key]) - 32) / 1.8 for key in ("value_f", "low_f", "high_f"))
    return Calculation(
        f"Warm the {row['name']} to",
        value,
        "degC",
        "table",
        f"{amount(value, 'degC', 3)}",
        (),
        row["source"],
        low,
        high,
        "the range of practice",
        cautions=(POURED_SHELL,),
        limits="It also proves that the part is dry.",
    )


def thickness(journal_mm: float) -> Calculation:
    """Usual thickness of the lining after machining [mm]: 1/8 to 1/4 in, by the journal.

    1/8 in up to a journal of 2 in, 1/4 in from 6 in, evenly between (assumed within that range).

    Raises:
        OutOfRange: a journal that cannot be.
    """
    d = finite("journal diameter", journal_mm, "mm", upto=1000)
    share = min(max((d / 25.4 - 2) / 4, 0.0), 1.0)
    value = THICKNESS.low + share * (THICKNESS.high - THICKNESS.low)
    return Calculation(
        "Thickness of the lining",
        value,
        "mm",
        f"{amount(THICKNESS.low, 'mm')} to {amount(THICKNESS.high, 'mm')}, growing with the "
        f"journal from {amount(50.8, 'mm')} to {amount(152.4, 'mm')}",
        f"{amount(value, 'mm')}",
        (Input("d", "Journal diameter", d, "mm", Origin.ENTERED),),
        f"{THICKNESS.source}; the growth between is assumed",
        THICKNESS.low,
        THICKNESS.high,
        "the range in use",
        limits="For large poured bearings; thin shells of later engines have "
        f"{amount(0.25, 'mm', 2)} to {amount(0.5, 'mm', 2)}.",
    )
