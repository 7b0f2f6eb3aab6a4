"""Machining allowances and tolerances of castings, by the kind of face.

Sizes in mm. Import from `patterns`.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType

from .. import tables
from ..calculation import Calculation, Input, Origin
from ..errors import OutOfRange, UnknownName, finite
from ..figures import sig
from ..materials import properties
from ..materials.properties import Figure
from ..sentences import amount


@dataclass(frozen=True)
class Face:
    """The kind of size: which of its ends are machined, and which way the allowance goes.

    Args:
        key: What the record stores.
        name: What people read.
        machined: The number of its two ends that are machined.
        inside: True for a hole, which the allowance makes smaller.
    """

    key: str
    name: str
    machined: int
    inside: bool = False


FACES = MappingProxyType(
    {
        face.key: face
        for face in (
            Face("boss", "outside diameter or length, machined both sides", 2),
            Face("face", "outside length, machined one side", 1),
            Face("bore", "bore, machined", 2, inside=True),
            Face("slot_side", "width of a slot, machined one side", 1, inside=True),
            Face("step", "step between faces that are machined the same way", 0),
            Face("rough", "outside, left as cast", 0),
            Face("cored", "hole, left as cast", 0, inside=True),
        )
    }
)
_FAMILY = MappingProxyType(
    {
        "cast_iron": "iron",
        "steel": "steel",
        "brass": "copper_alloy",
        "bronze": "copper_alloy",
        "copper": "copper_alloy",
        "aluminium": "copper_alloy",
    }
)


def face(key: str) -> Face:
    """Return a kind of face by its key. Raises UnknownName."""
    try:
        return FACES[key]
    except (KeyError, TypeError):
        raise UnknownName(f"There is no kind of face called {key!r}.") from None


def allowance(metal: str, largest_mm: float, surface: str = "side") -> Figure:
    """Finishing allowance for one machined surface, as shop practice gives it [mm].

    Args:
        metal: A metal or material.
        largest_mm: The largest size of the casting [mm].
        surface: "side" (also the drag), "bore" or "cope" (the top of the mould, which is dirtier).

    Raises:
        UnknownName: the metal is not in the table, or no such surface.
        OutOfRange: the casting is larger than the table covers.
    """
    if surface not in ("side", "bore", "cope"):
        raise UnknownName(f"A surface is side, bore or cope, not {surface!r}.")
    kind = properties.metal(metal)
    family = _FAMILY.get(kind.material)
    if family is None:
        raise UnknownName(f"No table here gives an allowance for {kind.name}: type in your own.")
    size_in = finite("largest size of the casting", largest_mm, "mm", upto=1e5) / 25.4
    for row in tables.read("allowances"):
        fits = (row["family"], row["surface"]) == (family, surface)
        if fits and size_in <= float(row["upto_in"]):
            value, low, high = (_inches(row[name]) for name in ("value_in", "low_in", "high_in"))
            return Figure(value, low, high, "mm", row["source"], row["status"])
    raise OutOfRange(
        f"The table of allowances does not go up to {amount(largest_mm, 'mm')} for {kind.name}: "
        "type in your own."
    )


def _inches(text: str) -> float:
    top, _, bottom = text.partition("/")
    return float(top) / float(bottom or 1) * 25.4


def tolerance(nominal_mm: float, grade: int) -> Figure:
    """Whole width of a casting's tolerance by the grades of ISO 8062-3 [mm] (an extract, 10 to 14).

    Raises:
        OutOfRange: the size or grade is outside the extract.
    """
    size = finite("size", nominal_mm, "mm", upto=400)
    for row in tables.read("casting_tolerances"):
        if size <= float(row["upto_mm"]):
            text = row.get(f"G{grade}")
            if not text:
                break
            value = float(text)
            return Figure(value, value, value, "mm", row["source"], row["status"])
    raise OutOfRange(
        f"The extract here has no grade {grade} for {amount(size, 'mm')}: type in your own."
    )


def machining_allowance(largest_mm: float, grade: str) -> Figure:
    """Machining allowance for one surface in the form of ISO 8062 [mm] (an extract, F to H).

    Args:
        largest_mm: The largest size of the whole casting [mm].
        grade: "F", "G" or "H".

    Raises:
        OutOfRange: the size or grade is outside the extract.
    """
    size = finite("largest size of the casting", largest_mm, "mm", upto=1000)
    if grade in ("F", "G", "H"):
        for row in tables.read("machining_grades"):
            if size <= float(row["upto_mm"]):
                value = float(row[grade])
                return Figure(value, value, value, "mm", row["source"], row["status"])
    raise OutOfRange(f"The extract here has no machining grade {grade!r}: type in your own.")


def raw_size(
    finished_mm: float,
    kind: str,
    allowance_mm: float | Figure,
    tolerance_mm: float | Figure,
) -> Calculation:
    """Size of the casting before machining, in the form of ISO 8062 [mm].

    R = F ± n RMA ± CT/2 with the upper sign outside, the lower inside; a step gets CT/2 alone.

    Args:
        finished_mm: The finished size [mm].
        kind: A key of `FACES`.
        allowance_mm: RMA for one surface, a number or `machining_allowance(...)`.
        tolerance_mm: CT, the whole width, a number or `tolerance(...)`.

    Raises:
        OutOfRange: a size that cannot be, or the bore closes. UnknownName: unknown face.
    """
    size = finite("finished size", finished_mm, "mm", upto=50_000)
    ends = face(kind)

    def to_input(figure: float | Figure, letter: str, name: str) -> Input:
        if isinstance(figure, Figure):
            return figure.as_input(letter, name)
        number = finite(name.lower(), figure, "mm", least=0.0, upto=100)
        return Input(letter, name, number, "mm", Origin.ENTERED)

    rma = to_input(allowance_mm, "RMA", "Machining allowance, each surface")
    ct = to_input(tolerance_mm, "CT", "Casting tolerance, whole width")
    sign, mark = (-1, "-") if ends.inside else (1, "+")
    value = size + sign * (ends.machined * rma.value + ct.value / 2)
    if value <= 0:
        raise OutOfRange("The allowance closes the bore: cast it solid and drill it.")
    return Calculation(
        "Size of the raw casting",
        value,
        "mm",
        f"F {mark} {ends.machined} × RMA {mark} CT ÷ 2",
        f"{sig(size)} {mark} {ends.machined} × {sig(rma.value)} {mark} {sig(ct.value)} ÷ 2"
        f" = {amount(value, 'mm', 5)}",
        (Input("F", "Finished size", size, "mm", Origin.ENTERED), rma, ct),
        "form of ISO 8062, from memory; check your own copy",
        low=value - ct.value / 2,
        high=value + ct.value / 2,
        interval="the casting tolerance",
        limits="Draft and contraction are added after this.",
    )
