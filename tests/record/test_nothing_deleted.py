"""Rows of the record are marked, never deleted: what was taken off or replaced is still there."""

import ast
from pathlib import Path

import pytest
from django.apps import apps
from django.conf import settings
from django.db import models

from parts.forecast.models import PlanPoint
from parts.lifting import actions as lifting_actions
from parts.lifting.models import LiftLoad
from parts.record.models import Change
from parts.record.models.base import Record
from parts.workshop.shapes import actions as shapes_actions
from parts.workshop.shapes.models import BodySize
from tests import make

pytestmark = pytest.mark.django_db


def test_a_part_taken_off_a_lift_is_marked_and_can_be_hung_again():
    engine = make.engine()
    lead, part = make.member(engine, "lead"), make.part(engine, 3)
    lift = make.lift(engine, (part, 2), by=lead)
    lifting_actions.remove_load(lift, part, by=lead)
    assert not lift.loads.exists()
    gone = LiftLoad.everything.get()
    assert (gone.pieces, gone.made_by) == (2, lead)
    assert gone.removed_at is not None
    lifting_actions.set_load(lift, part, 3, by=lead)
    assert [load.pieces for load in lift.loads.all()] == [3]
    assert LiftLoad.everything.count() == 2


def test_the_sizes_that_a_shape_had_are_marked_and_told_in_its_history():
    part = make.part(make.engine())
    lead = make.member(part.engine, "lead")
    body = make.body(part, "cylinder", {"diameter": 100.0, "length": 50.0}, by=lead)
    kept = body.sizes.get(key="length").measurement
    sizes = {"diameter": make.measurement(part, 90.0), "length": kept}
    shapes_actions.change_body(body, {}, seen=body.version, by=lead, sizes=sizes)
    assert body.sizes.count() == 2
    assert BodySize.everything.filter(body=body, removed_at__isnull=False).count() == 2
    told = Change.objects.filter(kind="body", verb="changed").get()
    assert "100 mm" in told.before["sizes"]
    assert "90 mm" in told.after["sizes"]


def test_every_model_of_the_record_can_be_marked_and_none_goes_with_another():
    """But for the points of a plan, which is frozen whole, and the history itself."""
    own = [m for m in apps.get_app_config("parts").get_models() if m._meta.managed]
    bare = {m for m in own if not issubclass(m, Record)}
    assert bare == {PlanPoint, Change}
    for model in set(own) - bare:
        for field in model._meta.concrete_fields:
            if field.is_relation:
                assert field.remote_field.on_delete is not models.CASCADE, field


def test_no_action_and_no_screen_deletes_rows():
    """`delete` is called on the store of files alone, and where the demonstration is cleared."""
    found = set()
    for path in Path(settings.BASE_DIR, "parts").rglob("*.py"):
        if "migrations" in path.parts or path.name == "clearing.py":
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Attribute) and node.attr in ("delete", "_raw_delete"):
                found.add(ast.unparse(node.value))
    assert found <= {"default_storage"}
