"""From the finished mass to the mass to melt, and whether the crucible holds it.

Masses in kg. Import from `patterns`. Planning figures: the foundry's own practice decides.
"""

from __future__ import annotations

from math import ceil

from .. import tables
from ..calculation import Calculation, Caution, Input, Origin
from ..constants import KG_PER_LB
from ..errors import OutOfRange, UnknownName, finite
from ..figures import full, per_cent, sig
from ..materials import properties
from ..sentences import amount
from .cautions import CRUCIBLE, when_melted

RULE_SOURCE = "old rule of crucible numbers, johnpreviti.com; agrees with makers' lists from memory"
LB_PER_NUMBER = 3.0  # of brass; one pound of aluminium
OVER = Caution(
    "Over what the crucible holds: do not pour this in one heat.",
    "Use a larger crucible, part the pour, or lighten the gates. Never fill past the mark.",
)


def finishing_stock(area_mm2: float, allowance_mm: float, metal: str) -> Calculation:
    """Mass of metal removed by machining [kg]: area × allowance × density.

    Args:
        area_mm2: All machined surfaces together [mm2].
        allowance_mm: Finishing allowance of each [mm].
        metal: A metal or material.
    """
    area = finite("machined area", area_mm2, "mm2", least=0.0, upto=1e9)
    thick = finite("finishing allowance", allowance_mm, "mm", least=0.0, upto=100)
    rho = properties.density(metal)
    value = area * thick * rho.value * 1e-9
    return Calculation(
        "Finishing stock",
        value,
        "kg",
        "A × m × ρ",
        f"{full(area, 'mm2')} × {full(thick, 'mm')} × {full(rho.value, 'kg_m3')}"
        f" = {amount(value, 'kg')}",
        (
            Input("A", "Machined area", area, "mm2", Origin.CALCULATED),
            Input("m", "Finishing allowance", thick, "mm", Origin.ENTERED),
            rho.as_input("ρ", "Density"),
        ),
        "geometry",
    )


def _share(metal: str, figure_name: str, own: float | None, letter: str, name: str):
    """Return a yield or loss as an Input in per cent, and its low and high as parts of one."""
    if own is not None:
        limits = {"upto": 1.0} if figure_name == "yield" else {"least": 0.0, "upto": 0.5}
        value = finite(name.lower(), own, **limits)
        return Input(letter, name, value * 100, "percent", Origin.ENTERED), value, value
    table = properties.figure(metal, figure_name)
    entry = Input(letter, name, table.value * 100, "percent", Origin.TABLE, table.cited)
    return entry, table.low, table.high


def pour(
    finished_kg: float,
    metal: str,
    *,
    stock_kg: float = 0.0,
    casting_yield: float | None = None,
    loss: float | None = None,
    pieces: int = 1,
) -> Calculation:
    """Metal to charge for castings of one kind [kg]: n (F + S) / (Y (1 - loss)).

    Args:
        finished_kg: Mass of one finished piece [kg].
        metal: A metal or material.
        stock_kg: Finishing stock of one piece, as from `finishing_stock` [kg].
        casting_yield: A person's own share of the pour that is casting, without gate and riser.
        loss: A person's own share of the charge that is lost in melting.
        pieces: The number cast.

    Returns:
        Calculation in kg, its `parts` the masses as finished, as cast and as poured, its interval
        from the limits of yield and loss.

    Raises:
        OutOfRange: a mass or share that cannot be. UnknownName: unknown metal, or one without a
            yield in the tables.
    """
    finished = finite("finished mass", finished_kg, "kg", upto=1e6)
    stock = finite("finishing stock", stock_kg, "kg", least=0.0, upto=1e6)
    count = finite("number of pieces", pieces, upto=100_000)
    if count != int(count):
        raise OutOfRange("The number of pieces must be whole.")
    kind = properties.metal(metal)
    yield_input, yield_low, yield_high = _share(metal, "yield", casting_yield, "Y", "Yield")
    loss_input, loss_low, loss_high = _share(metal, "loss", loss, "s", "Melting loss")
    cast = count * (finished + stock)
    poured = cast / (yield_input.value / 100)
    charge = poured / (1 - loss_input.value / 100)
    low, high = cast / yield_high / (1 - loss_low), cast / yield_low / (1 - loss_high)
    exact = abs(high - low) < 1e-9 * charge
    n = Input("n", "Pieces", count, "", Origin.ENTERED)
    as_cast = Calculation(
        "Mass as cast",
        cast,
        "kg",
        "n × (F + S)",
        f"{count:g} × ({full(finished, 'kg')} + {full(stock, 'kg')}) = {amount(cast, 'kg')}",
        (
            n,
            Input("F", "Finished mass, each", finished, "kg", Origin.ENTERED),
            Input("S", "Finishing stock, each", stock, "kg", Origin.ENTERED),
        ),
        "addition",
    )
    as_poured = Calculation(
        "Mass poured, with gates and risers",
        poured,
        "kg",
        "C ÷ Y",
        f"{full(cast, 'kg')} ÷ {full(yield_input.value / 100)} = {amount(poured, 'kg')}",
        (Input("C", "Mass as cast", cast, "kg", Origin.CALCULATED), yield_input),
        "yield is casting over all that is poured, giessereilexikon.com",
        cautions=when_melted(kind.key),
    )
    return Calculation(
        f"{kind.name.capitalize()} to charge",
        charge,
        "kg",
        "n × (F + S) ÷ (Y × (1 - s))",
        f"{full(cast, 'kg')} ÷ ({full(yield_input.value / 100)} × "
        f"{full(1 - loss_input.value / 100)}) = {amount(charge, 'kg')}",
        (*as_cast.inputs, yield_input, loss_input),
        "foundry practice: yield and melting loss",
        None if exact else low,
        None if exact else high,
        "" if exact else "from the limits of yield and loss",
        cautions=when_melted(kind.key),
        limits="Yield depends on the gating, loss on the furnace and the scrap: weigh both.",
        parts=(as_cast, as_poured),
    )


def crucible(
    charge_kg: float,
    metal: str,
    *,
    brim_l: float | None = None,
    number: float | None = None,
    fill: float = 0.8,
    rated_kg: float | None = None,
) -> Calculation:
    """Limit of the mass of a metal in a crucible, compared with a charge [kg].

    Over its limit the Calculation is refused, with a verdict; it does not raise.

    Args:
        charge_kg: The charge [kg].
        metal: A metal or material.
        brim_l: Volume to the brim, measured with water [l]: more reliable than the number.
        number: The number marked on an old bilge-shaped crucible, about a pound of aluminium or
            three of brass each. Small imported pots are marked otherwise: measure those.
        fill: How full it may be, 0.5 to 0.9 of the brim.
        rated_kg: The limit of its maker, the tongs or the furnace, where that is less [kg].

    Raises:
        OutOfRange: a figure that cannot be, or neither a volume nor a number. UnknownName: metal.
    """
    charge = finite("charge", charge_kg, "kg", upto=1e6)
    kind = properties.metal(metal)
    share = finite("filling", fill, least=0.5, upto=0.9)
    rho = properties.density(metal)
    inputs = [Input("M", "Charge", charge, "kg", Origin.CALCULATED)]
    if brim_l is not None:
        brim = finite("volume of the crucible", brim_l, "l", upto=5000)
        whole = brim * rho.value / 1000
        inputs += [
            Input("V", "Volume to the brim", brim, "l", Origin.MEASURED),
            rho.as_input("ρ", f"Density of {kind.name}"),
        ]
        formula, figures = "V × ρ × f", f"{amount(brim, 'l')} × {amount(rho.value, 'kg_m3')}"
        source = "geometry"
    elif number is not None:
        number_marked = finite("number of the crucible", number, upto=2000)
        each = _kg_per_number(metal)
        whole = number_marked * each.value
        inputs += [Input("N", "Number marked", number_marked, "", Origin.MEASURED), each]
        formula, figures, source = (
            "N × k × f",
            f"{number_marked:g} × {amount(each.value, 'kg')}",
            RULE_SOURCE,
        )
    else:
        raise OutOfRange("Give the crucible's volume to the brim, or the number marked on it.")
    value = whole * share
    inputs.append(
        Input("f", "Filled to", share * 100, "percent", Origin.ASSUMED, "usual 75 to 85 %")
    )
    figures += f" × {share:g} = {amount(value, 'kg')}"
    if rated_kg is not None:
        rated = finite("rated mass", rated_kg, "kg", upto=1e6)
        inputs.append(Input("R", "Rated mass", rated, "kg", Origin.ENTERED))
        formula, value = f"least of {formula} and R", min(value, rated)
        figures += f"; rated {amount(rated, 'kg')}"
    over_limit = charge > value
    verdict = (
        f"Over what the crucible holds: {amount(charge, 'kg')} against {amount(value, 'kg')}. "
        "Do not pour this in one heat."
        if over_limit
        else f"It fits: {amount(charge, 'kg')} of {amount(value, 'kg')}, "
        f"{per_cent(charge / value)} of the limit."
    )
    return Calculation(
        "What the crucible may hold",
        value,
        "kg",
        formula,
        figures,
        tuple(inputs),
        source,
        verdict=verdict,
        refused=over_limit,
        cautions=((OVER,) if over_limit else ()) + (CRUCIBLE, *when_melted(kind.key)),
        limits="Reckoned with the density when cold; melted metal takes up 4 to 8 % more room, for "
        "which the filling leaves the space.",
    )


def _kg_per_number(metal: str) -> Input:
    kind = properties.metal(metal)
    name = f"Mass of {kind.name} to each number"
    if kind.material in ("brass", "bronze", "copper"):
        return Input("k", name, LB_PER_NUMBER * float(KG_PER_LB), "kg", Origin.TABLE, RULE_SOURCE)
    if kind.material == "aluminium":
        return Input("k", name, float(KG_PER_LB), "kg", Origin.TABLE, RULE_SOURCE)
    ratio = properties.density(metal).value / properties.density("red_brass").value
    value = LB_PER_NUMBER * float(KG_PER_LB) * ratio
    return Input("k", name, value, "kg", Origin.CALCULATED, f"{RULE_SOURCE}; by the densities")


def crucible_number(charge_kg: float, metal: str, fill: float = 0.8) -> Calculation:
    """Smallest number of an old bilge crucible that holds a charge: M / (k f), rounded up.

    Raises:
        OutOfRange: a figure that cannot be. UnknownName: unknown metal.
    """
    charge = finite("charge", charge_kg, "kg", upto=1e5)
    share = finite("filling", fill, least=0.5, upto=0.9)
    each = _kg_per_number(metal)
    exact = charge / (each.value * share)
    value = float(ceil(exact - 1e-9))
    return Calculation(
        "Number of the crucible",
        value,
        "",
        "M ÷ (k × f), rounded up",
        f"{sig(charge)} ÷ ({sig(each.value)} × {share:g}) = {sig(exact)}, so No. {value:g}",
        (
            Input("M", "Charge", charge, "kg", Origin.CALCULATED),
            each,
            Input("f", "Filled to", share * 100, "percent", Origin.ASSUMED, "usual 75 to 85 %"),
        ),
        RULE_SOURCE,
        cautions=(CRUCIBLE, *when_melted(properties.metal(metal).key)),
        limits="For bilge shapes; the straight shape of the same number holds less. Small imported "
        "pots are marked otherwise: measure the volume to the brim.",
    )


def mass_from_pattern(
    pattern_kg: float, metal: str, *, core_prints_kg: float = 0.0, factor: float | None = None
) -> Calculation:
    """Rough mass of a casting from the weight of its dry pine pattern [kg]: (P - prints) × factor.

    Raises:
        OutOfRange: a mass or factor that cannot be. UnknownName: a metal the table does not have.
    """
    wood = finite("mass of the pattern", pattern_kg, "kg", upto=10_000)
    prints = finite("mass of the core prints", core_prints_kg, "kg", least=0.0, upto=10_000)
    if prints >= wood:
        raise OutOfRange("The core prints weigh as much as the pattern.")
    kind = properties.metal(metal)
    family = {"cast_iron": "iron", "aluminium": "aluminium"}.get(kind.material, "")
    if kind.material in ("brass", "bronze", "copper"):
        family = "copper_alloy"
    if factor is not None:
        times = finite("factor", factor, upto=100)
        factor_input, low, high = Input("k", "Factor", times, "", Origin.ENTERED), None, None
    else:
        rows = [row for row in tables.read("pattern_factors") if row["family"] == family]
        if not rows:
            raise UnknownName(f"No table here gives the factor for {kind.name}: type in your own.")
        times = float(rows[0]["value"])
        source = f"{rows[0]['source']} (from memory)"
        factor_input = Input("k", "Factor", times, "", Origin.TABLE, source)
        low, high = ((wood - prints) * float(rows[0][end]) for end in ("low", "high"))
    value = (wood - prints) * times
    return Calculation(
        "Casting from the weight of its pattern",
        value,
        "kg",
        "(P - p) × k",
        f"({full(wood, 'kg')} - {full(prints, 'kg')}) × {full(times)} = {amount(value, 'kg')}",
        (
            Input("P", "Pattern", wood, "kg", Origin.MEASURED),
            Input("p", "Core prints", prints, "kg", Origin.ENTERED),
            factor_input,
        ),
        "pattern-shop rule, from memory",
        low,
        high,
        "15 % either way, for the wood" if low is not None else "",
        limits="Dry pine, without metal in it. Cores take more off than their prints.",
    )
