"""Settings under test: the same, with a fast hash and files kept apart."""

import atexit
import shutil
import tempfile
from pathlib import Path

from restoration.settings import *  # noqa: F403

# Of this process alone, and gone with it: no other run or user of the machine meets it.
DATA_DIR = Path(tempfile.mkdtemp(prefix="bedplate-test-"))
atexit.register(shutil.rmtree, DATA_DIR, ignore_errors=True)
MEDIA_ROOT = DATA_DIR / "media"
STATIC_ROOT = DATA_DIR / "static"
STATIC_ROOT.mkdir()
record = DATABASES["default"]  # noqa: F405
if record["ENGINE"].endswith("sqlite3") and not record["TEST"]["NAME"]:
    # A file: an in-memory database answers concurrent writers with errors.
    record["TEST"]["NAME"] = DATA_DIR / "test.sqlite3"
# The others read what the commands wrote.
PASSWORD_HASHERS.insert(0, "django.contrib.auth.hashers.MD5PasswordHasher")  # noqa: F405
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
AXES_ENABLED = False
ALLOWED_HOSTS = ["testserver", "localhost", "127.0.0.1"]
