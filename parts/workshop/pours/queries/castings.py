"""Castings waiting to be poured, and the metal that each needs."""

from dataclasses import dataclass

from django.db.models import Sum

from parts.engineering.calculation import Calculation
from parts.engineering.casting import pouring
from parts.engineering.errors import EngineeringError
from parts.engineering.routes import ROUTES
from parts.record.models import Engine, Job, PieceEntry
from parts.workshop.jobs.queries.jobs import Masses, measured_masses
from parts.workshop.jobs.queries.lines import StageSummary, stage_summary
from parts.workshop.patterns.queries.faces import FinishingStock, stocks
from parts.workshop.shapes.queries.shapes import volumes

from ..models import PourCasting

READY = ("pattern_made", "moulded")


@dataclass(frozen=True)
class CastLine:
    """A job to be cast, as the pour plan needs it. The mass is of one finished piece. [kg]"""

    job_id: int
    part_id: int
    item: int
    name: str
    metal: str
    stage: StageSummary
    mass_kg: float | None
    mass_from: str
    decided: int
    poured: int


@dataclass(frozen=True)
class Waiting:
    """The castings of one job that wait to be poured.

    Args:
        pieces: Decided, not yet poured and in no planned pour.
        planned: In planned pours.
        poured_kg: Metal poured for one, with its known finishing stock, gates and risers; None
            when it cannot be calculated.
        charge_kg: Metal to charge for one, melting loss included.
        why_not: The reason, when `poured_kg` is None.
        short: A sentence when these masses may be short of metal; else "".
        too_big: A sentence when it takes more than the largest crucible carries; else "".
    """

    line: CastLine
    pieces: int
    planned: int
    poured_kg: float | None
    charge_kg: float | None
    why_not: str = ""
    short: str = ""
    too_big: str = ""

    @property
    def job_id(self) -> int:
        return self.line.job_id

    @property
    def ready(self) -> bool:
        """Whether its pattern or its mould is made."""
        return self.line.stage.key in READY


def waiting_castings(engine: Engine) -> list[Waiting]:
    """Return jobs with castings that wait to be poured. Nine queries."""
    planned, per_kg = planned_pieces(engine), _PerKilogram()
    lines = _cast_lines(engine)
    stock = stocks({line.part_id: line.metal for line in lines})
    waiting = []
    for line in lines:
        left = line.decided - line.poured
        in_pours = min(planned.get(line.job_id, 0), left)
        waiting.append(_waiting(line, left - in_pours, in_pours, per_kg, stock[line.part_id]))
    return waiting


def _cast_lines(engine: Engine) -> list[CastLine]:
    """Return jobs to be cast that are not all poured, by item number. Four queries.

    Cheaper than the parts-to-make list, which also counts every part.
    """
    masses = Masses(measured_masses(engine, None), volumes(engine))
    reached: dict[int, dict[str, int]] = {}
    for job, kind, stage, counts in _entry_sums(engine):
        reached.setdefault(job, {})[stage or kind] = counts
    rows = Job.objects.filter(engine=engine, route="cast", part__removed_at__isnull=True)
    rows = rows.order_by("part__item", "pk").values_list(
        "pk", "part_id", "part__item", "part__name", "part__material", "metal", "part__mass_kg"
    )
    lines = []
    for pk, part, item, name, material, metal, entered_kg in rows:
        counts = reached.get(pk, {})
        decided, poured = counts.get(PieceEntry.Kind.DECIDED, 0), counts.get("poured", 0)
        if decided <= poured:
            continue
        fitted = counts.get(PieceEntry.Kind.FITTED, 0)
        stage = stage_summary(ROUTES["cast"], decided - fitted, fitted, counts)
        kg, source = masses.of(part, metal or material, entered_kg)
        lines.append(
            CastLine(pk, part, item, name, metal or material, stage, kg, source, decided, poured)
        )
    return lines


def _entry_sums(engine: Engine):
    """Return (job, kind, stage, sum of pieces) for every job to be cast. One query."""
    entries = PieceEntry.objects.filter(engine=engine, job__route="cast").order_by()
    return entries.values_list("job_id", "kind", "stage").annotate(n=Sum("pieces"))


def planned_pieces(engine: Engine) -> dict[int, int]:
    """Return the castings of each job in planned pours. One query."""
    rows = PourCasting.objects.filter(engine=engine, pour__poured_on__isnull=True)
    return dict(rows.order_by().values_list("job").annotate(n=Sum("pieces")))


class _PerKilogram:
    """The metal to pour and to charge for 1 kg of casting, calculated once for each metal."""

    def __init__(self):
        self._cache: dict[str, Calculation | str] = {}

    def of(self, metal: str) -> Calculation | str:
        """Return the calculation for 1 kg, or the reason why there is none."""
        if metal not in self._cache:
            try:
                self._cache[metal] = pouring.pour(1.0, metal)
            except EngineeringError as error:
                self._cache[metal] = str(error)
        return self._cache[metal]


def _waiting(
    line: CastLine, pieces: int, planned: int, per_kg: _PerKilogram, stock: FinishingStock
) -> Waiting:
    if line.mass_kg is None:
        words = "Its mass is not known: weigh the old one, or enter its shapes and sizes."
        return Waiting(line, pieces, planned, None, None, words)
    calculation = per_kg.of(line.metal)
    if isinstance(calculation, str):
        return Waiting(line, pieces, planned, None, None, calculation)
    cast_kg = line.mass_kg + stock.kg
    poured, charge = (cast_kg * float(kg) for kg in (calculation.parts[1].value, calculation.value))
    return Waiting(line, pieces, planned, poured, charge, short=stock.short)
