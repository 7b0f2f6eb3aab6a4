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

from parts.actions import facts, record
from parts.models import (
    Component,
    CostAmount,
    CostItem,
    Engine,
    Find,
    Making,
    Membership,
    Part,
)

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
    fields = {"item": number, "name": f"Part {number}", "material": "cast_iron"} | fields
    if "component" not in fields:
        fields["component"] = engine.components.first() or component(engine)
    return Part.objects.create(engine=engine, quantity=quantity, **fields)


def find(engine: Engine, quantity: int = 1, by=None, **fields) -> Find:
    fields = {"day": FIRST_DAY, "tag": f"T-{next(_number):04}"} | fields
    return record.add(Find(engine=engine, quantity=quantity, **fields), by=by)


def found(part: Part, pieces: int = 1, day: date = FIRST_DAY, by=None) -> Find:
    """A find that is identified as the part on the same day."""
    row = find(part.engine, quantity=pieces, day=day, by=by)
    facts.identify(row, part, pieces, day=day, by=by)
    return row


def making(part: Part, route: str = "cast", pieces: int = 1, day=FIRST_DAY, by=None) -> Making:
    return facts.decide(part, route, pieces, day=day, by=by)


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


def upload(name: str = "picture.jpg", size=(64, 48), colour="grey") -> SimpleUploadedFile:
    """A small real picture, as a browser sends it."""
    out = io.BytesIO()
    Image.new("RGB", size, colour).save(out, "JPEG")
    return SimpleUploadedFile(name, out.getvalue(), "image/jpeg")
