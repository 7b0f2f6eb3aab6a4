"""The pen: the elements, colours and text of all drawings."""

from __future__ import annotations

import re
from html import escape


class Markup(str):
    """Text that is markup already: templates and `el` do not escape it."""

    __slots__ = ()

    def __html__(self) -> str:
        return str(self)

    def resized(self, width: float, height: float | None = None) -> Markup:
        """Return the same drawing, shown at another size."""
        head, rest = self.split(">", 1)
        head = re.sub(r' width="[^"]*"', f' width="{num(width)}"', head, count=1)
        head = re.sub(r' height="[^"]*"', f' height="{num(height or width)}"', head, count=1)
        return Markup(f"{head}>{rest}")


# The colours of the light display; the style sheet has those of the others by the same names.
COLOURS = {
    "ink": "#11161B",
    "ink2": "#424B54",
    "edge": "#737D86",
    "rule": "#C3CAD0",
    "hair": "#E1E5E8",
    "blue": "#12409A",
    "red": "#B5330F",
    "brass": "#7A5A0C",
    "green": "#1E5B3B",
    "blue-wash": "#E9EFF9",
    "red-wash": "#FBECE6",
    "brass-wash": "#F7F0DC",
    "green-wash": "#E7F1EA",
    "sheet": "#FFFFFF",
    "on-blue": "#FFFFFF",
}
FACE = "Atkinson Hyperlegible Next, DejaVu Sans, Verdana, sans-serif"
# The mean width of a letter as a part of its size, a little over for this font.
LETTER_WIDTH = 0.56


def num(value: float) -> str:
    """Write a length for SVG, to a tenth of a unit, which is finer than any screen shows.

    >>> num(3.0), num(-0.04), num(12.345)
    ('3', '0', '12.3')
    """
    text = f"{value:.1f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def fine(value: float) -> str:
    """Write a width or a dash, to the hundredth.

    >>> fine(2.20), fine(3.14159)
    ('2.2', '3.14')
    """
    return f"{value:.2f}".rstrip("0").rstrip(".") or "0"


def el(name: str, *children: str, **attributes: object) -> Markup:
    """Return one element.

    Args:
        name: The name of the element.
        children: Texts, escaped unless they are `Markup`.
        attributes: Written out with `_` turned to `-`; None and False are left out. `stroke` and
            `fill` may be the name of a colour of `COLOURS`, and then add the class for it.
            `css` adds further classes.

    >>> el("path", d="M0 0H5", stroke="ink", fill=None)
    '<path class="k-ink" d="M0 0H5" stroke="#11161B"/>'
    """
    classes = [str(attributes.pop("css"))] if attributes.get("css") else []
    attributes.pop("css", None)
    pairs = []
    for key, value in attributes.items():
        if value is None or value is False:
            continue
        if key in ("stroke", "fill") and value in COLOURS:
            classes.append(f"{'k' if key == 'stroke' else 'f'}-{value}")
            value = COLOURS[str(value)]
        if isinstance(value, float):
            value = fine(value) if key in ("stroke_width", "font_size") else num(value)
        pairs.append(f'{key.rstrip("_").replace("_", "-")}="{escape(str(value))}"')
    if classes:
        pairs.insert(0, f'class="{escape(" ".join(classes))}"')
    inner = "".join(c if isinstance(c, Markup) else escape(str(c), quote=False) for c in children)
    head = " ".join([name, *pairs])
    return Markup(f"<{head}>{inner}</{name}>" if inner else f"<{head}/>")


def group(*children: str, **attributes: object) -> Markup:
    return el("g", *children, **attributes)


def path(d: str, width: float = 1.0, stroke: str = "ink", fill: str = "none", **more) -> Markup:
    return el("path", d=d, fill=fill, stroke=stroke, stroke_width=float(width), **more)


def line(x1, y1, x2, y2, width: float = 1.0, stroke: str = "ink", **more) -> Markup:
    return path(f"M{num(x1)} {num(y1)}L{num(x2)} {num(y2)}", width, stroke, **more)


def rect(x, y, w, h, fill="none", stroke="none", width: float | None = None, **more) -> Markup:
    return el(
        "rect",
        x=float(x),
        y=float(y),
        width=float(w),
        height=float(h),
        fill=fill,
        stroke=stroke,
        stroke_width=None if width is None else float(width),
        **more,
    )


def letters(
    x: float,
    y: float,
    text: str,
    size: float = 12.5,
    fill: str = "ink",
    anchor: str = "start",
    weight: int = 400,
    **more,
) -> Markup:
    """Return one line of text with its base line at `y`. anchor: start, middle or end."""
    return el(
        "text",
        text,
        x=float(x),
        y=float(y),
        fill=fill,
        font_family=FACE,
        font_size=float(size),
        font_weight=weight,
        text_anchor=None if anchor == "start" else anchor,
        **more,
    )


def letters_width(text: str, size: float) -> float:
    """Return the approximate width of a text, rather over than under."""
    return len(text) * size * LETTER_WIDTH


def sheet(
    width: float,
    height: float,
    *children: str,
    title: str = "",
    css: str = "",
    fit: bool = False,
    **more: object,
) -> Markup:
    """Return a whole drawing.

    Args:
        width, height: Its size in px, also the size of its view box.
        children: Its elements, the farthest first.
        title: Text for screen readers. Empty for an ornament beside its word.
        css: Further classes.
        fit: True when it may shrink to the width of its container (class `fit`).
        more: Further attributes.
    """
    accessibility = (
        {"role": "img", "aria_label": title}
        if title
        else {"aria_hidden": "true", "focusable": "false"}
    )
    return el(
        "svg",
        *([el("title", title)] if title else []),
        *children,
        css=" ".join(filter(None, ["drawn", "fit" if fit else "", css])),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {num(width)} {num(height)}",
        width=num(width),
        height=num(height),
        **accessibility,
        **more,
    )
