"""Screens of lifts, gear, hauling and the lorry; the calculation of a lift on paper."""

import io
from datetime import date, timedelta

import pikepdf
import pytest
from django.utils import timezone

from parts.engineering.lifting import slings
from parts.lifting import actions
from parts.lifting.models import Gear, Lift
from parts.record.actions import entries
from parts.record.actions.saving import Refused
from parts.record.models import Change
from tests import make
from tests.drafting.reading import text_of
from tests.lifting.test_queries import rigged, weighed
from tests.screens.asking import at

pytestmark = pytest.mark.django_db
DAY = make.FIRST_DAY


@pytest.fixture
def engine():
    return make.engine(mass_unit="kg", length_unit="mm", tape_unit="m")


def words(response) -> str:
    assert response.status_code == 200
    return " ".join(response.content.decode().split())


# ---- Gear ----


@pytest.mark.parametrize(("ton", "kg"), [("long", 1016.047), ("short", 907.185), ("metric", 1000)])
@pytest.mark.outside("long ton 2240 lb, short ton 2000 lb: Weights and Measures, from memory")
def test_gear_keeps_what_its_tag_says_in_the_tons_of_the_engine(client, ton, kg):
    engine = make.engine(ton=ton)
    client.force_login(make.member(engine, "lead"))
    sent = {
        "kind": "chain",
        "name": "Chain 7",
        "rated_written": "1 ton",
        "rated_legs": 1,
        "how_many": 2,
        "inspected_on": DAY,
        "inspect_by": "2099-01-01",
    }
    assert client.post(at("gear_new", engine), sent).status_code == 302
    gear = Gear.objects.get()
    assert (gear.rated_written, gear.rated_kg) == ("1 ton", pytest.approx(kg, abs=0.001))
    page = words(client.get(at("gear", engine)))
    assert "1 ton" in page
    assert "in date" in page
    sent |= {"seen": gear.version, "rated_written": "2 tons", "inspect_by": "2026-01-11"}
    assert client.post(at("gear_edit", engine, gear.pk), sent).status_code == 302
    page = words(client.get(at("gear", engine)))
    assert "2 tons" in page
    assert "ran out on 11 Jan 2026" in page
    assert Change.objects.filter(kind="gear", verb="changed").get().before["rated_written"]


def test_bad_gear_is_refused_in_words_and_keeps_what_was_typed(client, engine, as_role):
    as_role("lead")
    later = timezone.localdate() + timedelta(days=1)
    sent = {"kind": "hoist", "name": "Block", "how_many": 1, "rated_written": "two-ish"}
    page = words(client.post(at("gear_new", engine), sent))
    assert "two-ish" in page
    page = words(client.post(at("gear_new", engine), sent | {"rated_written": "0 kg"}))
    assert "more than nothing" in page
    sent |= {"rated_written": "1 t", "inspected_on": later}
    errors = client.post(at("gear_new", engine), sent).context["form"].errors
    assert "inspected_on" in errors
    sent |= {"inspected_on": "2026-02-01", "inspect_by": "2026-01-01"}
    errors = client.post(at("gear_new", engine), sent).context["form"].errors
    assert "inspect_by" in errors
    assert not Gear.objects.exists()


def test_the_tag_of_a_sling_is_asked_for_in_full_and_read_back(client, engine, as_role):
    as_role("lead")
    sent = {"kind": "chain", "name": "Chain 7", "how_many": 1, "rated_written": "2 t"}
    answer = client.post(at("gear_new", engine), sent)
    assert "rated_legs" in answer.context["form"].errors
    sent |= {"rated_legs": 2}
    answer = client.post(at("gear_new", engine), sent)
    assert "rated_angle" in answer.context["form"].errors
    sent |= {"rated_angle": "20", "rated_angle_from": "horizontal"}
    assert "flatter than 30°" in words(client.post(at("gear_new", engine), sent))
    sent |= {"rated_angle": "45", "rated_angle_from": "vertical"}
    assert client.post(at("gear_new", engine), sent).status_code == 302
    # 2000 kg / (2 × sin 45°) = 1414 kg.
    assert "1414" in words(client.get(at("gear", engine)))


def test_gear_that_is_no_sling_keeps_no_angle(client, engine, as_role):
    as_role("lead")
    sent = {"kind": "hoist", "name": "Block", "how_many": 1, "rated_written": "2 t"}
    sent |= {"rated_legs": 2, "rated_angle": "45", "rated_angle_from": "vertical"}
    assert client.post(at("gear_new", engine), sent).status_code == 302
    gear = Gear.objects.get()
    assert (gear.rated_legs, gear.rated_angle, gear.rated_angle_from) == (None, None, "")


def test_a_page_of_a_lift_shows_each_caution_once_in_plain_sight(client, engine, as_role):
    as_role("reader")
    part = make.part(engine, mass_kg=100.0)
    lift = make.lift(engine, (part, 1), sling=make.gear(engine), hoist=make.gear(engine, "hoist"))
    for place in range(3):
        page = words(client.get(at("lift", engine, lift.pk), {"calculation": place}))
        for caution in slings.CAUTIONS:
            assert page.count(caution.act) == 1


def test_gear_is_removed_by_a_lead_and_brought_back(client, engine, as_role):
    gear = make.gear(engine, name="Chain 7")
    as_role("helper")
    address = at("row_remove", engine, "gear", gear.pk)
    assert client.post(address, {"reason": "mine"}).status_code == 403
    as_role("lead")
    assert client.post(address, {"reason": "a link is stretched"}).status_code == 302
    assert "Chain 7" not in words(client.get(at("gear", engine)))
    back = at("row_bring_back", engine, "gear", gear.pk)
    assert client.post(back, {"reason": ""}).status_code == 302
    assert "Chain 7" in words(client.get(at("gear", engine)))


# ---- Lifts ----


def test_a_helper_plans_a_lift_hangs_parts_on_it_and_writes_how_it_went(client, engine, as_role):
    as_role("helper")
    wheel, ball = make.part(engine, name="Flywheel"), make.part(engine, 2, name="Ball")
    weighed(wheel, 1650)
    weighed(ball, 4)
    page = words(client.get(at("lift_new", engine) + f"?part={wheel.pk}"))
    assert 'value="Flywheel"' in page
    sent = {
        "name": "Flywheel off its shaft",
        "legs": 2,
        "angle_deg": 60,
        "extra_written": "50 kg",
        "sling": make.gear(engine, "wire", 2000, name="Wire 2").pk,
        "hoist": make.gear(engine, "hoist", 3000).pk,
    }
    answer = client.post(at("lift_new", engine) + f"?part={wheel.pk}", sent)
    lift = Lift.objects.get()
    assert answer["Location"] == lift.get_absolute_url()
    assert (lift.extra_written, lift.extra_kg) == ("50 kg", 50)
    # (1650 + 50) / (2 × 0.8660) = 981.5 kg
    page = words(client.get(lift.get_absolute_url()))
    assert "981.5 kg" in page
    assert "Within the tags, on paper" in page
    assert "a qualified rigger decides" in page.lower()
    client.post(at("lift_put", engine, lift.pk), {"part": ball.pk, "pieces": 2})
    page = words(client.get(lift.get_absolute_url()))
    assert "1708 kg" in page  # 1650 + 2 × 4 + 50
    client.post(at("lift_take", engine, lift.pk, ball.pk))
    assert [load.part for load in lift.loads.all()] == [wheel]
    sent = {"seen": 4, "done_on": DAY, "happened": "The crane showed 1.71 t."}
    assert client.post(at("lift_done", engine, lift.pk), sent).status_code == 302
    assert "The crane showed 1.71 t." in words(client.get(lift.get_absolute_url()))


def test_a_lift_refused_after_it_was_begun_leaves_nothing_behind(
    client, engine, as_role, monkeypatch
):
    def refuse(*args, **kwargs):
        raise Refused("That part is gone.")

    monkeypatch.setattr(actions, "set_load", refuse)
    as_role("lead")
    part = make.part(engine)
    sent = {"name": "Flywheel", "legs": 2, "angle_deg": 60}
    page = words(client.post(at("lift_new", engine) + f"?part={part.pk}", sent))
    assert "That part is gone." in page
    assert 'value="Flywheel"' in page
    assert "/remove/" not in page  # of no row of the record
    assert not Lift.everything.exists()


def test_a_lift_that_must_not_be_lifted_says_so_first(client, engine, as_role):
    as_role("reader")
    part = make.part(engine, name="Bedplate")
    lift = rigged(engine, (part, 1), sling=make.gear(engine, name="Old chain", inspect_by=DAY))
    for address in (lift.get_absolute_url(), at("lifts", engine)):
        page = words(client.get(address))
        assert "Do not lift." in page
        assert "The mass of" in page
    page = words(client.get(lift.get_absolute_url()))
    assert "The inspection of Old chain ran out on 10 Jan 2026." in page
    assert "Add to load" not in page  # a reader only looks


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"angle_deg": 0}, "more than 0 and up to 90 degrees"),
        ({"angle_deg": 95}, "more than 0 and up to 90 degrees"),
        ({"angle_deg": "steep"}, "Enter a number."),
        ({"legs": 1, "angle_deg": 60}, "One leg hangs plumb"),
        ({"legs": 5}, "legs"),
        ({"extra_written": "a bit"}, "a bit"),
        ({"name": ""}, "required"),
    ],
)
def test_a_lift_that_cannot_be_is_refused_in_words(client, engine, as_role, fields, said):
    as_role("lead")
    sent = {"name": "A lift", "legs": 2, "angle_deg": 60} | fields
    assert said in words(client.post(at("lift_new", engine), sent))
    assert not Lift.objects.exists()


def test_only_gear_of_the_engine_and_of_the_right_kind_can_be_named(client, engine, as_role):
    as_role("lead")
    own = make.gear(engine, "shackle")
    other = make.gear(make.engine(), "chain")
    for gear in (own, other):
        sent = {"name": "A lift", "legs": 2, "angle_deg": 60, "sling": gear.pk}
        assert "Select a valid choice" in words(client.post(at("lift_new", engine), sent))


def test_another_persons_lift_is_not_changed_by_a_helper(client, engine, as_role):
    part = make.part(engine)
    lift = make.lift(engine, by=make.member(engine, "lead"))
    as_role("helper")
    sent = {"part": part.pk, "pieces": 1}
    assert client.post(at("lift_put", engine, lift.pk), sent).status_code == 403
    assert client.post(at("lift_edit", engine, lift.pk), {}).status_code == 403
    other = make.lift(make.engine())
    assert client.get(at("lift", engine, other.pk)).status_code == 404


def test_someone_elses_change_meanwhile_shows_both(client, engine, as_role):
    as_role("lead")
    lift = make.lift(engine, name="Old name")
    sent = {"seen": 1, "name": "First", "legs": 2, "angle_deg": 60}
    assert client.post(at("lift_edit", engine, lift.pk), sent).status_code == 302
    answer = client.post(at("lift_edit", engine, lift.pk), sent | {"name": "Second"})
    (clash,) = answer.context["form"].differing
    assert (clash.theirs, clash.yours) == ("First", "Second")
    assert 'value="Second"' in words(answer)
    assert Lift.objects.get().name == "First"


@pytest.mark.parametrize("name", ["lifts", "gear"])
def test_lists_take_as_many_queries_however_long(
    client, engine, as_role, name, django_assert_max_num_queries
):
    as_role("lead")

    def grow(n):
        for _ in range(n):
            part = make.part(engine, mass_kg=5.0)
            rigged(engine, (part, 1))

    grow(2)
    client.get(at(name, engine))
    with django_assert_max_num_queries(13) as first:
        client.get(at(name, engine))
    grow(30)
    with django_assert_max_num_queries(len(first)) as second:
        client.get(at(name, engine))
    assert len(second) == len(first)


# ---- Paper ----


@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_the_lift_plan_on_paper_has_the_figures_in_the_units_of_the_engine(client, paper):
    """1000 kg is 2205 lb; in each of two legs at 60 degrees 577.4 kg or 1273 lb."""
    for units, figures in (
        ({"length_unit": "mm", "mass_unit": "kg", "ton": "metric"}, ("1000 kg", "577.4 kg")),
        ({"length_unit": "in", "mass_unit": "lb", "ton": "long"}, ("2205 lb", "1273 lb")),
    ):
        engine = make.engine(**units)
        client.force_login(make.member(engine, "reader"))
        part = make.part(engine, name="Flywheel")
        weighed(part, 1000)
        lift = rigged(engine, (part, 1), name="Flywheel off its shaft")
        answer = client.get(at("lift_pdf", engine, lift.pk) + f"?paper={paper}")
        assert answer["Content-Type"] == "application/pdf"
        said = text_of(answer.content)
        for word in (*figures, "Flywheel off its shaft", "Within the tags, on paper"):
            assert word in said, word
        assert "a qualified rigger decides" in said
        assert "Never stand or reach under a load." in said
        with pikepdf.open(io.BytesIO(answer.content)) as pdf:
            high = float(pdf.pages[0].MediaBox[3])
        assert high == pytest.approx(841.9 if paper == "A4" else 792, abs=0.5)


def test_a_refused_lift_is_refused_on_paper_too(client, engine, as_role):
    as_role("reader")
    part = make.part(engine, name="Bedplate")
    weighed(part, 9000)
    lift = rigged(engine, (part, 1))
    said = text_of(client.get(at("lift_pdf", engine, lift.pk)).content)
    assert "Do not lift." in said
    assert "Over the rating: do not lift." in said


# ---- Hauling, the lorry ----


def test_a_pull_is_reckoned_from_the_address(client, engine, as_role):
    """1000 kg on dry timber, level: 0.40 × 1000 = 400 kg, between 300 and 500 kg."""
    as_role("reader")
    address = at("haul", engine, "drag") + "?mass=1+t&surface=dry_timber&slope=0"
    page = words(client.get(address))
    for figure in ("400 kg", "300 kg", "500 kg"):
        assert figure in page
    assert "Stand clear of a tight rope" in page
    customary = words(client.get(address + "&units=customary"))
    assert "900 lb" in customary


@pytest.mark.parametrize(
    ("kind", "query", "said"),
    [
        ("drag", "mass=heavy&surface=earth", "heavy"),
        ("drag", "mass=0&surface=earth", "Enter more than nothing."),
        ("drag", "mass=10&surface=butter", "Select a valid choice"),
        ("free", "mass=10&ground=mud_half&slope=80", "less than or equal to 45"),
        ("tackle", "mass=10&parts=0&lead_blocks=0", "greater than or equal to 1"),
        ("off-centre", "mass=10&near=1+m&far=&height=1+m", "required"),
    ],
)
def test_a_pull_that_cannot_be_is_refused_in_words(client, engine, as_role, kind, query, said):
    as_role("reader")
    assert said in words(client.get(at("haul", engine, kind) + "?" + query))


def test_two_unlike_legs_are_drawn_and_reckoned(client, engine, as_role):
    """900 kg, 300 and 600 mm off, hook 900 mm over: near 900×600/900×948.7/900 = 632.5 kg."""
    as_role("reader")
    query = "?mass=900+kg&near=300&far=600&height=900"
    page = words(client.get(at("haul", engine, "off-centre") + query))
    assert "632.5 kg" in page
    assert "Sketch: hook over the balance" in page
    assert client.get(at("haul", engine, "juggle")).status_code == 404


def test_the_lorry_page_tells_trips_and_what_it_cannot_carry(client, engine, as_role):
    as_role("reader")
    for name, kg in (("Cylinder", 370.0), ("Bedplate", 1500.0), ("Odd lump", None)):
        part = make.part(engine, name=name)
        if kg:
            weighed(part, kg)
        entries.identify(make.find(engine), part, 1, day=DAY, by=None)
    truck = make.gear(engine, "lorry", 1000, name="Flat bed", inspect_by=date(2099, 1, 1))
    page = words(client.get(at("lorry", engine) + f"?lorry={truck.pk}"))
    assert "Cylinder" in page
    assert "1000 kg" in page
    assert "Odd lump" in page
