"""The lines of the fastener schedule: description, mass, blank and costs of one fastener."""

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
# The usual standard of heads and nuts by thread series, where the flats were not measured.
USUAL_HEADS = {
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
SMALLEST_SUM = Decimal("0.01")


def facing(engine) -> float:
    """Return the facing allowance of a sawn end in mm: 1/16 in, or 1.5 mm where mm are used.

    Source: common practice, no source.
    """
    return 25.4 / 16 if engine.length_unit == "in" else 1.5


def as_money(value: float) -> Decimal:
    return Decimal(repr(float(value))).quantize(SMALLEST_SUM, ROUND_HALF_UP)


@dataclass(frozen=True)
class Spec:
    """The recorded description of a fastener. Lengths in mm."""

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
        value = row.get if isinstance(row, dict) else lambda name: getattr(row, name)
        names = ("kind", "head", "series", "size", "length_mm", "flats_mm", "nuts")
        return cls(**{name: value(name) for name in names}, material=material, facing_mm=facing_mm)

    @property
    def headed(self) -> bool:
        """Whether it has a head that is turned or forged with it."""
        return self.kind in (Kind.BOLT, Kind.SCREW) and self.head != Head.NONE

    @property
    def kind_word(self) -> str:
        return Kind(self.kind).label

    @property
    def head_word(self) -> str:
        """The shape of its head; "" when it has none."""
        return Head(self.head).label if self.headed or self.kind == Kind.NUT else ""


@dataclass(frozen=True)
class BlankSize:
    """The bar that a fastener is turned from. Lengths in mm.

    Args:
        section: "round", "hexagon" or "square".
        across_mm: The least size across the bar.
        finished_mm: Length when finished, head included.
        sawn_mm: Length to saw.
        calculation: The calculation of `sawn_mm`.
    """

    section: str
    across_mm: float
    finished_mm: float
    sawn_mm: float
    calculation: Calculation


@dataclass(frozen=True)
class FastenerFigures:
    """Calculated figures of a fastener; where one is missing, a sentence gives the reason.

    Args:
        thread: The thread; None when it is not settled.
        mass: Of one, with its nuts, in kg.
        blank: The bar that it is turned from.
        no_thread, no_mass, no_blank: Sentences.
    """

    thread: Thread | None = None
    mass: Calculation | None = None
    blank: BlankSize | None = None
    no_thread: str = ""
    no_mass: str = ""
    no_blank: str = ""


class _NotKnown(Exception):
    """A figure cannot be calculated yet; the message is the reason."""


@lru_cache(maxsize=4096)
def figures_of(spec: Spec) -> FastenerFigures:
    """Return the thread, mass and blank of a fastener, or the reasons why not."""
    try:
        if not spec.series or not spec.size:
            raise _NotKnown("Its thread is not entered yet.")
        t = thread(spec.series, spec.size)
    except (EngineeringError, _NotKnown) as error:
        return FastenerFigures(no_thread=str(error), no_mass=str(error), no_blank=str(error))
    mass, no_mass = _try(_mass, t, spec)
    blank, no_blank = _try(_blank, t, spec)
    return FastenerFigures(t, mass, blank, "", no_mass, no_blank)


def _try(calculate, *args):
    try:
        return calculate(*args), ""
    except (EngineeringError, _NotKnown) as error:
        return None, str(error)


def head_or_nut(t: Thread, item: str, shape: str, flats_mm: float | None) -> bolts.Flats:
    """Return the head or nut in the tables nearest to the measured flats, else the usual one."""
    rows = [
        row
        for row in bolts.for_thread(t)
        if row.item == item and row.shape in (shape, "either") and row.thickness_mm
    ]
    if not rows:
        raise _NotKnown(f"The tables have no {shape} {item} for {t.name}.")
    if flats_mm is not None:
        return min(rows, key=lambda row: abs(row.flats_mm - flats_mm))
    usual = USUAL_HEADS.get(t.series)
    return next((row for row in rows if row.standard == usual), rows[0])


def _shape(spec: Spec) -> str:
    if spec.head not in (Head.HEXAGON, Head.SQUARE):
        raise _NotKnown(f"No table here has {Head(spec.head).label.lower()} heads.")
    return str(spec.head)


def _length(spec: Spec) -> float:
    if spec.length_mm is None:
        raise _NotKnown("Its length is not entered yet.")
    return spec.length_mm


def _nut_shape(spec: Spec) -> str:
    return "square" if spec.head == Head.SQUARE else "hexagon"


def _mass(t: Thread, spec: Spec) -> Calculation:
    if spec.kind == Kind.NUT:
        shape = _shape(spec)
        nut = head_or_nut(t, "nut", shape, spec.flats_mm)
        return bolts.nut_mass(t, nut, shape=shape, material=spec.material)
    if spec.kind in (Kind.WASHER, Kind.PIN):
        raise _NotKnown(f"A {spec.kind_word.lower()} is weighed, or written with the part.")
    head = head_or_nut(t, "head", _shape(spec), spec.flats_mm) if spec.headed else None
    nut_shape = _nut_shape(spec)
    nut = head_or_nut(t, "nut", nut_shape, spec.flats_mm) if spec.nuts else None
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
        raise _NotKnown(f"The blank of a {spec.kind_word.lower()} is written with its job.")
    if spec.kind == Kind.NUT:
        shape = _shape(spec)
        nut = head_or_nut(t, "nut", shape, spec.flats_mm)
        source = f"{nut.word}: {nut.source} ({nut.status})"
        length_to_saw = cutting.sawn_length(nut.thickness_mm, facing_mm=spec.facing_mm)
        length_to_saw = length_to_saw.with_origins({"L": (Origin.TABLE, source)})
        return BlankSize(shape, nut.flats_mm, nut.thickness_mm, length_to_saw.value, length_to_saw)
    length = _length(spec)
    if not spec.headed:
        blank = bolts.blank_for_bolt(t, length, facing_mm=spec.facing_mm)
        return BlankSize("round", t.major_mm, length, blank.value, blank)
    shape = _shape(spec)
    head = head_or_nut(t, "head", shape, spec.flats_mm)
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
        """Return the cost of a piece of this length, saw cut included."""
        return float(self.price) / self.length_mm * (sawn_mm + KERF_MM)


def bar_for(blank: BlankSize | None, material: str, stock: list[StockBar]) -> StockBar | None:
    """Return the thinnest priced bar that takes the blank, the cheapest by length of these."""
    if blank is None:
        return None
    fitting = [
        bar
        for bar in stock
        if bar.material == material
        and bar.section == blank.section
        and bar.across_mm >= blank.across_mm - 0.05
        and bar.length_mm >= blank.sawn_mm
    ]
    return min(
        fitting, key=lambda b: (round(b.across_mm, 2), float(b.price) / b.length_mm), default=None
    )


@dataclass(frozen=True)
class QuoteLine:
    """A quoted price, and whether it is still valid."""

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
class FastenerJob:
    """The pieces of a job that are not fitted: those not begun, and those begun."""

    pk: int
    route: str
    route_word: str
    not_begun: int
    begun: int


@dataclass(frozen=True)
class ScheduleLine:
    """One fastener of the engine.

    Args:
        spares_short: Spares that are neither on hand nor being made.
        to_get: Pieces still to get: missing, beyond repair and to be made, with the spares.
        to_decide: Of these, the pieces and spares for which nothing is decided.
        figures: Its calculated thread, mass and blank.
        mass_kg, mass_from: Of one: "calculated", "measured", "typed", or "" when not known.
        make: The cost of making; None when not known, with the reason in `no_make`.
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
    figures: FastenerFigures
    mass_kg: float | None
    mass_from: str
    jobs: tuple[FastenerJob, ...] = ()
    minutes_setting: float | None = None
    minutes_each: float | None = None
    make: Making | None = None
    bar: StockBar | None = None
    no_make: str = ""
    quote: QuoteLine | None = None
    old_quote: QuoteLine | None = field(default=None)

    @property
    def thread_name(self) -> str:
        return self.figures.thread.name if self.figures.thread else ""

    @property
    def material_word(self) -> str:
        return Material(self.spec.material).label

    @property
    def to_get_words(self) -> str:
        """The pieces to get by reason: "8 missing, 2 spare"."""
        counts = self.counts
        reasons = (
            (counts.missing, "missing"),
            (counts.beyond_repair, "beyond repair"),
            (counts.to_be_made, "to be made"),
            (self.spares_short, "spare"),
        )
        return ", ".join(f"{n} {word}" for n, word in reasons if n)

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
        """ "make" or "buy"; "" when either cost is not known or both are equal."""
        if self.make_cost is None or self.buy_cost is None or self.make_cost == self.buy_cost:
            return ""
        return "make" if self.make_cost < self.buy_cost else "buy"

    @property
    def turn(self) -> int | None:
        """The number of pieces from which the other option is cheaper; None when there is none."""
        if self.make is None or self.quote is None:
            return None
        later = [at for at, _ in turning_points(self.make, self.quote.buying)[1:]]
        return min(later, key=lambda at: abs(at - self.to_get), default=None)

    @property
    def routes(self) -> str:
        """The routes of its jobs: "machine, buy in"."""
        return ", ".join(dict.fromkeys(m.route_word for m in self.jobs))

    def waiting(self, route: str) -> int:
        """Return the pieces decided by this route and not begun."""
        return sum(m.not_begun for m in self.jobs if m.route == route)

    def to_choose(self, route: str) -> int:
        """Return the pieces that choosing this route covers.

        These are the pieces to decide, and those of jobs by this route with nothing begun.
        """
        joined = (m.not_begun for m in self.jobs if m.route == route and not m.begun)
        return self.to_decide + sum(joined)


def making_fields(
    spec: Spec, figures: FastenerFigures, rate: Decimal, stock: list[StockBar], minutes: tuple
) -> dict:
    """Return the fields of a line about making: bar, minutes and cost, or the reason for none."""
    setting, each = minutes
    bar = bar_for(figures.blank, spec.material, stock)
    fields = {"bar": bar, "minutes_setting": setting, "minutes_each": each}
    if each is None:
        return fields | {"no_make": "How many minutes one takes is not entered yet."}
    if not rate:
        return fields | {"no_make": "What an hour at the bench costs is not entered yet."}
    share = bar.share(figures.blank.sawn_mm) if bar else None
    try:
        return fields | {"make": making(setting or 0.0, each, float(rate), share)}
    except EngineeringError as error:
        return fields | {"no_make": str(error)}
