"""How the demonstration begins: whole or not at all, and beside what is there already."""

from pathlib import Path

import pytest

from parts.demo import load, people, story
from parts.record.actions.saving import Refused
from parts.record.models import Engine
from tests import make

pytestmark = pytest.mark.django_db


def test_a_story_that_breaks_a_rule_leaves_nothing(db, monkeypatch, settings, tmp_path):
    # A folder of its own: engines of other tests had the same number.
    settings.MEDIA_ROOT = tmp_path
    rows = list(story.read("harrow_gap", "entries"))
    rows.append(rows[-1] | {"kind": "lost", "pieces": "999", "job": "", "stage": ""})
    real = story.read
    monkeypatch.setattr(
        story,
        "read",
        lambda engine, table: (
            tuple(rows) if (engine, table) == ("harrow_gap", "entries") else real(engine, table)
        ),
    )
    media = Path(settings.MEDIA_ROOT)
    files = set(media.rglob("original*"))
    with pytest.raises(Refused, match="had been found"):
        load.load()
    assert not Engine.everything.filter(demo=True).exists()
    assert set(media.rglob("original*")) == files


def test_whoever_is_here_already_is_left_alone(db):
    real = make.user("marta", password="their-own-word-7")
    known = people.enter()
    assert known["M. Ellery"].username == "demo-marta"
    real.refresh_from_db()
    assert real.check_password("their-own-word-7")
    assert not real.groups.exists()
