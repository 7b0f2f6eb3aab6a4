"""Taking in photos, and tying them in pairs."""

from datetime import date

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import IntegrityError, transaction
from django.utils import timezone

from ..models import Engine, Photo, PhotoPair
from . import record
from .record import Refused, name_of
from .uploads import Checked, check_picture


def take_in(engine: Engine, file, *, by, day: date | None = None, uid=None, **about) -> Photo:
    """Check an uploaded picture and keep it. Raises Refused and leaves nothing behind.

    Args:
        engine: Whose picture it is.
        file: The uploaded file.
        day: When it was taken; None takes the day the picture tells, else today.
        uid: The id it was given on the phone; a picture sent twice is kept once.
        about: What it shows (part, find, component, repair, diary), caption, credit, may_go_out.
    """
    if uid is not None:
        known = Photo.everything.filter(uid=uid, engine=engine).first()
        if known:
            return known
    return keep(engine, check_picture(file), by=by, day=day, uid=uid, **about)


def keep(engine: Engine, picture: Checked, *, by, day=None, uid=None, **about) -> Photo:
    """Keep a picture that was checked."""
    photo = Photo(
        engine=engine,
        day=day or picture.taken_on or timezone.localdate(),
        format=picture.format,
        sha256=picture.sha256,
        bytes=len(picture.content),
        width=picture.width,
        height=picture.height,
        credit=about.pop("credit", "") or name_of(by),
        **about,
    )
    if uid is not None:
        photo.uid = uid
    _same_engine(photo)
    stored = []
    try:
        photo.original.save("original", ContentFile(picture.content), save=False)
        stored.append(photo.original.name)
        for side, content in picture.shown.items():
            stored.append(default_storage.save(photo.shown_path(side), ContentFile(content)))
        return record.add(photo, by=by)
    except BaseException as error:
        for name in stored:
            default_storage.delete(name)
        if isinstance(error, IntegrityError) and uid is not None:
            # The same picture, sent again, went in meanwhile.
            return Photo.everything.get(uid=uid, engine=engine)
        raise


def _same_engine(photo: Photo) -> None:
    for name in ("part", "find", "component", "repair", "diary"):
        other = getattr(photo, name)
        if other is not None and other.engine_id != photo.engine_id:
            raise Refused("What the picture shows belongs to another engine.")


def pair(before: Photo, after: Photo, view: str, *, by) -> PhotoPair:
    """Tie two photos as before and after of one view."""
    if before.pk == after.pk:
        raise Refused("Choose two different photos: one before, one after.")
    if before.engine_id != after.engine_id:
        raise Refused("The two photos belong to different engines.")
    if before.day > after.day:
        raise Refused(
            f"The photo before was taken on {before.day:%-d %b %Y}, "
            f"after the other on {after.day:%-d %b %Y}. Change them round."
        )
    tie = PhotoPair(engine_id=before.engine_id, before=before, after=after, view=view)
    return record.add(tie, by=by)


def rebuild(photo: Photo) -> None:
    """Make the pictures that are shown again from the original, where any is missing."""
    with photo.original.open() as file:
        shown = check_picture(file).shown
    for side, content in shown.items():
        name = photo.shown_path(side)
        if default_storage.exists(name):
            default_storage.delete(name)
        default_storage.save(name, ContentFile(content))


def pass_for_funders(photos, *, by) -> int:
    """Let pictures be shown to funders: they show no place that thieves want."""
    with transaction.atomic():
        for photo in photos:
            record.change(photo, {"may_go_out": True}, seen=photo.version, by=by)
    return len(photos)
