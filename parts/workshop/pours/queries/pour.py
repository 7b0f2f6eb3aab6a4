"""One pour: what is poured, the charge from the store, heat, fuel and time, and what came of it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from parts.engineering.calculation import Calculation, Caution, Origin
from parts.engineering.casting import charge as charges
from parts.engineering.casting import foundry_day, heats, melting, pouring
from parts.engineering.casting.lots import element_word
from parts.engineering.constants import KG_PER_LB
from parts.engineering.errors import EngineeringError
from parts.engineering.materials import properties
from parts.engineering.measures import show
from parts.engineering.sentences import amount, joined, sentence
from parts.engineering.showing import decimal
from parts.record.models import Material
from parts.workshop.jobs.queries.jobs import Masses, measured_masses
from parts.workshop.metal.models import MetalMove
from parts.workshop.metal.queries import LotLine, Store, metal_store
from parts.workshop.patterns.queries.faces import stocks
from parts.workshop.shapes.queries.shapes import volumes

from ..models import Pour, PourCasting
from .iron import iron_castings, judged, suited
from .plan import family_of, limit_of, metal_word

# How far inside its limits the cheapest charge is kept, in per cent of the width between them:
# the lots are not known to the last tenth. Where that cannot be met, the limits themselves hold.
MARGIN = 20.0
NOUGHT = 1e-6  # kg: what rounding of written masses leaves behind
FURNACE = {"propane": "gas_small", "coke": "coke_pit", "charcoal": "coke_pit"}
OTHER_METAL = Caution(
    "This crucible is used for another metal too: take one that is not.",
    "What it has soaked up spoils the melt. Common practice: a crucible for each kind of metal.",
)
NEVER = {"cast_iron", "steel", "wrought_iron", "aluminium"}


@dataclass(frozen=True)
class Weigh:
    """What to weigh out of a lot, or what was. [kg]"""

    lot: LotLine
    kg: float
    written: str = ""

    def text(self, unit: str) -> str:
        """As it is written into a form: as it was written, else to a thousandth of `unit`.

        Never more than it is, but for a milligram: what was booked in as 90 lb is 90 lb again.
        """
        if self.written:
            return self.written
        thousandths = self.kg / (float(KG_PER_LB) if unit == "lb" else 1.0) * 1000
        whole = math.floor(thousandths + NOUGHT * 1000)
        return f"{decimal(Fraction(whole, 1000), 3, 0)} {unit}"


@dataclass(frozen=True)
class ChargeSheet:
    """The charge of a pour.

    Args:
        stands: "proposed", "set aside" or "used".
        weighs: What of which lot, in the order to charge it.
        cost, melt: Calculations; None where the metal has no limits to blend by.
        analysis: The share of each element in the melt, within its limits or not.
        trouble: What cannot be met and what to add, in a sentence.
        said: What is not judged.
    """

    stands: str
    weighs: tuple[Weigh, ...]
    cost: Calculation | None
    melt: Calculation | None
    analysis: tuple[Calculation, ...]
    trouble: str
    said: str
    cautions: tuple[Caution, ...]

    @property
    def kg(self) -> float:
        return sum(w.kg for w in self.weighs)


@dataclass(frozen=True)
class PourSheet:
    """A pour with all that is reckoned of it. A figure that cannot be said is a sentence.

    `short` says, before it is poured, why the metal is not known to be enough.
    """

    pour: Pour
    metal: str
    metal_word: str
    castings: list[PourCasting]
    pieces: int
    poured_kg: float
    to_charge: Calculation | None
    limit: Calculation | None
    charge: ChargeSheet
    temperature: Calculation | None
    heat: Calculation | None
    fuel: Calculation | None
    time: Calculation | None
    troubles: list[str]
    short: list[str]
    cautions: tuple[Caution, ...]
    back: list[MetalMove]
    returned_kg: float
    day: tuple[foundry_day.Checks, ...] = foundry_day.DAY

    @property
    def calculations(self) -> list[Calculation]:
        told = (self.to_charge, self.limit, self.temperature, self.heat, self.fuel, self.time)
        return [w for w in told if w is not None]

    @property
    def pour_at(self) -> str:
        """From which temperature to which, in the units of the engine."""
        if self.temperature is None:
            return ""
        units = self.pour.engine.units
        low, high = (
            " ".join(show(value, "degC", units))
            for value in (self.temperature.low, self.temperature.high)
        )
        return f"{low} for heavy castings to {high} for thin ones"

    @property
    def good(self) -> int:
        return sum(c.good or 0 for c in self.castings)

    @property
    def gone_kg(self) -> float:
        """Charged, and not come back: castings, dross and fume. [kg]"""
        return self.charge.kg - self.returned_kg


def pour_sheet(pour: Pour, store: Store | None = None) -> PourSheet:
    """All there is to say of a pour, its crucible and engine being read.

    Six queries; six more before it is poured.
    """
    store = store or metal_store(pour.engine)
    castings = list(
        PourCasting.objects.filter(pour=pour).select_related("job__part", "job__engine")
    )
    moves = list(MetalMove.objects.filter(pour=pour).order_by("pk"))
    troubles: list[str] = []

    def told(rule, *args, **more) -> Calculation | None:
        try:
            return rule(*args, **more)
        except EngineeringError as error:
            if str(error) not in troubles:
                troubles.append(str(error))
            return None

    metal = _metal(pour.metal)
    poured_kg = sum(c.pieces * c.poured_kg for c in castings)
    to_charge = told(melting.charge_for, poured_kg, metal)
    limit = told(limit_of, pour.crucible, metal, to_charge.value) if to_charge else None
    charge = _charge(pour, metal, to_charge, limit, moves, store, castings)
    heat = told(melting_heat, metal, charge.kg or (to_charge.value if to_charge else 0.0), pour)
    furnace = FURNACE.get(pour.fuel, "gas_small")
    fuel = told(heats.fuel_needed, heat, pour.fuel, furnace=furnace) if heat else None
    time = None
    if heat and pour.burner_kw:
        time = told(heats.time_at_burner, heat, pour.burner_kw, furnace=furnace)
    cautions = (*charge.cautions, *melting.melt_cautions(metal))
    if fuel:
        cautions += (heats.BURNER,)
    if _held_another(pour):
        cautions = (OTHER_METAL, *cautions)
    back = [move for move in moves if move.kg > 0 and not move.planned]
    return PourSheet(
        pour,
        metal,
        metal_word(pour.metal),
        castings,
        sum(c.pieces for c in castings),
        poured_kg,
        to_charge,
        limit,
        charge,
        told(melting.pouring_temperature, metal),
        heat,
        fuel,
        time,
        troubles,
        [] if pour.poured_on else _short(castings, metal, charge, to_charge),
        tuple(dict.fromkeys(cautions)),
        back,
        sum(move.kg for move in back),
    )


def _short(castings: list[PourCasting], metal: str, charge: ChargeSheet, to_charge) -> list[str]:
    """Why the metal of a pour is not known to be enough, in sentences. Six queries."""
    if not castings:
        return []
    engine, parts = castings[0].engine_id, {c.job.part_id: c.job.part for c in castings}
    masses = Masses(measured_masses(engine, None), volumes(engine, set(parts)))
    stock = stocks(dict.fromkeys(parts, metal))
    found = []
    for casting in castings:
        part = casting.job.part
        off = stock[part.pk]
        finished, _ = masses.of(part.pk, metal, part.mass_kg)
        cast = (finished or 0.0) + off.kg
        usual = _usual_pour(cast, metal)
        if casting.poured_kg < cast:
            found.append(
                f"{part}: {amount(casting.poured_kg, 'kg')} poured for one is less than the "
                f"casting itself, {amount(cast, 'kg')}."
            )
        elif off.short and casting.poured_kg <= usual * 1.001:
            found.append(joined((f"{part}:", off.short, "Add it to the poured mass.")))
    if charge.stands == "set aside" and to_charge and charge.kg < to_charge.value * 0.999:
        found.append(
            f"{amount(charge.kg, 'kg')} are set aside and {amount(float(to_charge.value), 'kg')} "
            "are wanted."
        )
    return [sentence(words) for words in found]


def _usual_pour(cast_kg: float, metal: str) -> float:
    """Metal poured for a casting by the usual yield [kg]; without a yield no mass is enough."""
    try:
        return float(pouring.pour(cast_kg, metal).parts[1].value)
    except EngineeringError:
        return math.inf


def _held_another(pour: Pour) -> bool:
    """Another pour from the same crucible is of another kind of metal. One query."""
    others = Pour.objects.filter(crucible=pour.crucible_id).exclude(pk=pour.pk).order_by()
    metals = others.values_list("metal", flat=True).distinct()
    return any(family_of(metal) != family_of(pour.metal) for metal in metals)


def melting_heat(metal: str, kg: float, pour: Pour) -> Calculation:
    """The heat, to the temperature that was read where it is known."""
    heat = heats.melting_heat(metal, kg, pour_c=pour.temperature_c)
    told = {"m": (Origin.CALCULATED, "what is charged")}
    if pour.temperature_c is not None:
        told["Tp"] = (Origin.MEASURED, "as it was read")
    return heat.with_origins(told)


def _metal(key: str) -> str:
    try:
        return properties.alloy(key).metal
    except EngineeringError:
        pass
    try:
        return properties.metal(key).key
    except EngineeringError:
        return key


def _charge(pour, metal, to_charge, limit, moves, store, castings) -> ChargeSheet:
    wanted = iron_castings(castings) if material_of(pour.metal) == Material.CAST_IRON else []
    out = [m for m in moves if m.kg < 0 and m.planned == (pour.poured_on is None)]
    weighs = [Weigh(lot, -m.kg, m.written) for m in out if (lot := store.lot(m.lot_id))]
    if weighs:
        found = _analysed("used" if pour.poured_on else "set aside", pour.metal, weighs, metal)
    elif to_charge is None:
        return _bare("proposed", (), "")
    elif wanted:
        return _proposed_iron(pour.metal, metal, float(to_charge.value), store, wanted)
    else:
        most = float(limit.value) if limit else None
        return proposed_charge(pour.metal, metal, float(to_charge.value), store, most)
    return _judged_iron(found, wanted) if wanted else found


def _proposed_iron(wanted: str, metal: str, kg: float, store: Store, castings) -> ChargeSheet:
    """Iron that suits the castings, the least dear first; why not, where none in the store does."""
    lots = usable(store, wanted)
    good = suited(lots, castings)
    if lots and not good:
        sheet = _judged_iron(_bare("proposed", [Weigh(lot, kg) for lot in lots]), castings)
        names = ", ".join(dict.fromkeys(one.name for one in castings))
        words = f"No iron in the store suits {names}. {sheet.trouble}".strip()
        return _bare("proposed", (), words, metal=metal)
    if not good:
        return proposed_charge(wanted, metal, kg, store, None)
    return _judged_iron(_by_value(wanted, metal, kg, good), castings)


def _judged_iron(sheet: ChargeSheet, castings) -> ChargeSheet:
    calculations, against = judged(sheet.weighs, castings)
    trouble = " ".join(filter(None, [sheet.trouble, against]))
    return replace(sheet, analysis=calculations, trouble=trouble, said="")


def _bare(stands: str, weighs, trouble: str = "", said: str = "", metal: str = "") -> ChargeSheet:
    cautions = melting.melt_cautions(metal) if metal else ()
    return ChargeSheet(stands, tuple(weighs), None, None, (), trouble, said, cautions)


def usable(store: Store, wanted: str) -> list[LotLine]:
    """Lots that may go into a charge of an alloy, metal or material: with something free."""
    try:
        limits = properties.alloy(wanted).limits
    except EngineeringError:
        material = material_of(wanted)
        return [lot for lot in store.lots if lot.material == material and lot.free_kg > 1e-6]
    keep_out = NEVER - ({"aluminium"} if limits.get("Al", (0, 0))[0] > 0 else set())
    return [
        lot
        for lot in store.lots
        if lot.metal and lot.free_kg > 1e-6 and lot.material not in keep_out
    ]


def proposed_charge(
    wanted: str, metal: str, kg: float, store: Store, most_kg: float | None
) -> ChargeSheet:
    """The cheapest charge from what is free in the store; what to add, where none will do."""
    lots = usable(store, wanted)
    if not lots:
        words = f"The store holds nothing for {metal_word(wanted)}: {amount(kg, 'kg')} are wanted."
        return _bare("proposed", (), sentence(words), metal=metal)
    if not _has_limits(wanted):
        return _by_value(wanted, metal, kg, lots)
    by_metal = {id(lot.metal): lot for lot in lots}
    given = [lot.metal for lot in lots]
    for margin in (MARGIN, 0.0):
        try:
            found = charges.charge(wanted, given, kg, crucible_kg=most_kg, margin_percent=margin)
        except charges.ChargeInfeasible as error:
            trouble = str(error)
        except EngineeringError as error:
            return _bare("proposed", (), str(error), metal=metal)
        else:
            weighs = [Weigh(by_metal[id(line.lot)], line.kg) for line in found.lines]
            return _sheet("proposed", weighs, found)
    return _bare("proposed", (), trouble, metal=metal)


def _has_limits(wanted: str) -> bool:
    return any(one.key == wanted for one in properties.alloys())


def _sheet(stands: str, weighs: Sequence[Weigh], found: charges.Charge) -> ChargeSheet:
    said = ""
    if found.unjudged:
        listed = ", ".join(f"{element_word(e)} {p:.2g} %" for e, p in found.unjudged.items())
        said = f"Not judged, for the alloy sets no limit: {listed}."
    return ChargeSheet(
        stands, tuple(weighs), found.cost, found.melt, found.analysis, "", said, found.cautions
    )


def _by_value(wanted: str, metal: str, kg: float, lots: Sequence[LotLine]) -> ChargeSheet:
    """Lots of the metal itself, the least dear first, until the charge is full."""
    weighs, left = [], kg
    for lot in sorted(lots, key=lambda lot: (lot.value_per_kg, lot.pk)):
        take = min(left, lot.free_kg)
        if take > 1e-6:
            weighs.append(Weigh(lot, take))
            left -= take
    trouble = ""
    if left > 1e-6:
        held = amount(kg - left, "kg")
        trouble = sentence(f"The lots hold {held} in all and {amount(kg, 'kg')} are wanted.")
    return _bare("proposed", weighs, trouble, _unjudged(wanted), metal)


def _unjudged(wanted: str) -> str:
    return (
        f"No table here limits what may be in {metal_word(wanted)}: the lots are taken by their "
        "value, and what is in the melt is not judged."
    )


def _analysed(stands: str, wanted: str, weighs: list[Weigh], metal: str) -> ChargeSheet:
    """A charge that is settled: what it makes, judged by the limits of the alloy."""
    if not _has_limits(wanted):
        return _bare(stands, weighs, "", _unjudged(wanted), metal)
    unknown = [w.lot.name for w in weighs if w.lot.metal is None]
    if unknown:
        words = f"Nobody has said what is in {' and '.join(unknown)}: the melt cannot be judged."
        return _bare(stands, weighs, words, metal=metal)
    exact = [replace(w.lot.metal, on_hand_kg=w.kg) for w in weighs]
    try:
        found = charges.charge(wanted, exact, sum(w.kg for w in weighs))
    except EngineeringError as error:
        return _bare(stands, weighs, str(error), metal=metal)
    return _sheet(stands, weighs, found)


def expected_back_kg(sheet: PourSheet) -> float | None:
    """Gates, risers and what is over that should come back, all castings being good. [kg]

    What is left to pour less the castings themselves, by the usual yield. None when not known.
    """
    try:
        share = properties.figure(sheet.metal, "yield").value
        loss = properties.figure(sheet.metal, "loss").value
    except EngineeringError:
        return None
    melt = float(sheet.charge.melt.value) if sheet.charge.melt else sheet.charge.kg * (1 - loss)
    return max(0.0, melt - share * sheet.poured_kg)


def material_of(wanted: str) -> str:
    """The material of the record that an alloy, metal or material belongs to."""
    kind = _metal(wanted)
    return next((m.material for m in properties.metals() if m.key == kind), Material.NOT_KNOWN)
