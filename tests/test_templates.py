"""What holds for every template: nothing inline, and the pattern sheet shows all of it."""

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from django import forms
from django.conf import settings
from django.contrib.auth.models import AnonymousUser
from django.forms.renderers import DjangoTemplates
from django.test import RequestFactory

from parts.overview.views import gallery
from parts.record.forms.renderer import SheetRenderer

TEMPLATES = sorted((Path(settings.BASE_DIR) / "templates").rglob("*.html"))
BARRED = {
    "a style attribute": r"<[^>]*\sstyle\s*=",
    "a style element": r"<style\b",
    "a script without a file": r"<script(?![^>]*\ssrc=)",
    "an event attribute": r"<[^>]*\son[a-z]+\s*=(?!=)",
    "an address that runs": r"javascript:",
}


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda p: p.name)
@pytest.mark.parametrize("what", BARRED)
def test_nothing_is_inline(path, what):
    assert not re.search(BARRED[what], path.read_text(encoding="utf-8"), re.IGNORECASE)


class Page(HTMLParser):
    """Collects ids, what refers to them, and headings."""

    def __init__(self, text):
        super().__init__()
        self.ids, self.asked, self.heads = [], [], []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        attrs = dict(attrs)
        if "id" in attrs:
            self.ids.append(attrs["id"])
        for name in ("for", "aria-describedby", "aria-labelledby"):
            self.asked += (attrs.get(name) or "").split()
        if tag == "a" and (attrs.get("href") or "").startswith("#"):
            self.asked.append(attrs["href"][1:])
        if tag == "h1":
            self.heads.append(tag)


@pytest.fixture(scope="module")
def pattern_sheet():
    request = RequestFactory().get("/patterns/")
    request.user = AnonymousUser()
    return gallery.page(request).content.decode()


def test_the_pattern_sheet_has_one_head_and_its_title_in_the_tab(pattern_sheet):
    assert Page(pattern_sheet).heads == ["h1"]
    assert "<title>Pattern sheet | Bedplate</title>" in pattern_sheet


def test_every_label_help_and_error_has_what_it_points_to(pattern_sheet):
    page = Page(pattern_sheet)
    assert len(page.asked) > 40
    assert set(page.asked) - set(page.ids) == set()


def test_errors_stand_at_the_top_and_at_the_field(pattern_sheet):
    assert '<a href="#id_tape">Tape from peg A: ' in pattern_sheet
    assert 'id="id_tape_error"' in pattern_sheet
    assert 'aria-invalid="true"' in pattern_sheet


def test_a_figure_on_trust_says_so(pattern_sheet):
    assert pattern_sheet.count('<span class="trust">Assumed.</span>') == 2
    assert "Ask the founder before the pattern is cut." in pattern_sheet


def test_a_list_of_choices_is_written_as_django_writes_it():
    """The app's own template for it only saves one template for each option."""
    choices = [("", "None"), ("a", "A <b>"), ("group", [("x", 1), ("y", "Why")]), (3, "3")]
    select = forms.Select({"class": "wide", "required": True, "hidden": False}, choices)
    ours = select.render("n", "3", renderer=SheetRenderer())
    theirs = select.render("n", "3", renderer=DjangoTemplates())
    assert ours.split() == theirs.split()
    assert ours.count("<option") == 5
