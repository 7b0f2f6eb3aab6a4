"""A cutting list as plain data, as it is stored, drawn and printed.

A `BarPlan` knows its blanks and bars by name; here each piece and each bar has the number of its
row in the record. Lengths in mm.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from decimal import Decimal

from ..figures import sig
from ..materials.properties import word
from .cutting import BarPlan


@dataclass(frozen=True)
class SawnPiece:
    """A piece of a bar: its job, its length, and where it begins after the end trim."""

    job: int
    blank: int
    item: int
    name: str
    length_mm: float
    from_mm: float


@dataclass(frozen=True)
class SawnBar:
    """One bar, or several sawn in the same way.

    Args:
        bar: The row of the store, or of what can be bought.
        buy: True when it has to be bought.
        bars: How many are sawn in this way.
        left_mm: The remnant of each.
    """

    bar: int
    name: str
    length_mm: float
    price: str | None
    buy: bool
    bars: int
    cuts: tuple[SawnPiece, ...]
    left_mm: float

    @property
    def rows(self) -> list[tuple[SawnPiece, int, list[int]]]:
        """The piece, how many and their places, for each job and length."""
        groups: dict[tuple, list[int]] = {}
        first: dict[tuple, SawnPiece] = {}
        for place, cut in enumerate(self.cuts, 1):
            key = (cut.job, cut.length_mm)
            groups.setdefault(key, []).append(place)
            first.setdefault(key, cut)
        return [(first[key], len(places), places) for key, places in groups.items()]


@dataclass(frozen=True)
class Kind:
    """The bars of one material and section.

    Args:
        cost, bound: The cost of the plan, and the least that any plan could cost; in money when
            `priced`, else in metres of bar.
        gap: (cost − bound) ÷ cost; 0 when proven.
        by_hand_cost, by_hand_bars: Sawing the longest first; None when the blanks do not fit.
        saved_mm: Length of bar saved against that.
    """

    material: str
    section: str
    across_mm: float
    across_written: str
    bars: tuple[SawnBar, ...]
    verdict: str
    priced: bool
    cost: float
    bound: float
    gap: float
    proven: bool
    by_hand_cost: float | None
    by_hand_bars: int | None
    saved_mm: float | None
    taken_mm: float
    waste_mm: float

    @classmethod
    def of(cls, plan: BarPlan, names: dict, stocks: dict, one) -> Kind:
        """Return the plan with its rows of the record, found by name in `names` and `stocks`."""
        bars = []
        for bar in plan.bars:
            line = stocks[bar.stock.name]
            cuts = tuple(
                SawnPiece(
                    names[cut.name].job_id,
                    names[cut.name].blank_id,
                    names[cut.name].item,
                    names[cut.name].name,
                    cut.length_mm,
                    cut.from_mm,
                )
                for cut in bar.cuts
            )
            price = None if line.price is None else str(line.price)
            bars.append(
                SawnBar(
                    line.pk, line.name, line.length_mm, price, not line.in_store, bar.bars, cuts,
                    bar.left_mm,
                )
            )  # fmt: skip
        return cls(
            one.material,
            one.section,
            one.across_mm,
            one.across_written,
            tuple(bars),
            plan.calculation.verdict,
            plan.calculation.unit == "",
            plan.calculation.value,
            plan.bound,
            plan.gap,
            plan.proven,
            plan.by_hand_cost,
            plan.by_hand_bars,
            plan.metal_saved_mm,
            plan.taken_mm,
            plan.waste_mm,
        )

    @property
    def title(self) -> str:
        """ "Steel, 7/8 in round"."""
        return f"{word(self.material).capitalize()}, {self.across_written} {self.section}"

    @property
    def result(self) -> str:
        """How good the plan is, in words without a length, which would need the reader's units."""
        bars = sum(bar.bars for bar in self.bars)
        text = f"{bars} {'bar' if bars == 1 else 'bars'} for {self.pieces} "
        text += "blank; " if self.pieces == 1 else "blanks; "
        if self.proven:
            text += "fewest possible"
        else:
            text += f"at most {sig(100 * self.gap, 2)} % over the least that can do"
        if not self.priced:
            text += "; not every bar has a price, so the least length is taken"
        return text + "."

    @property
    def pieces(self) -> int:
        return sum(len(bar.cuts) * bar.bars for bar in self.bars)

    @property
    def longest_mm(self) -> float:
        return max(bar.length_mm for bar in self.bars)


@dataclass(frozen=True)
class Cutting:
    """A whole cutting list."""

    kinds: tuple[Kind, ...] = ()

    @classmethod
    def read(cls, plain: dict) -> Cutting:
        """Return a cutting list from its plain data."""
        kinds = []
        for kind in plain.get("kinds", []):
            bars = tuple(
                SawnBar(**{**bar, "cuts": tuple(SawnPiece(**cut) for cut in bar["cuts"])})
                for bar in kind["bars"]
            )
            kinds.append(Kind(**{**kind, "bars": bars}))
        return cls(tuple(kinds))

    def plain(self) -> dict:
        """Return the plain data to store."""
        return asdict(self)

    @property
    def pieces(self) -> int:
        return sum(kind.pieces for kind in self.kinds)

    @property
    def bars(self) -> int:
        return sum(bar.bars for kind in self.kinds for bar in kind.bars)

    @property
    def longest_mm(self) -> float:
        return max((kind.longest_mm for kind in self.kinds), default=0.0)

    @property
    def by_job(self) -> Counter[int]:
        """Pieces of each job."""
        counts: Counter[int] = Counter()
        for kind in self.kinds:
            for bar in kind.bars:
                for cut in bar.cuts:
                    counts[cut.job] += bar.bars
        return counts

    @property
    def from_store(self) -> Counter[int]:
        """Bars of each row of the store."""
        return self._bars(buy=False)

    @property
    def bought(self) -> Counter[int]:
        """Bars to buy of each length."""
        return self._bars(buy=True)

    def _bars(self, *, buy: bool) -> Counter[int]:
        counts: Counter[int] = Counter()
        for kind in self.kinds:
            for bar in kind.bars:
                if bar.buy == buy:
                    counts[bar.bar] += bar.bars
        return counts

    @property
    def buy_cost(self) -> Decimal:
        """The cost of the bars to buy that have a price."""
        return sum(
            (
                Decimal(bar.price) * bar.bars
                for kind in self.kinds
                for bar in kind.bars
                if bar.buy and bar.price is not None
            ),
            Decimal(0),
        )

    def offcuts(self, least_mm: float) -> list[tuple[Kind, SawnBar]]:
        """Return the bars that leave a remnant of `least_mm` or more."""
        return [(kind, bar) for kind in self.kinds for bar in kind.bars if bar.left_mm >= least_mm]


def reserved_in(plans: Iterable[dict]) -> Counter[int]:
    """Return how many bars of each row of the store these cutting lists use."""
    return sum((Cutting.read(plan).from_store for plan in plans), Counter())


def in_plan(plans: Iterable[dict]) -> Counter[int]:
    """Return how many pieces of each job are on these cutting lists."""
    return sum((Cutting.read(plan).by_job for plan in plans), Counter())
