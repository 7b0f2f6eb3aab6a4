"""What an attacker tries: another engine's rows in a form, writing by a link, forged requests."""

import re
from itertools import count

import pytest
from django.apps import apps
from django.db import connection, transaction
from django.test import Client

from parts.record.models import Engine
from tests import make
from tests.screens.fuzz import FILE, Ground, sendable
from tests.screens.test_who_may import World, addresses

pytestmark = pytest.mark.django_db

NUMBER = re.compile(r"[0-9]+$")
WRITES = re.compile(r'^(?:INSERT INTO|UPDATE|DELETE FROM) "(\w+)"')


def mixed(written=None) -> list[str]:
    """Every row that names rows of two engines.

    Args:
        written: Tables; only rows of these, and rows that name such, are looked at.
    """
    engines = {}

    def links(model) -> list:
        return [f for f in model._meta.concrete_fields if f.is_relation]

    def engine_of(model, pk) -> int | None:
        """The engine a row belongs to, by itself or by what it is of."""
        if model is Engine or pk is None:
            return pk
        if (model, pk) not in engines:
            row = model._base_manager.get(pk=pk)
            of = (
                engine_of(f.related_model, getattr(row, f.attname))
                for f in links(model)
                if f.related_model._meta.app_label == "parts"
            )
            engines[model, pk] = next(filter(None, of), None)
        return engines[model, pk]

    found = []
    for model in apps.get_app_config("parts").get_models():
        tables = {model._meta.db_table, *(f.related_model._meta.db_table for f in links(model))}
        if written is not None and tables.isdisjoint(written):
            continue
        for row in model._default_manager.all():
            of = {engine_of(f.related_model, getattr(row, f.attname)) for f in links(model)}
            if len(of - {None}) > 1:
                found.append(f"{model.__name__} {row.pk}")
    return found


def foreign(pages=None, kinds=None, share=slice(None)) -> list[str]:
    """Send rows of another engine in every field that names a row; what was taken wrongly."""
    ground = Ground(1, pages)
    other = World()
    theirs = {
        name: row.pk
        for name, row in vars(other).items()
        if hasattr(row, "pk") and name in (kinds or vars(other))
    }
    assert mixed() == []
    wrong, tried, written = [], count(), set()

    def watch(execute, sql, params, many, context):
        written.update(WRITES.findall(sql))
        return execute(sql, params, many, context)

    for one in list(ground.addresses.values())[share]:
        for address, form in one.forms.items():
            for name, known in form.items():
                known = [value for value in known if value != FILE]
                if not any(map(NUMBER.search, known)):
                    continue
                before = NUMBER.sub("", next(filter(NUMBER.search, known)))
                for pk in {f"{before}{pk}" for pk in theirs.values()} - set(known):
                    next(tried)
                    sent = {n: values[0] for n, values in form.items()} | {name: pk}
                    written.clear()
                    with transaction.atomic(), connection.execute_wrapper(watch):
                        answer = ground.client.post(address, sendable(sent))
                        # What is refused answers 200, with the form.
                        if answer.status_code != 200 and (found := mixed(written)):
                            wrong.append(f"{one.name}: {name}={pk}: {found}")
                        transaction.set_rollback(True)
    assert next(tried) > 10
    return wrong


def test_no_form_takes_a_row_of_another_engine():
    assert not foreign({"hours_new", "lift_new", "identify"}, {"part", "component", "gear"})


@pytest.mark.long
@pytest.mark.parametrize("part", range(3))
def test_no_form_takes_any_row_of_another_engine(part):
    assert not foreign(share=slice(part, None, 3))


def test_nothing_is_sent_without_the_token_of_a_form():
    world = World()
    client = Client(enforce_csrf_checks=True)
    client.force_login(world.people["lead"])
    wrong = {
        name: got
        for name, wants in addresses().items()
        if (got := client.post(world.address(name, wants)).status_code) not in (403, 405)
    }
    assert not wrong


def test_a_title_with_line_breaks_does_not_break_the_header_of_a_file(client):
    world = World()
    client.force_login(world.people["lead"])
    type(world.report).objects.update(title='R"\r\nSet-Cookie: a=b\n/../x')
    answer = client.get(world.address("report_pdf", {"engine", "pk"}))
    assert answer.status_code in (200, 302)
    assert "Set-Cookie" not in answer.headers
    if answer.status_code == 200:
        plain = r'attachment; filename="[a-z0-9-]+\.pdf"'
        assert re.fullmatch(plain, answer["Content-Disposition"])


def test_a_picture_has_only_the_sizes_it_was_made_in(client):
    world = World()
    client.force_login(world.people["lead"])
    for name in ("photo_file", "report_photo", "read_photo"):
        address = world.address(name, addresses()[name])
        assert client.get(address).status_code == 200
        for size in ("0", "321", "5000", "9" * 18):
            assert client.get(address.replace("/320.jpg", f"/{size}.jpg")).status_code == 404


@pytest.mark.parametrize(
    "words", ["=1+1", "+1", "-1", "@a", "\t=1", "\r=1", "\n=1", "＝1", "＋1", "－1", "＠a"]
)
def test_no_cell_of_a_table_is_run_as_a_formula(client, words):
    world = World()
    client.force_login(world.people["lead"])
    type(world.cost).objects.update(what=words)
    make.lot(world.engine, name=words)
    for name in ("costs_csv", "tally_csv", "metal_csv"):
        table = client.get(world.address(name, {"engine"})).content.decode()
        assert f"'{words}" in table or words not in table, name
    assert f"'{words}" in client.get(world.address("costs_csv", {"engine"})).content.decode()
