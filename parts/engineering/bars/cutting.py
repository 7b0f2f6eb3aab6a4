"""Bars: the cutting list of blanks out of stock lengths and offcuts.

Lengths in mm, money in the unit the prices are given in. A set of blanks fits a bar when
Σ (l + k) ≤ L − e + k: every blank takes its length and one kerf, the end trim is lost once, and
the last cut falls off the end of the bar.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from ..calculation import Calculation, Caution, Input, Origin
from ..errors import Infeasible, OutOfRange, finite
from ..figures import full, sig
from ..packing.cutting_patterns import Bin
from ..packing.packing import Packing, largest_first, pack
from ..sentences import amount

SOURCE = (
    "Gilmore and Gomory, A linear programming approach to the cutting-stock problem, "
    "Operations Research 9, 1961; solved with HiGHS"
)
CAUTIONS = (
    Caution(
        "Clamp both sides of the cut and keep clear of the blade.",
        "A short offcut can be thrown. Eye protection; follow the maker of the saw and the rules "
        "of the shop.",
    ),
    Caution(
        "Measure each bar before the first cut: stock lengths vary.",
        "Bars bought as random lengths and old offcuts are seldom what the list says.",
    ),
)


@dataclass(frozen=True)
class Blank:
    """Pieces of one length to be cut.

    Args:
        name: What they are for ("stay bolt").
        length_mm: Length as sawn, with what is left on for facing (see `sawn_length`). [mm]
        quantity: How many.
        material, section: Which bar it must come from ("steel", "hexagon 1 1/2 in").
    """

    name: str
    length_mm: float
    quantity: int
    material: str = "not_known"
    section: str = ""


@dataclass(frozen=True)
class Stock:
    """Bars of one length, to be bought or on hand.

    Args:
        name: What it is called ("6 m bar", "offcut 14").
        length_mm: Its length. [mm]
        cost: Price of one, or what an offcut is worth to the shop. None when no price is known.
        on_hand: How many there are; None when any number can be bought.
        material, section: As of the blanks.
    """

    name: str
    length_mm: float
    cost: float | None = None
    on_hand: int | None = None
    material: str = "not_known"
    section: str = ""


@dataclass(frozen=True)
class Cut:
    """A piece of a bar: its blank, its length, and where it begins, measured from the trimmed
    end. [mm]"""

    name: str
    length_mm: float
    from_mm: float


@dataclass(frozen=True)
class BarCut:
    """One bar, or several sawn in the same way.

    Args:
        stock: The bar.
        bars: How many are sawn in this way.
        cuts: The pieces in the order they are sawn, longest first.
        left_mm: What is left of each bar after the last cut. [mm]
    """

    stock: Stock
    bars: int
    cuts: tuple[Cut, ...]
    left_mm: float


@dataclass(frozen=True)
class BarPlan:
    """A cutting list.

    Args:
        bars: Each bar with its cuts.
        calculation: The cost (or the number of bars, or the length) with its bound.
        proven: True when nothing cheaper can exist.
        bound: Nothing can cost less than this.
        gap: (cost − bound) ÷ cost.
        taken_mm: Length of all the bars taken. [mm]
        waste_mm: Saw dust, trim and remnants together. [mm]
        by_hand_cost: Cost of sawing the longest blanks first; None when they do not all fit.
        by_hand_bars: How many bars that would take.
        metal_saved_mm: Length of bar saved against that; less than 0 when a cheaper plan takes
            more metal. [mm]
    """

    bars: tuple[BarCut, ...]
    calculation: Calculation
    proven: bool
    bound: float
    gap: float
    taken_mm: float
    waste_mm: float
    by_hand_cost: float | None
    by_hand_bars: int | None
    metal_saved_mm: float | None


def sawn_length(
    finished_mm: float, *, faces: int = 2, facing_mm: float = 1.5, holding_mm: float = 0.0
) -> Calculation:
    """Length to saw for a piece that is faced afterwards. [mm]

    Args:
        finished_mm: Length when finished. [mm]
        faces: Ends that are faced: 0, 1 or 2.
        facing_mm: What is left on each faced end. [mm]
        holding_mm: What the chuck needs and is cut off later. [mm]

    Raises:
        OutOfRange: a length that cannot be.
    Source: common practice, no source: 1.5 mm (1/16 in) an end when sawn, 3 mm when flame cut.
    """
    length = finite("finished length", finished_mm, "mm", upto=1e5)
    facing = finite("facing allowance", facing_mm, "mm", least=0.0, upto=100)
    holding = finite("length held in the chuck", holding_mm, "mm", least=0.0, upto=1e4)
    if faces not in (0, 1, 2):
        raise OutOfRange(f"A blank has 0, 1 or 2 faced ends, not {faces!r}.")
    value = length + faces * facing + holding
    return Calculation(
        "Length to saw",
        value,
        "mm",
        "L + n × f + h",
        f"{full(length, 'mm')} + {faces} × {full(facing, 'mm')} + {full(holding, 'mm')} = "
        f"{amount(value, 'mm', 6)}",
        (
            Input("L", "Finished length", length, "mm", Origin.ENTERED),
            Input("n", "Faced ends", float(faces), "", Origin.ENTERED),
            Input("f", "Left on each faced end", facing, "mm", Origin.ASSUMED, "common practice"),
            Input("h", "Held in the chuck", holding, "mm", Origin.ENTERED),
        ),
    )


def pieces_per_bar(
    bar_mm: float, blank_mm: float, *, kerf_mm: float = 0.0, end_trim_mm: float = 0.0
) -> int:
    """Return how many equal blanks a bar gives: floor((L − e + k) / (l + k)). All in mm."""
    bar = finite("length of the bar", bar_mm, "mm", upto=1e5)
    blank = finite("length of the blank", blank_mm, "mm", upto=1e5)
    kerf, trim = _check_saw(kerf_mm, end_trim_mm)
    return max(0, int((bar - trim + kerf + 1e-6) / (blank + kerf)))


def cutting_list(
    blanks: Sequence[Blank],
    stock: Sequence[Stock],
    *,
    kerf_mm: float,
    end_trim_mm: float = 0.0,
    aim: str = "cost",
    seconds: float = 3.0,
) -> BarPlan:
    """Return the cheapest cutting list, or the one with the fewest bars.

    Args:
        blanks: The pieces to cut, all of one material and section.
        stock: Bars and offcuts of that material and section.
        kerf_mm: Width of the saw cut. [mm]
        end_trim_mm: Sawn off each bar before the first blank, its own cut included. [mm]
        aim: "cost", or "bars" for the fewest bars whatever they cost, offcuts counted as bars.
        seconds: Time limit, after which the best plan so far is returned with its gap. [s]

    When any price is missing, "cost" minimises the length of bar instead, and the verdict says so.

    Raises:
        OutOfRange: a size that cannot be, or nothing wanted.
        Infeasible: a blank longer than any bar, or not enough bars on hand; the message names
            the blanks that are left over.
    Source: Gilmore and Gomory 1961; see `packing` for how the optimum is proven.
    """
    kerf, trim = _check_saw(kerf_mm, end_trim_mm)
    blanks, stock = _check_inputs(blanks, stock, kerf, trim)
    if aim not in ("cost", "bars"):
        raise OutOfRange(f"A cutting list aims at least cost or fewest bars, not {aim!r}.")
    priced = all(s.cost is not None for s in stock)
    if aim == "bars":
        costs = [1.0] * len(stock)
    else:
        costs = [float(s.cost) if priced else s.length_mm / 1000 for s in stock]
    sizes = [b.length_mm + kerf for b in blanks]
    quantities = [b.quantity for b in blanks]
    bins = [
        Bin(s.length_mm - trim + kerf, cost, s.on_hand)
        for s, cost in zip(stock, costs, strict=True)
    ]
    by_hand = largest_first(sizes, quantities, bins)
    best = pack(sizes, quantities, bins, seconds=seconds, first=by_hand)
    if sum(best.missing):
        raise Infeasible(_infeasible_message(best, blanks, kerf))
    return _plan(best, by_hand, _Task(blanks, stock, kerf, trim, aim, priced))


def cutting_lists(
    blanks: Sequence[Blank], stock: Sequence[Stock], *, seconds: float = 3.0, **saw
) -> dict[tuple[str, str], BarPlan]:
    """Return a cutting list for each (material, section). Arguments, errors: `cutting_list`."""
    kinds = sorted({(b.material, b.section) for b in blanks})
    plans = {}
    for kind in kinds:
        bars = [s for s in stock if (s.material, s.section) == kind]
        if not bars:
            words = " ".join(w for w in (kind[0].replace("_", " "), kind[1]) if w)
            raise Infeasible(f"No bar of {words} is listed: add a stock length or an offcut.")
        own = [b for b in blanks if (b.material, b.section) == kind]
        plans[kind] = cutting_list(own, bars, seconds=seconds / len(kinds), **saw)
    return plans


def _check_saw(kerf_mm: float, end_trim_mm: float) -> tuple[float, float]:
    return (
        finite("saw kerf", kerf_mm, "mm", least=0.0, upto=50),
        finite("end trim", end_trim_mm, "mm", least=0.0, upto=5000),
    )


def _check_inputs(blanks, stock, kerf, trim) -> tuple[list[Blank], list[Stock]]:
    blanks = [b for b in blanks if b.quantity != 0]
    if not blanks:
        raise OutOfRange("Nothing is wanted: list at least one blank.")
    if not stock:
        raise Infeasible("No bar is listed: add a stock length or an offcut.")
    for b in blanks:
        finite(f"length of {b.name}", b.length_mm, "mm", upto=1e5)
        if b.quantity != int(b.quantity) or not 0 < b.quantity <= 10_000:
            raise OutOfRange(f"{b.name}: {b.quantity!r} pieces cannot be sawn; 1 to 10,000 can.")
    for s in stock:
        finite(f"length of {s.name}", s.length_mm, "mm", upto=1e5)
        if s.cost is not None:
            finite(f"price of {s.name}", s.cost, least=0.0)
        if s.on_hand is not None and (s.on_hand != int(s.on_hand) or s.on_hand < 0):
            raise OutOfRange(f"{s.name}: {s.on_hand!r} bars cannot be on hand.")
    stock = [s for s in stock if s.on_hand != 0]
    longest = max((s.length_mm for s in stock), default=0.0) - trim
    for b in blanks:
        if b.length_mm > longest + 1e-6:
            raise Infeasible(
                f"{b.name} is {amount(b.length_mm, 'mm', 6)} long and the longest bar gives "
                f"{amount(max(0.0, longest), 'mm', 6)}: list a longer bar, or make the piece in "
                "two."
            )
    return blanks, stock


def _infeasible_message(best: Packing, blanks, kerf) -> str:
    missing = [(b, n) for b, n in zip(blanks, best.missing, strict=True) if n]
    words = ", ".join(f"{n} of {b.name} ({amount(b.length_mm, 'mm', 6)})" for b, n in missing)
    length = sum(n * (b.length_mm + kerf) for b, n in missing)
    reason = "there are not enough bars" if best.proven else "no plan was found in time"
    return (
        f"These blanks are left over because {reason}: {words}. "
        f"Another {amount(length, 'mm', 4)} of bar, in usable lengths, would take them."
    )


@dataclass(frozen=True)
class _Task:
    """What is asked of a cutting list, its inputs checked. Lengths in mm."""

    blanks: Sequence[Blank]
    stock: Sequence[Stock]
    kerf: float
    trim: float
    aim: str
    priced: bool


def _plan(best: Packing, by_hand: Packing | None, task: _Task) -> BarPlan:
    stock = task.stock
    bars = tuple(
        sorted(
            (_bar(stock[s], n, fill, task) for s, fill, n in best.fills),
            key=lambda b: (-b.stock.length_mm, b.stock.name, [-c.length_mm for c in b.cuts]),
        )
    )
    taken_mm = sum(b.bars * b.stock.length_mm for b in bars)
    used = sum(b.length_mm * b.quantity for b in task.blanks)
    by_hand_mm = (
        None if by_hand is None else sum(stock[s].length_mm * n for s, _, n in by_hand.fills)
    )
    gap = 0.0 if best.proven or best.cost <= 0 else (best.cost - best.bound) / best.cost
    return BarPlan(
        bars=bars,
        calculation=_calculation(best, by_hand, task, bars, by_hand_mm, taken_mm, gap),
        proven=best.proven,
        bound=best.bound,
        gap=gap,
        taken_mm=taken_mm,
        waste_mm=taken_mm - used,
        by_hand_cost=None if by_hand is None else by_hand.cost,
        by_hand_bars=None if by_hand is None else sum(n for _, _, n in by_hand.fills),
        metal_saved_mm=None if by_hand_mm is None else by_hand_mm - taken_mm,
    )


def _bar(bar: Stock, bars: int, fill, task: _Task) -> BarCut:
    blanks = task.blanks
    order = sorted(
        (i for i, n in enumerate(fill) for _ in range(n)), key=lambda i: -blanks[i].length_mm
    )
    cuts, start = [], 0.0
    for i in order:
        cuts.append(Cut(blanks[i].name, blanks[i].length_mm, start))
        start += blanks[i].length_mm + task.kerf
    return BarCut(bar, bars, tuple(cuts), max(0.0, bar.length_mm - task.trim - start))


def _calculation(best, by_hand, task: _Task, bars, by_hand_mm, taken_mm, gap) -> Calculation:
    blanks, aim, priced = task.blanks, task.aim, task.priced
    count = sum(b.bars for b in bars)
    name, unit = "Cost of the bars", ""
    if aim == "bars":
        name, unit = "Bars to take", ""
    elif not priced:
        name, unit = "Bar to take", "m"
    tally = Counter()
    for b in bars:
        tally[b.stock] += b.bars
    figures = " + ".join(f"{n} × {_price_of(bar, aim, priced)}" for bar, n in tally.items())
    clauses = [
        f"{count} {'bar' if count == 1 else 'bars'} for {sum(b.quantity for b in blanks)} blanks"
    ]
    if best.proven:
        clauses.append("fewest possible")
    else:
        clauses.append(f"at most {sig(100 * gap, 2)} % over the least that can do")
    if not priced and aim == "cost":
        clauses.append("no price for every bar, so the least length is taken")
    if by_hand is None:
        clauses.append("sawn longest first the blanks do not all come out")
    else:
        by_hand_bars = sum(n for _, _, n in by_hand.fills)
        clauses.append(
            f"sawn longest first it takes {_bars(by_hand_bars)}"
            + (
                f" and {amount(by_hand_mm - taken_mm, 'mm', 4)} more"
                if by_hand_mm > taken_mm + 1e-6
                else ""
            )
        )
    return Calculation(
        name,
        best.cost,
        unit,
        "Σ (bars taken × price of one), with Σ (l + k) ≤ L − e + k on each bar",
        f"{figures} = {sig(best.cost, 6)}",
        (
            *(
                Input("l", f"{b.name}, {b.quantity} wanted", b.length_mm, "mm", Origin.ENTERED)
                for b in blanks
            ),
            Input("k", "Saw kerf", task.kerf, "mm", Origin.ENTERED),
            Input("e", "End trim", task.trim, "mm", Origin.ENTERED),
        ),
        SOURCE,
        low=best.bound,
        high=best.cost,
        interval="from the least that can be to this plan",
        verdict="; ".join(clauses).capitalize() + ".",
        cautions=CAUTIONS,
        limits="Straight cuts across one bar at a time; bent or flawed lengths must be taken off "
        "the stock first.",
    )


def _bars(n: int) -> str:
    return "1 bar" if n == 1 else f"{n} bars"


def _price_of(bar: Stock, aim: str, priced: bool) -> str:
    if aim == "bars":
        return "1"
    return sig(bar.cost if priced else bar.length_mm / 1000, 6)


def least_bars(
    blanks: Sequence[Blank], bar_mm: float, *, kerf_mm: float, end_trim_mm: float = 0.0
) -> int:
    """Return a simple lower bound on the number of equal bars: ceil(Σ n (l + k) / (L − e + k)).

    Source: common practice, no source; the linear program's bound is never less.
    """
    kerf, trim = _check_saw(kerf_mm, end_trim_mm)
    room = finite("length of the bar after trimming", bar_mm - trim, "mm", upto=1e5) + kerf
    return math.ceil(sum(b.quantity * (b.length_mm + kerf) for b in blanks) / room - 1e-9)
