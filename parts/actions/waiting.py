"""Pictures that wait with a form which was refused, so that nobody has to take them again.

A browser drops a chosen file when the page comes back. What was sent with a refused form is kept
under the id that the form carries, for the person who sent it and for a day, and goes in with
the form when it is sent again.
"""

import uuid
from datetime import timedelta

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.utils import timezone

from .record import Refused
from .uploads import check_picture

KEPT_FOR = timedelta(days=1)
MOST = 12


def _folder(user, uid: uuid.UUID) -> str:
    return f"waiting/{user.pk}/{uid}"


def _names(folder: str) -> list[str]:
    if not default_storage.exists(folder):
        return []
    return sorted(f"{folder}/{name}" for name in default_storage.listdir(folder)[1])


def let_wait(user, uid: uuid.UUID, files) -> None:
    """Keep pictures of a refused form. Files that are no pictures are passed over: the form,
    sent again without them, says so no more."""
    folder = _folder(user, uid)
    waiting = len(_names(folder))
    for file in files:
        if waiting >= MOST:
            return
        try:
            check_picture(file)
        except Refused:
            continue
        file.seek(0)
        default_storage.save(f"{folder}/{waiting:02}", ContentFile(file.read()))
        waiting += 1


def waiting(user, uid: uuid.UUID) -> list[ContentFile]:
    """The pictures that wait with a form."""
    files = []
    for name in _names(_folder(user, uid)):
        with default_storage.open(name) as file:
            files.append(ContentFile(file.read(), name=name.rsplit("/", 1)[-1]))
    return files


def done_waiting(user, uid: uuid.UUID) -> None:
    """Forget the pictures of a form that went in, and those that nobody sent again in a day."""
    for name in _names(_folder(user, uid)):
        default_storage.delete(name)
    for folder in _folders(f"waiting/{user.pk}"):
        for name in _names(folder):
            if default_storage.get_modified_time(name) < timezone.now() - KEPT_FOR:
                default_storage.delete(name)


def _folders(root: str) -> list[str]:
    if not default_storage.exists(root):
        return []
    return [f"{root}/{name}" for name in default_storage.listdir(root)[0]]
