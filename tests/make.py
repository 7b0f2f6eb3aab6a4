"""Factories: functions that make a row with sensible values, each of which can be given.

They write through the actions where people do, so that what they make has its history.
"""

import io
from datetime import date
from decimal import Decimal
from itertools import count

from django.contrib.auth import get_user_model
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from parts.care.models import Measurement
from parts.drawings import actions as drawings_actions
from parts.drawings.models import Balloon, Drawing
from parts.lifting import actions as lifting_actions
from parts.lifting.models import Gear, Lift
from parts.money.models import CostAmount, CostItem
from parts.record.actions import entries, saving
from parts.record.models import Component, Engine, Find, Job, Membership, Part
from parts.workshop.bars import actions as bar_acts
from parts.workshop.bars.models import Bar, BarBlank, CutPlan
from parts.workshop.bars.queries.plan import live_plan
from parts.workshop.bearings import actions as bearings_actions
from parts.workshop.bearings.models import Bearing
from parts.workshop.fasteners.models import Fastener, Quote
from parts.workshop.metal import actions as metal_actions
from parts.workshop.metal.models import Crucible, MetalLot, MetalMove
from parts.workshop.patterns import actions as patterns_actions
from parts.workshop.patterns.models import PatternFace
from parts.workshop.pours.actions import pours
from parts.workshop.pours.models import Pour
from parts.workshop.shapes import actions as shapes_actions
from parts.workshop.shapes.models import Body

FIRST_DAY = date(2026, 1, 10)
_number = count(1)


def user(name: str = "", **fields):
    name = name or f"person{next(_number)}"
    return get_user_model().objects.create_user(
        username=name,
        password=fields.pop("password", "a-long-word-9"),
        first_name=fields.pop("first_name", name.title()),
        **fields,
    )


def member(engine: Engine, role: str, name: str = ""):
    person = user(name or f"{role}{next(_number)}")
    Membership.objects.create(engine=engine, user=person, role=role)
    return person


def engine(**fields) -> Engine:
    fields = {"name": f"Engine {next(_number)}", "kind": "horizontal_slide_valve"} | fields
    return Engine.objects.create(**fields)


def component(engine: Engine, **fields) -> Component:
    number = next(_number)
    fields = {"number": number, "name": f"Component {number}"} | fields
    return Component.objects.create(engine=engine, **fields)


def part(engine: Engine, quantity: int = 1, **fields) -> Part:
    number = next(_number)
    fields = {"item": 20_000 + number, "name": f"Part {number}", "material": "cast_iron"} | fields
    if "component" not in fields:
        fields["component"] = engine.components.first() or component(engine)
    return Part.objects.create(engine=engine, quantity=quantity, **fields)


def find(engine: Engine, quantity: int = 1, by=None, **fields) -> Find:
    fields = {"day": FIRST_DAY, "tag": f"T-{next(_number):04}"} | fields
    return saving.add(Find(engine=engine, quantity=quantity, **fields), by=by)


def found(part: Part, pieces: int = 1, day: date = FIRST_DAY, by=None) -> Find:
    """A find that is identified as the part on the same day."""
    row = find(part.engine, quantity=pieces, day=day, by=by)
    entries.identify(row, part, pieces, day=day, by=by)
    return row


def job(part: Part, route: str = "cast", pieces: int = 1, day=FIRST_DAY, by=None) -> Job:
    return entries.decide(part, route, pieces, day=day, by=by)


def measurement(part: Part, value: float, sure: float | None = None, **fields) -> Measurement:
    """A length of a part in mm, right to `sure` mm; quantity="count" for a count."""
    fields = {"what": f"Size {next(_number)}", "day": FIRST_DAY, "unit": "mm"} | fields
    row = Measurement(engine=part.engine, part=part, written=f"{value:g} mm", value=value, **fields)
    if sure is not None:
        row.plus_or_minus, row.plus_or_minus_value = f"{sure:g} mm", sure
    return saving.add(row, by=None)


def body(part: Part, shape: str, sizes: dict, by=None, **fields) -> Body:
    """A shape of a part; each size is in mm, or a Measurement."""
    rows = {
        key: size if isinstance(size, Measurement) else measurement(part, size)
        for key, size in sizes.items()
    }
    return shapes_actions.add_body(
        Body(engine=part.engine, part=part, shape=shape, **fields), rows, by=by
    )


def face(part: Part, size: Measurement, kind: str = "boss", **fields) -> PatternFace:
    """A size on the pattern sheet; `allowance_mm` and `contraction_percent` are own figures."""
    row = PatternFace(engine=part.engine, part=part, kind=kind, **fields)
    return patterns_actions.add_face(row, {"finished": size}, by=None)


def bearing(part: Part, sizes: dict, **fields) -> Bearing:
    """A poured bearing; each size is in mm."""
    rows = {key: measurement(part, size, what=key) for key, size in sizes.items()}
    return bearings_actions.add_bearing(
        Bearing(engine=part.engine, part=part, **fields), rows, by=fields.pop("by", None)
    )


def cost(engine: Engine, heading: str = "castings", *amounts, **fields) -> CostItem:
    """A cost item; each amount is (basis, day, figure) or (basis, day, low, likely, high)."""
    fields = {"what": f"Cost {next(_number)}"} | fields
    item = CostItem.objects.create(engine=engine, heading=heading, **fields)
    for basis, day, *figures in amounts:
        low, likely, high = figures if len(figures) == 3 else figures * 3
        CostAmount.objects.create(
            item=item,
            basis=basis,
            day=day,
            low=Decimal(low),
            likely=Decimal(likely),
            high=Decimal(high),
        )
    return item


def lot(engine: Engine, kg: float = 10.0, day=FIRST_DAY, by=None, **fields) -> MetalLot:
    """A lot of the metal store with so much in it. Old bronze bushes unless said otherwise."""
    fields = {"name": f"Lot {next(_number)}", "material": "bronze"} | fields
    if not {"scrap_key", "percent"} & set(fields):
        fields["scrap_key"] = "bushes"
    move = MetalMove(day=day, kg=kg, written=f"{kg:g} kg", unit="kg", reason="Bought")
    return metal_actions.new_lot(MetalLot(engine=engine, **fields), move if kg else None, by=by)


def crucible(engine: Engine, carries_kg: float = 12.0, **fields) -> Crucible:
    fields = {"name": f"No. {next(_number)}"} | fields
    return saving.add(Crucible(engine=engine, carries_kg=carries_kg, **fields), by=None)


def pour(engine: Engine, *castings, metal="C93200", pot=None, by=None, **fields) -> Pour:
    """A planned pour; each casting is (job, pieces, mass poured for one)."""
    pot = pot or crucible(engine)
    row = Pour(engine=engine, metal=metal, crucible=pot, **fields)
    return pours.plan(row, castings, by=by)


def gear(engine: Engine, kind: str = "chain", kg: float | None = 1000.0, by=None, **fields) -> Gear:
    """A piece of gear, inspected in the first days of the record and in date for long."""
    fields = {
        "name": f"Gear {next(_number)}",
        "how_many": 4,
        "inspected_on": FIRST_DAY,
        "inspect_by": date(2099, 1, 1),
    } | fields
    if kg is not None:
        fields = {"rated_written": f"{kg:g} kg", "rated_unit": "kg", "rated_kg": kg} | fields
    if kind in Gear.SLINGS:
        fields = {"rated_legs": 1} | fields
    return saving.add(Gear(engine=engine, kind=kind, **fields), by=by)


def lift(engine: Engine, *loads, by=None, **fields) -> Lift:
    """A planned lift, two legs at 60 degrees; each load is (part, pieces)."""
    fields = {"name": f"Lift {next(_number)}", "legs": 2, "angle_deg": 60.0} | fields
    row = lifting_actions.add_lift(Lift(engine=engine, **fields), by=by)
    for part, pieces in loads:
        lifting_actions.set_load(row, part, pieces, by=by)
    return row


def _length(name: str, mm: float) -> dict:
    return {f"{name}_written": f"{mm:g} mm", f"{name}_unit": "mm", f"{name}_mm": mm}


def fastener(part: Part, series: str = "", size: str = "", by=None, **fields) -> Fastener:
    """What a fastener is; `length`, `crest` and `flats` are in mm."""
    for name in ("length", "crest", "flats"):
        if name in fields:
            fields |= _length(name, fields.pop(name))
    row = Fastener(engine=part.engine, part=part, series=series, size=size, **fields)
    return saving.add(row, by=by)


def quote(part: Part, each="4.20", by=None, **fields) -> Quote:
    fields = {"supplier": "A supplier", "day": FIRST_DAY} | fields
    fields = {k: Decimal(v) if k == "carriage" else v for k, v in fields.items()}
    return saving.add(Quote(engine=part.engine, part=part, each=Decimal(each), **fields), by=by)


def bar(engine: Engine, bars: int = 0, across=22.0, length=3000.0, price=None, by=None, **fields):
    """A length that can be bought or, with `bars`, bars in the store. Sizes in mm."""
    row = Bar(
        engine=engine,
        in_store=bool(bars) or fields.pop("in_store", False),
        price=None if price is None else Decimal(price),
        **({"material": "steel"} | fields | _length("across", across) | _length("length", length)),
    )
    return bar_acts.add_bar(row, bars, day=FIRST_DAY, by=by)


def blank(job: Job, across=22.0, length=100.0, by=None, **fields) -> BarBlank:
    """The blank of a job. Sizes in mm."""
    sizes = _length("across", across) | _length("length", length)
    return saving.add(BarBlank(engine=job.engine, job=job, **sizes, **fields), by=by)


def cut_plan(engine: Engine, by=None) -> CutPlan:
    """A small cutting list that is drawn up: one piece out of one bar to buy."""
    row = job(part(engine, material="steel"), "machine", by=by)
    blank(row, across=15.0, by=by)
    bar(engine, across=15.0, length=500.0, price="5", by=by)
    plan = live_plan(engine, 3.0)
    return bar_acts.save_cutting_list(
        engine, plan.cutting, kerf_mm=3.0, end_trim_mm=0.0, day=FIRST_DAY, by=by
    )


def drawing(engine: Engine, by=None, **fields) -> Drawing:
    """A sheet of one's own, drawn on a small picture."""
    fields = {"name": f"Sheet {next(_number)}"} | fields
    return drawings_actions.add_sheet(Drawing(engine=engine, **fields), upload(), by=by)


def balloon(drawing: Drawing, of: Part | Component, x=0.5, y=0.5, by=None) -> Balloon:
    """A balloon of a sheet that points at a place in parts of its width and height."""
    row = Balloon(engine=drawing.engine, drawing=drawing, x=x, y=y, **{of._meta.model_name: of})
    return drawings_actions.add_balloon(row, by=by)


def upload(name: str = "picture.jpg", size=(64, 48), colour="grey") -> SimpleUploadedFile:
    """A small real picture, as a browser sends it."""
    out = io.BytesIO()
    Image.new("RGB", size, colour).save(out, "JPEG")
    return SimpleUploadedFile(name, out.getvalue(), "image/jpeg")
