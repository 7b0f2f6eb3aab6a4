"""Starter lists: what an engine of each kind usually has, to begin a record from.

Written from common practice, no source: every engine differs from the list of its kind, and the
engine is always right.
"""

from dataclasses import dataclass
from functools import cache

from .errors import EngineeringError, UnknownName
from .routes import route
from .tables import read

LINE = "A start, written from common practice: correct it against the engine."


@dataclass(frozen=True)
class Kind:
    """A kind of engine. The record stores its key; people read its word."""

    key: str
    word: str
    note: str


@dataclass(frozen=True)
class StarterPart:
    """A kind of piece that the engine should have.

    Args:
        number: Item number, 100 × the component's number + its place: 304.
        name: What it is called.
        quantity: How many pieces. [1]
        material: Key of the usual material: "cast_iron".
        route: Key of the usual route of making: "cast".
        fastener: Whether it is a bolt, nut, stud, screw, pin or washer.
        note: What to look out for, or empty.
    """

    number: int
    name: str
    quantity: int
    material: str
    route: str
    fastener: bool
    note: str


@dataclass(frozen=True)
class StarterComponent:
    """A named assembly. `parent` is the name of the component that it belongs to, or empty."""

    number: int
    name: str
    parent: str
    parts: tuple[StarterPart, ...]


@dataclass(frozen=True)
class Starter:
    """The list for one kind of engine, and the sentence on how far to trust it."""

    kind: Kind
    line: str
    components: tuple[StarterComponent, ...]

    @property
    def parts(self) -> tuple[StarterPart, ...]:
        return tuple(part for component in self.components for part in component.parts)

    @property
    def pieces(self) -> int:
        return sum(part.quantity for part in self.parts)


KINDS = {
    kind.key: kind
    for kind in (
        Kind(
            "horizontal_slide_valve",
            "Horizontal, slide valve",
            "One cylinder lying on a bed, a flat valve in a chest beside or above it.",
        ),
        Kind(
            "horizontal_four_valve",
            "Horizontal, four rotary valves",
            "Two steam and two exhaust valves that rock in the ends of the cylinder, with trip"
            " gear and dashpots.",
        ),
        Kind(
            "vertical",
            "Vertical",
            "The cylinder stands on standards over the crank.",
        ),
        Kind(
            "beam",
            "Beam",
            "A rocking beam between the cylinder and the crank, with parallel motion; condenser"
            " and air pump are listed too.",
        ),
        Kind(
            "portable",
            "Portable",
            "The engine on a boiler on wheels. Boiler parts are listed to be recorded: boiler"
            " work is for an inspector to judge.",
        ),
        Kind(
            "oil_engine",
            "Oil engine, hot tube or hit-and-miss",
            "One cylinder, burning oil or petrol. It lists both a hot tube and a low-tension"
            " spark: leave off the one that was never there.",
        ),
    )
}


@cache
def starter(kind: str) -> Starter:
    """Return the starter list for `kind`, a key of KINDS. Raises UnknownName."""
    if kind not in KINDS:
        raise UnknownName(f"There is no starter list for a kind of engine called {kind!r}.")
    parts: dict[int, list[StarterPart]] = {}
    components: dict[int, tuple[str, str]] = {}
    for row in read(f"starters/{kind}"):
        number = int(row["component_number"])
        components.setdefault(number, (row["component"], row["parent"]))
        parts.setdefault(number, []).append(_part(row))
    names = {name for name, _ in components.values()}
    for name, parent in components.values():
        if parent and parent not in names:
            raise EngineeringError(
                f"{name} should stand in {parent}, which the list does not have."
            )
    return Starter(
        KINDS[kind],
        LINE,
        tuple(
            StarterComponent(number, name, parent, tuple(parts[number]))
            for number, (name, parent) in sorted(components.items())
        ),
    )


def _part(row: dict[str, str]) -> StarterPart:
    return StarterPart(
        number=int(row["part_number"]),
        name=row["part"],
        quantity=int(row["quantity"]),
        material=row["material"],
        route=route(row["route"]).key,
        fastener=row["fastener"] == "yes",
        note=row["note"],
    )
