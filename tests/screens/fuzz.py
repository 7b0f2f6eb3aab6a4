"""What the fuzz tests ask: every address of the app, and what its pages' forms and links may send.

Addresses come from the resolver; fields and query names from the pages themselves and from what
the views read. So a new address is asked without being named here.
"""

import re
from dataclasses import dataclass, field
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import parse_qsl, quote, urlencode, urljoin, urlsplit

from django.conf import settings as django_settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection, transaction
from django.template.loader import render_to_string
from django.test import Client
from django.urls import Resolver404, URLPattern, URLResolver, get_resolver, resolve
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from parts.drafting import paper
from tests import make
from tests.screens.test_who_may import World

APPLICATION = Path(django_settings.BASE_DIR) / "parts"
READ = re.compile(r"""(?:GET|POST|asked|get)(?:\.get|\.getlist)?[([]"(\w+)\"""")
ARGUMENT = re.compile(r"<(?:\w+:)?(\w+)>")
DAYS = (
    *("0001-01-01", "0001-01-02", "1699-12-31", "1700-01-01", "2199-12-31", "9999-12-31"),
    *("10000-01-01", "2026-02-30", "2026-W05-1", "20260131", "2026-01-31T25:61", "31/01/2026"),
)
NUMBERS = (
    *("0", "-1", "1", "7", "1.5", "1,5", "²", "１２", "٣", "½", "1_0", "0x10", "99999", "100000"),
    *("NaN", "sNaN", "Infinity", "-inf", "1e309", "1e-320", "1e30", "-0", "0." + "0" * 40 + "1"),
    *("32768", str(2**31), str(2**63 - 1), str(2**63), str(2**64), "9" * 30, "9" * 5000),
)
MEASURES = (
    *("1/0", "1/999999999999 in", "1 1/2 in", "12 lb", "99999999999 m", "1e300 mm", "0 mm"),
    *("-4 kg", "1000000 ton", "-300 C", "1e9 F", "0.0000001 in", "3' 0 1/2\"", "1 thou"),
)
WORDS = (
    *("", " ", "99:99", "12:30", "²:²²", "\x00", "a\x00b", "\r\nSet-Cookie: a=b", "\u202eabc"),
    *("\ufeff", "\U0001f682", "ﬀ" * 90, "a" * 100_000, "é" * 5000, "%s%d{0}{{", "' OR 1=1 --"),
    *("\\", "%", "_", "*", '"', "<b>&amp;", "</script><script>alert(1)</script>", "=1+1", "@a"),
    *("../../etc/passwd", "C:\\x", "None", "True", "null", "[]", "{}", "on", "last", "cast"),
    *("lead", "steel", "1x1,2x2", "1x²", "00000000-0000-0000-0000-000000000000", "x" * 36),
    *("//evil.example/", "javascript:alert(1)", "paid", "m3", "part-1", "component-1"),
)
# What cannot be sent as text but as bytes of an address.
RAW = ("%00", "%ff", "%ed%a0%80", "%2e%2e%2f", "%", "%zz", "%C2%B2", "1%0a")
PLAIN = {"date": "2026-01-31", "number": "2", "email": "a@b.example", "time": "10:30"}


class Reader(HTMLParser):
    """Reads the forms and links of a page: where each leads and what it sends."""

    def __init__(self):
        super().__init__()
        self.links, self.forms, self.own = [], [], {}
        self.form, self.select, self.area = None, None, None

    def handle_starttag(self, tag, attrs):
        given = {name: value or "" for name, value in attrs}
        name = given.get("name")
        if tag == "a" and "href" in given:
            self.links.append(given["href"])
        elif tag == "form":
            self.form = (given.get("action", ""), given.get("method", "get").lower(), {})
            self.forms.append(self.form)
        elif tag == "select":
            self.select = name
        elif tag == "option" and self.select:
            self.add(self.select, given.get("value", ""), "selected" in given)
        elif tag == "textarea" and name:
            self.add(name, "words", True)
        elif tag == "button" and name:
            self.add(name, given.get("value", ""), False)
        elif tag == "input" and name:
            kind, value = given.get("type", "text"), given.get("value", "")
            if kind in ("radio", "checkbox"):
                self.add(name, value or "on", "checked" in given)
            elif kind == "file":
                self.add(name, FILE, True)
            else:
                self.add(name, value or PLAIN.get(kind, "3"), bool(value))

    def handle_endtag(self, tag):
        if tag == "form":
            self.form = None
        elif tag == "select":
            self.select = None

    def add(self, name, value, first):
        """Note what a field may hold; what the page itself holds comes first."""
        if name == "csrfmiddlewaretoken":
            return
        values = self.form[2].setdefault(name, []) if self.form else []
        values.insert(0 if first else len(values), value)


FILE = "a file"


@dataclass
class Address:
    """One address of the app: its pattern, and what is known to be sent to it."""

    name: str
    route: str
    # Addresses that lead here, with their query, as pages link to them.
    samples: list[str]
    query: dict[str, list] = field(default_factory=dict)
    # Forms of pages that lead here: where each is sent, and what its fields may hold.
    forms: dict[str, dict[str, list]] = field(default_factory=dict)


class Ground:
    """An engine with a row of every kind, its lead logged in, and every address of the app.

    Args:
        ways: How many different links to one address are followed to see what stands there.
        pages: The names of the pages that are looked at for forms and links; None for all.
    """

    def __init__(self, ways: int, pages=None):
        self.ways = ways
        self.world = World()
        make.component(make.engine())  # another engine, whose rows are not this one's
        self.client = Client()
        self.client.force_login(self.world.people["lead"])
        self.addresses = {a.name or a.route: a for a in self._walk(get_resolver())}
        self._crawl(pages)

    def _walk(self, resolver, before="", above=frozenset()):
        for entry in resolver.url_patterns:
            route = before + str(entry.pattern)
            wanted = above | set(entry.pattern.converters)
            if isinstance(entry, URLResolver):
                if entry.app_name != "admin":
                    yield from self._walk(entry, route, wanted)
            elif isinstance(entry, URLPattern):
                sample = "/" + route
                if entry.lookup_str.startswith("parts."):
                    sample = self.world.address(entry.name, wanted)
                yield Address(entry.name, route, [sample])

    def _crawl(self, pages):
        """Open every page, and note what its forms and links send to which address."""
        waiting = [
            sample
            for name, one in self.addresses.items()
            if pages is None or name in pages
            for sample in one.samples
        ]
        while waiting:
            address = waiting.pop(0)
            if "." in urlsplit(address).path:
                continue  # a file: it has no forms and no links
            with transaction.atomic():
                answer = self.client.get(address)
                transaction.set_rollback(True)
            if not answer.get("Content-Type", "").startswith("text/html"):
                continue
            page = Reader()
            page.feed(answer.content.decode())
            for link in page.links:
                waiting += self._note_link(urljoin(address, link))
            for action, method, fields in page.forms:
                self._note_form(urljoin(address, action), method, fields)

    def _leads_to(self, address: str) -> Address | None:
        try:
            return self.addresses.get(resolve(urlsplit(address).path).url_name)
        except Resolver404:
            return None

    def _note_link(self, address: str) -> list[str]:
        one = self._leads_to(address)
        if one is None:
            return []
        for name, value in parse_qsl(urlsplit(address).query):
            one.query.setdefault(name, []).append(value)
        address = address.partition("#")[0]
        if address in one.samples or len(one.samples) >= self.ways:
            return []
        one.samples.append(address)
        return [address]

    def _note_form(self, address: str, method: str, fields: dict) -> None:
        one = self._leads_to(address)
        if one is None:
            return
        known = one.query if method == "get" else one.forms.setdefault(address, {})
        for name, values in fields.items():
            known.setdefault(name, []).extend(values)


@cache
def names_read() -> list[str]:
    """Every name that any view reads from a query or a form itself."""
    views = (p for p in APPLICATION.rglob("*.py") if "views" in (p.stem, p.parent.name))
    return sorted({name for file in views for name in READ.findall(file.read_text())})


words = st.one_of(*map(st.sampled_from, (DAYS, NUMBERS, MEASURES, WORDS)), st.text(max_size=40))
A_DAY, A_NUMBER = re.compile(r"\d{4}-\d\d-\d\d"), re.compile(r"-?\d+(\.\d+)?")


@st.composite
def requests(draw, one: Address, names: list[str]):
    """One request of an address: (method, path and query, fields)."""

    method, sent = "get", {}
    address = draw(st.sampled_from(one.samples))
    if one.forms and draw(st.integers(0, 3)):
        method = "post"
        address = draw(st.sampled_from(sorted(one.forms)))
        sent = draw(changed(one.forms[address]))
    elif not one.forms:
        method = draw(st.sampled_from(["get", "get", "get", "post"]))
    path, _, known = address.partition("?")
    if "<" in one.route and draw(st.integers(0, 7)) == 0:
        path = draw(other_path(one.route, resolve(path).kwargs))
    asked = dict(parse_qsl(known))
    keys = st.sampled_from(names)
    if one.query:
        # Mostly what the address is known to read.
        keys = st.one_of(*[st.sampled_from(sorted(one.query))] * 3, keys)
    for name in draw(st.lists(keys, max_size=3)) if method == "get" else ():
        asked[name] = draw(value_of(one.query.get(name)))
    return method, path + ("?" + urlencode(asked, errors="replace") if asked else ""), sent


@st.composite
def other_path(draw, route: str, arguments: dict) -> str:
    """The path of a route with one of its arguments changed."""
    which = draw(st.sampled_from(sorted(arguments)))
    known = {name: quote(str(value), "") for name, value in arguments.items()}
    word = words.filter(bool).map(lambda w: quote(w[:2000].encode("utf-8", "replace"), ""))
    known[which] = draw(st.one_of(word, st.sampled_from(RAW)))
    return "/" + ARGUMENT.sub(lambda match: known[match[1]], route)


@st.composite
def changed(draw, form: dict[str, list]):
    """What the page itself would send, with some fields changed and some left out."""
    sent = {name: values[0] for name, values in form.items()}
    if sent:
        one = st.sampled_from(sorted(sent))
        for name in draw(st.lists(one, min_size=1, max_size=3)):
            sent[name] = draw(value_of(form[name]))
        for name in draw(st.lists(one, max_size=3))[2:]:
            sent.pop(name, None)
    return sent


def value_of(known):
    """Something for a field: of its own kind, and what it is not meant for."""
    if not known:
        return words
    own = MEASURES if len(set(known)) == 1 else WORDS
    if A_DAY.fullmatch(known[0]):
        own = DAYS
    elif A_NUMBER.fullmatch(known[0]):
        own = NUMBERS
    own = st.sampled_from(own)
    return st.one_of(own, own, own, words, st.sampled_from(known))


def sendable(fields: dict) -> dict:
    return {
        name: make.upload() if value == FILE else value.encode("utf-8", "replace").decode()
        for name, value in fields.items()
        if not isinstance(value, SimpleUploadedFile)
    }


def strict(execute, sql, params, many, context):
    """Refuse what PostgreSQL would refuse and SQLite takes: text with a NUL."""
    for row in params if many and params else [params or ()]:
        values = row.values() if isinstance(row, dict) else row
        assert not any(isinstance(v, str) and "\x00" in v for v in values), "NUL sent as text"
    return execute(sql, params, many, context)


def ask(ground: Ground, method: str, address: str, fields: dict):
    """Send a request, look at where it leads, and undo all it did. Returns the answers."""
    client = Client()
    client.cookies = ground.client.cookies.copy()
    with transaction.atomic(), connection.execute_wrapper(strict):
        try:
            answer = getattr(client, method)(address, sendable(fields))
            if answer.status_code == 302 and answer["Location"].startswith("/"):
                return [answer, client.get(answer["Location"])]
            return [answer]
        finally:
            transaction.set_rollback(True)


def hold(ground: Ground, one: Address, examples: int, *, same: bool):
    """Ask an address so many times; with `same` the same every time the tests run."""

    @settings(
        max_examples=examples,
        derandomize=same,
        deadline=None,
        database=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(requests(one, names_read()))
    def run(request):
        for answer in ask(ground, *request):
            assert answer.status_code < 500
            # What is refused is told on a page, but that a page is not written to.
            assert answer.status_code in (200, 204, 302, 304, 405) or b"<h1" in answer.content

    run()


def write_papers_once(monkeypatch) -> None:
    """Of papers with the same words, put only the first on paper: what differs is ours."""
    write, written = paper.write_pdf, {}

    def write_pdf(template, context, **more):
        words = render_to_string(template, context)
        if words not in written:
            written[words] = write(template, context, **more)
        return written[words]

    monkeypatch.setattr(paper, "write_pdf", write_pdf)
