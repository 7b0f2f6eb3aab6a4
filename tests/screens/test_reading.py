"""Opening a page only reads the record, and putting it on paper does not even read."""

import inspect
import pkgutil
import sys
from contextlib import nullcontext
from datetime import timedelta
from functools import wraps
from importlib import import_module

import pytest
from django.db import connection
from django.template.loader import render_to_string
from django.urls import reverse

import parts
from parts.drafting import paper
from parts.reports import issuing
from parts.reports.queries.report import Details
from tests import make
from tests.screens.test_who_may import BY_SECRET, TABLE, World, addresses

pytestmark = pytest.mark.django_db

READS = ("SELECT", "SAVEPOINT", "RELEASE SAVEPOINT", "ROLLBACK TO SAVEPOINT")
# What is written though an address is only opened.
MAY_WRITE = {
    # How often a link was read, and when.
    "read": 'UPDATE "parts_readinglink" ',
    # The paper of a report that could not be printed on the day, made when it is asked for.
    "report_pdf": 'UPDATE "parts_report" ',
    "read_pdf": 'UPDATE "parts_report" ',
}


@pytest.fixture(autouse=True)
def words_for_paper(monkeypatch):
    """The words of papers are made, which may query; setting them in type cannot, and is slow."""

    def write_pdf(template, context, **more):
        return b"%PDF-1.7" + render_to_string(template, context).encode()

    monkeypatch.setattr(paper, "write_pdf", write_pdf)


@pytest.fixture
def world():
    return World()


def open_every_page(world, client, around):
    """Open all addresses that can be opened, as a lead; inside `around` of the name of each."""
    client.force_login(world.people["lead"])
    for name, wants in sorted(addresses().items()):
        if name in BY_SECRET or TABLE[name][0]:
            with around(name):
                answer = client.get(world.address(name, wants))
            if answer.status_code == 302:
                assert not answer["Location"].startswith("/account/login/"), name
                answer = client.get(answer["Location"])
            assert answer.status_code == 200, name


def test_no_page_writes_because_it_is_opened(world, client):
    def only_reads(name):
        def refuse(execute, sql, params, many, context):
            assert sql.lstrip("(").startswith((*READS, MAY_WRITE.get(name, "SELECT"))), (
                f"{name}: {sql[:200]}"
            )
            return execute(sql, params, many, context)

        return connection.execute_wrapper(refuse)

    open_every_page(world, client, only_reads)


def functions_of_sheets() -> set:
    """Every function that others may call in a module of sheets."""
    names = [m.name for m in pkgutil.walk_packages(parts.__path__, "parts.")]
    modules = [import_module(name) for name in names if "sheets" in name.split(".")]
    return {
        one
        for module in modules
        for name, one in vars(module).items()
        if inspect.isfunction(one) and one.__module__ == module.__name__ and name[0] != "_"
    }


@pytest.fixture
def sheets_left(monkeypatch) -> dict:
    """Let no sheet query while it is drawn; the functions of sheets that were not called yet."""
    left = {one: f"{one.__module__}.{one.__name__}" for one in functions_of_sheets()}

    def refuse(execute, sql, params, many, context):
        raise AssertionError(f"A sheet queries: {sql[:300]}")

    def guarded(function):
        @wraps(function)
        def draw(*args, **kwargs):
            left.pop(function, None)
            with connection.execute_wrapper(refuse):
                return function(*args, **kwargs)

        return draw

    instead = {function: guarded(function) for function in left}
    for module in [m for name, m in sys.modules.items() if name.startswith("parts.")]:
        for name, value in list(vars(module).items()):
            if inspect.isfunction(value) and value in instead:
                monkeypatch.setattr(module, name, instead[value])
    return left


def test_no_sheet_queries_while_it_is_drawn(world, client, sheets_left):
    make.bearing(world.part, {"journal": 100, "shell": 112, "length": 150})
    open_every_page(world, client, lambda name: nullcontext())
    legs = {"mass": "900 kg", "near": "300 mm", "far": "600 mm", "height": "900 mm"}
    client.get(reverse("parts:haul", args=[world.engine.pk, "off-centre"]), legs)
    days = (make.FIRST_DAY, make.FIRST_DAY + timedelta(days=300))
    details = Details(2, "R", *days)
    draft = issuing.draw_up(world.engine, details, [world.photo])
    issuing.issue(world.engine, details, draft, by=world.people["lead"])
    assert set(sheets_left.values()) == set()
