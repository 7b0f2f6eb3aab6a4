"""Screens of parts to make: deciding, moving stages, and who may."""

from datetime import timedelta

import pytest
from django.contrib.messages import get_messages
from django.utils import timezone

from parts.record.actions import entries
from parts.record.models import Change, Job, PieceEntry
from parts.workshop.jobs.queries.job import job_status
from tests import make
from tests.screens.asking import at

pytestmark = pytest.mark.django_db
DAY = make.FIRST_DAY


def words(response) -> str:
    return " ".join(response.content.decode().split())


def said(response) -> str:
    return " ".join(str(m) for m in get_messages(response.wsgi_request))


def test_the_list_shows_routes_sums_and_what_is_still_to_decide(client, engine, as_role):
    as_role("reader")
    strap = make.part(engine, name="Eccentric strap", mass_kg=10.0, size="13 1/2 in bore")
    job = make.job(strap)
    make.cost(engine, "castings", ("estimated", DAY, 300, 420, 500), job=job)
    make.part(engine, 8, name="Cover stud", usual_route="machine")
    page = words(client.get(at("jobs", engine)))
    for word in ("To cast", "Eccentric strap", "Not yet measured", "£420", "£300", "Cover stud"):
        assert word in page, word
    assert "8 missing" in page
    assert "usual way: machine" in page
    assert "22 lb" in page
    assert "/decide/" not in page  # a reader may not decide


def test_filters_stay_in_the_address_and_an_unknown_one_does_no_harm(client, engine, as_role):
    as_role("reader")
    make.job(make.part(engine, name="Stop valve"), "buy")
    make.job(make.part(engine, name="Crosshead"), "cast")
    page = words(client.get(at("jobs", engine) + "?route=buy&page=99&component=x&sort=zz"))
    assert "Stop valve" in page
    assert "Crosshead" not in page
    assert "1 of 2 lines shown" in page
    assert '<option value="buy" selected>' in page
    none = words(client.get(at("jobs", engine) + "?q=nothing+like+it"))
    assert "None of the 2 lines is like that" in none


def test_a_long_list_comes_in_pages_while_its_sums_stay_whole(client, engine, as_role, monkeypatch):
    as_role("reader")
    for _ in range(103):
        make.job(make.part(engine, mass_kg=1.0))
    first = words(client.get(at("jobs", engine)))
    assert "103 lines" in first
    assert first.count('class="name"> <a') == 100
    second = words(client.get(at("jobs", engine) + "?page=2"))
    assert second.count('class="name"> <a') == 3
    assert "103 lines" in second
    printed = words(client.get(at("jobs", engine) + "?print=1"))
    assert printed.count('class="room"') == 103
    monkeypatch.setattr("parts.workshop.jobs.views.jobs.PRINTED", 60)
    halves = [words(client.get(at("jobs", engine) + f"?print=1&page={n}")) for n in (1, 2)]
    assert [half.count('class="room"') for half in halves] == [60, 43]
    assert "Lines 61 to 103 of 103" in halves[1]


@pytest.mark.parametrize(("name", "queries"), [("jobs", 14), ("undecided", 7)])
def test_the_page_takes_as_many_queries_however_many_parts(
    client, engine, as_role, name, queries, django_assert_num_queries
):
    as_role("lead")

    def grow(n):
        for _ in range(n):
            make.job(make.part(engine, 2))
            make.part(engine, 3)

    grow(3)
    client.get(at(name, engine))
    with django_assert_num_queries(queries):  # session, user, membership, 2 of the tag, the list
        client.get(at(name, engine))
    grow(50)
    with django_assert_num_queries(queries):
        client.get(at(name, engine))


def test_a_lead_decides_and_the_usual_way_is_chosen_beforehand(client, engine, as_role):
    lead = as_role("lead")
    part = make.part(engine, 3, usual_route="machine")
    address = at("decide", engine, part.pk)
    page = words(client.get(address))
    assert "3 of 3" in page
    assert 'value="machine"' in page
    sent = {
        "route": "machine",
        "pieces": 3,
        "day": str(DAY),
        "who": "Ned",
        "wanted_by": "2026-12-01",
    }
    answer = client.post(address, sent)
    job = Job.objects.get(part=part)
    assert answer.url == at("job", engine, job.pk)
    assert (job.route, job.who, str(job.wanted_by)) == ("machine", "Ned", "2026-12-01")
    assert job.made_by == lead
    assert job_status(job).decided == 3


def test_a_refused_decision_keeps_what_was_typed(client, engine, as_role):
    as_role("lead")
    part = make.part(engine, 3)
    tomorrow = timezone.localdate() + timedelta(days=1)
    sent = {"route": "cast", "pieces": 0, "day": str(tomorrow), "who": "The Dale foundry"}
    answer = client.post(at("decide", engine, part.pk), sent)
    page = words(answer)
    assert answer.context["form"].errors.keys() == {"pieces", "day"}
    assert 'value="The Dale foundry"' in page
    assert not Job.objects.exists()


def test_more_than_is_wanted_may_be_decided_but_is_told(client, engine, as_role):
    as_role("lead")
    part = make.part(engine, 2)
    answer = client.post(
        at("decide", engine, part.pk), {"route": "buy", "pieces": 5, "day": str(DAY)}
    )
    assert answer.status_code == 302
    assert "Only 2 were wanted; 5 are decided" in said(answer)


def test_the_big_button_moves_what_lags_behind_to_the_next_stage(client, engine, as_role):
    helper = as_role("helper")
    job = make.job(make.part(engine, 2), "cast", 2)
    entries.reach(job, "moulded", 2, day=DAY, by=None)
    entries.reach(job, "poured", 1, day=DAY, by=None)
    page = words(client.get(at("job", engine, job.pk)))
    assert "Poured today: 2 of 2" in page
    today = str(timezone.localdate())
    client.post(at("job_reach", engine, job.pk), {"stage": "poured", "pieces": 1, "day": today})
    sheet = job_status(job)
    assert sheet.next_word == "fettled"
    assert sheet.happened[0].entry.made_by == helper


def test_a_stage_that_cannot_be_is_refused_in_words_and_keeps_the_note(client, engine, as_role):
    as_role("helper")
    job = make.job(make.part(engine, 2), "cast", 2)
    sent = {"stage": "poured", "pieces": 3, "day": str(DAY), "reason": "from the second heat"}
    page = words(client.post(at("job_reach", engine, job.pk), sent))
    assert "Only 2 pieces had reached" in page
    assert "from the second heat" in page
    assert not PieceEntry.objects.filter(kind="stage").exists()


def test_a_helper_sets_back_what_they_said_and_not_what_others_said(client, engine, as_role):
    helper = as_role("helper")
    job = make.job(make.part(engine, 2), "cast", 2)
    entries.reach(job, "poured", 1, day=DAY, by=helper)
    address = at("job_back", engine, job.pk)
    sent = {"stage": "poured", "pieces": 1, "day": str(DAY), "reason": ""}
    assert "Say why" in words(client.post(address, sent))
    sent["reason"] = "misrun"
    assert client.post(address, sent).status_code == 302
    assert job_status(job).stages[4].reached == 0
    entries.reach(job, "poured", 1, day=DAY, by=make.member(engine, "lead"))
    assert client.post(address, sent).status_code == 403
    as_role("lead")
    assert client.post(address, sent).status_code == 302


def test_pieces_are_fitted_and_taken_off_again(client, engine, as_role):
    as_role("helper")
    job = make.job(make.part(engine, 2), "buy", 2)
    fitted = {"pieces": 2, "day": str(DAY), "also": "priced 2, ordered 2, received 2"}
    client.post(at("job_fit", engine, job.pk), fitted)
    assert job_status(job).left == 0
    sent = {"pieces": 1, "day": str(DAY), "reason": "leaks"}
    client.post(at("job_off", engine, job.pk), sent)
    assert job_status(job).left == 1


def test_a_decision_is_reopened_and_more_is_decided_by_a_lead(client, engine, as_role):
    job = make.job(make.part(engine, 4), "cast", 2)
    sent = {"pieces": 2, "day": str(DAY), "reason": "found under the bed"}
    as_role("helper")
    for name in ("job_withdraw", "job_more", "job_edit"):
        assert client.post(at(name, engine, job.pk), sent).status_code == 403
    as_role("lead")
    client.post(at("job_withdraw", engine, job.pk), sent)
    assert job_status(job).decided == 0
    page = words(client.get(at("job", engine, job.pk)))
    assert "Decision reopened: 2" in page
    client.post(at("job_more", engine, job.pk), {"pieces": 3, "day": str(DAY)})
    assert job_status(job).decided == 3


def test_details_are_mended_with_their_history_and_a_clash_shows_both(client, engine, as_role):
    lead = as_role("lead")
    job = entries.decide(make.part(engine), "cast", 1, day=DAY, by=lead, who="Ned")
    address = at("job_edit", engine, job.pk)
    assert client.post(address, {"seen": 1, "who": "The Dale foundry"}).status_code == 302
    change = Change.objects.get(kind="job", verb="changed")
    assert (change.before, change.after) == ({"who": "Ned"}, {"who": "The Dale foundry"})
    answer = client.post(address, {"seen": 1, "who": "Marta"})
    (clash,) = answer.context["form"].differing
    assert (clash.theirs, clash.yours) == ("The Dale foundry", "Marta")
    page = words(answer)
    assert "The Dale foundry" in page
    assert 'value="Marta"' in page


def test_another_engines_job_is_not_found(client, engine, as_role):
    as_role("lead")
    other = make.job(make.part(make.engine()))
    assert client.get(at("job", engine, other.pk)).status_code == 404
    assert client.get(at("decide", engine, other.part_id)).status_code == 404


def test_the_lists_come_as_tables_filtered_as_on_the_screen(client, engine, as_role):
    as_role("reader")
    make.job(make.part(engine, name="Stop valve"), "buy")
    make.job(make.part(engine, name="Crosshead"), "cast")
    make.part(engine, name="Oil cup")
    answer = client.get(at("jobs_csv", engine) + "?route=buy")
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    assert ".csv" in answer["Content-Disposition"]
    assert "Stop valve" in words(answer)
    assert "Crosshead" not in words(answer)
    assert "Oil cup" in words(client.get(at("undecided_csv", engine)))
