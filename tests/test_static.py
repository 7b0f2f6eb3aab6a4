"""Styles, fonts and scripts are gathered once, and all that lies where they are served is meant."""

import pytest
from django.contrib.staticfiles import finders

from parts.management import serving


@pytest.fixture
def root(settings, tmp_path):
    settings.STATIC_ROOT = tmp_path / "static"
    return settings.STATIC_ROOT


def served(root) -> set[str]:
    return {p.relative_to(root).as_posix() for p in root.rglob("*") if p.is_file()}


def test_nothing_is_served_but_what_was_gathered(root):
    root.mkdir()
    (root / ".gathered").write_text("as it once was kept", encoding="utf-8")
    serving._gather()
    ours = {name for finder in finders.get_finders() for name, _ in finder.list([])}
    assert served(root) == ours
    assert not [name for name in ours if "/." in f"/{name}"]


def test_it_is_gathered_again_only_when_something_changed_or_is_gone(root, monkeypatch):
    asked = []
    gather = serving.call_command
    monkeypatch.setattr(serving, "call_command", lambda *a, **k: (asked.append(a), gather(*a, **k)))
    serving._gather()
    serving._gather()
    assert len(asked) == 1
    for path in sorted(root.rglob("*"), reverse=True):
        path.unlink() if path.is_file() else path.rmdir()
    root.rmdir()
    serving._gather()
    assert len(asked) == 2
    assert served(root)
