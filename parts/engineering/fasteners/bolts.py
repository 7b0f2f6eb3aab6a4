"""Heads, nuts, masses and blanks of bolts and studs. Lengths in mm, masses in kg."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

from .. import tables
from ..calculation import Calculation, Input, Origin
from ..errors import OutOfRange, UnknownName, finite
from ..figures import full, sig
from ..materials import properties
from ..sentences import amount
from .threads import SALVAGED, Thread, pitch_dia_mm, require_straight

# Key -> (word, series of threads with such heads).
STANDARDS = {
    "us_rough": ("US Standard, rough", ("USS", "V60", "UNC", "8UN")),
    "b18_hex": ("American hexagon (ASME B18.2)", ("UNC", "UNF", "USS")),
    "b18_heavy": ("American heavy hexagon (ASME B18.2)", ("UNC", "8UN", "USS", "UNF")),
    "b18_square": ("American square (ASME B18.2)", ("UNC", "USS")),
    "bs190": ("Whitworth, large hexagon (BS 190)", ("BSW", "BSF")),
    "bs1083": ("Whitworth, small hexagon (BS 1083)", ("BSW", "BSF")),
    "iso": ("ISO hexagon", ("M",)),
    "din": ("older metric hexagon (DIN)", ("M",)),
}
SHAPES = {"hexagon": math.sqrt(3) / 2, "square": 1.0}


@dataclass(frozen=True)
class Flats:
    """A head or nut of a table.

    Args:
        standard: Key of `STANDARDS`.
        item: "head" or "nut".
        shape: "hexagon", "square", or "either" where one size serves both.
        size: Thread size ("1/2 in", "M12").
        major_mm: Major diameter of the thread. [mm]
        flats_mm: Across the flats, the largest allowed where the table says so. [mm]
        thickness_mm: Height of head or nut. [mm]
        source, status: Of the row, or of the rule that it was calculated by.
    """

    standard: str
    item: str
    shape: str
    size: str
    major_mm: float
    flats_mm: float
    thickness_mm: float
    source: str
    status: str

    @property
    def word(self) -> str:
        return f"{STANDARDS[self.standard][0]} {self.item}"


@cache
def all_flats() -> tuple[Flats, ...]:
    """Return every head and nut, also the heads whose size follows from a nut by rule."""
    rows = []
    for r in tables.read("across_flats"):
        row = Flats(
            r["standard"],
            r["item"],
            r["shape"],
            r["nominal"],
            float(r["major_mm"]),
            float(r["flats_mm"]),
            float(r["thickness_mm"] or 0),
            r["source"],
            r["status"],
        )
        rows.append(row)
        rule = {"us_rough": ("F/2", row.flats_mm / 2), "bs190": ("7/8 D", 7 / 8 * row.major_mm)}
        if row.standard in rule and row.item == "nut":
            words, height = rule[row.standard]
            source = f"{row.source}; head {words}"
            rows.append(
                Flats(
                    row.standard,
                    "head",
                    row.shape,
                    row.size,
                    row.major_mm,
                    row.flats_mm,
                    height,
                    source,
                    row.status,
                )
            )
    return tuple(rows)


def flats(standard: str, item: str, major_mm: float) -> Flats:
    """Return the head or nut of a standard for a thread of this diameter.

    Raises:
        UnknownName: no such standard, or it has no such size.
    """
    if standard not in STANDARDS:
        raise UnknownName(f"There is no head or nut {standard!r}: {', '.join(STANDARDS)}.")
    for row in all_flats():
        same = abs(row.major_mm - major_mm) < 0.02
        if same and (row.standard, row.item) == (standard, item):
            return row
    word = STANDARDS[standard][0]
    raise UnknownName(f"{word} has no {item} for {amount(major_mm, 'mm')} in the table.")


def for_thread(t: Thread) -> tuple[Flats, ...]:
    """Return the heads and nuts for bolts of this series and size."""
    return tuple(
        row
        for row in all_flats()
        if t.series in STANDARDS[row.standard][1] and abs(row.major_mm - t.major_mm) < 0.02
    )


def across_corners(flats_mm: float, shape: str = "hexagon") -> Calculation:
    """Width across the corners of a hexagon or square. [mm] Source: geometry."""
    f = finite("width across the flats", flats_mm, "mm", upto=1000)
    if shape not in SHAPES:
        raise UnknownName(f"Corners are reckoned for a hexagon or a square, not {shape!r}.")
    factor = 2 / math.sqrt(3) if shape == "hexagon" else math.sqrt(2)
    return Calculation(
        "Across the corners",
        f * factor,
        "mm",
        f"{factor:.4f} × F",
        f"{factor:.4f} × {sig(f, 5)} = {sig(f * factor, 5)}",
        (Input("F", "Across the flats", f, "mm", Origin.ENTERED),),
        "geometry",
    )


def _area(flats_mm: float, shape: str) -> float:
    return SHAPES["hexagon" if shape == "either" else shape] * flats_mm * flats_mm


def _density(material: str, own_kg_m3: float | None) -> Input:
    if own_kg_m3 is None:
        return properties.density(material).as_input(
            "ρ", f"Density of {properties.metal(material).name}"
        )
    rho = finite("density", own_kg_m3, "kg_m3", above=100, upto=23_000)
    return Input("ρ", "Density", rho, "kg_m3", Origin.ENTERED)


MASS_SOURCE = (
    "volume of head, shank and nut; agrees with Construction in Mild Steel, Table No. 32 "
    "(chestofbooks.com) within 1.5 %"
)


def bolt_mass(
    t: Thread,
    length_mm: float,
    *,
    head: Flats | None,
    nut: Flats | None,
    nuts: int = 1,
    threaded_mm: float = 0.0,
    shape: str | None = None,
    material: str = "steel",
    density_kg_m3: float | None = None,
) -> Calculation:
    """Mass of a bolt with its nuts; without a head, of a stud. [kg]

    Args:
        length_mm: From under the head to the point; of a stud, end to end. [mm]
        head, nut: From `flats`; None for a stud, or without nuts.
        nuts: The number of nuts.
        threaded_mm: Threaded length in all, taken at the pitch diameter. 0 takes the whole shank
            at the full diameter, as the old tables do. [mm]
        shape: "hexagon" or "square" where the size in the table is for both.
        material: Metal or material, for its density.
        density_kg_m3: A person's own density, which overrides the table's. [kg/m3]

    Raises:
        OutOfRange: a length, or a threaded length longer than the shank.
        UnknownName: no density is known for the material.
    """
    require_straight(t)
    length = finite("length", length_mm, "mm", upto=20_000)
    thread = finite("threaded length", threaded_mm, "mm", least=0.0, upto=length)
    count = nuts if nut else 0
    if count != int(count) or not 0 <= count <= 20:
        raise OutOfRange(f"A bolt has 0 to 20 nuts, not {nuts!r}.")
    rho = _density(material, density_kg_m3)
    d, e = t.major_mm, pitch_dia_mm(t)
    v_head = _area(head.flats_mm, shape or head.shape) * head.thickness_mm if head else 0.0
    hole = math.pi / 4 * d * d
    v_nut = (_area(nut.flats_mm, shape or nut.shape) - hole) * nut.thickness_mm if nut else 0.0
    v_shank = hole * (length - thread) + math.pi / 4 * e * e * thread
    mass = float(rho.value) * (v_head + v_shank + count * v_nut) / 1e9
    inputs = [
        *t.inputs(),
        Input("L", "Length", length, "mm", Origin.ENTERED),
        Input("T", "Threaded", thread, "mm", Origin.ENTERED),
    ]
    for letter, row in (("h", head), ("t", nut)):
        if row:
            source = f"{row.word}: {row.source} ({row.status})"
            inputs.append(
                Input(
                    f"F{letter}",
                    f"Flats of the {row.item}",
                    row.flats_mm,
                    "mm",
                    Origin.TABLE,
                    source,
                )
            )
            inputs.append(
                Input(
                    letter,
                    f"Height of the {row.item}",
                    row.thickness_mm,
                    "mm",
                    Origin.TABLE,
                    source,
                )
            )
    what = "bolt" if head else "stud"
    with_nuts = "" if not count else " with its nut" if count == 1 else f" with {count} nuts"
    return Calculation(
        f"Mass of the {what}{with_nuts}",
        mass,
        "kg",
        "ρ × (A(Fh) h + (π/4) D² (L − T) + (π/4) E² T + n (A(Ft) − (π/4) D²) t)",
        f"{full(float(rho.value), 'kg_m3')} × ({full(v_head, 'mm3')} + "
        f"{full(v_shank, 'mm3')} + {count} × {full(v_nut, 'mm3')}) = {amount(mass, 'kg')}",
        (*inputs, Input("n", "Nuts", float(count), "", Origin.ENTERED), rho),
        MASS_SOURCE,
        verdict=f"One {what} weighs {amount(mass, 'kg')}.",
        limits="Heads are taken as full prisms: chamfers make them 1 to 2 % lighter.",
        cautions=(SALVAGED,),
    )


def stud_mass(t: Thread, length_mm: float, *, nut: Flats | None = None, **rest) -> Calculation:
    """Mass of a stud, with its nuts. [kg] Arguments as `bolt_mass`."""
    return bolt_mass(t, length_mm, head=None, nut=nut, **rest)


def nut_mass(
    t: Thread,
    nut: Flats,
    *,
    shape: str | None = None,
    material: str = "steel",
    density_kg_m3: float | None = None,
) -> Calculation:
    """Mass of one nut, its hole taken at the full diameter as in the old tables. [kg]

    Arguments as `bolt_mass`; the chamfer is not taken off.

    Raises:
        UnknownName: no density is known for the material.
    """
    require_straight(t)
    rho = _density(material, density_kg_m3)
    face = _area(nut.flats_mm, shape or nut.shape)
    hole = math.pi / 4 * t.major_mm * t.major_mm
    mass = float(rho.value) * (face - hole) * nut.thickness_mm / 1e9
    source = f"{nut.word}: {nut.source} ({nut.status})"
    return Calculation(
        "Mass of the nut",
        mass,
        "kg",
        "ρ × (A(F) − (π/4) D²) × t",
        f"{full(float(rho.value), 'kg_m3')} × ({full(face, 'mm2')} − {full(hole, 'mm2')}) × "
        f"{full(nut.thickness_mm, 'mm')} = {amount(mass, 'kg')}",
        (
            *t.inputs(),
            Input("F", "Across the flats", nut.flats_mm, "mm", Origin.TABLE, source),
            Input("t", "Height of the nut", nut.thickness_mm, "mm", Origin.TABLE, source),
            rho,
        ),
        MASS_SOURCE,
        verdict=f"One nut weighs {amount(mass, 'kg')}.",
        limits="Taken as a full prism: chamfers make it 1 to 2 % lighter.",
        cautions=(SALVAGED,),
    )


def blank_for_bolt(
    t: Thread,
    length_mm: float,
    head: Flats | None = None,
    *,
    point_mm: float = 0.0,
    facing_mm: float = 1.5,
    shape: str | None = None,
) -> Calculation:
    """Length of bar to saw for one bolt or stud; the verdict names the bar. [mm]

    Args:
        length_mm: Under the head to the point; of a stud (no head), end to end. [mm]
        head: From `flats`, or None for a stud.
        point_mm: Rounded point beyond the length, if any. [mm]
        facing_mm: Left on each of the two ends. [mm]

    Source: common practice, no source; 1.5 mm (1/16 in) on a sawn end.
    """
    length = finite("length", length_mm, "mm", upto=20_000)
    point = finite("length of the point", point_mm, "mm", least=0.0, upto=length)
    facing = finite("facing allowance", facing_mm, "mm", least=0.0, upto=100)
    height = head.thickness_mm if head else 0.0
    value = length + height + point + 2 * facing
    if head:
        kind = shape or ("hexagon" if head.shape == "either" else head.shape)
        bar = f"{kind} bar {amount(head.flats_mm, 'mm')} across the flats"
    else:
        bar = f"round bar of {amount(t.major_mm, 'mm')} or the next up"
    inputs = [Input("L", "Length", length, "mm", Origin.ENTERED)]
    if head:
        source = f"{head.word}: {head.source} ({head.status})"
        inputs.append(Input("h", "Height of the head", height, "mm", Origin.TABLE, source))
    return Calculation(
        "Length of blank",
        value,
        "mm",
        "L + h + s + 2 × f" if head else "L + s + 2 × f",
        " + ".join(amount(each, "mm", 6) for each in ((length, height) if head else (length,)))
        + f" + {full(point, 'mm')} + 2 × {full(facing, 'mm')} = {amount(value, 'mm', 6)}",
        (
            *inputs,
            Input("s", "Point", point, "mm", Origin.ENTERED),
            Input("f", "Left on each end", facing, "mm", Origin.ASSUMED, "common practice"),
        ),
        verdict=f"From {bar}.",
        limits="The saw kerf is counted in the cutting list, not here.",
    )
