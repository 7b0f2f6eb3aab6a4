"""The shapes and sizes of a part: its volume, mass and balance, and what wear has left of it.

A shape's sizes are measures of the part. One measure that serves two shapes counts as one: it
moves both.
"""

from dataclasses import dataclass, field

from django.db.models import Q

from parts.care.models import Measurement
from parts.care.queries import shown_written
from parts.engineering.calculation import Calculation, Input, Origin
from parts.engineering.errors import EngineeringError, OutOfRange
from parts.engineering.figures import full, sig
from parts.engineering.materials import properties
from parts.engineering.sentences import amount
from parts.engineering.solids import masses
from parts.engineering.solids.masses import Size
from parts.engineering.solids.shapes import SHAPES, Shape
from parts.record.models import Engine, Part
from parts.record.queries.finds import finds_that_are

from ..models import Body, BodySize

Quantity = Measurement.Quantity
ROOT_3 = 3**0.5
OF_UNIT = {"mm": Quantity.LENGTH, "deg": Quantity.ANGLE, "": Quantity.COUNT}


def size_of(row: Measurement) -> Size:
    """Return a measure for the calculations: any value within its plus-or-minus is as likely."""
    said = " ".join(
        filter(
            None,
            (
                f"{row.what}: {shown_written(row.written, row.unit)},",
                f"{row.instrument}," if row.instrument else "",
                f"{row.who}," if row.who else "",
                f"{row.day:%-d %b %Y}",
            ),
        )
    )
    origin = Origin.ENTERED if row.nominal else Origin.MEASURED
    return Size(row.value, (row.plus_or_minus_value or 0.0) / ROOT_3, origin, said)


@dataclass(frozen=True)
class SizeLine:
    """One size of a shape: what it is called, and the measure that gives it."""

    key: str
    words: str
    letter: str
    row: Measurement | None

    @property
    def written(self) -> str:
        return shown_written(self.row.written, self.row.unit) if self.row else ""

    @property
    def sure(self) -> str:
        row = self.row
        if row is None or not row.plus_or_minus:
            return ""
        return shown_written(row.plus_or_minus.lstrip("±+- "), row.unit)


@dataclass(frozen=True)
class BodyLine:
    """A shape of the part with its sizes."""

    row: Body
    shape: Shape | None
    sizes: list[SizeLine]
    volume: Calculation | None
    trouble: str

    @property
    def name(self) -> str:
        return self.row.name or (self.shape.name if self.shape else self.row.shape)


@dataclass(frozen=True)
class Wear:
    """A size as made against the same size as found."""

    what: str
    nominal: Measurement
    found: Measurement
    calculation: Calculation


@dataclass(frozen=True)
class BodySheet:
    """What the shapes of a part say.

    Args:
        bodies: The shapes, in order.
        solid: Volume, mass and centre of gravity; None where they cannot be reckoned.
        volume: Stands alone where the mass cannot be reckoned.
        trouble: Why there is no figure: a sentence.
        wear: Sizes as made against sizes as found.
        as_made: The mass with every size as made, where wear touches a shape.
    """

    bodies: list[BodyLine]
    solid: masses.Solid | None
    volume: Calculation | None
    trouble: str
    wear: list[Wear] = field(default_factory=list)
    as_made: Calculation | None = None

    @property
    def mass(self) -> Calculation | None:
        return self.solid.mass if self.solid else None

    @property
    def calculations(self) -> list[Calculation]:
        if self.solid:
            return [self.solid.mass, self.solid.volume, *self.solid.centre]
        return [self.volume] if self.volume else []


def body_rows(part: Part) -> list[Body]:
    """The shapes of a part with their sizes. Three queries."""
    return list(
        Body.objects.filter(part=part)
        .select_related("engine")
        .prefetch_related("sizes__measurement")
    )


def bodies_of(rows, swap=None) -> list[masses.Body]:
    """Return shapes of the record for the calculations.

    Args:
        rows: From `body_rows`.
        swap: Takes a measurement and its Size, gives the Size to use in its place.
    """
    sizes: dict[int, Size] = {}
    found = []
    for row in rows:
        own = {}
        for one in sorted(row.sizes.all(), key=lambda one: one.pk):
            _is_a_size(row, one)
            measure = one.measurement
            if measure.pk not in sizes:
                size = size_of(measure)
                sizes[measure.pk] = swap(measure, size) if swap else size
            own[one.key] = sizes[measure.pk]
        found.append(_trade_body(row, own))
    return found


def _is_a_size(row: Body, one: BodySize) -> None:
    shape = SHAPES.get(row.shape)
    wanted = OF_UNIT[shape.unit(one.key)] if shape else Quantity.LENGTH
    if one.measurement.quantity != wanted:
        raise OutOfRange(f"“{one.measurement.what}” is no {wanted}: choose another for {row}.")


def _trade_body(row: Body, sizes: dict) -> masses.Body:
    return masses.Body(
        row.shape,
        sizes,
        row.away,
        (row.at_x_mm, row.at_y_mm, row.at_z_mm),
        row.along,
        row.times,
        row.name,
    )


def _line(row: Body) -> BodyLine:
    shape = SHAPES.get(row.shape)
    by_key = {one.key: one.measurement for one in row.sizes.all()}
    lines = [
        SizeLine(key, words, letter, by_key.get(key))
        for key, (letter, words) in (shape.sizes if shape else {}).items()
        if key in by_key or key not in shape.optional
    ]
    try:
        # A shape by itself, taken as metal: what is taken away has a volume too.
        (body,) = bodies_of([row])
        volume = masses.volume([masses.Body(body.shape, body.sizes, times=row.times)])
    except EngineeringError as error:
        return BodyLine(row, shape, lines, None, str(error))
    return BodyLine(row, shape, lines, volume, "")


def body_sheet(part: Part, material: str = "") -> BodySheet:
    """All that the shapes of a part say. Five queries.

    Args:
        part: The part.
        material: A material or metal in place of the part's own.
    """
    rows = body_rows(part)
    lines = [_line(row) for row in rows]
    measures = measures_of(part)
    wear = wear_of(measures)
    if not rows:
        return BodySheet([], None, None, "", wear)
    metal = material or part.material
    try:
        bodies = bodies_of(rows)
        volume = masses.volume(bodies)
    except EngineeringError as error:
        return BodySheet(lines, None, None, str(error), wear)
    try:
        solid = masses.solid(bodies, metal)
    except EngineeringError as error:
        return BodySheet(lines, None, volume, str(error), wear)
    return BodySheet(lines, solid, volume, "", wear, _as_made(rows, metal, measures))


def measures_of(part: Part) -> list[Measurement]:
    """Measures of a part and of the finds that are it, newest first. One query."""
    finds = finds_that_are([part]).values("find")
    rows = Measurement.objects.filter(engine=part.engine_id)
    return list(rows.filter(Q(part=part) | Q(find__in=finds)).order_by("-day", "-pk"))


def _pairs(rows: list[Measurement]) -> dict[str, dict[bool, Measurement]]:
    """The newest measure of each name, as made (True) and as found (False)."""
    pairs: dict[str, dict[bool, Measurement]] = {}
    for row in rows:  # newest first
        if row.quantity == Quantity.LENGTH:
            pairs.setdefault(row.what.strip().lower(), {}).setdefault(row.nominal, row)
    return pairs


def wear_of(rows: list[Measurement]) -> list[Wear]:
    """Sizes that are known both as made and as found, by what they are called."""
    found = []
    for pair in _pairs(rows).values():
        if len(pair) == 2 and pair[True].value > 0:
            made, now = pair[True], pair[False]
            found.append(Wear(made.what, made, now, _worn(made, now)))
    return sorted(found, key=lambda one: one.what.lower())


def _worn(made: Measurement, now: Measurement) -> Calculation:
    """Wear of one size [mm]: the difference of what was made and what is found."""
    value = made.value - now.value
    unsure = ((made.plus_or_minus_value or 0) ** 2 + (now.plus_or_minus_value or 0) ** 2) ** 0.5
    left = 100 * now.value / made.value
    if abs(value) <= unsure:
        words = "No wear that this measuring can tell."
    elif value > 0:
        words = f"Smaller than made: {sig(left)} % of the size is left."
    else:
        words = f"Larger than made: the size has grown to {sig(left)} %, as a bore does that wears."
    known = bool(made.plus_or_minus_value or now.plus_or_minus_value)
    return Calculation(
        f"Wear: {made.what}",
        value,
        "mm",
        "N - F",
        f"{full(made.value, 'mm')} - {full(now.value, 'mm')} = {amount(value, 'mm')}",
        (
            Input("N", "As made", made.value, "mm", *_from(made)),
            Input("F", "As found", now.value, "mm", *_from(now)),
        ),
        "difference of two measures",
        value - unsure if known else None,
        value + unsure if known else None,
        "the root of the sum of squares of both plus-or-minus" if known else "",
        verdict=words,
        limits="Worn at the place that was measured. A shaft or bore wears oval and tapered: "
        "measure it at several places, two ways across.",
    )


def _from(row: Measurement):
    size = size_of(row)
    return size.origin, size.source


def _as_made(rows, metal: str, measures: list[Measurement]) -> Calculation | None:
    """The mass with worn sizes as made; None where no shape has a worn size."""
    made = {k: pair[True] for k, pair in _pairs(measures).items() if len(pair) == 2}
    touched = []

    def swap(measure: Measurement, size: Size) -> Size:
        other = made.get(measure.what.strip().lower())
        if measure.nominal or other is None:
            return size
        touched.append(measure.pk)
        return size_of(other)

    try:
        bodies = bodies_of(rows, swap)
        return masses.mass(bodies, metal) if touched else None
    except EngineeringError:
        return None


def volumes(engine: Engine, only: set[int] | None = None) -> dict[int, float]:
    """The volume [mm3] of one piece of every part whose shapes are known. One query.

    Args:
        only: The parts that are wanted; None for all.
    """
    names = ("part_id", "shape", "away", "times", "pk")
    rows = BodySize.objects.filter(body__engine=engine, body__removed_at__isnull=True).values_list(
        *(f"body__{name}" for name in names), "key", "measurement__value"
    )
    parts: dict[int, dict[int, tuple]] = {}
    for part, shape, away, times, pk, key, value in rows:
        if only is not None and part not in only:
            continue
        bodies = parts.setdefault(part, {})
        bodies.setdefault(pk, (shape, {}, away, times))[1][key] = Size(value, 0.0, Origin.MEASURED)
    found = {}
    for part, bodies in parts.items():
        try:
            found[part] = masses.volume(
                [
                    masses.Body(shape, sizes, away, times=times)
                    for shape, sizes, away, times in bodies.values()
                ]
            ).value
        except EngineeringError:
            continue  # the page of its shapes says what is wrong
    return found


def kg_of(volume_mm3: float | None, material: str) -> float | None:
    """The mass [kg] of a volume of a material; None where either is not known."""
    if volume_mm3 is None:
        return None
    try:
        return volume_mm3 * 1e-9 * properties.density(material).value
    except EngineeringError:
        return None


def part_volume(part: Part) -> float | None:
    """The volume [mm3] of one piece of a part from its shapes. Three queries."""
    rows = body_rows(part)
    try:
        return masses.volume(bodies_of(rows)).value if rows else None
    except EngineeringError:
        return None


def next_place(rows: list[Body]) -> tuple[str, float]:
    """Where a shape set at the end of the last added one begins: its axis, and how far along."""
    last = next((row for row in reversed(rows) if not row.away), None)
    if last is None:
        return Body.Along.Z, 0.0
    value = {one.key: one.measurement.value for one in last.sizes.all()}
    length = value.get("length") or value.get("thickness") or value.get("face") or 0.0
    return last.along, getattr(last, f"at_{last.along}_mm") + length
