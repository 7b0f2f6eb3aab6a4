"""Puts a view and its balloons on a sheet, as SVG."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import hypot

from parts.drafting import pen
from parts.drafting.balloons import ring
from parts.drafting.lines import CENTRE_LINE, STATES, dash_text
from parts.drafting.lining import MATERIALS, parallels
from parts.drafting.pen import Markup, num
from parts.drafting.zones import BORDER, zone_border

from . import shapes as sh
from .layout import Balloon
from .pieces import Piece, Span, View
from .proportions import MM, feet

DETAIL = 0.8
LABEL = 12.5
# How wide a letter of a label is for its size; the face is set a little narrower than the pen's.
_LETTER = 0.53


@dataclass(frozen=True)
class Traced:
    """A piece as paths on a sheet, with what its size on it asks of the line."""

    piece: Piece
    outline: tuple[str, ...]
    detail: str
    lining: str
    shrink: float


@lru_cache(maxsize=32)
def trace(view: View, paper: sh.Paper) -> tuple[Traced, ...]:
    """Return the pieces of a view as paths. Kept, for they are the same on every day."""
    made = []
    for piece in view.pieces:
        small = 99.0
        if piece.outline:
            sides = []
            for shape in piece.outline:
                for corners in sh.corners(shape):
                    xs, ys = [x for x, _ in corners], [y for _, y in corners]
                    sides.append(max(max(xs) - min(xs), max(ys) - min(ys)))
            sides.sort()
            small = sides[len(sides) // 2] * paper.scale
        lining = ""
        if piece.cut in MATERIALS:
            for shape in piece.outline:
                ring_px = [paper.at(q) for corners in sh.corners(shape) for q in corners]
                lining += "".join(
                    f"M{num(a[0])} {num(a[1])}L{num(b[0])} {num(b[1])}" for a, b in parallels(ring_px, 3.6)
                )
        made.append(
            Traced(
                piece,
                tuple(paper.path(shape) for shape in piece.outline),
                "".join(paper.path(shape) for shape in piece.details),
                lining,
                min(1.0, max(0.6, small / 22)),
            )
        )
    return tuple(made)


def draw_piece(traced: Traced, state: str | None, picked: bool) -> Markup:
    """Return a piece in the line of its state; without one, thin and grey: tied to no part."""
    piece = traced.piece
    plain = piece.pale and state in (None, "in_place", "found", "fitted")
    if plain or state is None:
        colour, width, dashes, wash = ("rule" if piece.pale else "edge"), 0.9, None, "sheet"
    else:
        kind, f = STATES[state], traced.shrink
        colour, wash = kind.colour, kind.wash
        width = max(kind.width * f, 0.75)
        dashes = dash_text(tuple(d * f for d in kind.dashes))
    inner = [pen.el("path", d=d) for d in traced.outline]
    if traced.lining:
        inner.append(pen.el("path", d=traced.lining, fill="none", stroke_width=0.5, stroke_dasharray="none"))
    if traced.detail:
        inner.append(
            pen.el(
                "path",
                d=traced.detail,
                fill="none",
                stroke_width=min(DETAIL, max(0.55, 0.6 * width)),
                stroke_dasharray="none",
            )
        )
    return pen.group(
        *inner,
        css=f"piece s-{state or 'untied'}",
        fill="blue-wash" if picked else wash,
        fill_rule="evenodd",
        stroke=colour,
        stroke_width=float(width),
        stroke_dasharray=dashes,
        stroke_linejoin="round",
        data_piece=piece.key,
    )


def draw_centres(view: View, paper: sh.Paper) -> Markup:
    d = "".join(paper.path(shape) for shape in view.centres)
    return pen.path(d, 0.7, "ink2", opacity="0.75", stroke_dasharray=dash_text(CENTRE_LINE))


def _clear(low: float, high: float, room: float, taken: Sequence[float], end: float) -> float:
    """Return a place along a dimension line for its text, clear of leaders if there is one.

    Args:
        end: How far the sheet reaches; the text stays inside its border. [px]
    """
    first, last = BORDER + 4 + room / 2, end - BORDER - 4 - room / 2
    middle = (low + high) / 2
    for step in range(50):
        at = middle + (step + 1) // 2 * (4.0 if step % 2 else -4.0)
        inside = low + room / 2 < at < high - room / 2
        if (inside or not step) and all(abs(t - at) > room / 2 + 2 for t in taken):
            return at
    # A short one has its text beyond an end.
    for at in (high + room / 2 + 5, low - room / 2 - 5):
        if first <= at <= last and all(abs(t - at) > room / 2 + 2 for t in taken):
            return at
    return min(max(middle, first), last)


def _crossed(x: float, leaders: Sequence[tuple], level: bool = False) -> list[float]:
    """Return where leaders cross an upright line, or a level one."""
    found = []
    for (x1, y1), (x2, y2) in leaders:
        u1, v1, u2, v2 = (y1, x1, y2, x2) if level else (x1, y1, x2, y2)
        if min(u1, u2) <= x <= max(u1, u2) and u1 != u2:
            found.append(v1 + (x - u1) / (u2 - u1) * (v2 - v1))
    return found


def draw_span(
    span: Span, paper: sh.Paper, text: str, size: tuple[float, float], leaders: Sequence[tuple] = ()
) -> tuple[Markup, Markup]:
    """Return a dimension: its lines with their arrows, and the measure to be laid over leaders.

    Args:
        size: Width and height of the sheet. [px]
        leaders: (start, end) of lines that the text keeps clear of. [px]
    """
    (x1, y1), (x2, y2) = paper.at(span.start), paper.at(span.end)
    off = span.off * paper.scale
    long, half = 7.0, 2.3
    room = len(text) * LABEL * _LETTER
    if abs(x1 - x2) < 0.5:
        x = x1 + off
        low, high = min(y1, y2), max(y1, y2)
        away = 3 if off > 0 else -3
        d = "".join(f"M{num(x1 + away)} {num(y)}H{num(x + away * 1.6)}" for y in (low, high))
        d += f"M{num(x)} {num(low)}V{num(high)}"
        heads = f"M{num(x)} {num(low)}l{half} {long}h{-2 * half}ZM{num(x)} {num(high)}l{half} {-long}h{-2 * half}Z"
        tx, ty = x - 6, _clear(low, high, room, _crossed(x - 6, leaders), size[1])
        plate = pen.rect(tx - 11, ty - room / 2 - 2, 14, room + 4, "sheet")
        words = pen.letters(tx, ty, text, LABEL, "ink", "middle", transform=f"rotate(-90 {num(tx)} {num(ty)})")
    else:
        y = y1 - off
        low, high = min(x1, x2), max(x1, x2)
        away = -3 if off > 0 else 3
        d = "".join(f"M{num(x)} {num(y1 + away)}V{num(y + away * 1.6)}" for x in (low, high))
        d += f"M{num(low)} {num(y)}H{num(high)}"
        heads = f"M{num(low)} {num(y)}l{long} {half}v{-2 * half}ZM{num(high)} {num(y)}l{-long} {half}v{-2 * half}Z"
        tx, ty = _clear(low, high, room, _crossed(y - 5, leaders, True), size[0]), y - 5
        plate = pen.rect(tx - room / 2 - 2, ty - 11, room + 4, 14, "sheet")
        words = pen.letters(tx, ty, text, LABEL, "ink", "middle")
    lines = pen.group(pen.path(d, 0.7, "ink2"), pen.el("path", d=heads, fill="ink"), css="dimension")
    return lines, pen.group(plate, words, css="dimension")


def measure(size: str, sizes_mm: Mapping[str, float], written: Mapping[str, str], metric: bool) -> str:
    """Return a size as the record has it written, else in the engine's units."""
    if written.get(size):
        return written[size]
    return f"{sizes_mm[size]:.0f} mm" if metric else feet(sizes_mm[size] / MM)


def draw_title(title: str, paper: sh.Paper, x: float, foot: float, metric: bool) -> Markup:
    """Return the title of the view, and under it a scale bar in real measures."""
    if metric:
        steps = [(m, f"{m * 1000:g} mm" if m < 1 else f"{m:g} m") for m in (0.1, 0.2, 0.5, 1, 2)]
        steps = [(m * 1000 / MM, word) for m, word in steps]
    else:
        steps = [(3, "3 in"), (6, "6 in"), (12, "1 ft"), (24, "2 ft"), (36, "3 ft"), (60, "5 ft")]
    inches, word = next(((i, w) for i, w in steps if i * paper.scale >= 40), steps[-1])
    long = inches * paper.scale
    lines = wrap(title, 100)
    y = foot - 30 - 15 * (len(lines) - 1)
    parts = [pen.letters(x, y + 15 * i, line, LABEL, "ink", weight=600) for i, line in enumerate(lines)]
    top = foot - 22
    parts += [
        pen.rect(x, top, long, 5, "sheet", "ink", 1),
        pen.rect(x, top, long / 2, 5, "ink"),
        pen.letters(x, foot, "0", 12, "ink2"),
        pen.letters(x + long, foot, word, 12, "ink2", "middle"),
    ]
    return pen.group(*parts, css="view-title")


def wrap(text: str, room: float, size: float = LABEL, most: int = 2) -> list[str]:
    """Return a text in at most so many lines of a width; what does not fit ends in dots."""
    letters = max(4, int(room / (size * _LETTER)))
    lines: list[str] = []
    for word in text.split():
        if lines and len(lines[-1]) + 1 + len(word) <= letters:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    cut = len(lines) > most
    lines = lines[:most]
    for i, line in enumerate(lines):
        if len(line) > letters or (cut and i == most - 1):
            lines[i] = line[: letters - 1].rstrip(" ,") + "…"
    return lines


def label_lines(name: str, note: str, room: float) -> list[str]:
    """Return the label of a balloon in at most two lines, with how many of how many."""
    if not note:
        return wrap(name, room)
    one = wrap(name, room, most=1)
    if not one[0].endswith("…"):
        return [one[0], note]
    return [*wrap(f"{name}", room, most=1), note]


def draw_leader(balloon: Balloon, anchor: tuple[float, float], radius: float, css: str, picked: bool) -> Markup:
    ax, ay = anchor
    sx, sy = balloon.start
    straight = (sx, sy) != (balloon.x, balloon.y)
    tx, ty = (sx, sy) if straight else (ax, ay)
    d = hypot(tx - balloon.x, ty - balloon.y) or 1.0
    out = min(radius + (3.5 if picked else 0.0), d)
    x = balloon.x + (tx - balloon.x) * out / d
    y = balloon.y + (ty - balloon.y) * out / d
    colour = "blue" if picked else "ink"
    via = f"L{num(sx)} {num(sy)}" if straight else ""
    path = f"M{num(x)} {num(y)}{via}L{num(ax)} {num(ay)}"
    return pen.group(
        pen.path(path, 3.4, "sheet"),
        pen.path(path, 0.9, colour),
        pen.el("circle", cx=float(ax), cy=float(ay), r=2.3, fill=colour),
        css=f"leader {css}",
    )


def draw_balloon(balloon: Balloon, mark, radius: float, lines: Sequence[str], picked: bool) -> Markup:
    """Return a balloon with its label, as a link named "10 Crosshead, Missing"."""
    x, y = balloon.x, balloon.y
    parts: list[Markup] = []
    colour = "blue" if picked else "ink"
    weight = 600 if picked else 400
    longest = max((len(line) for line in lines), default=0) * LABEL * _LETTER
    gap = 3.5 if picked else 0.0
    if lines and balloon.side in ("top", "bottom"):
        left = x + radius + 5 + gap
        top = y + 4.4 - 7.2 * (len(lines) - 1)
        parts.append(pen.rect(left - 2, top - 12, longest + 4, 14.4 * len(lines) + 2, "sheet"))
        parts += [pen.letters(left, top + 14.4 * i, line, LABEL, colour, weight=weight) for i, line in enumerate(lines)]
    elif lines:
        top = y + radius + 13 + gap
        parts.append(pen.rect(x - longest / 2 - 2, top - 11, longest + 4, 14 * len(lines) + 1, "sheet"))
        parts += [pen.letters(x, top + 14 * i, line, LABEL, colour, "middle", weight) for i, line in enumerate(lines)]
    parts.append(ring(x, y, mark.number, mark.state, radius, picked))
    word = STATES[mark.state].word
    said = f"{mark.number} {mark.name}, {word}" + (f", {mark.note}" if mark.note else "")
    return pen.el(
        "a",
        *parts,
        css=f"balloon-at s-{mark.state}",
        href=mark.href,
        aria_label=said,
        aria_current="true" if picked else None,
        data_number=mark.number,
    )


def whole(width: float, height: float, *children: str, title: str) -> Markup:
    """Return the sheet. It holds links, so that it is a group and not one picture."""
    return pen.el(
        "svg",
        pen.rect(0, 0, width, height, fill="sheet"),
        *children,
        css="drawn fit arrangement",
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {num(width)} {num(height)}",
        width=num(width),
        height=num(height),
        role="group",
        aria_label=title,
    )


@lru_cache(maxsize=32)
def border(width: float, height: float) -> Markup:
    return zone_border(width, height)
