"""Names the thread of a worn piece from what can be measured on it.

Wear leaves only the pitch and the flank angle: the crest wears, so the measured diameter is the
major diameter or less. Each measurement adds the square of its misfit, in units of its own
uncertainty; threads within 4 of the best score are not told apart.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..calculation import Calculation, Caution, Input, Origin
from ..errors import OutOfRange, finite
from ..figures import full, sig
from ..sentences import amount, joined, sentence
from .bolts import Flats, all_flats, for_thread
from .threads import INCH, SERIES, Thread, minor_dia_mm, threads_in

OPEN = 4.0  # twice the uncertainty of one measurement, squared
WEAR = 0.15  # of the pitch: how far a crest is commonly worn or made under size
OVER = 0.05  # of the pitch: how far a crest is made over size
WORN_OUT = 0.45  # of the pitch: with less crest left than this no thread is named
SOURCE = (
    "least misfit over the tables; weights and limits common practice, no source: crest worn by "
    "0.15 p, count 1 %, gauge 2°, flats " + amount(0.4, "mm", 1) + " unless stated"
)
DIFFER = Caution(
    "Do not force a bolt of another standard that seems to fit.",
    "Threads of equal diameter and count but 55° against 60° screw together and bear on a narrow "
    "line of flank: they pull out under load.",
)


@dataclass(frozen=True)
class Misfit:
    """The difference between one measurement and a thread of the tables.

    Args:
        what: "crest", "pitch", "flank angle", "flats" or "core".
        measured, table: The two figures, in `unit`.
        unit: "mm", "deg" or "tpi".
        share: The misfit divided by the uncertainty: under 1 agrees, over 3 does not.
        words: The same for people: "0.2 mm under".
    """

    what: str
    measured: float
    table: float
    unit: str
    share: float
    words: str


@dataclass(frozen=True)
class Candidate:
    """A thread of the tables that the piece may have.

    Args:
        thread: The thread.
        score: Sum of the squared misfits; 0 agrees in all.
        misfits: The misfit of each measurement.
        flats: The head or nut of its tables that comes nearest, when flats were measured.
    """

    thread: Thread
    score: float
    misfits: tuple[Misfit, ...]
    flats: Flats | None = None

    @property
    def words(self) -> str:
        return sentence(", ".join(f"{m.what} {m.words}" for m in self.misfits))


@dataclass(frozen=True)
class NextMeasure:
    """One more measurement that would tell candidates apart.

    Args:
        what: "flank angle", "flats", "pitch" or "core".
        sentence: What to do, and what each result would mean.
        settles: How many pairs of candidates it tells apart.
    """

    what: str
    sentence: str
    settles: int


@dataclass(frozen=True)
class Identification:
    """The threads that a worn piece may have.

    Args:
        candidates: Nearest first; those that fit within the limits of wear.
        still_open: The candidates that the measurements do not tell apart.
        next_measures: What to measure next, the most useful first; empty when nothing is open.
        calculation: The answer in words.
    """

    candidates: tuple[Candidate, ...]
    still_open: tuple[Candidate, ...]
    next_measures: tuple[NextMeasure, ...]
    calculation: Calculation


@dataclass(frozen=True)
class _Measurements:
    major: float
    pitch: float
    angle: float | None
    flats: float | None
    core: float | None
    major_pm: float
    pitch_pm: float
    angle_pm: float
    flats_pm: float
    core_pm: float


def identify(
    major_mm: float,
    *,
    tpi: float | None = None,
    pitch_mm: float | None = None,
    flank_deg: float | None = None,
    flats_mm: float | None = None,
    core_mm: float | None = None,
    major_pm_mm: float = 0.05,
    pitch_pm_percent: float = 1.0,
    flank_pm_deg: float = 2.0,
    flats_pm_mm: float = 0.4,
    core_pm_mm: float = 0.1,
    series: tuple[str, ...] = (),
) -> Identification:
    """Rank the threads that a worn piece may have.

    Args:
        major_mm: Over the best-kept crests. [mm]
        tpi, pitch_mm: The count of threads in an inch, or the pitch; one of the two.
        flank_deg: Angle between the flanks by gauge, when known. [deg]
        flats_mm: Across the flats of its own head or nut, when known. [mm]
        core_mm: Over the roots of the bolt, when known. [mm]
        major_pm_mm, pitch_pm_percent, flank_pm_deg, flats_pm_mm, core_pm_mm: Uncertainty of
            each. A count over 25 threads is good to about 0.3 %.
        series: Only these series; all when empty.

    Raises:
        OutOfRange: a measurement that cannot be, or no pitch given.
    """
    m = _check_measurements(
        major_mm,
        tpi,
        pitch_mm,
        flank_deg,
        flats_mm,
        core_mm,
        (major_pm_mm, pitch_pm_percent, flank_pm_deg, flats_pm_mm, core_pm_mm),
    )
    scored = sorted(
        (c for c in (_candidate(t, m) for t in threads_in(*series)) if c), key=lambda c: c.score
    )
    candidates = tuple(c for c in scored if c.score <= scored[0].score + 40) if scored else ()
    still_open = tuple(c for c in candidates if c.score <= candidates[0].score + OPEN)
    nexts = _next_measures(still_open, m)
    return Identification(
        candidates, still_open, nexts, _calculation(m, candidates, still_open, nexts)
    )


def _check_measurements(major, tpi, pitch, flank, flats, core, spreads) -> _Measurements:
    major = finite("diameter over the crests", major, "mm", upto=600)
    if (tpi is None) == (pitch is None):
        raise OutOfRange("Give the threads per inch or the pitch, one of the two.")
    if tpi is not None:
        pitch = INCH / finite("count of threads per inch", tpi, above=0.5, upto=200)
    pitch = finite("pitch", pitch, "mm", upto=50)
    if pitch > major:
        raise OutOfRange(
            f"A pitch of {amount(pitch, 'mm')} on a diameter of {amount(major, 'mm')} is no "
            "fastening thread: check the count."
        )
    if flank is not None:
        flank = finite("flank angle", flank, "deg", least=20, upto=100)
    if flats is not None:
        flats = finite("width across the flats", flats, "mm", above=major * 0.99, upto=1000)
    if core is not None:
        core = finite("diameter over the roots", core, "mm", upto=major)
    pm = [finite("uncertainty", s, upto=90) for s in spreads]
    return _Measurements(major, pitch, flank, flats, core, pm[0], pm[1] / 100, pm[2], pm[3], pm[4])


def _candidate(t: Thread, m: _Measurements) -> Candidate | None:
    """Return the thread with its misfits, or None when it cannot be the one."""
    off = m.pitch / t.pitch_mm - 1
    under = (t.major_mm - m.major) / t.pitch_mm
    blur = m.major_pm / t.pitch_mm
    if abs(off) > max(0.03, 3 * m.pitch_pm) or not -OVER - 3 * blur <= under <= WORN_OUT + blur:
        return None
    allowed = math.hypot(WEAR if under > 0 else OVER, blur)
    misfits = [
        Misfit(
            "crest",
            m.major,
            t.major_mm,
            "mm",
            abs(under) / allowed,
            _difference(m.major - t.major_mm),
        ),
        Misfit("pitch", m.pitch, t.pitch_mm, "mm", abs(off) / m.pitch_pm, _percent(off)),
    ]
    if m.angle is not None:
        lean = m.angle - t.flank_deg
        words = (
            "as the table"
            if not lean
            else f"{sig(abs(lean), 2)}° {'over' if lean > 0 else 'under'}"
        )
        misfits.append(
            Misfit("flank angle", m.angle, t.flank_deg, "deg", abs(lean) / m.angle_pm, words)
        )
    nearest = None
    if m.flats is not None:
        nearest = min(for_thread(t), key=lambda row: abs(row.flats_mm - m.flats), default=None)
        size = nearest.flats_mm if nearest else 1.75 * t.major_mm if t.series == "BA" else None
        if size is not None:
            # Heads were filed, replaced and reused: flats are a hint, so their say is capped.
            share = min(3.0, abs(m.flats - size) / m.flats_pm)
            words = _difference(m.flats - size) + (f" ({nearest.word})" if nearest else "")
            misfits.append(Misfit("flats", m.flats, size, "mm", share, words))
    if m.core is not None and t.series != "NPT":
        core = minor_dia_mm(t)
        misfits.append(
            Misfit(
                "core",
                m.core,
                core,
                "mm",
                abs(m.core - core) / m.core_pm,
                _difference(m.core - core),
            )
        )
    score = sum(f.share**2 for f in misfits)
    if m.flats is not None and not any(f.what == "flats" for f in misfits):
        score += 4.0  # no head in the tables: neither for nor against
    return Candidate(t, score, tuple(misfits), nearest)


def _difference(mm: float) -> str:
    if abs(mm) < 0.005:
        return "as the table"
    return f"{amount(abs(mm), 'mm', 2)} {'over' if mm > 0 else 'under'}"


def _percent(part: float) -> str:
    if abs(part) < 0.0005:
        return "as the table"
    return f"{sig(100 * abs(part), 2)} % {'coarser' if part > 0 else 'finer'}"


def _fit(t: Thread) -> tuple:
    """Return the key of the threads that screw together, differing only in crest and root."""
    return round(t.major_mm, 2), round(t.pitch_mm, 4), t.flank_deg


def _pairs(threads, apart) -> int:
    """Return how many pairs of different fit `apart` tells apart."""
    return sum(
        apart(one, other)
        for i, one in enumerate(threads)
        for other in threads[i + 1 :]
        if _fit(one) != _fit(other)
    )


def _next_measures(still_open, m: _Measurements) -> tuple[NextMeasure, ...]:
    threads = [c.thread for c in still_open]
    if len(threads) < 2:
        return ()
    measures = []

    def offer(what, instruction, describe, apart):
        pair_count = _pairs(threads, apart)
        if what == "core" and not pair_count:  # the last resort between a sharp and a flat root
            pair_count = sum(apart(threads[0], t) for t in threads[1:])
        if pair_count:
            words = sentence(f"{instruction}: {_group_by_result(threads, describe)}.")
            measures.append(NextMeasure(what, words, pair_count))

    offer(
        "pitch",
        "Count again, over 20 threads or as many as are left",
        lambda t: f"20 threads in {amount(20 * t.pitch_mm, 'mm')}",
        lambda a, b: abs(a.pitch_mm / b.pitch_mm - 1) >= 0.009,
    )
    if m.angle is None:
        offer(
            "flank angle",
            "Lay thread gauges in the flanks",
            lambda t: f"{t.flank_deg:g}°",
            lambda a, b: abs(a.flank_deg - b.flank_deg) >= 4,
        )
    if m.flats is None:
        offer(
            "flats", "Measure across the flats of its own head or nut", _flats_words, _flats_apart
        )
    if m.core is None and all(t.series != "NPT" for t in threads):
        offer(
            "core",
            "Measure over the roots with a pointed gauge",
            lambda t: amount(minor_dia_mm(t), "mm"),
            lambda a, b: abs(minor_dia_mm(a) - minor_dia_mm(b)) >= 0.3,
        )
    return tuple(sorted(measures, key=lambda n: (n.what == "core", -n.settles)))


def _group_by_result(threads, describe) -> str:
    groups: dict[str, list[str]] = {}
    for t in threads:
        groups.setdefault(describe(t), []).append(t.name)
    return "; ".join(f"{key} means {' or '.join(names)}" for key, names in groups.items())


def _flats_apart(one: Thread, other: Thread) -> bool:
    """True when some flats of the two differ by more than half a millimetre."""
    flats_of_one, flats_of_other = for_thread(one), for_thread(other)
    if not flats_of_one or not flats_of_other:
        return False
    return any(
        all(abs(a.flats_mm - b.flats_mm) > 0.5 for b in flats_of_other) for a in flats_of_one
    )


def _flats_words(t: Thread) -> str:
    sizes = sorted({round(row.flats_mm, 1) for row in for_thread(t)})
    return " or ".join(amount(s, "mm", 3) for s in sizes) if sizes else "other flats"


def spanner(flats_mm: float, *, within_mm: float = 0.5) -> tuple[Flats, ...]:
    """Return the heads and nuts of the tables this wide across the flats, nearest first."""
    wide = finite("width across the flats", flats_mm, "mm", upto=1000)
    near = [row for row in all_flats() if abs(row.flats_mm - wide) <= within_mm]
    return tuple(sorted(near, key=lambda row: (abs(row.flats_mm - wide), row.major_mm)))


def _calculation(m: _Measurements, candidates, still_open, nexts) -> Calculation:
    if not candidates:
        verdict = (
            "No thread of the tables fits: think of a maker's own thread, an oversize tap, a left "
            "hand, or a wrong count, and measure again."
        )
    else:
        best = candidates[0]
        shapes = {_fit(c.thread) for c in still_open}
        names = " or ".join(c.thread.name for c in still_open)
        if len(still_open) == 1:
            verdict = joined((f"{names}:", best.words)) + "."
        elif len(shapes) == 1:
            verdict = f"{names}: they screw together at this size, and only the history tells."
            if nexts:
                verdict = joined((verdict, nexts[0].sentence))
        else:
            verdict = f"Still open: {names}."
            if nexts:
                verdict = joined((verdict, nexts[0].sentence))
        old = [f"{c.thread.series}: {SERIES[c.thread.series][2]}" for c in still_open]
        verdict += f" ({'; '.join(dict.fromkeys(old))})"
    inputs = [
        Input("d", "Diameter over the crests", m.major, "mm", Origin.MEASURED),
        Input("p", "Pitch", m.pitch, "mm", Origin.MEASURED),
    ]
    if m.angle is not None:
        inputs.append(Input("θ", "Flank angle", m.angle, "deg", Origin.MEASURED))
    if m.flats is not None:
        inputs.append(Input("F", "Across the flats", m.flats, "mm", Origin.MEASURED))
    if m.core is not None:
        inputs.append(Input("K", "Over the roots", m.core, "mm", Origin.MEASURED))
    first = candidates[0] if candidates else None
    figures = (
        " + ".join(f"{full(f.share)}²" for f in first.misfits) + f" = {sig(first.score, 2)}"
        if first
        else ""
    )
    return Calculation(
        "Thread",
        None,
        "",
        "least Σ (misfit ÷ uncertainty)²",
        figures,
        tuple(inputs),
        SOURCE,
        verdict=verdict,
        refused=not candidates,
        cautions=(DIFFER,),
        limits="Crest wear hides the diameter; heads are often replaced. Left-hand and multiple "
        "threads are not told apart here.",
    )
