"""Taking in photos, and tying them in pairs."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.utils import timezone

from parts.record.actions import files, saving
from parts.record.actions.saving import Refused, name_of
from parts.record.models import Engine

from ..models import Photo, PhotoPair, original_path
from .uploads import Checked, check_picture


def take_in(engine: Engine, file, *, by, day: date | None = None, uid=None, **about) -> Photo:
    """Check an uploaded picture and keep it. Raises Refused and leaves nothing behind.

    Args:
        engine: Whose picture it is.
        file: The uploaded file.
        day: When it was taken; None takes the day the picture tells, else today.
        uid: The id of the form that it came with; a picture sent twice is kept once.
        about: What it shows (part, find, component, repair, diary), caption, credit, may_go_out.
    """
    return keep(engine, check_picture(file), by=by, day=day, uid=uid, **about)


def keep(engine: Engine, picture: Checked, *, by, day=None, uid=None, **about) -> Photo:
    """Keep a picture that was checked."""
    photo = _photo(engine, picture, uid, by=by, day=day, **about)
    with files.written_first() as write:
        _write(photo, picture, write)
        with files.sent_once(photo) as known:
            return known or saving.add(photo, by=by)


@contextmanager
def whole(row, pictures, *, by) -> Iterator[tuple]:
    """Check pictures that came with a row and write their files; then its rows in the block.

    Yields the row as it was saved when it was sent before (else None), and those photos, not
    yet added, that are not there yet. The block adds them; it is one transaction.

    Raises:
        Refused: a picture cannot be taken, or the disk could not take it. Nothing was saved.
    """
    checked = {one.sha256: one for one in map(check_picture, pictures)}
    with files.written_first() as write:
        photos = [_photo(row.engine, one, row.uid, by=by) for one in checked.values()]
        for photo, picture in zip(photos, checked.values(), strict=True):
            _write(photo, picture, write)
        with files.sent_once(row) as known:
            here = set(
                Photo.everything.filter(uid__in=[p.uid for p in photos]).values_list(
                    "uid", flat=True
                )
            )
            yield known, [photo for photo in photos if photo.uid not in here]


def add_all(photos: list[Photo], *, by, **about) -> None:
    """Add photos whose files are written, all with the same words and belonging."""
    for photo in photos:
        for name, value in about.items():
            setattr(photo, name, value)
        saving.add(photo, by=by)


def _photo(engine: Engine, picture: Checked, form, *, by, day=None, **about) -> Photo:
    photo = Photo(
        uid=files.id_of(form, picture.sha256),
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
    _same_engine(photo)
    return photo


def _write(photo: Photo, picture: Checked, write: files.Write) -> None:
    photo.original = write(original_path(photo, ""), picture.content)
    for side, content in picture.shown.items():
        write(photo.shown_path(side), content)


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
    return saving.add(tie, by=by)


def rebuild(photo: Photo) -> None:
    """Make the pictures that are shown again from the original, where any is missing."""
    with photo.original.open() as file:
        shown = check_picture(file).shown
    for side, content in shown.items():
        name = photo.shown_path(side)
        if not default_storage.exists(name):
            default_storage.save(name, ContentFile(content))
