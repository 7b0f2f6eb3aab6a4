"""Shapes and sizes of a part: volume, mass, balance, wear. Worked by hand beside each."""

from math import pi, sqrt

import pytest

from parts.care.models import Measurement
from parts.record.actions import removing, saving
from parts.record.models import Change
from parts.workshop.jobs.queries.job import mass_of_part
from parts.workshop.jobs.queries.jobs import parts_to_make
from parts.workshop.shapes import actions as shapes_actions
from parts.workshop.shapes.models import Body
from parts.workshop.shapes.queries import shapes
from tests import make

pytestmark = pytest.mark.django_db


@pytest.fixture
def part():
    return make.part(make.engine(), material="cast_iron")


def test_a_bush_is_its_bar_less_its_bore(part):
    # A bar 60 mm across and 100 mm long, a bore of 40 mm through it, iron of 7200 kg/m3:
    # V = pi/4 x (60^2 - 40^2) x 100 = 157 080 mm3;  m = 157 080e-9 x 7200 = 1.13097 kg.
    length = make.measurement(part, 100)
    make.body(part, "bar", {"diameter": 60, "length": length})
    make.body(part, "bar", {"diameter": 40, "length": length}, away=True)
    sheet = shapes.body_sheet(part)
    assert sheet.solid.volume.value == pytest.approx(pi / 4 * 2000 * 100)
    assert sheet.mass.value == pytest.approx(1.13097, rel=1e-5)
    assert [w.value for w in sheet.solid.centre] == pytest.approx([0, 0, 50])
    assert [line.trouble for line in sheet.bodies] == ["", ""]


def test_one_measure_in_two_shapes_moves_both(part):
    # The length L = 100 ± 1 mm (u = 1/√3) stands in bar and bore alike, so
    # dV/dL = pi/4 x (60^2 - 40^2) = 1570.8 mm2 and u(V) = 1570.8/√3 = 906.9 mm3: the interval is
    # twice that either way. Two measures of their own would give √(2827.4² + 1256.6²)/√3 = 1786.
    length = make.measurement(part, 100, sure=1)
    make.body(part, "bar", {"diameter": 60, "length": length})
    make.body(part, "bar", {"diameter": 40, "length": length}, away=True)
    volume = shapes.body_sheet(part).solid.volume
    assert volume.high - volume.value == pytest.approx(2 * pi / 4 * 2000 / sqrt(3), rel=1e-6)


def test_the_given_says_who_measured_it_when_and_with_what(part):
    row = make.measurement(part, 60, what="Rim", instrument="Callipers", who="Ned")
    assert shapes.size_of(row).source == "Rim: 60 mm, Callipers, Ned, 10 Jan 2026"


def test_what_cannot_be_is_a_sentence_in_place_of_the_figure(part):
    make.body(part, "bar", {"diameter": 20, "length": 10})
    make.body(part, "bar", {"diameter": 40, "length": 10}, away=True)
    sheet = shapes.body_sheet(part)
    assert sheet.solid is None
    assert sheet.trouble.startswith("More is taken away than there is")
    missing = make.body(part, "tube", {"diameter": 20, "length": 10})
    line = next(x for x in shapes.body_sheet(part).bodies if x.row == missing)
    assert line.trouble == "The bore of the tube is missing."


def test_a_material_that_is_not_known_leaves_the_volume(part):
    make.body(part, "plate", {"width": 10, "thickness": 10, "length": 10})
    sheet = shapes.body_sheet(part, "not_known")
    assert sheet.volume.value == pytest.approx(1000)
    assert "not known" in sheet.trouble


def test_wear_is_as_made_less_as_found(part):
    # 50 ± 0.1 as made, 49.2 ± 0.1 as found: 0.8 mm is gone, ± √(0.01 + 0.01) = 0.1414 mm.
    make.measurement(part, 50, 0.1, what="Journal", nominal=True)
    make.measurement(part, 49.2, 0.1, what="journal")
    (wear,) = shapes.body_sheet(part).wear
    assert wear.calculation.value == pytest.approx(0.8)
    assert wear.calculation.high == pytest.approx(0.8 + sqrt(0.02))
    assert wear.calculation.verdict == "Smaller than made: 98.4 % of the size is left."


def test_wear_below_what_was_measured_is_not_told(part):
    make.measurement(part, 50, what="Journal", nominal=True)
    make.measurement(part, 49.95, 0.1, what="Journal")
    assert "No wear" in shapes.body_sheet(part).wear[0].calculation.verdict
    make.measurement(part, 50, what="Bore", nominal=True)
    make.measurement(part, 51, 0.1, what="Bore")
    assert "Larger than made" in shapes.body_sheet(part).wear[0].calculation.verdict


def test_the_mass_as_made_takes_the_sizes_as_made(part):
    # Found 18 mm, made 20 mm: the mass goes with the square, 20²/18².
    make.measurement(part, 20, what="Diameter", nominal=True)
    found = make.measurement(part, 18, what="Diameter")
    make.body(part, "bar", {"diameter": found, "length": 100})
    sheet = shapes.body_sheet(part)
    assert sheet.as_made.value / sheet.mass.value == pytest.approx(400 / 324)


def test_the_list_weighs_first_then_reckons_then_believes_what_was_typed(part):
    part.mass_kg = 3.0
    part.save()
    job = make.job(part)
    assert mass_of_part(part) == (3.0, "typed")
    make.body(part, "plate", {"width": 100, "thickness": 10, "length": 100})
    # 100 000 mm3 of iron at 7200 kg/m3 is 0.72 kg.
    assert mass_of_part(part) == (pytest.approx(0.72), "from its shapes")
    (line,) = parts_to_make(part.engine).lines
    assert (line.mass_kg, line.mass_from) == (pytest.approx(0.72), "from its shapes")
    # The same shape cast in bronze of 8800 kg/m3 is 0.88 kg.
    job.metal = "bronze"
    job.save()
    (line,) = parts_to_make(part.engine).lines
    assert line.mass_kg == pytest.approx(0.88)
    make.measurement(part, 0.8, what="Mass", quantity="mass")
    (line,) = parts_to_make(part.engine).lines
    assert (line.mass_kg, line.mass_from) == (0.8, "measured")


def test_a_size_that_was_changed_leaves_its_history_and_a_new_version(part):
    by = make.user()
    row = make.body(part, "bar", {"diameter": 20, "length": 100}, by=by)
    sizes = {one.key: one.measurement for one in row.sizes.all()}
    sizes["length"] = Measurement(
        engine=part.engine, part=part, what="L", written="90 mm", value=90, day=make.FIRST_DAY
    )
    changed = shapes_actions.change_body(row, {"name": ""}, seen=1, by=by, sizes=sizes)
    assert changed.version == 2
    told = Change.objects.filter(kind="body", verb="changed").get()
    assert told.before["sizes"] == "diameter 20 mm, length 100 mm"
    assert told.after["sizes"] == "diameter 20 mm, length 90 mm"
    with pytest.raises(saving.Clash):
        shapes_actions.change_body(
            Body.objects.get(pk=row.pk), {"name": "x"}, seen=1, by=by, sizes=sizes
        )


def test_a_measure_that_a_shape_rests_on_is_not_removed(part):
    length = make.measurement(part, 100)
    body = make.body(part, "bar", {"diameter": 20, "length": length})
    with pytest.raises(saving.Refused, match="calculated from this measure"):
        removing.remove(length, by=None, reason="wrong")
    removing.remove(body, by=None, reason="wrong")
    removing.remove(length, by=None, reason="wrong")


def test_volumes_take_one_query_however_many_parts(part, django_assert_num_queries):
    for n in range(33):
        one = make.part(part.engine) if n else part
        make.body(one, "bar", {"diameter": 20, "length": 100})
        if n in (2, 32):
            with django_assert_num_queries(1):
                assert len(shapes.volumes(part.engine)) == n + 1
