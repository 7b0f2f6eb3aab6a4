"""Converts HTML to PDF with our own fonts and no outside resources."""

from __future__ import annotations

import contextlib
import io
import logging
import os
import warnings
from functools import cache
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles import finders
from django.template.loader import render_to_string

_NO_FONTS = Path(__file__).parent / "no_fonts.conf"


class PaperFault(Exception):
    """A sheet with a missing picture, character or style."""


def _weasyprint():
    """Import WeasyPrint without the fonts of the machine, so that all machines print alike."""
    os.environ.setdefault("FONTCONFIG_FILE", str(_NO_FONTS))
    with warnings.catch_warnings():
        # Intended: the fonts come with the style sheet.
        warnings.filterwarnings("ignore", message="No fonts configured")
        import weasyprint
    return weasyprint


@cache
def trouble() -> str:
    """Return a sentence on why this machine cannot make PDFs, or "" when it can."""
    try:
        # It prints its own message when a library is missing.
        with contextlib.redirect_stdout(io.StringIO()):
            _weasyprint()
    except (OSError, ImportError):
        return (
            "PDFs cannot be made on this machine yet: the Pango library is missing. On Debian or "
            "Ubuntu: apt install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0. On a Mac: "
            "brew install pango. Everything else works without it."
        )
    return ""


@cache
def _unpacked(path: str) -> bytes:
    """Return a WOFF2 font as TrueType. Unpacking takes longer than laying out a page with it."""
    from fontTools.ttLib import woff2

    out = io.BytesIO()
    with Path(path).open("rb") as packed:
        woff2.decompress(packed, out)
    return out.getvalue()


def _fetcher(weasyprint):
    class Fetcher(weasyprint.urls.URLFetcher):
        """Serves `static:` and `media:` files and `data:`; refuses all else."""

        def __init__(self):
            super().__init__(allowed_protocols=("file", "data"), allow_redirects=False)

        def fetch(self, url, headers=None):
            if url.startswith("data:"):
                return super().fetch(url, headers)
            kind, _, name = url.partition(":")
            if kind == "static" and (file_path := finders.find(name)):
                if name.endswith(".woff2"):
                    return weasyprint.urls.URLFetcherResponse(url, _unpacked(file_path))
                return super().fetch(Path(file_path).resolve().as_uri(), headers)
            if kind == "media":
                root = Path(settings.MEDIA_ROOT).resolve()
                path = (root / name).resolve()
                if path.is_relative_to(root) and path.is_file():
                    return super().fetch(path.as_uri(), headers)
            raise ValueError(f"not on this sheet: {url}")

    return Fetcher()


class _Faults(logging.Handler):
    def __init__(self):
        super().__init__(logging.WARNING)
        self.messages: list[str] = []

    def emit(self, record):
        self.messages.append(record.getMessage())


def lay_out(template: str, context: dict):
    """Return the WeasyPrint document of a template, and its warnings."""
    weasyprint = _weasyprint()
    faults = _Faults()
    logger = logging.getLogger("weasyprint")
    logger.addHandler(faults)
    try:
        html = weasyprint.HTML(
            string=render_to_string(template, context),
            base_url="about:blank",
            url_fetcher=_fetcher(weasyprint),
        )
        return html.render(pdf_variant="pdf/a-3a"), faults.messages
    finally:
        logger.removeHandler(faults)


def write_pdf(template: str, context: dict, *, attached=(), strict: bool = False) -> bytes:
    """Return a template as a tagged PDF/A-3a.

    Args:
        template: A template that extends `shared/paper.html`. Pictures are named `media:path`.
        context: Its context.
        attached: (name, bytes, last change) of the files to attach.
        strict: True raises on any warning.

    Raises:
        PaperFault: with `strict`, a picture or character was missing or a style unknown.
    """
    document, messages = lay_out(template, context)
    if strict and messages:
        raise PaperFault("; ".join(messages))
    weasyprint = _weasyprint()
    files = [
        weasyprint.Attachment(
            string=content, name=name, relationship="Data", created=changed, modified=changed
        )
        for name, content, changed in attached
    ]
    return document.write_pdf(pdf_variant="pdf/a-3a", attachments=files)
