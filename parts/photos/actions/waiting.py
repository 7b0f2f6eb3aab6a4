"""Files that wait with a form which was refused, so that nobody has to choose them again.

A browser drops a chosen file when the page comes back. What was sent with a refused form is kept
under the id that the form carries, for the person who sent it and for a day, and goes in with
the form when it is sent again. `files.sweep` removes what nobody sent again.
"""

import hashlib
import uuid
from contextlib import suppress

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage

from parts.record.actions.saving import Refused

MOST = 12


def _folder(user, uid: uuid.UUID) -> str:
    return f"waiting/{user.pk}/{uid}"


def _names(folder: str) -> list[str]:
    if not default_storage.exists(folder):
        return []
    return sorted(f"{folder}/{name}" for name in default_storage.listdir(folder)[1])


def let_wait(user, uid: uuid.UUID, files, *, check, most: int = MOST) -> None:
    """Keep the files of a refused form, at most so many; later ones take the place of the first.

    Files that `check` refuses are passed over: the form, sent again without them, says so no
    more. So is what the disk cannot take: then the form asks for them again.
    """
    folder = _folder(user, uid)
    for file in list(files)[-most:]:
        with suppress(Refused, OSError):
            checked = check(file)
            names = _names(folder)
            for name in names[: max(0, len(names) + 1 - most)]:
                default_storage.delete(name)
            name = f"{folder}/{checked.sha256}"
            if name not in names:
                default_storage.save(name, ContentFile(checked.content))


def waiting(user, uid: uuid.UUID) -> list[ContentFile]:
    """The files that wait with a form. One that was cut short as it was kept is passed over."""
    files = []
    for name in _names(_folder(user, uid)):
        with default_storage.open(name) as file:
            content = file.read()
        sha256 = name.rsplit("/", 1)[-1]
        if hashlib.sha256(content).hexdigest() == sha256:
            files.append(ContentFile(content, name=sha256))
    return files


def done_waiting(user, uid: uuid.UUID) -> None:
    """Forget the files of a form that went in."""
    folder = _folder(user, uid)
    with suppress(OSError):  # what cannot be deleted now is swept later
        for name in _names(folder):
            default_storage.delete(name)
        default_storage.delete(folder)
