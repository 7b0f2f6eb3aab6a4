"""Every page in a real browser: it fits, axe finds nothing serious, nothing is complained of."""

from pathlib import Path

import pytest

from tests.browser.conftest import DESK, PHONE
from tests.screens.test_who_may import BY_SECRET, TABLE, World, addresses

NARROW = PHONE | {"viewport": {"width": 320, "height": 640}}
LONG = pytest.mark.long
AXE = (Path(__file__).parent / "axe" / "axe.min.js").read_text(encoding="utf-8")
# Opened by a browser, but no pages: pictures, papers, tables and documents.
FILES = ("_csv", "_pdf", "_file", "_original", "_photo")
NO_PAGES = {"paper"}


@pytest.fixture
def world():
    return World()


@pytest.fixture
def pages(world):
    """Every page of the app that a lead can open, by name: from the table of who may."""
    wants = addresses()
    return {
        name: world.address(name, wants[name])
        for name in sorted(set(TABLE) | BY_SECRET)
        if not name.endswith(FILES)
        and name not in NO_PAGES
        and not world.address(name, wants[name]).endswith((".pdf", ".csv", ".jpg"))
        and (name in BY_SECRET or TABLE[name][0] is not None)
    }


# A sample for the quick run; in the long one all pages, in parts that are spread over the cores.
SHARES = [slice(0, None, 8), *(pytest.param(slice(i, None, 4), marks=LONG) for i in range(4))]


@pytest.mark.parametrize("share", SHARES, ids=["sample", *"1234"])
@pytest.mark.parametrize("device", [NARROW, DESK], ids=["phone", "desk"])
def test_pages_fit_and_axe_finds_nothing_serious(world, pages, open_page, device, share):
    """On the narrowest phone too, no page scrolls sideways."""
    page = open_page(device, world.people["lead"])
    wide, found = {}, []
    for name, address in list(pages.items())[share]:
        assert page.goto(address).status == 200, name
        width = page.evaluate("document.scrollingElement.scrollWidth")
        if width > device["viewport"]["width"]:
            wide[name] = width
        page.evaluate(AXE)
        answer = page.evaluate("axe.run({resultTypes: ['violations']})")
        found += [
            f"{name}: {v['id']} ({v['impact']}): {v['help']}; {v['nodes'][0]['html'][:160]}"
            for v in answer["violations"]
            if v["impact"] in ("serious", "critical")
        ]
    assert not wide
    assert not found, "\n".join(found)


def test_targets_on_the_phone_are_wide_enough_for_a_thumb(world, pages, open_page):
    """48 px, as the platforms' guides for touch ask; links in running text are left out."""
    page = open_page(PHONE, world.people["helper"])
    page.goto(pages["find_new"])
    small = page.evaluate(
        """() =>
          [...document.querySelectorAll("main :is(button, select, input:not([type=hidden]))")]
          .filter(e => e.checkVisibility() && !["radio", "checkbox", "file"].includes(e.type))
          .map(e => [e.name || e.textContent.trim(), e.getBoundingClientRect().height])
          .filter(([, height]) => height < 48)"""
    )
    assert not small
