"""Follows every link that a person is shown, and reads every byte that is served on the way."""

import io
import re
from collections import Counter
from html.parser import HTMLParser
from urllib.parse import urljoin, urlsplit

import pikepdf
from django.db import transaction
from django.urls import Resolver404, resolve
from PIL import Image

from tests.pdf import text_of

# Made of random letters, which now and then spell a word that is looked for.
TOKEN = re.compile(r"""(?<=name="csrfmiddlewaretoken" value=")[A-Za-z0-9]+""")
# The attribute of each element that names an address.
NAMES = {"a": "href", "img": "src", "link": "href", "form": "action", "source": "src"}
HEAVY = re.compile(r"\.(?:pdf|jpg)$|/papers/")
NOT_ALLOWED = {403, 404, 405}
# How many addresses of one path, with other questions, are opened.
ALIKE = 3


class Crawl:
    """What a person, or whoever holds a link, was served from some addresses on.

    Attributes:
        served: Each address with all words that were served there.
        refused: Links and forms that were shown, and answered "not allowed" or "not found".
    """

    def __init__(self, client, starts, *, of_each: int = 100_000, papers: int = 2, send=True):
        """Open the addresses and all that they lead to.

        Args:
            of_each: How many addresses of one view are opened.
            papers: How many PDFs and pictures of one view are opened.
            send: Whether forms are sent, empty, to learn whether they may be.
        """
        self.client, self.of_each, self.papers, self.send = client, of_each, papers, send
        self.served: dict[str, str] = {}
        self.refused: list[str] = []
        self._seen: set = set()
        self._opened: Counter = Counter()
        self._waiting = [(address, "") for address in starts]
        while self._waiting:
            self._open(*self._waiting.pop())

    def where(self, word: str) -> list[str]:
        """The addresses at which a word was served, in whatever case."""
        return [address for address, words in self.served.items() if word.lower() in words.lower()]

    def _wait_for(self, address: str, page: str) -> None:
        address = address.split("#")[0]
        if address in self._seen or not _is_ours(address):
            return
        self._seen.add(address)
        path = urlsplit(address).path
        name = _name_of(path)
        self._opened[name] += 1
        self._opened[path] += 1
        most = self.papers if HEAVY.search(path) else self.of_each
        if self._opened[name] <= most and self._opened[path] <= ALIKE:
            self._waiting.append((address, page))

    def _open(self, address: str, page: str) -> None:
        response = self.client.get(address)
        if response.status_code in (301, 302):
            self._wait_for(urljoin(address, response["Location"]), page)
        elif response.status_code == 200:
            self.served[address] = words_of(response)
            if response.headers["Content-Type"].startswith("text/html"):
                self._read(address, response.content.decode())
        elif page:
            self.refused.append(f"{response.status_code} {address} on {page}")

    def _read(self, address: str, html: str) -> None:
        page = _Links()
        page.feed(html)
        for link in page.links:
            self._wait_for(urljoin(address, link), address)
        for action in page.actions if self.send else ():
            self._send(urljoin(address, action), address)

    def _send(self, address: str, page: str) -> None:
        """A form that is shown may be sent; that an empty one is refused in words is no matter."""
        name = ("send", _name_of(urlsplit(address).path))
        self._opened[name] += 1
        if self._opened[name] > self.of_each or not _is_ours(address):
            return
        with transaction.atomic():
            status = self.client.post(address).status_code
            transaction.set_rollback(True)
        if status in NOT_ALLOWED:
            self.refused.append(f"{status} when sent: {address} on {page}")


class _Links(HTMLParser):
    def __init__(self):
        super().__init__()
        self.links: list[str] = []
        self.actions: list[str] = []

    def handle_starttag(self, tag, attrs):
        values = dict(attrs)
        if tag == "form" and (values.get("method") or "").lower() == "post":
            self.actions.append(values.get("action") or "")
        elif target := values.get(NAMES.get(tag, "")):
            self.links.append(target)
        if target := values.get("formaction"):
            self.actions.append(target)


def _is_ours(address: str) -> bool:
    return address.startswith("/") and not re.match("/(?:static|account|//)", address)


def _name_of(path: str) -> str:
    try:
        return resolve(path).url_name or path
    except Resolver404:
        return path


def words_of(response) -> str:
    """Every word of an answer: its text, its file name, and what a file carries inside."""
    content = b"".join(response.streaming_content) if response.streaming else response.content
    name = response.headers.get("Content-Disposition", "")
    words = words_in(content, response.headers["Content-Type"])
    return f"{name}\n{TOKEN.sub('', words)}"


def words_in(content: bytes, kind: str) -> str:
    """The words of a file, with its metadata and what is attached to it."""
    if kind.startswith("application/pdf"):
        return _words_of_pdf(content)
    if kind.startswith("image/") and "svg" not in kind:
        picture = Image.open(io.BytesIO(content))
        exif = picture.getexif()
        told = [picture.info, dict(exif), exif.get_ifd(0x8769), exif.get_ifd(0x8825)]
        return " ".join(str(one) for one in told)
    return content.decode("utf-8", "replace")


def _words_of_pdf(content: bytes) -> str:
    with pikepdf.open(io.BytesIO(content)) as pdf:
        told = [text_of(pdf), *(str(value) for value in dict(pdf.docinfo).values())]
        if "/Metadata" in pdf.Root:
            told.append(pdf.Root.Metadata.read_bytes().decode("utf-8", "replace"))
        for name, file in pdf.attachments.items():
            told += [name, file.get_file().read_bytes().decode("utf-8", "replace")]
    return "\n".join(told)
