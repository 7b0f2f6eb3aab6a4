"""What tests of screens ask: an address, the words of an answer, how a part stands."""

from django.urls import reverse

from parts.record.models import Part
from parts.record.queries.status import counts_of


def at(name, engine, *args, **query):
    """The address of a page of an engine."""
    address = reverse(f"parts:{name}", args=[engine.pk, *args])
    return address + ("?" + "&".join(f"{k}={v}" for k, v in query.items()) if query else "")


def text(response) -> str:
    """The page of an answer, its white space folded."""
    return " ".join(response.content.decode().split())


def stands(part) -> dict:
    """How the pieces of a part stand; states that have none are left out."""
    row = Part.objects.filter(pk=part.pk).status().get()
    return {s: n for s, n in counts_of(row).states if n}
