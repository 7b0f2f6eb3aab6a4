"""The journal in its bearing: running clearance, mean pressure, rubbing speed.

Import from `white_metal`. Sizes in mm, forces in N, pressures in kPa. Clearances are always on
the diameter, never on the radius.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import pi

from .. import tables
from ..calculation import Calculation, Caution, Input, Origin
from ..constants import KPA_PER_PSI, MM_PER_FT
from ..errors import OutOfRange, UnknownName, finite
from ..figures import full
from ..sentences import amount, sentence
from ..uncertainty import Size

PSI = float(KPA_PER_PSI)
PSI_FT_MIN = PSI * float(MM_PER_FT) / 60_000  # in kPa m/s
SLOW_RPM = 600.0
USUAL_RULE = "two_and_one"
MEASURE_AGAIN = "Measure it again with a micrometer, across and along, before it is bored."
RUN_IN = Caution(
    "Turn the shaft by hand first, then watch the bearing: it must not grow too hot to touch.",
    "No figure here says that an engine may be run: a competent person decides that, and an "
    "inspector for steam.",
)
OVER_PRESSED = Caution(
    "Over the usual limit: do not put this load on the bearing.",
    "Lengthen the journal, lower the pressure, or ask an engineer.",
)


@dataclass(frozen=True)
class Rule:
    """A rule for the running clearance on the diameter: a + b d.

    Args:
        key: What the record stores.
        words: The rule in words.
        a_mm: The fixed part [mm].
        b: The part that grows with the journal.
        applies: What it is for, where the source says.
        source, status: Where it is printed, and whether that was seen.
    """

    key: str
    words: str
    a_mm: float
    b: float
    applies: str
    source: str
    status: str

    def clearance_mm(self, journal_mm: float) -> float:
        return self.a_mm + self.b * journal_mm


@cache
def _rules() -> dict[str, Rule]:
    return {
        row["rule"]: Rule(
            row["rule"],
            _rule_words(float(row["a_in"]) * 25.4, float(row["b"])),
            float(row["a_in"]) * 25.4,
            float(row["b"]),
            row["applies"],
            row["source"],
            row["status"],
        )
        for row in tables.read("clearances")
    }


def _rule_words(a_mm: float, b: float) -> str:
    return sentence(f"{amount(a_mm, 'mm', 2)} + {b:g} × d" if a_mm else f"{b:g} × d")


def rules() -> tuple[Rule, ...]:
    """Return the rules of running clearance."""
    return tuple(_rules().values())


def clearance(
    journal_mm: float,
    rule: str = USUAL_RULE,
    *,
    speed_rpm: float | None = None,
    own_mm: float | None = None,
) -> Calculation:
    """Running clearance of a journal, on the diameter [mm].

    Args:
        journal_mm: Diameter of the journal [mm].
        rule: A key of `rules()`.
        speed_rpm: Speed of the shaft, where known: the rules hold to 600 rpm.
        own_mm: A person's own clearance on the diameter, which overrides the rule [mm].

    Returns:
        Calculation in mm, low and high the least and most of the rules that sources give for a new
        bearing; refused when a person's own figure is under the least ever advised.

    Raises:
        OutOfRange: a size or speed that cannot be, or a speed over 600 rpm. UnknownName: no rule.
    """
    d = finite("journal diameter", journal_mm, "mm", upto=1000)
    if speed_rpm is not None and finite("speed", speed_rpm, "rpm", upto=1e5) > SLOW_RPM:
        raise OutOfRange("These rules are for shafts up to 600 rpm: ask an engineer for this one.")
    if rule not in _rules():
        raise UnknownName(f"There is no rule of clearance called {rule!r}.")
    chosen = _rules()[rule]
    new_clearances = [
        one.clearance_mm(d) for one in rules() if one.key not in ("slow_worn", "least")
    ]
    least = max(_rules()["least"].clearance_mm(d), 0.0254)
    worn = _rules()["slow_worn"].clearance_mm(d)
    journal = Input("d", "Journal diameter", d, "mm", Origin.ENTERED)
    if own_mm is None:
        value = chosen.clearance_mm(d)
        formula, source = chosen.words, chosen.source
        inputs = (journal,)
    else:
        value = finite("clearance", own_mm, "mm", upto=50)
        formula, source = "entered", "entered"
        inputs = (journal, Input("e", "Clearance on the diameter", value, "mm", Origin.ENTERED))
    tight, slack = value < least - 1e-9, value > worn + 1e-9
    verdict = f"On the diameter. Worn out at about {amount(worn, 'mm')}."
    if tight:
        verdict = f"Too tight: the least ever advised is {amount(least, 'mm')} on the diameter."
    elif slack:
        verdict = f"Slacker than the worn limit of {amount(worn, 'mm')}."
    return Calculation(
        "Running clearance, on the diameter",
        value,
        "mm",
        formula,
        f"{amount(value, 'mm')} on the diameter",
        inputs,
        source,
        min(new_clearances),
        max(new_clearances),
        "the rules in use differ by this much",
        verdict=verdict,
        refused=tight,
        cautions=(RUN_IN,),
        limits="Slow shafts up to 600 rpm, on the diameter. The rules differ; all have served.",
    )


def bore(journal: Size, gap: Calculation) -> Calculation:
    """Bore for a journal [mm]: its diameter and the running clearance.

    Args:
        journal: The journal as measured [mm], with its uncertainty.
        gap: The running clearance, from `clearance`.

    Returns:
        Calculation in mm, its interval from the rules of clearance and the error of the measure.
        Refused, without a value, where that error is as large as the clearance.

    Raises:
        OutOfRange: a size that cannot be.
    """
    d = finite("journal diameter", journal.value, "mm", upto=1000)
    error = journal.plus_minus
    gap_mm = gap.value
    value: float | None = d + gap_mm
    verdict, refused = "", False
    if error >= gap_mm:
        value, refused = None, True
        verdict = (
            f"No bore can be given: the journal is measured to ± {amount(error, 'mm', 2)}, as much "
            f"as the whole clearance of {amount(gap_mm, 'mm', 3)}. {MEASURE_AGAIN}"
        )
    elif error > gap_mm / 2:
        verdict = (
            f"The journal is measured to ± {amount(error, 'mm', 2)}, more than half the clearance "
            f"of {amount(gap_mm, 'mm', 3)}. {MEASURE_AGAIN}"
        )
    elif not error:
        verdict = f"How sure the measure of the journal is was not entered. {MEASURE_AGAIN}"
    meaning = "the rules of clearance differ by this much"
    return Calculation(
        "Bore it to",
        value,
        "mm",
        "d + e",
        f"{amount(d, 'mm', 6)} + {amount(gap_mm, 'mm', 3)}"
        + ("" if refused else f" = {amount(value, 'mm', 6)}"),
        (
            Input("d", "Journal diameter", d, "mm", journal.origin, journal.source),
            Input("e", gap.name, gap_mm, "mm", Origin.CALCULATED),
        ),
        "the clearance is on the diameter",
        None if refused else d - error + gap.low,
        None if refused else d + error + gap.high,
        f"{meaning}, and the journal is as sure as it was measured" if error else meaning,
        verdict=verdict,
        refused=refused,
        limits="For the journal as measured. Measure it again on the day it is bored.",
        parts=(gap,),
    )


def mean_pressure(
    load_n: float,
    diameter_mm: float,
    length_mm: float,
    *,
    bearings: int = 1,
    service: str = "main",
) -> Calculation:
    """Mean pressure on the projected area of a journal [kPa]: W / (n d L).

    Args:
        load_n: The load on all of them together [N].
        diameter_mm, length_mm: Of one journal [mm].
        bearings: The number that share the load equally.
        service: "main", "crank_pin", "crosshead_pin" or "slide" (there d is the width).

    Returns:
        Calculation in kPa with a verdict; refused over the upper usual limit of that service.

    Raises:
        OutOfRange: a size or load that cannot be. UnknownName: no such service.
    """
    load = finite("load", load_n, "N", upto=1e8)
    d = finite("journal diameter", diameter_mm, "mm", upto=2000)
    length = finite("journal length", length_mm, "mm", upto=5000)
    count = finite("number of bearings", bearings, upto=100)
    if count != int(count):
        raise OutOfRange("The number of bearings must be whole.")
    limits = {row["key"]: row for row in tables.read("bearing_limits")}
    if service not in limits:
        raise UnknownName(f"There are no usual limits for a bearing called {service!r}.")
    row = limits[service]
    low, high = float(row["low_psi"]) * PSI, float(row["high_psi"]) * PSI
    value = 1000 * load / (count * d * length)
    over_limit = value > high * (1 + 1e-9)
    usual = f"{amount(low, 'kPa', 3)} to {amount(high, 'kPa', 3)}"
    pressure_text = amount(value, "kPa", 3)
    if over_limit:
        verdict = f"Over the usual limit for a {row['name']}: {pressure_text} against {usual}."
    elif value < low:
        verdict = f"Light for a {row['name']}: {pressure_text}, usual is {usual}."
    else:
        verdict = f"Within the usual for a {row['name']}: {pressure_text} of {usual}."
    return Calculation(
        "Mean pressure on the projected area",
        value,
        "kPa",
        "W ÷ (n × d × L)",
        f"{full(load, 'N')} ÷ ({count:g} × {full(d, 'mm')} × {full(length, 'mm')}) = "
        f"{amount(value, 'kPa')}",
        (
            Input("W", "Load", load, "N", Origin.ENTERED),
            Input("n", "Bearings that share it", count, "", Origin.ENTERED),
            Input("d", "Journal diameter", d, "mm", Origin.ENTERED),
            Input("L", "Journal length", length, "mm", Origin.ENTERED),
            Input(
                "p", f"Usual for a {row['name']}, upper", high, "kPa", Origin.TABLE, row["source"]
            ),
        ),
        "projected-area rule",
        verdict=verdict,
        refused=over_limit,
        cautions=((OVER_PRESSED,) if over_limit else ()) + (RUN_IN,),
        limits="Mean pressure on a peak load, with oil. The weight of wheel and shaft adds to it.",
    )


def journal_speed(diameter_mm: float, speed_rpm: float) -> Calculation:
    """Rubbing speed of a journal [m_s]: π d N / 60. Raises OutOfRange."""
    d = finite("journal diameter", diameter_mm, "mm", upto=2000)
    rpm = finite("speed", speed_rpm, "rpm", upto=1e5)
    value = pi * d / 1000 * rpm / 60
    return Calculation(
        "Rubbing speed",
        value,
        "m_s",
        "π × d × N",
        f"π × {full(d, 'mm')} × {full(rpm, 'rpm')} = {amount(value, 'm_s')}",
        (
            Input("d", "Journal diameter", d, "mm", Origin.ENTERED),
            Input("N", "Speed", rpm, "rpm", Origin.ENTERED),
        ),
        "geometry",
    )


def pressure_velocity(pressure: Calculation, speed: Calculation, base: str = "tin") -> Calculation:
    """Pressure times rubbing speed, against the limit for a bearing short of oil [kPa_m_s].

    Args:
        pressure: From `mean_pressure`.
        speed: From `journal_speed`.
        base: "tin" or "lead", of the white metal.

    Returns:
        Calculation in kPa m/s with a verdict; not refused, for a good oil film carries far more.

    Raises:
        UnknownName: the base is neither.
    """
    row = next((row for row in tables.read("white_metal") if row["base"] == base), None)
    if row is None:
        raise UnknownName(f"White metal is tin-base or lead-base, not {base!r}.")
    limit = float(row["pv_psi_ft_min"]) * PSI_FT_MIN
    value = pressure.value * speed.value
    comparison = f"{amount(value, 'kPa_m_s', 3)} of {amount(limit, 'kPa_m_s', 3)}"
    verdict = (
        f"Over what {base}-base white metal stands when short of oil: {comparison}. It needs an "
        "oil film at all times."
        if value > limit
        else f"Within what {base}-base white metal stands when short of oil: {comparison}."
    )
    return Calculation(
        "Pressure times speed",
        value,
        "kPa_m_s",
        "p × v",
        f"{full(pressure.value, 'kPa')} × {full(speed.value, 'm_s')} = {amount(value, 'kPa_m_s')}",
        (
            Input("p", pressure.name, pressure.value, "kPa", Origin.CALCULATED),
            Input("v", speed.name, speed.value, "m_s", Origin.CALCULATED),
            Input("k", "Limit short of oil", limit, "kPa_m_s", Origin.TABLE, row["pv_source"]),
        ),
        "product rule for boundary lubrication",
        verdict=verdict,
        cautions=(RUN_IN,),
        parts=(pressure, speed),
    )
