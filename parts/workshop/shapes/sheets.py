"""The sketch of a part from its shapes."""

from parts.care.queries import CUSTOMARY, shown_written
from parts.drafting.pen import Markup
from parts.drafting.sketch import Piece, part_sketch
from parts.engineering.errors import EngineeringError
from parts.engineering.measures import Units, show
from parts.engineering.solids.shapes import SHAPES


def _text(row, units: Units | None) -> str:
    """Return a size as entered, converted if it was entered in the other system of units."""
    written = row.unit in CUSTOMARY
    if row.quantity != "length" or units is None or written == (units.length == "in"):
        return shown_written(row.written, row.unit)
    return " ".join(show(row.value, "mm", units))


def _spacing(row, units: Units | None) -> str:
    """Return the spacing of repeated shapes, in the units of the sheet, else of the engine."""
    if not row.set_out:
        return ""
    return " ".join(show(row.spacing_mm, "mm", units or row.engine.units))


def pieces_of(rows, units: Units | None = None) -> list[Piece]:
    """Return shapes as pieces for `drafting.sketch`; those that lack a size are left out.

    Args:
        rows: Rows of Body with `sizes` and their measurements fetched.
        units: The units of the sheet; None leaves every size as entered.
    """
    pieces = []
    for row in rows:
        shape = SHAPES.get(row.shape)
        if shape is None:
            continue
        measures = {size.key: size.measurement for size in row.sizes.all()}
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
        spacing = _spacing(row, units)
        set_out = (row.set_out, row.spacing_mm, spacing)
        pieces.append(Piece(row.shape, sizes, texts, row.away, at, row.along, row.times, *set_out))
    return pieces


def sketch_of(
    rows,
    material: str,
    units: Units | None = None,
    *,
    width: float = 342.0,
    letter: float = 12.5,
) -> Markup:
    """Return the sketch of a part from its shapes; empty when it has none."""
    return part_sketch(pieces_of(rows, units), material, width=width, letter=letter)
