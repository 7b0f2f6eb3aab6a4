"""Pumping out a flooded pit: its volume, the inflow, and how long the pump runs."""

from __future__ import annotations

import math

from ..calculation import Calculation, Caution, Input, Origin
from ..errors import Infeasible, finite
from ..figures import full, sig
from ..sentences import amount

GRAVITY = 9.80665
SUCTION_LIMIT_M = 7.5  # at sea level, common practice

PIT = Caution(
    "Draw down slowly, and nobody goes in until the air is tested and the sides are held.",
    "Water holds old walls up. Engine pumps stay out of the pit (carbon monoxide). Excavation and "
    "confined space rules of the place lead (in the US 29 CFR 1926 subparts P and AA).",
)
WATER = Caution(
    "Let no oil, sheen or mud run to a drain or stream.",
    "Skim the oil first and ask the water authority (in the US 40 CFR 110 and state permits).",
)
CAUTIONS = (PIT, WATER)


def pit_volume(top_m2: float, middle_m2: float, bottom_m2: float, depth_m: float) -> Calculation:
    """Volume of water in a pit with even sides. [m³]

    Args:
        top_m2, middle_m2, bottom_m2: Areas at the water, half way down, and at the floor. [m²]
        depth_m: Depth of the water. [m]

    Source: prismoidal rule, h (A₁ + 4 A + A₂)/6.
    """
    top, middle, bottom = (
        finite(f"area {name}", x, "m2", least=0.0, upto=1e6)
        for name, x in (("at the water", top_m2), ("half way", middle_m2), ("below", bottom_m2))
    )
    depth = finite("depth", depth_m, "m", upto=1000)
    value = depth * (top + 4 * middle + bottom) / 6
    return Calculation(
        "Water in the pit",
        value,
        "m3",
        "h × (A₁ + 4 × Aₘ + A₂) / 6",
        f"{sig(depth)} × ({sig(top)} + 4 × {sig(middle)} + {sig(bottom)}) / 6 = {sig(value)} m³",
        (
            Input("h", "Depth of the water", depth, "m", Origin.ENTERED),
            Input("A₁", "Area at the water", top, "m2", Origin.ENTERED),
            Input("Aₘ", "Area half way down", middle, "m2", Origin.ENTERED),
            Input("A₂", "Area at the floor", bottom, "m2", Origin.ENTERED),
        ),
        "prismoidal rule",
        cautions=CAUTIONS,
        limits="Castings that lie in the water lessen it.",
    )


def inflow_by_rise(area_m2: float, rise_mm: float, minutes: float) -> Calculation:
    """Inflow from the rise of the water with the pump stopped. [l/min]

    Args:
        area_m2: Free water at the working level. [m²]
        rise_mm: The rise: a small one, near the working level. [mm]
        minutes: The time that it took. [min]

    Source: Q = A Δh / Δt, the well recovery test (no printed example was found).
    """
    area = finite("area of the water", area_m2, "m2", upto=1e6)
    rise = finite("rise", rise_mm, "mm", least=0.0, upto=1e5)
    time = finite("time", minutes, "min", upto=1e6)
    value = area * rise / time  # m² × mm = litres
    return Calculation(
        "Inflow",
        value,
        "l_min",
        "A × Δh / Δt",
        f"{full(area, 'm2')} × {full(rise, 'mm')} / {full(time)} min = {amount(value, 'l_min')}",
        (
            Input("A", "Free water", area, "m2", Origin.MEASURED),
            Input("Δh", "Rise", rise, "mm", Origin.MEASURED),
            Input("Δt", "Time", time, "min", Origin.MEASURED),
        ),
        "well recovery test",
        cautions=CAUTIONS,
        limits="Inflow falls as the water comes up: measure at the level where work is done.",
    )


def pump_out(volume_m3: float, pump_l_min: float, inflow_l_min: float = 0.0) -> Calculation:
    """Time to empty a pit with a steady inflow. [min]

    Args:
        pump_l_min: Flow of the pump at this head, not its rating at no head. [l/min]

    Raises:
        Infeasible: the inflow is as large as the flow of the pump.

    Source: V / (Qp − Qi).
    """
    v = finite("volume", volume_m3, "m3", upto=1e6)
    pump = finite("pump", pump_l_min, "l_min", upto=1e6)
    inflow = finite("inflow", inflow_l_min, "l_min", least=0.0, upto=1e6)
    if inflow >= pump:
        raise Infeasible(
            f"The pit never empties: {amount(inflow, 'l_min')} come in and the pump takes "
            f"{amount(pump, 'l_min')}."
        )
    value = v * 1000 / (pump - inflow)
    return Calculation(
        "Time to pump out",
        value,
        "min",
        "V / (Qₚ − Qᵢ)",
        f"{full(v * 1000, 'l')} / ({full(pump, 'l_min')} − {full(inflow, 'l_min')}) = "
        f"{sig(value)} min",
        (
            Input("V", "Water in the pit", v, "m3", Origin.ENTERED),
            Input("Qₚ", "Pump", pump, "l_min", Origin.ENTERED),
            Input("Qᵢ", "Inflow", inflow, "l_min", Origin.ENTERED),
        ),
        "definition",
        verdict=f"{sig(value / 60, 3)} hours. Then {amount(inflow, 'l_min')} keep it down.",
        cautions=CAUTIONS,
        limits="Steady inflow; it grows as the water is drawn down.",
    )


def pump_out_growing(
    area_m2: float, drawdown_m: float, pump_l_min: float, inflow_l_min_m: float
) -> Calculation:
    """Time to draw a pit down when the inflow grows with the drawdown. [min]

    Args:
        area_m2: Area of the water, the same at every level. [m²]
        drawdown_m: The drop of the level. [m]
        inflow_l_min_m: Inflow for each metre of drawdown. [l/min for a metre]

    Raises:
        Infeasible: the inflow equals the flow of the pump before that depth.

    Source: A ds/dt = Qp − K s.
    """
    area = finite("area of the water", area_m2, "m2", upto=1e6)
    s = finite("drawdown", drawdown_m, "m", upto=1000)
    pump = finite("pump", pump_l_min, "l_min", upto=1e6) / 1000
    k = finite("inflow for a metre", inflow_l_min_m, "m", least=0.0, upto=1e6) / 1000
    if k * s >= pump:
        raise Infeasible(
            f"The pump draws it down {amount(pump / k, 'm')} at most, not {amount(s, 'm')}: use a "
            "bigger one."
        )
    value = area * s / pump if k == 0 else -(area / k) * math.log1p(-k * s / pump)
    return Calculation(
        "Time to draw down",
        value,
        "min",
        "−(A / K) × ln(1 − K × s / Qₚ)",
        f"A {sig(area)}, K {sig(k)}, s {sig(s)}, Qₚ {sig(pump)}: {sig(value)} min",
        (
            Input("A", "Area of the water", area, "m2", Origin.ENTERED),
            Input("s", "Drawdown", s, "m", Origin.ENTERED),
            Input("Qₚ", "Pump", pump * 1000, "l_min", Origin.ENTERED),
            Input("K", "Inflow for each metre of drawdown, l/min", k * 1000, "", Origin.ENTERED),
        ),
        "balance of water, inflow in proportion to the drawdown",
        verdict=f"{sig(value / 60, 3)} hours. Then {amount(k * s * 1000, 'l_min')} keep it down.",
        cautions=CAUTIONS,
    )


def pump_power(flow_l_min: float, head_m: float, efficiency: float = 0.5) -> Calculation:
    """Power of a pump: ρ g Q H / η. [kW]

    Args:
        head_m: From the water to the outfall, with the losses of the hose. [m]
    """
    q = finite("flow", flow_l_min, "l_min", upto=1e6) / 60000
    h = finite("head", head_m, "m", upto=1000)
    eta = finite("efficiency", efficiency, upto=1.0)
    value = GRAVITY * q * h / eta
    return Calculation(
        "Power of the pump",
        value,
        "kW",
        "ρ × g × Q × H / η",
        f"1000 × {GRAVITY} × {sig(q)} × {sig(h)} / {sig(eta)} = {sig(1000 * value)} W",
        (
            Input("Q", "Flow", flow_l_min, "l_min", Origin.ENTERED),
            Input("H", "Head", h, "m", Origin.ENTERED),
            Input("η", "Efficiency", eta, "", Origin.ASSUMED),
        ),
        "hydraulics",
        verdict=f"A pump that stands above sucks from {SUCTION_LIMIT_M:g} m down at most.",
        cautions=CAUTIONS,
    )


def box_pit_volume(length_m: float, width_m: float, depth_m: float) -> Calculation:
    """Volume of water in a straight-sided pit. [m³]"""
    length = finite("length", length_m, "m", upto=1000)
    width = finite("width", width_m, "m", upto=1000)
    return pit_volume(length * width, length * width, length * width, depth_m)
