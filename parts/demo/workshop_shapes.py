"""Shapes, patterns, two bearings, ways that were weighed, and the steam of the sawmill engine.

All of it is invented, and agrees with the measures that the story tells already.
"""

from datetime import date, timedelta
from decimal import Decimal

from parts.care.models import Measurement
from parts.decide import actions as decide_actions
from parts.decide.models import Option
from parts.engineering import measures
from parts.record.actions import saving
from parts.record.models import Engine, Part
from parts.workshop.bearings import actions as bearings_actions
from parts.workshop.bearings.models import Bearing
from parts.workshop.patterns import actions as patterns_actions
from parts.workshop.patterns.models import PatternFace
from parts.workshop.shapes import actions as shapes_actions
from parts.workshop.shapes.models import Body

from .workshop_sizes import AS_MADE, BODIES, FACES, STRAP, Size

BEARINGS = (
    (
        1408,
        {
            "journal": Size(
                "Sheave, diameter", "13.500 in", "2 thou", 16, "J. Tarrant", "Micrometer"
            ),
            "shell": STRAP["bore"],
            "length": STRAP["length"],
        },
        {"halves": 2, "grade": "2", "note": "To be run in when the new strap is bored."},
    ),
    (
        1410,
        {
            "journal": Size(
                "Fork pin, diameter", "1 1/8 in", "1 thou", 70, "J. Tarrant", "Micrometer"
            ),
            "shell": Size(
                "Old bush, bored out to", "1 3/8 in", "1 thou", 64, "J. Tarrant", "Bore gauge"
            ),
            "length": Size("Length of the bush", "1 3/4 in", "1/64 in", 70, "J. Tarrant"),
        },
        {
            "halves": 1,
            "grade": "2",
            "poured_days": 61,
            "note": "The old bush was worn to a shell, so it was bored out, tinned and lined. The "
            "first pour was cold at the lip: melted out and poured again.",
        },
    ),
)
# item: (way, low, likely, high, hours, wants, note)
WAYS = {
    701: (
        ("search", 0, 0, 0, 24, "Two more days of good weather in D4",
         "Until 4 December, as was decided in the summer."),
        ("cast", 620, 1180, 1650, 60, "A pattern with a core box\nA better sketch of the inside",
         "Merrowdale Foundry, by telephone. The neck is the hard part."),
        ("fabricate", 340, 520, 800, 70, "A drawing", "It would never look right beside the rest."),
    ),
    1001: (
        ("search", 0, 0, 0, 24, "Two more days of good weather in D4", ""),
        ("cast", 700, 1150, 1500, 48, "A pattern with two core boxes", ""),
        ("borrow", 40, 80, 150, 6, "Leave from Cold Garth to measure theirs",
         "Only to measure and copy, never to run."),
    ),
}  # fmt: skip


def load(engine: Engine, people: dict, last_day: date) -> list:
    """Write shapes, pattern, bearings, ways and steam; return the rows that were written.

    Args:
        engine: The sawmill engine. Parts that it does not have are left out.
        people: Users by the name they sign with.
        last_day: The last day of the story.
    """
    by = people.get("M. Ellery")
    parts = {part.item: part for part in Part.objects.filter(engine=engine)}
    writing = _Writing(engine, last_day, people, by)
    written = []
    for item, shapes in BODIES.items():
        if item in parts:
            written += [writing.body(parts[item], shape) for shape in shapes]
    for item, sizes in AS_MADE.items():
        if item in parts:
            written += [writing.as_made(parts[item], *size) for size in sizes]
    for item, faces in FACES.items():
        if item in parts:
            written += [writing.face(parts[item], *face) for face in faces]
    for item, sizes, fields in BEARINGS:
        if item in parts:
            written.append(writing.bearing(parts[item], sizes, dict(fields)))
    for item, ways in WAYS.items():
        if item in parts:
            written += [writing.way(parts[item], *way) for way in ways]
    steam = {
        **Engine.pressure.columns("80 psi", engine),
        # No condenser: it exhausts to the air.
        **Engine.exhaust.columns("0 psi", engine),
        "cut_off": 0.6,
        "shop_rate": Decimal("22.00"),
    }
    saving.change(engine, steam, seen=engine.version, by=by)
    engine.refresh_from_db()
    return written


class _Writing:
    """Writes rows of one engine, taking up the measures that stand already."""

    def __init__(self, engine: Engine, last_day: date, people: dict, by):
        self.engine, self.last_day, self.people, self.by = engine, last_day, people, by

    def day(self, days: int) -> date:
        return self.last_day - timedelta(days=days)

    def measure(self, part: Part, size: Size) -> Measurement:
        """The measure of that name and text; a new one is not yet written."""
        known = Measurement.objects.filter(part=part, what=size.what, written=size.written)
        row = known.first()
        return row or self._new(part, size)

    def _new(self, part: Part, size: Size) -> Measurement:
        row = Measurement(
            engine=self.engine,
            part=part,
            what=size.what,
            written=size.written,
            nominal=size.nominal,
            instrument=size.instrument,
            day=self.day(size.days),
            who=size.who,
        )
        if size.count:
            row.quantity, row.value = Measurement.Quantity.COUNT, float(size.written)
            return row
        if size.angle:
            row.quantity = Measurement.Quantity.ANGLE
        read = (measures.read_angle if size.angle else measures.read_length)(size.written)
        row.unit, row.value = read.unit, read.value
        if size.sure:
            row.plus_or_minus = size.sure
            row.plus_or_minus_value = measures.read_length(size.sure).value
        return row

    def sizes(self, part: Part, sizes: dict[str, Size]) -> dict[str, Measurement]:
        return {key: self.measure(part, size) for key, size in sizes.items()}

    def body(self, part: Part, shape) -> Body:
        name, key, sizes, away, times, along, at, *set_out = shape
        row = Body(engine=self.engine, part=part, shape=key, name=name, away=away)
        row.times, row.along = times, along
        row.at_x_mm, row.at_y_mm, row.at_z_mm = at
        if set_out:
            row.set_out, row.spacing_mm = set_out[0]
        return shapes_actions.add_body(row, self.sizes(part, sizes), by=self.by)

    def as_made(self, part: Part, what: str, written: str) -> Measurement:
        size = Size(what, written, days=150, instrument="From the drawing room", nominal=True)
        return saving.add(self._new(part, size), by=self.by)

    def face(self, part: Part, size: Size, kind: str, allowance: str, draft, note) -> PatternFace:
        own = PatternFace.allowance.columns(allowance, self.engine)
        row = PatternFace(
            engine=self.engine, part=part, kind=kind, draft_deg=draft, note=note, **own
        )
        return patterns_actions.add_face(row, self.sizes(part, {"finished": size}), by=self.by)

    def bearing(self, part: Part, sizes: dict[str, Size], fields: dict) -> Bearing:
        poured = fields.pop("poured_days", None)
        row = Bearing(engine=self.engine, part=part, **fields)
        row.poured_on = self.day(poured) if poured is not None else None
        return bearings_actions.add_bearing(row, self.sizes(part, sizes), by=self.by)

    def way(self, part: Part, way: str, low, likely, high, hours, wants, note) -> Option:
        row = Option(
            engine=self.engine,
            part=part,
            way=way,
            low=Decimal(low),
            likely=Decimal(likely),
            high=Decimal(high),
            hours=Decimal(hours),
            wants=wants,
            note=note,
        )
        return decide_actions.add_option(row, by=self.by)
