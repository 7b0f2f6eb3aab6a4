"""Lifts thought through: what hangs on the hook, what each leg carries, and whether it may."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from parts.engineering.calculation import Calculation, Caution, Input, Origin
from parts.engineering.errors import EngineeringError
from parts.engineering.figures import sig
from parts.engineering.lifting import slings
from parts.engineering.sentences import amount
from parts.record.models import Part
from parts.workshop.shapes.queries.masses import PieceMass, masses_of

from ..models import Gear, Lift

NO_GEAR = "No gear named: read its tag before anything is lifted."
ANCHOR = (
    "What the hoist hangs from is not in it: a tripod, beam or crane carries the load, its tackle "
    "and the pull on the hauling part, and has a rating of its own."
)


@dataclass(frozen=True)
class LoadLine:
    """Pieces of a part on the hook, with the mass of one; None where it is not known."""

    part: Part
    pieces: int
    mass: PieceMass | None

    @property
    def most_kg(self) -> float | None:
        return self.mass.high * self.pieces if self.mass else None


@dataclass(frozen=True)
class GearLine:
    """A piece of gear with what is against using it on a day."""

    row: Gear
    faults: list[str]
    reading: Calculation | None


@dataclass(frozen=True)
class LiftSheet:
    """A lift with its figures.

    Args:
        lift: The row.
        day: The day for which the gear was judged.
        loads: What hangs on the hook.
        total: The most that can hang on the hook; None where a mass is not known.
        leg, shackle, hoist: The load on each at the most, held against its tag; None where there
            is none.
        trouble: Why there is no figure for the legs: a sentence.
        reasons: Why it must not be lifted: sentences. Empty when nothing on paper is against it.
        verdict: The answer in words.
    """

    lift: Lift
    day: date
    loads: list[LoadLine]
    total: Calculation | None
    leg: Calculation | None
    shackle: Calculation | None
    hoist: Calculation | None
    trouble: str
    reasons: list[str]
    verdict: str

    @property
    def refused(self) -> bool:
        return bool(self.reasons)

    @property
    def calculations(self) -> list[Calculation]:
        return [w for w in (self.leg, self.shackle, self.hoist, self.total) if w is not None]

    @property
    def counted(self) -> int:
        """How many legs are taken to carry the load."""
        return slings.counted_legs(self.lift.legs, self.lift.shared)[0]

    @property
    def cautions(self) -> tuple[Caution, ...]:
        return slings.CAUTIONS


def gear_faults(gear: Gear, day: date, wanted: int = 1) -> list[str]:
    """What is against using a piece of gear on a day, in sentences; empty when nothing is.

    Only the newest inspection is kept: of a lift long done it says no more than that the gear
    was inspected again since.

    Args:
        gear: The gear.
        day: The day it is to be used.
        wanted: How many of it the job takes.
    """
    faults = []
    if gear.removed_at is not None:
        faults.append(f"{gear.name} is no longer in the list of gear.")
    if gear.rated_kg is None:
        faults.append(f"{gear.name} carries no mark of its rated load: it lifts nothing.")
    if gear.inspected_on is None:
        faults.append(
            f"No inspection of {gear.name} is written down: a competent person inspects it first."
        )
    if gear.inspect_by is None:
        faults.append(f"It is not written down by when {gear.name} must be inspected again.")
    elif gear.inspect_by < day:
        faults.append(f"The inspection of {gear.name} ran out on {gear.inspect_by:%-d %b %Y}.")
    legs = gear.how_many * (gear.rated_legs or 1)
    if legs < wanted:
        what = "legs" if gear.kind in Gear.SLINGS else "pieces"
        faults.append(f"This takes {wanted} {what} of {gear.name}; there {_is(legs)} {legs}.")
    return faults + _tag_faults(gear)


def _is(n: int) -> str:
    return "is" if n == 1 else "are"


def _tag_faults(gear: Gear) -> list[str]:
    """What is not said of the tag of a sling, without which its rated load means nothing."""
    if gear.kind not in Gear.SLINGS or gear.rated_kg is None:
        return []
    if gear.rated_legs is None:
        return [
            f"Read the tag of {gear.name} again: is its rated load for one leg, or for the whole "
            "sling?"
        ]
    if gear.rated_legs > 1 and gear.tag_angle is None:
        return [f"Read the tag of {gear.name} again: at which angle is the whole sling rated?"]
    return []


def tag_reading(gear: Gear) -> Calculation | None:
    """How the tag of a sling is taken: what one leg may carry. None where it says too little."""
    if gear.kind not in Gear.SLINGS or gear.rated_kg is None or _tag_faults(gear):
        return None
    return slings.leg_rating(rated_gear(gear))


def gear_lines(rows: Sequence[Gear], day: date) -> list[GearLine]:
    return [GearLine(row, gear_faults(row, day), tag_reading(row)) for row in rows]


def rated_gear(gear: Gear | None) -> slings.Gear | None:
    """Return gear of the record for the calculations, or None where its tag says too little."""
    if gear is None or gear.rated_kg is None or _tag_faults(gear):
        return None
    said = "its tag"
    if gear.inspected_on is not None:
        said += f"; inspected {gear.inspected_on:%-d %b %Y}"
    legs = gear.rated_legs or 1
    angle = gear.tag_angle if legs > 1 else 90.0
    return slings.Gear(gear.name, gear.rated_kg, True, said, legs, angle)


def held_up(calculation: Calculation, gear: Gear | None, day: date, wanted: int = 1) -> Calculation:
    """A Calculation whose gear is also held against its mark, its inspection and its number."""
    if gear is None:
        return calculation
    faults = gear_faults(gear, day, wanted)
    if not faults:
        return calculation
    own = calculation.verdict.replace(NO_GEAR, "").strip()
    words = " ".join(filter(None, (f"Do not use it. {' '.join(faults)}", own)))
    return replace(calculation, refused=True, verdict=words)


def _total(lift: Lift, loads: list[LoadLine]) -> Calculation:
    """The most that can hang on the hook [kg], with the least."""
    extra = lift.extra_kg
    terms = [f"{line.pieces} × {amount(line.mass.high, 'kg')}" for line in loads]
    inputs = [
        Input(
            f"W{n}",
            f"{line.part}, one piece at most" + (f", of {line.pieces}" if line.pieces > 1 else ""),
            line.mass.high,
            "kg",
            line.mass.origin,
            line.mass.all_words,
        )
        for n, line in enumerate(loads, 1)
    ]
    if extra:
        terms.append(amount(extra, "kg"))
        inputs.append(Input("M", "Mud, water and tackle", extra, "kg", Origin.ENTERED))
    low = sum(line.mass.low * line.pieces for line in loads) + extra
    high = sum(line.most_kg for line in loads) + extra
    sure = high <= low
    return Calculation(
        "Mass on the hook, at most",
        high,
        "kg",
        "the pieces at their heaviest, with mud, water and tackle",
        f"{' + '.join(terms)} = {amount(high, 'kg')}",
        tuple(inputs),
        "sum of the pieces; margins are common practice, no source",
        None if sure else low,
        None if sure else high,
        "" if sure else "as sure as each mass is; the gear is held against the most it can be",
        verdict="" if extra else "Nothing is added for mud, water and tackle.",
        cautions=(slings.UNDER_THE_LOAD,),
        limits="Weigh it if you can. What is still bolted, bedded or stuck is not in it.",
        parts=tuple(line.mass.calculation for line in loads if line.mass.calculation),
    )


def _leg(lift: Lift, total: Calculation) -> Calculation:
    return slings.leg_load(
        total.value,
        lift.legs,
        lift.angle_deg,
        rated_gear(lift.sling),
        shared=lift.shared,
    ).with_origins({"W": (Origin.CALCULATED, total.name.lower())})


def _shackle(lift: Lift, leg: Calculation) -> Calculation | None:
    """The shackle of a leg carries what the leg carries, in line with it."""
    if lift.shackle is None or leg.value is None:
        return None
    gear = rated_gear(lift.shackle)
    words, refused, given = slings.compare_with_rating(gear, leg.value, "The load on a shackle")
    return Calculation(
        "Load on each shackle",
        leg.value,
        "kg",
        "as its leg",
        "",
        (Input("T", "Load in its leg", leg.value, "kg", Origin.CALCULATED), *given),
        "statics",
        verdict=words,
        refused=refused,
        cautions=slings.CAUTIONS,
        limits="Pulled in line. Pulled from the side, a shackle carries half or less.",
    )


def _hoist(lift: Lift, total: Calculation) -> Calculation | None:
    if lift.hoist is None:
        return None
    gear = rated_gear(lift.hoist)
    words, refused, given = slings.compare_with_rating(gear, total.value, "The load on the hook")
    return Calculation(
        "Load on the hoist",
        total.value,
        "kg",
        "all that hangs on the hook",
        "",
        (Input("W", "Mass on the hook", total.value, "kg", Origin.CALCULATED), *given),
        "statics",
        verdict=words,
        refused=refused,
        cautions=slings.CAUTIONS,
        limits=ANCHOR,
    )


def _too_flat(lift: Lift) -> list[str]:
    """What is wrong with the angle, whatever hangs there."""
    try:
        calculation = slings.leg_load(1.0, lift.legs, lift.angle_deg, shared=lift.shared)
    except EngineeringError as error:
        return [str(error)]
    return [calculation.verdict] if calculation.refused else []


def _named(lift: Lift) -> list[str]:
    wanted = (("sling", lift.sling), ("hoist", lift.hoist))
    return [f"No {word} is named yet." for word, gear in wanted if gear is None]


def _share(calculation: Calculation | None) -> float:
    """How much of its rating a piece of gear carries at the most; 0 where that is not known."""
    if calculation is None or calculation.value is None:
        return 0.0
    rated = next((g.value for g in calculation.inputs if g.letter == "R"), None)
    return calculation.value / rated if rated else 0.0


def _words(leg, shackle, hoist) -> str:
    named = [("a leg", leg), ("a shackle", shackle), ("the hoist", hoist)]
    what, worst = max(named, key=lambda one: _share(one[1]))
    return (
        "Within the tags, on paper. The most loaded is "
        f"{what}, at {sig(100 * _share(worst), 3)} % of its rating. A qualified rigger decides."
    )


def _judged_on(lift: Lift, today: date) -> date:
    if lift.done_on:
        return lift.done_on
    return max(lift.planned_for or today, today)


def _sheet(lift: Lift, masses: dict[int, PieceMass], today: date) -> LiftSheet:
    day = _judged_on(lift, today)
    loads = [LoadLine(r.part, r.pieces, masses.get(r.part_id)) for r in lift.loads.all()]
    unknown = [line.part for line in loads if line.mass is None]
    reasons = [] if loads else ["Nothing hangs on the hook yet."]
    reasons += [
        f"The mass of {part} is not known: weigh it, or give its shapes and sizes."
        for part in unknown
    ]
    reasons += _named(lift)
    for gear, wanted in ((lift.sling, lift.legs), (lift.shackle, lift.legs), (lift.hoist, 1)):
        reasons += gear_faults(gear, day, wanted) if gear else []
    if not loads or unknown:
        reasons += _too_flat(lift)
        said = [*dict.fromkeys(reasons)]
        return LiftSheet(lift, day, loads, None, None, None, None, "", said, "Do not lift.")
    total = leg = shackle = hoist = None
    trouble = ""
    try:
        total = _total(lift, loads)
        hoist = _hoist(lift, total)
        leg = _leg(lift, total)
        shackle = _shackle(lift, leg)
    except EngineeringError as error:
        trouble = str(error)
        reasons.append(trouble)
    reasons += [w.verdict for w in (leg, shackle, hoist) if w is not None and w.refused]
    leg, shackle, hoist = (
        held_up(w, gear, day, wanted) if w else None
        for w, gear, wanted in (
            (leg, lift.sling, lift.legs),
            (shackle, lift.shackle, lift.legs),
            (hoist, lift.hoist, 1),
        )
    )
    verdict = "Do not lift." if reasons else _words(leg, shackle, hoist)
    said = [*dict.fromkeys(reasons)]
    return LiftSheet(lift, day, loads, total, leg, shackle, hoist, trouble, said, verdict)


def lift_sheets(lifts: Sequence[Lift], today: date) -> list[LiftSheet]:
    """Lifts of one engine with their figures. Four queries, however many.

    Args:
        lifts: From `lifts_of`, all of one engine.
        today: The gear is judged by its inspection today, or on the later day of the lift.
    """
    if not lifts:
        return []
    parts = {load.part_id: load.part for lift in lifts for load in lift.loads.all()}
    masses = masses_of(lifts[0].engine, parts.values()) if parts else {}
    return [_sheet(lift, masses, today) for lift in lifts]


def lifts_of(engine):
    """The lifts of an engine with gear and loads, newest first. Three queries when read."""
    rows = Lift.objects.filter(engine=engine).select_related("engine", "sling", "shackle", "hoist")
    return rows.prefetch_related("loads__part")
