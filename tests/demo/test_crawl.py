"""The demonstration, read from end to end by those who may not see its places.

What tells a place is taken from the rows themselves: whatever was written in a column that was
declared a place, in whole and sentence by sentence, each square of the ground, and each word that
says where a find lay or is kept and stands nowhere else.
"""

import html
import re
from datetime import date, timedelta

import pytest
from django.apps import apps
from django.conf import settings
from django.db.models import CharField, TextField
from django.urls import reverse

from parts.demo.clearing import way_to_engine
from parts.engine.models import Ownership
from parts.photos.models import Photo
from parts.record.access import Role
from parts.record.models import Engine, Find, Membership, column
from parts.record.models.column import Kind
from parts.reports.actions import links
from parts.reports.models import Report
from parts.workshop.bars.models import Bar
from parts.workshop.metal.models import MetalLot
from tests.crawl import Crawl
from tests.screens.test_reading import sheets_left  # noqa: F401

pytestmark = [pytest.mark.django_db, pytest.mark.long]
SQUARE = re.compile(r"\b[A-G][1-9]\b")
# Degrees, pairs of decimal degrees, references of the British national grid, and what cameras add.
COORDINATES = re.compile(
    r"\d°\s?\d{1,2}['′ ]|-?\d{1,2}\.\d{4,}\s*[,;/ ]\s*-?\d{1,3}\.\d{4,}"
    r"|\b[HNOST][A-Z]\s?\d{3,5}\s\d{3,5}\b|GPS"
)
# A sentence of the program's own, which stands in reasons of the store too, and tells no place.
BOOKED = re.compile(r"booked by pour \d+")
HERE = "54.31287, -2.05614"
WHERE = (
    (Find, ("where_found", "kept_at")),
    (MetalLot, ("where_from", "kept_at")),
    (Bar, ("kept_at",)),
)


def _values(rows, *names) -> set[str]:
    return {value for name in names for value in rows.values_list(name, flat=True) if value}


def _written(engine, *kinds: Kind) -> set[str]:
    """What was written in the columns of words of these kinds, in all rows of an engine."""
    told = set()
    for model in apps.get_app_config("parts").get_models():
        way = "pk" if model is Engine else way_to_engine(model)
        fields = [model._meta.get_field(name) for name in column.declared(model, *kinds)]
        names = [f.name for f in fields if isinstance(f, CharField | TextField) and not f.choices]
        told |= _values(model._base_manager.filter(**{way: engine.pk}), *names)
    return told


def _own_words() -> str:
    """Every word that the program itself may print."""
    files = [*(settings.BASE_DIR / "templates").rglob("*.html")]
    files += [f for f in (settings.BASE_DIR / "parts").rglob("*.py") if "demo" not in f.parts]
    files += (settings.BASE_DIR / "parts" / "engineering").rglob("*.csv")
    return " ".join(file.read_text() for file in files)


def _plain(text: str) -> str:
    return " ".join(html.unescape(text).lower().split())


def place_words(engine) -> set[str]:
    """What would tell a place of the engine: sentences, squares and single words."""
    passed = _values(Photo.objects.filter(engine=engine, may_go_out=True), "caption")
    passed |= _values(Ownership.objects.filter(engine=engine, right="owns"), "who")
    harmless = _plain(" | ".join([_own_words(), *passed, *_written(engine, Kind.OPEN, Kind.MONEY)]))
    written = _written(engine, Kind.PLACE)
    sentences = {_plain(part) for text in written for part in [text, *re.split(r"[.;\n]", text)]}
    where = {engine.place}
    for model, names in WHERE:
        where |= _values(model.objects.filter(engine=engine), *names)
    known = set(re.findall(r"\w+", harmless))
    words = {w for text in where for w in re.findall(r"[a-z]{4,}", _plain(text))} - known
    # A3 and A4 are sizes of paper too.
    squares = {s for text in written for s in SQUARE.findall(text)} - {"A3", "A4"}
    told = {s for s in sentences if len(s) >= 16 and s not in harmless and not BOOKED.fullmatch(s)}
    return told | {f"square {s.lower()}" for s in squares} | words


def leaks(told: Crawl, words: set[str]) -> list[str]:
    """Place words and coordinates that were served, each with an address."""
    anywhere = re.compile(r"\b(?:" + "|".join(re.escape(w) for w in words) + r")\b")
    found = {}
    for address, text in told.served.items():
        for match in anywhere.findall(_plain(text)) + COORDINATES.findall(text):
            found.setdefault(match, address)
    return [f"{word!r} at {address}" for word, address in found.items()]


def someone(engine, role: str):
    return Membership.objects.filter(engine=engine, role=role).order_by("pk").first().user


@pytest.fixture
def words(demo):
    """The place words of the demonstration, with coordinates added to its places."""
    Engine.objects.filter(pk=demo.pk).update(place=f"{demo.place} {HERE}")
    find = Find.objects.filter(engine=demo).first()
    Find.objects.filter(pk=find.pk).update(note=f"By the phone: {HERE}")
    told = place_words(demo)
    assert len(told) > 500
    assert told >= {"square d3", "square b6"}
    return told


def starts_of(engine) -> list[str]:
    return ["/", engine.get_absolute_url()]


def test_no_place_is_served_to_a_reader_and_no_link_that_is_refused(demo, words, client):
    client.force_login(someone(demo, Role.READER))
    told = Crawl(client, starts_of(demo), papers=3)
    assert told.refused == []
    assert leaks(told, words) == []


def test_the_same_crawl_finds_places_where_the_engine_allows_them(demo, words, client):
    Engine.objects.filter(pk=demo.pk).update(readers_see_places=True)
    client.force_login(someone(demo, Role.READER))
    told = Crawl(client, starts_of(demo), of_each=40)
    assert told.refused == []
    found = leaks(told, words)
    assert len(found) > 200
    assert any(HERE in one for one in found)


@pytest.mark.parametrize("role", [Role.HELPER, Role.LEAD])
@pytest.mark.usefixtures("sheets_left")
def test_every_link_that_a_role_is_shown_may_be_opened(demo, client, role):
    """And no sheet queries while it is drawn."""
    client.force_login(someone(demo, role))
    told = Crawl(client, starts_of(demo), of_each=25, papers=1)
    assert len(told.served) > 300
    assert told.refused == []


def test_a_reading_link_serves_no_place(demo, words, client):
    lead = someone(demo, Role.LEAD)
    until, today = date.today() + timedelta(days=9), date.today()
    starts = []
    for report in Report.objects.filter(engine=demo):
        _, secret = links.add_link(report, "a fund", until, by=lead, today=today)
        starts += [reverse("parts:read", args=[secret]), reverse("parts:read_pdf", args=[secret])]
    told = Crawl(client, starts, papers=20)
    assert len(told.served) > len(starts)
    assert told.refused == []
    assert leaks(told, words) == []
