"""The cast of the tests of screens. A file that wants another engine or lead defines its own."""

import pytest

from parts.documents import paper
from tests import make


@pytest.fixture
def engine():
    return make.engine(name="Mill engine", tag_prefix="ME")


@pytest.fixture
def lead(engine, client):
    person = make.member(engine, "lead", "ada")
    client.force_login(person)
    return person


@pytest.fixture
def as_role(engine, client):
    def login(role):
        person = make.member(engine, role)
        client.force_login(person)
        return person

    return login


@pytest.fixture
def blank_paper(monkeypatch):
    """For tests that ask who may have a paper and not what is on it: none is laid out."""
    monkeypatch.setattr(paper, "write_pdf", lambda *given, **more: b"%PDF-1.7")
