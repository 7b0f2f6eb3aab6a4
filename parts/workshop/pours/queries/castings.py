"""Castings that wait to be poured, and the metal that each takes."""

from dataclasses import dataclass

from django.db.models import Sum

from parts.engineering.calculation import Calculation
from parts.engineering.casting import pouring
from parts.engineering.errors import EngineeringError
from parts.engineering.routes import ROUTES
from parts.record.models import Engine, Job, PieceEntry
from parts.workshop.jobs.queries.jobs import Masses, measured_masses
from parts.workshop.jobs.queries.lines import StageSummary, stage_summary
from parts.workshop.patterns.queries.faces import Stock, stocks
from parts.workshop.shapes.queries.shapes import volumes

from ..models import PourCasting

READY = ("pattern_made", "moulded")


@dataclass(frozen=True)
class CastLine:
    """A job to be cast, with what the plan needs of it. The mass is of one, finished. [kg]"""

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
    """Castings of one job that wait to be poured.

    Args:
        pieces: Decided and not yet poured, those of planned pours left out.
        planned: In pours that have not happened.
        poured_kg: Metal poured for one, with its finishing stock as far as it is known, gates and
            risers; None when it cannot be said.
        charge_kg: Metal to charge for one, melting loss included.
        why_not: Why not, in a sentence.
        short: Why that is short of metal, in a sentence; "" where it is not.
        too_big: It takes more than the largest crucible carries: in a sentence.
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
        """The pattern is there, or the mould already."""
        return self.line.stage.key in READY


def waiting_castings(engine: Engine) -> list[Waiting]:
    """Jobs to be cast with castings not yet poured. Nine queries."""
    planned, usual = planned_pieces(engine), _Usual()
    lines = _cast_lines(engine)
    stock = stocks({line.part_id: line.metal for line in lines})
    found = []
    for line in lines:
        left = line.decided - line.poured
        in_pours = min(planned.get(line.job_id, 0), left)
        found.append(_waiting(line, left - in_pours, in_pours, usual, stock[line.part_id]))
    return found


def _cast_lines(engine: Engine) -> list[CastLine]:
    """Jobs to be cast that are not all poured, by item number. Four queries.

    Leaner than the whole list of parts to make, which also asks how every part stands.
    """
    masses = Masses(measured_masses(engine, None), volumes(engine))
    reached: dict[int, dict[str, int]] = {}
    for job, kind, stage, n in _told(engine):
        reached.setdefault(job, {})[stage or kind] = n
    rows = Job.objects.filter(engine=engine, route="cast", part__removed_at__isnull=True)
    rows = rows.order_by("part__item", "pk").values_list(
        "pk", "part_id", "part__item", "part__name", "part__material", "metal", "part__mass_kg"
    )
    lines = []
    for pk, part, item, name, material, metal, typed_kg in rows:
        n = reached.get(pk, {})
        decided, poured = n.get(PieceEntry.Kind.DECIDED, 0), n.get("poured", 0)
        if decided <= poured:
            continue
        fitted = n.get(PieceEntry.Kind.FITTED, 0)
        stage = stage_summary(ROUTES["cast"], decided - fitted, fitted, n)
        kg, told = masses.of(part, metal or material, typed_kg)
        lines.append(
            CastLine(pk, part, item, name, metal or material, stage, kg, told, decided, poured)
        )
    return lines


def _told(engine: Engine):
    """(job, kind, stage, pieces) of every job to be cast, added up. One query."""
    entries = PieceEntry.objects.filter(engine=engine, job__route="cast").order_by()
    return entries.values_list("job_id", "kind", "stage").annotate(n=Sum("pieces"))


def planned_pieces(engine: Engine) -> dict[int, int]:
    """How many castings of each job stand in pours that have not happened. One query."""
    rows = PourCasting.objects.filter(engine=engine, pour__poured_on__isnull=True)
    return dict(rows.order_by().values_list("job").annotate(n=Sum("pieces")))


class _Usual:
    """The metal to charge for a kilogram of casting, calculated once for each metal."""

    def __init__(self):
        self.known: dict[str, Calculation | str] = {}

    def of(self, metal: str) -> Calculation | str:
        """The calculation for 1 kg, or the sentence that says why there is none."""
        if metal not in self.known:
            try:
                self.known[metal] = pouring.pour(1.0, metal)
            except EngineeringError as error:
                self.known[metal] = str(error)
        return self.known[metal]


def _waiting(line: CastLine, pieces: int, planned: int, usual: _Usual, stock: Stock) -> Waiting:
    if line.mass_kg is None:
        words = "Its mass is not known: weigh the old one, or write down its shapes and sizes."
        return Waiting(line, pieces, planned, None, None, words)
    one = usual.of(line.metal)
    if isinstance(one, str):
        return Waiting(line, pieces, planned, None, None, one)
    cast_kg = line.mass_kg + stock.kg
    poured, charge = (cast_kg * float(kg) for kg in (one.parts[1].value, one.value))
    return Waiting(line, pieces, planned, poured, charge, short=stock.short)
