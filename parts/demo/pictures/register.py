"""The list of drawings and how each is set up."""

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Drawing:
    """One picture: who draws it, on what, how steeply seen, and where the scale rod lies."""

    paint: Callable
    ground: str
    clean: str
    tilt: float
    rust: float
    rod: tuple | None
    whole: bool = False


DRAWINGS: dict[str, Drawing] = {}


def drawing(key, ground="earth", *, clean="boards", tilt=34, rust=1.0, rod=(0, 400, -2)):
    """Enter the decorated function under `key`; `rod` is x, y, turn (or None) of the scale rod."""

    def enter(paint):
        DRAWINGS[key] = Drawing(paint, ground, clean, tilt, rust, rod)
        return paint

    return enter


def scene(key, *, rust=1.0, tilt=0):
    """Enter a picture that draws its own surroundings."""

    def enter(paint):
        DRAWINGS[key] = Drawing(paint, "", "", tilt, rust, None, whole=True)
        return paint

    return enter
