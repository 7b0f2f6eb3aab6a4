"""Screens of the metal store and the pours: seen, refused in words, nothing typed lost."""

import csv
import io
import re
from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from parts.record.actions import entries
from parts.record.models import Change, Engine
from parts.workshop.metal.models import Crucible, MetalLot, MetalMove
from parts.workshop.pours.actions import pours
from parts.workshop.pours.actions.pours import Weighed
from parts.workshop.pours.models import Pour
from tests import make
from tests.screens.asking import at

pytestmark = pytest.mark.django_db
DAY = make.FIRST_DAY


@pytest.fixture
def engine():
    return make.engine(mass_unit="kg")


def words(response) -> str:
    return " ".join(response.content.decode().split())


def casting(engine, pieces=1, kg=2.0, material="bronze", stage="pattern_made", **fields):
    part = make.part(engine, pieces, material=material, mass_kg=kg, **fields)
    job = make.job(part, "cast", pieces)
    if stage:
        entries.reach(job, stage, pieces, day=DAY, by=None)
    return job


# The store


def test_a_lot_is_put_into_the_store_with_its_composition(client, engine, as_role):
    as_role("helper")
    sent = {
        "name": "Valve bodies",
        "material": "brass",
        "known": "assayed",
        "composition": "Cu 84.5, Sn 4.8, Pb 5.2, Zn 5.4",
        "mass": "12.5 kg",
        "day": str(DAY),
        "where_from": "The scrap yard",
    }
    answer = client.post(at("lot_new", engine), sent)
    lot = MetalLot.objects.get()
    assert answer["Location"] == at("lot", engine, lot.pk)
    assert lot.percent == {"Cu": 84.5, "Sn": 4.8, "Pb": 5.2, "Zn": 5.4}
    assert lot.moves.get().written == "12.5 kg"
    page = words(client.get(at("lot", engine, lot.pk)))
    for word in ("12.5 kg", "Copper", "84.5", "Assayed", "The scrap yard"):
        assert word in page, word
    assert "Valve bodies" in words(client.get(at("metal", engine)))


@pytest.mark.parametrize(
    ("composition", "says"),
    [
        ("Cu 85, Qq 5", "no element"),
        ("brass", "cannot be read"),
        ("Cu 5", "come to 5 %"),
        ("Cu 85.8, Sn 15", "more than a whole"),
    ],
)
def test_a_composition_that_cannot_be_read_is_answered_with_an_example(
    client, engine, as_role, composition, says
):
    as_role("helper")
    sent = {"name": "X", "material": "brass", "known": "known", "composition": composition}
    page = words(client.post(at("lot_new", engine), sent | {"mass": "1 kg", "day": str(DAY)}))
    assert says in page
    assert composition in page
    assert not MetalLot.objects.exists()


def test_a_crucible_that_no_sum_takes_is_not_stored(client, engine, as_role):
    as_role("helper")
    sent = {"name": "No. 900", "carries": "10001 kg", "good": "on"}
    assert "10000 kg at most" in words(client.post(at("crucible_new", engine), sent))
    assert not Crucible.objects.exists()


def test_assumed_scrap_shows_its_range(client, engine, as_role):
    as_role("helper")
    lot = make.lot(engine, 4, scrap_key="red_valves", material="brass")
    page = words(client.get(at("lot", engine, lot.pk)))
    assert "83.5" in page
    assert "85" in page
    assert "from memory" in page
    assert "(82–85)" in words(client.get(at("metal", engine)))


def test_iron_scrap_says_what_it_is_good_for(client, engine, as_role):
    as_role("helper")
    assert "sash weights" in words(client.get(at("lot_new", engine)))
    lot = make.lot(engine, 4, scrap_key="sash_weights", material="cast_iron")
    page = words(client.get(at("lot", engine, lot.pk)))
    assert "Good for weights, washers and plates" in page
    assert "Hard and often white" in page


def test_taking_more_than_there_is_keeps_what_was_typed(client, engine, as_role):
    as_role("helper")
    lot = make.lot(engine, 4)
    sent = {"mass": "4.2 kg", "day": str(DAY), "reason": "two bushes"}
    page = words(client.post(at("lot_out", engine, lot.pk), sent))
    assert "does not hold so much" in page
    assert "two bushes" in page
    assert "4.2 kg" in page
    client.post(at("lot_out", engine, lot.pk), sent | {"mass": "3.9 kg"})
    assert round(sum(lot.moves.values_list("kg", flat=True)), 6) == 0.1


def test_a_find_becomes_a_lot_from_its_own_page(client, engine, as_role):
    as_role("helper")
    find = make.find(engine, looks_like="Broken bush", material="bronze", mass_kg=1.5)
    page = words(client.get(find.get_absolute_url()))
    address = f"{at('lot_new', engine)}?find={find.pk}"
    assert address in page
    form = words(client.get(address))
    assert "Broken bush" in form
    assert "1.5 kg" in form
    sent = {"name": "Bush", "material": "bronze", "known": "assumed", "scrap_key": "bushes"}
    client.post(address, sent | {"find": find.pk, "mass": "1.5 kg", "day": str(DAY)})
    assert MetalLot.objects.get().find == find
    assert "Bush" in words(client.get(find.get_absolute_url()))


def test_where_metal_is_kept_is_not_for_readers(client, engine, as_role):
    as_role("reader")
    make.lot(engine, kept_at="under the stairs")
    assert client.get(at("metal", engine)).status_code == 403


def test_the_history_tells_of_metal_only_those_who_may_see_places(client, engine, as_role):
    as_role("helper")
    make.lot(engine, name="Under the stairs")
    make.pour(engine, (casting(engine), 1, 1.9))
    page = words(client.get(at("history", engine)))
    assert "Under the stairs" in page
    as_role("reader")
    page = words(client.get(at("history", engine)))
    assert "Under the stairs" not in page
    assert "Pour 1" not in page


def test_only_a_lead_sets_what_metal_is_worth(client, engine, as_role):
    as_role("helper")
    assert 'name="value"' not in words(client.get(at("lot_new", engine)))
    as_role("lead")
    lot = make.lot(engine, 4)
    sent = {"name": "A", "material": "bronze", "known": "assumed", "scrap_key": "bushes"}
    client.post(at("lot_edit", engine, lot.pk), sent | {"value": "6.50", "seen": 1})
    lot.refresh_from_db()
    assert float(lot.value_per_kg) == 6.5
    assert "£26" in words(client.get(at("metal", engine)))


def test_the_store_comes_as_a_table(client, engine, as_role):
    as_role("helper")
    lot = make.lot(engine, 4, name="=Bushes")
    text = client.get(at("metal_csv", engine)).content.decode("utf-8-sig")
    assert text.splitlines()[1].startswith("'=Bushes,Bronze bushes,bronze,")
    moves = client.get(at("lot_csv", engine, lot.pk)).content.decode("utf-8-sig")
    assert moves.splitlines()[1] == "2026-01-10,4,,4,4 kg,,Bought"
    cells = [cell for row in csv.reader(io.StringIO(text)) for cell in row]
    assert "-0" not in cells


def test_what_was_booked_in_pounds_reads_the_same_on_the_form_of_a_pour(client, as_role, engine):
    Engine.objects.filter(pk=engine.pk).update(mass_unit="lb")
    as_role("helper")
    lot = make.lot(engine, 0, material="cast_iron", percent={}, scrap_key="")
    sent = {"mass": "90 lb", "day": DAY, "reason": "Bought"}
    client.post(at("lot_in", engine, lot.pk), sent)
    pour = make.pour(
        engine,
        (casting(engine, material="cast_iron"), 1, 100.0),
        metal="cast_iron",
        pot=make.crucible(engine, 400.0),
    )
    field = client.get(at("pour_aside", engine, pour.pk)).context["weigh"][f"lot_{lot.pk}"]
    assert field.value() == "90 lb"
    client.post(at("pour_aside", engine, pour.pk), {f"lot_{lot.pk}": "1 qr 2 lb"})
    field = client.get(at("pour_done", engine, pour.pk)).context["weigh"][f"lot_{lot.pk}"]
    assert field.value() == "1 qr 2 lb"


@pytest.mark.parametrize("carries", ["44 lb", "20 kg", "1 cwt"])
def test_the_form_of_a_crucible_shows_what_it_carries_and_changes_nothing(
    client, as_role, engine, carries
):
    Engine.objects.filter(pk=engine.pk).update(mass_unit="lb")
    as_role("helper")
    client.post(at("crucible_new", engine), {"name": "No. 16", "carries": carries, "good": "on"})
    pot = Crucible.objects.get()
    shown = client.get(at("crucible_edit", engine, pot.pk)).context["form"]["carries"].value()
    assert shown == {"1 cwt": "112 lb"}.get(carries, carries)
    sent = {"name": "No. 17", "carries": shown, "good": "on", "seen": 1}
    client.post(at("crucible_edit", engine, pot.pk), sent)
    assert Crucible.objects.get().carries_kg == pot.carries_kg
    assert set(Change.objects.get(verb="changed").after) == {"name"}


def test_a_find_of_several_goes_into_the_store_as_heavy_as_it_was_written(client, as_role, engine):
    as_role("helper")
    find = make.find(engine, 3, mass_written="7 lb", mass_unit="lb", mass_kg=7 * 0.45359237)
    form = client.get(at("lot_new", engine), {"find": find.pk}).context["amount"]
    assert form["mass"].value() == "21 lb"


# The plan and a pour


def test_the_plan_gathers_what_waits_for_the_same_metal(client, engine, as_role):
    as_role("helper")
    make.crucible(engine, 12.0, name="No. 16")
    casting(engine, 2, 1.0, name="Gland")
    casting(engine, 1, 1.0, name="Bush")
    casting(engine, 1, 1.0, "brass", name="Plate")
    casting(engine, 1, 40.0, name="Bracket")
    casting(engine, 1, None, name="Cock")
    page = words(client.get(at("pours", engine)))
    for word in ("Gland", "Bush", "Plate", "No. 16", "Cock", "77.55 kg", "12 kg"):
        assert word in page, word
    assert f"{at('pour_new', engine)}?" in page
    assert "Keep every drop of water away" in page


def test_without_a_crucible_the_plan_says_so(client, engine, as_role):
    as_role("helper")
    casting(engine)
    assert "No crucible is entered that is fit for use" in words(client.get(at("pours", engine)))


def test_a_pour_goes_from_the_proposal_to_what_came_of_it(client, engine, as_role):
    as_role("helper")
    pot = make.crucible(engine, 12.0)
    lot = make.lot(engine, 9)
    job = casting(engine, 2, 1.0, name="Gland")
    address = f"{at('pour_new', engine)}?crucible={pot.pk}&take={job.pk}x2"
    form = words(client.get(address))
    assert "Gland: how many" in form
    sent = {
        "metal": "C93200",
        "crucible": pot.pk,
        "fuel": "propane",
        "burner_kw": "30",
        f"pieces_{job.pk}": 2,
        f"mass_{job.pk}": "1.9 kg",
    }
    client.post(address, sent)
    pour = Pour.objects.get()
    page = words(client.get(at("pour", engine, pour.pk)))
    for word in ("leaded bearing bronze", "lead: keep its fume", "Propane"):
        assert word in page, word
    aside = at("pour_aside", engine, pour.pk)
    assert lot.name in words(client.get(aside))
    client.post(aside, {f"lot_{lot.pk}": "3.9 kg"})
    assert MetalMove.objects.get(planned=True).kg == -3.9
    (row,) = pour.castings.all()
    done = at("pour_done", engine, pour.pk)
    came = {
        "poured_on": str(timezone.localdate()),
        "temperature": "1150 C",
        f"good_{row.pk}": 1,
        f"why_{row.pk}": "",
        "back": "2.4 kg",
        f"lot_{lot.pk}": "3.85 kg",
    }
    page = words(client.post(done, came))
    assert "Say what was wrong" in page
    assert "1150 C" in page
    came |= {f"why_{row.pk}": "misrun at the rim"}
    page = words(client.post(done, came))
    stages = re.search(r'name="stages" value="([^"]+)"', page)[1]
    assert stages.endswith("Gland: moulded 2, poured 2")
    client.post(done, came | {"stages": stages})
    pour.refresh_from_db()
    assert (pour.temperature_c, pour.temperature_written) == (1150.0, "1150 C")
    page = words(client.get(at("pour", engine, pour.pk)))
    assert "1 good of 2" in page
    assert "Returns of pour 1" in words(client.get(at("metal", engine)))
    assert "misrun at the rim" in words(client.get(at("job", engine, job.pk)))


def test_a_lot_used_up_meanwhile_is_told_and_nothing_is_lost(client, engine, as_role):
    as_role("helper")
    job, lot = casting(engine, 2, 1.0), make.lot(engine, 4)
    pour = make.pour(engine, (job, 1, 1.9))
    other = make.pour(engine, (job, 1, 1.9))
    pours.set_aside(other, {lot: Weighed(3.0)}, by=None)
    page = words(client.post(at("pour_aside", engine, pour.pk), {f"lot_{lot.pk}": "1.95 kg"}))
    assert "does not hold so much" in page
    assert "1.95 kg" in page


def test_too_much_for_the_crucible_is_told_on_the_form(client, engine, as_role):
    as_role("helper")
    pot, job = make.crucible(engine, 3.0), casting(engine, 4, 1.0, name="Gland")
    sent = {"metal": "C93200", "crucible": pot.pk, "fuel": "propane"}
    sent |= {f"pieces_{job.pk}": 4, f"mass_{job.pk}": "1.9 kg"}
    address = f"{at('pour_new', engine)}?take={job.pk}x4"
    page = words(client.post(address, sent))
    assert "Over what the crucible may carry" in page
    assert "1.9 kg" in page
    assert not Pour.objects.exists()


@pytest.mark.parametrize("take", ["", "x", "1x1", "99999999999999999999x1", "²x1", "a" * 5000])
def test_an_address_that_names_nothing_leads_back_to_the_plan(client, engine, as_role, take):
    as_role("helper")
    answer = client.get(at("pour_new", engine), {"take": take, "crucible": "²"})
    assert answer["Location"] == at("pours", engine)


def test_a_crucible_is_written_down_and_mended(client, engine, as_role):
    as_role("helper")
    sent = {"name": "No. 16", "carries": "15 kg", "brim_l": "2.4", "good": "on"}
    client.post(at("crucible_new", engine), sent)
    pot = Crucible.objects.get()
    assert (pot.carries_kg, pot.brim_l) == (15.0, 2.4)
    sent = {"name": "No. 16", "carries": "0 kg", "seen": 1}
    page = words(client.post(at("crucible_edit", engine, pot.pk), sent))
    assert "must be more than 0" in page
    client.post(at("crucible_edit", engine, pot.pk), sent | {"carries": "14 kg"})
    pot.refresh_from_db()
    assert (pot.carries_kg, pot.good) == (14.0, False)


def test_the_sheet_of_the_day_comes_on_both_papers(client, engine, as_role):
    as_role("helper")
    make.lot(engine, 9)
    pour = make.pour(engine, (casting(engine, 2, 1.0), 2, 1.9), burner_kw=20.0)
    for paper in ("", "?paper=letter"):
        answer = client.get(at("pour_sheet_pdf", engine, pour.pk) + paper)
        assert answer["Content-Type"] == "application/pdf"
        assert answer.content.startswith(b"%PDF")


@pytest.mark.parametrize("name", ["metal", "pours"])
def test_the_page_takes_as_many_queries_however_long(client, engine, as_role, name):
    as_role("lead")
    pot = make.crucible(engine, 50.0)

    def grow(n):
        for _ in range(n):
            make.lot(engine, 3)
            make.pour(engine, (casting(engine, 2, 0.5), 1, 1.0), pot=pot)

    grow(3)
    client.get(at(name, engine))
    with CaptureQueriesContext(
        connection,
    ) as few:
        client.get(at(name, engine))
    grow(30)
    with CaptureQueriesContext(connection) as many:
        client.get(at(name, engine))
    assert len(many) == len(few)


def test_the_pour_page_takes_as_many_queries_however_many_castings(client, engine, as_role):
    as_role("lead")
    pot = make.crucible(engine, 90.0)

    def pour_of(n):
        made = [casting(engine, 1, 0.5) for _ in range(n)]
        make.lot(engine, 3)
        return make.pour(engine, *((m, 1, 1.0) for m in made), pot=pot)

    few, many = pour_of(2), pour_of(32)
    client.get(at("pour", engine, few.pk))
    counts = []
    for pour in (few, many):
        with CaptureQueriesContext(connection) as asked:
            client.get(at("pour", engine, pour.pk))
        counts.append(len(asked))
    assert counts[0] == counts[1]


def test_a_day_to_come_is_no_day_for_what_happened(client, engine, as_role):
    as_role("helper")
    pour = make.pour(engine, (casting(engine), 1, 1.9))
    tomorrow = timezone.localdate() + timedelta(days=1)
    answer = client.post(at("pour_done", engine, pour.pk), {"poured_on": str(tomorrow)})
    assert "poured_on" in answer.context["form"].errors


def test_a_long_plan_shows_some_of_each_metal_and_all_of_it_apart(client, engine, as_role):
    as_role("helper")
    make.crucible(engine, 4.0)
    for n in range(13):
        casting(engine, 1, 1.5, name=f"Bush {n}")
    page = words(client.get(at("pours", engine)))
    pour_this = f"{at('pour_new', engine)}?"
    assert page.count(pour_this) == 10
    assert "?kind=bronze" in page
    alone = words(client.get(at("pours", engine) + "?kind=bronze"))
    assert alone.count(pour_this) == 13
    assert pour_this not in words(client.get(at("pours", engine) + "?kind=zz"))
