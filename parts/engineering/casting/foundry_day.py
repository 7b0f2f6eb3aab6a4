"""Checklists of a foundry day: before, during and after a pour.

Common practice, no source. A reminder: the foundry's own practice, the makers' instructions and the
code of the place rule.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Checks:
    """The checks of one time of the day."""

    when: str
    checks: tuple[str, ...]


DAY = (
    Checks(
        "The day before",
        (
            "Moulds rammed, vented, dried, closed and weighted; each marked with its casting",
            "Every lot of the charge weighed out, dry, clean and free of sealed hollows",
            "Crucible rung and inspected: no crack, no soft spot, the right metal only",
            "Tongs and shank tried on the cold crucible",
            "Somebody told when and where metal will be hot",
        ),
    ),
    Checks(
        "Before the metal is hot",
        (
            "Two people at least, and neither in a hurry",
            "Face, hands, arms, legs and feet covered for molten metal; no nylon",
            "Floor dry sand, the way to the moulds clear, nobody between",
            "Fuel checked for leaks, furnace in the open or well aired",
            "Ingot moulds for what is over: dry and warmed",
            "Dry sand, a shovel and an extinguisher at hand; no water near the metal",
        ),
    ),
    Checks(
        "Pouring",
        (
            "Tools, skimmer and pyrometer warmed before they touch the metal",
            "Metal skimmed, its temperature read and entered",
            "Moulds poured steadily, each without a stop, thin castings first",
            "What is over poured into the ingot moulds, the crucible left empty",
        ),
    ),
    Checks(
        "After",
        (
            "Burner off, gas shut at the bottle",
            "Moulds left to cool by themselves",
            "Castings, gates, risers and ingots weighed; good and waster entered",
            "Hands and face washed before eating",
        ),
    ),
)
