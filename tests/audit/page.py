"""Reads a page as it was served: its tables, captions and words."""

import re
from decimal import Decimal
from html.parser import HTMLParser
from xml.etree import ElementTree

STATES = {
    "fitted": "Fitted",
    "in_place": "In place",
    "found": "Found",
    "being_made": "Being made",
    "to_be_made": "To be made",
    "beyond_repair": "Beyond repair",
    "missing": "Missing",
}
VOID = {"area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "wbr"}


class _Reader(HTMLParser):
    def __init__(self):
        super().__init__()
        self.tree = ElementTree.TreeBuilder()

    def handle_starttag(self, tag, attrs):
        self.tree.start(tag, {key: value or "" for key, value in attrs})
        if tag in VOID:
            self.tree.end(tag)

    def handle_startendtag(self, tag, attrs):
        self.tree.start(tag, {key: value or "" for key, value in attrs})
        self.tree.end(tag)

    def handle_endtag(self, tag):
        if tag not in VOID:
            self.tree.end(tag)

    def handle_data(self, data):
        self.tree.data(data)


def _of_class(element, name):
    return name in element.get("class", "").split()


def words(element, but=("spoken", "lining", "range")):
    """What a person reads of an element: without drawings and what is only spoken."""
    if element.tag in ("svg", "script", "style", "select") or any(
        _of_class(element, name) for name in but
    ):
        return ""
    inner = [element.text or ""]
    for child in element:
        inner += [words(child, but), child.tail or ""]
    return " ".join("".join(inner).split()) if element.tag == "td" else "".join(inner)


def folded(element):
    return " ".join(words(element).split())


class Page:
    """A page as it was served."""

    def __init__(self, address, content):
        self.address = address
        reader = _Reader()
        reader.feed(content)
        self.root = reader.tree.close()
        self.text = folded(
            self.root.find(".//main") if self.root.find(".//main") is not None else self.root
        )

    def tables(self, *heads):
        """The tables that have all these heads."""
        for table in self.root.iter("table"):
            found = [folded(th) for th in table.findall("./thead/tr/th")]
            if all(any(name.startswith(head) for name in found) for head in heads):
                yield Table(table, found)

    def table(self, *heads):
        found = next(self.tables(*heads), None)
        if found is None:
            raise LookupError(f"{self.address} has no table of {', '.join(heads)}.")
        return found

    def state_key(self):
        """The counts of the key of states by state, with "" for all."""
        table = next(t for t in self.root.iter("table") if _of_class(t, "state-key"))
        rows = [[folded(cell) for cell in row] for row in table.findall("./tbody/tr")]
        by_word = {word: state for state, word in STATES.items()}
        counts = {
            by_word[next(word for word in by_word if row[1].startswith(word))]: int(row[2])
            for row in rows
        }
        return counts | {"": int(folded(table.findall("./tfoot/tr/td")[-1]))}

    def figure(self, pattern):
        """The number of the first group of a pattern in the page; None where it is not there."""
        found = re.search(pattern, self.text)
        return number(found[1]) if found else None

    def entries(self):
        """What stands beside each caption of the lists of entries."""
        found = {}
        for dl in self.root.iter("dl"):
            for pair in dl.findall("./div"):
                found[folded(pair.find("dt"))] = folded(pair.find("dd"))
        return found


class Table:
    def __init__(self, element, heads):
        self.element, self.heads = element, heads

    def _row(self, row):
        cells, at = {}, 0
        for cell in row:
            head = self.heads[at] if at < len(self.heads) else ""
            cells[head] = folded(cell)
            at += int(cell.get("colspan", 1))
        link = next((a.get("href") for a in row.iter("a") if a.get("href", "").startswith("/")), "")
        return cells | {"href": link}

    @property
    def rows(self):
        return [
            self._row(row)
            for body in self.element.findall("./tbody")
            for row in body.findall("./tr")
            if not _of_class(row, "group")
        ]

    @property
    def groups(self):
        """Each group of rows: its own line, and the rows below it."""
        return [
            (self._row(body.find("./tr")), [self._row(row) for row in body.findall("./tr")[1:]])
            for body in self.element.findall("./tbody")
            if body.find("./tr") is not None and _of_class(body.find("./tr"), "group")
        ]

    @property
    def foot(self):
        return self._row(self.element.find("./tfoot/tr"))


def number(text):
    """The first number of a text: £1,180.50, −£40, 21.5 lb; None where there is none."""
    found = re.search(r"([−-]?)[^\d−-]{0,2}(\d[\d,]*(?:\.\d+)?)", text or "")
    if not found:
        return None
    return Decimal(found[2].replace(",", "")) * (-1 if found[1] else 1)


def pk_of(href):
    return int(re.findall(r"/(\d+)/", href)[-1])


def whole(text):
    return int(number(text) or 0)


def rows_of(page, *heads):
    """The rows of all tables of these heads: none where there is no such table."""
    return [row for table in page.tables(*heads) for row in table.rows]
