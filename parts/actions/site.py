"""Recording finds, and the numbers on their tags."""

import re

from django.db import transaction

from ..models import DiaryEntry, Engine, Fact, Find
from . import facts, photos, record
from .ledger import check_find
from .record import Refused
from .uploads import check_picture

TAG = re.compile(r"^([A-Z]{1,4})-(\d{1,6})$")


def tidy_tag(text: str, engine: Engine) -> str:
    """Read a tag as people type it: "148", "hg148" and "HG-0148" are one tag.

    Raises Refused when it is none.
    """
    text = re.sub(r"[\s_.–-]+", "-", text.strip().upper()).strip("-")
    if not text:
        return ""
    split = re.match(r"^([A-Z]{0,4})-?(\d{1,6})$", text)
    if not split:
        raise Refused(f"A tag is letters, a hyphen and figures: {engine.tag_prefix}-0148.")
    letters, figures = split.groups()
    return f"{letters or engine.tag_prefix}-{int(figures):04}"


def next_tag(engine: Engine) -> str:
    """The tag after the highest that this engine has used, removed finds included."""
    tags = Find.everything.filter(engine=engine, tag__startswith=f"{engine.tag_prefix}-")
    highest = 0
    for tag in tags.order_by("-tag").values_list("tag", flat=True)[:50]:
        match = TAG.match(tag)
        if match:
            highest = max(highest, int(match[2]))
    return f"{engine.tag_prefix}-{highest + 1:04}"


def record_find(find: Find, pictures=(), *, by) -> Find:
    """Keep a find with its pictures. One that was sent before is kept once.

    Pictures are checked before anything is written: a find is kept with all its pictures, or
    refused with none. Without a tag it is given the next one.
    """
    sent = Find.everything.filter(uid=find.uid, engine_id=find.engine_id)
    if known := sent.first():
        return known
    checked = [check_picture(file) for file in pictures]
    with transaction.atomic():
        # The lock keeps two helpers from being given one number, and one find from going in twice.
        engine = Engine.objects.select_for_update().get(pk=find.engine_id)
        if known := sent.first():
            return known
        if not find.tag and not find.still_on_engine:
            find.tag = next_tag(engine)
        record.add(find, by=by)
    for picture in checked:
        photos.keep(
            engine,
            picture,
            by=by,
            day=find.day,
            find=find,
            caption=find.looks_like or find.name,
        )
    return find


def change_find(find: Find, values: dict, *, seen: int, by) -> Find:
    """Change a find. How many it is cannot fall below what was identified of it."""
    with transaction.atomic():
        find = record.change(find, values, seen=seen, by=by)
        check_find(find)
    return find


def identify_and_place(
    find, part, pieces: int, *, day, by, placed: bool = False, reason=""
) -> Fact:
    """Say what a find is and, if it stands on the engine, that it does."""
    if find.odd:
        raise Refused("This find was put down as no piece of the engine. Change that first.")
    with transaction.atomic():
        fact = facts.identify(find, part, pieces, day=day, by=by, reason=reason)
        if placed:
            facts.place(part, pieces, day=day, by=by, find=find)
    return fact


def write_diary(entry: DiaryEntry, pictures=(), *, by) -> DiaryEntry:
    """Keep a diary entry with its pictures, or refuse both."""
    checked = [check_picture(file) for file in pictures]
    record.add(entry, by=by)
    for picture in checked:
        photos.keep(entry.engine, picture, by=by, day=entry.day, diary=entry)
    return entry
