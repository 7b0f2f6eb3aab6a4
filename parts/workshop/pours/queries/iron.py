"""Whether the iron of a charge suits the castings."""

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
    """An iron casting: its name, its use, and its thinnest section [mm]."""

    name: str
    use: str
    section_mm: float | None


def iron_castings(castings: Sequence[PourCasting]) -> list[IronCasting]:
    """Return the use and thinnest section of the castings of a pour. Three queries."""
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
    sections = [section({key: size.value for key, size in body.sizes.items()}) for body in bodies]
    return min((mm for mm in sections if mm > 0), default=None)


def suitable_lots(lots: Iterable[LotLine], castings: Sequence[IronCasting]) -> list[LotLine]:
    """Return the lots whose kind of scrap is good for all the castings.

    If there are none, return the lots of unknown kind.
    """
    scraps, lots = irons.scraps(), list(lots)
    uses = {casting.use for casting in castings}
    good = [
        lot
        for lot in lots
        if lot.metal
        and (lot.scrap_key not in scraps or uses <= set(scraps[lot.scrap_key].good_for))
        # Ferrosilicon is put in by the spoonful, never as the charge.
        and lot.scrap_key != "ferrosilicon"
    ]
    return good or [lot for lot in lots if lot.metal is None]


def judge_charge(weighs, castings: Sequence[IronCasting]) -> tuple[tuple[Calculation, ...], str]:
    """Return the judgement of a charge for each casting, and the objections as a sentence.

    Args:
        weighs: Objects with `lot` and `kg`.
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
    judgements: dict[tuple, Calculation] = {}
    for casting in castings:
        calculation = irons.judge(charge, casting.use, casting.section_mm)
        judgement = replace(calculation, name=f"{calculation.name}, for {casting.name}")
        judgements.setdefault((casting.use, casting.section_mm), judgement)
    against = [calculation.verdict for calculation in judgements.values() if calculation.refused]
    return tuple(judgements.values()), " ".join(dict.fromkeys(against))
