"""Forms, sent with hostile words among good ones: refused in words or saved, never a fault."""

import pytest

from tests.screens import fuzz

pytestmark = pytest.mark.django_db


def ask(monkeypatch, ways: int, examples: int, *, same: bool, share=slice(None)) -> None:
    fuzz.write_papers_once(monkeypatch)
    ground = fuzz.Ground(ways)
    forms = [one for one in ground.addresses.values() if one.forms]
    # Most of what is written to has its form on a page; else this test asks nothing.
    assert len(forms) > 80
    for one in forms[share]:
        fuzz.hold(ground, one, examples, same=same)


def test_no_form_fails(monkeypatch):
    ask(monkeypatch, 1, 5, same=True)


@pytest.mark.long
@pytest.mark.parametrize("half", [0, 1])
def test_no_form_fails_however_it_is_filled_in(monkeypatch, half):
    ask(monkeypatch, 4, 100, same=False, share=slice(half, None, 2))
