"""Forms that carry files keep what was typed, files included, and are saved once."""

import errno
import importlib
import pkgutil
import uuid
from pathlib import Path

import pytest
from django import forms
from django.core.files.storage import FileSystemStorage, default_storage
from django.core.files.uploadedfile import SimpleUploadedFile

import parts
from parts.drawings.models import Drawing
from parts.money.models import CostPaper
from parts.photos.forms import CarriesFiles
from parts.photos.models import Photo
from parts.record.models import DiaryEntry, Find
from tests import make
from tests.screens.asking import at, text

pytestmark = pytest.mark.django_db
# Of each form: its address, the field of its files, what it saves, what is typed, what is wrong
# when it is refused, and a word that must stay.
FORMS = {
    "FindForm": (
        "find_new",
        "pictures",
        Find,
        {"quantity": 1, "day": "2026-03-01", "material": "steel", "looks_like": "bent lever"},
        {"quantity": 0},
        "bent lever",
    ),
    "DiaryForm": (
        "diary_new",
        "pictures",
        DiaryEntry,
        {"day": "2026-03-01", "done": "Dug the crank pit"},
        {"day": "yesterday"},
        "Dug the crank pit",
    ),
    "PhotoForm": (
        "photo_new",
        "picture",
        Photo,
        {"day": "2026-03-01", "caption": "The bed, cleaned"},
        {"day": "yesterday"},
        "The bed, cleaned",
    ),
    "SheetForm": (
        "drawing_new",
        "picture_file",
        Drawing,
        {"name": "Plan", "note": "Traced from the print"},
        {"name": ""},
        "Traced from the print",
    ),
    "PaperForm": (
        "paper_new",
        "file",
        CostPaper,
        {"kind": "quote", "name": "Foundry quote 114", "day": "2026-03-01"},
        {"day": "yesterday"},
        "Foundry quote 114",
    ),
}


class Screen:
    def __init__(self, engine, client, name):
        address, self.field, self.model, typed, self.wrong, self.word = FORMS[name]
        more = [make.cost(engine).pk] if name == "PaperForm" else []
        self.address, self.client = at(address, engine, *more), client
        self.typed = typed | {"uid": str(uuid.uuid4())}

    def send(self, *files, **more):
        sent = {self.field: list(files)} if files else {}
        return self.client.post(self.address, self.typed | more | sent)

    def rows(self):
        return self.model.everything.all()

    def files(self) -> int:
        named = {"photos", "papers", "waiting"}
        root = Path(default_storage.location)
        return sum(p.is_file() for kind in named for p in (root / kind).rglob("*"))


@pytest.fixture(params=FORMS)
def screen(request, engine, lead, client, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    return Screen(engine, client, request.param)


def test_every_form_with_a_file_is_in_the_table_and_follows_the_one_rule():
    found = {}
    for info in pkgutil.walk_packages(parts.__path__, "parts."):
        if ".forms" not in info.name:
            continue
        module = importlib.import_module(info.name)
        for name, kind in vars(module).items():
            fields = getattr(kind, "base_fields", {}).values()
            if any(isinstance(field, forms.FileField) for field in fields):
                found[name] = kind
    assert set(found) == set(FORMS)
    assert all(issubclass(kind, CarriesFiles) for kind in found.values())


def test_the_page_gives_the_form_an_id(screen):
    page = text(screen.client.get(screen.address))
    assert 'name="uid"' in page
    assert 'enctype="multipart/form-data"' in page


def test_a_file_waits_with_a_refused_form_and_goes_in_with_it(screen):
    page = text(screen.send(make.upload(), **screen.wrong))
    assert "1 file kept" in page
    assert screen.word in page
    assert screen.typed["uid"] in page
    assert not screen.rows().exists()
    assert screen.send().status_code == 302
    row = screen.rows().get()
    assert Photo.everything.count() == (0 if screen.model is CostPaper else 1)
    assert screen.files() == (1 if screen.model is CostPaper else 4)
    assert row.version == 1


def test_sent_twice_it_is_saved_once(screen):
    for _ in range(2):
        assert screen.send(make.upload()).status_code == 302
    assert screen.rows().count() == 1
    assert Photo.everything.count() <= 1


def test_on_a_full_disk_nothing_is_saved_and_the_words_stay(screen, monkeypatch):
    def full(storage, name, content):
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(FileSystemStorage, "_save", full)
        for _ in range(3):
            page = text(screen.send(make.upload()))
            assert "No space left on device" in page
            assert screen.word in page
            assert "file kept" not in page
    assert not screen.rows().exists()
    assert screen.files() == 0
    assert screen.send(make.upload()).status_code == 302
    assert screen.rows().count() == 1


def test_a_bad_file_refuses_the_form_in_words(screen):
    page = text(screen.send(SimpleUploadedFile("fine.jpg", b"MZ a program")))
    assert "This is not a" in page
    assert screen.word in page
    assert not screen.rows().exists()
    assert screen.files() == 0


def test_another_file_takes_the_place_of_the_one_that_waited(screen):
    if "pictures" in screen.field:
        pytest.skip("this form takes several")
    screen.send(make.upload(colour="red"), **screen.wrong)
    page = text(screen.send(make.upload(colour="blue"), **screen.wrong))
    assert "1 file kept" in page
    screen.send()
    assert screen.rows().count() == 1
    assert screen.files() == (1 if screen.model is CostPaper else 4)


def test_a_file_cut_short_as_it_was_kept_does_not_go_in(screen):
    """A process killed while it kept the file leaves half of it."""
    screen.send(make.upload(), **screen.wrong)
    (waiting,) = (p for p in Path(default_storage.location, "waiting").rglob("*") if p.is_file())
    waiting.write_bytes(waiting.read_bytes()[:200])
    screen.send(make.upload())
    assert screen.rows().count() == 1


def test_a_find_saved_before_with_other_words_says_so(engine, lead, client):
    screen = Screen(engine, client, "FindForm")
    screen.send()
    client.get(Find.objects.get().get_absolute_url())
    answer = client.post(screen.address, screen.typed | {"looks_like": "a spanner"}, follow=True)
    assert "with other words, and those stand" in text(answer)
    assert Find.objects.get().looks_like == "bent lever"


def test_an_empty_find_asks_for_a_photo_or_a_few_words(engine, lead, client):
    empty = {"quantity": 1, "day": "2026-03-01", "material": "not_known", "uid": uuid.uuid4()}
    page = text(client.post(at("find_new", engine), empty | {"found_by": "Ada"}))
    assert "Add a photo or a few words" in page
    assert "next tag ME-0001" in page
    assert not Find.everything.exists()
