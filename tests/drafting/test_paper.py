"""PDFs: frame, numbers, our own fonts and no outside resources."""

import io
from datetime import UTC, datetime

import pikepdf
import pytest
from django.template import engines

from parts.drafting import paper

WORDS = "⅛ ⅞ ′ ″ ≤ ≥ ≈ ✓ → − × ° ± µ Ω Ł ž č ő ж α"
BODY = (
    '{% extends "shared/paper.html" %}{% load sheet %}{% block content %}'
    '<div class="section"><h1>{{ title }}</h1><p>{{ words }}</p>{% state_bar counts %}'
    '{% balloon 124 "fitted" %}{% lining "white_metal" %}{{ "4 7/16 in"|measure }}'
    '{% caution "Do not lift." "Over the rating." %}{{ more }}</div>'
    '<div class="new-page section">Second</div>{% endblock %}'
)
CONTEXT = {
    "title": "Foundry list",
    "engine_name": "Mill engine",
    "counts": {"found": 3, "missing": 2},
    "words": WORDS,
}


@pytest.fixture
def template(monkeypatch):
    def render(text, context):
        return engines["django"].from_string(text).render(context)

    monkeypatch.setattr(paper, "render_to_string", render)


def opened(context, **kwargs):
    return pikepdf.open(io.BytesIO(paper.write_pdf(BODY, CONTEXT | context, **kwargs)))


def fonts_of(pdf):
    names = set()
    for page in pdf.pages:
        for font in page.Resources.get("/Font", {}).values():
            names.add(str(font.BaseFont))
    return names


def test_every_character_is_set_without_a_warning(template):
    pdf = opened({}, strict=True)
    assert len(pdf.pages) == 2
    # WeasyPrint names a face after its family in the style sheet.
    assert {n.split("+")[-1].split("-")[0] for n in fonts_of(pdf)} == {
        "Atkinson",
        "Bedplate",
        "DejaVu",
    }


@pytest.mark.parametrize(("size", "wide", "high"), [("A4", 210, 297), ("letter", 215.9, 279.4)])
@pytest.mark.outside("ISO 216 (A4) and ANSI/ASME Y14.1 (letter), from memory")
def test_pdf_has_the_paper_size(template, size, wide, high):
    pdf = opened({"paper": size})
    box = pdf.pages[0].MediaBox
    assert float(box[2]) / 72 * 25.4 == pytest.approx(wide, abs=0.2)
    assert float(box[3]) / 72 * 25.4 == pytest.approx(high, abs=0.2)


def test_pdf_is_tagged_titled_and_has_its_attachments(template):
    when = datetime(2026, 11, 24, 16, 10, tzinfo=UTC)
    pdf = opened({}, attached=[("costs.csv", b"a,b\r\n1,2\r\n", when)])
    assert pdf.Root.MarkInfo.Marked
    assert str(pdf.Root.Lang) == "en-GB"
    assert pdf.docinfo["/Title"] == "Foundry list, Mill engine"
    assert pdf.attachments["costs.csv"].get_file().read_bytes() == b"a,b\r\n1,2\r\n"


@pytest.mark.parametrize(
    "address", ["http://127.0.0.1/x.png", "file:///etc/hostname", "media:../secret.png"]
)
def test_outside_resources_are_refused(template, address):
    from django.utils.safestring import mark_safe

    picture = mark_safe(f'<img src="{address}" alt="x">')
    with pytest.raises(paper.PaperFault):
        paper.write_pdf(BODY, CONTEXT | {"more": picture}, strict=True)
