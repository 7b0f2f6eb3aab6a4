"""The proportions of an engine, in inches: what is known of it, and usual practice for the rest.

The rules of thumb are common practice of makers between about 1850 and 1920, no source: they make a
drawing that looks right, and never a size to work to.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import cos, isfinite, radians, sin, sqrt

MM = 25.4
# The words of the sizes, as sentences name them.
WORDS = {
    "bore": "bore",
    "stroke": "stroke",
    "flywheel": "flywheel diameter",
    "flywheel_face": "flywheel face",
    "rod": "connecting rod between centres",
    "piston_rod": "piston rod diameter",
    "shaft": "crankshaft journal",
    "arms": "number of arms",
    "wheels": "number of wheels",
}


@dataclass(frozen=True)
class Practice:
    """What is usual for a kind of engine.

    Args:
        bore: Of a middling one. [in]
        stroke: Strokes to the bore.
        rod: Rod between centres to the stroke.
        wheel: Flywheel diameter is wheel × stroke + `wheel_more`. [in]
        arms, wheels: How many.
        angle: Of the crank as drawn, anticlockwise from level at the right. [degrees]
        longest: The most strokes to the bore that can be drawn.
    """

    bore: float
    stroke: float
    rod: float
    wheel: float
    wheel_more: float
    arms: int = 6
    wheels: int = 1
    angle: float = 150.0
    longest: float = 4.5


PRACTICE = {
    "horizontal_slide_valve": Practice(12, 1.5, 2.5, 2.75, 34.5),
    "horizontal_four_valve": Practice(18, 7 / 3, 2.6, 2.9, 22, arms=8),
    "vertical": Practice(8, 1.15, 2.2, 3.2, 12, angle=52),
    "beam": Practice(22, 2.4, 2.45, 3.3, 24, arms=6, angle=35),
    "portable": Practice(8.5, 1.4, 2.5, 4, 6, angle=150),
    "oil_engine": Practice(7, 1.6, 2.3, 2.6, 10, wheels=2, angle=130, longest=2.6),
}


@dataclass(frozen=True)
class Proportions:
    """An engine's leading proportions, lengths in inches.

    Args:
        kind: A key of `PRACTICE`.
        bore, stroke: Of the cylinder.
        rod: Of the connecting rod, between centres.
        flywheel, face: Diameter and width of rim.
        piston_rod, shaft: Diameters of the piston rod and of the journal.
        arms, wheels: Arms to a wheel, and one wheel or two.
        crank_angle: Anticlockwise from level at the right. [degrees]
        given: Which of these came from the engine's record.
    """

    kind: str
    bore: float
    stroke: float
    rod: float
    flywheel: float
    face: float
    piston_rod: float
    shaft: float
    arms: int
    wheels: int
    crank_angle: float
    given: frozenset[str] = frozenset()

    def in_bores(self) -> Proportions:
        """Return the same proportions with every length as a number of bores."""
        names = ("bore", "stroke", "rod", "flywheel", "face", "piston_rod", "shaft")
        return replace(self, **{name: getattr(self, name) / self.bore for name in names})

    @property
    def crank(self) -> float:
        """The throw of the crank: half the stroke. [in]"""
        return self.stroke / 2

    @property
    def pin(self) -> float:
        """The diameter of the crank pin. [in]"""
        return max(0.29 * self.bore, 0.5 * self.shaft)

    @property
    def gudgeon(self) -> float:
        """The diameter of the gudgeon pin. [in]"""
        return 0.21 * self.bore

    @property
    def disc(self) -> float:
        """The radius of a crank disc. [in]"""
        return self.crank + 0.36 * self.bore

    def crank_pin(self) -> tuple[float, float]:
        """Return the centre of the crank pin about the crank centre. [in]"""
        turn = radians(self.crank_angle)
        return self.crank * cos(turn), self.crank * sin(turn)

    def level_crosshead(self) -> tuple[float, float]:
        """Return the gudgeon pin of an engine whose cylinder lies at the left. [in]"""
        x, y = self.crank_pin()
        return x - sqrt(self.rod**2 - y**2), 0.0

    def upright_crosshead(self) -> tuple[float, float]:
        """Return the gudgeon pin of an engine whose cylinder stands over the crank. [in]"""
        x, y = self.crank_pin()
        return 0.0, y + sqrt(self.rod**2 - x**2)


def feet(inches: float) -> str:
    """Write a length as a fitter says it.

    >>> feet(84), feet(86.5), feet(18), feet(4.75)
    ('7 ft 0 in', '7 ft 2 1/2 in', '18 in', '4 3/4 in')
    """
    eighths = round(inches * 8)
    whole, part = divmod(eighths, 8)
    top, foot = part, 8
    while top and top % 2 == 0:
        top, foot = top // 2, foot // 2
    ft, whole = divmod(whole, 12) if whole >= 36 else (0, whole)
    text = f"{whole} {top}/{foot}" if part and whole else f"{top}/{foot}" if part else f"{whole}"
    return f"{ft} ft {text} in" if ft else f"{text} in"


def proportions(
    kind: str, sizes_mm: Mapping[str, float] | None = None, *, crank_angle: float | None = None
) -> tuple[Proportions, tuple[str, ...]]:
    """Return an engine's proportions, and a sentence for each size that could not be drawn.

    Args:
        kind: A key of `PRACTICE`. Raises KeyError.
        sizes_mm: What is known: bore, stroke, flywheel, flywheel_face, rod, piston_rod, shaft, all
            in mm; arms and wheels as plain numbers. Others are passed over.
        crank_angle: Where the crank stands, anticlockwise from level at the right. [degrees]
    """
    usual = PRACTICE[kind]
    sizes = dict(sizes_mm or {})
    said: list[str] = []
    given: set[str] = set()

    def take(name: str, default: float, low: float, high: float, why: str) -> float:
        value = sizes.get(name)
        if value is None:
            return default
        try:
            inches = float(value) / MM
        except (TypeError, ValueError):
            inches = float("nan")
        if isfinite(inches) and low <= inches <= high:
            given.add(name)
            return inches
        shown = feet(inches) if isfinite(inches) and 0 < inches < 1e5 else str(value)
        said.append(f"A {WORDS[name]} of {shown} {why}: drawn as {feet(default)}, as is usual.")
        return default

    # Where only the stroke is known the bore follows it, so that the whole stays in proportion.
    stroke_known = sizes.get("stroke")
    bore_usual = usual.bore
    if sizes.get("bore") is None and _plain(stroke_known) and 3 <= stroke_known / MM <= 140:
        bore_usual = stroke_known / MM / usual.stroke
    bore = take("bore", bore_usual, 1.5, 110, "cannot be drawn")
    stroke = take(
        "stroke",
        usual.stroke * bore,
        0.45 * bore,
        usual.longest * bore,
        f"does not go on the bed with a bore of {feet(bore)}",
    )
    by_stroke = f"does not suit a stroke of {feet(stroke)}"
    by_bore = f"does not suit a bore of {feet(bore)}"
    rod = take("rod", usual.rod * stroke, 1.3 * stroke, 5 * stroke, by_stroke)
    shaft = take("shaft", 0.46 * bore, 0.12 * bore, 1.1 * bore, by_bore)
    least = max(stroke + 0.9 * bore, 3 * shaft)
    wheel = take(
        "flywheel",
        max(_even(usual.wheel * stroke + usual.wheel_more), _even(1.2 * least)),
        least,
        max(14 * stroke, 4 * least),
        f"does not suit a crank of {feet(stroke / 2)}",
    )
    by_wheel = f"does not suit a wheel of {feet(wheel)}"
    face = take("flywheel_face", 0.12 * wheel, 0.02 * wheel, 0.6 * wheel, by_wheel)
    piston_rod = take("piston_rod", bore / 6, 0.06 * bore, 0.45 * bore, by_bore)
    arms = _count(sizes, "arms", usual.arms if wheel < 132 else max(usual.arms, 8), 3, 16, said)
    wheels = _count(sizes, "wheels", usual.wheels, 1, 2, said)
    angle = usual.angle if crank_angle is None or not isfinite(crank_angle) else crank_angle % 360
    made = Proportions(
        kind,
        round(bore, 3),
        round(stroke, 3),
        round(rod, 3),
        round(wheel, 3),
        round(face, 3),
        round(piston_rod, 3),
        round(shaft, 3),
        arms,
        wheels,
        round(angle, 2),
        frozenset(given),
    )
    return made, tuple(said)


def _plain(value: object) -> bool:
    return isinstance(value, (int, float)) and isfinite(value)


def _even(inches: float) -> float:
    """Round a usual size to what one would say of it: whole feet, or even inches if small."""
    step = 12 if inches > 60 else 2
    return float(step * max(1, round(inches / step)))


def _count(sizes: dict, name: str, default: int, low: int, high: int, said: list[str]) -> int:
    value = sizes.get(name)
    if value is None:
        return default
    if _plain(value) and low <= value <= high:
        return int(value)
    said.append(f"A {WORDS[name]} of {value} cannot be drawn: drawn as {default}.")
    return default
