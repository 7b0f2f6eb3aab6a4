"""Days and numbers that no engine ever sees are refused where they are typed."""

import pytest
from django.urls import reverse

from parts.forecast.models import Plan
from parts.people.models import HoursGiven
from parts.record.models import Find, Part
from tests import make

pytestmark = pytest.mark.django_db

FAR = ["0001-01-01", "1699-12-31", "2200-01-01", "9999-12-31"]
HUGE = ["100000", "2147483648", "9223372036854775807", "9" * 30]


@pytest.fixture
def send(engine, lead, client):
    def send(name, sent, *args):
        return client.post(reverse(f"parts:{name}", args=[engine.pk, *args]), sent)

    return send


@pytest.mark.parametrize("day", FAR)
def test_a_day_that_no_engine_saw_is_refused_in_words(send, engine, day):
    hours = {"person": "A", "hours": "2", "work": "site"}
    page = send("hours_new", hours | {"day": day}).content.decode()
    if day < "2026":
        assert "Give a day between 1700 and 2199" in page
    assert f'value="{day}"' in page
    assert not HoursGiven.objects.exists()
    report = {"title": "R", "first_day": day, "last_day": "2026-01-31"}
    assert send("report_new", report).status_code == 200
    plan = {"name": "P", "frozen_on": "2026-01-01"}
    point = f"{day}; 1; 1; 1"
    assert send("plan_new", plan | {"lines": point}).status_code == 200
    assert not Plan.objects.exists()


@pytest.mark.parametrize("figure", ["NaN", "sNaN", "Infinity", "-1", "1e99", "²"])
def test_a_figure_of_a_plan_is_a_plain_number(send, figure):
    plan = {"name": "P", "frozen_on": "2026-01-01", "lines": f"2026-01-01; 1; {figure}; 1"}
    page = send("plan_new", plan)
    assert "Line 1" in page.content.decode()
    assert not Plan.objects.exists()


@pytest.mark.parametrize("number", HUGE)
def test_a_number_beyond_counting_is_refused(send, engine, client, number):
    component = make.component(engine)
    part = {"item": "5", "name": "Stud", "material": "steel", "component": component.pk}
    send("part_new", part | {"quantity": number})
    send("part_new", part | {"item": number, "quantity": "1"})
    find = {"looks_like": "Stud", "quantity": number, "day": "2026-01-10"}
    send("find_new", find)
    assert not Part.objects.exists()
    assert not Find.objects.exists()
    row, found = make.part(engine, 3), make.find(engine, 3)
    identify = {"part": row.pk, "pieces": number, "day": "2026-01-10"}
    assert send("identify", identify, found.pk).status_code == 200
    assert client.get(reverse("parts:part_list", args=[engine.pk])).status_code == 200


@pytest.mark.parametrize("photo", ["9223372036854775808", "9" * 40, "-1", "x", "²"])
def test_a_photo_that_cannot_be_is_refused_in_words(client, photo):
    engine = make.engine()
    client.force_login(make.member(engine, "lead"))
    sent = {"title": "To funders", "first_day": "2026-03-01", "last_day": "2026-03-31"}
    page = client.post(reverse("parts:report_new", args=[engine.pk]), sent | {"photos": photo})
    assert page.status_code == 200
    assert "photos" in page.context["form"].errors
