"""The calculation of a lift: the loads on the hook, the legs and the gear, and their ratings."""

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
    """A piece of gear with the faults against using it on a day."""

    row: Gear
    faults: list[str]
    reading: Calculation | None


@dataclass(frozen=True)
class LiftSheet:
    """A lift with its figures.

    Args:
        lift: The row.
        day: The day for which the gear was checked.
        loads: The parts on the hook.
        total: The largest mass on the hook; None where a mass is not known.
        leg, shackle, hoist: The largest load on each, compared with its tag; None where there is
            none.
        trouble: The reason why the legs have no figure; else "".
        reasons: Sentences on why it must not be lifted; empty when nothing on paper is against it.
        verdict: The result in words.
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
        """The number of legs assumed to carry the load."""
        return slings.counted_legs(self.lift.legs, self.lift.shared)[0]

    @property
    def cautions(self) -> tuple[Caution, ...]:
        return slings.CAUTIONS


def gear_faults(gear: Gear, day: date, needed: int = 1) -> list[str]:
    """Return sentences against using a piece of gear on a day; empty when there are none.

    Only the newest inspection is stored: for a lift done long ago it shows only that the gear was
    inspected again since.

    Args:
        gear: The gear.
        day: The day it is to be used.
        needed: The number of pieces or legs needed.
    """
    faults = []
    if gear.removed_at is not None:
        faults.append(f"{gear.name} is no longer in the list of gear.")
    if gear.rated_kg is None:
        faults.append(f"{gear.name} carries no mark of its rated load: it lifts nothing.")
    if gear.inspected_on is None:
        faults.append(
            f"No inspection of {gear.name} is entered: a competent person inspects it first."
        )
    if gear.inspect_by is None:
        faults.append(f"It is not entered by when {gear.name} must be inspected again.")
    elif gear.inspect_by < day:
        faults.append(f"The inspection of {gear.name} ran out on {gear.inspect_by:%-d %b %Y}.")
    legs = gear.how_many * (gear.rated_legs or 1)
    if legs < needed:
        what = "legs" if gear.kind in Gear.SLINGS else "pieces"
        faults.append(f"This takes {needed} {what} of {gear.name}; there {_is(legs)} {legs}.")
    return faults + _tag_faults(gear)


def _is(n: int) -> str:
    return "is" if n == 1 else "are"


def _tag_faults(gear: Gear) -> list[str]:
    """Return sentences on what is missing of the tag of a sling, so that its rating is unusable."""
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
    """Return the rating of one leg from the tag of a sling; None where the tag is incomplete."""
    if gear.kind not in Gear.SLINGS or gear.rated_kg is None or _tag_faults(gear):
        return None
    return slings.leg_rating(rated_gear(gear))


def gear_lines(rows: Sequence[Gear], day: date) -> list[GearLine]:
    return [GearLine(row, gear_faults(row, day), tag_reading(row)) for row in rows]


def rated_gear(gear: Gear | None) -> slings.Gear | None:
    """Return gear for the calculations; None if there is none or its tag is incomplete."""
    if gear is None or gear.rated_kg is None or _tag_faults(gear):
        return None
    source = "its tag"
    if gear.inspected_on is not None:
        source += f"; inspected {gear.inspected_on:%-d %b %Y}"
    legs = gear.rated_legs or 1
    angle = gear.tag_angle if legs > 1 else 90.0
    return slings.Gear(gear.name, gear.rated_kg, True, source, legs, angle)


def check_gear(
    calculation: Calculation, gear: Gear | None, day: date, needed: int = 1
) -> Calculation:
    """Return the calculation, refused if its gear has faults: no mark, no inspection, too few."""
    if gear is None:
        return calculation
    faults = gear_faults(gear, day, needed)
    if not faults:
        return calculation
    own = calculation.verdict.replace(NO_GEAR, "").strip()
    words = " ".join(filter(None, (f"Do not use it. {' '.join(faults)}", own)))
    return replace(calculation, refused=True, verdict=words)


def _total(lift: Lift, loads: list[LoadLine]) -> Calculation:
    """Return the largest mass on the hook [kg], with the least."""
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
    exact = high <= low
    return Calculation(
        "Mass on the hook, at most",
        high,
        "kg",
        "the pieces at their heaviest, with mud, water and tackle",
        f"{' + '.join(terms)} = {amount(high, 'kg')}",
        tuple(inputs),
        "sum of the pieces; margins are common practice, no source",
        None if exact else low,
        None if exact else high,
        "" if exact else "as sure as each mass is; the gear is held against the most it can be",
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
    """Return the load on the shackle of a leg, which is the load in the leg."""
    if lift.shackle is None or leg.value is None:
        return None
    gear = rated_gear(lift.shackle)
    words, refused, inputs = slings.compare_with_rating(gear, leg.value, "The load on a shackle")
    return Calculation(
        "Load on each shackle",
        leg.value,
        "kg",
        "as its leg",
        "",
        (Input("T", "Load in its leg", leg.value, "kg", Origin.CALCULATED), *inputs),
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
    words, refused, inputs = slings.compare_with_rating(gear, total.value, "The load on the hook")
    return Calculation(
        "Load on the hoist",
        total.value,
        "kg",
        "all that hangs on the hook",
        "",
        (Input("W", "Mass on the hook", total.value, "kg", Origin.CALCULATED), *inputs),
        "statics",
        verdict=words,
        refused=refused,
        cautions=slings.CAUTIONS,
        limits=ANCHOR,
    )


def _angle_faults(lift: Lift) -> list[str]:
    """Return the faults of the angle, whatever the load."""
    try:
        calculation = slings.leg_load(1.0, lift.legs, lift.angle_deg, shared=lift.shared)
    except EngineeringError as error:
        return [str(error)]
    return [calculation.verdict] if calculation.refused else []


def _missing_gear(lift: Lift) -> list[str]:
    gear_by_word = (("sling", lift.sling), ("hoist", lift.hoist))
    return [f"No {word} is named yet." for word, gear in gear_by_word if gear is None]


def _rating_share(calculation: Calculation | None) -> float:
    """Return the largest load on a piece of gear as a share of its rating; 0 where not known."""
    if calculation is None or calculation.value is None:
        return 0.0
    rated = next((g.value for g in calculation.inputs if g.letter == "R"), None)
    return calculation.value / rated if rated else 0.0


def _verdict(leg, shackle, hoist) -> str:
    loads = [("a leg", leg), ("a shackle", shackle), ("the hoist", hoist)]
    name, worst = max(loads, key=lambda pair: _rating_share(pair[1]))
    percent = sig(100 * _rating_share(worst), 3)
    return (
        f"Within the tags, on paper. The most loaded is {name}, at {percent} % of its rating. "
        "A qualified rigger decides."
    )


def _inspection_day(lift: Lift, today: date) -> date:
    if lift.done_on:
        return lift.done_on
    return max(lift.planned_for or today, today)


def _sheet(lift: Lift, masses: dict[int, PieceMass], today: date) -> LiftSheet:
    day = _inspection_day(lift, today)
    loads = [LoadLine(r.part, r.pieces, masses.get(r.part_id)) for r in lift.loads.all()]
    unknown = [line.part for line in loads if line.mass is None]
    reasons = [] if loads else ["Nothing hangs on the hook yet."]
    reasons += [
        f"The mass of {part} is not known: weigh it, or give its shapes and sizes."
        for part in unknown
    ]
    reasons += _missing_gear(lift)
    for gear, needed in ((lift.sling, lift.legs), (lift.shackle, lift.legs), (lift.hoist, 1)):
        reasons += gear_faults(gear, day, needed) if gear else []
    if not loads or unknown:
        reasons += _angle_faults(lift)
        unique_reasons = [*dict.fromkeys(reasons)]
        return LiftSheet(
            lift, day, loads, None, None, None, None, "", unique_reasons, "Do not lift."
        )
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
        check_gear(w, gear, day, needed) if w else None
        for w, gear, needed in (
            (leg, lift.sling, lift.legs),
            (shackle, lift.shackle, lift.legs),
            (hoist, lift.hoist, 1),
        )
    )
    verdict = "Do not lift." if reasons else _verdict(leg, shackle, hoist)
    unique_reasons = [*dict.fromkeys(reasons)]
    return LiftSheet(lift, day, loads, total, leg, shackle, hoist, trouble, unique_reasons, verdict)


def lift_sheets(lifts: Sequence[Lift], today: date) -> list[LiftSheet]:
    """Return lifts of one engine with their figures. Four queries, however many.

    Args:
        lifts: From `lifts_of`, all of one engine.
        today: The gear is checked for today, or for the later day of the lift.
    """
    if not lifts:
        return []
    parts = {load.part_id: load.part for lift in lifts for load in lift.loads.all()}
    masses = masses_of(lifts[0].engine, parts.values()) if parts else {}
    return [_sheet(lift, masses, today) for lift in lifts]


def lifts_of(engine):
    """Return the lifts of an engine with gear and loads, newest first. Three queries."""
    rows = Lift.objects.filter(engine=engine).select_related("engine", "sling", "shackle", "hoist")
    return rows.prefetch_related("loads__part")
