"""Searching: the chance of detection of a pass, and where the missing things may be after it.

Chances run from 0 to 1. A thing is in one of the areas, or off the site: that is the last cell,
which no pass can search and whose chance grows with each pass without a find. Passes are taken as
independent; iron rubbish in the ground breaks that, so the chances are a guide.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from .. import tables
from ..calculation import Calculation, Caution, Input, Origin
from ..errors import Infeasible, OutOfRange, UnknownName, finite
from ..figures import full, per_cent, sig
from ..sentences import amount

LAWS = {
    "random": ("random search", "1 − e^(−C)"),
    "definite_range": ("definite range, even lanes", "C, at most 1"),
    "inverse_cube": ("inverse cube, even lanes", "erf(√π × C / 2)"),
}

SMALL_PRODUCT = 250_000  # multiplications under which OpenBLAS stays on one thread

LEAVE = Caution(
    "Have the owner's leave, and know what is buried, before the ground is opened.",
    "Services are marked by the utilities first; protected sites want a permit; on old military "
    "ground anything like a shell is left alone and reported.",
)
SOURCE = "Koopman, Search and Screening, 1946; Stone, Theory of Optimal Search, 1975"


def _law(law: str) -> str:
    if law not in LAWS:
        names = ", ".join(LAWS)
        raise UnknownName(f"There is no law of detection called {law!r}; there are: {names}.")
    return law


def _array(name: str, values, *, least: float = 0.0, most: float = math.inf):
    import numpy as np

    try:
        array = np.asarray(values, dtype=float)
    except (TypeError, ValueError):
        raise OutOfRange(f"The {name} must be numbers.") from None
    if not np.isfinite(array).all():
        raise OutOfRange(f"The {name} must be finite numbers.")
    if array.size and (array.min() < least or array.max() > most):
        limit = f"{least:g} to {most:g}" if most < math.inf else f"{least:g} or more"
        raise OutOfRange(f"The {name} must be {limit}.")
    return array


def detection(coverage, law: str = "random"):
    """Return the chance that a pass detects a thing that is there.

    Args:
        coverage: Sweep width × track / area, a number or an array of any shape.
        law: "random" (the cautious one), "definite_range" or "inverse_cube"; the last two need
            even parallel lanes.

    Returns:
        A float, or an array of the same shape.

    Source: Koopman 1946: 1 − exp(−C); min(1, C); erf(√π C / 2).

    >>> round(detection(1.0), 4), round(detection(1.0, "inverse_cube"), 4)
    (0.6321, 0.7899)
    """
    import numpy as np

    c = _array("coverage", coverage)
    if _law(law) == "random":
        chance = -np.expm1(-c)
    elif law == "definite_range":
        chance = np.minimum(c, 1.0)
    else:
        erf = np.frompyfunc(math.erf, 1, 1)
        chance = np.asarray(erf(c * (math.sqrt(math.pi) / 2)), dtype=float)
    return float(chance) if chance.ndim == 0 else chance


def coverage(sweep_m: float, track_m: float, area_m2: float, law: str = "random") -> Calculation:
    """Chance that a pass detects a thing that is there, as a Calculation.

    Args:
        sweep_m: Sweep width of this searcher and tool for this thing. [m]
        track_m: Track walked in the area. [m]
        area_m2: The area. [m²]
    """
    w = finite("sweep width", sweep_m, "m", least=0.0, upto=1000)
    length = finite("track", track_m, "m", least=0.0, upto=1e7)
    area = finite("area", area_m2, "m2", upto=1e9)
    coverage_factor = w * length / area
    value = detection(coverage_factor, law)
    name, formula = LAWS[law]
    return Calculation(
        "Chance that the pass shows it",
        value,
        "",
        f"C = W × l / A; {formula}",
        f"C = {sig(w)} × {sig(length)} / {sig(area)} = {sig(coverage_factor)}; chance {sig(value)}",
        (
            Input("W", "Sweep width", w, "m", Origin.ENTERED),
            Input("l", "Track", length, "m", Origin.ENTERED),
            Input("A", "Area", area, "m2", Origin.ENTERED),
            Input("", "Law", name, "", Origin.ASSUMED),
        ),
        "Koopman, Search and Screening, 1946",
        verdict=f"If it is there, a pass like this shows it {per_cent(value)} of the time.",
        cautions=(LEAVE,),
        limits="For this thing, depth, soil and searcher. Deeper than the tool reaches, it is 0.",
    )


def sweep_width(key: str) -> Calculation:
    """Sweep width from the table, where there was no trial. [m]"""
    row = next((r for r in tables.read("sweep_widths") if r["key"] == key), None)
    if row is None:
        raise UnknownName(f"There is no sweep width for {key!r} in the table.")
    return Calculation(
        "Sweep width",
        float(row["value"]),
        "m",
        "from the table",
        inputs=(Input("", "Searcher", row["name"], "", Origin.TABLE, row["source"]),),
        source=row["source"],
        low=float(row["low"]),
        high=float(row["high"]),
        interval="usual range",
        verdict="Better: bury some pieces and try it.",
        cautions=(LEAVE,),
    )


def sweep_width_by_trial(strip_m: float, buried: int, found: int) -> Calculation:
    """Sweep width from a blind walk down a strip with known pieces in it. [m]

    Args:
        strip_m: Width of the strip, the pieces scattered evenly over it. [m]
        buried, found: Pieces buried, and found.

    Source: W ≈ B × found / buried; Robe and Frost, A Method for Determining Effective Sweep Widths
    for Land Searches, 2002, for the procedure. Interval: Wilson 1927, 95 in 100.
    """
    b = finite("width of the strip", strip_m, "m", upto=1000)
    n = int(finite("number buried", buried, upto=1e6))
    k = int(finite("number found", found, least=0, upto=1e6))
    if k > n:
        raise OutOfRange(f"{k} found of {n} buried cannot be.")
    z = 1.959964
    mid = (k + z * z / 2) / (n + z * z)
    half = z / (n + z * z) * math.sqrt(k * (n - k) / n + z * z / 4)
    return Calculation(
        "Sweep width by trial",
        b * k / n,
        "m",
        "B × found / buried",
        f"{full(b, 'm')} × {k} / {n} = {amount(b * k / n, 'm')}",
        (
            Input("B", "Width of the strip", b, "m", Origin.MEASURED),
            Input("", "Buried", n, "", Origin.MEASURED),
            Input("", "Found", k, "", Origin.MEASURED),
        ),
        "Robe and Frost, Effective Sweep Widths for Land Searches, 2002",
        low=b * max(mid - half, 0.0),
        high=b * min(mid + half, 1.0),
        interval="95 in 100, from so few pieces",
        cautions=(LEAVE,),
    )


def sweep_width_by_curve(lateral_m: Sequence[float], chance: Sequence[float]) -> float:
    """Return the sweep width from the chance to detect at each distance from the track. [m]

    Args:
        lateral_m: Distances from the track, rising from 0, the same on both sides. [m]
        chance: Chance at each.

    Source: W = 2 ∫ p(x) dx (Koopman), by trapezes.

    >>> round(sweep_width_by_curve([0, 0.25, 0.5, 0.75, 1.0], [1, 0.9, 0.6, 0.2, 0]), 6)
    1.1
    """
    import numpy as np

    x, p = _array("distances", lateral_m), _array("chances", chance, most=1.0)
    if x.shape != p.shape or x.ndim != 1 or x.size < 2 or (np.diff(x) <= 0).any():
        raise OutOfRange("Give one chance for each distance, distances rising.")
    return float(2 * np.sum((p[1:] + p[:-1]) / 2 * np.diff(x)))


def prior_from_finds(finds, area_m2, off_site: float, *, strength: float = 3.0):
    """Return the chance of a missing thing in each area, from where other pieces were found.

    Args:
        finds: Finds of this engine in each area, (areas,) or (parts, areas).
        area_m2: Size of each area, (areas,). [m²]
        off_site: Chance that it left the site, 0 to under 1; a number or (parts,).
        strength: The number of finds that an even spread over the ground counts as.

    Returns:
        Chances of the same shape as `finds`; the rest up to 1 is off the site.

    Source: Dirichlet-multinomial; the strength is common practice, no source.
    """
    import numpy as np

    n = _array("finds", finds)
    area = _array("areas", area_m2)
    weight = finite("strength", strength, upto=1e6)
    out = _array("chance off the site", off_site, most=1.0)
    if area.ndim != 1 or n.shape[-1] != area.size or area.sum() <= 0:
        raise OutOfRange("Give one size over 0 for each area.")
    spread = n + weight * area / area.sum()
    chance = spread / spread.sum(axis=-1, keepdims=True)
    return (1 - np.expand_dims(out, -1)) * chance


def posterior(prior, sweep_m, track_m, area_m2, *, law: str = "random", found_in=None):
    """Return the chance of each thing in each area after all passes.

    Args:
        prior: Chance of each thing in each area before any pass, (parts, areas); each row sums to
            at most 1, the rest is off the site.
        sweep_m: Sweep width of each pass for each thing, (parts, passes), or (passes,) when it is
            one for all; 0 when the pass could not show it. [m]
        track_m: Track that each pass walked in each area, (passes, areas). [m]
        area_m2: Size of each area, (areas,). [m²]
        law: See `detection`.
        found_in: (parts,) the area in which each was found, or −1 when it is still missing.

    Returns:
        Array (parts, areas + 1); the last column is off the site. Each row sums to 1.

    Raises:
        Infeasible: a thing for which the passes leave no chance anywhere.
        OutOfRange: shapes that do not fit, chances over 1.

    Source: Bayes; p' = p Π(1 − q) / (rest + Σ p Π(1 − q)), as in the US Naval Academy's SM230
    notes on Bayesian searching.
    """
    import numpy as np

    p = _array("chances", prior, most=1.0 + 1e-9)
    if p.ndim != 2:
        raise OutOfRange("The chances must have a row for each thing and a column for each area.")
    parts, areas = p.shape
    area = _array("areas", area_m2)
    track = _array("tracks", track_m)
    if track.size == 0:
        track = track.reshape(0, areas)
    if area.shape != (areas,) or (area <= 0).any():
        raise OutOfRange("Give one size over 0 for each area.")
    if track.ndim != 2 or track.shape[1] != areas:
        raise OutOfRange("The tracks must have a row for each pass and a column for each area.")
    sweep = _array("sweep widths", sweep_m)
    if sweep.ndim < 2:
        sweep = np.broadcast_to(sweep, (parts, track.shape[0]))
    if sweep.shape != (parts, track.shape[0]):
        raise OutOfRange("The sweep widths must have a row for each thing, a column for each pass.")
    total = p.sum(axis=1)
    if (total > 1 + 1e-9).any():
        raise OutOfRange("The chances of a thing over all areas must not be over 1.")

    chance = np.empty((parts, areas + 1))
    chance[:, areas] = np.maximum(1 - total, 0.0)
    lanes = track / area
    if _law(law) == "random":
        # e^(−ΣC): all passes in one product, some rows at a time. A product of this size is kept
        # off the threads of the linear algebra library, which on a busy machine take longer to
        # wake than to work.
        rows = max(1, SMALL_PRODUCT // max(1, lanes.size))
        for i in range(0, parts, rows):
            block = slice(i, i + rows)
            np.multiply(p[block], np.exp(-(sweep[block] @ lanes)), out=chance[block, :areas])
    else:
        chance[:, :areas] = p
        for s, lane in enumerate(lanes):
            hit = np.flatnonzero(lane)
            if hit.size:
                chance[:, hit] *= 1 - detection(np.outer(sweep[:, s], lane[hit]), law)
    if found_in is not None:
        area_found = np.asarray(found_in)
        if area_found.shape != (parts,) or (area_found < -1).any() or (area_found >= areas).any():
            raise OutOfRange("For each thing give the number of the area it was found in, or -1.")
        is_found = area_found >= 0
        chance[is_found] = 0.0
        chance[is_found, area_found[is_found]] = 1.0
    whole = chance.sum(axis=1, keepdims=True)
    if (whole <= 0).any():
        row = int(np.flatnonzero(whole[:, 0] <= 0)[0])
        raise Infeasible(
            f"Thing {row + 1} can be nowhere: every area it could lie in was searched to the full, "
            "and no chance was left for its being off the site."
        )
    chance /= whole
    return chance


def chance_after_search(chance: float, detection_chance: float) -> float:
    """Return the chance that a thing is in an area after a pass without a find.

    Args:
        chance: The chance before the pass.
        detection_chance: The chance that the pass would have found it.

    Source: Bayes, p (1 − q) / (1 − p q).
    """
    p = finite("chance", chance, least=0.0, upto=1.0)
    q = finite("chance to be shown", detection_chance, least=0.0, upto=1.0)
    if p * q >= 1:
        raise Infeasible("It was sure to be there and sure to be seen: the chances were wrong.")
    return p * (1 - q) / (1 - p * q)


def where_now(thing: str, chances: Sequence[float], areas: Sequence[str]) -> Calculation:
    """Chance that one thing is still on the site; the verdict names the likeliest areas.

    Args:
        chances: A row of `posterior`: one for each area, then off the site.
        areas: Names of the areas.
    """
    import numpy as np

    row = _array("chances", chances, most=1.0 + 1e-9)
    if row.shape != (len(areas) + 1,) or abs(row.sum() - 1) > 1e-6:
        raise OutOfRange("Give a chance for each area and one for off the site, together 1.")
    on_site = float(1 - row[-1])
    order = np.argsort(-row[:-1], kind="stable")[:3]
    first = ", ".join(f"{areas[i]} {per_cent(float(row[i]))}" for i in order if row[i] > 0)
    words = f"{thing}: {per_cent(on_site)} still on the site"
    return Calculation(
        "Chance that it is still on the site",
        on_site,
        "",
        "p × Π(1 − q) / (off the site + Σ p × Π(1 − q))",
        f"1 − {sig(float(row[-1]))} = {sig(on_site)}",
        (
            Input("", "Thing", thing, "", Origin.ENTERED),
            Input("", "Areas", len(areas), "", Origin.CALCULATED),
        ),
        "Bayes; " + SOURCE,
        verdict=f"{words}; first {first}." if first else f"{words}.",
        cautions=(LEAVE,),
        limits="As good as the chances given before the first pass.",
    )
