"""Words of a report that may tell a place."""

import re

from parts.record.models import Engine, Find

# Words that tell a place: squares, depths, bearings, coordinates, where things are kept.
PLACE_WORDS = re.compile(
    r"""
    \b(?:square|grid|peg)\s+[A-Za-z]?\d*\b
    | \b[A-Z]\d{1,2}\b(?!\s*(?:bar|bolt|nut|stud|thread))
    | \b\d+(?:[.,]\d+)?\s*(?:cm|m|ft|in|metres|feet)\s+(?:down|deep|below|north|south|east|west)\b
    | \b\d{1,3}[.,]\d{3,}\b
    | \b[NSEW]\s?\d{1,3}\b
    | \b(?:barn|shed|store|garage|yard|lock-?up|container)\s+\w+
    """,
    re.VERBOSE,
)


def place_words(engine: Engine, *texts: str) -> list[str]:
    """Words in texts that may tell where the site is or where parts are kept, to be read again."""
    told = {m.group(0).strip() for text in texts for m in PLACE_WORDS.finditer(text)}
    kept = Find.objects.filter(engine=engine).exclude(kept_at="")
    names = set(kept.values_list("kept_at", flat=True).distinct()[:500])
    names |= {line.strip() for line in re.split(r"[\n,;]", engine.place)}
    for text in texts:
        told |= {n for n in names if len(n) > 3 and n.lower() in text.lower()}
    return sorted(told)
