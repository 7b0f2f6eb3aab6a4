"""The page of shapes and sizes, and the forms that fill it."""

import pytest

from parts.care.models import Measurement
from parts.workshop.shapes.models import Body
from tests import make
from tests.screens.asking import at

pytestmark = pytest.mark.django_db


SENT = {"name": "Shank", "times": 1, "along": "z", "measured_on": str(make.FIRST_DAY)}


def test_sizes_that_are_written_become_measures(client, engine, lead):
    part = make.part(engine, material="steel")
    address = at("body_new", engine, part.pk) + "?shape=bar"
    page = client.get(address).content.decode()
    assert "Plus or minus" in page
    sent = SENT | {
        "size_diameter": "1 1/2",
        "sure_diameter": "1/64",
        "size_length": "10 in",
        "instrument": "Micrometer",
        "measured_by": "Ned",
    }
    answer = client.post(address, sent)
    assert answer.url == at("bodies", engine, part.pk)
    row = Measurement.objects.get(what="Shank: diameter")
    assert (row.written, row.value, row.instrument, row.who) == ("1 1/2", 38.1, "Micrometer", "Ned")
    assert row.plus_or_minus_value == pytest.approx(25.4 / 64)
    page = client.get(answer.url).content.decode()
    assert "<svg" in page
    assert "Mass" in page
    assert "lb" in page
    metric = client.get(answer.url + "?units=metric").content.decode()
    assert " kg" in metric


def test_a_measure_can_be_picked_and_serves_twice(client, engine, lead):
    part = make.part(engine)
    length = make.measurement(part, 100, what="Length")
    sent = SENT | {"size_diameter": "50 mm", "pick_length": length.pk}
    client.post(at("body_new", engine, part.pk) + "?shape=bar", sent)
    body = Body.objects.get()
    assert body.sizes.get(key="length").measurement == length
    # Changing it keeps the measures that stand.
    address = at("body_edit", engine, body.pk)
    page = client.get(address).content.decode()
    assert f'value="{length.pk}" selected' in page
    diameter = body.sizes.get(key="diameter").measurement
    sent = SENT | {"name": "Boss", "pick_diameter": diameter.pk, "pick_length": length.pk}
    client.post(address, sent | {"seen": 1})
    body.refresh_from_db()
    assert body.name == "Boss"
    assert {one.measurement_id for one in body.sizes.all()} == {diameter.pk, length.pk}
    assert Measurement.objects.count() == 2


def test_what_contradicts_itself_is_told_and_nothing_is_lost(client, engine, lead):
    part = make.part(engine)
    sent = SENT | {"size_diameter": "40 mm", "size_bore": "50 mm", "size_length": "1 m"}
    page = client.post(at("body_new", engine, part.pk) + "?shape=tube", sent).content.decode()
    assert "The bore is as large as the outside" in page
    assert 'value="40 mm"' in page
    page = client.post(
        at("body_new", engine, part.pk) + "?shape=tube", sent | {"size_bore": ""}
    ).content.decode()
    assert "Give the bore" in page
    assert not Body.objects.exists()


def test_half_a_strap_is_written_down_and_drawn(client, engine, lead):
    part = make.part(engine, material="cast_iron")
    address = at("body_new", engine, part.pk) + "?shape=sector"
    assert 'value="180"' in client.get(address).content.decode()
    sent = SENT | {
        "name": "Strap",
        "along": "x",
        "size_diameter": "400 mm",
        "size_bore": "343 mm",
        "size_length": "64 mm",
        "size_angle": "180",
        "sure_angle": "1",
    }
    client.post(address, sent)
    angle = Measurement.objects.get(what="Strap: angle")
    assert (angle.quantity, angle.unit, angle.value) == ("angle", "deg", 180)
    page = client.get(at("bodies", engine, part.pk)).content.decode()
    assert "180°" in page
    assert "Ø 343 mm" in page


def test_several_that_are_set_out_need_how_far_apart(client, engine, lead):
    part = make.part(engine)
    address = at("body_new", engine, part.pk) + "?shape=bar"
    sent = SENT | {"size_diameter": "6 mm", "size_length": "10 mm", "times": 4, "set_out": "circle"}
    page = client.post(address, sent).content.decode()
    assert "Give the diameter of the circle" in page
    client.post(address, sent | {"spacing": "70 mm"})
    body = Body.objects.get()
    assert (body.set_out, body.spacing_mm) == ("circle", 70)
    client.post(
        at("body_edit", engine, body.pk),
        sent | {"set_out": "x", "spacing": "12 mm", "seen": body.version},
    )
    body.refresh_from_db()
    assert (body.set_out, body.spacing_mm) == ("x", 12)


def test_a_size_too_unsure_to_calculate_with_is_not_stored(client, engine, lead):
    part = make.part(engine)
    sent = SENT | {"size_diameter": "10 mm", "sure_diameter": "9 mm", "size_length": "100 mm"}
    page = client.post(at("body_new", engine, part.pk) + "?shape=bar", sent).content.decode()
    assert "too unsure to use" in page
    assert not Body.objects.exists()


def test_a_place_before_the_start_has_a_minus(client, engine, lead):
    part = make.part(engine)
    sent = SENT | {"size_diameter": "1 in", "size_length": "1 in", "at_x": "-2 in"}
    client.post(at("body_new", engine, part.pk) + "?shape=bar", sent)
    assert Body.objects.get().at_x_mm == pytest.approx(-50.8)


def test_a_shape_nobody_knows_leads_to_those_there_are(client, engine, lead):
    part = make.part(engine)
    answer = client.get(at("body_new", engine, part.pk) + "?shape=x")
    assert answer.url == at("bodies", engine, part.pk)


def test_the_page_takes_as_many_queries_however_many_shapes(
    client, engine, lead, django_assert_max_num_queries
):
    part = make.part(engine)
    for n in range(32):
        make.body(part, "bar", {"diameter": 20, "length": 100})
        if n in (1, 31):
            with django_assert_max_num_queries(8):
                assert client.get(at("bodies", engine, part.pk)).status_code == 200
