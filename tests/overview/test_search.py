"""Part, tag or person."""

import pytest
from django.urls import reverse

from parts.people.models import HoursGiven
from parts.record.actions import saving
from tests import make

pytestmark = pytest.mark.django_db


@pytest.fixture
def engine(client):
    engine = make.engine(name="Mill engine", tag_prefix="ME")
    client.force_login(make.member(engine, "reader"))
    return engine


def search(client, engine, asked):
    return client.get(reverse("parts:search", args=[engine.pk]), {"q": asked})


def found(client, engine, asked):
    result = search(client, engine, asked).context["found"]
    return (
        [row.name for row in result.parts],
        [row.tag for row in result.finds],
        [row.name for row in result.people],
    )


def test_a_part_is_found_by_its_item_its_name_or_both(client, engine):
    make.part(engine, item=11, name="Connecting rod")
    make.part(engine, item=111, name="Piston rod")
    assert found(client, engine, "11")[0] == ["Connecting rod"]
    assert found(client, engine, "ROD")[0] == ["Connecting rod", "Piston rod"]
    assert found(client, engine, "rod piston")[0] == ["Piston rod"]
    assert found(client, engine, "11 Connecting rod")[0] == ["Connecting rod"]


def test_a_tag_typed_exactly_opens_its_find(client, engine):
    find = make.find(engine, tag="ME-0032")
    assert search(client, engine, " me-0032 ")["Location"] == find.get_absolute_url()
    assert found(client, engine, "0032")[1] == ["ME-0032"]


def test_a_tag_that_two_finds_carry_shows_both(client, engine):
    make.find(engine, tag="ME-0032", looks_like="lever")
    make.find(engine, tag="ME-0032", looks_like="bolt")
    assert found(client, engine, "ME-0032")[1] == ["ME-0032", "ME-0032"]


def test_a_find_is_found_by_what_it_looks_like_but_not_by_where_it_lay(client, engine):
    make.find(engine, tag="ME-0001", looks_like="bent lever", where_found="Square D3")
    assert found(client, engine, "bent")[1] == ["ME-0001"]
    assert found(client, engine, "D3") == ([], [], [])


def test_a_person_is_found_with_what_they_did(client, engine):
    make.member(engine, "helper", "priya")
    make.find(engine, found_by="P. Nandan")
    make.find(engine, found_by="P. Nandan")
    hits = search(client, engine, "nandan").context["found"].people
    assert [(h.name, h.did) for h in hits] == [("P. Nandan", ["2 finds"])]
    assert found(client, engine, "priya")[2] == ["Priya"]


def test_days_of_hours_are_counted_once_and_shown_to_the_quarter(client, engine):
    client.force_login(make.member(engine, "lead"))
    for work, hours in (("site", "2.25"), ("lifting", "0.5")):
        HoursGiven.objects.create(
            engine=engine, person="P. Nandan", day=make.FIRST_DAY, hours=hours, work=work
        )
    hits = search(client, engine, "nandan").context["found"].people
    assert [h.did for h in hits] == [["1 day of hours"]]
    page = client.get(reverse("parts:hours", args=[engine.pk])).content.decode()
    assert ">2.25<" in page
    assert ">2.75 h<" in page


def test_whoever_gave_hours_is_found_only_by_those_who_may_see_it(client, engine):
    row = HoursGiven(engine=engine, person="A. Sorley", day=make.FIRST_DAY, hours=2, work="site")
    saving.add(row, by=None)
    assert found(client, engine, "sorley")[2] == []
    client.force_login(make.member(engine, "lead"))
    assert found(client, engine, "sorley")[2] == ["A. Sorley"]


def test_nothing_found_and_nothing_asked_are_said_in_words(client, engine):
    page = search(client, engine, "xyzzy").content.decode()
    assert "Nothing has “xyzzy”" in page
    assert "ME-0032" in search(client, engine, "").content.decode()


def test_what_belongs_to_another_engine_is_not_found(client, engine):
    other = make.engine()
    make.part(other, name="Hidden rod")
    make.find(other, tag="ZZ-0001", looks_like="Hidden lever", found_by="Hidden man")
    assert found(client, engine, "hidden") == ([], [], [])
    assert search(client, engine, "ZZ-0001").status_code == 200


def test_a_search_is_limited_and_takes_as_many_queries_however_much_it_finds(
    client, engine, django_assert_num_queries, django_assert_max_num_queries
):
    def fill(n):
        for _ in range(n):
            make.part(engine, name="Rod bolt")
            make.find(engine, looks_like="Rod bolt")

    fill(50)
    search(client, engine, "rod")
    with django_assert_max_num_queries(20) as few:
        search(client, engine, "rod")
    fill(50)
    with django_assert_num_queries(len(few)):
        page = search(client, engine, "rod")
    result = page.context["found"]
    assert (len(result.parts), len(result.finds)) == (20, 20)
    assert result.more_parts
    assert result.more_finds


@pytest.mark.parametrize("asked", ["²", "٣", "12 ²", "² rod", "9" * 5000, "9" * 19])
def test_signs_that_only_look_like_a_number_find_nothing_and_are_no_fault(client, engine, asked):
    make.part(engine, item=3, name="Connecting rod")
    assert found(client, engine, asked[:80]) == ([], [], [])
    listed = client.get(reverse("parts:part_list", args=[engine.pk]), {"q": asked})
    assert listed.status_code == 200


@pytest.mark.parametrize("pk", ["²", "٣", "-1", "9" * 18, "9" * 19, "9" * 5000, "1_0", "%00"])
def test_an_address_with_no_number_of_a_row_leads_to_nothing(client, engine, pk):
    person = make.member(engine, "lead")
    client.force_login(person)
    part = make.part(engine)
    new = reverse("parts:note_new", args=[engine.pk])
    assert client.get(f"{new}?part={part.pk}").status_code == 200
    assert client.get(f"{new}?part={pk}").status_code == 404
    for address in (f"/engines/{pk}/", f"/engines/{engine.pk}/parts/{pk}/"):
        assert client.get(address).status_code == 404
