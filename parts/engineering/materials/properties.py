"""Materials and metals: densities, contractions, temperatures, heats and compositions.

A material is one of the words of the record ("brass"); a metal is one kind of it ("red brass").
Every figure has its range, its source and whether the source was seen or is from memory.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from types import MappingProxyType

from .. import tables
from ..calculation import Calculation, Caution, Input, Origin
from ..errors import OutOfRange, UnknownName, finite
from ..figures import sig
from .lining import LINING, WORDS

__all__ = [
    "LINING",
    "WORDS",
    "Alloy",
    "Figure",
    "Metal",
    "alloy",
    "alloys",
    "cautions",
    "contraction",
    "density",
    "element_name",
    "figure",
    "metal",
    "metals",
    "mixture_density",
    "outside_limits",
    "word",
]

ASBESTOS = Caution(
    "Old packing, lagging and gaskets may hold asbestos: leave them alone until tested.",
    "In the US work on them falls under 29 CFR 1926.1101; a licensed firm takes them away.",
)
# Factor and offset from the unit of a table to the unit of a Calculation.
_TO_SI = {
    "g/cm3": ("kg_m3", 1000.0, 0.0),
    "degF": ("degC", 5 / 9, -160 / 9),
    "kJ/kg": ("kJ_kg", 1.0, 0.0),
    "kJ/kgK": ("kJ_kgK", 1.0, 0.0),
    "fraction": ("", 1.0, 0.0),
}
_FIGURE_NAMES = {
    "density": "density",
    "solidus": "temperature where it begins to melt",
    "liquidus": "temperature where it is all melted",
    "pouring": "pouring temperature",
    "heat_solid": "specific heat when solid",
    "heat_liquid": "specific heat when melted",
    "heat_latent": "latent heat of melting",
    "yield": "casting yield",
    "loss": "melting loss",
}


@dataclass(frozen=True)
class Figure:
    """A figure of a published table, with its range and where it came from.

    Args:
        value: The usual value, in `unit`.
        low, high: The range; the value itself where none is known.
        unit: "kg_m3", "degC", "kJ_kg", "kJ_kgK", or "" for a part of one.
        source: The table.
        status: "seen" or "memory".
    """

    value: float
    low: float
    high: float
    unit: str
    source: str
    status: str

    @property
    def cited(self) -> str:
        """The source, marked where it is from memory."""
        if self.status == "memory" and "from memory" not in self.source:
            return f"{self.source} (from memory)"
        return self.source

    def as_input(self, letter: str, name: str) -> Input:
        return Input(letter, name, self.value, self.unit, Origin.TABLE, self.cited)


@dataclass(frozen=True)
class Metal:
    """A kind of a material: its key, its name and the material of the record it belongs to."""

    key: str
    name: str
    material: str


@dataclass(frozen=True)
class Alloy:
    """An alloy by its composition limits.

    Args:
        key: The alloy's number ("C83600", "B23-2").
        name: What it is.
        metal: Its metal in the table `metals`.
        limits: Element -> (least, most), per cent by mass.
        nominal: Element -> usual per cent by mass.
        source: Where the limits are printed. `status` is "seen" or "memory".
    """

    key: str
    name: str
    metal: str
    limits: Mapping[str, tuple[float, float]]
    nominal: Mapping[str, float]
    source: str
    status: str


def word(material: str) -> str:
    """Return the word for a material of the record. Raises UnknownName."""
    try:
        return WORDS[material]
    except (KeyError, TypeError):
        raise UnknownName(f"There is no material called {material!r}.") from None


@cache
def _metals() -> dict[str, Metal]:
    return {
        row["key"]: Metal(row["key"], row["name"], row["material"]) for row in tables.read("metals")
    }


@cache
def _usual() -> dict[str, str]:
    return {row["material"]: row["key"] for row in tables.read("metals") if row["usual"] == "yes"}


def metal(key: str) -> Metal:
    """Return a metal by its key, or the usual metal of a material ("brass" is red brass).

    Raises:
        UnknownName: no table knows it, or the material is not known.

    >>> metal("bronze").name
    'tin bronze'
    """
    metals_by_key = _metals()
    if key in metals_by_key:
        return metals_by_key[key]
    if key in _usual():
        return metals_by_key[_usual()[key]]
    if key == "not_known":
        raise UnknownName("The material is not known: say what it is made of first.")
    raise UnknownName(f"There is no material or metal called {key!r}.")


def metals(material: str | None = None) -> tuple[Metal, ...]:
    """Return all metals, or those of one material of the record."""
    if material is not None:
        word(material)
    return tuple(one for one in _metals().values() if material in (None, one.material))


@cache
def _figures() -> dict[tuple[str, str], Figure]:
    figures = {}
    for row in tables.read("materials"):
        unit, factor, offset = _TO_SI[row["unit"]]
        value, low, high = (
            float(row[column] or row["value"]) * factor + offset
            for column in ("value", "low", "high")
        )
        figures[row["metal"], row["property"]] = Figure(
            value, low, high, unit, row["source"], row["status"]
        )
    return figures


def figure(key: str, name: str) -> Figure:
    """Return one figure of a metal.

    Args:
        key: A metal or a material.
        name: "density" (kg_m3), "solidus", "liquidus", "pouring" (degC; low is for heavy castings,
            high for thin), "heat_solid", "heat_liquid" (kJ_kgK), "heat_latent" (kJ_kg), "yield" or
            "loss" (parts of one).

    Raises:
        UnknownName: the metal is unknown, or no table here gives this figure for it.
    """
    kind = metal(key)
    if name not in _FIGURE_NAMES:
        raise UnknownName(f"There is no figure called {name!r}.")
    try:
        return _figures()[kind.key, name]
    except KeyError:
        raise UnknownName(
            f"No table here gives the {_FIGURE_NAMES[name]} of {kind.name}: type in your own."
        ) from None


def density(key: str) -> Figure:
    """Return the density of a metal or material [kg_m3], with its range."""
    return figure(key, "density")


@cache
def _contractions() -> dict[str, list[dict[str, str]]]:
    rows_by_metal: dict[str, list[dict[str, str]]] = {}
    for row in tables.read("contraction"):
        rows_by_metal.setdefault(row["metal"], []).append(row)
    return rows_by_metal


def contraction(key: str, size_mm: float | None = None) -> Figure:
    """Return a metal's contraction from mould to cold casting, as a part of one.

    The range spans all sources of the table, for they disagree.

    Args:
        key: A metal or a material.
        size_mm: The length of the casting [mm]: large iron and steel contract less.

    Raises:
        UnknownName: the metal is unknown, or is not cast.

    >>> round(contraction("cast_iron").value * 100, 3)
    1.042
    """
    kind = metal(key)
    rows = _contractions().get(kind.key)
    if not rows:
        raise UnknownName(f"No table here gives the contraction of {kind.name}: type in your own.")
    size_in = finite("size", size_mm, "mm", upto=1e5) / 25.4 if size_mm is not None else 0.0
    usual = next(
        row
        for row in rows
        if row["usual"] and (not row["upto_in"] or size_in <= float(row["upto_in"]))
    )
    parts = [float(Fraction(row["in_per_ft"]) / 12) for row in rows]
    applies = f", {usual['applies']}" if usual["applies"] else ""
    return Figure(
        float(Fraction(usual["in_per_ft"]) / 12),
        min(parts),
        max(parts),
        "",
        f"{usual['in_per_ft']} in to the foot{applies}: {usual['source']}",
        usual["status"],
    )


@cache
def _alloys() -> dict[str, Alloy]:
    rows: dict[str, list[dict[str, str]]] = {}
    for row in tables.read("alloys"):
        rows.setdefault(row["alloy"], []).append(row)
    return {
        key: Alloy(
            key,
            group[0]["name"],
            group[0]["metal"],
            MappingProxyType(
                {row["element"]: (float(row["low"]), float(row["high"])) for row in group}
            ),
            MappingProxyType(
                {row["element"]: float(row["nominal"]) for row in group if float(row["nominal"])}
            ),
            group[0]["source"],
            group[0]["status"],
        )
        for key, group in rows.items()
    }


def alloy(key: str) -> Alloy:
    """Return an alloy by its number. Raises UnknownName."""
    try:
        return _alloys()[key]
    except (KeyError, TypeError):
        raise UnknownName(f"There is no alloy called {key!r} in the tables.") from None


def alloys(key: str | None = None) -> tuple[Alloy, ...]:
    """Return all alloys, or those of one metal or material."""
    if key is None:
        return tuple(_alloys().values())
    kinds = {one.key for one in metals(key)} if key in WORDS else {metal(key).key}
    return tuple(one for one in _alloys().values() if one.metal in kinds)


def outside_limits(key: str, percent: Mapping[str, float]) -> tuple[str, ...]:
    """Return a sentence for each element of a composition outside the limits of an alloy.

    Args:
        key: The alloy.
        percent: Element -> per cent by mass; 0 for elements left out. The ends of a limit
            are inside it. Elements without a limit in the table are not judged.

    Raises:
        UnknownName: unknown alloy or element. OutOfRange: a share is negative or over 100.

    >>> outside_limits("C83600", {"Cu": 85, "Sn": 5, "Pb": 5, "Zn": 5})
    ()
    """
    kind = alloy(key)
    shares = _shares(percent)
    sentences = []
    for element, (low, high) in kind.limits.items():
        share = shares.get(element, 0.0)
        name = element_name(element)
        if share < low - 1e-9:
            sentences.append(f"Too little {name}: {sig(share)} %, at least {low:g} % is wanted.")
        elif share > high + 1e-9:
            sentences.append(f"Too much {name}: {sig(share)} %, at most {high:g} % is allowed.")
    return tuple(sentences)


@cache
def _elements() -> dict[str, dict[str, str]]:
    return {row["symbol"]: row for row in tables.read("elements")}


def element_name(symbol: str) -> str:
    """Return the name of an element by its symbol. Raises UnknownName."""
    try:
        return _elements()[symbol]["name"]
    except KeyError:
        raise UnknownName(f"There is no element {symbol!r} in the tables.") from None


def _shares(percent: Mapping[str, float]) -> dict[str, float]:
    return {
        symbol: finite(f"share of {element_name(symbol)}", share, least=0.0, upto=100)
        for symbol, share in percent.items()
    }


def mixture_density(percent: Mapping[str, float]) -> Calculation:
    """Density of an alloy from its composition, the volumes of its elements added. [kg_m3]

    1 / ρ = Σ w / ρ_i. Right within about 3 % for brasses, bronzes and white metals.

    Args:
        percent: Element -> per cent by mass; the sum must be 98 to 102 and is brought to 100.

    Raises:
        UnknownName: unknown element.
        OutOfRange: shares that cannot be, do not sum to 100, or copper with over 2 % aluminium
            (there the rule reads nearly 5 % light).
    """
    shares = _shares(percent)
    total = sum(shares.values())
    if not 98 <= total <= 102:
        raise OutOfRange(f"The shares must sum to about 100 %; they sum to {total:g} %.")
    if shares.get("Cu", 0) > 50 and shares.get("Al", 0) > 2:
        raise OutOfRange(
            "Aluminium bronze is denser than its mixture, by nearly 5 %: take its density from "
            "a table."
        )
    each = {symbol: float(_elements()[symbol]["density_g_cm3"]) for symbol in shares}
    volume = sum(share / total / each[symbol] for symbol, share in shares.items())
    value = 1000 / volume
    inputs = []
    for symbol, share in shares.items():
        name = element_name(symbol)
        inputs.append(Input(f"w_{symbol}", f"Share of {name}", share, "percent", Origin.ENTERED))
        inputs.append(
            Input(
                f"ρ_{symbol}",
                f"Density of {name}",
                each[symbol] * 1000,
                "kg_m3",
                Origin.TABLE,
                _elements()[symbol]["source"],
            )
        )
    return Calculation(
        "Density of the mixture",
        value,
        "kg_m3",
        "1 ÷ Σ (w ÷ ρ)",
        f"1 ÷ ({' + '.join(f'{s / total:.4g} ÷ {each[k]:g}' for k, s in shares.items())})"
        f" = {value / 1000:.4g} g/cm³",
        tuple(inputs),
        "mixture by mass, volumes added",
        low=value * 0.97,
        high=value * 1.03,
        interval="how far the rule has been off for brasses, bronzes and white metals",
        limits="Not for aluminium bronze. Porous castings read 1 to 2 % light.",
    )


def cautions(material: str) -> tuple:
    """Return the cautions for handling a material, by its key in the record."""
    word(material)
    return (ASBESTOS,) if material == "packing" else ()
