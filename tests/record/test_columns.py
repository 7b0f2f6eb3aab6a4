"""Each editable column is declared open, money, place or personal, and is withheld by that."""

import copy
from datetime import date

import pytest
from django.apps import apps
from django.db import models

from parts.engine.models import Ownership
from parts.lifting.models import Lift
from parts.people.models import HoursGiven
from parts.photos.actions import photos
from parts.photos.models import Photo
from parts.record.access import HIDDEN, Role
from parts.record.actions import saving
from parts.record.models import Engine, Find, column
from parts.record.models.column import Kind
from parts.workshop.metal.models import MetalLot
from tests import make

pytestmark = pytest.mark.django_db
DAY = date(2026, 3, 1)


def undeclared(model) -> list[str]:
    fields = [*model._meta.local_fields, *model._meta.local_many_to_many]
    return [
        f"{model.__name__}.{f.name}"
        for f in fields
        if f.editable and not f.auto_created and column.kind_of(f) is None
    ]


def test_every_editable_column_is_declared():
    rows = apps.get_app_config("parts").get_models()
    assert not [name for model in rows for name in undeclared(model)]


def test_a_column_that_nobody_declared_is_noticed():
    class Cart(models.Model):
        name = column.open(models.CharField(max_length=9))
        stands_at = models.CharField(max_length=9)

        class Meta:
            app_label = "tests"

        def __str__(self):
            return self.name

    assert undeclared(Cart) == ["Cart.stands_at"]


def test_declaring_leaves_the_column_as_it_was_for_migrations():
    plain, declared = models.TextField(blank=True), column.place(models.TextField(blank=True))
    assert plain.deconstruct()[1:] == declared.deconstruct()[1:]
    assert column.kind_of(copy.deepcopy(declared)) == Kind.PLACE


def test_a_measure_is_three_columns_declared_alike():
    depth = [Find._meta.get_field(f"depth_{end}") for end in ("written", "unit", "mm")]
    assert [column.kind_of(field) for field in depth] == [Kind.PLACE] * 3
    assert [field.editable for field in depth] == [True, False, False]
    assert str(Find._meta.get_field("mass_written").verbose_name) == "mass"


def test_a_measure_is_read_in_the_units_of_its_engine():
    engine = Engine(length_unit="mm", mass_unit="kg")
    assert Find.mass.columns("2 lb", engine) == {
        "mass_written": "2 lb",
        "mass_unit": "lb",
        "mass_kg": pytest.approx(0.90718474),  # the international pound, exact by definition
    }
    assert Engine.pressure.columns("5", engine)["pressure_kpa"] == 500.0
    assert Lift.extra.columns("", engine) == {"extra_written": "", "extra_unit": "", "extra_kg": 0}


@pytest.fixture
def find():
    return make.find(make.engine(), where_found="Square D3", looks_like="lever")


def test_places_are_withheld_however_they_are_read(find):
    with column.unknown_viewer():
        row = Find.objects.get(pk=find.pk)
        assert (row.where_found, row.looks_like) == ("", "lever")
        assert list(Find.objects.values_list("where_found", "looks_like")) == [("", "lever")]
        assert Find.objects.annotate(lay=models.F("where_found")).get().lay == ""
    assert Find.objects.get(pk=find.pk).where_found == "Square D3"


def test_whoever_may_see_places_reads_them_and_nobody_after(find):
    with column.unknown_viewer():
        column.let_see(frozenset(), None)
        assert Find.objects.get(pk=find.pk).where_found == "Square D3"
    with column.unknown_viewer():
        assert Find.objects.get(pk=find.pk).where_found == ""


def test_personal_columns_are_told_to_those_who_wrote_them(find):
    helper, other = make.user(), make.user()
    for person in (helper, other):
        row = HoursGiven(engine=find.engine, person=f"P{person.pk}", day=DAY, hours=2, work="site")
        saving.add(row, by=person)
    with column.unknown_viewer():
        column.let_see(HIDDEN[Role.HELPER], helper.pk)
        assert {row.person for row in HoursGiven.objects.all()} == {"", f"P{helper.pk}"}


def test_a_row_that_was_passed_tells_what_it_was_passed_for(find):
    of = {"by": None, "find": find}
    shown = photos.take_in(find.engine, make.upload(), caption="Lever", may_go_out=True, **of)
    kept = photos.take_in(find.engine, make.upload(colour="red"), caption="By the brook", **of)
    owner = saving.add(Ownership(engine=find.engine, who="Trust", since=DAY), by=None)
    ground = Ownership(engine=find.engine, who="Farmer", since=DAY, right="ground")
    saving.add(ground, by=None)
    with column.unknown_viewer():
        assert Photo.objects.get(pk=shown.pk).caption == "Lever"
        assert Photo.objects.get(pk=kept.pk).caption == ""
        assert Ownership.objects.get(pk=owner.pk).who == "Trust"
        assert Ownership.objects.get(pk=ground.pk).who == ""


def test_what_is_withheld_is_not_lost_in_the_history(find):
    with column.unknown_viewer():
        saving.remove(Find.objects.get(pk=find.pk), by=None)
    assert find.engine.changes.get(kind="find", verb="removed").before["where_found"] == "Square D3"


def test_rows_of_the_stores_are_places_as_a_whole():
    assert column.is_place(MetalLot)
    assert not column.is_place(Find)


def test_every_order_of_rows_leaves_no_tie():
    """Databases put rows that are alike in their order in any order, and another the next time."""
    for model in apps.get_app_config("parts").get_models():
        order = {name.removeprefix("-") for name in model._meta.ordering}
        unique = [set(c.fields) for c in model._meta.constraints if hasattr(c, "fields")]
        # An engine lists its own rows.
        decided = any(fields - {"engine"} <= order for fields in unique)
        assert not order or "pk" in order or decided, model
