"""Timed calculations, for `manage.py bench`. Every figure is measured in the same run."""

from __future__ import annotations

import random
from time import perf_counter

from parts.engineering.bars.cutting import Blank, Stock, cutting_list
from parts.engineering.casting.charge import charge
from parts.engineering.casting.lots import Lot


def bars_case() -> tuple[str, float, str]:
    """Time a cutting list of 200 blanks in 12 sizes, two stock lengths and ten offcuts.

    Returns (name, seconds, how the plan compares with sawing the longest first). The lengths are
    invented, drawn with a fixed seed.
    """
    draw = random.Random(1)  # noqa: S311  the same case on every machine
    lengths = draw.sample(range(100, 1400), 12)
    edges = [0, *sorted(draw.sample(range(1, 200), 11)), 200]
    blanks = [
        Blank(f"blank {i + 1}", float(length), edges[i + 1] - edges[i])
        for i, length in enumerate(lengths)
    ]
    stock = [Stock("6 m bar", 6000.0, 58.40), Stock("3 m bar", 3000.0, 31.75)]
    stock += [Stock(f"offcut {n + 1}", float(draw.randint(300, 2400)), 0.0, 1) for n in range(10)]
    begun = perf_counter()
    plan = cutting_list(blanks, stock, kerf_mm=2.5, end_trim_mm=10.0)
    seconds = perf_counter() - begun
    found = "proven" if plan.proven else f"gap {100 * plan.gap:.2f} %"
    against = "longest first does not come out"
    if plan.by_hand_cost is not None:
        saved = plan.by_hand_cost - plan.calculation.value
        against = (
            f"{saved:.2f} less than longest first ({100 * saved / plan.by_hand_cost:.1f} %), "
            f"{(plan.metal_saved_mm or 0.0) / 1000:.1f} m of bar saved"
        )
    return "cutting list, 200 blanks of 12 sizes", seconds, f"{found}; {against}"


def charge_case() -> tuple[str, float, str]:
    """Time a charge of 12 lots by 7 elements. Returns (name, seconds, what it costs).

    The lots are invented, drawn with a fixed seed; the solver is loaded before the clock starts.
    """
    draw = random.Random(7)  # noqa: S311
    limits = {
        "Cu": (84.0, 86.0),
        "Sn": (4.0, 6.0),
        "Pb": (4.0, 6.0),
        "Zn": (4.0, 6.0),
        "Fe": (0.0, 0.3),
        "Ni": (0.0, 1.0),
        "Sb": (0.0, 0.25),
    }
    lots = []
    for n in range(12):
        shares = {e: draw.uniform(*ends) for e, ends in limits.items() if e != "Cu"}
        shares |= {e: shares[e] * draw.uniform(0.4, 1.6) for e in ("Sn", "Pb", "Zn")}
        shares["Cu"] = 100 - sum(shares.values())
        lots.append(Lot(f"lot {n + 1}", shares, draw.uniform(3, 12), draw.uniform(3, 9)))
    charge(limits, lots, 10.0)
    begun = perf_counter()
    found = charge(limits, lots, 10.0)
    seconds = perf_counter() - begun
    dear = max(lot.cost_per_kg for lot in lots) * 10.0
    return (
        "charge, 12 lots by 7 elements",
        seconds,
        f"costs {found.cost.value:.2f}; {dear:.2f} from the dearest lot alone",
    )
