"""The shipped fonts have every character that Bedplate shows or prints."""

from pathlib import Path

import pytest
from django.conf import settings
from fontTools.ttLib import TTFont

FONTS = Path(settings.BASE_DIR) / "static" / "fonts"
TREES = ("parts", "templates", "static/js")
# What people write of themselves: letters of the Latin alphabets of Europe.
NAMES = "ÀÅÄÆÇÉÊËÍÎÏÑÓÔÖØŒÚÜŸßàåäæçéêëíîïñóôöøœúüÿąćęłńśźżčďěňřšťůžőűğışăâîșțđ"
TRADE = "½¼¾⅛⅜⅝⅞⅓⅔⁄′″°±×÷−–≤≥≈√µΩπ²³·→✓£€$Ø⌀"


def signs_of(name: str) -> set[int]:
    return set(TTFont(FONTS / name).getBestCmap())


@pytest.fixture(scope="module")
def printed() -> set[str]:
    characters = set()
    for tree in TREES:
        for path in (Path(settings.BASE_DIR) / tree).rglob("*"):
            if path.suffix in {".py", ".html", ".js", ".csv"}:
                characters |= set(path.read_text(encoding="utf-8"))
    return {sign for sign in characters if sign.isprintable()}


@pytest.mark.parametrize("weight", [400, 500, 600, 700])
def test_screen_fonts_have_every_character(printed, weight):
    signs = "dejavu-signs-bold.woff2" if weight >= 600 else "dejavu-signs.woff2"
    characters_of_fonts = signs_of(f"atkinson-{weight}.woff2") | signs_of(
        f"atkinson-ext-{weight}.woff2"
    )
    characters_of_fonts |= signs_of(signs)
    assert {
        s for s in printed | set(NAMES) | set(TRADE) if ord(s) not in characters_of_fonts
    } == set()


def test_paper_fonts_have_every_character(printed):
    characters_of_fonts = signs_of("atkinson-400.woff2") | signs_of("atkinson-ext-400.woff2")
    characters_of_fonts |= signs_of("dejavu-sans.woff2")
    assert {
        s for s in printed | set(NAMES) | set(TRADE) if ord(s) not in characters_of_fonts
    } == set()


def test_extra_font_is_small():
    assert (FONTS / "dejavu-signs.woff2").stat().st_size < 10_000


@pytest.mark.parametrize("face", ["atkinson", "dejavu"])
def test_licences_are_shipped(face):
    assert (FONTS / f"{face}-LICENCE.txt").stat().st_size > 1000
