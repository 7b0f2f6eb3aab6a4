"""What an installation may set: each is named, read rightly, and refused loudly when wrong."""

import io
import json
import os
import re
import stat
import subprocess
import sys
from pathlib import Path

import pytest
from django.conf import settings
from django.core.exceptions import ImproperlyConfigured
from django.core.management import call_command

from restoration import environment

HOUSE = Path(settings.BASE_DIR)
NAMED = re.compile(r"BEDPLATE_[A-Z_]+[A-Z]")


def run(*words: str, **setting: str) -> subprocess.CompletedProcess:
    """Run manage.py, or python with "-c", with these settings and no others of ours."""
    ours = ("BEDPLATE_", "DJANGO_")
    own = {name: value for name, value in os.environ.items() if not name.startswith(ours)}
    own |= {"DJANGO_SETTINGS_MODULE": "restoration.settings"} | setting
    words = words if words[0] == "-c" else ("manage.py", *words)
    return subprocess.run(
        [sys.executable, *words], cwd=HOUSE, env=own, capture_output=True, text=True, check=False
    )


@pytest.fixture
def public(tmp_path):
    return {
        "BEDPLATE_MODE": "public",
        "BEDPLATE_HOSTS": "engine.example, www.engine.example",
        "BEDPLATE_DATA": str(tmp_path),
    }


def test_a_public_site_passes_the_check_for_deploying(public):
    done = run("check", "--deploy", "--fail-level", "WARNING", **public)
    assert done.returncode == 0, done.stderr


@pytest.mark.django_db
def test_migrations_are_complete():
    out = io.StringIO()
    call_command("makemigrations", check_changes=True, dry_run=True, stdout=out)
    assert "No changes" in out.getvalue()


def told(names: list[str], **setting: str) -> dict:
    code = (
        "import json; from django.conf import settings; "
        f"print(json.dumps({{n: getattr(settings, n) for n in {names!r}}}, default=str))"
    )
    done = run("-c", code, **setting)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_public_cookies_travel_only_over_https(public):
    names = ["SECURE_SSL_REDIRECT", "SESSION_COOKIE_SECURE", "CSRF_COOKIE_SECURE", "ALLOWED_HOSTS"]
    names += ["SESSION_COOKIE_NAME", "CSRF_COOKIE_NAME", "DEBUG", "SECURE_HSTS_SECONDS"]
    got = told(names, **public)
    assert got["ALLOWED_HOSTS"] == ["engine.example", "www.engine.example"]
    assert all(got[name] for name in names[:3])
    assert got["DEBUG"] is False
    assert got["SECURE_HSTS_SECONDS"] >= 365 * 24 * 3600
    # The prefix makes a browser hold a cookie to this host, to https and to the whole site.
    assert got["SESSION_COOKIE_NAME"].startswith("__Host-")
    assert got["CSRF_COOKIE_NAME"].startswith("__Host-")


def test_on_this_machine_only_this_machine_is_answered(tmp_path):
    got = told(["ALLOWED_HOSTS", "SECURE_SSL_REDIRECT"], BEDPLATE_DATA=str(tmp_path))
    assert got == {
        "ALLOWED_HOSTS": ["localhost", "127.0.0.1", "[::1]"],
        "SECURE_SSL_REDIRECT": False,
    }


@pytest.mark.parametrize(
    ("setting", "says"),
    [
        ({"BEDPLATE_MODE": "open"}, "BEDPLATE_MODE is 'open'; it must be one of: machine, public."),
        ({"BEDPLATE_MODE": "public"}, "BEDPLATE_HOSTS must name the host"),
        ({"BEDPLATE_DEBUG": "1"}, "BEDPLATE_DEBUG is '1'; it must be one of: yes, no."),
        ({"BEDPLATE_UPLOAD_MB": "40 MB"}, "BEDPLATE_UPLOAD_MB is '40 MB'; it must be a whole"),
    ],
    ids=["mode", "hosts", "debug", "upload"],
)
def test_a_wrong_setting_is_refused_in_words(setting, says, tmp_path):
    done = run("check", BEDPLATE_DATA=str(tmp_path), **setting)
    assert done.returncode != 0
    assert says in done.stderr


def test_the_secret_key_is_made_once_and_kept_to_its_owner(tmp_path):
    folder = tmp_path / "new" / "data"
    first = environment.secret_key(folder)
    assert len(first) >= 50
    assert environment.secret_key(folder) == first
    assert stat.S_IMODE((folder / "secret_key").stat().st_mode) == 0o600


def test_a_whole_number_and_a_list_are_read(monkeypatch):
    monkeypatch.setenv("BEDPLATE_X", " a, b ,,")
    assert environment.names("BEDPLATE_X") == ["a", "b"]
    monkeypatch.setenv("BEDPLATE_X", "12")
    assert environment.whole("BEDPLATE_X", 3) == 12
    monkeypatch.setenv("BEDPLATE_X", "-3")
    with pytest.raises(ImproperlyConfigured, match="whole number"):
        environment.whole("BEDPLATE_X", 3)


def test_every_setting_is_told_in_the_settings_and_to_developers():
    used = set()
    for folder in ("restoration", "parts"):
        for path in (HOUSE / folder).rglob("*.py"):
            used |= set(NAMED.findall(path.read_text(encoding="utf-8")))
    head = (HOUSE / "restoration" / "settings.py").read_text(encoding="utf-8").split('"""')[1]
    developers = (HOUSE / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert len(used) >= 9
    assert used - set(NAMED.findall(head)) == set()
    assert used - set(NAMED.findall(developers)) == set()


@pytest.mark.parametrize(
    ("asked", "subdomains", "preload"),
    [
        ({}, False, False),
        ("host", False, False),
        ("subdomains", True, False),
        ("preload", True, True),
    ],
)
def test_https_is_demanded_of_other_hosts_only_if_asked(public, asked, subdomains, preload):
    names = ["SECURE_HSTS_INCLUDE_SUBDOMAINS", "SECURE_HSTS_PRELOAD", "SECURE_HSTS_SECONDS"]
    got = told(names, **public, **({"BEDPLATE_HSTS": asked} if asked else {}))
    assert [got[name] for name in names] == [subdomains, preload, 365 * 24 * 3600]
