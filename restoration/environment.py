"""Read the settings that an installation may change, and fail loudly on a bad one."""

import os
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured
from django.core.management.utils import get_random_secret_key


def text(name: str, default: str = "") -> str:
    return os.environ.get(name, default).strip()


def one_of(name: str, default: str, allowed: tuple[str, ...]) -> str:
    value = text(name, default)
    if value not in allowed:
        raise ImproperlyConfigured(f"{name} is {value!r}; it must be one of: {', '.join(allowed)}.")
    return value


def yes_or_no(name: str, default: bool) -> bool:
    return one_of(name, "yes" if default else "no", ("yes", "no")) == "yes"


def whole(name: str, default: int) -> int:
    value = text(name, str(default))
    if not value.isdigit():
        raise ImproperlyConfigured(f"{name} is {value!r}; it must be a whole number.")
    return int(value)


def names(name: str, default: str = "") -> list[str]:
    return [part.strip() for part in text(name, default).split(",") if part.strip()]


def secret_key(folder: Path) -> str:
    """Return the installation's secret key, made once and kept with the data."""
    path = folder / "secret_key"
    if not path.exists():
        folder.mkdir(parents=True, exist_ok=True)
        path.touch(mode=0o600)
        path.write_text(get_random_secret_key(), encoding="utf-8")
    return path.read_text(encoding="utf-8").strip()
