"""Job sheets: all that someone at a bench must know of a making, for many makings at once."""

from collections import defaultdict
from dataclasses import dataclass

from django.db.models import Q

from ..models import Body, Engine, Fact, Making, Measurement, Part
from ..trade.working import Origin
from .care import MeasureLine, measure_lines
from .lift_masses import PieceMass, masses_of, of_shapes
from .make_list import MakeLine
from .making import parts_to_make
from .making_sheet import MakingSheet, sheet_of
from .site import finds_that_are
from .standing import counts_of


@dataclass(frozen=True)
class JobSheet:
    """A making as it stands on its job sheet.

    Args:
        making: The row, with its part and component.
        told: Its stages and counts.
        size: The size to make, as written.
        metal: Key of the material.
        mass: Of one piece; None where it is not known.
        measures: Sizes as measured, the newest of each name, with how sure they are.
        bodies: The shapes of the part, to be drawn.
    """

    making: Making
    told: MakingSheet
    size: str
    metal: str
    mass: PieceMass | None
    measures: list[MeasureLine]
    bodies: list[Body]

    @property
    def part(self) -> Part:
        return self.making.part


@dataclass(frozen=True)
class Hands:
    """The makings in one person's hands; `who` is empty for those in nobody's."""

    who: str
    lines: list[MakeLine]

    @property
    def pieces(self) -> int:
        return sum(line.quantity for line in self.lines)


def jobs_by_hands(engine: Engine) -> list[Hands]:
    """Makings still to be fitted, by who makes them; nobody's last. As many queries as the list."""
    of_hands: dict[str, list[MakeLine]] = defaultdict(list)
    for line in parts_to_make(engine).lines:
        of_hands[line.who.strip()].append(line)
    names = sorted(of_hands, key=lambda who: (who == "", who.lower()))
    return [Hands(who, sorted(of_hands[who], key=_order)) for who in names]


def _order(line: MakeLine):
    return line.item, line.making_id


def makings_of_hands(engine: Engine, who: str) -> list[int]:
    """Ids of the makings still to be fitted that are in someone's hands."""
    for hands in jobs_by_hands(engine):
        if hands.who == who.strip():
            return [line.making_id for line in hands.lines]
    return []


def job_sheets(engine: Engine, makings: list[int]) -> list[JobSheet]:
    """Job sheets in the order asked for. Ten queries, however many.

    Args:
        engine: Whose they are; makings of another engine are left out.
        makings: Ids.
    """
    rows = Making.objects.filter(engine=engine, pk__in=makings)
    by_pk = {row.pk: row for row in rows.select_related("part__component", "engine")}
    chosen = [by_pk[pk] for pk in makings if pk in by_pk]
    parts = {row.part_id: row.part for row in chosen}
    facts = _grouped(Fact.objects.filter(making__in=by_pk).order_by("day", "pk"), "making_id")
    counts = {
        row.pk: counts_of(row) for row in Part.objects.filter(pk__in=parts).standing().order_by()
    }
    masses = masses_of(engine, parts.values())
    measures = _measures(engine, list(parts))
    drawn = Body.objects.filter(part__in=parts).prefetch_related("sizes__measurement")
    bodies = _grouped(drawn, "part_id")
    return [
        JobSheet(
            row,
            sheet_of(row, facts[row.pk], counts[row.part_id]),
            row.size or row.part.size,
            row.metal or row.part.material,
            _mass(row, masses.get(row.part_id), bodies[row.part_id]),
            measures.get(row.part_id, []),
            bodies[row.part_id],
        )
        for row in chosen
    ]


def _mass(row: Making, mass: PieceMass | None, bodies: list[Body]) -> PieceMass | None:
    """What one piece will weigh: in the metal it is made of, not always the part's own."""
    if mass and mass.origin is Origin.CALCULATED and row.metal and row.metal != row.part.material:
        return of_shapes(bodies, row.metal)
    return mass


def _grouped(rows, name: str) -> dict[int, list]:
    found: dict[int, list] = defaultdict(list)
    for row in rows:
        found[getattr(row, name)].append(row)
    return found


def _measures(engine: Engine, parts: list[int]) -> dict[int, list[MeasureLine]]:
    """Measures of parts and of the finds that are theirs: the newest of each name. Two queries."""
    finds: dict[int, set[int]] = defaultdict(set)
    for row in finds_that_are(parts):
        finds[row["find"]].add(row["part"])
    rows = Measurement.objects.filter(Q(part__in=parts) | Q(find__in=finds), engine=engine)
    rows = rows.exclude(quantity=Measurement.Quantity.MASS)  # has a line of its own
    newest: dict[int, dict[tuple, Measurement]] = defaultdict(dict)
    for row in rows.order_by("day", "pk"):
        for part in {row.part_id} if row.part_id else finds[row.find_id]:
            newest[part][row.what.strip().lower(), row.nominal] = row
    return {
        part: measure_lines([named[key] for key in sorted(named)]) for part, named in newest.items()
    }
