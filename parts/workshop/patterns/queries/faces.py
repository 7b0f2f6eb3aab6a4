"""The sizes that a pattern is made by, and what the machine takes off the casting."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from parts.care.models import Measurement
from parts.care.queries import shown_written
from parts.engineering.calculation import Calculation, Caution, Input, Origin
from parts.engineering.casting import patterns
from parts.engineering.errors import EngineeringError
from parts.engineering.figures import full
from parts.engineering.sentences import amount
from parts.engineering.solids import masses
from parts.engineering.solids.masses import Size
from parts.workshop.shapes.models import Body
from parts.workshop.shapes.queries.shapes import bodies_of, size_of

from ..models import PatternFace

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
        written: The finished size as entered.
        size: The calculation of the pattern or core; None where it cannot be calculated.
        trouble: The reason, when `size` is None.
    """

    row: PatternFace
    written: str
    kind: patterns.Face | None
    size: Calculation | None
    trouble: str

    @property
    def word(self) -> str:
        return "core" if self.kind and self.kind.inside else "pattern"

    @property
    def _inputs(self) -> dict[str, Input]:
        return {one.letter: one for one in self.size.inputs} if self.size else {}

    @property
    def contraction(self) -> Input | None:
        return self._inputs.get("c")

    @property
    def allowance(self) -> Input | None:
        return self._inputs.get("m") if self.kind and self.kind.machined else None

    @property
    def with_draft(self) -> Calculation | None:
        return self.size.parts[0] if self.size and self.size.parts else None

    @property
    def shrinks_mm(self) -> float:
        """The contraction of the pattern size [mm]."""
        c = self.contraction.value / 100 if self.contraction else 0
        return self.size.value * c / (1 + c) if self.size else 0.0


def _depth(rows: list[PatternFace]) -> tuple[float, str]:
    """Return the assumed depth of the draw [mm] and its basis: the least outside size."""
    outer = [
        row.measurement.value
        for row in rows
        if row.kind in patterns.FACES and not patterns.FACES[row.kind].inside
    ]
    if outer:
        return min(outer), "the least outside size on this sheet"
    sizes = [row.measurement.value for row in rows]
    return (min(sizes), "the least size on this sheet") if sizes else (0.0, "")


def face_lines(rows: list[PatternFace], metal: str) -> list[FaceLine]:
    """Return each size on the pattern sheet of a part, with that of its pattern or core."""
    depth = _depth(rows)
    largest = max((row.measurement.value for row in rows), default=0.0)
    lines = []
    for row in rows:
        written = shown_written(row.measurement.written, row.measurement.unit)
        try:
            kind = patterns.face(row.kind)
            lines.append(FaceLine(row, written, kind, _size(row, metal, largest, depth), ""))
        except EngineeringError as error:
            kind = patterns.FACES.get(row.kind)
            lines.append(FaceLine(row, written, kind, None, str(error)))
    return lines


def _size(row: PatternFace, metal: str, largest: float, depth: tuple[float, str]) -> Calculation:
    own = row.contraction_percent
    calculation = patterns.pattern_size(
        row.measurement.value,
        metal,
        row.kind,
        largest_mm=largest,
        allowance_mm=row.allowance_mm,
        contraction=None if own is None else own / 100,
        draft_deg=row.draft_deg,
        depth_mm=depth[0] if row.draft_deg else 0.0,
    )
    first = replace(calculation.inputs[0], name=row.measurement.what, **origin_of(row.measurement))
    inside = patterns.face(row.kind).inside
    name = f"{'Core' if inside else 'Pattern'} size: {row.measurement.what}"
    parts = calculation.parts
    if parts:
        lean = replace(parts[0], limits=f"Depth of the draw taken as {depth[1]}.")
        parts = (lean, *parts[1:])
    return replace(
        calculation,
        name=name,
        inputs=(first, *calculation.inputs[1:]),
        parts=parts,
        cautions=(*calculation.cautions, _founder_caution(calculation)),
    )


def origin_of(row: Measurement) -> dict:
    """Return the origin and source of a measure, as arguments of an Input."""
    size = size_of(row)
    return {"origin": size.origin, "source": size.source}


def _founder_caution(calculation: Calculation) -> Caution:
    if calculation.low is None:
        return FOUNDER
    spread = (calculation.high - calculation.low) / 2
    return replace(
        FOUNDER,
        why=f"{FOUNDER.why} The tables leave {amount(spread, 'mm', 2)} either way here.",
    )


@dataclass(frozen=True)
class FinishingStock:
    """The metal that machining takes off one casting.

    Args:
        calculation: Its mass [kg]; None where no shape gives it.
        short: A sentence when some of it is unknown, so that a charge would be short; else "".
    """

    calculation: Calculation | None
    short: str

    @property
    def kg(self) -> float:
        return float(self.calculation.value) if self.calculation else 0.0


SHORT = "Short by the finishing stock: "


def stock_of(shapes: list[Body], lines: list[FaceLine], metal: str) -> FinishingStock:
    """Return the finishing stock of one piece: its shapes with all allowances, less finished.

    A machined size that no shape uses cannot be counted.
    """
    if not lines:
        return FinishingStock(None, f"{SHORT}no size stands on its pattern sheet.")
    allowances = {
        line.row.measurement_id: (-1 if line.kind.inside else 1)
        * line.kind.machined
        * line.allowance.value
        for line in lines
        if line.allowance is not None
    }
    machined_lines = [line for line in lines if line.kind and line.kind.machined]
    if not machined_lines:
        return FinishingStock(None, "")
    if not shapes:
        return FinishingStock(None, f"{SHORT}its shapes are not entered.")
    measures: dict[int, str] = {}

    def with_allowance(measure: Measurement, size: Size) -> Size:
        if measure.pk not in allowances:
            return size
        measures[measure.pk] = measure.what
        return Size(size.value + allowances[measure.pk], size.u, size.origin, size.source)

    try:
        finished = masses.mass(bodies_of(shapes), metal)
        cast = masses.mass(bodies_of(shapes, with_allowance), metal)
    except EngineeringError as error:
        return FinishingStock(None, f"{SHORT}{error}")
    names = [
        ln.row.measurement.what for ln in machined_lines if ln.row.measurement_id not in measures
    ]
    short = f"{SHORT}that of {_quoted(names)} is not known." if names else ""
    if not measures:
        return FinishingStock(None, short)
    return FinishingStock(_finishing_stock(finished, cast, measures.values()), short)


def _finishing_stock(finished: Calculation, cast: Calculation, names: Iterable[str]) -> Calculation:
    value = cast.value - finished.value
    return Calculation(
        "Finishing stock of one",
        max(value, 0.0),
        "kg",
        "mass with allowances - finished mass",
        f"{full(cast.value, 'kg')} - {full(finished.value, 'kg')} = {amount(value, 'kg')}",
        (
            Input(
                "C",
                "Mass with the allowances on",
                cast.value,
                "kg",
                Origin.CALCULATED,
                _quoted(names),
            ),
            Input("F", "Finished mass", finished.value, "kg", Origin.CALCULATED),
        ),
        "geometry of the part's shapes",
        limits="Only faces whose size a shape of the part is made from. Draft is not in it.",
        parts=(cast,),
    )


def _quoted(names) -> str:
    return ", ".join(f"“{name}”" for name in dict.fromkeys(names))


def stocks(metals: Mapping[int, str]) -> dict[int, FinishingStock]:
    """Return the finishing stock of each part. Four queries.

    Args:
        metals: The metal or material each part is cast in, by the part's id.
    """
    faces: dict[int, list[PatternFace]] = {pk: [] for pk in metals}
    for row in PatternFace.objects.filter(part__in=metals).select_related("measurement"):
        faces[row.part_id].append(row)
    shapes: dict[int, list[Body]] = {}
    with_faces = [pk for pk, rows in faces.items() if rows]
    for body in Body.objects.filter(part__in=with_faces).prefetch_related("sizes__measurement"):
        shapes.setdefault(body.part_id, []).append(body)
    return {
        pk: stock_of(shapes.get(pk, []), face_lines(faces[pk], metal), metal)
        for pk, metal in metals.items()
    }
