"""What a phone on a poor line must fetch to record a find, from the server that people run."""

import threading

import pytest
from django.core.management import call_command
from django.core.wsgi import get_wsgi_application
from django.test import override_settings
from waitress import create_server

from restoration import settings as real
from tests import make
from tests.browser.conftest import PHONE

KB = 1000


@pytest.fixture
def served(tmp_path):
    """The app behind waitress, its styles collected and compressed as `manage.py start` does."""
    with override_settings(STATIC_ROOT=tmp_path / "static", STORAGES=real.STORAGES):
        call_command("collectstatic", verbosity=0, interactive=False)
        server = create_server(get_wsgi_application(), host="127.0.0.1", port=0, threads=4)
        thread = threading.Thread(target=server.run, daemon=True)
        thread.start()
        yield f"http://127.0.0.1:{server.effective_port}"
        server.close()
        thread.join(5)


class Line:
    """Counts the bytes that came over the wire, headers too, as the browser's own tools do."""

    def __init__(self, page):
        self.names, self.bytes = {}, {}
        tools = page.context.new_cdp_session(page)
        tools.on("Network.requestWillBeSent", self._asked)
        tools.on("Network.loadingFinished", self._came)
        tools.send("Network.enable")

    def _asked(self, event):
        self.names[event["requestId"]] = event["request"]["url"]

    def _came(self, event):
        name = self.names.get(event["requestId"], "?")
        self.bytes[name] = self.bytes.get(name, 0) + int(event["encodedDataLength"])

    def total(self) -> int:
        return sum(self.bytes.values())

    def table(self) -> str:
        rows = sorted(self.bytes.items(), key=lambda row: -row[1])
        return "\n".join(f"{size:8} {name}" for name, size in rows)


@pytest.fixture
def lead():
    return make.member(make.engine(), "lead")


def test_recording_a_find_is_light(served, lead, browser, client, complaints):
    engine = lead.memberships.get().engine
    client.force_login(lead)
    context = browser.new_context(**PHONE)
    kept = client.cookies["sessionid"].value
    context.add_cookies([{"name": "sessionid", "value": kept, "url": served}])
    page = context.new_page()
    complaints.listen(page)
    line = Line(page)
    address = f"{served}/engines/{engine.pk}/finds/new/"

    page.goto(address, wait_until="networkidle")
    first, told = line.total(), line.table()
    line.bytes.clear()
    page.goto(f"{address}?again=1", wait_until="networkidle")
    again, told_again = line.total(), line.table()
    context.close()

    assert any(name.endswith(".woff2") for name in line.names.values()), "no font was fetched"
    assert 10 * KB < first < 150 * KB, told
    assert 1 * KB < again < 30 * KB, told_again
    assert not complaints
