"""Settings under test: the same, with a fast hash and files kept apart."""

import tempfile
from pathlib import Path

from restoration.settings import *  # noqa: F403

DATA_DIR = Path(tempfile.mkdtemp(prefix="bedplate-test-"))
MEDIA_ROOT = DATA_DIR / "media"
STATIC_ROOT = DATA_DIR / "static"
STATIC_ROOT.mkdir()
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
AXES_ENABLED = False
ALLOWED_HOSTS = ["testserver", "localhost", "127.0.0.1"]
