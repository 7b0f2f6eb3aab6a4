"""Cautions of the foundry, shown beside the figures that they belong to.

Limits are those of the United States (OSHA); the code of the place comes first. Planning figures
only: a competent person decides before metal is melted.
"""

from __future__ import annotations

from ..calculation import Calculation, Caution, Input, Origin
from ..errors import finite

HOT_METAL = Caution(
    "Keep every drop of water away from molten metal.",
    "A wet mould, tool or piece of scrap bursts into steam and throws the metal. Dry and preheat "
    "all of it, charge nothing that is sealed, wear face, hand and foot cover made for molten "
    "metal. Planning figure only: local codes and the foundry's own practice come first.",
)
CRUCIBLE = Caution(
    "Never fill a crucible past its mark or lift it with tongs that do not fit.",
    "Inspect it, anneal it as its maker says, and let two people lift it. The maker's instructions "
    "rule.",
)
LEAD = Caution(
    "This metal holds lead: keep its fume and dust out of lungs and food.",
    "Melt under exhaust or in the open, no hotter than needed, wash before eating, keep children "
    "away. In the US the air may hold 50 µg/m³ over 8 hours, with duties from 30 (29 CFR "
    "1910.1025); a physician can test the blood.",
)
ZINC = Caution(
    "This metal smokes zinc when it is melted: stand upwind and do not breathe the white smoke.",
    "Zinc fume brings a fever hours later. In the US the air may hold 5 mg/m³ of zinc oxide fume "
    "over 8 hours (29 CFR 1910.1000, table Z-1).",
)
COPPER = Caution(
    "Do not breathe the fume over molten copper and its alloys.",
    "In the US the air may hold 0.1 mg/m³ of copper fume over 8 hours (29 CFR 1910.1000).",
)
ARSENIC = Caution(
    "This grade may hold arsenic: never overheat it, never add acid to its dross.",
    "In the US the air may hold 10 µg/m³ over 8 hours (29 CFR 1910.1018, from memory).",
)
POURED_SHELL = Caution(
    "Warm shell, mandrel and dams until they are surely dry before white metal is poured.",
    "A damp shell throws the metal in your face. Wear a face shield and cover the neck.",
)

LEADED = frozenset({"red_brass", "semi_red_brass", "yellow_brass", "bearing_bronze", "lead"})
ZINCY = frozenset(
    {"red_brass", "semi_red_brass", "yellow_brass", "gunmetal", "tin_bronze", "manganese_bronze"}
)
COPPERY = ZINCY | {"bearing_bronze", "phosphor_bronze", "aluminium_bronze", "copper"}
LEAD_BASE = frozenset({"white_metal_7", "white_metal_8", "white_metal_13", "white_metal_15"})


def when_melted(metal: str) -> tuple[Caution, ...]:
    """Return the cautions for melting and pouring a metal of the table `metals`."""
    cautions = [HOT_METAL]
    if metal in LEADED or metal.startswith("white_metal"):
        cautions.append(LEAD)
    if metal in ZINCY or metal == "zinc":
        cautions.append(ZINC)
    elif metal in COPPERY:
        cautions.append(COPPER)
    if metal in LEAD_BASE:
        cautions.append(ARSENIC)
    return tuple(cautions)


def lead_limit(hours: float) -> Calculation:
    """Limit of the mean lead in the air over a working day of `hours` [ug_m3], US rule.

    50 up to 8 hours; 400 / hours for longer days.

    Raises:
        OutOfRange: the hours are not in 0 to 24.
    """
    day = finite("length of the day in hours", hours, upto=24)
    value = 400 / max(day, 8)
    return Calculation(
        "Lead in the air, greatest mean over the day",
        value,
        "ug_m3",
        "50 up to 8 hours; 400 ÷ hours for a longer day",
        f"400 ÷ {max(day, 8):g} = {value:g} µg/m³",
        (Input("h", "Working day", day, "h", Origin.ENTERED),),
        "29 CFR 1910.1025(c)(1) and (2)",
        cautions=(LEAD,),
        limits="United States. Action begins at 30 µg/m³. The code of the place comes first.",
    )
