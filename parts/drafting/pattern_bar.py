"""A finished size drawn against its pattern or core, with allowance and contraction."""

from __future__ import annotations

from . import lining, pen
from .dimensions import arrow, closed
from .pen import Markup


def pattern_bar(
    finished: str,
    pattern: str,
    *,
    off: str = "",
    contraction: str = "",
    material: str = "cast_iron",
    inside: bool = False,
    ends: int = 2,
    width: float = 342.0,
    letter: float = 12.5,
) -> Markup:
    """Draw a finished size against its pattern or core, not to scale.

    Args:
        finished, pattern: The two sizes, in words.
        off: The machining allowance, in words; "" for none.
        contraction: The contraction, in words.
        inside: True for a hole, whose core is smaller.
        ends: The number of its two ends that are machined.
    """
    w, k = width, letter / 12.5
    word = "core" if inside else "pattern"
    # From the outside inwards: the longer of the two sizes, the cast size, the shorter.
    out, cast, own = 20 * k, 30 * k, 42 * k
    top = 70 * k
    if inside:  # a core is smaller than the hole, but larger than the hole as cast
        own, out, cast = 20 * k, 34 * k, 42 * k
    spans = {name: (x, w - x) for name, x in (("pattern", out), ("finished", own))}
    shapes: list[str] = []
    body = lining.rectangle(own, top, w - 2 * own, 40 * k)
    if not inside:
        shapes.append(lining.fill_lining(material, body, 1.2, 0.7))
    shapes.append(pen.rect(own, top, w - 2 * own, 40 * k, stroke="ink", width=1.4))
    if off:
        for x, y in ((w - cast, w - own), (cast, own))[:ends]:
            a, b = sorted((x, y))
            shapes.append(pen.rect(a, top, b - a, 40 * k, "brass-wash", "ink", 1.0))
    shapes.append(
        pen.path(
            closed(lining.rectangle(out, top - 6 * k, w - 2 * out, 52 * k)),
            1.5,
            "brass",
            stroke_dasharray="12 3 2 3 2 3",
        )
    )
    rows = [("pattern", f"{pattern} {word}", "brass"), ("finished", f"{finished} finished", "ink")]
    if inside:
        rows.reverse()
    for n, (name, text, colour) in enumerate(rows):
        y = (16 + 26 * n) * k
        a, b = spans[name]
        wide = pen.letters_width(text, letter) + 10
        shapes += [
            pen.line(a, y - 4, a, top - 8 * k, 0.7, colour),
            pen.line(b, y - 4, b, top - 8 * k, 0.7, colour),
            pen.line(a, y, b, y, 0.9, colour),
            arrow(a, y, 1, 0),
            arrow(b, y, -1, 0),
            pen.rect(w / 2 - wide / 2, y - 9 * k, wide, 18 * k, fill="sheet"),
            pen.letters(w / 2, y + 4.5 * k, text, letter, colour, "middle", 600),
        ]
    foot = top + 64 * k
    for text in filter(None, (off, contraction)):
        shapes.append(pen.letters(w / 2, foot, text, letter, "ink2", "middle"))
        foot += 18 * k
    label = f"{finished} finished, {pattern} {word}"
    return pen.sheet(w, foot - 6 * k, *shapes, title=label, fit=True, css="sketch")
