"""The pattern sheet of a cast part: its faces, its masses, and what the moulder must know."""

from dataclasses import dataclass, replace

from django.db.models import F, Q, Sum

from ..models import Fact, Making, Material, Measurement, Part, PatternFace
from ..trade import castings, solids
from ..trade.errors import TradeError
from ..trade.figures import full, sig
from ..trade.routes import ROUTES
from ..trade.solids import Size
from ..trade.working import Caution, Given, Origin, Working
from . import bodies
from .care import shown_written

Kind = Fact.Kind
FOUNDER = Caution(
    "Ask the founder before the pattern is cut.",
    "Contraction and allowance move with the metal, the core and the mould. The foundry's own "
    "figures come first.",
)


@dataclass(frozen=True)
class FaceLine:
    """One size of the casting: finished, and on the pattern or the core.

    Args:
        row: The face.
        written: The finished size as it was written.
        size: The working of the pattern or core; None where it cannot be reckoned.
        trouble: Why not, in a sentence.
    """

    row: PatternFace
    written: str
    kind: castings.Face | None
    size: Working | None
    trouble: str

    @property
    def word(self) -> str:
        return "core" if self.kind and self.kind.inside else "pattern"

    @property
    def _given(self) -> dict[str, Given]:
        return {given.letter: given for given in self.size.givens} if self.size else {}

    @property
    def contraction(self) -> Given | None:
        return self._given.get("c")

    @property
    def allowance(self) -> Given | None:
        return self._given.get("m") if self.kind and self.kind.machined else None

    @property
    def with_draft(self) -> Working | None:
        return self.size.parts[0] if self.size and self.size.parts else None

    @property
    def shrinks_mm(self) -> float:
        """What contraction takes off the pattern size [mm]."""
        c = self.contraction.value / 100 if self.contraction else 0
        return self.size.value * c / (1 + c) if self.size else 0.0


@dataclass(frozen=True)
class PatternSheet:
    """What the founder is handed.

    Args:
        metal: The material it is cast in.
        pieces: For how many the masses are.
        to_cast: How many are to be cast, or that none is: in a sentence.
        lines: The faces.
        masses: Finished, as cast, poured and to charge: workings, where they are known.
        mass_from: Where the finished mass comes from.
        trouble: Why a mass is not told.
        tells: What the moulder must know, sentence by sentence.
        numbered: What the pattern is marked with.
    """

    part: Part
    making: Making | None
    metal: str
    pieces: int
    to_cast: str
    lines: list[FaceLine]
    masses: list[Working]
    mass_from: str
    trouble: str
    tells: list[str]
    numbered: str
    body_rows: list
    caution: Caution = FOUNDER

    @property
    def metal_word(self) -> str:
        return Material(self.metal).label

    @property
    def workings(self) -> list[Working]:
        return [line.size for line in self.lines if line.size] + self.masses


def open_jobs(part: Part) -> list[Making]:
    """The jobs of a part that are not all fitted, the newest first, each with its `left`.

    One query.
    """
    told = Q(facts__removed_at__isnull=True)
    rows = Making.objects.filter(part=part).order_by("-pk")
    rows = rows.annotate(
        decided=Sum("facts__pieces", filter=told & Q(facts__kind=Kind.DECIDED), default=0),
        fitted=Sum("facts__pieces", filter=told & Q(facts__kind=Kind.FITTED), default=0),
    ).annotate(left=F("decided") - F("fitted"))
    return list(rows.filter(left__gt=0))


def other_route(part: Part, jobs: list[Making]) -> str:
    """How the record has a part replaced, in a few words, where that is not by casting."""
    routes = {job.route for job in jobs} or {part.usual_route}
    if "cast" in routes or routes == {""}:
        return ""
    return "to " + " and ".join(ROUTES[key].word for key in sorted(routes))


def pattern_sheet(part: Part, pieces: int = 0) -> PatternSheet:
    """The pattern sheet of a part. A fixed number of queries.

    Args:
        pieces: How many are to be cast; 0 for those of its making, else all of the part.
    """
    jobs = open_jobs(part)
    making = next((job for job in jobs if job.route == "cast"), None)
    left = making.left if making else 0
    metal = (making.metal if making else "") or part.material
    pieces = pieces or left or part.quantity
    rows = list(PatternFace.objects.filter(part=part).select_related("measurement"))
    body_rows = bodies.body_rows(part)
    lines = _lines(rows, metal, _depth(rows, body_rows))
    finished, mass_from, trouble = _finished(part, body_rows, metal)
    masses = []
    if finished is not None:
        stock = _stock(body_rows, lines, metal, finished) if body_rows else None
        try:
            poured = castings.pour(
                finished.value, metal, stock_kg=stock.value if stock else 0.0, pieces=pieces
            )
            poured = poured.with_origins(_each(finished, stock))
            masses = [finished, *([stock] if stock else []), *poured.parts, poured]
        except TradeError as error:
            masses, trouble = [finished], str(error)
    numbered = f"{part.engine.tag_prefix} {part.item}"
    to_cast = _to_cast(left, pieces, other_route(part, jobs))
    told = _tells(part, lines, metal, to_cast, numbered, bool(body_rows))
    return PatternSheet(
        part,
        making,
        metal,
        pieces,
        to_cast,
        lines,
        masses,
        mass_from,
        trouble,
        told,
        numbered,
        body_rows,
    )


def _each(finished: Working, stock: Working | None) -> dict[str, tuple[Origin, str]]:
    """Where the finished mass of one piece and its finishing stock came from."""
    if len(finished.givens) == 1:  # as it was weighed or entered
        mass = (finished.givens[0].origin, finished.givens[0].source)
    else:
        mass = (Origin.CALCULATED, "from its shapes")
    none = (Origin.ASSUMED, "no shape is tied to a face that is machined: none is counted")
    return {"F": mass, "S": (Origin.CALCULATED, stock.name.lower()) if stock else none}


def _depth(rows: list[PatternFace], body_rows) -> tuple[float, str]:
    """How deep the draw is taken to be [mm], and why: the least outside size of the casting."""
    outside = [
        row.measurement.value
        for row in rows
        if row.kind in castings.FACES and not castings.FACES[row.kind].inside
    ]
    if outside:
        return min(outside), "the least outside size on this sheet"
    every = [row.measurement.value for row in rows]
    return (min(every), "the least size on this sheet") if every else (0.0, "")


def _lines(rows: list[PatternFace], metal: str, depth: tuple[float, str]) -> list[FaceLine]:
    largest = max((row.measurement.value for row in rows), default=0.0)
    found = []
    for row in rows:
        written = shown_written(row.measurement.written, row.measurement.unit)
        try:
            kind = castings.face(row.kind)
            found.append(FaceLine(row, written, kind, _size(row, metal, largest, depth), ""))
        except TradeError as error:
            kind = castings.FACES.get(row.kind)
            found.append(FaceLine(row, written, kind, None, str(error)))
    return found


def _size(row: PatternFace, metal: str, largest: float, depth: tuple[float, str]) -> Working:
    own = row.contraction_percent
    working = castings.pattern_size(
        row.measurement.value,
        metal,
        row.kind,
        largest_mm=largest,
        allowance_mm=row.allowance_mm,
        contraction=None if own is None else own / 100,
        draft_deg=row.draft_deg,
        depth_mm=depth[0] if row.draft_deg else 0.0,
    )
    first = replace(working.givens[0], name=row.measurement.what, **_from(row.measurement))
    inside = castings.face(row.kind).inside
    name = f"{'Core' if inside else 'Pattern'} size: {row.measurement.what}"
    parts = working.parts
    if parts:
        lean = replace(parts[0], limits=f"Depth of the draw taken as {depth[1]}.")
        parts = (lean, *parts[1:])
    return replace(
        working,
        name=name,
        givens=(first, *working.givens[1:]),
        parts=parts,
        cautions=(*working.cautions, _moves(working)),
    )


def _from(row: Measurement) -> dict:
    size = bodies.size_of(row)
    return {"origin": size.origin, "source": size.source}


def _moves(working: Working) -> Caution:
    if working.low is None:
        return FOUNDER
    spread = (working.high - working.low) / 2
    return replace(
        FOUNDER,
        why=f"{FOUNDER.why} The tables leave {sig(spread, 2)} mm "
        f"({sig(spread / 25.4, 2)} in) either way here.",
    )


def _finished(part: Part, body_rows, metal: str) -> tuple[Working | None, str, str]:
    """The finished mass of one piece: from its shapes, else weighed, else typed.

    What is cast anew is the finished size, so shapes come before the weight of an old piece.
    """
    trouble = ""
    if body_rows:
        try:
            working = solids.mass(bodies.trade_bodies(body_rows), metal)
            return replace(working, name="Finished mass"), "from its shapes", ""
        except TradeError as error:
            trouble = str(error)
    weighed = [
        row
        for row in bodies.measures_of(part)
        if row.quantity == Measurement.Quantity.MASS and row.what.strip().lower() == "mass"
    ]
    if weighed:
        given = Given("m", "Mass of the old one", weighed[0].value, "kg", **_from(weighed[0]))
        return _plain_mass(weighed[0].value, given), "weighed", trouble
    if part.mass_kg:
        given = Given("m", "Mass", part.mass_kg, "kg", Origin.ENTERED, "the parts list")
        return _plain_mass(part.mass_kg, given), "entered", trouble
    said = trouble or "No mass is known: write down its shapes, weigh the old one, or enter it."
    return None, "", said


def _plain_mass(kg: float, given: Given) -> Working:
    return Working("Finished mass", kg, "kg", "m", f"{sig(kg)} kg", (given,), "the record")


def _stock(body_rows, lines: list[FaceLine], metal: str, finished: Working) -> Working | None:
    """What the machine takes off one piece [kg]: its shapes with every allowance on, less it.

    None where no face has an allowance that a shape knows.
    """
    stock: dict[int, float] = {}
    for line in lines:
        if line.allowance is not None:
            sign = -1 if line.kind.inside else 1
            stock[line.row.measurement_id] = sign * line.kind.machined * line.allowance.value
    touched = []

    def swap(measure: Measurement, size: Size) -> Size:
        if measure.pk not in stock:
            return size
        touched.append(measure.what)
        return Size(size.value + stock[measure.pk], size.u, size.origin, size.source)

    try:
        cast = solids.mass(bodies.trade_bodies(body_rows, swap), metal)
    except TradeError:
        return None
    if not touched:
        return None
    value = cast.value - finished.value
    names = ", ".join(dict.fromkeys(touched))
    return Working(
        "Finishing stock of one",
        max(value, 0.0),
        "kg",
        "mass with allowances - finished mass",
        f"{full(cast.value)} - {full(finished.value)} = {sig(value)} kg",
        (
            Given("C", "Mass with the allowances on", cast.value, "kg", Origin.CALCULATED, names),
            Given("F", "Finished mass", finished.value, "kg", Origin.CALCULATED),
        ),
        "geometry of the part's shapes",
        limits="Only faces whose size a shape of the part is made from. Draft is not in it.",
        parts=(cast,),
    )


def _to_cast(left: int, pieces: int, other: str) -> str:
    if left:
        return f"{left} to cast."
    if other:
        return f"Not to be cast: the record has it {other}. The figures are for {pieces} if it is."
    return f"None is to be cast now. The figures are for {pieces}."


def _tells(part, lines, metal, to_cast: str, numbered, shaped: bool) -> list[str]:
    """What the moulder must know. Common practice, no source, but for the sizes."""
    word = Material(metal).label.lower()
    told = [f"{to_cast} Metal: {word}. Pattern and core box are marked {numbered}."]
    machined = [ln for ln in lines if ln.kind and ln.kind.machined and not ln.kind.inside]
    bored = [ln for ln in lines if ln.kind and ln.kind.machined and ln.kind.inside]
    cored = [ln for ln in lines if ln.kind and ln.kind.inside]
    if machined:
        told.append(
            "Machined: "
            + "; ".join(ln.row.measurement.what for ln in machined)
            + ". Mould these faces down or upright: dirt rises to the top of the mould, and a "
            "face that must lie uppermost wants a larger allowance."
        )
    if bored:
        told.append(
            "Bored after casting: " + "; ".join(x.row.measurement.what for x in bored) + "."
        )
    if cored:
        told.append(
            "Cored: "
            + "; ".join(x.row.measurement.what for x in cored)
            + ". Cores dry and vented; the prints are added to the lengths here."
        )
    drafted = [ln for ln in lines if ln.row.draft_deg]
    if drafted:
        told.append(
            "Drawn with draft: "
            + "; ".join(f"{x.row.measurement.what}, {x.row.draft_deg:g}°" for x in drafted)
            + "."
        )
    elif lines:
        told.append("No draft is on these sizes: say which way it draws, and add it.")
    told += [f"{x.row.measurement.what}: {x.row.note}" for x in lines if x.row.note]
    if not shaped:
        told.append("The finishing stock is not in the masses: its shapes are not written down.")
    if part.note:
        told.append(part.note)
    return told
