"""What happens to the pieces of a part, told from its page, and what helpers propose."""

from datetime import date, timedelta

import pytest
from django.utils import timezone

from parts.engine.models import Proposal
from parts.record.models import Find, Job, PieceEntry
from tests import make
from tests.screens.asking import at, stands, text

pytestmark = pytest.mark.django_db


@pytest.fixture
def rod(engine):
    return make.part(engine, item=11, name="Connecting rod", material="wrought_iron")


def test_what_may_be_done_to_a_part_is_what_the_record_leaves_room_for(
    client, engine, as_role, rod
):
    as_role("lead")
    acts = dict(client.get(at("part", engine, rod.pk)).context["acts"])
    assert set(acts) == {"still", "leave-off"}
    make.found(rod)
    acts = dict(client.get(at("part", engine, rod.pk)).context["acts"])
    assert set(acts) == {"place", "lose", "beyond-repair", "leave-off"}
    as_role("helper")
    page = client.get(at("part", engine, rod.pk))
    assert set(dict(page.context["acts"])) == {"place", "lose"}
    assert "Propose to the leads" in text(page)
    as_role("reader")
    page = client.get(at("part", engine, rod.pk))
    assert page.context["acts"] == []
    assert "Propose" not in text(page)


def act(client, engine, part, verb, pieces=1, day="2026-03-01", **more):
    data = {"pieces": pieces, "day": day, "reason": "So it is."} | more
    return client.post(at("part_act", engine, part.pk, verb), data)


def test_the_life_of_a_piece_can_be_told_from_the_page_of_its_part(client, engine, lead, rod):
    told = [
        ("still", {}, {"in_place": 1}),
        ("take-down", {}, {"found": 1}),
        ("beyond-repair", {}, {"beyond_repair": 1}),
        ("fit-again", {}, {"found": 1}),
        ("lose", {}, {"missing": 1}),
        ("come-back", {}, {"found": 1}),
        ("place", {}, {"in_place": 1}),
        ("beyond-repair", {"on_engine": "on"}, {"beyond_repair": 1}),
        ("fit-again", {"on_engine": "on"}, {"in_place": 1}),
        ("take-down", {}, {"found": 1}),
        ("lose", {}, {"missing": 1}),
        ("leave-off", {}, {}),
        ("want-again", {}, {"missing": 1}),
    ]
    day = date(2026, 3, 1)
    for verb, more, then in told:
        day += timedelta(days=1)
        answer = act(client, engine, rod, verb, day=day.isoformat(), **more)
        assert answer.status_code == 302, (verb, answer.context["form"].errors)
        assert stands(rod) == then, verb


def test_an_act_that_cannot_have_been_is_refused_in_words_and_keeps_what_was_typed(
    client, engine, lead, rod
):
    make.found(rod)
    page = act(client, engine, rod, "place", pieces=3, reason="Bolted up")
    assert page.status_code == 200
    assert "Only 1 piece of it was on hand" in text(page)
    assert "Bolted up" in text(page)
    assert stands(rod) == {"found": 1}


def test_an_act_needs_its_reason_and_a_day_that_has_come(client, engine, lead, rod):
    make.found(rod)
    tomorrow = timezone.localdate() + timedelta(days=1)
    page = act(client, engine, rod, "beyond-repair", day=tomorrow.isoformat(), reason="")
    assert page.context["form"].errors.keys() == {"day", "reason"}
    assert stands(rod) == {"found": 1}


@pytest.mark.parametrize("verb", ["beyond-repair", "fit-again", "leave-off", "want-again"])
def test_helpers_do_not_decide(client, engine, as_role, rod, verb):
    as_role("helper")
    assert act(client, engine, rod, verb).status_code == 403
    assert not PieceEntry.objects.filter(part=rod).exists()


def test_many_parts_are_still_on_the_engine_in_one_go(client, engine, lead):
    bed = make.component(engine, name="Bed")
    bolts, cap, lost = (make.part(engine, n, component=bed) for n in (8, 1, 1))
    address = at("component_still", engine, bed.pk)
    assert text(client.get(address)).count("of 8") == 1
    done = client.post(
        address,
        {
            "day": "2026-03-01",
            f"still_{bolts.pk}": "on",
            f"n_{bolts.pk}": "6",
            f"still_{cap.pk}": "on",
            f"n_{cap.pk}": "1",
            f"n_{lost.pk}": "1",
        },
    )
    assert done.status_code == 302
    assert stands(bolts) == {"in_place": 6, "missing": 2}
    assert stands(cap) == {"in_place": 1}
    assert stands(lost) == {"missing": 1}


def test_more_than_is_missing_cannot_be_ticked_and_then_none_is_written(client, engine, lead):
    bed = make.component(engine, name="Bed")
    bolts, cap = (make.part(engine, n, component=bed) for n in (8, 1))
    page = client.post(
        at("component_still", engine, bed.pk),
        {
            "day": "2026-03-01",
            f"still_{bolts.pk}": "on",
            f"n_{bolts.pk}": "9",
            f"still_{cap.pk}": "on",
            f"n_{cap.pk}": "1",
        },
    )
    assert "Only 8 of it are not accounted for yet" in text(page)
    assert not Find.objects.exists()


# ---- Proposals ----


def propose(client, engine, part, **more):
    data = {"matter": "beyond_repair", "pieces": 1, "words": "Cracked through the boss."} | more
    return client.post(at("part_propose", engine, part.pk), data)


def test_a_helper_proposes_and_a_lead_accepts_which_does_it(client, engine, as_role, rod):
    make.found(rod)
    as_role("helper")
    assert propose(client, engine, rod).status_code == 302
    row = Proposal.objects.get()
    answer = {"answer": "accepted", "day": "2026-03-01", "seen": row.version}
    address = at("proposal_answer", engine, row.pk)
    assert client.post(address, answer).status_code == 403
    as_role("lead")
    assert "Cracked through the boss" in text(client.get(at("proposals", engine)))
    assert client.post(address, answer).status_code == 302
    assert stands(rod) == {"beyond_repair": 1}
    entry = PieceEntry.objects.get(kind="beyond_repair")
    assert "Cracked through the boss" in entry.reason
    assert Proposal.objects.get().answer == "accepted"
    # A second answer does not do it twice.
    client.post(address, answer)
    assert PieceEntry.objects.filter(kind="beyond_repair").count() == 1


def test_what_is_proposed_and_cannot_be_leaves_the_proposal_open(client, engine, as_role, rod):
    as_role("helper")
    propose(client, engine, rod)
    as_role("lead")
    row = Proposal.objects.get()
    page = client.post(
        at("proposal_answer", engine, row.pk),
        {"answer": "accepted", "day": "2026-03-01", "seen": row.version},
    )
    assert page.status_code == 200
    assert page.context["form"].errors
    row.refresh_from_db()
    assert row.answer == "open"


def test_to_make_something_is_proposed_with_a_route_and_becomes_a_job(client, engine, as_role, rod):
    as_role("helper")
    assert propose(client, engine, rod, matter="make").context["form"].errors
    assert not Proposal.objects.exists()
    propose(client, engine, rod, matter="make", route="cast")
    as_role("lead")
    row = Proposal.objects.get()
    client.post(
        at("proposal_answer", engine, row.pk),
        {"answer": "accepted", "day": "2026-03-01", "seen": row.version},
    )
    assert Job.objects.get().route == "cast"
    assert stands(rod) == {"to_be_made": 1}


def test_a_lead_declines_with_words_only(client, engine, as_role, rod):
    as_role("helper")
    propose(client, engine, rod, matter="leave_off")
    as_role("lead")
    row = Proposal.objects.get()
    address = at("proposal_answer", engine, row.pk)
    data = {"answer": "declined", "day": "2026-03-01", "seen": row.version}
    assert client.post(address, data).context["form"].errors
    client.post(address, data | {"words": "We have the drawing of it."})
    row.refresh_from_db()
    assert (row.answer, row.answer_words) == ("declined", "We have the drawing of it.")
    assert stands(rod) == {"missing": 1}
    assert "We have the drawing of it" in text(client.get(at("part", engine, rod.pk)))
