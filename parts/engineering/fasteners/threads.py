"""Screw threads met on engines of 1870–1940: tables and geometry.

Diameters and pitches in mm. Each row of the tables says whether its source was seen;
diameters of flank and root are calculated from the form. `tapping` has the drills, `bolts`
heads, nuts and masses; `worn_threads` names a thread from a worn piece.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import cache

from .. import tables
from ..calculation import Calculation, Caution, Input, Origin
from ..constants import MM_PER_IN
from ..errors import OutOfRange, UnknownName, finite
from ..figures import sig

INCH = float(MM_PER_IN)


@dataclass(frozen=True)
class Form:
    """The shape of a thread; depths are fractions of the pitch, counted on the diameter.

    Args:
        word: What it is called.
        flank_deg: Angle between the flanks. [deg]
        pitch_dia: D − this × p is the pitch (effective) diameter.
        minor_outside: D − this × p is the minor (root) diameter of a bolt.
        minor_inside: D − this × p is the minor diameter of a nut, full thread.
        stress: D − this × p is the diameter of the tensile stress area.
        crest: The shape of an unworn crest.
        source: Where the proportions come from.
    """

    word: str
    flank_deg: float
    pitch_dia: float
    minor_outside: float
    minor_inside: float
    stress: float
    crest: str
    source: str


_MEAN = "; stress area on the mean of pitch and minor diameter"
FORMS = {
    "us_standard": Form(
        "US Standard (Sellers)",
        60.0,
        0.649519,
        1.299038,
        1.299038,
        0.974279,
        "flat, an eighth of the pitch wide, root the same",
        "Sellers 1864; proportions in Machine Shop Work, Table III (chestofbooks.com)" + _MEAN,
    ),
    "sharp_v": Form(
        "sharp V",
        60.0,
        0.866025,
        1.732051,
        1.732051,
        1.299038,
        "sharp, root sharp",
        "geometry of the sharp 60 degree thread" + _MEAN,
    ),
    "unified": Form(
        "Unified",
        60.0,
        0.649519,
        1.190790,
        1.082532,
        0.9743,
        "flat, an eighth of the pitch wide, root round",
        "ASME B1.1 (UNR root); stress area 0.7854 (D − 0.9743/n)²",
    ),
    "whitworth": Form(
        "Whitworth",
        55.0,
        0.640327,
        1.280654,
        1.280654,
        0.960491,
        "round, root round",
        "BS 84; depth cot(27.5°)/3 of the pitch" + _MEAN,
    ),
    "ba": Form(
        "British Association",
        47.5,
        0.6,
        1.2,
        1.2,
        0.9,
        "round, root round",
        "BS 93; depth 0.6 of the pitch" + _MEAN,
    ),
    "metric": Form(
        "ISO metric",
        60.0,
        0.649519,
        1.226869,
        1.082532,
        0.938194,
        "flat, an eighth of the pitch wide, root round",
        "ISO 68-1; stress area ISO 898-1, (π/4)(d − 0.938194 p)²",
    ),
    "pipe_taper": Form(
        "American pipe, 1 in 16 taper",
        60.0,
        0.0,
        0.0,
        0.0,
        0.0,
        "flat, taper 1 in 16",
        "ASME B1.20.1",
    ),
}

# Series -> (form, word, from when).
SERIES = {
    "USS": ("us_standard", "US Standard (Sellers)", "from 1864"),
    "V60": ("sharp_v", "sharp V", "before and beside the US Standard"),
    "UNC": ("unified", "Unified coarse", "from 1949"),
    "UNF": ("unified", "Unified fine", "from 1949"),
    "8UN": ("unified", "eight threads to the inch", "steam flanges and large bolts"),
    "BSW": ("whitworth", "British Standard Whitworth", "from 1841"),
    "BSF": ("whitworth", "British Standard Fine", "from 1908"),
    "BA": ("ba", "British Association", "from 1884, small screws"),
    "M": ("metric", "ISO metric coarse", "mostly later repairs"),
    "BSP": ("whitworth", "British pipe", "sizes name the bore of the pipe"),
    "NPT": ("pipe_taper", "American taper pipe", "sizes name the bore of the pipe"),
}


@dataclass(frozen=True)
class Thread:
    """A size in a series.

    Args:
        series: Key of `SERIES`.
        size: Its name in the table ("1/2 in", "BA2", "M12x1.75").
        major_mm: Major diameter; of pipe, the outside at full thread. [mm]
        pitch_mm: Distance from thread to thread. [mm]
        source, status: Of the row in the table.
        note: What the table adds.
    """

    series: str
    size: str
    major_mm: float
    pitch_mm: float
    source: str
    status: str
    note: str = ""

    @property
    def form(self) -> Form:
        return FORMS[SERIES[self.series][0]]

    @property
    def flank_deg(self) -> float:
        return self.form.flank_deg

    @property
    def tpi(self) -> float:
        """Threads per inch."""
        return INCH / self.pitch_mm

    @property
    def name(self) -> str:
        """The name on a drawing: "1/2 in UNC, 13 tpi", "M12 × 1.75", "2 BA"."""
        if self.series == "M":
            return self.size.replace("x", " × ")
        if self.series == "BA":
            return f"{self.size.removeprefix('BA')} BA"
        return f"{self.size} {self.series}, {sig(self.tpi)} tpi"

    def inputs(self) -> tuple[Input, Input]:
        """The diameter and pitch as inputs of a Calculation."""
        source = f"{self.name}: {self.source} ({self.status})"
        return (
            Input("D", "Major diameter", self.major_mm, "mm", Origin.TABLE, source),
            Input("p", "Pitch", self.pitch_mm, "mm", Origin.TABLE, source),
        )


@cache
def _all_threads() -> tuple[Thread, ...]:
    threads = []
    for row in tables.read("threads"):
        major = float(row["major_mm"] or 0) or float(row["major_in"]) * INCH
        pitch = float(row["pitch_mm"] or 0) or INCH / float(row["tpi"])
        threads.append(
            Thread(
                row["series"],
                row["nominal"],
                major,
                pitch,
                row["source"],
                row["status"],
                row["note"],
            )
        )
    for row in tables.read("pipe_threads"):
        threads.append(
            Thread(
                row["series"],
                row["nominal"],
                float(row["major_mm"]),
                INCH / float(row["tpi"]),
                row["source"],
                row["status"],
                row["note"],
            )
        )
    return tuple(threads)


def threads_in(*series: str) -> tuple[Thread, ...]:
    """Return the threads of these series, or of all.

    Raises:
        UnknownName: no such series.
    """
    for key in series:
        if key not in SERIES:
            raise UnknownName(
                f"There is no thread series called {key!r}: choose among {', '.join(SERIES)}."
            )
    return tuple(t for t in _all_threads() if not series or t.series in series)


def _normalised(size: str) -> str:
    """Return a size for comparison: no unit, a space only between a whole and a fraction."""
    text = " ".join(size.replace("×", "x").split()).removesuffix('"').removesuffix("in").strip()
    text = re.sub(r"(?<=\d)-(?=\d+/)", " ", text)
    return re.sub(r"(?<!\d) | (?!\d)", "", text)


def thread(series: str, size: str) -> Thread:
    """Return one thread of the tables.

    Args:
        series: Key of `SERIES`.
        size: As in the table; "1/2" and "1/2 in", "1 1/4" and "1-1/4", "M12" and "M12x1.75", "2"
            and "BA2" are alike.

    Raises:
        UnknownName: the series has no such size.

    >>> thread("UNC", "1/2").name, thread("BSW", "1/2 in").tpi, thread("BA", "2").pitch_mm
    ('1/2 in UNC, 13 tpi', 12.0, 0.81)
    """
    target = _normalised(size)
    for t in threads_in(series):
        name = _normalised(t.size)
        if target in (name, name.removeprefix(series), name.split("x")[0]):
            return t
    raise UnknownName(f"{SERIES[series][1]} has no size {size!r} in the table.")


def sellers_pitch_mm(major_mm: float) -> float:
    """Pitch by Sellers' rule, p = 0.24 √(D + 0.625) − 0.175 in inches, before rounding. [mm]

    Args:
        major_mm: Diameter of the bolt, 6 mm or more. [mm]

    Source: Sellers 1864, from memory; it backs up the large US Standard sizes.
    """
    major = finite("diameter of the bolt", major_mm, "mm", least=6, upto=400) / INCH
    return (0.24 * math.sqrt(major + 0.625) - 0.175) * INCH


def pitch_dia_mm(t: Thread) -> float:
    """Pitch (effective) diameter. [mm]"""
    if t.series == "NPT":
        return next(
            float(r["pitch_dia_mm"])
            for r in tables.read("pipe_threads")
            if (r["series"], r["nominal"]) == ("NPT", t.size)
        )
    return t.major_mm - t.form.pitch_dia * t.pitch_mm


def minor_dia_mm(t: Thread, *, inside: bool = False) -> float:
    """Minor diameter of a bolt, or of a nut with full thread. [mm]"""
    require_straight(t)
    return t.major_mm - (t.form.minor_inside if inside else t.form.minor_outside) * t.pitch_mm


def require_straight(t: Thread) -> None:
    """Raise OutOfRange for a taper thread."""
    if t.series == "NPT":
        raise OutOfRange(f"{t.name} is a taper: its diameter has to be given with a place.")


def _reduced_diameter(
    name: str, t: Thread, factor: float, value: float, limits: str = ""
) -> Calculation:
    return Calculation(
        name,
        value,
        "mm",
        f"D − {factor:g} × p",
        f"{sig(t.major_mm, 6)} − {factor:g} × {sig(t.pitch_mm, 5)} = {sig(value, 6)}",
        t.inputs(),
        t.form.source,
        limits=limits,
    )


def pitch_diameter(t: Thread) -> Calculation:
    """Pitch (effective) diameter of a straight thread. [mm]

    Raises:
        OutOfRange: a taper thread.
    """
    require_straight(t)
    return _reduced_diameter("Pitch diameter", t, t.form.pitch_dia, pitch_dia_mm(t))


def minor_diameter(t: Thread, *, inside: bool = False) -> Calculation:
    """Minor diameter of a bolt (`inside` False) or of a nut with full thread. [mm]

    Sources give the minor diameter of a 60 degree bolt as D − 1.0825, 1.1908, 1.2269 or 1.2990 p;
    the form named in the Calculation says which is meant.
    """
    factor = t.form.minor_inside if inside else t.form.minor_outside
    name = "Minor diameter of the nut" if inside else "Minor diameter of the bolt"
    return _reduced_diameter(
        name,
        t,
        factor,
        minor_dia_mm(t, inside=inside),
        "Full thread without tolerance; makers' roots differ.",
    )


def stress_area_mm2(major_mm, pitch_mm, factor):
    """Tensile stress area (π/4)(D − f p)². [mm2] Plain numbers or arrays."""
    return math.pi / 4 * (major_mm - factor * pitch_mm) ** 2


def stress_area(t: Thread) -> Calculation:
    """Tensile stress area. [mm2] Source: ASME B1.1 and ISO 898-1; see `FORMS` for the others."""
    require_straight(t)
    f = t.form.stress
    value = stress_area_mm2(t.major_mm, t.pitch_mm, f)
    return Calculation(
        "Tensile stress area",
        value,
        "mm2",
        f"(π/4) × (D − {f:g} × p)²",
        f"0.7854 × ({sig(t.major_mm, 6)} − {f:g} × {sig(t.pitch_mm, 5)})² = {sig(value, 5)}",
        t.inputs(),
        t.form.source,
        verdict="For a worn or wrought iron bolt take the root area, as the old tables did.",
        cautions=(SALVAGED,),
    )


def root_area(t: Thread) -> Calculation:
    """Area at the root of the thread, as old practice used it. [mm2]"""
    k = minor_dia_mm(t)
    value = math.pi / 4 * k * k
    return Calculation(
        "Root area",
        value,
        "mm2",
        f"(π/4) × (D − {t.form.minor_outside:g} × p)²",
        f"0.7854 × {sig(k, 6)}² = {sig(value, 5)}",
        t.inputs(),
        t.form.source,
        cautions=(SALVAGED,),
    )


SALVAGED = Caution(
    "Never tighten a salvaged bolt to a modern table, and never lift on it.",
    "It has no grade: wrought iron, case-hardened and cracked bolts look alike. New bolts for "
    "pressure, flywheel or lifting parts are for a competent engineer to choose.",
)
