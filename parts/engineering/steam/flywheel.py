"""The flywheel: the speed and stress of its rim, and the energy that it holds."""

from __future__ import annotations

import math
from dataclasses import replace

from .. import tables
from ..calculation import Calculation, Caution, Input, Origin, origin_of, value_of
from ..errors import OutOfRange, UnknownName, finite
from ..figures import full, sig
from ..sentences import amount
from .cylinder import NOT_LEAVE_TO_STEAM

OVERSPEED = 1.2
IRON_KG_M3 = 7200.0  # grey iron

BURST = Caution(
    "Stand clear of the plane of the wheel, and let nobody turn it under power on this figure.",
    "Arms, hub, keys and joints fail before the rim does. Cracks are looked for by a person "
    "trained in it; guards follow the code of the place (in the US 29 CFR 1910.219).",
)
TURNS_BY_ITSELF = Caution(
    "Chock and pin the wheel before a hand goes near it.",
    "A heavy spot turns the wheel by itself. Stored energy is blocked, locked and proved before "
    "work (in the US 29 CFR 1910.147).",
)


LIGHTEST, HEAVIEST = 400.0, 12_000.0  # of a wheel, from dry timber to lead [kg/m³]


def _density(rho: float) -> float:
    return finite("density of the rim", rho, "kg_m3", least=LIGHTEST, upto=HEAVIEST)


def _density_input(rho: float) -> Input:
    origin = (Origin.ASSUMED, "grey iron") if rho == IRON_KG_M3 else (Origin.ENTERED,)
    return Input("ρ", "Density of the rim", rho, "kg_m3", *origin)


def rim_stress(speed: Calculation | float, density_kg_m3: float = IRON_KG_M3) -> Calculation:
    """Hoop stress of a free ring. [MPa]  σ = ρ v², whatever the section.

    Args:
        speed: Of the rim [m/s], a figure or the Calculation of `rim_speed`.
        density_kg_m3: Of the rim. [kg/m³]

    Source: ring theory, as in the New Zealand Inspection of Machinery report, December 1921.
    """
    v = finite("rim speed", value_of(speed), "m_s", least=0.0, upto=1000)
    rho = _density(density_kg_m3)
    stress = rho * v * v / 1e6
    return Calculation(
        "Hoop stress in the rim",
        stress,
        "MPa",
        "ρ × v²",
        f"{full(rho, 'kg_m3')} × ({full(v, 'm_s')})² = {amount(stress, 'MPa')}",
        (
            _density_input(rho),
            Input("v", "Rim speed", v, "m_s", origin_of(speed)),
        ),
        "ring theory",
        cautions=(BURST, NOT_LEAVE_TO_STEAM),
        limits="A free ring. Bending between the arms, joints and flaws are worse, and left out.",
    )


def rim_speed(
    diameter_mm: float,
    rpm: float,
    *,
    rule: str = "one_piece",
    joint: float = 1.0,
    density_kg_m3: float = IRON_KG_M3,
) -> Calculation:
    """Speed of the rim against an old rule, at this speed and a fifth over it. [m/s]

    Args:
        diameter_mm: Outside diameter of the wheel. [mm]
        rpm: Turns a minute.
        rule: Key of the table: "one_piece", "cautious", "american".
        joint: Strength of a split rim's joint as a part of the whole rim, 1 for one piece. The
            limit falls with its square root.
        density_kg_m3: Of the rim. [kg/m³]

    Source: the old rule of a mile a minute, New Zealand Inspection of Machinery report 1921.
    """
    d = finite("wheel diameter", diameter_mm, "mm", upto=20000)
    n = finite("speed", rpm, "rpm", upto=10000)
    eta = finite("strength of the joint", joint, upto=1.0)
    row = next((r for r in tables.read("rim_limits") if r["key"] == rule), None)
    if row is None:
        raise UnknownName(f"There is no rule for rim speed called {rule!r}.")
    v = math.pi * d / 1000 * n / 60
    limit = float(row["speed_m_s"]) * math.sqrt(eta)
    most = limit * 60 / (math.pi * d / 1000)
    source = row["source"] + (" (from memory)" if row["status"] == "memory" else "")
    refused = v > limit
    rule_words = f"the old rule of {amount(limit, 'm_s')}"
    if refused:
        verdict = (
            f"Over the old rule: {amount(v, 'm_s')} is more than {amount(limit, 'm_s')}. "
            f"Do not run it at {sig(n)} rpm."
        )
    elif v * OVERSPEED > limit:
        verdict = (
            f"Within {rule_words}, but a fifth over this speed is past it. The governor and stop "
            "valve are proved first."
        )
    else:
        verdict = (
            f"Within {rule_words}, and so is a fifth over this speed. This does not say that the "
            "wheel is sound."
        )
    verdict += f" The rule is reached at {sig(most)} rpm."
    one_piece = (Origin.ASSUMED, "in one piece") if eta == 1 else (Origin.ENTERED,)
    speed = Calculation(
        "Rim speed",
        v,
        "m_s",
        "π × D × N",
        f"π × {full(d, 'mm')} × {full(n, 'rpm')} = {amount(v, 'm_s')}",
        (
            Input("D", "Outside diameter", d, "mm", Origin.ENTERED),
            Input("N", "Speed", n, "rpm", Origin.ENTERED),
            Input("v", f"Limit, {row['name']}", limit, "m_s", Origin.TABLE, source),
            Input("η", "Strength of the joint, part of the rim", eta, "", *one_piece),
        ),
        source,
        verdict=verdict,
        refused=refused,
        cautions=(BURST, NOT_LEAVE_TO_STEAM),
        limits="An old rule for sound grey iron. It knows nothing of this wheel.",
    )
    return replace(speed, parts=(rim_stress(speed, density_kg_m3),))


def rim_inertia(
    outside_mm: float, inside_mm: float, face_mm: float, density_kg_m3: float = IRON_KG_M3
) -> Calculation:
    """Moment of inertia of a plain rim about the shaft. [kg m²]

    Source: m (R² + r²) / 2.
    """
    od = finite("outside diameter", outside_mm, "mm", upto=20000)
    bore = finite("inside diameter", inside_mm, "mm", least=0.0, upto=20000)
    face = finite("face of the rim", face_mm, "mm", upto=5000)
    rho = _density(density_kg_m3)
    if bore >= od:
        raise OutOfRange(
            f"The inside of the rim ({amount(bore, 'mm')}) must be smaller than its outside "
            f"({amount(od, 'mm')})."
        )
    mass = rho * math.pi / 4 * (od**2 - bore**2) * face / 1e9
    inertia = mass * (od**2 + bore**2) / 8 / 1e6
    return Calculation(
        "Inertia of the rim",
        inertia,
        "kg_m2",
        "m × (R² + r²) / 2",
        f"{full(mass, 'kg')} × (({full(od / 2, 'mm')})² + ({full(bore / 2, 'mm')})²) / 2 = "
        f"{amount(inertia, 'kg_m2')}",
        (
            Input("R", "Outside diameter", od, "mm", Origin.ENTERED),
            Input("r", "Inside diameter", bore, "mm", Origin.ENTERED),
            Input("b", "Face", face, "mm", Origin.ENTERED),
            _density_input(rho),
            Input("m", "Mass of the rim", mass, "kg", Origin.CALCULATED, "ring of the rim × ρ"),
        ),
        "mechanics of a hollow cylinder",
        cautions=(TURNS_BY_ITSELF,),
        limits="Arms and hub are left out; they add about a tenth.",
    )


def energy_stored(inertia: Calculation | float, rpm: float) -> Calculation:
    """Energy held in a turning wheel. [kJ]  ½ I ω².

    Args:
        inertia: In kg m², a figure or the Calculation of `rim_inertia`.
    """
    i = finite("inertia", value_of(inertia), "kg_m2", upto=1e9)
    n = finite("speed", rpm, "rpm", upto=10000)
    omega = 2 * math.pi * n / 60
    kj = i * omega**2 / 2000
    drop = kj * 1000 / 9.80665
    return Calculation(
        "Energy in the wheel",
        kj,
        "kJ_work",
        "½ × I × (2π × N)²",
        f"½ × {full(i, 'kg_m2')} × (2π × {full(n, 'rpm')})² = {amount(kj, 'kJ_work')}",
        (
            Input("I", "Inertia", i, "kg_m2", origin_of(inertia)),
            Input("N", "Speed", n, "rpm", Origin.ENTERED),
        ),
        "mechanics",
        verdict=f"As much as {amount(1000, 'kg', 2)} has after falling "
        f"{amount(drop / 1000, 'm_fall', 3)}.",
        cautions=(TURNS_BY_ITSELF, BURST, NOT_LEAVE_TO_STEAM),
    )


def unsteadiness(swing_j: float, inertia: Calculation | float, rpm: float) -> Calculation:
    """Part of the speed by which the wheel swings about its mean in a turn.

    Args:
        swing_j: Energy taken up and given back (see `crank.crank_effort`). [J]
        inertia: In kg m², a figure or the Calculation of `rim_inertia`.

    Source: ΔE = I ω² C; Khurmi, Theory of Machines, ch. 16.
    """
    swing = finite("energy swing", swing_j, "J", least=0.0, upto=1e9)
    i = finite("inertia", value_of(inertia), "kg_m2", upto=1e9)
    n = finite("speed", rpm, "rpm", upto=10000)
    value = swing / (i * (2 * math.pi * n / 60) ** 2)
    return Calculation(
        "Swing of the speed in a turn",
        value,
        "",
        "ΔE / (I × ω²)",
        f"{full(swing, 'J')} / ({full(i, 'kg_m2')} × (2π × {full(n, 'rpm')})²) = {sig(value)}",
        (
            Input("ΔE", "Energy swing", swing, "J", Origin.CALCULATED),
            Input("I", "Inertia", i, "kg_m2", origin_of(inertia)),
            Input("N", "Speed", n, "rpm", Origin.ENTERED),
        ),
        "Khurmi, Theory of Machines, ch. 16",
        verdict=f"The speed swings between {sig(n * (1 - value / 2))} and "
        f"{sig(n * (1 + value / 2))} rpm.",
        cautions=(NOT_LEAVE_TO_STEAM,),
    )
