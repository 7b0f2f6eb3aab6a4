"""The plain shapes that engine parts are made of: volume and centre, in closed form.

Each shape lies along its own axis z, beginning at z = 0, with its centre line at x = y = 0, unless
it says otherwise. Sizes are in mm, volumes in mm3. `masses` puts shapes together.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import pi, radians, sin, sqrt

from ..errors import OutOfRange

Sizes = Mapping[str, float]
Point = tuple[float, float, float]


@dataclass(frozen=True)
class Shape:
    """A shape of body.

    Args:
        key: What the record stores.
        name: What people read.
        sizes: Key -> (letter, words) of each size, in the order people give them.
        counts: Keys of sizes that are whole numbers, not lengths.
        angles: Keys of sizes that are angles [deg], not lengths.
        optional: Keys of sizes that may be left out or 0.
        volume: Sizes -> volume [mm3].
        centre: Sizes -> centre of gravity in the shape's own axes [mm].
        formula: The rule in letters.
        check: Raises OutOfRange for sizes that contradict each other.
    """

    key: str
    name: str
    sizes: Mapping[str, tuple[str, str]]
    volume: Callable[[Sizes], float]
    formula: str
    centre: Callable[[Sizes], Point]
    check: Callable[[Sizes], None] = lambda s: None
    counts: tuple[str, ...] = ()
    angles: tuple[str, ...] = ()
    optional: tuple[str, ...] = ()

    def unit(self, key: str) -> str:
        """Return the unit of a size: "mm", "deg", or "" for a count."""
        return "" if key in self.counts else "deg" if key in self.angles else "mm"


def section(sizes: Sizes) -> float:
    """Return the thinnest section of a shape [mm], which cools first when it is cast."""
    thin = ("length", "thickness", "width", "across_flats", "section", "face", "arm_thickness",
            "arm_thickness_at_rim", "flange_thickness")  # fmt: skip
    thicknesses = [sizes[key] for key in thin if sizes.get(key)]
    outside = sizes.get("diameter", 0.0)
    inside = sizes.get("rim_inside") or sizes.get("bore") or 0.0
    if outside > inside:
        thicknesses.append((outside - inside) / 2 if inside else outside)
    return min(thicknesses, default=0.0)


def _midway(key: str) -> Callable[[Sizes], Point]:
    return lambda s: (0.0, 0.0, s[key] / 2)


def _smaller(inner: str, outer: str, words: str) -> Callable[[Sizes], None]:
    def check(s: Sizes) -> None:
        if s[inner] >= s[outer]:
            raise OutOfRange(f"{words} ({s[inner]:g} mm against {s[outer]:g} mm).")

    return check


def _cone_centre(s: Sizes) -> Point:
    a, b = s["diameter"], s["far_diameter"]
    return 0.0, 0.0, s["length"] / 4 * (a * a + 2 * a * b + 3 * b * b) / (a * a + a * b + b * b)


def _cone_check(s: Sizes) -> None:
    if s["diameter"] + s["far_diameter"] <= 0:
        raise OutOfRange("A cone needs a diameter at one end at least.")


def _ring_check(s: Sizes) -> None:
    if s["section"] > s["mean_diameter"]:
        raise OutOfRange("The section of the ring is thicker than its mean diameter.")


def _flange_volume(s: Sizes) -> float:
    face = s["diameter"] ** 2 - s["bore"] ** 2 - s["holes"] * s["hole"] ** 2
    return pi / 4 * face * s["thickness"]


def _flange_check(s: Sizes) -> None:
    if s["bore"] >= s["diameter"]:
        raise OutOfRange("The bore of the flange is as large as the flange.")
    if not s["holes"]:
        return
    if s["hole"] <= 0 or s["bolt_circle"] <= 0:
        raise OutOfRange("Bolt holes need their diameter and the bolt circle.")
    if s["bolt_circle"] + s["hole"] > s["diameter"]:
        raise OutOfRange("The bolt holes break out of the edge of the flange.")
    if s["bolt_circle"] - s["hole"] < s["bore"]:
        raise OutOfRange("The bolt holes break into the bore of the flange.")
    if s["holes"] > 1 and s["bolt_circle"] * sin(pi / s["holes"]) < s["hole"]:
        raise OutOfRange("The bolt holes run into each other.")


def _arms_volume(s: Sizes) -> float:
    """Volume of arms of elliptical section that taper evenly from hub to rim (prismoid, exact)."""
    length = (s["rim_inside"] - s["hub"]) / 2
    w1, w2 = s["arm_width"], s["arm_width_at_rim"]
    t1, t2 = s["arm_thickness"], s["arm_thickness_at_rim"]
    section = (2 * w1 * t1 + 2 * w2 * t2 + w1 * t2 + w2 * t1) / 6
    return s["arms"] * pi / 4 * section * length


def _flywheel_volume(s: Sizes) -> float:
    rim = pi / 4 * (s["diameter"] ** 2 - s["rim_inside"] ** 2) * s["face"]
    hub = pi / 4 * (s["hub"] ** 2 - s["bore"] ** 2) * s["hub_length"]
    return rim + hub + _arms_volume(s)


def _flywheel_check(s: Sizes) -> None:
    for inner, outer, words in (
        ("rim_inside", "diameter", "The inside of the rim is as large as the wheel"),
        ("hub", "rim_inside", "The hub is as large as the inside of the rim"),
        ("bore", "hub", "The bore is as large as the hub"),
    ):
        _smaller(inner, outer, words)(s)
    widest = max(s["arm_width"], s["arm_width_at_rim"])
    if s["arms"] and widest <= 0:
        raise OutOfRange("The arms need their width and thickness.")
    if s["arms"] * s["arm_width"] > pi * s["hub"]:
        raise OutOfRange("So many arms of that width do not fit round the hub.")


def _sector_area(outside: float, bore: float, angle_deg: float) -> float:
    """Area of a ring sector [mm2] from its diameters [mm]."""
    return pi / 4 * (outside**2 - bore**2) * angle_deg / 360


def _sector_reach(outside: float, bore: float, angle_deg: float) -> float:
    """Distance of the centroid of a ring sector from the centre of its arcs [mm].

    2/3 × sin h ÷ h × (R³ - r³) ÷ (R² - r²), h being half the angle: the centroid of a circular
    sector, 2 R sin h ÷ 3 h, less that of its bore (from memory of handbooks; the tests integrate).
    """
    big, small, half = outside / 2, bore / 2, radians(angle_deg) / 2
    # (R³ - r³) ÷ (R² - r²) without the difference that would lose digits in a thin ring.
    return 2 / 3 * sin(half) / half * (big * big + big * small + small * small) / (big + small)


def _sector_check(s: Sizes) -> None:
    _smaller("bore", "diameter", "The bore is as large as the outside")(s)
    if s["angle"] > 360:
        raise OutOfRange(f"A ring has 360°, and no sector of {s['angle']:g}°.")


def _half_shell_parts(s: Sizes) -> tuple[tuple[float, float, float], ...]:
    """Return (volume, reach towards its middle, place along its axis) of shell and flanges."""
    bore, outside, length = s["bore"], s["diameter"], s["length"]
    pieces = [
        (
            _sector_area(outside, bore, 180) * length,
            _sector_reach(outside, bore, 180),
            length / 2,
        )
    ]
    wide, thick = s["flange_diameter"], s["flange_thickness"]
    for place in (thick / 2, length - thick / 2)[: int(s["flanges"])]:
        area, reach = _sector_area(wide, outside, 180), _sector_reach(wide, outside, 180)
        pieces.append((area * thick, reach, place))
    return tuple(pieces)


def _half_shell_centre(s: Sizes) -> Point:
    pieces = _half_shell_parts(s)
    whole = sum(volume for volume, _, _ in pieces)
    return (
        0.0,
        sum(volume * reach for volume, reach, _ in pieces) / whole,
        sum(volume * place for volume, _, place in pieces) / whole,
    )


def _half_shell_check(s: Sizes) -> None:
    _smaller("bore", "diameter", "The bore is as large as the outside")(s)
    if not s["flanges"]:
        return
    if s["flanges"] > 2:
        raise OutOfRange("A shell has a flange at one end or at both: 1 or 2.")
    if s["flange_diameter"] <= s["diameter"] or s["flange_thickness"] <= 0:
        raise OutOfRange("A flange needs its thickness, and an outside larger than the shell.")
    if s["flanges"] * s["flange_thickness"] > s["length"]:
        raise OutOfRange("The flanges are thicker than the shell is long.")


SHAPES = {
    shape.key: shape
    for shape in (
        Shape(
            "bar",
            "round bar",
            {"diameter": ("d", "diameter"), "length": ("L", "length")},
            lambda s: pi / 4 * s["diameter"] ** 2 * s["length"],
            "π/4 × d² × L",
            _midway("length"),
        ),
        Shape(
            "tube",
            "tube",
            {"diameter": ("D", "outside"), "bore": ("d", "bore"), "length": ("L", "length")},
            lambda s: pi / 4 * (s["diameter"] ** 2 - s["bore"] ** 2) * s["length"],
            "π/4 × (D² - d²) × L",
            _midway("length"),
            _smaller("bore", "diameter", "The bore is as large as the outside"),
        ),
        Shape(
            "cone",
            "cone",
            {
                "diameter": ("D", "diameter at the start"),
                "far_diameter": ("d", "diameter at the end"),
                "length": ("L", "length"),
            },
            lambda s: (
                pi
                / 12
                * s["length"]
                * (s["diameter"] ** 2 + s["diameter"] * s["far_diameter"] + s["far_diameter"] ** 2)
            ),
            "π/12 × L × (D² + D × d + d²)",
            _cone_centre,
            _cone_check,
            optional=("diameter", "far_diameter"),
        ),
        Shape(
            "ring",
            "ring of round section",
            {"mean_diameter": ("D", "mean diameter"), "section": ("d", "section diameter")},
            lambda s: pi**2 / 4 * s["section"] ** 2 * s["mean_diameter"],
            "π²/4 × d² × D",
            _midway("section"),
            _ring_check,
        ),
        Shape(
            "sector",
            "half ring or ring sector",
            {
                "diameter": ("D", "outside"),
                "bore": ("d", "bore"),
                "length": ("L", "width along its axis"),
                "angle": ("a", "angle"),
            },
            lambda s: _sector_area(s["diameter"], s["bore"], s["angle"]) * s["length"],
            "π/4 × (D² - d²) × a/360° × L",
            lambda s: (0.0, _sector_reach(s["diameter"], s["bore"], s["angle"]), s["length"] / 2),
            _sector_check,
            angles=("angle",),
            optional=("bore",),
        ),
        Shape(
            "half_shell",
            "half shell with flanges",
            {
                "diameter": ("D", "outside of the shell"),
                "bore": ("d", "bore"),
                "length": ("L", "length over all"),
                "flanges": ("n", "number of flanges"),
                "flange_diameter": ("F", "outside of the flanges"),
                "flange_thickness": ("t", "thickness of a flange"),
            },
            lambda s: sum(volume for volume, _, _ in _half_shell_parts(s)),
            "π/8 × ((D² - d²) × L + n × (F² - D²) × t)",
            _half_shell_centre,
            _half_shell_check,
            counts=("flanges",),
            optional=("flanges", "flange_diameter", "flange_thickness"),
        ),
        Shape(
            "plate",
            "plate",
            {"width": ("b", "width"), "thickness": ("t", "thickness"), "length": ("L", "length")},
            lambda s: s["width"] * s["thickness"] * s["length"],
            "b × t × L",
            _midway("length"),
        ),
        Shape(
            "square",
            "square bar",
            {"across_flats": ("s", "across the flats"), "length": ("L", "length")},
            lambda s: s["across_flats"] ** 2 * s["length"],
            "s² × L",
            _midway("length"),
        ),
        Shape(
            "hexagon",
            "hexagon bar",
            {"across_flats": ("s", "across the flats"), "length": ("L", "length")},
            lambda s: sqrt(3) / 2 * s["across_flats"] ** 2 * s["length"],
            "√3/2 × s² × L",
            _midway("length"),
        ),
        Shape(
            "octagon",
            "octagon bar",
            {"across_flats": ("s", "across the flats"), "length": ("L", "length")},
            lambda s: 2 * (sqrt(2) - 1) * s["across_flats"] ** 2 * s["length"],
            "2 × (√2 - 1) × s² × L",
            _midway("length"),
        ),
        Shape(
            "sphere",
            "ball",
            {"diameter": ("d", "diameter")},
            lambda s: pi / 6 * s["diameter"] ** 3,
            "π/6 × d³",
            _midway("diameter"),
        ),
        Shape(
            "flange",
            "flange with bolt holes",
            {
                "diameter": ("D", "outside"),
                "thickness": ("t", "thickness"),
                "bore": ("d", "bore"),
                "holes": ("n", "number of bolt holes"),
                "hole": ("h", "hole diameter"),
                "bolt_circle": ("C", "bolt circle"),
            },
            _flange_volume,
            "π/4 × (D² - d² - n × h²) × t",
            _midway("thickness"),
            _flange_check,
            counts=("holes",),
            optional=("bore", "holes", "hole", "bolt_circle"),
        ),
        Shape(
            "flywheel",
            "flywheel",
            {
                "diameter": ("D", "outside of the rim"),
                "rim_inside": ("D1", "inside of the rim"),
                "face": ("b", "width of the face"),
                "hub": ("H", "hub diameter"),
                "hub_length": ("l", "hub length"),
                "bore": ("d", "bore"),
                "arms": ("n", "number of arms"),
                "arm_width": ("w1", "arm width at the hub"),
                "arm_thickness": ("t1", "arm thickness at the hub"),
                "arm_width_at_rim": ("w2", "arm width at the rim"),
                "arm_thickness_at_rim": ("t2", "arm thickness at the rim"),
            },
            _flywheel_volume,
            "π/4 × (D² - D1²) × b + π/4 × (H² - d²) × l + "
            "n × π/24 × (2 w1 t1 + 2 w2 t2 + w1 t2 + w2 t1) × (D1 - H)/2",
            lambda s: (0.0, 0.0, s["face"] / 2),
            _flywheel_check,
            counts=("arms",),
            optional=(
                "bore",
                "arms",
                "arm_width",
                "arm_thickness",
                "arm_width_at_rim",
                "arm_thickness_at_rim",
            ),
        ),
    )
}
"""Every shape by its key. A flywheel has straight arms of elliptical section that taper evenly, and
its hub, arms and rim share one middle; what joins arm to hub and rim is left out. Sectors and half
shells lie round the axis, their middle towards their own y: across the part, or upright where they
lie along x."""
