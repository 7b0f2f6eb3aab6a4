"""Tapping drills: the hole for a thread, and the percentage of thread. Diameters in mm."""

from __future__ import annotations

import math
from functools import cache

from .. import tables
from ..calculation import Calculation, Caution, Input, Origin
from ..errors import OutOfRange, UnknownName, finite
from ..figures import full, sig
from ..sentences import amount
from .threads import INCH, Thread, require_straight

TAP = Caution(
    "Clear chips, oil the tap (dry in cast iron) and stop when it binds.",
    "Above 80 % of thread taps break for little more strength; a tap broken in an old casting may "
    "cost the casting.",
)


def depth_on_diameter(t: Thread, basis: str) -> float:
    """Return the full depth of thread, both sides, as a fraction of the pitch.

    Args:
        basis: "full" for the full depth of the bolt's thread (1.299 of the pitch at 60 degrees,
            the common American shop rule; 1.2807 for Whitworth, 1.2 for BA), "basic" for the
            Unified basic height of the nut's thread (1.0825), which only 60 degree threads have.
    """
    require_straight(t)
    if basis == "full":
        return 1.299038 if t.flank_deg == 60 and t.series != "V60" else t.form.minor_outside
    if basis == "basic":
        if t.flank_deg != 60 or t.series == "V60":
            raise OutOfRange(f"{t.name} has one depth of thread: use the full basis.")
        return 1.082532
    raise UnknownName(f"The percentage of thread is on the full or the basic depth, not {basis!r}.")


def tapping_drill(t: Thread, percent: float | None = None, *, basis: str = "full") -> Calculation:
    """Diameter of the hole to tap. [mm]

    Args:
        percent: The part of the full depth of thread that remains, 40 to 100. [%] None takes
            the usual hole: of ISO metric threads D − p as in ISO 2306, of others 75 %.
        basis: What counts as 100 %, see `depth_on_diameter`. The two differ by an eightieth of
            an inch at 1/2-13, so the verdict names it.

    Raises:
        OutOfRange: a percentage no tap can cut, or a taper thread.
    Source: d = D − f × (q/100) × p; "0.01299 q / n" of the American shops, from memory.
    """
    f = depth_on_diameter(t, basis)
    usual = 100 / f if t.series == "M" else 75.0
    q = finite("percentage of thread", usual if percent is None else percent, least=40, upto=100)
    value = t.major_mm - f * q / 100 * t.pitch_mm
    name, drill = nearest_drill(value, metric=t.series == "M")
    drill_percent = thread_percent_of(t, drill, f)
    size = "" if name.endswith((" in", " mm")) else f" ({amount(drill, 'mm', 4)})"
    clauses = [f"Nearest drill {name}{size}, which leaves {sig(drill_percent, 3)} % of thread"]
    clauses.append(f"100 % here is a depth of {f:g} × p on the diameter")
    if t.flank_deg == 60 and t.series != "V60":
        other = "basic" if basis == "full" else "full"
        other_percent = thread_percent_of(t, drill, depth_on_diameter(t, other))
        clauses.append(f"on the {other} depth the same drill counts {sig(other_percent, 3)} %")
    if q > 80:
        clauses.append("over 80 % taps break")
    return Calculation(
        "Tapping drill",
        value,
        "mm",
        f"D − {f:g} × q/100 × p",
        f"{amount(t.major_mm, 'mm', 6)} − {f:g} × {sig(q, 3)}/100 × "
        f"{full(t.pitch_mm, 'mm')} = {amount(value, 'mm', 5)}",
        (
            *t.inputs(),
            Input(
                "q",
                "Percentage of thread",
                q,
                "percent",
                Origin.ASSUMED if percent is None else Origin.ENTERED,
                f"{basis} depth",
            ),
        ),
        "d = D − f × q/100 × p, common shop rule; " + t.form.source,
        verdict="; ".join(clauses) + ".",
        cautions=(TAP,),
        limits="55 to 80 % serves most work; 60 to 75 % in cast iron (practice).",
    )


def thread_percent_of(t: Thread, drill_mm: float, depth: float) -> float:
    """Return the percentage of thread left by a hole, of the full depth `depth` × p."""
    return 100 * (t.major_mm - drill_mm) / (depth * t.pitch_mm)


def thread_percent(t: Thread, drill_mm: float, *, basis: str = "full") -> Calculation:
    """Percentage of thread that a drilled hole leaves. [%] Errors and bases as `tapping_drill`."""
    drill = finite("drill", drill_mm, "mm", upto=t.major_mm)
    f = depth_on_diameter(t, basis)
    value = thread_percent_of(t, drill, f)
    if value > 100.5:
        raise OutOfRange(
            f"A hole of {amount(drill, 'mm')} is smaller than the root of {t.name}: "
            "no tap can cut it."
        )
    return Calculation(
        "Percentage of thread",
        value,
        "percent",
        f"100 × (D − d) / ({f:g} × p)",
        f"100 × ({amount(t.major_mm, 'mm', 6)} − {amount(drill, 'mm', 6)}) / "
        f"({f:g} × {amount(t.pitch_mm, 'mm', 5)})"
        f" = {sig(value, 4)}",
        (*t.inputs(), Input("d", "Drill", drill, "mm", Origin.ENTERED)),
        "common shop rule; " + t.form.source,
        verdict=f"Of the {basis} depth of thread.",
        cautions=(TAP,),
    )


@cache
def drills() -> tuple[tuple[float, str], ...]:
    """Return number, letter and inch drills (by 64ths to 3 in) as (diameter in mm, name)."""
    sizes = [(float(r["diameter_in"]) * INCH, r["name"]) for r in tables.read("drills")]
    for n in range(1, 193):
        divisor = math.gcd(n, 64)
        whole, part = divmod(n // divisor, 64 // divisor)
        words = f"{part}/{64 // divisor}" if part else ""
        sizes.append((n / 64 * INCH, f"{whole or ''} {words}".strip() + " in"))
    return tuple(sorted(sizes))


def nearest_drill(diameter_mm: float, *, metric: bool = False) -> tuple[str, float]:
    """Return (name, diameter) of the nearest drill; metric ones go by 0.1 mm, over 14 by 0.25.

    >>> nearest_drill(10.72)
    ('27/64 in', 10.715625)
    """
    d = finite("diameter of the hole", diameter_mm, "mm", upto=500)
    if metric:
        step = 0.1 if d < 14 else 0.25
        size = round(round(d / step) * step, 2)
        return f"{size:g} mm", size
    size, name = min(drills(), key=lambda drill: abs(drill[0] - d))
    if abs(size - d) > 0.5:
        raise OutOfRange(
            f"A hole of {amount(d, 'mm')} is bored, not drilled: no drill is listed for it."
        )
    return name, size
