"""From the finished size to the pattern, and from the finished mass to the pour.

Sizes in mm, masses in kg. Contraction and loss are parts of one. The tables give ranges because
sources disagree; a person's own figure overrides them. Planning figures: the foundry decides.
"""

from __future__ import annotations

from math import radians, tan

from ..calculation import Calculation, Input, Origin
from ..errors import OutOfRange, finite
from ..figures import full, sig
from ..materials import properties
from ..sentences import amount
from .allowances import FACES, Face, allowance, face, machining_allowance, raw_size, tolerance
from .pouring import crucible, crucible_number, finishing_stock, mass_from_pattern, pour

__all__ = [
    "FACES",
    "Face",
    "allowance",
    "casting_from_pattern",
    "contraction_from_rule",
    "contraction_from_test_bar",
    "crucible",
    "crucible_number",
    "draft",
    "face",
    "finishing_stock",
    "machining_allowance",
    "mass_from_pattern",
    "pattern_size",
    "pour",
    "raw_size",
    "tolerance",
    "usual_draft",
]

CONTRACTION_LIMITS = (
    "Free contraction only: cores and hard moulds hold a casting back, and a cored cylinder "
    "shrinks more along its length than across. The foundry's own experience comes first."
)
DRAFT_MOST_DEG, CONTRACTION_MOST, ALLOWANCE_MOST_MM = 30.0, 0.1, 100.0
"""Upper limits, for forms and calculations alike."""
RAPPING = "For patterns under about a foot, rapping may cancel the contraction."


def contraction_from_rule(inches_in_a_foot: float) -> float:
    """Contraction as a part of one from inches in the foot: a / 12.

    >>> round(contraction_from_rule(1 / 8) * 100, 3)
    1.042
    """
    return finite("contraction in a foot", inches_in_a_foot, least=0.0, upto=1.2) / 12


def contraction_from_test_bar(mould_mm: float, bar_mm: float) -> Calculation:
    """Contraction from a test bar: mould / bar - 1, both measured cold.

    Raises:
        OutOfRange: a length cannot be, the bar is longer than its mould, or it shrank over a tenth.
    """
    mould = finite("length of the mould", mould_mm, "mm", upto=1e5)
    bar = finite("length of the bar", bar_mm, "mm", upto=1e5)
    if bar > mould:
        raise OutOfRange("The bar is longer than its mould: measure both again, cold.")
    value = mould / bar - 1
    if value > 0.1:
        raise OutOfRange("No metal shrinks by more than a tenth: measure both again, cold.")
    return Calculation(
        "Contraction from a test bar",
        value * 100,
        "percent",
        "(mould ÷ bar - 1) × 100",
        f"({sig(mould)} ÷ {sig(bar)} - 1) × 100 = {sig(value * 100)} %",
        (
            Input("M", "Mould", mould, "mm", Origin.MEASURED),
            Input("B", "Bar, cold", bar, "mm", Origin.MEASURED),
        ),
        "definition of the pattern-maker's contraction",
        limits=CONTRACTION_LIMITS,
    )


def _contraction(metal: str, own: float | None, size_mm: float, letter: str, name: str):
    """Return a contraction as an Input, and its low and high, own or from the table."""
    if own is not None:
        value = finite("contraction", own, least=0.0, upto=CONTRACTION_MOST)
        entry = Input(letter, name, value * 100, "percent", Origin.ENTERED)
        return entry, value, value
    table = properties.contraction(metal, size_mm)
    entry = Input(letter, name, table.value * 100, "percent", Origin.TABLE, table.cited)
    return entry, table.low, table.high


def _finish(metal: str, kind: Face, own: float | None, largest_mm: float, surface: str | None):
    """Return the finishing allowance of one surface as an Input, and its low and high [mm]."""
    name = "Finishing allowance, each machined surface"
    if not kind.machined:
        return Input("m", name, 0.0, "mm", Origin.ASSUMED, "nothing is machined here"), 0.0, 0.0
    if own is not None:
        value = finite("finishing allowance", own, "mm", least=0.0, upto=ALLOWANCE_MOST_MM)
        return Input("m", name, value, "mm", Origin.ENTERED), value, value
    table = allowance(metal, largest_mm, surface or ("bore" if kind.inside else "side"))
    entry = Input("m", name, table.value, "mm", Origin.TABLE, table.cited)
    return entry, table.low, table.high


def pattern_size(
    finished_mm: float,
    metal: str,
    kind: str = "boss",
    *,
    largest_mm: float | None = None,
    surface: str | None = None,
    allowance_mm: float | None = None,
    contraction: float | None = None,
    pattern_metal: str | None = None,
    pattern_contraction: float | None = None,
    draft_deg: float = 0.0,
    depth_mm: float = 0.0,
) -> Calculation:
    """Size of the pattern for one finished size [mm].

    P = (L ± n m) (1 + c), and again (1 + cp) for the master of a metal pattern. The allowance makes
    an outside larger and a bore smaller; contraction makes every size larger, holes too. Draft is
    added last and never reduces the size: an outside grows towards the parting, a hole shrinks
    away from it. The size at the other end of the draw is a part of this Calculation.

    Args:
        finished_mm: The finished size [mm].
        metal: The metal or material of the casting.
        kind: A key of `FACES`.
        largest_mm: The largest size of the casting, for the table of allowances; default this size.
        surface: "side", "bore" or "cope"; default by the kind of face.
        allowance_mm: A person's own allowance for each machined surface, overriding the table [mm].
        contraction: A person's own contraction, a part of one, overriding the table.
        pattern_metal: The metal of the pattern, where a wooden master is made for it.
        pattern_contraction: A person's own contraction of that metal.
        draft_deg: Draft of each side [deg].
        depth_mm: Depth of the draw [mm].

    Returns:
        Calculation in mm, its interval from the limits of contraction and allowance.

    Raises:
        OutOfRange: a size that cannot be; an allowance that closes the bore; the table ends.
        UnknownName: unknown metal or face.
    """
    size = finite("finished size", finished_mm, "mm", upto=50_000)
    ends = face(kind)
    properties.metal(metal)
    largest = size if largest_mm is None else finite("largest size", largest_mm, "mm", upto=50_000)
    if largest < size:
        raise OutOfRange("The largest size of the casting is smaller than this size.")
    stock, stock_low, stock_high = _finish(metal, ends, allowance_mm, largest, surface)
    shrink, shrink_low, shrink_high = _contraction(metal, contraction, size, "c", "Contraction")
    inputs = [Input("L", f"Finished size: {ends.name}", size, "mm", Origin.ENTERED), stock, shrink]
    master, master_low, master_high = 0.0, 0.0, 0.0
    if pattern_metal is not None or pattern_contraction is not None:
        second, master_low, master_high = _contraction(
            pattern_metal or metal, pattern_contraction, size, "cp", "Contraction of the pattern"
        )
        master = second.value / 100
        inputs.append(second)
    sign = -1 if ends.inside else 1

    def pattern_length(m: float, c: float, cp: float) -> float:
        return (size + sign * ends.machined * m) * (1 + c) * (1 + cp)

    value = pattern_length(stock.value, shrink.value / 100, master)
    if value <= 0 or size + sign * ends.machined * stock_high <= 0:
        raise OutOfRange(
            f"The allowance closes the bore of {amount(size, 'mm')}: cast it solid and drill it."
        )
    stocks = (stock_high, stock_low) if ends.inside else (stock_low, stock_high)
    low, high = (
        pattern_length(stocks[0], shrink_low, master_low),
        pattern_length(stocks[1], shrink_high, master_high),
    )
    mark = "-" if ends.inside else "+"
    formula, figures = "L × (1 + c)", f"{full(size, 'mm')} × {full(1 + shrink.value / 100)}"
    if ends.machined:
        formula = f"(L {mark} {ends.machined} × m) × (1 + c)"
        figures = (
            f"({full(size, 'mm')} {mark} {ends.machined} × {full(stock.value, 'mm')})"
            f" × {full(1 + shrink.value / 100)}"
        )
    if len(inputs) > 3:
        formula += " × (1 + cp)"
        figures += f" × {full(1 + master)}"
    exact = abs(high - low) < 1e-12
    return Calculation(
        "Pattern size" if len(inputs) == 3 else "Size of the master pattern",
        value,
        "mm",
        formula,
        f"{figures} = {amount(value, 'mm', 5)}",
        tuple(inputs),
        "pattern-makers' rule: allowance first, then contraction; draft last",
        None if exact else low,
        None if exact else high,
        "" if exact else "from the limits of the contraction and the allowance",
        limits=f"{CONTRACTION_LIMITS} {RAPPING}" if size < 305 else CONTRACTION_LIMITS,
        parts=_draft_part(value, ends, draft_deg, depth_mm),
    )


def _draft_part(
    value: float, ends: Face, draft_deg: float, depth_mm: float
) -> tuple[Calculation, ...]:
    if not draft_deg and not depth_mm:
        return ()
    lean = draft(draft_deg, depth_mm)
    other = value + (-2 if ends.inside else 2) * lean.value
    if other <= 0:
        raise OutOfRange("The draft closes the hole: use a core, less draft or less depth.")
    where = "deep in the draw" if ends.inside else "at the parting"
    return (
        Calculation(
            f"Size {where}, with draft",
            other,
            "mm",
            "P - 2 × e" if ends.inside else "P + 2 × e",
            f"{full(value, 'mm')} {'-' if ends.inside else '+'} 2 × {full(lean.value, 'mm')}"
            f" = {amount(other, 'mm', 5)}",
            (
                Input("P", "Pattern size", value, "mm", Origin.CALCULATED),
                Input("e", "Draft of each side", lean.value, "mm", Origin.CALCULATED),
            ),
            lean.source,
            parts=(lean,),
        ),
    )


def usual_draft(kind: str) -> float:
    """Usual draft of each side [deg]: 1 outside, 2 inside (from memory).

    Inside 2 to 3 is usual, and more for loose patterns that are drawn by hand. Raises UnknownName.
    """
    return 2.0 if face(kind).inside else 1.0


def draft(angle_deg: float, depth_mm: float) -> Calculation:
    """Draft of each side over the depth of the draw [mm]: depth × tan(angle).

    Raises:
        OutOfRange: the angle is not in 0 to `DRAFT_MOST_DEG`, or the depth cannot be.
    """
    angle = finite("draft angle", angle_deg, "deg", least=0.0, upto=DRAFT_MOST_DEG)
    depth = finite("depth of the draw", depth_mm, "mm", upto=50_000)
    value = depth * tan(radians(angle))
    return Calculation(
        "Draft of each side",
        value,
        "mm",
        "h × tan(a)",
        f"{full(depth, 'mm')} × tan({angle:g}°) = {amount(value, 'mm')}",
        (
            Input("h", "Depth of the draw", depth, "mm", Origin.ENTERED),
            Input("a", "Draft angle", angle, "deg", Origin.ENTERED),
        ),
        "geometry",
    )


def casting_from_pattern(
    pattern_mm: float, metal: str, contraction: float | None = None
) -> Calculation:
    """Size of the casting from an old pattern [mm]: P / (1 + c).

    Raises:
        OutOfRange: a size or contraction that cannot be. UnknownName: unknown metal.
    """
    size = finite("pattern size", pattern_mm, "mm", upto=50_000)
    shrink, low, high = _contraction(metal, contraction, size, "c", "Contraction")
    value = size / (1 + shrink.value / 100)
    return Calculation(
        "Casting from a pattern",
        value,
        "mm",
        "P ÷ (1 + c)",
        f"{full(size, 'mm')} ÷ {1 + shrink.value / 100:.5g} = {amount(value, 'mm', 5)}",
        (Input("P", "Pattern size", size, "mm", Origin.ENTERED), shrink),
        "pattern-makers' rule",
        None if low == high else size / (1 + high),
        None if low == high else size / (1 + low),
        "" if low == high else "from the limits of the contraction",
        limits=CONTRACTION_LIMITS,
    )
