"""A browser shows a page again that it kept, and never one that was made for somebody else."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from parts.record.actions import saving
from parts.record.models import Component, Membership
from parts.record.views import common
from tests import make

pytestmark = pytest.mark.django_db
PAGES = (
    *("engine", "part_list", "jobs", "undecided"),
    *("jobs_by_person", "costs", "pours", "fasteners"),
)


@pytest.fixture
def engine():
    engine = make.engine()
    make.cost(engine, "castings", ("paid", make.FIRST_DAY, 40), job=make.job(make.part(engine)))
    return engine


@pytest.fixture(params=PAGES)
def address(request, engine):
    return reverse(f"parts:{request.param}", args=[engine.pk])


def entered(person) -> Client:
    client = Client()
    client.force_login(person)
    return client


def tag_of(client, address) -> str:
    client.get(address)  # the first answer gives the cookie that forms are checked by
    return client.get(address)["ETag"]


def asked_again(client, address, tag):
    return client.get(address, headers={"if-none-match": tag})


def test_what_has_not_changed_is_not_sent_again(engine, address):
    client = entered(make.member(engine, "lead"))
    tag = tag_of(client, address)
    answer = asked_again(client, address, tag)
    assert (answer.status_code, answer.content) == (304, b"")
    assert answer["Cache-Control"] == "private, no-cache"


def test_two_people_of_two_roles_never_get_each_others_page(engine, address):
    lead, helper = (entered(make.member(engine, role)) for role in ("lead", "helper"))
    of_lead, of_helper = tag_of(lead, address), tag_of(helper, address)
    for client, tag, name in ((helper, of_lead, "helper"), (lead, of_helper, "lead")):
        answer = asked_again(client, address, tag)
        assert answer.status_code == 200
        assert answer.context["access"].role == name
    stranger = entered(make.user())
    assert asked_again(stranger, address, of_lead).status_code == 404


def test_one_person_who_changes_roles_gets_a_new_page(engine, address):
    person = make.member(engine, "lead")
    client = entered(person)
    tag = tag_of(client, address)
    Membership.objects.filter(user=person).update(role="helper")
    answer = asked_again(client, address, tag)
    assert (answer.status_code, answer.context["access"].role) == (200, "helper")
    Membership.objects.filter(user=person).update(role="reader")
    barred = address.endswith("/pours/")  # readers do not see the store
    assert asked_again(client, address, answer["ETag"]).status_code == (403 if barred else 200)
    Membership.objects.filter(user=person).update(removed_at=timezone.now())
    assert asked_again(client, address, tag).status_code == 404


def test_the_next_day_the_page_is_a_new_one(engine, address, monkeypatch):
    client = entered(make.member(engine, "lead"))
    tag = tag_of(client, address)
    tomorrow = timezone.localdate() + timedelta(days=1)
    monkeypatch.setattr(common, "today", lambda: tomorrow)
    assert asked_again(client, address, tag).status_code == 200


def test_a_change_of_the_record_a_name_or_the_app_makes_a_new_page(engine, address, monkeypatch):
    lead = make.member(engine, "lead")
    client, seen = entered(lead), set()

    def is_new():
        answer = client.get(address)
        new = answer["ETag"] not in seen
        seen.add(answer["ETag"])
        return new

    seen.add(tag_of(client, address))
    assert not is_new()
    saving.change(engine, {"name": "Another name"}, seen=engine.version, by=lead)
    assert is_new()
    saving.add(Component(engine=engine, number=99, name="Pump"), by=lead)
    assert is_new()
    lead.last_name = "Wheelwright"
    lead.save()
    assert is_new()
    monkeypatch.setattr(common, "app_version", lambda: 1)
    assert is_new()
    assert not is_new()


def test_other_units_are_another_page(engine):
    client = entered(make.member(engine, "reader"))
    address = reverse("parts:jobs_by_person", args=[engine.pk])
    tags = {tag_of(client, address + asked) for asked in ("", "?units=metric", "?units=customary")}
    assert len(tags) == 3


def test_a_page_with_a_message_is_not_kept(engine, address):
    client = entered(make.member(engine, "lead"))
    tag = tag_of(client, address)
    jobs = reverse("parts:jobs_pdf", args=[engine.pk])  # without a choice it leaves a message
    assert client.get(jobs).status_code == 302
    answer = asked_again(client, address, tag)
    assert answer.status_code == 200
    assert "ETag" not in answer
    assert b"Choose a job first" in answer.content
    assert asked_again(client, address, tag).status_code == 304
