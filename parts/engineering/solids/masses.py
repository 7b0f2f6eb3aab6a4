"""Volume, mass and centre of gravity of a part made of plain shapes, with their uncertainty.

A part is a list of bodies, each added or taken away. Uncertainty follows from partial derivatives
(the law of propagation of uncertainty): every measured size is independent of the others, but one
`Size` used in two bodies is one measurement, whose error changes both.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import sqrt
from types import MappingProxyType

from ..calculation import Calculation, Input, Origin
from ..errors import OutOfRange, UnknownName, finite
from ..figures import full, sig
from ..materials import properties
from ..sentences import amount
from ..uncertainty import LARGEST_MM, Size, interval, spread, within
from .shapes import SHAPES, Point, Shape

__all__ = [
    "SHAPES",
    "Body",
    "Size",
    "Solid",
    "centre_of_gravity",
    "combine",
    "mass",
    "solid",
    "volume",
    "within",
]

PROPAGATION = "closed forms; uncertainty by first-order propagation (JCGM 100:2008, 5.1.2)"
AXES = MappingProxyType({"x": (2, 0, 1), "y": (1, 2, 0), "z": (0, 1, 2)})
"""The axis that a body lies along -> the indices of its own axes on x, y and z."""


@dataclass(frozen=True)
class Body:
    """One shape of a part.

    Args:
        shape: A key of `SHAPES` ("bar", "tube", "flange" …).
        sizes: The shape's sizes by key; a plain number is a size without uncertainty.
        away: True for a body that is taken away (a bore, a keyway).
        at: Place of the middle of its first face in the part [mm].
        along: The axis it lies along, "x", "y" or "z".
        times: How many there are (for several holes give the middle of their circle).
        name: What it is, in the fitter's words.
    """

    shape: str
    sizes: Mapping[str, float | Size]
    away: bool = False
    at: Point = (0.0, 0.0, 0.0)
    along: str = "z"
    times: int = 1
    name: str = ""


@dataclass(frozen=True)
class _CheckedBody:
    """A body whose sizes have been checked."""

    body: Body
    shape: Shape
    sizes: Mapping[str, Size]
    name: str
    sign: int = field(default=1)


@dataclass(frozen=True)
class Solid:
    """The volume, mass and centre of gravity of a part.

    Args:
        volume: Calculation in mm3.
        mass: Calculation in kg.
        centre: Calculations of x, y and z of the centre of gravity, in mm.
    """

    volume: Calculation
    mass: Calculation
    centre: tuple[Calculation, Calculation, Calculation]


def _size(body_name: str, key: str, shape: Shape, sizes: Mapping[str, float | Size]) -> Size:
    words = shape.sizes[key][1]
    optional = key in shape.optional
    if key not in sizes:
        if optional:
            return Size(0.0, 0.0, Origin.ASSUMED, "not given")
        raise OutOfRange(f"The {words} of the {body_name} is missing.")
    size = sizes[key]
    if not isinstance(size, Size):
        size = Size(size, 0.0, Origin.ENTERED)
    label = f"{words} of the {body_name}"
    number = finite(
        label,
        size.value,
        "" if key in shape.counts else "mm",
        above=None if optional else 0.0,
        upto=LARGEST_MM,
    )
    if number < 0:
        raise OutOfRange(f"The {label} cannot be less than nothing; {number:g} was given.")
    if key in shape.counts and (number != int(number) or number > 1000):
        raise OutOfRange(f"The {label} must be a whole number up to 1000.")
    uncertainty = finite(f"uncertainty of the {label}", size.u, "mm", least=0.0, upto=LARGEST_MM)
    if uncertainty > number / 2 and number:
        unit = shape.unit(key) or "pieces"
        raise OutOfRange(f"The {label} is too unsure to use: {number:g} ± {uncertainty:g} {unit}.")
    return size


def _check_bodies(bodies: Sequence[Body]) -> list[_CheckedBody]:
    if not bodies:
        raise OutOfRange("A part needs one shape at least.")
    checked = []
    for body in bodies:
        if body.shape not in SHAPES:
            raise UnknownName(f"There is no shape called {body.shape!r}.")
        shape = SHAPES[body.shape]
        name = body.name or shape.name
        unknown = set(body.sizes) - set(shape.sizes)
        if unknown:
            raise UnknownName(f"A {shape.name} has no size called {sorted(unknown)[0]!r}.")
        if body.along not in AXES:
            raise UnknownName(f"A body lies along x, y or z, not {body.along!r}.")
        for number in body.at:
            finite(f"place of the {name}", number, "mm", above=-LARGEST_MM, upto=LARGEST_MM)
        if finite(f"number of the {name}", body.times, upto=10_000) != int(body.times):
            raise OutOfRange(f"The number of the {name} must be whole.")
        sizes = {key: _size(name, key, shape, body.sizes) for key in shape.sizes}
        shape.check({key: size.value for key, size in sizes.items()})
        checked.append(_CheckedBody(body, shape, sizes, name, -1 if body.away else 1))
    return checked


def _values(checked: _CheckedBody, changes: Mapping[int, float]) -> dict[str, float]:
    return {key: size.value + changes.get(id(size), 0.0) for key, size in checked.sizes.items()}


def _volume(parts: Sequence[_CheckedBody], changes: Mapping[int, float]) -> float:
    return sum(
        checked.sign * checked.body.times * checked.shape.volume(_values(checked, changes))
        for checked in parts
    )


def _moment(parts: Sequence[_CheckedBody], changes: Mapping[int, float], axis: int) -> float:
    """Return the first moment of volume about a plane square to `axis` [mm4]."""
    total = 0.0
    for checked in parts:
        sizes = _values(checked, changes)
        own = checked.shape.centre(sizes)
        offset = own[AXES[checked.body.along][axis]]
        volume = checked.sign * checked.body.times * checked.shape.volume(sizes)
        total += volume * (checked.body.at[axis] + offset)
    return total


def _sizes(parts: Sequence[_CheckedBody]) -> list[Size]:
    unique = {id(size): size for checked in parts for size in checked.sizes.values()}
    return list(unique.values())


def _body_calculation(checked: _CheckedBody) -> Calculation:
    values = _values(checked, {})
    one = checked.shape.volume(values)
    total = one * checked.body.times
    if not one > 0:
        raise OutOfRange(f"The sizes of the {checked.name} leave no metal.")
    u, _ = spread(lambda changes: _volume([checked], changes), list(checked.sizes.values()))
    inputs = tuple(
        Input(
            checked.shape.sizes[key][0],
            checked.shape.sizes[key][1].capitalize(),
            size.value,
            checked.shape.unit(key),
            size.origin,
            size.source,
        )
        for key, size in checked.sizes.items()
        if size.value
    )
    times = f"{checked.body.times} × " if checked.body.times != 1 else ""
    return Calculation(
        f"Volume of the {checked.name}" + (", taken away" if checked.body.away else ""),
        total,
        "mm3",
        times + checked.shape.formula,
        amount(total, "mm3"),
        inputs,
        "geometry",
        *(interval(total, u)),
    )


def volume(bodies: Sequence[Body]) -> Calculation:
    """Volume of a part [mm3], with its uncertainty from the sizes.

    Args:
        bodies: Shapes added and taken away. Shapes that are added must not overlap, and those
            taken away must lie inside them: neither is checked.

    Raises:
        OutOfRange: a size is missing, cannot be, or contradicts another; more is taken away than
            there is.
        UnknownName: no such shape or size.

    >>> round(volume([Body("bar", {"diameter": 50, "length": 200})]).value)
    392699
    """
    parts = _check_bodies(bodies)
    body_volumes = tuple(_body_calculation(checked) for checked in parts)
    total = _volume(parts, {})
    if not total > 0:
        raise OutOfRange("More is taken away than there is: check the sizes of what is taken away.")
    u, _ = spread(lambda changes: _volume(parts, changes), _sizes(parts))
    return Calculation(
        "Volume",
        total,
        "mm3",
        " ".join(
            f"{'-' if checked.sign < 0 else '+'} {checked.name}" for checked in parts
        ).removeprefix("+ "),
        " ".join(
            f"{'-' if checked.sign < 0 else '+'} {full(calculation.value, 'mm3')}"
            for checked, calculation in zip(parts, body_volumes, strict=True)
        ).removeprefix("+ ")
        + f" = {amount(total, 'mm3')}",
        tuple(
            Input(f"V{n}", calculation.name, calculation.value, "mm3", Origin.CALCULATED)
            for n, calculation in enumerate(body_volumes, start=1)
        ),
        PROPAGATION,
        *(interval(total, u)),
        limits="Fillets, ribs and overlaps are not looked for; say them as shapes of their own.",
        parts=body_volumes,
    )


def _density(material: str, density_kg_m3: float | None) -> tuple[Input, float]:
    """Return the density as an input, and its standard uncertainty [kg_m3]."""
    if density_kg_m3 is not None:
        value = finite("density", density_kg_m3, "kg_m3", upto=25_000)
        return Input("ρ", "Density", value, "kg_m3", Origin.ENTERED), 0.0
    table = properties.density(material)
    name = properties.metal(material).name
    return table.as_input("ρ", f"Density of {name}"), (table.high - table.low) / 2 / sqrt(3)


def mass(
    bodies: Sequence[Body], material: str = "not_known", density_kg_m3: float | None = None
) -> Calculation:
    """Mass of a part [kg], with its uncertainty from the sizes and from the density's range.

    Args:
        bodies: As for `volume`.
        material: A metal or material of the tables.
        density_kg_m3: A person's own figure, which overrides the table's.

    Raises:
        OutOfRange, UnknownName: as for `volume`; unknown material.
    """
    volume_calculation = volume(bodies)
    rho, rho_u = _density(material, density_kg_m3)
    return _weigh(volume_calculation, rho, rho_u)


def _weigh(volume: Calculation, rho: Input, rho_u: float) -> Calculation:
    value = volume.value * 1e-9 * rho.value
    volume_u = (volume.high - volume.value) / 2 if volume.high is not None else 0.0
    u = value * sqrt((volume_u / volume.value) ** 2 + (rho_u / rho.value) ** 2)
    return Calculation(
        "Mass",
        value,
        "kg",
        "V × ρ",
        f"{full(volume.value, 'mm3')} × {full(rho.value, 'kg_m3')} = {amount(value, 'kg')}",
        (Input("V", "Volume", volume.value, "mm3", Origin.CALCULATED), rho),
        PROPAGATION,
        *(interval(value, u)),
        limits="Rust, scale, water and sand in a recovered part weigh too.",
        parts=(volume,),
    )


def centre_of_gravity(bodies: Sequence[Body]) -> tuple[Calculation, Calculation, Calculation]:
    """Centre of gravity of a part of one material: Calculations of x, y and z [mm].

    Args:
        bodies: As for `volume`; `at` and `along` give the place of each.

    Raises:
        OutOfRange, UnknownName: as for `volume`.
    """
    parts = _check_bodies(bodies)
    whole = volume(bodies)
    sizes = _sizes(parts)
    calculations = []
    for axis, letter in enumerate("xyz"):

        def place(changes: Mapping[int, float], axis: int = axis) -> float:
            return _moment(parts, changes, axis) / _volume(parts, changes)

        value = place({})
        u, _ = spread(place, sizes)
        calculations.append(
            Calculation(
                f"Centre of gravity along {letter}",
                value,
                "mm",
                f"Σ (V × {letter}) ÷ Σ V",
                f"{sig(_moment(parts, {}, axis))} mm⁴ ÷ {sig(whole.value)} mm³ = {sig(value)} mm",
                whole.inputs,
                PROPAGATION,
                *(interval(value, u)),
                limits="One material throughout, and the places of the shapes taken as exact.",
            )
        )
    return tuple(calculations)


def solid(
    bodies: Sequence[Body], material: str = "not_known", density_kg_m3: float | None = None
) -> Solid:
    """Volume, mass and centre of gravity of a part. Arguments and errors as for `mass`."""
    mass_calculation = mass(bodies, material, density_kg_m3)
    return Solid(mass_calculation.parts[0], mass_calculation, centre_of_gravity(bodies))


def combine(items: Sequence[tuple[str, float, float, Point]]) -> tuple[Calculation, ...]:
    """Mass and centre of gravity of several parts fixed together, as for a lift.

    Args:
        items: (name, mass [kg], standard uncertainty of it [kg], centre (x, y, z) [mm]) of each.

    Returns:
        Calculations of the mass [kg] and of x, y and z [mm]; places are taken as exact.

    Raises:
        OutOfRange: nothing is given, or a mass or place cannot be.
    """
    if not items:
        raise OutOfRange("Name the parts that hang together first.")
    masses, spreads = [], []
    for name, kg, u, at in items:
        masses.append(finite(f"mass of {name}", kg, "kg", upto=1e7))
        spreads.append(finite(f"uncertainty of the mass of {name}", u, "kg", least=0.0, upto=1e7))
        for number in at:
            finite(f"place of {name}", number, "mm", above=-1e6, upto=1e6)
    total = sum(masses)
    inputs = tuple(
        Input(f"m{n}", f"Mass of {item[0]}", kg, "kg", Origin.CALCULATED)
        for n, (item, kg) in enumerate(zip(items, masses, strict=True), start=1)
    )
    u = sqrt(sum(one * one for one in spreads))
    calculations = [
        Calculation(
            "Mass together",
            total,
            "kg",
            " + ".join(entry.letter for entry in inputs),
            " + ".join(full(kg, "kg") for kg in masses) + f" = {amount(total, 'kg')}",
            inputs,
            "addition",
            *(interval(total, u)),
        )
    ]
    for axis, letter in enumerate("xyz"):
        value = sum(kg * item[3][axis] for kg, item in zip(masses, items, strict=True)) / total
        u = sqrt(
            sum(
                ((item[3][axis] - value) / total * one) ** 2
                for item, one in zip(items, spreads, strict=True)
            )
        )
        calculations.append(
            Calculation(
                f"Centre of gravity along {letter}",
                value,
                "mm",
                f"Σ (m × {letter}) ÷ Σ m",
                f"= {sig(value)} mm",
                inputs,
                "moments about a plane",
                *(interval(value, u)),
            )
        )
    return tuple(calculations)
