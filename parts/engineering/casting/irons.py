"""Grey iron: the uses of each kind of scrap, and whether a charge suits a casting.

Masses in kg, shares in per cent by mass, sections in mm. A charge of scrap is a guess until a test
wedge has been poured and broken: these rules exclude what is known to spoil a casting.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise

from .. import tables
from ..calculation import Calculation, Input, Origin
from ..errors import OutOfRange, UnknownName, finite
from ..figures import full, sig
from ..sentences import amount
from .lots import Lot, composition, melt_composition

# Key -> the castings of that use. Common practice, no source.
USES = {
    "ring": "piston rings and whatever else rubs or springs",
    "cylinder": "cylinders, pistons, valves and covers, which hold steam",
    "machined": "castings that are machined",
    "thin": "thin castings that are left as cast",
    "weight": "weights, washers and plates that are left as cast",
}
# Use -> words in the names of its parts, the first match decides. Common practice, no source.
_WORDS_OF_USE = (
    ("ring", ("piston ring", "packing ring", "bull ring", "junk ring")),
    ("weight", ("washer", "foundation plate", "weight", "ballast")),
    ("cylinder", ("cylinder", "liner", "piston", "valve", "steam chest", "cover", "throttle")),
    ("thin", ("post", "railing", "plaque", "grate")),
)
LOSSES = {"C": 0.0, "P": 0.0, "S": 0.0, "Si": 10.0, "Mn": 10.0, "Fe": 1.0}
"""Per cent lost in melting iron. Silicon: West, Metallurgy of Cast Iron, p. 281 (3.00 charged gives
2.70, 3.80 gives 3.50); the others from memory. A crucible takes up no sulphur; a cupola does."""
ASSAY = (
    "What is in scrap is a guess from its kind. Pour a test wedge before the moulds and break it: "
    "white at the thin end only, the iron is grey; white right through, it cannot be machined."
)


@dataclass(frozen=True)
class Scrap:
    """A kind of iron scrap: what it is good for, and why.

    Args:
        good_for: Keys of `USES`.
        why: A sentence.
        source, status: Where that is printed, and whether it was seen.
    """

    key: str
    good_for: tuple[str, ...]
    why: str
    source: str
    status: str

    @property
    def words(self) -> str:
        """What it is good for, in a sentence."""
        if not self.good_for:
            return f"Good for nothing. {self.why}"
        if len(self.good_for) == len(USES):
            return f"Good for any casting. {self.why}"
        return f"Good for {'; '.join(USES[use] for use in self.good_for)}. {self.why}"


@cache
def scraps() -> dict[str, Scrap]:
    """Return every kind of iron scrap by its key, which is that of the table `scrap`."""
    return {
        row["key"]: Scrap(
            row["key"], tuple(row["good_for"].split()), row["why"], row["source"], row["status"]
        )
        for row in tables.read("iron_scrap")
    }


def use_of(name: str) -> str:
    """Return the use of a casting, a key of `USES`, by the name of its part.

    >>> use_of("Piston ring"), use_of("Foundation washer"), use_of("Guide-bar pedestal")
    ('ring', 'weight', 'machined')
    """
    lower_name = name.lower()
    return next(
        (use for use, words in _WORDS_OF_USE if any(w in lower_name for w in words)), "machined"
    )


def carbon_equivalent(percent: Mapping[str, float]) -> float:
    """C + (Si + P) ÷ 3 [per cent]; 4.3 is the eutectic."""
    return percent.get("C", 0.0) + (percent.get("Si", 0.0) + percent.get("P", 0.0)) / 3


@cache
def _table() -> tuple[tuple[float, float], ...]:
    rows = tables.read("iron_silicon")
    return tuple((float(row["thickness_in"]) * 25.4, float(row["percent"])) for row in rows)


def silicon_wanted(section_mm: float) -> float:
    """Silicon in the charge for a casting of this section to be machinable [per cent].

    Interpolated between the rows of the table; beyond its ends the value at the end.

    Raises:
        OutOfRange: a section that cannot be.
    Source: T. D. West, Metallurgy of Cast Iron, table 56.
    """
    mm = finite("section of the casting", section_mm, upto=2000)
    rows = _table()
    if mm <= rows[0][0]:
        return rows[0][1]
    for (thin, high), (thick, low) in pairwise(rows):
        if mm <= thick:
            return high + (low - high) * (mm - thin) / (thick - thin)
    return rows[-1][1]


def judge(
    weights: Sequence[tuple[Lot, str, float]], use: str, section_mm: float | None = None
) -> Calculation:
    """Carbon equivalent of a charge of iron [per cent], and the verdict on its use for a casting.

    Args:
        weights: (lot, key of its scrap or "", kg) of each lot charged.
        use: A key of `USES`.
        section_mm: The thinnest section of the casting, where it is known.

    Returns:
        Calculation in per cent, its interval from the ranges of the lots; refused where a lot does
        not suit the casting, or the silicon is too low for its section whatever the lots hold.

    Raises:
        OutOfRange: nothing is charged. UnknownName: no such use.
    Source: CE = C + (Si + P) ÷ 3, the usual form; silicon by section after West; scrap by its kind.
    """
    if use not in USES:
        raise UnknownName(f"There is no use of iron called {use!r}.")
    weights = [one for one in weights if one[2] > 0]
    if not weights:
        raise OutOfRange("There is nothing in the crucible.")
    likely, low, high = (_melt(weights, side) for side in ("percent", "low", "high"))
    value = carbon_equivalent(likely)
    unsuitable = _unsuitable_lots(weights, use)
    hard, doubt = _hardness(likely, low, high, use, section_mm, sum(kg for *_, kg in weights))
    refused = bool(unsuitable or hard)
    if refused:
        verdict = " ".join([f"Not suitable for {USES[use]}.", *unsuitable, hard]).strip()
    else:
        verdict = f"Nothing known speaks against it for {USES[use]}. {doubt}".strip()
    return Calculation(
        "Carbon equivalent of the charge",
        value,
        "percent",
        "C + (Si + P) ÷ 3",
        f"{full(likely.get('C', 0.0))} + ({full(likely.get('Si', 0.0))} + "
        f"{full(likely.get('P', 0.0))}) ÷ 3 = {sig(value, 3)}",
        tuple(
            Input(sign, f"{word} of the melt", likely.get(sign, 0.0), "percent", Origin.CALCULATED,
                  "from the kinds of scrap and their usual losses")
            for sign, word in (("C", "Carbon"), ("Si", "Silicon"), ("P", "Phosphorus"))
        ),
        "CE = C + (Si + P) ÷ 3, as liquisearch.com prints it; " + _source(weights),
        carbon_equivalent(low),
        carbon_equivalent(high),
        "from the ranges of the lots, each taken at its end",
        verdict=verdict,
        refused=refused,
        limits=f"4.3 % is the eutectic; grey machinery iron is usually 3.8 to 4.3 (from memory). "
        f"{ASSAY}",
    )  # fmt: skip


def _melt(weights, side: str) -> dict[str, float]:
    """Return the composition of the melt with every lot at one end of its range."""
    lots = []
    for lot, _, kg in weights:
        shares = {e: getattr(lot, side).get(e, share) for e, share in lot.percent.items()}
        whole = composition(lot)
        # Iron makes up the whole, whichever end the others are taken at.
        rest = 100 - sum(share for e, share in shares.items() if e != "Fe")
        shares["Fe"] = max(0.0, min(rest, 100.0))
        lots.append((Lot(lot.name, shares if "Fe" in whole else lot.percent), kg))
    return melt_composition(lots, LOSSES)


def _unsuitable_lots(weights, use: str) -> list[str]:
    """Return a sentence for each lot whose kind of scrap does not suit the casting."""
    kinds = scraps()
    return [
        f"{lot.name}: {kinds[key].why}"
        for lot, key, _ in weights
        if key in kinds and use not in kinds[key].good_for
    ]


def _hardness(likely, low, high, use, section_mm, charge_kg) -> tuple[str, str]:
    """Return why the casting is sure to be hard, and what is doubtful: sentences, or ""."""
    if use in ("thin", "weight"):
        return "", ASSAY
    if section_mm is None:
        return "", f"Its section is not known, so its silicon is not judged. {ASSAY}"
    # West gives the mixture as charged: the melt has lost its tenth.
    needed = silicon_wanted(section_mm) * (1 - LOSSES["Si"] / 100)
    comparison = (
        f"A section of {amount(section_mm, 'mm', 2)} wants about {sig(needed, 2)} % silicon in the "
        f"melt to be machined, and this has {sig(likely.get('Si', 0.0), 2)} % "
        f"({sig(low.get('Si', 0.0), 2)} to {sig(high.get('Si', 0.0), 2)})."
    )
    lacking = needed - likely.get("Si", 0.0)
    cure = ""
    if lacking > 0:
        kg = charge_kg * lacking / (75 * 0.85 - needed)
        cure = (
            f" About {amount(kg, 'kg', 2)} of 75 % ferrosilicon makes it up (85 % taken up, from "
            "memory)."
        )
    if high.get("Si", 0.0) < needed:
        return comparison + cure, ""
    return "", f"{comparison if lacking > 0 else ''}{cure} {ASSAY}".strip()


def _source(weights) -> str:
    kinds = scraps()
    sources = [kinds[key].source for _, key, _ in weights if key in kinds]
    return "; ".join(dict.fromkeys(["T. D. West, Metallurgy of Cast Iron, table 56", *sources]))
