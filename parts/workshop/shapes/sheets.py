"""From the shapes of the record to their sketch."""

from parts.care.queries import CUSTOMARY, shown_written
from parts.drafting.pen import Markup
from parts.drafting.sketch import Piece, part_sketch
from parts.engineering.errors import EngineeringError
from parts.engineering.measures import Units, show
from parts.engineering.solids.shapes import SHAPES


def _text(row, units: Units | None) -> str:
    """A size as it was written; in the other system, turned into the units people use."""
    written = row.unit in CUSTOMARY
    if row.quantity != "length" or units is None or written == (units.length == "in"):
        return shown_written(row.written, row.unit)
    return " ".join(show(row.value, "mm", units))


def _spacing(row, units: Units | None) -> str:
    """How far apart several are, in the units of the sheet, else of the engine."""
    if not row.set_out:
        return ""
    return " ".join(show(row.spacing_mm, "mm", units or row.engine.units))


def pieces_of(rows, units: Units | None = None) -> list[Piece]:
    """Shapes with their sizes, as `svg.sketch` draws them; those that lack a size are left out.

    Args:
        rows: Rows of Body with `sizes` and their measurements fetched.
        units: Of the sheet; None leaves every size as it was written.
    """
    found = []
    for row in rows:
        shape = SHAPES.get(row.shape)
        if shape is None:
            continue
        measures = {one.key: one.measurement for one in row.sizes.all()}
        sizes = dict.fromkeys(shape.optional, 0.0)
        sizes |= {key: m.value for key, m in measures.items()}
        try:
            if set(sizes) < set(shape.sizes):
                continue
            shape.check(sizes)
        except EngineeringError:
            continue
        texts = {key: _text(measures[key], units) for key in shape.sizes if key in measures}
        at = (row.at_x_mm, row.at_y_mm, row.at_z_mm)
        apart = _spacing(row, units)
        set_out = (row.set_out, row.spacing_mm, apart)
        found.append(Piece(row.shape, sizes, texts, row.away, at, row.along, row.times, *set_out))
    return found


def sketch_of(
    rows,
    material: str,
    units: Units | None = None,
    *,
    width: float = 342.0,
    letter: float = 12.5,
) -> Markup:
    """The sketch of a part from its shapes; nothing where there are none."""
    return part_sketch(pieces_of(rows, units), material, width=width, letter=letter)
