"""The pour plan: waiting castings of the same metal, grouped into pours by crucible."""

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

# The fewest pours are searched for up to so many kinds of casting of one metal, and for so long;
# beyond that the castings are packed largest first, so that the page answers at once.
SOLVER_CASTINGS, SOLVER_SECONDS = 80, 0.15
SHOWN = 10  # pours of each metal, where all metals are on one page
LISTED = 40  # castings that a calculation lists by name


@dataclass(frozen=True)
class ProposedPour:
    """Castings proposed for one heat.

    Args:
        castings: Each with its number of pieces.
        crucible: The smallest that carries them.
        charge_kg: Cold metal, melting loss included.
        limit_kg: The most of this metal that the crucible may carry.
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
        metal: The metal of the tables; "" when they have none.
        limit: The most that the largest crucible may carry of it.
        each: The metal to charge for a kilogram of casting.
        calculation: The number of pours, with its bound.
        trouble: The reason why nothing is proposed.
    """

    material: str
    metal: str
    waiting: tuple[Waiting, ...]
    proposed: tuple[ProposedPour, ...]
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
    def first(self) -> tuple[ProposedPour, ...]:
        return self.proposed[:SHOWN]

    @property
    def more(self) -> int:
        """The number of rows shown only on the page of this metal."""
        return sum(max(0, len(of) - SHOWN) for of in (self.proposed, self.unknown, self.too_big))


@dataclass(frozen=True)
class PourPlan:
    """The waiting castings by metal, with the proposed pours, and the crucibles."""

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
        """The caution for any melt."""
        return next((m.cautions[0] for m in self.metals if m.cautions), None)

    @property
    def good(self) -> list[Crucible]:
        return [pot for pot in self.crucibles if pot.good]


def pour_plan(engine: Engine, *, ready: bool = False, material: str = "") -> PourPlan:
    """Group waiting castings into pours. A fixed number of queries.

    Args:
        ready: Only castings whose pattern or mould is made.
        material: Only castings of this material.
    """
    crucibles = tuple(Crucible.objects.filter(engine=engine))
    metals_by_crucible = metals_of_crucibles(engine)
    by_metal: dict[str, list[Waiting]] = {}
    for waiting in waiting_castings(engine):
        if (waiting.ready or not ready) and material in ("", waiting.line.metal):
            by_metal.setdefault(waiting.line.metal, []).append(waiting)
    seconds = SOLVER_SECONDS / max(1, len(by_metal))
    metals = (
        _metal_plan(key, by_metal[key], _crucibles_for(key, crucibles, metals_by_crucible), seconds)
        for key in Material.values
        if key in by_metal
    )
    return PourPlan(tuple(metals), crucibles)


def metals_of_crucibles(engine: Engine) -> dict[int, set[str]]:
    """Return the kinds of metal each crucible was or will be used for. One query."""
    metals: dict[int, set[str]] = {}
    rows = Pour.objects.filter(engine=engine).order_by().values_list("crucible_id", "metal")
    for crucible, metal in rows.distinct():
        metals.setdefault(crucible, set()).add(family_of(metal))
    return metals


def family_of(key: str) -> str:
    """Return the kind of metal that a crucible is kept for: brass, bronze and copper are one."""
    with suppress(EngineeringError):
        key = properties.alloy(key).metal
    try:
        material = properties.metal(key).material
    except EngineeringError:
        return key
    return "copper" if material in ("brass", "bronze") else material


def limit_of(pot: Crucible, metal: str, charge_kg: float | None = None) -> Calculation:
    """Return the most of a metal that a crucible may carry. Raises EngineeringError."""
    return melting.crucible_limit(pot.carries_kg, metal, brim_l=pot.brim_l, charge_kg=charge_kg)


def _crucibles_for(
    material: str, crucibles, metals_by_crucible: dict[int, set[str]]
) -> list[Crucible]:
    """Return the crucibles fit for use that held no other kind of metal: it spoils the melt."""
    family = family_of(material)
    return [
        pot
        for pot in crucibles
        if pot.good and metals_by_crucible.get(pot.pk, {family}) == {family}
    ]


def _metal_plan(material: str, waiting: list[Waiting], crucibles, seconds: float) -> MetalPlan:
    cautions = melting.melt_cautions(material)

    def without(trouble: str, metal: str = "", limit=None) -> MetalPlan:
        return MetalPlan(material, metal, tuple(waiting), (), limit, None, None, trouble, cautions)

    try:
        metal = properties.metal(material).key
        limits_and_pots = [(limit_of(pot, metal), pot) for pot in crucibles]
    except EngineeringError as error:
        return without(str(error))
    limits = sorted(limits_and_pots, key=lambda one: one[0].value)
    if not limits:
        return without(
            "No crucible is entered that is fit for use and has held no other metal.", metal
        )
    limit = limits[-1][0]
    waiting = [_check_size(w, float(limit.value)) for w in waiting]
    to_pour = [w for w in waiting if w.pieces and w.charge_kg and not w.too_big]
    if not to_pour:
        return without("", metal, limit)
    castings = [
        melting.Casting(str(w.job_id), float(w.charge_kg), w.pieces, metal) for w in to_pour
    ]
    try:
        plan = melting.fewest_pours(
            castings,
            float(limit.value),
            seconds=seconds if len(castings) <= SOLVER_CASTINGS else 0.0,
        )
    except EngineeringError as error:
        return without(str(error), metal, limit)
    by_key = {str(w.job_id): w for w in to_pour}
    proposed = tuple(
        _proposed(number, pour, by_key, limits) for number, pour in enumerate(plan.pours, 1)
    )
    calculation, each = _with_item_names(plan.calculation, by_key), pouring.pour(1.0, material)
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


def _check_size(waiting: Waiting, limit_kg: float) -> Waiting:
    """Return `waiting`, with `too_big` set if no crucible carries it."""
    if waiting.charge_kg is None or waiting.charge_kg <= limit_kg:
        return waiting
    casting = melting.Casting(
        f"{waiting.line.item} {waiting.line.name}", float(waiting.charge_kg), 1, waiting.line.metal
    )
    try:
        melting.fewest_pours([casting], limit_kg)
    except Infeasible as error:
        return replace(waiting, too_big=str(error))
    return waiting


def _proposed(number: int, pour: melting.Pour, by_key, limits) -> ProposedPour:
    limit, pot = next(one for one in limits if pour.mass_kg <= one[0].value + 1e-9)
    castings = tuple((by_key[key], n) for key, n in pour.castings)
    return ProposedPour(number, castings, pot, pour.mass_kg, float(limit.value))


def _with_item_names(calculation: Calculation, by_key) -> Calculation:
    """Return the calculation of the plan with item numbers and names in place of keys."""
    inputs = []
    for item in calculation.inputs[: LISTED + 1]:
        key = item.name.split(",")[0]
        if key in by_key:
            line = by_key[key].line
            name = item.name.replace(key, f"{line.item} {line.name}", 1)
            item = replace(item, name=name, source="to charge for one, melting loss included")
        inputs.append(item)
    limits, omitted = calculation.limits, len(calculation.inputs) - len(inputs)
    if omitted > 0:
        limits += (
            f" {omitted} more kinds of casting are calculated in the same way and not listed here."
        )
    return replace(
        calculation, inputs=tuple(inputs), figures=_short(calculation.figures), limits=limits
    )


def _short(figures: str) -> str:
    """Shorten a sum of many terms to its beginning and its end."""
    terms = figures.split(" + ")
    if len(terms) <= LISTED:
        return figures
    return " + ".join([*terms[:3], "…", terms[-1]])


@dataclass(frozen=True)
class PourLine:
    """A pour in the list, planned or done."""

    pour: Pour
    pieces: int
    good: int
    poured_kg: float
    metal_word: str

    @property
    def wasters(self) -> int:
        return self.pieces - self.good


def pours_of(engine: Engine) -> list[PourLine]:
    """Return all pours, planned ones first, then the newest. One query."""
    not_removed = Q(castings__removed_at__isnull=True)
    rows = (
        Pour.objects.filter(engine=engine)
        .select_related("crucible")
        .annotate(
            pieces=Sum("castings__pieces", filter=not_removed, default=0),
            good=Sum("castings__good", filter=not_removed, default=0),
            kg=Sum(
                F("castings__pieces") * F("castings__poured_kg"), filter=not_removed, default=0.0
            ),
        )
        .order_by(F("poured_on").desc(nulls_first=True), "-number")
    )
    return [PourLine(r, r.pieces, r.good, r.kg, metal_word(r.metal)) for r in rows]


def metal_word(key: str) -> str:
    """Return the name of an alloy, metal or material."""
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
    """Return the choices of alloy or metal for castings of a material, alloys first."""
    try:
        usual = properties.metal(material).key
        alloys = sorted(properties.alloys(material), key=lambda item: item.metal != usual)
        kinds = sorted(properties.metals(material), key=lambda item: item.key != usual)
    except EngineeringError:
        return []
    return [(item.key, f"{item.name.capitalize()}, {item.key}") for item in alloys] + [
        (item.key, f"{item.name.capitalize()}, whatever is in it") for item in kinds
    ]
