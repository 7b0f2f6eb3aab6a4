"""Every address asked with hostile paths, queries and forms: it refuses in words or saves."""

import pytest

from tests.screens import fuzz

pytestmark = pytest.mark.django_db


def ask(monkeypatch, ways: int, examples: int, *, same: bool, share=slice(None)) -> None:
    fuzz.write_papers_once(monkeypatch)
    ground = fuzz.Ground(ways)
    addresses = list(ground.addresses.values())
    # Most of what is written to has its form on a page; else it is never sent one.
    assert sum(bool(one.forms) for one in addresses) > 80
    for one in addresses[share]:
        fuzz.hold(ground, one, examples, same=same)


def test_no_address_fails(monkeypatch):
    ask(monkeypatch, 1, 3, same=True)


@pytest.mark.long
@pytest.mark.parametrize("part", range(4))
def test_no_address_fails_however_it_is_asked(monkeypatch, part):
    ask(monkeypatch, 4, 100, same=False, share=slice(part, None, 4))
