"""A real browser before the app: pages of a phone and of a desk, and what they complain of."""

import os
import shutil
from pathlib import Path

import pytest

HERE = Path(__file__).parent
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
PHONE = {
    "viewport": {"width": 390, "height": 844},
    "has_touch": True,
    "is_mobile": True,
    "device_scale_factor": 2,
}
DESK = {"viewport": {"width": 1360, "height": 900}}


def pytest_collection_modifyitems(items):
    """Mark what needs a browser, and let it write to the database as a server does."""
    for item in items:
        if item.path.parent == HERE:
            item.add_marker(pytest.mark.browser)
            item.add_marker(pytest.mark.django_db(transaction=True))


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args):
    if CHROMIUM is None:
        words = "These tests need the browser Chromium: apt-get install chromium"
        if os.environ.get("CI"):
            pytest.fail(words)
        pytest.skip(words)
    # Paper is laid out with our own fonts alone, which it says in the environment of the process.
    # A browser without any font of the machine falls over.
    env = {name: value for name, value in os.environ.items() if name != "FONTCONFIG_FILE"}
    return browser_type_launch_args | {
        "env": env,
        "executable_path": CHROMIUM,
        "args": ["--no-sandbox", "--disable-dev-shm-usage"],
    }


class Complaints(list):
    """What the browser complained of: errors of the console (refusals of the content security
    policy are among them), exceptions of scripts, and answers of 500 and over."""

    def listen(self, page):
        page.on(
            "console",
            lambda m: m.type == "error" and self.append(f"{m.location.get('url')}: {m.text}"),
        )
        page.on("pageerror", lambda error: self.append(f"{page.url}: {error}"))
        page.on("response", lambda r: r.status >= 500 and self.append(f"{r.status} {r.url}"))


@pytest.fixture
def complaints():
    return Complaints()


@pytest.fixture
def open_page(browser, live_server, client, complaints):
    """Return a function that opens a page, logged in as someone or not.

    The test fails at its end if the browser complained of anything.
    """
    contexts = []

    def opened(device=DESK, user=None, **more):
        context = browser.new_context(base_url=live_server.url, **device, **more)
        contexts.append(context)
        context.set_default_timeout(10_000)
        if user is not None:
            client.force_login(user)
            kept = client.cookies["sessionid"].value
            context.add_cookies([{"name": "sessionid", "value": kept, "url": live_server.url}])
        page = context.new_page()
        complaints.listen(page)
        return page

    yield opened
    for context in contexts:
        context.close()
    assert not complaints, "\n".join(complaints)


@pytest.fixture
def phone(open_page):
    return open_page(PHONE)


@pytest.fixture
def desk(open_page):
    return open_page(DESK)
