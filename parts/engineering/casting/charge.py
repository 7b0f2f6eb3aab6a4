"""The charge: how much of each lot of the metal store makes an alloy.

The cheapest charge is a linear program: kilograms of each lot, never more than is on hand, that
fill the crucible exactly and leave every element within its limits after what melting burns off.
Masses in kg, compositions in per cent by mass, money in the unit of the prices.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from ..calculation import Calculation, Caution, Input, Origin
from ..errors import Infeasible, OutOfRange, finite
from ..figures import full, sig
from ..materials import properties
from ..packing.solver import INF, solve
from ..sentences import amount
from .lots import Lot, cautions_for, composition, element_word, melt_composition, retention

SOURCE = (
    "x = Σ m (1 − l) a ÷ Σ m (1 − l), blend by mass with losses; least cost by linear program "
    "(HiGHS)"
)
TRACE = 1e-7
# Never handled pure in a small foundry: they come in bought alloy.
BOUGHT_ONLY = ("As", "P", "Cd", "Bi", "S")


@dataclass(frozen=True)
class Line:
    """The mass to weigh out of one lot [kg], and its cost."""

    lot: Lot
    kg: float
    cost: float


@dataclass(frozen=True)
class Miss:
    """An element that the lots cannot bring within its limits. Per cent of the melt."""

    element: str
    reached: float
    low: float
    high: float


class ChargeInfeasible(Infeasible):
    """No charge of these lots meets the limits.

    Attributes:
        misses: The elements out of their limits in the charge that comes nearest.
        additions: Element -> kg of pure metal that would correct it (the least in all).
    """

    def __init__(self, message: str, misses: tuple[Miss, ...], additions: Mapping[str, float]):
        super().__init__(message)
        self.misses = misses
        self.additions = additions


@dataclass(frozen=True)
class Charge:
    """A charge.

    Args:
        lines: What to weigh out, in the order to charge it: copper first, zinc last.
        cost: Its cost.
        melt: The mass left to pour after losses.
        analysis: The share of each element of the alloy in the melt, with the range that follows
            from the ranges of the lots.
        unjudged: Per cent in the melt of the elements that the alloy has no limit for.
        cautions: The cautions of the melt.
    """

    lines: tuple[Line, ...]
    cost: Calculation
    melt: Calculation
    analysis: tuple[Calculation, ...]
    unjudged: Mapping[str, float]
    cautions: tuple[Caution, ...]


def charge(
    target: str | Mapping[str, tuple[float, float]],
    lots: Sequence[Lot],
    charge_kg: float,
    *,
    losses: Mapping[str, float] | None = None,
    crucible_kg: float | None = None,
    margin_percent: float = 0.0,
) -> Charge:
    """Return the cheapest charge that fills the crucible exactly and makes the alloy.

    Args:
        target: An alloy of the tables ("C83600"), or element -> (least, most) per cent.
        lots: The lots to choose from.
        charge_kg: Cold metal in the crucible, exactly. [kg]
        losses: Element -> per cent lost in melting; usual figures when None.
        crucible_kg: The most that the crucible may carry, when known. [kg]
        margin_percent: Distance of each element from its limits, in per cent of the width between
            them; without it the cheapest charge lies on a limit. 0 to 90.

    Raises:
        OutOfRange: a figure that cannot be, or a charge over the crucible.
        UnknownName: an alloy that no table has.
        ChargeInfeasible: the limits cannot be met; the message names each element that fails,
            the nearest share that the lots give, and the pure metal to add.
    Source: blend by mass; linear program after Dantzig, Linear Programming and Extensions, 1963.
    """
    limits, title, source = _limits(target)
    inner = _tighten(limits, finite("margin", margin_percent, least=0.0, upto=90))
    total = finite("charge", charge_kg, "kg", upto=100_000)
    if crucible_kg is not None and total > finite("crucible", crucible_kg, "kg"):
        raise OutOfRange(
            f"A charge of {amount(total, 'kg')} is over the {amount(crucible_kg, 'kg')} that the "
            "crucible may carry: melt it in two heats."
        )
    for lot in lots:
        finite(f"cost of {lot.name}", lot.cost_per_kg, "kg", least=0.0)
        if lot.on_hand_kg is not None:
            finite(f"mass of {lot.name} on hand", lot.on_hand_kg, "kg", least=0.0)
    lots = [lot for lot in lots if lot.on_hand_kg is None or lot.on_hand_kg > 0]
    retained = retention(losses)
    mixes = [composition(lot) for lot in lots]
    on_hand = [INF if lot.on_hand_kg is None else float(lot.on_hand_kg) for lot in lots]
    rows, low, high = _rows(mixes, inner, retained)
    rows.append(dict.fromkeys(range(len(lots)), 1.0))
    solution = (
        solve(
            [lot.cost_per_kg for lot in lots],
            rows,
            [*low, total],
            [*high, total],
            upper=on_hand,
        )
        if lots
        else None
    )
    if solution is None or not solution.found:
        raise _infeasible(inner, title, mixes, on_hand, total, retained)
    weights = [(lot, kg) for lot, kg in zip(lots, solution.x, strict=True) if kg > TRACE * total]
    return _charge(limits, title, source, weights, total, losses, retained)


def _limits(target) -> tuple[dict[str, tuple[float, float]], str, str]:
    if isinstance(target, str):
        alloy = properties.alloy(target)
        limits, title = dict(alloy.limits), f"{alloy.name} {alloy.key}"
        source = f"{alloy.source} ({alloy.status})"
    else:
        limits, title, source = dict(target), "the alloy wanted", "entered"
    if not limits:
        raise OutOfRange("The alloy has no limits: say at least what it is made of.")
    for element, (least, most) in limits.items():
        finite(f"least share of {element}", least, least=0.0, upto=100)
        finite(f"greatest share of {element}", most, least=0.0, upto=100)
        if least > most:
            raise OutOfRange(
                f"The limits of {element_word(element)} cross: at least {least:g} %, at most "
                f"{most:g} %."
            )
    if sum(least for least, _ in limits.values()) > 100 + 1e-9:
        raise OutOfRange("The least shares of the alloy sum to more than 100 %.")
    return limits, title, source


def _tighten(limits, margin):
    """Return limits tightened by half the margin at each end, or by all of it at a lone most."""
    inner = {}
    for element, (least, most) in limits.items():
        margin_width = (most - least) * margin / 100
        inner[element] = (
            (least + margin_width / 2, most - margin_width / 2)
            if least
            else (0.0, most - margin_width)
        )
    return inner


def _rows(mixes, limits, retained):
    """Return the rows of the program, per kg of lot: mass of an element less its limit × melt."""
    rows, low, high = [], [], []
    remaining = [sum(share / 100 * retained(e) for e, share in mix.items()) for mix in mixes]
    for element, (least, most) in limits.items():
        masses = [mix.get(element, 0.0) / 100 * retained(element) for mix in mixes]
        if least > 0:
            rows.append(
                {
                    i: h - least / 100 * m
                    for i, (h, m) in enumerate(zip(masses, remaining, strict=True))
                }
            )
            low.append(0.0)
            high.append(INF)
        if most < 100:
            rows.append(
                {
                    i: h - most / 100 * m
                    for i, (h, m) in enumerate(zip(masses, remaining, strict=True))
                }
            )
            low.append(-INF)
            high.append(0.0)
    return rows, low, high


def _infeasible(limits, title, mixes, on_hand, total, retained) -> ChargeInfeasible:
    """Return the error: the limits that fail, the nearest shares, and the pure metal to add."""
    available = sum(on_hand)
    # The least pure metal that makes the alloy with these lots.
    barred = [e for e, (least, _) in limits.items() if least > 0 and e in BOUGHT_ONLY]
    open_limits = {e: ends for e, ends in limits.items() if e not in barred}
    pure = [e for e, (least, _) in open_limits.items() if least > 0]
    pure = pure or [e for e, (_, most) in open_limits.items() if most >= 0.5]
    all_mixes = [*mixes, *({e: 100.0} for e in pure)]
    rows, low, high = _rows(all_mixes, open_limits, retained)
    rows.append(dict.fromkeys(range(len(all_mixes)), 1.0))
    solution = solve(
        [0.0] * len(mixes) + [1.0] * len(pure),
        rows,
        [*low, total],
        [*high, total],
        upper=[*on_hand, *[INF] * len(pure)],
    )
    if not solution.found:
        return ChargeInfeasible(
            f"The limits of {title} contradict one another: not even pure metals meet them all.",
            (),
            {},
        )
    additions = {
        e: kg for e, kg in zip(pure, solution.x[len(mixes) :], strict=True) if kg > 1e-5 * total
    }
    add = " and ".join(f"{amount(kg, 'kg', 3)} of {element_word(e)}" for e, kg in additions.items())
    cure = f"Add {add} in place of as much of the rest." if add else ""
    if available < total - 1e-9:
        misses: tuple[Miss, ...] = ()
        message = (
            f"The lots hold {amount(available, 'kg')} in all and {amount(total, 'kg')} are wanted."
        )
        cure = f"Add {add}." if add else ""
    else:
        misses = _nearest(limits, mixes, on_hand, total, retained)
        message = " ".join(_miss_message(m, title) for m in misses)
    for element in barred:
        if any(m.element == element for m in misses):
            cure += (
                f" {element_word(element).capitalize()} is not added pure: buy a metal of this "
                "alloy that holds it."
            )
    return ChargeInfeasible(f"{message} {cure}".strip(), misses, additions)


def _nearest(limits, mixes, on_hand, total, retained) -> tuple[Miss, ...]:
    """Return the elements that these lots cannot bring within their limits, each by itself.

    When each can be met by itself but not all at once, return those that are out in the charge
    that comes nearest to all limits together.
    """
    alone = []
    for element in limits:
        alone += _misses({element: limits[element]}, mixes, on_hand, total, retained)
    return tuple(alone or _misses(limits, mixes, on_hand, total, retained))


def _misses(limits, mixes, on_hand, total, retained) -> list[Miss]:
    """Return the misses of the charge with the least metal outside these limits."""
    rows, low, high = _rows(mixes, limits, retained)
    n = len(mixes)
    for r, least in enumerate(low):
        rows[r][n + r] = 1.0 if least == 0.0 else -1.0
    rows.append(dict.fromkeys(range(n), 1.0))
    solution = solve(
        [0.0] * n + [1.0] * len(low),
        rows,
        [*low, total],
        [*high, total],
        upper=[*on_hand, *[INF] * len(low)],
    )
    mass: dict[str, float] = {}
    for mix, kg in zip(mixes, solution.x, strict=False):
        for element, share in mix.items():
            mass[element] = mass.get(element, 0.0) + kg * share / 100 * retained(element)
    melt = sum(mass.values())
    misses = []
    for element, (least, most) in limits.items():
        share = 100 * mass.get(element, 0.0) / melt
        if share < least - 1e-5 or share > most + 1e-5:
            misses.append(Miss(element, share, least, most))
    return misses


def _miss_message(miss: Miss, title: str) -> str:
    name = element_word(miss.element)
    if miss.reached < miss.low:
        return (
            f"Too little {name} for {title}: the nearest these lots come is "
            f"{sig(miss.reached, 3)} % and at least {miss.low:g} % is wanted."
        )
    return (
        f"Too much {name} for {title}: the nearest these lots come is {sig(miss.reached, 3)} % and "
        f"at most {miss.high:g} % is allowed."
    )


def _order(line: Line) -> tuple:
    """Return the sort key for charging: copper first, low-melting metals late, zinc last."""
    share = line.lot.percent
    low = sum(share.get(e, 0.0) for e in ("Zn", "Sn", "Pb", "Sb"))
    return share.get("Zn", 0.0) > 50, low > 50, -share.get("Cu", 0.0), line.lot.name


def _charge(limits, title, source, weights, total, losses, retained) -> Charge:
    lines = tuple(sorted((Line(lot, kg, kg * lot.cost_per_kg) for lot, kg in weights), key=_order))
    cost = sum(line.cost for line in lines)
    percent = melt_composition(weights, losses)
    melt_kg = sum(
        kg * sum(s / 100 * retained(e) for e, s in composition(lot).items()) for lot, kg in weights
    )
    cautions = cautions_for(percent)
    inputs = tuple(
        Input(f"m{i}", line.lot.name, line.kg, "kg", Origin.CALCULATED, line.lot.source)
        for i, line in enumerate(lines, 1)
    )
    terms = " + ".join(f"{sig(line.kg)} × {sig(line.lot.cost_per_kg)}" for line in lines)
    masses = " + ".join(sig(line.kg) for line in lines)
    cost_calculation = Calculation(
        "Cost of the charge",
        cost,
        "",
        "Σ m × price",
        f"{terms} = {sig(cost)}",
        inputs,
        SOURCE,
        verdict=f"The cheapest charge of {amount(total, 'kg')} for {title} out of these lots.",
        cautions=cautions,
    )
    melt = Calculation(
        "Metal left to pour",
        melt_kg,
        "kg",
        "Σ m × Σ a × (1 − l)",
        f"{masses} = {sig(total)} charged, {sig(total - melt_kg, 3)} lost, {sig(melt_kg)} left",
        inputs,
        SOURCE + "; losses common practice, from memory",
        cautions=cautions,
        limits="Losses grow with heat, time and thin scrap; dross holds more.",
    )
    analysis = tuple(
        _element(e, least, most, weights, percent, melt_kg, retained, source, cautions)
        for e, (least, most) in limits.items()
        if least > 0 or percent.get(e, 0.0) > 0
    )
    unjudged = {e: p for e, p in percent.items() if e not in limits and p > 1e-6}
    return Charge(lines, cost_calculation, melt, analysis, MappingProxyType(unjudged), cautions)


def _element(e, least, most, weights, percent, melt_kg, retained, source, cautions) -> Calculation:
    share = percent.get(e, 0.0)
    ends = []
    for side, pick in (("low", min), ("high", max)):
        mass = sum(
            kg * pick(getattr(lot, side).get(e, lot.percent.get(e, 0.0)), lot.percent.get(e, 0.0))
            for lot, kg in weights
        )
        ends.append(min(100.0, mass * retained(e) / melt_kg))
    has_range = ends[1] - ends[0] > 1e-9
    verdict = f"{sig(share, 3)} % {element_word(e)}: within {least:g} to {most:g} %."
    if has_range and (ends[0] < least - 1e-9 or ends[1] > most + 1e-9):
        verdict += (
            f" With the lots at the ends of their ranges it may lie from {sig(ends[0], 3)} to "
            f"{sig(ends[1], 3)} %: have them assayed, or pour and test a bar."
        )
    return Calculation(
        f"Share of {element_word(e)} in the melt",
        share,
        "percent",
        "Σ m × a × (1 − l) ÷ Σ m × Σ a × (1 − l)",
        f"{full(share * melt_kg / 100, 'kg')} ÷ {full(melt_kg, 'kg')} = {sig(share, 3)} %",
        (
            *(
                Input(
                    f"a{i}",
                    f"{element_word(e).capitalize()} in {lot.name}",
                    lot.percent.get(e, 0.0),
                    "percent",
                    lot.origin,
                    lot.source,
                )
                for i, (lot, _) in enumerate(weights, 1)
            ),
            Input(
                "l", f"Loss of {element_word(e)}", 100 * (1 - retained(e)), "percent", Origin.TABLE
            ),
        ),
        f"{SOURCE}; limits: {source}",
        low=ends[0] if has_range else None,
        high=ends[1] if has_range else None,
        interval="from the ranges of the lots, each taken at its end" if has_range else "",
        verdict=verdict,
        cautions=cautions,
    )
