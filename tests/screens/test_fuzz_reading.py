"""Addresses that are only opened, asked with hostile paths and queries: never a fault."""

import pytest

from tests.screens import fuzz

pytestmark = pytest.mark.django_db


def ask(monkeypatch, ways: int, examples: int, *, same: bool) -> None:
    fuzz.write_papers_once(monkeypatch)
    ground = fuzz.Ground(ways)
    for one in ground.addresses.values():
        if not one.forms:
            fuzz.hold(ground, one, examples, same=same)


def test_no_address_that_is_opened_fails(monkeypatch):
    ask(monkeypatch, 1, 5, same=True)


@pytest.mark.long
def test_no_address_that_is_opened_fails_however_it_is_asked(monkeypatch):
    ask(monkeypatch, 4, 100, same=False)
