"""The shapes and sizes of a part: its volume, mass, centre of gravity and wear.

The sizes of a shape are measures of the part. A measure used by two shapes is one quantity: its
uncertainty moves both together.
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
QUANTITY_OF_UNIT = {"mm": Quantity.LENGTH, "deg": Quantity.ANGLE, "": Quantity.COUNT}


def size_of(row: Measurement) -> Size:
    """Return a measure as a Size; any value within its plus-or-minus is taken as equally likely."""
    source = " ".join(
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
    return Size(row.value, (row.plus_or_minus_value or 0.0) / ROOT_3, origin, source)


@dataclass(frozen=True)
class SizeLine:
    """One size of a shape: its name, and the measure that gives it."""

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
    """The figures from the shapes of a part.

    Args:
        bodies: The shapes, in order.
        solid: Volume, mass and centre of gravity; None where they cannot be calculated.
        volume: The volume, also where the mass cannot be calculated.
        trouble: The reason why a figure is missing; else "".
        wear: Sizes as made against sizes as found.
        as_made: The mass with every size as made, where a shape has a worn size.
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


def shape_rows(part: Part) -> list[Body]:
    """Return the shapes of a part with their sizes. Three queries."""
    return list(
        Body.objects.filter(part=part)
        .select_related("engine")
        .prefetch_related("sizes__measurement")
    )


def bodies_of(rows, replace_size=None) -> list[masses.Body]:
    """Return shapes of the record as bodies for the calculations.

    Args:
        rows: From `shape_rows`.
        replace_size: A function of a measurement and its Size that returns the Size to use.
    """
    sizes: dict[int, Size] = {}
    bodies = []
    for row in rows:
        own_sizes = {}
        for size_row in sorted(row.sizes.all(), key=lambda size: size.pk):
            _check_quantity(row, size_row)
            measure = size_row.measurement
            if measure.pk not in sizes:
                size = size_of(measure)
                sizes[measure.pk] = replace_size(measure, size) if replace_size else size
            own_sizes[size_row.key] = sizes[measure.pk]
        bodies.append(_calculation_body(row, own_sizes))
    return bodies


def _check_quantity(row: Body, size: BodySize) -> None:
    shape = SHAPES.get(row.shape)
    quantity = QUANTITY_OF_UNIT[shape.unit(size.key)] if shape else Quantity.LENGTH
    if size.measurement.quantity != quantity:
        raise OutOfRange(f"“{size.measurement.what}” is no {quantity}: choose another for {row}.")


def _calculation_body(row: Body, sizes: dict) -> masses.Body:
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
        # Each shape by itself counts as metal, so that a hole has a volume too.
        (body,) = bodies_of([row])
        volume = masses.volume([masses.Body(body.shape, body.sizes, times=row.times)])
    except EngineeringError as error:
        return BodyLine(row, shape, lines, None, str(error))
    return BodyLine(row, shape, lines, volume, "")


def body_sheet(part: Part, material: str = "") -> BodySheet:
    """Return the figures from the shapes of a part. Five queries.

    Args:
        part: The part.
        material: A material or metal to use in place of the part's own.
    """
    rows = shape_rows(part)
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
    """Return measures of a part and of its finds, newest first. One query."""
    finds = finds_that_are([part]).values("find")
    rows = Measurement.objects.filter(engine=part.engine_id)
    return list(rows.filter(Q(part=part) | Q(find__in=finds)).order_by("-day", "-pk"))


def _pairs(rows: list[Measurement]) -> dict[str, dict[bool, Measurement]]:
    """Return the newest measure of each name, as made (True) and as found (False)."""
    pairs: dict[str, dict[bool, Measurement]] = {}
    for row in rows:  # newest first
        if row.quantity == Quantity.LENGTH:
            pairs.setdefault(row.what.strip().lower(), {}).setdefault(row.nominal, row)
    return pairs


def wear_of(rows: list[Measurement]) -> list[Wear]:
    """Return sizes known both as made and as found, by name."""
    wear = []
    for pair in _pairs(rows).values():
        if len(pair) == 2 and pair[True].value > 0:
            made, now = pair[True], pair[False]
            wear.append(Wear(made.what, made, now, _wear(made, now)))
    return sorted(wear, key=lambda row: row.what.lower())


def _wear(made: Measurement, now: Measurement) -> Calculation:
    """Return the wear of one size [mm]: the size as made less the size as found."""
    value = made.value - now.value
    uncertainty = (
        (made.plus_or_minus_value or 0) ** 2 + (now.plus_or_minus_value or 0) ** 2
    ) ** 0.5
    left = 100 * now.value / made.value
    if abs(value) <= uncertainty:
        words = "No wear that this measuring can tell."
    elif value > 0:
        words = f"Smaller than made: {sig(left)} % of the size is left."
    else:
        words = f"Larger than made: the size has grown to {sig(left)} %, as a bore does that wears."
    has_uncertainty = bool(made.plus_or_minus_value or now.plus_or_minus_value)
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
        value - uncertainty if has_uncertainty else None,
        value + uncertainty if has_uncertainty else None,
        "the root of the sum of squares of both plus-or-minus" if has_uncertainty else "",
        verdict=words,
        limits="Worn at the place that was measured. A shaft or bore wears oval and tapered: "
        "measure it at several places, two ways across.",
    )


def _from(row: Measurement):
    size = size_of(row)
    return size.origin, size.source


def _as_made(rows, metal: str, measures: list[Measurement]) -> Calculation | None:
    """Return the mass with worn sizes as made; None where no shape has a worn size."""
    made = {k: pair[True] for k, pair in _pairs(measures).items() if len(pair) == 2}
    replaced = []

    def as_made(measure: Measurement, size: Size) -> Size:
        other = made.get(measure.what.strip().lower())
        if measure.nominal or other is None:
            return size
        replaced.append(measure.pk)
        return size_of(other)

    try:
        bodies = bodies_of(rows, as_made)
        return masses.mass(bodies, metal) if replaced else None
    except EngineeringError:
        return None


def volumes(engine: Engine, only: set[int] | None = None) -> dict[int, float]:
    """Return the volume [mm3] of one piece of every part whose shapes are known. One query.

    Args:
        only: The ids of the parts; None for all.
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
    volumes_by_part = {}
    for part, bodies in parts.items():
        try:
            volumes_by_part[part] = masses.volume(
                [
                    masses.Body(shape, sizes, away, times=times)
                    for shape, sizes, away, times in bodies.values()
                ]
            ).value
        except EngineeringError:
            continue  # the page of its shapes says what is wrong
    return volumes_by_part


def kg_of(volume_mm3: float | None, material: str) -> float | None:
    """Return the mass [kg] of a volume of a material; None where either is not known."""
    if volume_mm3 is None:
        return None
    try:
        return volume_mm3 * 1e-9 * properties.density(material).value
    except EngineeringError:
        return None


def part_volume(part: Part) -> float | None:
    """Return the volume [mm3] of one piece of a part from its shapes. Three queries."""
    rows = shape_rows(part)
    try:
        return masses.volume(bodies_of(rows)).value if rows else None
    except EngineeringError:
        return None


def next_place(rows: list[Body]) -> tuple[str, float]:
    """Return the axis and position at which a shape at the end of the last one begins."""
    last = next((row for row in reversed(rows) if not row.away), None)
    if last is None:
        return Body.Along.Z, 0.0
    value = {one.key: one.measurement.value for one in last.sizes.all()}
    length = value.get("length") or value.get("thickness") or value.get("face") or 0.0
    return last.along, getattr(last, f"at_{last.along}_mm") + length
