"""The pour plan: castings waiting for the same metal, gathered for the crucibles that are owned."""

from contextlib import suppress
from dataclasses import dataclass, replace

from django.db.models import F, Q, Sum

from parts.engineering.calculation import Calculation, Caution
from parts.engineering.casting import melting, pouring
from parts.engineering.errors import EngineeringError, Infeasible
from parts.engineering.materials import properties
from parts.record.models import Engine, Material
from parts.workshop.metal.models import Crucible

from ..models import Pour
from .castings import Waiting, waiting_castings

# Up to so many kinds of casting of one metal the fewest pours are sought; over it, and after so
# long, the castings are put together largest first. The page must answer at once.
SOUGHT, SECONDS = 80, 0.15
SHOWN = 10  # pours of each metal, where all metals stand together
TOLD = 40  # castings that a calculation lists by name


@dataclass(frozen=True)
class Proposed:
    """Castings proposed for one heat.

    Args:
        castings: Each with how many of it.
        crucible: The smallest that carries it.
        charge_kg: Cold metal, melting loss included.
        limit_kg: What that crucible may carry of this metal.
    """

    number: int
    castings: tuple[tuple[Waiting, int], ...]
    crucible: Crucible
    charge_kg: float
    limit_kg: float

    @property
    def take(self) -> str:
        """The castings as an address names them: "12x2,15x1"."""
        return ",".join(f"{waiting.job_id}x{n}" for waiting, n in self.castings)

    @property
    def pieces(self) -> int:
        return sum(n for _, n in self.castings)


@dataclass(frozen=True)
class MetalPlan:
    """The castings of one material, and the pours proposed for them.

    Args:
        metal: The metal that its figures are of; "" when no table knows it.
        limit: What the largest crucible may carry of it.
        each: What a kilogram of casting takes.
        calculation: The number of pours, with its bound.
        trouble: Why nothing is proposed, in a sentence.
    """

    material: str
    metal: str
    waiting: tuple[Waiting, ...]
    proposed: tuple[Proposed, ...]
    limit: Calculation | None
    each: Calculation | None
    calculation: Calculation | None
    trouble: str
    cautions: tuple[Caution, ...]

    @property
    def word(self) -> str:
        return Material(self.material).label

    @property
    def pieces(self) -> int:
        return sum(w.pieces for w in self.waiting)

    @property
    def planned(self) -> int:
        return sum(w.planned for w in self.waiting)

    @property
    def unknown(self) -> list[Waiting]:
        return [w for w in self.waiting if w.pieces and w.why_not]

    @property
    def too_big(self) -> list[Waiting]:
        return [w for w in self.waiting if w.pieces and w.too_big]

    @property
    def charge_kg(self) -> float:
        return sum(p.charge_kg for p in self.proposed)

    @property
    def first(self) -> tuple[Proposed, ...]:
        return self.proposed[:SHOWN]

    @property
    def more(self) -> int:
        """What stands only on the page of this metal alone."""
        return sum(max(0, len(of) - SHOWN) for of in (self.proposed, self.unknown, self.too_big))


@dataclass(frozen=True)
class PourPlan:
    """What waits to be poured, by metal, and the crucibles there are."""

    metals: tuple[MetalPlan, ...]
    crucibles: tuple[Crucible, ...]

    @property
    def pieces(self) -> int:
        return sum(m.pieces for m in self.metals)

    @property
    def pours(self) -> int:
        return sum(len(m.proposed) for m in self.metals)

    @property
    def caution(self) -> Caution | None:
        """What stands beside the figures of any melt."""
        return next((m.cautions[0] for m in self.metals if m.cautions), None)

    @property
    def good(self) -> list[Crucible]:
        return [pot for pot in self.crucibles if pot.good]


def pour_plan(engine: Engine, *, ready: bool = False, material: str = "") -> PourPlan:
    """Gather what waits to be poured into pours. The same few queries however much waits.

    Args:
        ready: Only castings whose pattern is made or whose mould stands.
        material: Only castings of this material.
    """
    crucibles = tuple(Crucible.objects.filter(engine=engine))
    used = metals_of_crucibles(engine)
    of_metal: dict[str, list[Waiting]] = {}
    for waiting in waiting_castings(engine):
        if (waiting.ready or not ready) and material in ("", waiting.line.metal):
            of_metal.setdefault(waiting.line.metal, []).append(waiting)
    seconds = SECONDS / max(1, len(of_metal))
    metals = (
        _metal_plan(key, of_metal[key], _kept_to(key, crucibles, used), seconds)
        for key in Material.values
        if key in of_metal
    )
    return PourPlan(tuple(metals), crucibles)


def metals_of_crucibles(engine: Engine) -> dict[int, set[str]]:
    """Which kinds of metal each crucible was or will be used for. One query."""
    used: dict[int, set[str]] = {}
    rows = Pour.objects.filter(engine=engine).order_by().values_list("crucible_id", "metal")
    for crucible, metal in rows.distinct():
        used.setdefault(crucible, set()).add(family_of(metal))
    return used


def family_of(key: str) -> str:
    """The kind of metal that a crucible keeps to: brass, bronze and copper are one."""
    with suppress(EngineeringError):
        key = properties.alloy(key).metal
    try:
        material = properties.metal(key).material
    except EngineeringError:
        return key
    return "copper" if material in ("brass", "bronze") else material


def limit_of(pot: Crucible, metal: str, charge_kg: float | None = None) -> Calculation:
    """What a crucible may carry of a metal. Raises EngineeringError."""
    return melting.crucible_limit(pot.carries_kg, metal, brim_l=pot.brim_l, charge_kg=charge_kg)


def _kept_to(material: str, crucibles, used: dict[int, set[str]]) -> list[Crucible]:
    """The crucibles fit for use that held no other kind of metal: it would spoil this one."""
    family = family_of(material)
    return [pot for pot in crucibles if pot.good and used.get(pot.pk, {family}) == {family}]


def _metal_plan(material: str, waiting: list[Waiting], crucibles, seconds: float) -> MetalPlan:
    cautions = melting.melt_cautions(material)

    def without(trouble: str, metal: str = "", limit=None) -> MetalPlan:
        return MetalPlan(material, metal, tuple(waiting), (), limit, None, None, trouble, cautions)

    try:
        metal = properties.metal(material).key
        known = [(limit_of(pot, metal), pot) for pot in crucibles]
    except EngineeringError as error:
        return without(str(error))
    limits = sorted(known, key=lambda one: one[0].value)
    if not limits:
        return without(
            "No crucible is written down that is fit for use and has held no other metal.", metal
        )
    limit = limits[-1][0]
    waiting = [_fits(w, float(limit.value)) for w in waiting]
    wanted = [w for w in waiting if w.pieces and w.charge_kg and not w.too_big]
    if not wanted:
        return without("", metal, limit)
    castings = [melting.Casting(str(w.job_id), float(w.charge_kg), w.pieces, metal) for w in wanted]
    try:
        plan = melting.fewest_pours(
            castings, float(limit.value), seconds=seconds if len(castings) <= SOUGHT else 0.0
        )
    except EngineeringError as error:
        return without(str(error), metal, limit)
    by_key = {str(w.job_id): w for w in wanted}
    proposed = tuple(
        _proposed(number, pour, by_key, limits) for number, pour in enumerate(plan.pours, 1)
    )
    calculation, each = _named(plan.calculation, by_key), pouring.pour(1.0, material)
    return MetalPlan(
        material,
        metal,
        tuple(waiting),
        proposed,
        limit,
        each,
        calculation,
        "",
        calculation.cautions,
    )


def _fits(waiting: Waiting, limit_kg: float) -> Waiting:
    """The same, with the sentence that says that no crucible carries it, if none does."""
    if waiting.charge_kg is None or waiting.charge_kg <= limit_kg:
        return waiting
    one = melting.Casting(
        f"{waiting.line.item} {waiting.line.name}", float(waiting.charge_kg), 1, waiting.line.metal
    )
    try:
        melting.fewest_pours([one], limit_kg)
    except Infeasible as error:
        return replace(waiting, too_big=str(error))
    return waiting


def _proposed(number: int, pour: melting.Pour, by_key, limits) -> Proposed:
    limit, pot = next(one for one in limits if pour.mass_kg <= one[0].value + 1e-9)
    castings = tuple((by_key[key], n) for key, n in pour.castings)
    return Proposed(number, castings, pot, pour.mass_kg, float(limit.value))


def _named(calculation: Calculation, by_key) -> Calculation:
    """The calculation of the plan, its castings called by their item numbers and names."""
    inputs = []
    for given in calculation.inputs[: TOLD + 1]:
        key = given.name.split(",")[0]
        if key in by_key:
            line = by_key[key].line
            name = given.name.replace(key, f"{line.item} {line.name}", 1)
            given = replace(given, name=name, source="to charge for one, melting loss included")
        inputs.append(given)
    limits, left = calculation.limits, len(calculation.inputs) - len(inputs)
    if left > 0:
        limits += f" {left} more kinds of casting are reckoned in the same way and not listed here."
    return replace(
        calculation, inputs=tuple(inputs), figures=_short(calculation.figures), limits=limits
    )


def _short(figures: str) -> str:
    """A sum of many pours: its beginning and its end."""
    terms = figures.split(" + ")
    if len(terms) <= TOLD:
        return figures
    return " + ".join([*terms[:3], "…", terms[-1]])


@dataclass(frozen=True)
class PourLine:
    """A pour in the list: what was planned or came of it."""

    pour: Pour
    pieces: int
    good: int
    poured_kg: float
    metal_word: str

    @property
    def wasters(self) -> int:
        return self.pieces - self.good


def pours_of(engine: Engine) -> list[PourLine]:
    """All pours, those still to come first, then the newest. One query."""
    kept = Q(castings__removed_at__isnull=True)
    rows = (
        Pour.objects.filter(engine=engine)
        .select_related("crucible")
        .annotate(
            pieces=Sum("castings__pieces", filter=kept, default=0),
            good=Sum("castings__good", filter=kept, default=0),
            kg=Sum(F("castings__pieces") * F("castings__poured_kg"), filter=kept, default=0.0),
        )
        .order_by(F("poured_on").desc(nulls_first=True), "-number")
    )
    return [PourLine(r, r.pieces, r.good, r.kg, metal_word(r.metal)) for r in rows]


def metal_word(key: str) -> str:
    """What an alloy, metal or material is called."""
    try:
        alloy = properties.alloy(key)
        return f"{alloy.name}, {alloy.key}"
    except EngineeringError:
        pass
    try:
        return properties.metal(key).name
    except EngineeringError:
        return key


def metal_choices(material: str) -> list[tuple[str, str]]:
    """What castings of a material may be poured of: alloys with limits first, then metals."""
    try:
        usual = properties.metal(material).key
        alloys = sorted(properties.alloys(material), key=lambda one: one.metal != usual)
        kinds = sorted(properties.metals(material), key=lambda one: one.key != usual)
    except EngineeringError:
        return []
    return [(one.key, f"{one.name.capitalize()}, {one.key}") for one in alloys] + [
        (one.key, f"{one.name.capitalize()}, whatever is in it") for one in kinds
    ]
