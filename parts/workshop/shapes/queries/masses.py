"""What the pieces of parts weigh, for lifting and carrying: never less than they may.

Weighed comes before reckoned from shapes, and that before a figure that was entered. To lift
by, a tenth is added to what shapes give and a quarter to what was entered, which nobody proved.
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

FEW = 500  # more parts than this are asked for by their engine, not one by one


@dataclass(frozen=True)
class PieceMass:
    """The mass of one piece.

    Args:
        kg: What it is taken to weigh. [kg]
        low, high: The least and the most it may weigh, to lift by. [kg]
        origin: Where it comes from.
        words: The same in words.
        margin: What is added to lift by, in words.
        calculation: How it was reached, where it was reckoned.
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
        """Where it comes from, and what is added to lift by."""
        return joined((self.words, self.margin), "; ")


def masses_of(engine: Engine, parts: Iterable[Part]) -> dict[int, PieceMass]:
    """The mass of one piece of each part; a part of unknown mass is left out. Four queries."""
    parts = list(parts)
    few = {"part__in": [p.pk for p in parts]} if len(parts) <= FEW else {"part__isnull": False}
    weighed = _weighed(engine, few)
    shaped = _shapes(engine, few)
    found = {}
    for part in parts:
        mass = weighed.get(part.pk) or of_shapes(shaped.get(part.pk), part.material) or _typed(part)
        if mass is not None:
            found[part.pk] = mass
    return found


def _weighed(engine: Engine, which: dict) -> dict[int, PieceMass]:
    """Newest last, so that the newest stands."""
    rows = Measurement.objects.filter(
        engine=engine, quantity=Measurement.Quantity.MASS, what__iexact="mass", **which
    ).order_by("day", "pk")
    found = {}
    for row in rows:
        sure = row.plus_or_minus_value or 0.0
        said = ", ".join(filter(None, (f"weighed {row.day:%-d %b %Y}", row.instrument, row.who)))
        if row.plus_or_minus:
            said += sentence(f", right to {amount(sure, 'kg', 2)}")
        low, high = max(row.value - sure, 0.0), row.value + sure
        found[row.part_id] = PieceMass(row.value, low, high, Origin.MEASURED, said)
    return found


def _shapes(engine: Engine, which: dict) -> dict[int, list[Body]]:
    rows = Body.objects.filter(engine=engine, **which).prefetch_related("sizes__measurement")
    found = defaultdict(list)
    for row in rows:
        found[row.part_id].append(row)
    return found


def of_shapes(rows: list[Body] | None, material: str) -> PieceMass | None:
    """The mass of one piece from its shapes; None where they do not give one."""
    if not rows:
        return None
    try:
        calculation = masses.mass(bodies_of(rows), material)
        over = planning_mass(calculation.value).value
    except EngineeringError:
        return None  # the page of its shapes says why
    low = calculation.value if calculation.low is None else calculation.low
    high = over if calculation.high is None else max(calculation.high, over)
    margin = "to lift by, a tenth is added at least"
    words = "from its shapes and sizes"
    return PieceMass(
        calculation.value, max(low, 0.0), high, Origin.CALCULATED, words, margin, calculation
    )


def _typed(part: Part) -> PieceMass | None:
    if not part.mass_kg:
        return None
    over = planning_mass(part.mass_kg, guessed_walls=True).value
    words = "entered, not weighed"
    margin = "to lift by, a quarter is added"
    return PieceMass(part.mass_kg, part.mass_kg, over, Origin.ENTERED, words, margin)
