"""Heat, fuel and time for a melt. Heats in kJ, temperatures in degC, masses in kg."""

from __future__ import annotations

from .. import tables
from ..calculation import Calculation, Caution, Input, Origin
from ..errors import OutOfRange, UnknownName, finite
from ..figures import full, sig
from ..materials import properties
from ..sentences import amount
from .cautions import CRUCIBLE, HOT_METAL, when_melted

BURNER = Caution(
    "Keep gas bottles upright, away from the heat, and the furnace in the open or well aired.",
    "Check hose and regulator with soapy water; burning gas and coke give carbon monoxide. In the "
    "US NFPA 58 and 29 CFR 1910.110; elsewhere the code of the place.",
)


def melt_cautions(metal: str) -> tuple[Caution, ...]:
    """Return the cautions for melting a metal, also of one that no table has."""
    try:
        key = properties.metal(metal).key
    except UnknownName:
        return HOT_METAL, CRUCIBLE
    return (*when_melted(key), CRUCIBLE)


def heat_kj(mass_kg, start_c, melt_c, pour_c, solid, latent, liquid):
    """Heat to melt: m (cs (Tm − T0) + L + cl (Tp − Tm)). [kJ] Plain numbers or arrays."""
    return mass_kg * (solid * (melt_c - start_c) + latent + liquid * (pour_c - melt_c))


def melting_heat(
    metal: str, mass_kg: float, *, pour_c: float | None = None, start_c: float = 20.0
) -> Calculation:
    """Heat to bring metal from cold to the pouring temperature. [kJ]

    Args:
        metal: Metal or material.
        mass_kg: Mass in the crucible. [kg]
        pour_c: Pouring temperature; the usual one of the table when None. [degC]
        start_c: Of the cold metal. [degC]

    Raises:
        UnknownName: no table has the metal's heats.
        OutOfRange: a pouring temperature under the liquidus, or a figure that cannot be.
    Source: textbook calorimetry; the latent heat is lumped at the liquidus.
    """
    kind = properties.metal(metal)
    mass = finite("mass to melt", mass_kg, "kg", upto=100_000)
    start = finite("temperature of the cold metal", start_c, "degC", above=-80, upto=2000)
    liquidus, solid, latent, liquid = (
        properties.figure(metal, name)
        for name in ("liquidus", "heat_solid", "heat_latent", "heat_liquid")
    )
    if pour_c is None:
        pour = properties.figure(metal, "pouring").as_input("Tp", "Pouring temperature")
    else:
        entry = finite("pouring temperature", pour_c, "degC", above=-80, upto=3000)
        pour = Input("Tp", "Pouring temperature", entry, "degC", Origin.ENTERED)
    pour_value = float(pour.value)
    if pour_value < liquidus.value - 1e-6:
        raise OutOfRange(
            f"{kind.name.capitalize()} is not all melted at {amount(pour_value, 'degC')}: it needs "
            f"{amount(liquidus.value, 'degC')}."
        )
    if start > liquidus.value:
        raise OutOfRange(f"Metal at {amount(start, 'degC')} is melted already.")
    value = heat_kj(
        mass, start, liquidus.value, pour_value, solid.value, latent.value, liquid.value
    )
    low = heat_kj(mass, start, liquidus.value, pour_value, solid.low, latent.low, liquid.low)
    high = heat_kj(mass, start, liquidus.value, pour_value, solid.high, latent.high, liquid.high)
    return Calculation(
        "Heat to melt",
        value,
        "kJ",
        "m × (cs × (Tm − T0) + L + cl × (Tp − Tm))",
        f"{amount(mass, 'kg')} × ({amount(solid.value, solid.unit)} × "
        f"({amount(liquidus.value, 'degC')} − {amount(start, 'degC')}) + "
        f"{amount(latent.value, latent.unit)} + {amount(liquid.value, liquid.unit)} × "
        f"({full(pour_value, 'degC')} − {full(liquidus.value, 'degC')})) = {amount(value, 'kJ')}",
        (
            Input("m", "Metal", mass, "kg", Origin.ENTERED),
            solid.as_input("cs", "Specific heat, solid"),
            liquidus.as_input("Tm", "All melted at"),
            Input("T0", "Cold metal", start, "degC", Origin.ASSUMED, "air temperature"),
            latent.as_input("L", "Latent heat of melting"),
            liquid.as_input("cl", "Specific heat, melted"),
            pour,
        ),
        "textbook calorimetry; latent heat lumped at the liquidus",
        low=low if high > low else None,
        high=high if high > low else None,
        interval="from the ranges of the heats" if high > low else "",
        cautions=melt_cautions(metal),
        limits="The metal alone: furnace and crucible take several times as much.",
    )


def _row(table: str, key: str, what: str) -> dict[str, str]:
    rows = {r["key"]: r for r in tables.read(table)}
    if key not in rows:
        raise UnknownName(f"There is no {what} called {key!r}: {', '.join(rows)}.")
    return rows[key]


def _efficiency(furnace: str | None, own: float | None) -> tuple[Input, float, float]:
    """Return the efficiency as an Input with its range; a person's own overrides the table's."""
    if own is not None:
        eta = finite("efficiency of the furnace", own, upto=1)
        return Input("η", "Efficiency", eta, "", Origin.ENTERED), eta, eta
    row = _row("furnaces", furnace or "gas_small", "furnace")
    source = f"{row['name']}: {row['source']} ({row['status']})"
    efficiency_input = Input("η", "Efficiency", float(row["efficiency"]), "", Origin.TABLE, source)
    return efficiency_input, float(row["low"]), float(row["high"])


def fuel_needed(
    heat: Calculation | float,
    fuel: str = "propane",
    *,
    furnace: str | None = "gas_small",
    efficiency: float | None = None,
) -> Calculation:
    """Fuel for a melt from a warm furnace. [kg]

    Args:
        heat: From `melting_heat`, or a figure. [kJ]
        fuel: "propane", "charcoal" or "coke" (table `fuels`, lower heating value).
        furnace: Kind of furnace in table `furnaces`.
        efficiency: A person's own figure, 0 to 1, which overrides the table's.

    Raises:
        UnknownName: fuel or furnace in no table. OutOfRange: a figure that cannot be.
    Source: m = Q / (η × LHV). Efficiencies from memory: the bottle, weighed, gives a better one.
    """
    q = finite("heat", heat.value if isinstance(heat, Calculation) else heat, "kJ", upto=1e9)
    row = _row("fuels", fuel, "fuel")
    if row["key"] == "propane" and furnace == "electric":
        raise OutOfRange("An electric furnace burns no fuel: divide the heat by its efficiency.")
    eta, low, high = _efficiency(furnace, efficiency)
    lhv = float(row["lower_mj_kg"])
    value = q / 1000 / (float(eta.value) * lhv)
    source = f"{row['source']} ({row['status']}), lower heating value"
    parts = (heat,) if isinstance(heat, Calculation) else ()
    return Calculation(
        f"{row['name'].capitalize()} for the melt",
        value,
        "kg",
        "Q ÷ (η × H)",
        f"{sig(q / 1000)} MJ ÷ ({sig(float(eta.value))} × {sig(lhv)} MJ/kg) = {sig(value, 3)}",
        (
            Input("Q", "Heat to melt", q, "kJ", Origin.CALCULATED if parts else Origin.ENTERED),
            eta,
            Input("H", f"Lower heating value of {row['name']}", lhv, "MJ_kg", Origin.TABLE, source),
        ),
        "m = Q / (η × LHV)",
        low=q / 1000 / (high * lhv),
        high=q / 1000 / (low * lhv),
        interval="from the range of the furnace's efficiency" if high > low else "",
        verdict="From a furnace that is warm already; the first heat of the day takes more.",
        cautions=(*(heat.cautions if parts else (HOT_METAL, CRUCIBLE)), BURNER),
        limits="Weigh the bottle before and after one melt and use that efficiency instead.",
        parts=parts,
    )


def time_at_burner(
    heat: Calculation | float,
    burner_kw: float,
    *,
    furnace: str | None = "gas_small",
    efficiency: float | None = None,
) -> Calculation:
    """Time that a burner takes to melt. [min]

    Args:
        heat: From `melting_heat`, or a figure. [kJ]
        burner_kw: Power of the burner, on the lower heating value. [kW]
        furnace, efficiency: As in `fuel_needed`.

    Source: t = Q / (η × P).
    """
    q = finite("heat", heat.value if isinstance(heat, Calculation) else heat, "kJ", upto=1e9)
    power = finite("power of the burner", burner_kw, "kW", upto=10_000)
    eta, low, high = _efficiency(furnace, efficiency)
    value = q / (float(eta.value) * power) / 60
    parts = (heat,) if isinstance(heat, Calculation) else ()
    return Calculation(
        "Time at the burner",
        value,
        "min",
        "Q ÷ (η × P)",
        f"{full(q, 'kJ')} ÷ ({full(float(eta.value))} × {full(power, 'kW')}) = {sig(value, 3)} min",
        (
            Input("Q", "Heat to melt", q, "kJ", Origin.CALCULATED if parts else Origin.ENTERED),
            eta,
            Input("P", "Power of the burner", power, "kW", Origin.ENTERED),
        ),
        "t = Q / (η × P)",
        low=q / (high * power) / 60,
        high=q / (low * power) / 60,
        interval="from the range of the furnace's efficiency" if high > low else "",
        verdict="From a furnace that is warm already.",
        cautions=(*(heat.cautions if parts else (HOT_METAL, CRUCIBLE)), BURNER),
        parts=parts,
    )
