"""Whether the iron of a charge suits what is poured of it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from parts.engineering.calculation import Calculation
from parts.engineering.casting import irons
from parts.engineering.errors import EngineeringError
from parts.engineering.solids.shapes import section
from parts.workshop.metal.queries import LotLine
from parts.workshop.shapes.models import Body
from parts.workshop.shapes.queries.shapes import bodies_of

from ..models import PourCasting


@dataclass(frozen=True)
class IronCasting:
    """What is to be poured: its name, what it is used for, and its thinnest section [mm]."""

    name: str
    use: str
    section_mm: float | None


def iron_castings(castings: Sequence[PourCasting]) -> list[IronCasting]:
    """What the castings of a pour want of their iron. Three queries."""
    shapes: dict[int, list[Body]] = {}
    rows = Body.objects.filter(part__in={c.job.part_id for c in castings}, away=False)
    for row in rows.prefetch_related("sizes__measurement"):
        shapes.setdefault(row.part_id, []).append(row)
    return [
        IronCasting(
            str(casting.job.part),
            irons.use_of(casting.job.part.name),
            _thinnest(shapes.get(casting.job.part_id, [])),
        )
        for casting in castings
    ]


def _thinnest(rows: list[Body]) -> float | None:
    try:
        bodies = bodies_of(rows)
    except EngineeringError:
        return None
    found = [section({key: size.value for key, size in body.sizes.items()}) for body in bodies]
    return min((mm for mm in found if mm > 0), default=None)


def suited(lots: Iterable[LotLine], castings: Sequence[IronCasting]) -> list[LotLine]:
    """The lots whose kind of scrap is good for every one of the castings.

    Where there is none, those of which nobody has said what they are.
    """
    known, lots = irons.scraps(), list(lots)
    uses = {casting.use for casting in castings}
    good = [
        lot
        for lot in lots
        if lot.metal
        and (lot.scrap_key not in known or uses <= set(known[lot.scrap_key].good_for))
        # Ferrosilicon is put in by the spoonful, never as the charge.
        and lot.scrap_key != "ferrosilicon"
    ]
    return good or [lot for lot in lots if lot.metal is None]


def judged(weighs, castings: Sequence[IronCasting]) -> tuple[tuple[Calculation, ...], str]:
    """The judgement on a charge for each casting, and what speaks against it in a sentence.

    Args:
        weighs: Of each lot, with `lot` and `kg`.
    """
    unknown = [w.lot.name for w in weighs if w.lot.metal is None]
    if unknown:
        return (), (
            f"Nobody has said what iron {' and '.join(unknown)} is: break a piece. Grey and soft "
            "under the file it may do; white and hard it does for nothing that is machined."
        )
    if not weighs:
        return (), ""
    charge = [(w.lot.metal, w.lot.scrap_key, w.kg) for w in weighs]
    found: dict[tuple, Calculation] = {}
    for one in castings:
        calculation = irons.judge(charge, one.use, one.section_mm)
        named = replace(calculation, name=f"{calculation.name}, for {one.name}")
        found.setdefault((one.use, one.section_mm), named)
    against = [calculation.verdict for calculation in found.values() if calculation.refused]
    return tuple(found.values()), " ".join(dict.fromkeys(against))
