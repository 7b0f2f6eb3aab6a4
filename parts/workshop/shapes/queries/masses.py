"""The masses of pieces, with an upper bound for lifting.

A measured mass comes before one from shapes, and that before one that was entered. For lifting, a
tenth is added to a mass from shapes and a quarter to an entered one, which is unproven.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from parts.care.models import Measurement
from parts.engineering.calculation import Calculation, Origin
from parts.engineering.errors import EngineeringError
from parts.engineering.lifting.slings import planning_mass
from parts.engineering.sentences import amount, joined, sentence
from parts.engineering.solids import masses
from parts.record.models import Engine, Part

from ..models import Body
from .shapes import bodies_of

MOST_IDS = 500  # more parts than this are queried by engine, not by id


@dataclass(frozen=True)
class PieceMass:
    """The mass of one piece.

    Args:
        kg: The likely mass. [kg]
        low, high: The least and the most it may weigh, for lifting. [kg]
        origin: Where it comes from.
        words: Its source in words.
        margin: What is added for lifting, in words.
        calculation: Its calculation, when it comes from shapes.
    """

    kg: float
    low: float
    high: float
    origin: Origin
    words: str
    margin: str = ""
    calculation: Calculation | None = None

    @property
    def all_words(self) -> str:
        """Its source and the margin, in words."""
        return joined((self.words, self.margin), "; ")


def masses_of(engine: Engine, parts: Iterable[Part]) -> dict[int, PieceMass]:
    """Return the mass of one piece of each part whose mass is known. Four queries."""
    parts = list(parts)
    filters = (
        {"part__in": [p.pk for p in parts]} if len(parts) <= MOST_IDS else {"part__isnull": False}
    )
    measured = _measured(engine, filters)
    shape_rows = _shapes(engine, filters)
    masses_by_part = {}
    for part in parts:
        mass = (
            measured.get(part.pk)
            or of_shapes(shape_rows.get(part.pk), part.material)
            or _entered(part)
        )
        if mass is not None:
            masses_by_part[part.pk] = mass
    return masses_by_part


def _measured(engine: Engine, filters: dict) -> dict[int, PieceMass]:
    """Return the newest measured mass of each part. One query."""
    rows = Measurement.objects.filter(
        engine=engine, quantity=Measurement.Quantity.MASS, what__iexact="mass", **filters
    ).order_by("day", "pk")
    masses_by_part = {}
    for row in rows:
        sure = row.plus_or_minus_value or 0.0
        words = ", ".join(filter(None, (f"weighed {row.day:%-d %b %Y}", row.instrument, row.who)))
        if row.plus_or_minus:
            words += sentence(f", right to {amount(sure, 'kg', 2)}")
        low, high = max(row.value - sure, 0.0), row.value + sure
        masses_by_part[row.part_id] = PieceMass(row.value, low, high, Origin.MEASURED, words)
    return masses_by_part


def _shapes(engine: Engine, filters: dict) -> dict[int, list[Body]]:
    rows = Body.objects.filter(engine=engine, **filters).prefetch_related("sizes__measurement")
    by_part = defaultdict(list)
    for row in rows:
        by_part[row.part_id].append(row)
    return by_part


def of_shapes(rows: list[Body] | None, material: str) -> PieceMass | None:
    """Return the mass of one piece from its shapes; None where they do not give one."""
    if not rows:
        return None
    try:
        calculation = masses.mass(bodies_of(rows), material)
        to_lift = planning_mass(calculation.value).value
    except EngineeringError:
        return None  # the page of its shapes says why
    low = calculation.value if calculation.low is None else calculation.low
    high = to_lift if calculation.high is None else max(calculation.high, to_lift)
    margin = "to lift by, a tenth is added at least"
    words = "from its shapes and sizes"
    return PieceMass(
        calculation.value, max(low, 0.0), high, Origin.CALCULATED, words, margin, calculation
    )


def _entered(part: Part) -> PieceMass | None:
    if not part.mass_kg:
        return None
    to_lift = planning_mass(part.mass_kg, guessed_walls=True).value
    words = "entered, not weighed"
    margin = "to lift by, a quarter is added"
    return PieceMass(part.mass_kg, part.mass_kg, to_lift, Origin.ENTERED, words, margin)
