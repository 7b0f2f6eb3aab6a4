"""Recording finds, and the numbers on their tags."""

import re

from django.db.models import BigIntegerField, Max
from django.db.models.functions import Cast, Substr

from parts.photos.actions import photos
from parts.record.actions import entries, saving
from parts.record.actions.balance import check_find
from parts.record.actions.locking import writing
from parts.record.actions.saving import Refused
from parts.record.models import DiaryEntry, Engine, Find, Material, PieceEntry

# What every find has and so tells none from another.
OF_EVERY_FIND = {"id", "engine", "day", "quantity", "found_by", "still_on_engine"}


def tidy_tag(text: str, engine: Engine) -> str:
    """Read a tag as people type it: "148", "hg148" and "HG-0148" are one tag.

    Raises Refused when it is none.
    """
    text = re.sub(r"[\s_.–-]+", "-", text.strip().upper()).strip("-")
    if not text:
        return ""
    split = re.match(r"^([A-Z]{0,4})-?(\d{1,9})$", text)
    if not split:
        raise Refused(f"A tag is letters, a hyphen and figures: {engine.tag_prefix}-0148.")
    letters, figures = split.groups()
    return f"{letters or engine.tag_prefix}-{int(figures):04}"


def next_tag(engine: Engine) -> str:
    """The tag after the highest that this engine has used, removed finds included."""
    prefix = f"{engine.tag_prefix}-"
    tags = Find.everything.filter(engine=engine, tag__regex=f"^{prefix}[0-9]+$")
    # As numbers: as text, HG-9999 would come after HG-10000.
    number = Cast(Substr("tag", len(prefix) + 1), BigIntegerField())
    highest = tags.aggregate(n=Max(number))["n"] or 0
    return f"{prefix}{highest + 1:04}"


def record_find(find: Find, pictures=(), *, by) -> Find:
    """Keep a find with its pictures, or refuse both. Without a tag it is given the next one.

    Sent again, it is kept once, and pictures that are not there yet are added to it.
    """
    if not pictures and not _says_something(find):
        raise Refused("Add a photo or a few words on what it looks like: bent lever.")
    # The lock in it keeps two helpers from being given one number.
    with photos.whole(find, pictures, by=by) as (known, new):
        if known is None and not find.tag and not find.still_on_engine:
            find.tag = next_tag(find.engine)
        row = known or saving.add(find, by=by)
        photos.add_all(new, by=by, day=row.day, find=row, caption=row.looks_like or row.name)
    return row


def _says_something(find: Find) -> bool:
    fields = (f for f in find._meta.concrete_fields if f.editable and f.name not in OF_EVERY_FIND)
    return any(getattr(find, f.attname) not in ("", None, Material.NOT_KNOWN) for f in fields)


def change_find(find: Find, values: dict, *, seen: int, by) -> Find:
    """Change a find. How many it is cannot fall below what was identified of it."""
    with writing(find.engine_id):
        find = saving.change(find, values, seen=seen, by=by)
        check_find(find)
    return find


def identify_and_place(
    find, part, pieces: int, *, day, by, placed: bool = False, reason=""
) -> PieceEntry:
    """Say what a find is and, if it stands on the engine, that it does."""
    if find.odd:
        raise Refused("This find was put down as no piece of the engine. Change that first.")
    with writing(find.engine_id):
        entry = entries.identify(find, part, pieces, day=day, by=by, reason=reason)
        if placed:
            entries.place(part, pieces, day=day, by=by, find=find)
    return entry


def write_diary(entry: DiaryEntry, pictures=(), *, by) -> DiaryEntry:
    """Keep a diary entry with its pictures, or refuse both. Sent again, it is kept once."""
    with photos.whole(entry, pictures, by=by) as (known, new):
        row = known or saving.add(entry, by=by)
        photos.add_all(new, by=by, day=row.day, diary=row)
    return row
