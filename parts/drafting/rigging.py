"""Sketches of the rigging: the hook, its legs at their true angle, and the load."""

from __future__ import annotations

from math import cos, hypot, radians, sin

from . import pen
from .pen import Markup

FLAT_DEG = 30.0  # the flattest angle allowed; drawn beside legs that are flatter
UPRIGHT_DEG = 85.0  # from here on the legs are drawn side by side, under a beam


def _hook(x: float, y: float) -> list[Markup]:
    """Return a hook that ends at (x, y), with the fall above it."""
    return [
        pen.line(x, y - 52, x, y - 30, 1.4),
        pen.rect(x - 9, y - 34, 18, 14, "sheet", "ink", 1.4),
        pen.path(f"M{pen.num(x)} {pen.num(y - 20)}v8a8 8 0 1 0 8 8", 2.2),
    ]


def _shackle(x: float, y: float) -> Markup:
    return pen.el("circle", cx=float(x), cy=float(y), r=4.0, fill="sheet", stroke="ink",
                  stroke_width=1.4)  # fmt: skip


def _block(left: float, right: float, top: float, high: float) -> list[Markup]:
    """Return the load: a plain block."""
    return [pen.rect(left, top, right - left, high, "sheet", "ink", 1.6)]


def _arc(x: float, y: float, r: float, deg: float, mirrored: bool) -> Markup:
    """Return the arc of the angle of a leg, from the horizontal inwards."""
    direction = -1 if mirrored else 1
    end = x + direction * r * cos(radians(deg)), y - r * sin(radians(deg))
    sweep = 1 if mirrored else 0
    d = f"M{pen.num(x + direction * r)} {pen.num(y)}A{pen.num(r)} {pen.num(r)} 0 0 {sweep} "
    return pen.path(d + f"{pen.num(end[0])} {pen.num(end[1])}", 0.9, "ink2")


def rigging_sketch(
    legs: int,
    angle_deg: float,
    *,
    load: str = "",
    leg: str = "",
    refused: bool = False,
    counted: int | None = None,
    width: float = 342.0,
    letter: float = 13.0,
) -> Markup:
    """Draw a hook with 1 to 4 legs at their true angle.

    Args:
        legs: Legs rigged.
        angle_deg: Angle of the legs from the horizontal.
        load: The mass on the hook, in words.
        leg: The load in a leg, in words.
        refused: True draws the legs in red and says so.
        counted: The number of legs counted as carrying.
    """
    colour = "red" if refused else "ink"
    reach = width * 0.36
    upright = legs == 1 or angle_deg >= UPRIGHT_DEG
    half = 0.0 if legs == 1 else 60.0 if upright else reach * cos(radians(angle_deg))
    high = reach if upright else reach * sin(radians(angle_deg))
    x, hook_y = width / 2, 62.0
    fix_y = hook_y + high
    left, right = x - half, x + half
    shapes: list[Markup] = []
    if legs > 1 and upright:
        shapes.append(pen.rect(left - 8, hook_y - 4, 2 * half + 16, 8, "sheet", "ink", 1.4))
    tops = {left: left, right: right} if upright and legs > 1 else {left: x, right: x}
    back = 10.0
    if legs > 2:  # the legs behind, drawn thin
        behind = (left + 18, right - 18) if legs == 4 else (x,)
        for foot in behind:
            top = foot if upright else x
            shapes.append(pen.line(top, hook_y, foot, fix_y - back, 1.1, colour,
                                  stroke_dasharray="6 3"))  # fmt: skip
    load_text = load or "mass not known"
    least = max(44.0, pen.letters_width(load_text, letter) / 2 - 8)
    block_left, block_right = min(left, x - least) - 22, max(right, x + least) + 22
    shapes += _block(block_left, block_right, fix_y + 4, 46)
    for foot in {left, right}:
        shapes.append(pen.line(tops[foot], hook_y, foot, fix_y, 2.4, colour))
        shapes.append(_shackle(foot, fix_y))
    shapes += _hook(x, hook_y)
    if not upright:
        shapes += [
            pen.line(left, fix_y, left + 64, fix_y, 0.7, "ink2", stroke_dasharray="4 3"),
            _arc(left, fix_y, 46, angle_deg, False),
            *_plate(f"{angle_deg:g}°", left + 66, fix_y - 12, letter, "ink"),
        ]
        if angle_deg < FLAT_DEG:
            rise = reach * sin(radians(FLAT_DEG)), reach * cos(radians(FLAT_DEG))
            flattest = right - rise[1], fix_y - rise[0]
            dashed = {"stroke_dasharray": "3 3"}
            shapes.append(pen.line(right, fix_y, *flattest, 0.9, "red", **dashed))
            shapes += _plate("30° at least", right - 20, fix_y - 44, letter, "red")
    if leg:
        tip = right + 4 if upright else x + half * 0.45 + 6
        shapes += _plate(leg, width - pen.letters_width(leg, letter) / 2 - 6, 16, letter, colour)
        shapes.append(pen.line(width - 40, 24, tip, hook_y + high * 0.45, 0.7))
    foot = fix_y + 50
    shapes.append(pen.letters(x, fix_y + 32, load_text, letter, "ink", "middle", 600))
    description = f"{legs} leg{'s' if legs > 1 else ''}"
    if counted is not None and counted < legs:
        description += f", {counted} counted"
    description += " hanging plumb" if upright else f" at {angle_deg:g}° from the horizontal"
    shapes.append(pen.letters(x, foot + letter * 1.4, description, letter, "ink2", "middle"))
    high_all = foot + letter * 2.1
    if refused:
        shapes.append(
            pen.letters(x, high_all + letter * 0.8, "Do not lift.", letter, "red", "middle", 700)
        )
        high_all += letter * 1.5
    title = f"Sketch of the rigging: {description}{'; do not lift' if refused else ''}"
    return pen.sheet(width, high_all, *shapes, title=title, fit=True, css="sketch")


def _plate(text: str, x: float, y: float, letter: float, colour: str) -> list[Markup]:
    wide = pen.letters_width(text, letter) + 6
    return [
        pen.rect(x - wide / 2, y - letter * 0.8, wide, letter * 1.25, fill="sheet"),
        pen.letters(x, y + letter * 0.15, text, letter, colour, "middle", 600),
    ]


def off_centre_sketch(
    near_mm: float,
    far_mm: float,
    height_mm: float,
    *,
    texts: tuple[str, str, str] = ("", "", ""),
    legs: tuple[str, str] = ("", ""),
    width: float = 342.0,
    letter: float = 13.0,
) -> Markup:
    """Draw two legs of different length over an off-centre load, to scale.

    Args:
        near_mm, far_mm: Level distances from the centre of gravity to the fixings. [mm]
        height_mm: Height of the hook over the fixings. [mm]
        texts: These three distances in words.
        legs: The load in the near and in the far leg, in words.
    """
    near, far = sorted((near_mm, far_mm))
    room, tall = width - 150, 190.0
    scale = min(room / (near + far), tall / height_mm)
    hook_y = 62.0
    left = (width - (near + far) * scale) / 2
    x, right, fix_y = left + near * scale, left + (near + far) * scale, hook_y + height_mm * scale
    shapes = _block(left - 18, right + 18, fix_y + 4, 34)
    for foot in (left, right):
        shapes += [pen.line(x, hook_y, foot, fix_y, 2.4), _shackle(foot, fix_y)]
    shapes += [
        pen.line(x, hook_y, x, fix_y + 44, 0.8, "ink2", stroke_dasharray="14 3 3 3"),
        pen.path(f"M{pen.num(x - 6)} {pen.num(fix_y + 21)}h12m-6 -6v12", 1.4),
        *_hook(x, hook_y),
    ]
    drop = fix_y + 52
    for a, b, text in ((left, x, texts[0]), (x, right, texts[1])):
        shapes += [
            pen.line(a, drop - 10, a, drop + 5, 0.7, "ink2"),
            pen.line(b, drop - 10, b, drop + 5, 0.7, "ink2"),
            pen.line(a, drop, b, drop, 0.9),
            pen.letters((a + b) / 2, drop + letter * 1.2, text, letter, "ink", "middle"),
        ]
    side = right + 34
    shapes += [
        pen.line(right + 8, fix_y, side + 5, fix_y, 0.7, "ink2"),
        pen.line(x + 12, hook_y, side + 5, hook_y, 0.7, "ink2"),
        pen.line(side, hook_y, side, fix_y, 0.9),
        *_plate(texts[2], side, (hook_y + fix_y) / 2, letter, "ink"),
    ]
    for foot, text, anchor in ((left, legs[0], "end"), (right, legs[1], "start")):
        distance = hypot(foot - x, fix_y - hook_y) or 1.0
        lx = (x + foot) / 2 + (-14 if anchor == "end" else 14) * (fix_y - hook_y) / distance
        shapes.append(pen.letters(lx, hook_y + (fix_y - hook_y) * 0.4, text, letter, "ink", anchor))
    title = "Sketch: hook over the balance, nearer one fixing"
    return pen.sheet(width, drop + letter * 2, *shapes, title=title, fit=True, css="sketch")
