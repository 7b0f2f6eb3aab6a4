"""What one fastener is, weighs, is turned from and costs: the lines of the schedule."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from functools import lru_cache

from parts.engineering.bars import cutting
from parts.engineering.calculation import Calculation, Origin
from parts.engineering.errors import EngineeringError
from parts.engineering.fasteners import bolts
from parts.engineering.fasteners.make_or_buy import Buying, Making, making, turning_points
from parts.engineering.fasteners.threads import Thread, thread
from parts.record.models import Material
from parts.record.queries.status import Counts

from ..models import Fastener

Head, Kind = Fastener.Head, Fastener.Kind
# Which heads and nuts bolts of a series commonly wear, when its own flats were not measured.
USUAL = {
    "USS": "us_rough",
    "V60": "us_rough",
    "UNC": "b18_hex",
    "UNF": "b18_hex",
    "8UN": "b18_heavy",
    "BSW": "bs190",
    "BSF": "bs190",
    "M": "iso",
}
KERF_MM = 3.0  # common practice, no source: a band saw takes 1 to 2 mm, a hack saw up to 3
PENNY = Decimal("0.01")


def facing(engine) -> float:
    """What is left on a sawn end to be faced, in mm: 1/16 in, or 1.5 mm where mm are used.

    Source: common practice, no source.
    """
    return 25.4 / 16 if engine.length_unit == "in" else 1.5


def as_money(value: float) -> Decimal:
    return Decimal(repr(float(value))).quantize(PENNY, ROUND_HALF_UP)


@dataclass(frozen=True)
class Spec:
    """What is known of a fastener. Lengths in mm."""

    kind: str = Kind.BOLT
    head: str = Head.HEXAGON
    series: str = ""
    size: str = ""
    length_mm: float | None = None
    flats_mm: float | None = None
    nuts: int = 0
    material: str = "not_known"
    facing_mm: float = 1.5

    @classmethod
    def of(cls, row: Fastener | dict, material: str, facing_mm: float = 1.5) -> Spec:
        get = row.get if isinstance(row, dict) else lambda name: getattr(row, name)
        names = ("kind", "head", "series", "size", "length_mm", "flats_mm", "nuts")
        return cls(**{name: get(name) for name in names}, material=material, facing_mm=facing_mm)

    @property
    def headed(self) -> bool:
        """It has a head that is turned or forged with it."""
        return self.kind in (Kind.BOLT, Kind.SCREW) and self.head != Head.NONE

    @property
    def kind_word(self) -> str:
        return Kind(self.kind).label

    @property
    def head_word(self) -> str:
        """How its head looks; nothing for what has none."""
        return Head(self.head).label if self.headed or self.kind == Kind.NUT else ""


@dataclass(frozen=True)
class BlankSize:
    """The bar a fastener is turned from. Lengths in mm.

    Args:
        section: "round", "hexagon" or "square".
        across_mm: The bar must be at least so thick.
        finished_mm: Length when finished, head included.
        sawn_mm: Length to saw.
        calculation: How it was reached.
    """

    section: str
    across_mm: float
    finished_mm: float
    sawn_mm: float
    calculation: Calculation


@dataclass(frozen=True)
class Reckoned:
    """The calculations of a fastener. Where there is none, a sentence says why.

    Args:
        thread: The thread; None when it is not settled.
        mass: Of one, with its nuts, in kg.
        blank: What it is turned from.
        no_thread, no_mass, no_blank: Sentences.
    """

    thread: Thread | None = None
    mass: Calculation | None = None
    blank: BlankSize | None = None
    no_thread: str = ""
    no_mass: str = ""
    no_blank: str = ""


class _Unsaid(Exception):
    """A sentence on what is not known yet."""


@lru_cache(maxsize=4096)
def reckoned(spec: Spec) -> Reckoned:
    """Return mass and blank of a fastener, or the sentences on why not."""
    try:
        if not spec.series or not spec.size:
            raise _Unsaid("Its thread is not written down yet.")
        t = thread(spec.series, spec.size)
    except (EngineeringError, _Unsaid) as why:
        return Reckoned(no_thread=str(why), no_mass=str(why), no_blank=str(why))
    mass, no_mass = _tried(_mass, t, spec)
    blank, no_blank = _tried(_blank, t, spec)
    return Reckoned(t, mass, blank, "", no_mass, no_blank)


def _tried(what, *args):
    try:
        return what(*args), ""
    except (EngineeringError, _Unsaid) as why:
        return None, str(why)


def worn_by(t: Thread, item: str, shape: str, flats_mm: float | None) -> bolts.Flats:
    """The head or nut of the tables: the nearest to the measured flats, else the usual one."""
    rows = [
        row
        for row in bolts.for_thread(t)
        if row.item == item and row.shape in (shape, "either") and row.thickness_mm
    ]
    if not rows:
        raise _Unsaid(f"The tables have no {shape} {item} for {t.name}.")
    if flats_mm is not None:
        return min(rows, key=lambda row: abs(row.flats_mm - flats_mm))
    usual = USUAL.get(t.series)
    return next((row for row in rows if row.standard == usual), rows[0])


def _shape(spec: Spec) -> str:
    if spec.head not in (Head.HEXAGON, Head.SQUARE):
        raise _Unsaid(f"No table here has {Head(spec.head).label.lower()} heads.")
    return str(spec.head)


def _length(spec: Spec) -> float:
    if spec.length_mm is None:
        raise _Unsaid("Its length is not written down yet.")
    return spec.length_mm


def _nut_shape(spec: Spec) -> str:
    return "square" if spec.head == Head.SQUARE else "hexagon"


def _mass(t: Thread, spec: Spec) -> Calculation:
    if spec.kind == Kind.NUT:
        shape = _shape(spec)
        nut = worn_by(t, "nut", shape, spec.flats_mm)
        return bolts.nut_mass(t, nut, shape=shape, material=spec.material)
    if spec.kind in (Kind.WASHER, Kind.PIN):
        raise _Unsaid(f"A {spec.kind_word.lower()} is weighed, or written with the part.")
    head = worn_by(t, "head", _shape(spec), spec.flats_mm) if spec.headed else None
    nut_shape = _nut_shape(spec)
    nut = worn_by(t, "nut", nut_shape, spec.flats_mm) if spec.nuts else None
    return bolts.bolt_mass(
        t,
        _length(spec),
        head=head,
        nut=nut,
        nuts=spec.nuts,
        shape=_shape(spec) if head else nut_shape,
        material=spec.material,
    )


def _blank(t: Thread, spec: Spec) -> BlankSize:
    if spec.kind in (Kind.WASHER, Kind.PIN):
        raise _Unsaid(f"The blank of a {spec.kind_word.lower()} is written with its job.")
    if spec.kind == Kind.NUT:
        shape = _shape(spec)
        nut = worn_by(t, "nut", shape, spec.flats_mm)
        where = f"{nut.word}: {nut.source} ({nut.status})"
        sawn = cutting.sawn_length(nut.thickness_mm, facing_mm=spec.facing_mm)
        sawn = sawn.with_origins({"L": (Origin.TABLE, where)})
        return BlankSize(shape, nut.flats_mm, nut.thickness_mm, sawn.value, sawn)
    length = _length(spec)
    if not spec.headed:
        blank = bolts.blank_for_bolt(t, length, facing_mm=spec.facing_mm)
        return BlankSize("round", t.major_mm, length, blank.value, blank)
    shape = _shape(spec)
    head = worn_by(t, "head", shape, spec.flats_mm)
    blank = bolts.blank_for_bolt(t, length, head, shape=shape, facing_mm=spec.facing_mm)
    return BlankSize(shape, head.flats_mm, length + head.thickness_mm, blank.value, blank)


@dataclass(frozen=True)
class StockBar:
    """A bar that can be bought, as the schedule needs it."""

    name: str
    material: str
    section: str
    across_mm: float
    length_mm: float
    price: Decimal

    def share(self, sawn_mm: float) -> float:
        """What so long a piece of it costs, its saw cut included."""
        return float(self.price) / self.length_mm * (sawn_mm + KERF_MM)


def bar_for(blank: BlankSize | None, material: str, stock: list[StockBar]) -> StockBar | None:
    """The thinnest priced bar that the blank can be turned from; of those the cheapest a length."""
    if blank is None:
        return None
    fit = [
        bar
        for bar in stock
        if bar.material == material
        and bar.section == blank.section
        and bar.across_mm >= blank.across_mm - 0.05
        and bar.length_mm >= blank.sawn_mm
    ]
    return min(
        fit, key=lambda b: (round(b.across_mm, 2), float(b.price) / b.length_mm), default=None
    )


@dataclass(frozen=True)
class QuoteLine:
    """A price that was asked, and whether it still stands."""

    pk: int
    supplier: str
    day: date
    each: Decimal
    carriage: Decimal
    least: int
    good_until: date | None
    good: bool
    note: str = ""

    @property
    def buying(self) -> Buying:
        return Buying(float(self.carriage), float(self.each), self.least)

    @property
    def quoted(self) -> str:
        return f"{self.supplier}, {self.day:%-d %b %Y}"


@dataclass(frozen=True)
class OpenJob:
    """Pieces decided and not fitted, by one job: those not begun, and those that are."""

    pk: int
    route: str
    route_word: str
    not_begun: int
    begun: int


@dataclass(frozen=True)
class ScheduleLine:
    """One fastener of the engine.

    Args:
        spares_short: Spares that are wanted and neither on hand nor being made.
        to_get: Missing, past use and to be made, with the spares: what must still come.
        to_decide: Of these, missing and past use, and spares not yet decided.
        mass_kg, mass_from: Of one: "reckoned", "measured", "typed", or "" when not known.
        make, buy: What either costs; None when not known, and `no_make` says why.
    """

    part_id: int
    item: int
    name: str
    component: str
    quantity: int
    counts: Counts
    size_text: str
    fastener_id: int | None
    spec: Spec
    sure: bool
    length_written: str
    spares: int
    spares_short: int
    to_get: int
    to_decide: int
    said: Reckoned
    mass_kg: float | None
    mass_from: str
    jobs: tuple[OpenJob, ...] = ()
    minutes_setting: float | None = None
    minutes_each: float | None = None
    make: Making | None = None
    bar: StockBar | None = None
    no_make: str = ""
    quote: QuoteLine | None = None
    old_quote: QuoteLine | None = field(default=None)

    @property
    def thread_name(self) -> str:
        return self.said.thread.name if self.said.thread else ""

    @property
    def material_word(self) -> str:
        return Material(self.spec.material).label

    @property
    def to_get_words(self) -> str:
        """Why so many: "8 missing, 2 spare"."""
        counts = self.counts
        told = (
            (counts.missing, "missing"),
            (counts.beyond_repair, "past use"),
            (counts.to_be_made, "to be made"),
            (self.spares_short, "spare"),
        )
        return ", ".join(f"{n} {word}" for n, word in told if n)

    @property
    def mass_lot_kg(self) -> float | None:
        return None if self.mass_kg is None else self.mass_kg * self.to_get

    @property
    def make_cost(self) -> Decimal | None:
        if self.make is None or not self.to_get:
            return None
        return as_money(self.make.cost(self.to_get))

    @property
    def buy_cost(self) -> Decimal | None:
        if self.quote is None or not self.to_get:
            return None
        return as_money(self.quote.buying.cost(self.to_get))

    @property
    def cheaper(self) -> str:
        """ "make" or "buy"; nothing when either is not known or both cost alike."""
        if self.make_cost is None or self.buy_cost is None or self.make_cost == self.buy_cost:
            return ""
        return "make" if self.make_cost < self.buy_cost else "buy"

    @property
    def turn(self) -> int | None:
        """From how many on the other way is the cheaper; None without both prices or a turn."""
        if self.make is None or self.quote is None:
            return None
        later = [at for at, _ in turning_points(self.make, self.quote.buying)[1:]]
        return min(later, key=lambda at: abs(at - self.to_get), default=None)

    @property
    def routes(self) -> str:
        """By which ways pieces are decided: "machine, buy in"."""
        return ", ".join(dict.fromkeys(m.route_word for m in self.jobs))

    def waiting(self, route: str) -> int:
        """Pieces that are decided this way and not begun."""
        return sum(m.not_begun for m in self.jobs if m.route == route)

    def to_choose(self, route: str) -> int:
        """Pieces that a choice of this way covers: those to decide, and those decided so already
        by a job of which nothing is begun."""
        joined = (m.not_begun for m in self.jobs if m.route == route and not m.begun)
        return self.to_decide + sum(joined)


def made(spec: Spec, said: Reckoned, rate: Decimal, stock: list[StockBar], minutes: tuple) -> dict:
    """What a line says of making: its cost and bar, or why it cannot be said."""
    setting, each = minutes
    bar = bar_for(said.blank, spec.material, stock)
    told = {"bar": bar, "minutes_setting": setting, "minutes_each": each}
    if each is None:
        return told | {"no_make": "How many minutes one takes is not written down yet."}
    if not rate:
        return told | {"no_make": "What an hour at the bench costs is not written yet."}
    share = bar.share(said.blank.sawn_mm) if bar else None
    try:
        return told | {"make": making(setting or 0.0, each, float(rate), share)}
    except EngineeringError as why:
        return told | {"no_make": str(why)}
