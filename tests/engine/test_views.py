"""The parts list, the page of a part, and components."""

from datetime import date

import pytest
from django.urls import reverse

from parts.care.models import ConditionNote, Measurement
from parts.engine.models import Proposal
from parts.record.actions import entries, saving
from parts.record.models import Component, Find, Part
from parts.record.queries.status import engine_counts
from tests import make
from tests.screens.asking import at, text

pytestmark = pytest.mark.django_db


def note(part, cls, day=date(2026, 2, 1), **more):
    return saving.add(
        ConditionNote(
            engine=part.engine, part=part, day=day, condition_class=cls, seen="Looked at.", **more
        ),
        by=None,
    )


# ---- The list ----


@pytest.fixture
def bolts_and_rod(engine):
    """Eight bolts of which five are found, a rod in place, and a brass to be made."""
    cylinder = make.component(engine, number=1, name="Cylinder")
    bed = make.component(engine, number=2, name="Bed")
    bolts = make.part(
        engine, 8, item=16, name="Foundation bolt", material="wrought_iron", component=bed
    )
    rod = make.part(engine, item=11, name="Connecting rod", material="steel", component=cylinder)
    brass = make.part(
        engine, 2, item=13, name="Main brass", material="bronze", component=bed, usual_route="cast"
    )
    make.found(bolts, 5)
    make.found(rod)
    entries.place(rod, 1, day=make.FIRST_DAY, by=None)
    make.job(brass, "machine", 2)
    note(rod, 3, date(2026, 2, 1))
    note(rod, 1, date(2026, 3, 1))
    return bolts, rod, brass


def names(response) -> list[str]:
    return [row.name for row in response.context["rows"]]


def test_the_list_shows_each_part_in_its_drawn_state_with_how_many_of_the_pieces(
    client, engine, lead, bolts_and_rod
):
    page = client.get(at("part_list", engine))
    assert names(page) == ["Connecting rod", "Main brass", "Foundation bolt"]
    by_name = {row.name: row for row in page.context["rows"]}
    assert by_name["Foundation bolt"].counts.drawn == "missing"
    assert by_name["Foundation bolt"].counts.of_drawn == "3 of 8"
    assert by_name["Connecting rod"].condition == 1
    assert "3 parts, 11 pieces: all parts of the engine." in text(page)
    assert "3 of 8" in text(page)


@pytest.mark.parametrize(
    ("query", "shown", "words"),
    [
        ({"state": "found"}, ["Foundation bolt"], "with any piece found"),
        ({"state": "missing"}, ["Foundation bolt"], "with any piece missing"),
        ({"state": "in_place"}, ["Connecting rod"], "with any piece in place"),
        ({"material": "bronze"}, ["Main brass"], "of bronze"),
        ({"q": "BOLT"}, ["Foundation bolt"], "that say “BOLT”"),
        ({"q": "11"}, ["Connecting rod"], "that say “11”"),
        # The newest note decides, not the worst.
        ({"condition": "1"}, ["Connecting rod"], "of condition class 1 slight"),
        ({"condition": "3"}, [], "of condition class"),
        ({"condition": "none"}, ["Main brass", "Foundation bolt"], "with no condition note"),
        # What was decided stands before what is usual.
        ({"route": "machine"}, ["Main brass"], "to machine"),
        ({"route": "cast"}, [], "to cast"),
        ({"state": "found", "material": "steel"}, [], "with any piece found, of steel"),
        ({"sort": "name"}, ["Connecting rod", "Foundation bolt", "Main brass"], "all parts"),
        ({"sort": "state"}, ["Foundation bolt", "Main brass", "Connecting rod"], "all parts"),
        ({"sort": "component"}, ["Connecting rod", "Main brass", "Foundation bolt"], "all parts"),
    ],
)
def test_filters_in_the_address_say_in_words_what_is_shown(
    client, engine, lead, bolts_and_rod, query, shown, words
):
    page = client.get(at("part_list", engine, **query))
    assert names(page) == shown
    assert words in page.context["shown"].words


def test_a_component_shows_the_parts_of_what_lies_in_it_too(client, engine, lead, bolts_and_rod):
    bed = Component.objects.get(name="Bed")
    chest = make.component(engine, name="Bearings", parent=bed)
    make.part(engine, name="Keep", component=chest)
    page = client.get(at("part_list", engine, component=bed.pk))
    assert names(page) == ["Main brass", "Foundation bolt", "Keep"]
    assert "2 Bed (3)" in text(page)


def test_choices_show_how_many_parts_they_would_give_beside_the_other_filters(
    client, engine, lead, bolts_and_rod
):
    page = client.get(at("part_list", engine, state="missing"))
    choices = page.context["shown"].choices
    assert {c.key: c.parts for c in choices["material"] if c.parts} == {"wrought_iron": 1}
    # The filter's own choices are counted as if it were not set.
    assert {c.key: c.parts for c in choices["state"] if c.parts} == {
        "in_place": 1,
        "found": 1,
        "to_be_made": 1,
        "missing": 1,
    }
    assert "Missing (1)" in text(page)


def test_a_choice_that_cannot_be_read_is_left_aside(client, engine, lead, bolts_and_rod):
    page = client.get(at("part_list", engine, state="lovely", component="x", page="77"))
    assert page.status_code == 200
    assert len(names(page)) == 3


def test_sums_cover_all_pages_and_agree_with_the_engine(client, engine, lead):
    for n in range(130):
        make.part(engine, quantity=1 + n % 3)
    first = client.get(at("part_list", engine))
    second = client.get(at("part_list", engine, page=2))
    assert (len(names(first)), len(names(second))) == (100, 30)
    assert first.context["shown"].counts == engine_counts(engine)
    assert second.context["shown"].counts == engine_counts(engine)


@pytest.mark.parametrize(
    "query", [{}, {"state": "missing"}, {"sort": "state", "material": "steel"}]
)
def test_the_list_takes_as_many_queries_at_fifty_parts_as_at_a_hundred(
    client, engine, lead, query, django_assert_num_queries, django_assert_max_num_queries
):
    def fill(n):
        for i in range(n):
            part = make.part(engine, 2, material=["steel", "brass"][i % 2])
            if i % 2:
                make.found(part)

    fill(50)
    client.get(at("part_list", engine, **query))
    with django_assert_max_num_queries(16) as few:
        client.get(at("part_list", engine, **query))
    fill(50)
    with django_assert_num_queries(len(few)):
        client.get(at("part_list", engine, **query))


# ---- One part ----


@pytest.fixture
def rod(engine):
    return make.part(engine, item=11, name="Connecting rod", material="wrought_iron")


def whole(part, by=None, n=2):
    """Give a part some of everything."""
    from parts.care.models import Freeing, Repair
    from parts.money.models import CostItem

    engine = part.engine
    day = date(2026, 2, 3)
    for i in range(n):
        find = make.find(
            engine, day=day, by=by, where_found="Square D3, 40 cm down", kept_at="Barn, bay 2"
        )
        entries.identify(find, part, 1, day=day, by=by)
        rows = [
            Measurement(
                engine=engine, part=part, what=f"Bore {i}", written="3 1/2 in", unit="in",
                value=88.9, day=day,
            ),
            ConditionNote(engine=engine, part=part, day=day, condition_class=1, seen=f"Seen {i}"),
            Repair(engine=engine, part=part, old=True, day=day, what=f"Liner {i}", tells="Wear"),
            Repair(engine=engine, part=part, old=False, day=day, what=f"Stitch {i}"),
            Freeing(engine=engine, part=part, day=day, means="heat", how="Warm", outcome="free"),
            CostItem(engine=engine, part=part, heading="castings", what=f"Casting {i}"),
            Proposal(engine=engine, part=part, matter="correct", words="It is steel"),
        ]  # fmt: skip
        for row in rows:
            saving.add(row, by=by)
        make.job(part, "cast", 1, by=by)


def test_the_page_of_a_part_shows_all_that_is_known_of_it(client, engine, lead, rod):
    Part.objects.filter(pk=rod.pk).update(quantity=6)
    whole(rod, by=lead)
    page = text(client.get(at("part", engine, rod.pk)))
    for words in (
        "Connecting rod", "Bore 0", "88.9 mm", "Seen 1", "Liner 0", "It tells:", "Stitch 1",
        "Warm", "Casting 1", "It is steel", "Square D3", "Barn, bay 2", "not yet measured",
        "<svg", "Square code that opens part 11",
    ):  # fmt: skip
        assert words in page, words


def test_a_reader_sees_no_place_on_the_page_of_a_part_nor_in_its_history(
    client, engine, as_role, rod
):
    whole(rod)
    find = Find.objects.filter(where_found__contains="D3").first()
    saving.change(find, {"kept_at": "Hidden loft"}, seen=1, by=None)
    as_role("reader")
    for address in (
        at("part", engine, rod.pk),
        at("part_history", engine, rod.pk),
        at("history", engine),
        at("search", engine, q="T-"),
    ):
        page = text(client.get(address))
        for secret in ("Square D3", "Barn, bay", "Hidden loft"):
            assert secret not in page, address
    as_role("helper")
    assert "Hidden loft" in text(client.get(at("history", engine)))


def test_the_page_of_a_part_takes_as_many_queries_however_much_is_known(
    client, engine, lead, rod, django_assert_num_queries, django_assert_max_num_queries
):
    Part.objects.filter(pk=rod.pk).update(quantity=500)
    whole(rod, by=lead, n=3)
    client.get(at("part", engine, rod.pk))
    with django_assert_max_num_queries(45) as few:
        client.get(at("part", engine, rod.pk))
    whole(rod, by=lead, n=50)
    with django_assert_num_queries(len(few)):
        client.get(at("part", engine, rod.pk))


# ---- Parts and components, written and changed ----


def part_data(part=None, **more):
    data = {
        "item": 40,
        "name": "Drain cock",
        "component": part.component_id if part else "",
        "quantity": 2,
        "material": "brass",
        "usual_route": "buy",
        "size": "3/4 in",
        "length_written": "4 1/2",
        "mass_written": "1 lb 4 oz",
        "note": "",
    }
    if part and part.pk:
        data |= {"item": part.item, "name": part.name, "seen": part.version}
    return data | more


def test_a_new_part_is_offered_the_next_free_item_number(client, engine, lead, rod):
    page = client.get(at("part_new", engine))
    assert page.context["form"]["item"].value() == 12
    done = client.post(at("part_new", engine), part_data(component=rod.component_id))
    assert done.status_code == 302
    part = Part.objects.get(item=40)
    assert (part.length_written, part.length_unit) == ("4 1/2", "in")
    assert part.length_mm == pytest.approx(114.3)
    assert part.mass_kg == pytest.approx(0.45359237 * 1.25)
    assert part.made_by == lead


def test_an_item_number_that_is_taken_is_refused_and_nothing_typed_is_lost(
    client, engine, lead, rod
):
    page = client.post(at("part_new", engine), part_data(component=rod.component_id, item=11))
    assert "Another part has this item number" in text(page)
    assert "Drain cock" in text(page)


def test_a_measure_that_cannot_be_read_is_refused_with_an_example(client, engine, lead, rod):
    page = client.post(
        at("part_new", engine), part_data(component=rod.component_id, length_written="4 furlong")
    )
    assert page.context["form"].errors["length_written"]
    assert "4 furlong" in text(page)
    assert not Part.objects.filter(item=40).exists()


def test_a_corrected_quantity_cannot_fall_below_what_is_left_off(client, engine, lead):
    bolts = make.part(engine, 6)
    entries.leave_off(bolts, 4, day=make.FIRST_DAY, by=None, reason="Not needed")
    page = client.post(at("part_edit", engine, bolts.pk), part_data(bolts, quantity=3))
    assert "4 cannot be left off" in text(page)
    assert Part.objects.get(pk=bolts.pk).quantity == 6
    assert (
        client.post(at("part_edit", engine, bolts.pk), part_data(bolts, quantity=4)).status_code
        == 302
    )
    assert Part.objects.get(pk=bolts.pk).quantity == 4


def test_two_leads_who_change_one_part_both_see_both_versions_and_lose_nothing(engine, rod):
    from django.test import Client

    first, second = Client(), Client()
    first.force_login(make.member(engine, "lead"))
    second.force_login(make.member(engine, "lead"))
    address = at("part_edit", engine, rod.pk)
    seen = first.get(address).context["form"]["seen"].value()
    assert second.get(address).context["form"]["seen"].value() == seen
    first.post(address, part_data(rod, note="The strap is bent.", seen=seen))
    page = second.post(address, part_data(rod, note="The shank is bent.", seen=seen))
    (clash,) = page.context["form"].differing
    assert (clash.theirs, clash.yours) == ("The strap is bent.", "The shank is bent.")
    assert clash.theirs in text(page)
    assert clash.yours in text(page)
    assert Part.objects.get(pk=rod.pk).note == "The strap is bent."
    again = page.context["form"]["seen"].value()
    second.post(address, part_data(rod, note="The strap and the shank are bent.", seen=again))
    assert Part.objects.get(pk=rod.pk).note == "The strap and the shank are bent."
    history = text(second.get(at("part_history", engine, rod.pk)))
    assert "The strap is bent." in history


def test_a_component_cannot_come_to_lie_within_itself(client, engine, lead):
    outer = make.component(engine, name="Valve gear")
    middle = make.component(engine, name="Eccentric", parent=outer)
    inner = make.component(engine, name="Strap", parent=middle)
    data = {"number": outer.number, "name": outer.name, "parent": inner.pk, "seen": 1}
    page = client.post(at("component_edit", engine, outer.pk), data)
    assert page.context["form"].errors["parent"]
    outer.refresh_from_db()
    assert outer.parent is None
    # Past the form, the action holds it too.
    from parts.engine.actions import parts

    with pytest.raises(saving.Refused):
        parts.change_component(outer, {"parent": inner}, seen=1, by=lead)


def test_components_are_named_nested_and_shown_as_a_tree(client, engine, lead):
    client.post(at("component_new", engine), {"number": 7, "name": "Valve gear", "parent": ""})
    outer = Component.objects.get(number=7)
    client.post(at("component_new", engine), {"number": 3, "name": "Rod", "parent": outer.pk})
    rows = client.get(at("components", engine)).context["rows"]
    assert [(b.component.name, b.depth) for b, _ in rows] == [("Valve gear", 0), ("Rod", 1)]
    assert "It belongs to" in text(client.get(Component.objects.get(number=3).get_absolute_url()))


@pytest.mark.parametrize("role", ["helper", "reader"])
def test_only_leads_change_the_parts_list(client, engine, as_role, rod, role):
    as_role(role)
    for name, args in (
        ("part_new", ()),
        ("part_edit", (rod.pk,)),
        ("component_new", ()),
        ("component_edit", (rod.component_id,)),
    ):
        assert client.get(at(name, engine, *args)).status_code == 403
        assert client.post(at(name, engine, *args), {}).status_code == 403


def test_a_part_of_another_engine_is_not_found(client, engine, lead):
    other = make.part(make.engine())
    for name in ("part", "part_edit", "part_history", "part_propose"):
        assert client.get(at(name, engine, other.pk)).status_code == 404
    assert client.get(at("part_act", engine, other.pk, "place")).status_code == 404
    stranger = client.get(reverse("parts:part_list", args=[other.engine_id]))
    assert stranger.status_code == 404
