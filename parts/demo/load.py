"""Loads the demonstration: two invented engines with two years of record."""

from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

from django.core.files.base import ContentFile
from django.db import transaction
from django.utils import timezone

from parts.photos.actions.uploads import check_picture
from parts.record.actions import balance
from parts.record.models import Engine, Find, Part

from . import clearing, people, story, workshop
from .telling import Telling

PHOTOS = Path(__file__).parent / "photos"


def engines():
    """The engines of the demonstration that are here."""
    return Engine.objects.filter(demo=True).order_by("pk")


def days_later() -> int:
    """By how much the story is moved, so that none of it lies in the future: 0 or less."""
    last = max(date.fromisoformat(story.about(key)["last_day"]) for key in story.ENGINES)
    return min(0, (timezone.localdate() - timedelta(days=1) - last).days)


def load(*, say: Callable[[str], None] = lambda words: None) -> bool:
    """Load the demonstration, all of it or nothing. Does nothing when it is here already.

    Args:
        say: Told in words what is being done.

    Returns:
        Whether it was loaded now.

    Raises:
        Refused: the story breaks a rule of the record.
    """
    if Engine.everything.filter(demo=True).exists():
        return False
    rows = [(key, row) for key in story.ENGINES for row in story.read(key, "photos")]
    say(f"Reading {len(rows)} photographs …")
    # Before the record is touched: it takes a while, and nobody should wait for it.
    made = [(key, row, check_picture(_photo(key, row["key"]))) for key, row in rows]
    say("Writing two years of record …")
    begun: list[Engine] = []
    try:
        with transaction.atomic():
            known = people.enter()
            for key in story.ENGINES:
                telling = Telling(key, known, days_later())
                name = telling.about["name"]
                say(f"  {name}: finds, parts and costs")
                begun.append(telling.tell())
                say(f"  {name}: pictures")
                telling.show([(row, picture) for k, row, picture in made if k == key])
                telling.set_back()
                say(f"  {name}: workshop")
                workshop.tell(telling)
                _prove(telling.engine)
    except BaseException:
        clearing.remove_files(engine.pk for engine in begun if engine.pk)
        people.forget_password()
        raise
    return True


def _photo(engine: str, key: str) -> ContentFile:
    return ContentFile((PHOTOS / engine / f"{key}.jpg").read_bytes())


def _prove(engine: Engine) -> None:
    """Check the ledger of every part and find. Raises Refused at the first that cannot be."""
    for part in Part.objects.filter(engine=engine):
        balance.check_part(part)
    for find in Find.objects.filter(engine=engine, entries__isnull=False).distinct():
        balance.check_find(find)
