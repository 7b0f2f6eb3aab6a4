"""One pour: its castings, the charge from the store, heat, fuel and time, and its result."""

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
from .iron import iron_castings, judge_charge, suitable_lots
from .plan import family_of, limit_of, metal_word

# The margin inside its limits for the cheapest charge, in per cent of the width between them,
# since the composition of lots is not exact. If it cannot be met, the limits themselves apply.
MARGIN_PERCENT = 20.0
TOLERANCE_KG = 1e-6  # kg: what rounding of written masses leaves behind
FURNACE = {"propane": "gas_small", "coke": "coke_pit", "charcoal": "coke_pit"}
OTHER_METAL = Caution(
    "This crucible is used for another metal too: take one that is not.",
    "What it has soaked up spoils the melt. Common practice: a crucible for each kind of metal.",
)
# Materials that never go into a charge of another alloy.
KEEP_OUT = {"cast_iron", "steel", "wrought_iron", "aluminium"}


@dataclass(frozen=True)
class Weight:
    """A mass weighed out of a lot, or to be weighed out. [kg]"""

    lot: LotLine
    kg: float
    written: str = ""

    def text(self, unit: str) -> str:
        """Return the initial text of a form: as entered, else to a thousandth of `unit`.

        It is never rounded up by more than a milligram: a lot booked in as 90 lb reads 90 lb.
        """
        if self.written:
            return self.written
        thousandths = self.kg / (float(KG_PER_LB) if unit == "lb" else 1.0) * 1000
        whole = math.floor(thousandths + TOLERANCE_KG * 1000)
        return f"{decimal(Fraction(whole, 1000), 3, 0)} {unit}"


@dataclass(frozen=True)
class ChargeSheet:
    """The charge of a pour.

    Args:
        status: "proposed", "set aside" or "used".
        weights: What to take of each lot, in the order to charge it.
        cost, melt: Calculations; None where the metal has no limits to blend by.
        analysis: The share of each element in the melt, within its limits or not.
        trouble: A sentence on what cannot be met and what to add; else "".
        unjudged: A sentence on what is not judged; else "".
    """

    status: str
    weights: tuple[Weight, ...]
    cost: Calculation | None
    melt: Calculation | None
    analysis: tuple[Calculation, ...]
    trouble: str
    unjudged: str
    cautions: tuple[Caution, ...]

    @property
    def kg(self) -> float:
        return sum(w.kg for w in self.weights)


@dataclass(frozen=True)
class PourSheet:
    """A pour with all its calculations.

    Args:
        troubles: The reasons for figures that could not be calculated.
        short: Before it is poured, why the metal may not be enough: sentences.
        returns: The moves of the metal that came back.
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
    returns: list[MetalMove]
    returned_kg: float
    day: tuple[foundry_day.Checks, ...] = foundry_day.DAY

    @property
    def calculations(self) -> list[Calculation]:
        figures = (self.to_charge, self.limit, self.temperature, self.heat, self.fuel, self.time)
        return [w for w in figures if w is not None]

    @property
    def pour_at(self) -> str:
        """The range of pouring temperatures, in the units of the engine."""
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
        """Metal charged that did not come back: castings, dross and fume. [kg]"""
        return self.charge.kg - self.returned_kg


def pour_sheet(pour: Pour, store: Store | None = None) -> PourSheet:
    """Return the sheet of a pour whose crucible and engine are loaded.

    Six queries; six more before it is poured.
    """
    store = store or metal_store(pour.engine)
    castings = list(
        PourCasting.objects.filter(pour=pour).select_related("job__part", "job__engine")
    )
    moves = list(MetalMove.objects.filter(pour=pour).order_by("pk"))
    troubles: list[str] = []

    def calculate(rule, *args, **more) -> Calculation | None:
        try:
            return rule(*args, **more)
        except EngineeringError as error:
            if str(error) not in troubles:
                troubles.append(str(error))
            return None

    metal = _metal(pour.metal)
    poured_kg = sum(c.pieces * c.poured_kg for c in castings)
    to_charge = calculate(melting.charge_for, poured_kg, metal)
    limit = calculate(limit_of, pour.crucible, metal, to_charge.value) if to_charge else None
    charge = _charge(pour, metal, to_charge, limit, moves, store, castings)
    heat = calculate(
        melting_heat, metal, charge.kg or (to_charge.value if to_charge else 0.0), pour
    )
    furnace = FURNACE.get(pour.fuel, "gas_small")
    fuel = calculate(heats.fuel_needed, heat, pour.fuel, furnace=furnace) if heat else None
    time = None
    if heat and pour.burner_kw:
        time = calculate(heats.time_at_burner, heat, pour.burner_kw, furnace=furnace)
    cautions = (*charge.cautions, *melting.melt_cautions(metal))
    if fuel:
        cautions += (heats.BURNER,)
    if _other_metal_before(pour):
        cautions = (OTHER_METAL, *cautions)
    returns = [move for move in moves if move.kg > 0 and not move.planned]
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
        calculate(melting.pouring_temperature, metal),
        heat,
        fuel,
        time,
        troubles,
        [] if pour.poured_on else _short(castings, metal, charge, to_charge),
        tuple(dict.fromkeys(cautions)),
        returns,
        sum(move.kg for move in returns),
    )


def _short(castings: list[PourCasting], metal: str, charge: ChargeSheet, to_charge) -> list[str]:
    """Return sentences on why the metal of a pour may not be enough. Six queries."""
    if not castings:
        return []
    engine, parts = castings[0].engine_id, {c.job.part_id: c.job.part for c in castings}
    masses = Masses(measured_masses(engine, None), volumes(engine, set(parts)))
    stock = stocks(dict.fromkeys(parts, metal))
    sentences = []
    for casting in castings:
        part = casting.job.part
        finishing = stock[part.pk]
        finished, _ = masses.of(part.pk, metal, part.mass_kg)
        cast = (finished or 0.0) + finishing.kg
        usual_kg = _usual_pour(cast, metal)
        if casting.poured_kg < cast:
            sentences.append(
                f"{part}: {amount(casting.poured_kg, 'kg')} poured for one is less than the "
                f"casting itself, {amount(cast, 'kg')}."
            )
        elif finishing.short and casting.poured_kg <= usual_kg * 1.001:
            sentences.append(joined((f"{part}:", finishing.short, "Add it to the poured mass.")))
    if charge.status == "set aside" and to_charge and charge.kg < to_charge.value * 0.999:
        sentences.append(
            f"{amount(charge.kg, 'kg')} are set aside and {amount(float(to_charge.value), 'kg')} "
            "are wanted."
        )
    return [sentence(words) for words in sentences]


def _usual_pour(cast_kg: float, metal: str) -> float:
    """Return the metal poured for a casting by the usual yield [kg]; infinity without a yield."""
    try:
        return float(pouring.pour(cast_kg, metal).parts[1].value)
    except EngineeringError:
        return math.inf


def _other_metal_before(pour: Pour) -> bool:
    """Whether another pour from the same crucible is of another kind of metal. One query."""
    others = Pour.objects.filter(crucible=pour.crucible_id).exclude(pk=pour.pk).order_by()
    metals = others.values_list("metal", flat=True).distinct()
    return any(family_of(metal) != family_of(pour.metal) for metal in metals)


def melting_heat(metal: str, kg: float, pour: Pour) -> Calculation:
    """Return the heat to melt, up to the measured temperature where there is one."""
    heat = heats.melting_heat(metal, kg, pour_c=pour.temperature_c)
    origins = {"m": (Origin.CALCULATED, "what is charged")}
    if pour.temperature_c is not None:
        origins["Tp"] = (Origin.MEASURED, "as it was read")
    return heat.with_origins(origins)


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
    iron = iron_castings(castings) if material_of(pour.metal) == Material.CAST_IRON else []
    moves_out = [m for m in moves if m.kg < 0 and m.planned == (pour.poured_on is None)]
    weights = [Weight(lot, -m.kg, m.written) for m in moves_out if (lot := store.lot(m.lot_id))]
    if weights:
        sheet = _actual_charge(
            "used" if pour.poured_on else "set aside", pour.metal, weights, metal
        )
    elif to_charge is None:
        return _plain_sheet("proposed", (), "")
    elif iron:
        return _proposed_iron(pour.metal, metal, float(to_charge.value), store, iron)
    else:
        most = float(limit.value) if limit else None
        return proposed_charge(pour.metal, metal, float(to_charge.value), store, most)
    return _with_judgement(sheet, iron) if iron else sheet


def _proposed_iron(metal_key: str, metal: str, kg: float, store: Store, castings) -> ChargeSheet:
    """Propose iron that suits the castings, cheapest first, or give the reason for none."""
    lots = usable(store, metal_key)
    good = suitable_lots(lots, castings)
    if lots and not good:
        sheet = _with_judgement(
            _plain_sheet("proposed", [Weight(lot, kg) for lot in lots]), castings
        )
        names = ", ".join(dict.fromkeys(one.name for one in castings))
        words = f"No iron in the store suits {names}. {sheet.trouble}".strip()
        return _plain_sheet("proposed", (), words, metal=metal)
    if not good:
        return proposed_charge(metal_key, metal, kg, store, None)
    return _with_judgement(_by_value(metal_key, metal, kg, good), castings)


def _with_judgement(sheet: ChargeSheet, castings) -> ChargeSheet:
    calculations, against = judge_charge(sheet.weights, castings)
    trouble = " ".join(filter(None, [sheet.trouble, against]))
    return replace(sheet, analysis=calculations, trouble=trouble, unjudged="")


def _plain_sheet(
    status: str, weights, trouble: str = "", unjudged: str = "", metal: str = ""
) -> ChargeSheet:
    cautions = melting.melt_cautions(metal) if metal else ()
    return ChargeSheet(status, tuple(weights), None, None, (), trouble, unjudged, cautions)


def usable(store: Store, metal_key: str) -> list[LotLine]:
    """Return lots with free metal that may go into a charge of an alloy, metal or material."""
    try:
        limits = properties.alloy(metal_key).limits
    except EngineeringError:
        material = material_of(metal_key)
        return [lot for lot in store.lots if lot.material == material and lot.free_kg > 1e-6]
    keep_out = KEEP_OUT - ({"aluminium"} if limits.get("Al", (0, 0))[0] > 0 else set())
    return [
        lot
        for lot in store.lots
        if lot.metal and lot.free_kg > 1e-6 and lot.material not in keep_out
    ]


def proposed_charge(
    metal_key: str, metal: str, kg: float, store: Store, most_kg: float | None
) -> ChargeSheet:
    """Return the cheapest charge from the free metal in the store, or what to add to it."""
    lots = usable(store, metal_key)
    if not lots:
        words = (
            f"The store holds nothing for {metal_word(metal_key)}: {amount(kg, 'kg')} are wanted."
        )
        return _plain_sheet("proposed", (), sentence(words), metal=metal)
    if not _has_limits(metal_key):
        return _by_value(metal_key, metal, kg, lots)
    by_metal = {id(lot.metal): lot for lot in lots}
    metals = [lot.metal for lot in lots]
    for margin in (MARGIN_PERCENT, 0.0):
        try:
            charge = charges.charge(
                metal_key, metals, kg, crucible_kg=most_kg, margin_percent=margin
            )
        except charges.ChargeInfeasible as error:
            trouble = str(error)
        except EngineeringError as error:
            return _plain_sheet("proposed", (), str(error), metal=metal)
        else:
            weights = [Weight(by_metal[id(line.lot)], line.kg) for line in charge.lines]
            return _sheet("proposed", weights, charge)
    return _plain_sheet("proposed", (), trouble, metal=metal)


def _has_limits(metal_key: str) -> bool:
    return any(one.key == metal_key for one in properties.alloys())


def _sheet(status: str, weights: Sequence[Weight], charge: charges.Charge) -> ChargeSheet:
    unjudged = ""
    if charge.unjudged:
        elements = ", ".join(f"{element_word(e)} {p:.2g} %" for e, p in charge.unjudged.items())
        unjudged = f"Not judge_charge, for the alloy sets no limit: {elements}."
    return ChargeSheet(
        status,
        tuple(weights),
        charge.cost,
        charge.melt,
        charge.analysis,
        "",
        unjudged,
        charge.cautions,
    )


def _by_value(metal_key: str, metal: str, kg: float, lots: Sequence[LotLine]) -> ChargeSheet:
    """Propose lots of the metal itself, cheapest first, until the charge is full."""
    weights, left = [], kg
    for lot in sorted(lots, key=lambda lot: (lot.value_per_kg, lot.pk)):
        take = min(left, lot.free_kg)
        if take > 1e-6:
            weights.append(Weight(lot, take))
            left -= take
    trouble = ""
    if left > 1e-6:
        on_hand = amount(kg - left, "kg")
        trouble = sentence(f"The lots hold {on_hand} in all and {amount(kg, 'kg')} are wanted.")
    return _plain_sheet("proposed", weights, trouble, _unjudged(metal_key), metal)


def _unjudged(metal_key: str) -> str:
    return (
        f"No table here limits what may be in {metal_word(metal_key)}: the lots are taken by their "
        "value, and what is in the melt is not judged."
    )


def _actual_charge(status: str, metal_key: str, weights: list[Weight], metal: str) -> ChargeSheet:
    """Return the sheet of an actual charge, judged by the limits of the alloy."""
    if not _has_limits(metal_key):
        return _plain_sheet(status, weights, "", _unjudged(metal_key), metal)
    unknown = [w.lot.name for w in weights if w.lot.metal is None]
    if unknown:
        words = f"Nobody has said what is in {' and '.join(unknown)}: the melt cannot be judged."
        return _plain_sheet(status, weights, words, metal=metal)
    charged = [replace(w.lot.metal, on_hand_kg=w.kg) for w in weights]
    try:
        charge = charges.charge(metal_key, charged, sum(w.kg for w in weights))
    except EngineeringError as error:
        return _plain_sheet(status, weights, str(error), metal=metal)
    return _sheet(status, weights, charge)


def expected_back_kg(sheet: PourSheet) -> float | None:
    """Return the gates, risers and surplus that should come back, all castings being good. [kg]

    This is the melt less the castings themselves, by the usual yield. None when not known.
    """
    try:
        share = properties.figure(sheet.metal, "yield").value
        loss = properties.figure(sheet.metal, "loss").value
    except EngineeringError:
        return None
    melt = float(sheet.charge.melt.value) if sheet.charge.melt else sheet.charge.kg * (1 - loss)
    return max(0.0, melt - share * sheet.poured_kg)


def material_of(metal_key: str) -> str:
    """Return the material of the record that an alloy, metal or material belongs to."""
    kind = _metal(metal_key)
    return next((m.material for m in properties.metals() if m.key == kind), Material.NOT_KNOWN)
