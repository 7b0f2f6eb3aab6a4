"""The mark of Bedplate and the few icons, drawn in line on a grid of 18 by 18."""

from __future__ import annotations

from . import pen
from .pen import Markup

# Each is a list of (path, filled). Widths come from the size: 1.6 px, 2 on the phone.
ICONS: dict[str, tuple[str, ...]] = {
    "back": ("M11.5 3L5.5 9L11.5 15",),
    "on": ("M6.5 3L12.5 9L6.5 15",),
    "close": ("M4 4L14 14M14 4L4 14",),
    "plus": ("M9 3V15M3 9H15",),
    "minus": ("M3 9H15",),
    "sun": (
        "M9 5.6A3.4 3.4 0 1 1 9 12.4A3.4 3.4 0 1 1 9 5.6Z",
        "M9 1V3M9 15V17M1 9H3M15 9H17M3.3 3.3L4.7 4.7M13.3 13.3L14.7 14.7"
        "M14.7 3.3L13.3 4.7M4.7 13.3L3.3 14.7",
    ),
    "find": ("M7.5 2A5.5 5.5 0 1 1 7.5 13A5.5 5.5 0 1 1 7.5 2Z", "M11.5 11.5L16 16"),
    "record": ("M9 3A6 6 0 1 1 9 15A6 6 0 1 1 9 3Z", "M9 .5V17.5M.5 9H17.5"),
    "camera": ("M1.5 5.5H5L6.5 3H11.5L13 5.5H16.5V15H1.5Z", "M9 7A3 3 0 1 1 9 13A3 3 0 1 1 9 7Z"),
    "caution": ("M9 2L16.8 15.5H1.2Z", "M9 7V11M9 12.7V14"),
    "no_signal": (
        "M9 8V16M6 16H12M5.5 10.5A4.5 4.5 0 0 1 7.5 4.4M12.5 10.5A4.5 4.5 0 0 0 12.6 5.6"
        "M3.3 13A7.5 7.5 0 0 1 2 8.5M14.8 13A7.5 7.5 0 0 0 14.9 4.4",
        "M2 1.5L16 16.5",
    ),
    "done": ("M3 9.5L7 13.5L15 4.5",),
    "print": ("M5 6.5V2H13V6.5M5 12.5H2.5V6.5H15.5V12.5H13M5 10.5H13V16H5Z",),
    "save": ("M9 2.5V11M5.5 7.8L9 11.3L12.5 7.8M2.5 11.5V15.5H15.5V11.5",),
    "people": (
        "M7 2.5A3 3 0 1 1 7 8.5A3 3 0 1 1 7 2.5Z",
        "M1.5 15.5C1.5 9.5 12.5 9.5 12.5 15.5M12 3A2.8 2.8 0 0 1 12 8.2"
        "M14 10.5C16 11.5 16.7 13 16.7 15.5",
    ),
    "out": ("M7 2.5H3V15.5H7M7.5 9H15.5M12 5.5L15.5 9L12 12.5",),
    "sheets": ("M2.5 4H15.5M2.5 9H15.5M2.5 14H15.5",),
    "tag": ("M2.5 9L9 2.5H15.5V9L9 15.5Z", "M12.2 5V6.6"),
    "measure": ("M1.5 6H16.5V12H1.5Z", "M4.5 6V8.5M7.5 6V9.5M10.5 6V8.5M13.5 6V9.5"),
    "edit": ("M2.5 15.5L3.5 11.5L12.5 2.5L15.5 5.5L6.5 14.5Z",),
}


def icon(name: str, size: float = 18, title: str = "", colour: str = "ink") -> Markup:
    """Return an icon. It takes the colour of the text round it. Raises KeyError.

    Args:
        name: A key of `ICONS`.
        size: Its side, px.
        title: Said aloud; leave it empty where a word stands beside it.
        colour: On paper, where there is no text to take it from.
    """
    width = 1.6 if size <= 20 else 2.0
    scale = size / 18
    return pen.sheet(
        18,
        18,
        *(
            pen.path(d, width / scale, colour, stroke_linecap="square", css="k-text")
            for d in ICONS[name]
        ),
        title=title,
        css="icon",
    ).resized(size)


def mark(height: float = 22, title: str = "Bedplate") -> Markup:
    """Return the mark: a bed on two foundation bolts."""
    drawing = pen.sheet(
        28,
        22,
        pen.path(
            "M2 4H5.5L7 5.8H20L21.6 4H26V12.4H21.5L20 10.8H8.5L7 12.4H2ZM2 12.4V14.2H26V12.4",
            1.7,
            css="k-text",
            stroke_linejoin="miter",
        ),
        pen.path(
            "M7 1V4.4M21 1V4.4M7 14.2V20.6M21 14.2V20.6M4.6 19H9.4M18.6 19H23.4", 1.7, css="k-text"
        ),
        title=title,
        css="mark",
    )
    return drawing.resized(28 * height / 22, height)
