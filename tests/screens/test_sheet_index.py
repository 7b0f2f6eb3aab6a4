"""The index of sheets: nothing is left out of it, and it lists what a person may open."""

import pytest

from parts.templatetags.sheet_index import SHEETS
from tests import make
from tests.screens.asking import at, text
from tests.screens.test_who_may import BY_SECRET, addresses

pytestmark = pytest.mark.django_db

PAGES = [page for _, pages in SHEETS for page in pages]


def test_every_page_of_an_engine_stands_under_one_page():
    under = [name for page in PAGES for name in (page.name, *page.under)]
    assert len(under) == len(set(under))
    opened = {name for name, wanted in addresses().items() if "engine" in wanted} - BY_SECRET
    assert opened - set(under) == {"balloon_move", "fastener_pick", "pour_free"}  # only sent to
    assert set(under) - opened == set()


@pytest.mark.parametrize("role", ["lead", "helper", "reader"])
def test_it_lists_only_what_the_person_may_open(role, engine, as_role, client):
    as_role(role)
    page = text(client.get(engine.get_absolute_url()))
    menu = page.split('aria-label="Menu"')[1].split("</nav>")[0]
    listed = {one.name for one in PAGES if f'href="{at(one.name, engine)}"' in menu}
    assert {one.name for one in PAGES} - listed == (
        {"reader": {"pours", "metal", "bars", "bar_plan", "diary", "people"}, "helper": {"people"}}
    ).get(role, set())
    for name in listed:
        assert client.get(at(name, engine)).status_code == 200, name


def test_the_page_that_is_shown_is_marked_in_index_and_menu(engine, lead, client):
    job = make.job(make.part(engine))
    page = text(client.get(at("job_edit", engine, job.pk)))
    assert page.count(f'<a href="{at("jobs", engine)}" aria-current="page">') == 2
    assert page.count('aria-current="true"') == 2


def test_a_page_has_the_name_that_the_index_gives_it(engine, lead, client):
    """The first page of a sheet may be called by the name of the sheet."""
    for sheet, pages in SHEETS:
        for page in pages:
            answer = text(client.get(at(page.name, engine)))
            title = answer.split("<h1>")[1].split("</h1>")[0].strip()
            names = {page.word, sheet, str(engine)} if page is pages[0] else {page.word}
            assert title in names, page.name
