"""The options for missing or beyond-repair pieces of a part, compared before one is chosen."""

from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from math import ceil

from django.db.models import Q

from parts.engineering.calculation import Calculation
from parts.engineering.casting import irons
from parts.engineering.errors import EngineeringError
from parts.engineering.sentences import amount, in_units
from parts.record.models import Change, Job, Material, Part, PieceEntry
from parts.record.queries.status import Counts, counts_now
from parts.workshop.bars.models import Bar
from parts.workshop.fasteners.models import Fastener, Quote
from parts.workshop.metal.models import Crucible
from parts.workshop.metal.queries import Store, metal_store
from parts.workshop.patterns.queries.pattern import PatternSheet, pattern_sheet
from parts.workshop.pours.queries.iron import IronCasting, suitable_lots
from parts.workshop.shapes.queries.shapes import bodies_of

from .models import Option

Way = Option.Way
Kind = PieceEntry.Kind
NOTHING = Decimal("0.00")
PENNY = Decimal("0.01")
FACING_MM = 6.0  # for both ends of a blank; common practice, no source


@dataclass(frozen=True)
class Guess:
    """An estimate of an option from the record alone.

    Args:
        low, likely, high: In the currency of the engine; None where not known.
        how: The basis of the estimate, in a sentence.
        wants: What is still needed for it.
    """

    low: Decimal | None = None
    likely: Decimal | None = None
    high: Decimal | None = None
    hours: Decimal = Decimal(0)
    how: str = ""
    wants: tuple[str, ...] = ()
    calculation: Calculation | None = None


@dataclass(frozen=True)
class OptionLine:
    """One option as entered or, until then, as estimated from the record.

    Args:
        row: The option as entered; None while it is only estimated.
        guess: The estimate from the record.
        hours_cost: The hours at the cost of an hour at the bench.
    """

    way: str
    word: str
    row: Option | None
    guess: Guess
    hours: Decimal
    hours_cost: Decimal

    @property
    def low(self):
        return self.row.low if self.row else self.guess.low

    @property
    def likely(self):
        return self.row.likely if self.row else self.guess.likely

    @property
    def high(self):
        return self.row.high if self.row else self.guess.high

    @property
    def wants(self) -> list[str]:
        """What is still needed: as entered, and from the record."""
        written = [s.strip() for s in self.row.wants.splitlines()] if self.row else []
        return list(dict.fromkeys(filter(None, [*written, *self.guess.wants])))


@dataclass(frozen=True)
class Decision:
    """A decision that was made or withdrawn: what, why, by whom, when."""

    day: date
    words: str
    reason: str
    who: str
    job: Job | None = None


@dataclass(frozen=True)
class DecidePage:
    """The options and decisions of a part.

    Args:
        pieces: Pieces missing or beyond repair for which nothing is decided.
        open_jobs: Jobs decided, which can be withdrawn.
    """

    part: Part
    counts: Counts
    pieces: int
    options: list[OptionLine]
    decisions: list[Decision]
    open_jobs: list[Job]

    def option(self, key: str) -> OptionLine | None:
        return next((line for line in self.options if line.way == key), None)

    @property
    def top(self) -> float:
        """The highest cost of all options, for a common scale."""
        return float(max((line.high for line in self.options if line.high), default=0))


def decide_page(part: Part, day: date) -> DecidePage:
    """Return the options and decisions of a part. A fixed number of queries.

    Args:
        part: With its engine.
        day: Quotes that expired before it do not count.
    """
    counts = counts_now(part)
    pieces = counts.missing + counts.beyond_repair
    rows = {row.way: row for row in Option.objects.filter(part=part)}
    guesses = _guesses(part, max(pieces, 1), counts, day)
    rate = part.engine.shop_rate
    options = []
    for way in Way:
        row, guess = rows.get(way), guesses[way]
        hours = row.hours if row else guess.hours
        hours_cost = (hours * rate).quantize(PENNY, ROUND_HALF_UP)
        options.append(OptionLine(str(way), str(way.label), row, guess, hours, hours_cost))
    decisions, open_jobs = _decisions(part)
    return DecidePage(part, counts, pieces, options, decisions, open_jobs)


def _guesses(part: Part, pieces: int, counts: Counts, day: date) -> dict[str, Guess]:
    store = metal_store(part.engine)
    sheet = pattern_sheet(part, pieces)
    return {
        Way.SEARCH: Guess(wants=() if counts.missing else ("No piece of it is missing.",)),
        Way.REPAIR: Guess(
            wants=()
            if counts.beyond_repair
            else ("No piece that is beyond repair lies here to be mended.",)
        ),
        Way.CAST: _cast(part, sheet, store),
        Way.MACHINE: _machine(part, sheet.shape_rows, pieces),
        Way.FABRICATE: Guess(
            wants=() if sheet.shape_rows or part.size else ("Its size is not entered.",)
        ),
        Way.BUY: _buy(part, pieces, day),
        Way.BORROW: Guess(wants=("Nobody is asked yet.",)),
        Way.LEAVE_OFF: Guess(NOTHING, NOTHING, NOTHING, how="Costs nothing."),
    }


def _money(value: float) -> Decimal:
    return Decimal(str(value)).quantize(PENNY, ROUND_HALF_UP)


def _cast(part: Part, sheet: PatternSheet, store: Store) -> Guess:
    """Estimate the metal to charge at the value of the store; no work, no pattern."""
    wants = []
    if not sheet.lines:
        wants.append("No size stands on the pattern sheet.")
    patterns = PieceEntry.objects.filter(
        part=part, kind=Kind.STAGE, stage="pattern_made", pieces__gt=0
    )
    if not patterns.exists():
        wants.append("No pattern is made.")
    if not Crucible.objects.filter(engine=part.engine_id, good=True).exists():
        wants.append("No crucible that is fit for use is entered.")
    charge = next((w for w in sheet.masses if w.name.endswith("to charge")), None)
    if charge is None:
        return Guess(wants=(*wants, sheet.trouble or "Its mass is not known."))
    if sheet.short:
        wants.append(sheet.short)
    lots = [lot for lot in store.lots if lot.material == sheet.metal and not lot.empty]
    if sheet.metal == Material.CAST_IRON:
        lots = suitable_lots(lots, [IronCasting(str(part), irons.use_of(part.name), None)])
    free = sum(lot.free_kg for lot in lots)
    word = sheet.metal_word.lower()
    if free < charge.value:
        words = f"{amount(charge.value, 'kg')} is wanted and {amount(free, 'kg')} is free."
        wants.append(in_units(f"Not enough {word} in the store: {words}", part.engine.units))
    kg = sum(lot.on_hand_kg for lot in lots)
    worth = sum(float(lot.worth) for lot in lots)
    if not worth:
        return Guess(wants=(*wants, f"No {word} in the store has a price."), calculation=charge)
    price = worth / kg
    to_charge = amount(charge.value, "kg", low=charge.low, high=charge.high)
    masses = (charge.low or charge.value, charge.value, charge.high or charge.value)
    return Guess(
        *(_money(kg * price) for kg in masses),
        how=f"Metal only: {in_units(to_charge, part.engine.units)} to charge at what the "
        f"{word} in the store is worth a kilogram, {price:.2f}. Pattern, moulding and "
        "machining come on top.",
        wants=tuple(wants),
        calculation=charge,
    )


def _machine(part: Part, rows, pieces: int) -> Guess:
    """Estimate the bar for blanks at the price of a bar wide enough, and the time entered."""
    fastener = Fastener.objects.filter(part=part).first()
    hours = Decimal(0)
    if fastener and fastener.minutes_each:
        minutes = fastener.minutes_each * pieces + (fastener.minutes_setting or 0)
        hours = Decimal(str(round(minutes / 60, 1)))
    size = _blank(rows, fastener)
    if size is None:
        return Guess(hours=hours, wants=("The size of the blank is not known: no shapes yet.",))
    across, length = size
    bars = Bar.objects.filter(
        engine=part.engine_id,
        material=part.material,
        price__isnull=False,
        across_mm__gte=across - 1e-6,
        length_mm__gte=length,
    )
    bar = bars.filter(section=Bar.Section.ROUND).order_by("across_mm", "price").first()
    word = Material(part.material).label.lower()
    if bar is None:
        width = in_units(amount(across, "mm"), part.engine.units)
        reason = f"No round bar of {word}, {width} or more across, has a price."
        return Guess(hours=hours, wants=(reason,))
    by_length = float(bar.price) * length / bar.length_mm * pieces
    whole = float(bar.price) * ceil(pieces / max(int(bar.length_mm // length), 1))
    each = in_units(amount(length, "mm"), part.engine.units)
    how = f"Bar only: {pieces} × {each} of {bar}, the high figure for whole bars."
    return Guess(_money(by_length), _money(by_length), _money(whole), hours, how)


def _blank(rows, fastener) -> tuple[float, float] | None:
    """Return width and length of a blank [mm]: from round shapes, else from the fastener."""
    try:
        shapes = bodies_of(_solid(rows))
    except EngineeringError:
        shapes = []
    round_bodies = [body for body in shapes if body.shape in ("bar", "tube", "cone")]
    if round_bodies:
        across = max(
            max(body.sizes[k].value for k in body.sizes if "diameter" in k) for body in round_bodies
        )
        return across, sum(body.sizes["length"].value for body in round_bodies) + FACING_MM
    if fastener and fastener.length_mm and (fastener.flats_mm or fastener.crest_mm):
        return fastener.flats_mm or fastener.crest_mm, fastener.length_mm + FACING_MM
    return None


def _solid(rows) -> list:
    """Return the shapes that add material and have a length."""
    return [
        row for row in rows if not row.away and {"length"} <= {size.key for size in row.sizes.all()}
    ]


def _buy(part: Part, pieces: int, day: date) -> Guess:
    """Estimate from the valid quotes, for the pieces needed or the least order."""
    quotes = list(Quote.objects.filter(part=part))
    good = [q for q in quotes if q.good_until is None or q.good_until >= day]
    if not good:
        return Guess(wants=("Every quote has lapsed.",) if quotes else ("No quote.",))
    sums = [(q.each * max(pieces, q.least) + q.carriage, q) for q in good]
    newest = max(sums, key=lambda pair: (pair[1].day, pair[1].pk))
    from_whom = f"{newest[1].supplier} of {newest[1].day:%-d %b %Y}, carriage in it."
    how = f"The quote of {from_whom}"
    if len(good) > 1:
        how = f"{len(good)} quotes that still hold; likely is the newest, {from_whom}"
    amounts = [amount for amount, _ in sums]
    return Guess(min(amounts), newest[0], max(amounts), how=how)


_REVERSED = {Kind.DECIDED: "reopened", Kind.LEFT_OFF: "wanted again"}


def _decisions(part: Part) -> tuple[list[Decision], list[Job]]:
    """Return decisions on a part, newest first, and the jobs still decided. Two queries."""
    entries = PieceEntry.objects.filter(part=part, kind__in=[Kind.DECIDED, Kind.LEFT_OFF])
    decisions, open_pieces = [], {}
    for entry in entries.select_related("job").order_by("day", "pk"):
        word = entry.job.get_route_display() if entry.job else "leave off"
        action = "decided" if entry.pieces > 0 else _REVERSED[entry.kind]
        words = f"{abs(entry.pieces)} {action}: {word}"
        decisions.append(Decision(entry.day, words, entry.reason, entry.who, entry.job))
        if entry.job:
            open_pieces.setdefault(entry.job, 0)
            open_pieces[entry.job] += entry.pieces
    changes = Change.objects.filter(Q(kind="option"), part=part).exclude(reason="")
    for change in changes:
        decisions.append(Decision(change.at.date(), change.title, change.reason, change.by_name))
    decisions.sort(key=lambda decision: decision.day, reverse=True)
    return decisions, [job for job, n in open_pieces.items() if n > 0]
