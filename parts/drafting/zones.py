"""The zone border of a drawing: numbers along, letters down, to name a place on it."""

from __future__ import annotations

from .pen import Markup, group, letters, line, num, path, rect, sheet

BORDER = 16
LETTERS = "ABCDEFGHJK"


def zone_border(width: float, height: float, across: int = 8, down: int = 5) -> Markup:
    """Return the border of a sheet with its zones marked on all four sides.

    Args:
        width, height: Size of the sheet. [px]
        across, down: The number of zones.
    """
    shapes = [
        rect(0.75, 0.75, width - 1.5, height - 1.5, stroke="ink", width=1.5),
        rect(BORDER, BORDER, width - 2 * BORDER, height - 2 * BORDER, stroke="ink", width=1),
    ]
    for i in range(across):
        x = width * (i + 0.5) / across
        for y in (BORDER - 4, height - 4):
            shapes.append(letters(x, y, str(i + 1), 12, "ink2", "middle"))
        if i:
            x = width * i / across
            shapes += [line(x, 0, x, BORDER), line(x, height - BORDER, x, height)]
    for j in range(down):
        y = height * (j + 0.5) / down + 4
        for x in (BORDER / 2, width - BORDER / 2):
            shapes.append(letters(x, y, LETTERS[j], 12, "ink2", "middle"))
        if j:
            y = height * j / down
            shapes += [line(0, y, BORDER, y), line(width - BORDER, y, width, y)]
    return group(*shapes)


def blank(width: float = 888, height: float = 480) -> Markup:
    """Return a placeholder for a drawing: zone border, centre lines and the outline of a bed."""
    cx, cy = width * 0.68, height * 0.5
    left, right, top, foot = width * 0.2, width * 0.76, height * 0.62, height * 0.74
    bed = (
        f"M{num(left)} {num(foot)}V{num(top)}H{num(cx - 90)}"
        f"Q{num(cx - 60)} {num(top)} {num(cx - 44)} {num(top + 16)}H{num(right)}V{num(foot)}Z"
    )
    centre = {"stroke_dasharray": "18 3 3 3", "opacity": "0.75"}
    return sheet(
        width,
        height,
        rect(0, 0, width, height, fill="sheet"),
        zone_border(width, height),
        path(bed, 1.0, "ink", "sheet"),
        line(left - 10, foot, right + 60, foot, 0.7, "edge"),
        line(left - 40, cy, right + 90, cy, 0.7, "ink2", **centre),
        line(cx, height * 0.16, cx, height * 0.9, 0.7, "ink2", **centre),
        title="General arrangement, not yet drawn",
        fit=True,
    )
