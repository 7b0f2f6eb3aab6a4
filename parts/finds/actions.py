"""Record finds, their tags, and diary entries."""

import re

from django.db.models import BigIntegerField, Max
from django.db.models.functions import Cast, Substr

from parts.photos.actions import photos
from parts.record.actions import entries, saving
from parts.record.actions.balance import check_find
from parts.record.actions.locking import writing
from parts.record.actions.saving import Refused
from parts.record.models import DiaryEntry, Engine, Find, Material, PieceEntry

# The columns that every find has, which do not describe it.
OF_EVERY_FIND = {"id", "engine", "day", "quantity", "found_by", "still_on_engine"}


def tidy_tag(text: str, engine: Engine) -> str:
    """Return the standard form of a tag: "148", "hg148" and "HG-0148" are one tag.

    Raises Refused when the text is not a tag.
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
    """Return the tag after the highest in use, deleted finds included."""
    prefix = f"{engine.tag_prefix}-"
    tags = Find.everything.filter(engine=engine, tag__regex=f"^{prefix}[0-9]+$")
    # Compared as numbers: as text, HG-9999 would come after HG-10000.
    number = Cast(Substr("tag", len(prefix) + 1), BigIntegerField())
    highest = tags.aggregate(n=Max(number))["n"] or 0
    return f"{prefix}{highest + 1:04}"


def record_find(find: Find, pictures=(), *, by) -> Find:
    """Save a find with its pictures, or refuse both. Without a tag it gets the next one.

    If it is sent again, only pictures that are not there yet are added.
    """
    if not pictures and not _is_described(find):
        raise Refused("Add a photo or a few words on what it looks like: bent lever.")
    # Its lock keeps two helpers from getting the same number.
    with photos.whole(find, pictures, by=by) as (existing, new_photos):
        if existing is None and not find.tag and not find.still_on_engine:
            find.tag = next_tag(find.engine)
        row = existing or saving.add(find, by=by)
        photos.add_all(new_photos, by=by, day=row.day, find=row, caption=row.looks_like or row.name)
    return row


def _is_described(find: Find) -> bool:
    fields = (f for f in find._meta.concrete_fields if f.editable and f.name not in OF_EVERY_FIND)
    return any(getattr(find, f.attname) not in ("", None, Material.NOT_KNOWN) for f in fields)


def change_find(find: Find, values: dict, *, seen: int, by) -> Find:
    """Change a find. Raises Refused for a quantity below its identified pieces."""
    with writing(find.engine_id):
        find = saving.change(find, values, seen=seen, by=by)
        check_find(find)
    return find


def identify_and_place(
    find, part, pieces: int, *, day, by, placed: bool = False, reason=""
) -> PieceEntry:
    """Identify pieces of a find as a part and, if `placed`, record them as in place."""
    if find.odd:
        raise Refused("This find was put down as no piece of the engine. Change that first.")
    with writing(find.engine_id):
        entry = entries.identify(find, part, pieces, day=day, by=by, reason=reason)
        if placed:
            entries.place(part, pieces, day=day, by=by, find=find)
    return entry


def record_diary(entry: DiaryEntry, pictures=(), *, by) -> DiaryEntry:
    """Save a diary entry with its pictures, or refuse both. Sent again, it is saved once."""
    with photos.whole(entry, pictures, by=by) as (existing, new_photos):
        row = existing or saving.add(entry, by=by)
        photos.add_all(new_photos, by=by, day=row.day, diary=row)
    return row
