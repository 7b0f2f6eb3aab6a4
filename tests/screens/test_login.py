"""Logging in and out, guessing at passwords, and what a browser may keep of a page."""

from datetime import timedelta

import pytest
from axes.models import AccessAttempt
from django.test import Client
from django.urls import NoReverseMatch, reverse
from waitress.proxy_headers import proxy_headers_middleware

from tests import make
from tests.screens.asking import text
from tests.screens.test_who_may import BY_SECRET, World, addresses

WORD = "a-long-word-9"
LOGIN, LOGOUT, ACCOUNT = "/account/login/", "/account/logout/", "/account/"
LIMIT = 8

pytestmark = pytest.mark.django_db


@pytest.fixture
def slowed(settings):
    """Guessing is slowed, as it is outside the tests."""
    settings.AXES_ENABLED = True
    assert settings.AXES_FAILURE_LIMIT == LIMIT


@pytest.fixture
def ada(slowed):
    return make.user("ada")


def log_in(name, word=WORD, client=None, address="192.0.2.1", **headers):
    client = client or Client()
    sent = {"username": name, "password": word}
    return client.post(LOGIN, sent, REMOTE_ADDR=address, **headers)


def wait(minutes: int) -> None:
    """Let so much time pass since the failures that are on record."""
    for row in AccessAttempt.objects.all():
        row.attempt_time -= timedelta(minutes=minutes)
        row.save()


def test_many_addresses_at_one_name_are_slowed(ada):
    got = [log_in("ada", "wrong", address=f"192.0.2.{n}").status_code for n in range(1, 13)]
    assert got == [200] * (LIMIT - 1) + [429] * (12 - LIMIT + 1)
    assert log_in("ada", address="198.51.100.9").status_code == 429


def test_many_names_from_one_address_are_slowed(ada):
    got = [log_in(f"name{n}", "wrong").status_code for n in range(14)]
    assert got == [200] * (LIMIT - 1) + [429] * (14 - LIMIT + 1)
    assert log_in("ada").status_code == 429
    assert log_in("ada", address="192.0.2.2").status_code == 302


def test_who_is_slowed_is_told_how_long_to_wait(ada):
    for _ in range(LIMIT):
        answer = log_in("ada", "wrong")
    assert answer.status_code == 429
    assert 14 * 60 < int(answer["Retry-After"]) <= 15 * 60
    assert "Wait 15 minutes" in text(answer)
    wait(5)
    answer = log_in("ada")
    assert 9 * 60 < int(answer["Retry-After"]) <= 10 * 60
    assert "Wait 10 minutes" in text(answer)


def test_trying_on_while_slowed_makes_nobody_wait_longer(ada):
    for _ in range(LIMIT):
        log_in("ada", "wrong")
    wait(14)
    for _ in range(5):
        assert log_in("ada", "wrong").status_code == 429
    wait(2)
    assert log_in("ada").status_code == 302


def test_who_has_a_session_goes_on_while_others_fail_at_the_name(ada):
    client = Client()
    log_in("ada", client=client)
    for n in range(20):
        log_in("ada", "wrong", address=f"198.51.100.{n}")
    assert client.get("/").status_code == 200


def test_a_browser_that_logged_in_before_is_not_held_up_by_others_failures(ada):
    client = Client()
    log_in("ada", client=client)
    client.post(LOGOUT)
    for n in range(20):
        log_in("ada", "wrong", address=f"198.51.100.{n}")
    assert log_in("ada", address="192.0.2.9").status_code == 429
    assert log_in("ada", client=client).status_code == 302


def test_a_browser_known_as_one_person_is_slowed_at_its_own_and_at_other_names(ada):
    make.user("eve")
    client = Client()
    log_in("eve", client=client)
    for n in range(LIMIT):
        answer = log_in("ada", "wrong", client=client, address=f"198.51.100.{n}")
    assert answer.status_code == 429
    own = [log_in("eve", "wrong", client=client, address="203.0.113.1") for _ in range(LIMIT)]
    assert own[-1].status_code == 429
    client.cookies["known"] = "ada:forged"
    assert log_in("ada", client=client).status_code == 429


def test_logging_in_as_oneself_forgives_no_guesses_at_others(ada):
    make.user("eve")
    got = []
    for _ in range(LIMIT + 2):
        got.append(log_in("ada", "wrong").status_code)
        log_in("eve")
    assert 429 in got


def test_a_login_that_fits_forgives_ones_own_slips(ada):
    for _ in range(3):
        for _ in range(LIMIT - 1):
            assert log_in("ada", "wrong").status_code == 200
        assert log_in("ada").status_code == 302


def test_an_ipv6_network_counts_as_one_address(ada):
    got = [log_in(f"n{n}", "wrong", address=f"2001:db8::{n + 1:x}") for n in range(LIMIT)]
    assert got[-1].status_code == 429
    assert log_in("ada", address="2001:db8:0:1::1").status_code == 302


def test_a_header_of_the_client_does_not_change_its_address(ada):
    got = [log_in(f"n{n}", "wrong", HTTP_X_FORWARDED_FOR=f"192.0.2.{n}") for n in range(LIMIT)]
    assert got[-1].status_code == 429


@pytest.mark.parametrize(
    ("public", "peer", "seen"),
    [
        (True, "127.0.0.1", "203.0.113.7"),  # what our own proxy adds stands last
        (True, "203.0.113.9", "203.0.113.9"),  # somebody else's header
        (False, "127.0.0.1", "127.0.0.1"),
    ],
)
def test_the_web_server_takes_the_address_from_our_own_proxy_alone(
    public, peer, seen, settings, monkeypatch, tmp_path
):
    from parts.management import serving

    given, told = {}, []
    settings.PUBLIC, settings.DATA_DIR = public, tmp_path
    monkeypatch.setattr("waitress.serve", lambda app, **options: given.update(options))
    serving.serve(8971, told.append, told.append)
    proxied = {k: v for k, v in given.items() if k.startswith("trusted_proxy")}
    environ = {
        "REMOTE_ADDR": peer,
        "REMOTE_HOST": peer,
        "REMOTE_PORT": "1",
        "SERVER_NAME": "x",
        "SERVER_PORT": "80",
        "wsgi.url_scheme": "http",
        "HTTP_X_FORWARDED_FOR": "192.0.2.66, 203.0.113.7",
    }
    if proxied:
        headers = proxied.pop("trusted_proxy_headers").split()
        proxy_headers_middleware(
            lambda environ, start: told.append(environ),
            trusted_proxy_headers=set(headers),
            **proxied,
        )(environ, None)
    assert environ["REMOTE_ADDR"] == seen


def test_the_admin_is_entered_by_the_same_door(ada, client):
    assert reverse("admin:login") == "/admin/login/"
    for _ in range(LIMIT):
        answer = client.post("/admin/login/", {"username": "ada", "password": "wrong"})
    assert answer.status_code == 429
    assert "Django" not in client.get("/admin/login/").content.decode()


@pytest.mark.parametrize(
    "name", ["password_change", "password_change_done", "password_reset", "password_reset_done"]
)
def test_the_stock_pages_of_an_account_are_gone(name, client):
    with pytest.raises(NoReverseMatch):
        reverse(name)
    client.force_login(make.user(is_staff=True, is_superuser=True))
    for place in ("/account/", "/admin/"):
        answer = client.get(place + name.replace("_done", "/done") + "/")
        assert answer.status_code in (302, 404)
        if answer.status_code == 302:
            assert answer["Location"] == ACCOUNT


def test_login_leads_only_to_pages_of_this_site(ada):
    for place in ("//evil.example/", "https://evil.example/", "/\\evil.example", "javascript:a"):
        sent = {"username": "ada", "password": WORD, "next": place}
        assert Client().post(LOGIN, sent)["Location"] == "/"


# One's own password


def change(client, old=WORD, new="another-word-7", again=None):
    sent = {"old_password": old, "new_password1": new, "new_password2": again or new}
    return client.post(ACCOUNT, sent)


def test_a_person_changes_the_own_password_and_stays_logged_in(ada):
    client, elsewhere = Client(), Client()
    log_in("ada", client=client)
    log_in("ada", client=elsewhere)
    assert change(client)["Location"] == ACCOUNT
    assert "Your password is changed" in client.get(ACCOUNT).content.decode()
    assert elsewhere.get("/").status_code == 302
    assert log_in("ada").status_code == 200
    assert log_in("ada", "another-word-7").status_code == 302


@pytest.mark.parametrize(
    ("sent", "says"),
    [
        ({"old": "wrong"}, "not your present password"),
        ({"new": "12345678901"}, "numeric"),
        ({"new": "short"}, "short"),
        ({"again": "something-else-1"}, "didn’t match"),
    ],
)
def test_a_new_password_is_refused_in_words(ada, sent, says):
    client = Client()
    client.force_login(ada)
    answer = change(client, **sent)
    assert answer.status_code == 200
    assert says in text(answer)
    ada.refresh_from_db()
    assert ada.check_password(WORD)


def test_guessing_at_the_present_password_is_slowed(ada):
    client = Client()
    client.force_login(ada)
    got = [change(client, old=f"guess{n}").status_code for n in range(LIMIT)]
    assert got == [200] * (LIMIT - 1) + [429]
    assert change(client)["Retry-After"]
    ada.refresh_from_db()
    assert ada.check_password(WORD)


def test_ones_own_name_leads_to_the_account(client):
    client.force_login(make.user("ada"))
    assert f'<a href="{ACCOUNT}">Ada</a>' in client.get("/").content.decode()


# What a browser may keep


@pytest.mark.usefixtures("blank_paper")
def test_pages_of_members_are_asked_for_again_and_of_secrets_not_kept(client):
    world = World()
    client.force_login(world.people["lead"])
    wrong = []
    for name, wants in addresses().items():
        answer = client.get(world.address(name, wants))
        kept = answer["Cache-Control"]
        secret = name in BY_SECRET or name in SECRETS
        right = "no-store" in kept if secret else kept == "private, no-cache"
        if not right or "private" not in kept:
            wrong.append(f"{name}: {kept}")
    assert not wrong
    wrong_secret = client.get("/read/nothing/")
    assert (wrong_secret.status_code, wrong_secret["Cache-Control"]) == (404, "private, no-store")
    assert "no-store" in Client().get(LOGIN)["Cache-Control"]


# Pages on which a password is written, or a link's secret is shown.
SECRETS = {"account", "person_new", "person_password", "link_new"}


def test_a_picture_is_asked_for_again_but_sent_once(client):
    world = World()
    client.force_login(world.people["reader"])
    address = world.address("photo_file", {"engine", "pk", "size"})
    first = client.get(address)
    assert b"".join(first.streaming_content)
    again = client.get(address, HTTP_IF_NONE_MATCH=first["ETag"])
    assert (again.status_code, again.content) == (304, b"")
    assert again["Cache-Control"] == "private, no-cache"
    client.force_login(world.people["stranger"])
    assert client.get(address, HTTP_IF_NONE_MATCH=first["ETag"]).status_code == 404


def test_logout_clears_what_the_browser_kept_of_pages_but_not_its_storage(client):
    person = make.user()
    for place in (LOGOUT, "/admin/logout/"):
        client.force_login(person)
        assert client.get(place).status_code == 405
        assert client.post(place)["Clear-Site-Data"] == '"cache"'
