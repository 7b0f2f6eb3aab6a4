"""Proposes which part of the starter list a part of the record is, by name, for the drawing.

A record that began from the starter list has its names and numbers; later both drift. Numbers alone
would tie a driving pulley to a rim bolt, so that names decide and numbers only break ties.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from parts.engineering.starters import starter

# Words that tell nothing of what a thing is.
_PLAIN = {"and", "the", "of", "or", "to", "a", "for", "in", "on", "under", "at", "with"}
_LEAST = 0.5


def _words(name: str) -> frozenset[str]:
    found = re.findall(r"[a-z]+", name.lower().replace("-", " "))
    # "Guide bars" and "guide bar" are the same thing.
    return frozenset(w[:-1] if len(w) > 3 and w.endswith("s") else w for w in found if w not in _PLAIN)


def _likeness(one: frozenset[str], two: frozenset[str]) -> float:
    """Return how far two names share their words: 0 to 1."""
    return len(one & two) / len(one | two) if one and two else 0.0


def _pair(ours: Iterable[tuple[int, str]], theirs: Iterable[tuple[int, str]]) -> dict[int, int]:
    """Return pairs of numbers whose names are most alike, each used once."""
    listed = [(n, _words(name)) for n, name in theirs]
    scored = sorted(
        (-_likeness(words, known), number != n, number, n)
        for number, words in ((number, _words(name)) for number, name in ours)
        for n, known in listed
    )
    pairs: dict[int, int] = {}
    used: set[int] = set()
    for score, _, number, n in scored:
        if -score >= _LEAST and number not in pairs and n not in used:
            pairs[number] = n
            used.add(n)
    return pairs


def propose(
    kind: str, components: Iterable[tuple[int, str]], parts: Iterable[tuple[int, int, str]]
) -> tuple[dict[int, int], dict[int, int]]:
    """Return proposed ties from a record to the starter list of its kind.

    Args:
        kind: A key of the starter lists. Raises UnknownName.
        components: (number, name) of each component of the record.
        parts: (number, component's number, name) of each part of the record.

    Returns:
        Component numbers to those of the starter list, and part numbers likewise. What resembles
        nothing is left out: it is drawn by its component, or stands in the list alone.
    """
    listed = starter(kind)
    tied = _pair(components, [(c.number, c.name) for c in listed.components])
    theirs = {c.number: [(p.number, p.name) for p in c.parts] for c in listed.components}
    rows = [(number, tied.get(component), name) for number, component, name in parts]
    made: dict[int, int] = {}
    # The same name in the same component, then the same name in any: makers divide an engine
    # into other components than the list does. Only then names that are alike.
    for within in (True, False):
        free: dict[tuple, list[int]] = {}
        used = set(made.values())
        for component, listed_parts in theirs.items():
            for number, name in listed_parts:
                if number not in used:
                    key = (component if within else 0, _words(name))
                    free.setdefault(key, []).append(number)
        for number, component, name in rows:
            found = free.get((component if within else 0, _words(name)))
            if number not in made and found:
                made[number] = found.pop(0)
    ours: dict[int, list[tuple[int, str]]] = {}
    for number, component, name in rows:
        if component is not None and number not in made:
            ours.setdefault(component, []).append((number, name))
    used = set(made.values())
    for component, named in ours.items():
        made.update(_pair(named, [row for row in theirs[component] if row[0] not in used]))
    return tied, made
