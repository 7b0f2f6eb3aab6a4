"""The pattern sheet of a cast part: its faces, its masses, and notes for the moulder."""

from dataclasses import dataclass, replace

from django.db.models import F, Q, Sum

from parts.care.models import Measurement
from parts.engineering.calculation import Calculation, Caution, Input, Origin
from parts.engineering.casting import patterns
from parts.engineering.errors import EngineeringError
from parts.engineering.routes import ROUTES
from parts.engineering.sentences import amount
from parts.engineering.solids import masses as solids
from parts.record.models import Job, Material, Part, PieceEntry
from parts.workshop.shapes.queries import shapes

from ..models import PatternFace
from .faces import FOUNDER, FaceLine, face_lines, origin_of, stock_of

Kind = PieceEntry.Kind


@dataclass(frozen=True)
class PatternSheet:
    """The pattern sheet of a part, for the founder.

    Args:
        metal: The material it is cast in.
        pieces: The number of castings that the masses are for.
        to_cast: How many are to be cast, as a sentence.
        lines: The faces.
        masses: Finished, as cast, poured and to charge: calculations, where they are known.
        mass_from: The source of the finished mass.
        trouble: The reason why a mass is missing.
        short: A sentence when the charge may be short of metal; else "".
        notes: Sentences for the moulder.
        number: The number to mark the pattern with.
    """

    part: Part
    job: Job | None
    metal: str
    pieces: int
    to_cast: str
    lines: list[FaceLine]
    masses: list[Calculation]
    mass_from: str
    trouble: str
    short: str
    notes: list[str]
    number: str
    shape_rows: list
    caution: Caution = FOUNDER

    @property
    def metal_word(self) -> str:
        return Material(self.metal).label

    @property
    def calculations(self) -> list[Calculation]:
        return [line.size for line in self.lines if line.size] + self.masses


def open_jobs(part: Part) -> list[Job]:
    """Return the jobs of a part that are not all fitted, newest first, each with its `left`.

    One query.
    """
    not_removed = Q(entries__removed_at__isnull=True)
    rows = Job.objects.filter(part=part).order_by("-pk")
    rows = rows.annotate(
        decided=Sum(
            "entries__pieces", filter=not_removed & Q(entries__kind=Kind.DECIDED), default=0
        ),
        fitted=Sum("entries__pieces", filter=not_removed & Q(entries__kind=Kind.FITTED), default=0),
    ).annotate(left=F("decided") - F("fitted"))
    return list(rows.filter(left__gt=0))


def other_route(part: Part, jobs: list[Job]) -> str:
    """Return the routes by which a part is to be replaced, as words; "" when one is casting."""
    routes = {job.route for job in jobs} or {part.usual_route}
    if "cast" in routes or routes == {""}:
        return ""
    return "to " + " and ".join(ROUTES[key].word for key in sorted(routes))


def pattern_sheet(part: Part, pieces: int = 0) -> PatternSheet:
    """Return the pattern sheet of a part. A fixed number of queries.

    Args:
        pieces: How many are to be cast; 0 for those of its job, else all of the part.
    """
    jobs = open_jobs(part)
    job = next((job for job in jobs if job.route == "cast"), None)
    left = job.left if job else 0
    metal = (job.metal if job else "") or part.material
    pieces = pieces or left or part.quantity
    rows = list(PatternFace.objects.filter(part=part).select_related("measurement"))
    shape_rows = shapes.shape_rows(part)
    lines = face_lines(rows, metal)
    finished, mass_from, trouble = _finished(part, shape_rows, metal)
    stock = stock_of(shape_rows, lines, metal)
    masses = []
    if finished is not None:
        try:
            poured = patterns.pour(finished.value, metal, stock_kg=stock.kg, pieces=pieces)
            poured = poured.with_origins(_origins(finished, stock.calculation))
            masses = [finished, *filter(None, [stock.calculation]), *poured.parts, poured]
        except EngineeringError as error:
            masses, trouble = [finished], str(error)
    number = f"{part.engine.tag_prefix} {part.item}"
    to_cast = _to_cast(left, pieces, other_route(part, jobs))
    notes = _moulder_notes(part, lines, metal, to_cast, number)
    return PatternSheet(
        part,
        job,
        metal,
        pieces,
        to_cast,
        lines,
        masses,
        mass_from,
        trouble,
        stock.short,
        notes,
        number,
        shape_rows,
    )


def _origins(finished: Calculation, stock: Calculation | None) -> dict[str, tuple[Origin, str]]:
    """Return the origins of the finished mass of one piece and its finishing stock."""
    if len(finished.inputs) == 1:  # as it was weighed or entered
        mass = (finished.inputs[0].origin, finished.inputs[0].source)
    else:
        mass = (Origin.CALCULATED, "from its shapes")
    none = (Origin.ASSUMED, "no shape is tied to a face that is machined: none is counted")
    return {"F": mass, "S": (Origin.CALCULATED, stock.name.lower()) if stock else none}


def _finished(part: Part, shape_rows, metal: str) -> tuple[Calculation | None, str, str]:
    """Return the finished mass of one piece: from its shapes, else measured, else entered.

    A new casting has the finished sizes, so shapes come before the weight of an old piece.
    """
    trouble = ""
    if shape_rows:
        try:
            calculation = solids.mass(shapes.bodies_of(shape_rows), metal)
            return replace(calculation, name="Finished mass"), "from its shapes", ""
        except EngineeringError as error:
            trouble = str(error)
    weights = [
        row
        for row in shapes.measures_of(part)
        if row.quantity == Measurement.Quantity.MASS and row.what.strip().lower() == "mass"
    ]
    if weights:
        origin = Input("m", "Mass of the old one", weights[0].value, "kg", **origin_of(weights[0]))
        return _plain_mass(weights[0].value, origin), "weighed", trouble
    if part.mass_kg:
        origin = Input("m", "Mass", part.mass_kg, "kg", Origin.ENTERED, "the parts list")
        return _plain_mass(part.mass_kg, origin), "entered", trouble
    reason = trouble or "No mass is known: enter its shapes, weigh the old one, or enter it."
    return None, "", reason


def _plain_mass(kg: float, origin: Input) -> Calculation:
    return Calculation("Finished mass", kg, "kg", "m", amount(kg, "kg"), (origin,), "the record")


def _to_cast(left: int, pieces: int, other: str) -> str:
    if left:
        return f"{left} to cast."
    if other:
        return f"Not to be cast: the record has it {other}. The figures are for {pieces} if it is."
    return f"None is to be cast now. The figures are for {pieces}."


def _moulder_notes(part, lines, metal, to_cast: str, number) -> list[str]:
    """Return the notes for the moulder. Common practice, no source, except the sizes."""
    word = Material(metal).label.lower()
    notes = [f"{to_cast} Metal: {word}. Pattern and core box are marked {number}."]
    machined = [ln for ln in lines if ln.kind and ln.kind.machined and not ln.kind.inside]
    bored = [ln for ln in lines if ln.kind and ln.kind.machined and ln.kind.inside]
    cored = [ln for ln in lines if ln.kind and ln.kind.inside]
    if machined:
        notes.append(
            "Machined: "
            + "; ".join(ln.row.measurement.what for ln in machined)
            + ". Mould these faces down or upright: dirt rises to the top of the mould, and a "
            "face that must lie uppermost wants a larger allowance."
        )
    if bored:
        notes.append(
            "Bored after casting: " + "; ".join(x.row.measurement.what for x in bored) + "."
        )
    if cored:
        notes.append(
            "Cored: "
            + "; ".join(x.row.measurement.what for x in cored)
            + ". Cores dry and vented; the prints are added to the lengths here."
        )
    drafted = [ln for ln in lines if ln.row.draft_deg]
    if drafted:
        notes.append(
            "Drawn with draft: "
            + "; ".join(f"{x.row.measurement.what}, {x.row.draft_deg:g}°" for x in drafted)
            + "."
        )
    elif lines:
        notes.append("No draft is on these sizes: say which way it draws, and add it.")
    notes += [f"{x.row.measurement.what}: {x.row.note}" for x in lines if x.row.note]
    if part.note:
        notes.append(part.note)
    return notes
