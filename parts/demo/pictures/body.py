"""Bodies built up from outlines, turned rods and balls, as height maps with undersides."""

from math import cos, radians, sin

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from . import metal
from .noise import smooth
from .shapes import Outline, box, circle, hexagon

F = np.float32
NONE = F(-9e3)  # the height of nothing


class Layer:
    """One body: top and underside heights over the plan, and which finish each spot has."""

    def __init__(self, height, width):
        self.top = np.full((height, width), NONE, F)
        self.under = np.full((height, width), F(9e3), F)
        self.finish = np.zeros((height, width), np.uint8)
        self.rows, self.cols = [height, 0], [width, 0]
        self.shown = None  # the part of the picture it can cover, once seen

    def window(self):
        """The part of the plan that holds anything, or None."""
        if self.rows[0] >= self.rows[1] or self.cols[0] >= self.cols[1]:
            return None
        return slice(*self.rows), slice(*self.cols)


class Part:
    """A frame in which a body is built up from outlines, turned rods and balls, and cut."""

    def __init__(self, view, layer, x, y, turn, z, kind, rust, finish):
        self.view, self.layer, self.z = view, layer, z + view.lie
        self.at, self.turn = (x, y), turn
        self.rust = view.rust if rust is None else rust
        self.given = finish
        self.made_of(kind)

    def made_of(self, kind, **given):
        """Go on in another material or finish."""
        options = {"turn": self.turn, "rust": self.rust} | self.given | given
        self.mark = self.view.named(metal.Finish(kind, **options))
        return self

    def body(self):
        """Go on in a new body in the same frame (for what overhangs or crosses over)."""
        self.layer = Layer(self.view.rows, self.view.width)
        self.view.layers.append(self.layer)
        return self

    def _local(self, outline_box, spread=2):
        """Windows of the plan round a box of this frame, and local coordinates there."""
        view = self.view
        c, s = cos(radians(self.turn)), sin(radians(self.turn))
        u0, u1, v0, v1 = outline_box
        corners = [(u, v) for u in (u0 - spread, u1 + spread) for v in (v0 - spread, v1 + spread)]
        xs = [self.at[0] + u * c - v * s for u, v in corners]
        ys = [self.at[1] + u * s + v * c for u, v in corners]
        left = int(np.clip(min(xs) * view.unit + view.width / 2, 0, view.width))
        right = int(np.clip(max(xs) * view.unit + view.width / 2 + 1, 0, view.width))
        down = view.unit * view.foreshorten
        first = int(np.clip(min(ys) * down + view.height / 2, 0, view.rows))
        last = int(np.clip(max(ys) * down + view.height / 2 + 1, 0, view.rows))
        if left >= right or first >= last:
            return None
        w = slice(first, last), slice(left, right)
        x = view.x[:, w[1]] - F(self.at[0])
        y = view.y[w[0]] - F(self.at[1])
        return w, x * F(c) + y * F(s), y * F(c) - x * F(s)

    def _raise(self, w, top, under, inside):
        layer = self.layer
        have = layer.top[w]
        higher = inside & (top > have)
        layer.top[w] = np.where(higher, top, have)
        layer.finish[w] = np.where(higher, np.uint8(self.mark), layer.finish[w])
        layer.under[w] = np.where(inside, np.minimum(layer.under[w], under), layer.under[w])
        for limits, piece in ((layer.rows, w[0]), (layer.cols, w[1])):
            limits[0], limits[1] = min(limits[0], piece.start), max(limits[1], piece.stop)

    def plate(self, outline: Outline, top, *, under=None, edge=4, dish=0.0, lean=(0, 0)):
        """A flat piece with rounded edges; `dish` bulges it, `lean` tips it (rise per unit).

        Without `under` it reaches down to what it stands on: the body so far, or the ground.
        """
        if (found := self._local(outline.box)) is None:
            return self
        w, u, v = found
        d = outline.distance(u, v)
        t = np.clip(1 + d / edge, 0, 1) if edge else np.zeros_like(d)
        height = self.z + top - edge * (1 - np.sqrt(np.clip(1 - t * t, 0, 1)))
        if dish:
            height = height + dish * smooth(0, 1, np.clip(-d, 0, 60) / 60)
        if lean != (0, 0):
            height = height + u * F(lean[0]) + v * F(lean[1])
        low = np.full_like(height, self.z + (under or 0))
        if under is None:
            low = np.where(self.layer.top[w] > NONE / 2, self.layer.under[w], low)
        self._raise(w, height, low, d < 0)
        return self

    def rod(self, profile, *, v=0, centre=None, under=True, flat=1.0):
        """A turned piece lying along u: points (u, radius). `flat` squashes it in height."""
        us = np.array([p[0] for p in profile], F)
        rs = np.array([p[1] for p in profile], F)
        biggest = float(rs.max())
        centre = biggest * flat if centre is None else centre
        if (found := self._local((us[0], us[-1], v - biggest, v + biggest))) is None:
            return self
        w, u, across = found
        r = np.interp(u, us, rs).astype(F)
        square = r * r - (across - v) ** 2
        inside = (square > 0) & (u >= us[0]) & (u <= us[-1])
        half = np.sqrt(np.clip(square, 0, None)) * F(flat)
        low = self.z + centre - half if under else np.zeros_like(half) + self.z
        self._raise(w, self.z + centre + half, low, inside)
        return self

    def ball(self, u0, v0, radius, *, centre=None, flat=1.0):
        """A ball, or a squashed one."""
        centre = radius * flat if centre is None else centre
        outline = circle(u0, v0, radius)
        if (found := self._local(outline.box)) is None:
            return self
        w, u, v = found
        square = radius * radius - (u - u0) ** 2 - (v - v0) ** 2
        half = np.sqrt(np.clip(square, 0, None)) * F(flat)
        self._raise(w, self.z + centre + half, self.z + centre - half, square > 0)
        return self

    def cord(self, outline: Outline, radius, *, centre=None, lean=(0, 0)):
        """Round bar following an outline made with `bar` or `path` of the same radius."""
        centre = radius if centre is None else centre
        if (found := self._local(outline.box)) is None:
            return self
        w, u, v = found
        d = outline.distance(u, v) + radius
        half = np.sqrt(np.clip(radius * radius - d * d, 0, None))
        tip = self.z + centre + u * F(lean[0]) + v * F(lean[1])
        self._raise(w, tip + half, tip - half, d < radius)
        return self

    def cut(self, outline: Outline, floor=-50.0, *, kind=None, wall=1.5):
        """Take metal out down to `floor` (through, if below the underside)."""
        if (found := self._local(outline.box)) is None:
            return self
        w, u, v = found
        d = outline.distance(u, v)
        layer = self.layer
        inside = (d < 0) & (layer.top[w] > NONE / 2)
        depth = self.z + floor + np.clip(d + wall, 0, None) * 6
        new = np.where(inside, np.minimum(layer.top[w], depth), layer.top[w])
        through = inside & (new <= layer.under[w] + 0.5)
        layer.top[w] = np.where(through, NONE, new)
        layer.under[w] = np.where(through, F(9e3), layer.under[w])
        if kind:
            mark = self.view.named(metal.Finish(kind, turn=self.turn, rust=self.rust))
            layer.finish[w] = np.where(inside, np.uint8(mark), layer.finish[w])
        return self

    def tube(self, profile, bore, *, v=0, centre=None):
        """A turned piece lying along u, bored right through; a second body makes its top."""
        us = np.array([p[0] for p in profile], F)
        rs = np.array([p[1] for p in profile], F)
        biggest = float(rs.max())
        centre = biggest if centre is None else centre
        if (found := self._local((us[0], us[-1], v - biggest, v + biggest))) is None:
            return self
        w, u, across = found
        r = np.interp(u, us, rs).astype(F)
        off = across - v
        half = np.sqrt(np.clip(r * r - off * off, 0, None))
        hole = np.sqrt(np.clip(bore * bore - off * off, 0, None))
        inside = (np.abs(off) < r) & (u >= us[0]) & (u <= us[-1])
        middle = self.z + centre
        over = np.abs(off) < bore
        self._raise(w, np.where(over, middle - hole, middle + half), middle - half, inside)
        self.body()
        self._raise(w, middle + half, middle + hole, inside & over)
        return self

    def scoop(self, radius, span, level, *, across=False, v=0):
        """Cut a half-round trough of this radius at height `level`, along u (or along v)."""
        outline = (v - radius, v + radius, *span) if across else (*span, v - radius, v + radius)
        if (found := self._local(outline)) is None:
            return self
        w, a, b = found
        if across:
            a, b = b, a
        inside = (np.abs(b - v) < radius) & (a >= span[0]) & (a <= span[1])
        floor = self.z + level - np.sqrt(np.clip(radius * radius - (b - v) ** 2, 0, None))
        top = self.layer.top[w]
        lower = inside & (top > NONE / 2) & (floor < top)
        self.layer.top[w] = np.where(lower, floor, top)
        self.layer.finish[w] = np.where(lower, np.uint8(self.mark), self.layer.finish[w])
        return self

    def saddle(self, outer, inner, span, level):
        """A half bearing in a pedestal: a half ring of metal with its bore along v, open upward."""
        if (found := self._local((-outer, outer, *span))) is None:
            return self
        w, u, v = found
        inside = (np.abs(u) < outer) & (v >= span[0]) & (v <= span[1])
        top = self.z + level - np.sqrt(np.clip(inner * inner - u * u, 0, None))
        under = self.z + level - np.sqrt(np.clip(outer * outer - u * u, 0, None))
        self._raise(w, top, under, inside)
        return self

    def paint_over(self, outline: Outline):
        """Give what lies inside the outline the finish in hand."""
        if (found := self._local(outline.box)) is not None:
            w, u, v = found
            inside = outline.distance(u, v) < 0
            self.layer.finish[w] = np.where(inside, np.uint8(self.mark), self.layer.finish[w])
        return self

    def letters(self, text, u0, v0, size, top, *, face=None):
        """Raised letters centred at (u0, v0)."""
        fine = max(8, int(size * self.view.unit * 1.5))
        font = ImageFont.load_default(fine)
        left, up, right, down = font.getbbox(text)
        sheet = Image.new("L", (int(right - left) + 4, int(down - up) + 4), 0)
        ImageDraw.Draw(sheet).text((2 - left, 2 - up), text, fill=255, font=font)
        ink = np.asarray(sheet, F) / 255
        per = size / fine
        half_u, half_v = ink.shape[1] * per / 2, ink.shape[0] * per / 2
        found = self._local((u0 - half_u, u0 + half_u, v0 - half_v, v0 + half_v), 0)
        if found is None:
            return self
        w, u, v = found
        col = ((u - u0 + half_u) / per).astype(int)
        row = ((v - v0 + half_v) / per).astype(int)
        ok = (col >= 0) & (row >= 0) & (col < ink.shape[1]) & (row < ink.shape[0])
        deep = ink[np.clip(row, 0, ink.shape[0] - 1), np.clip(col, 0, ink.shape[1] - 1)] * ok
        self._raise(w, self.z + top - 3 + 3 * deep, np.full_like(deep, self.z), deep > 0.3)
        return self

    # -- small things found on many parts -------------------------------------------------

    def nut(self, u, v, across, height=None, base=0, turn=10.0):
        """A hexagon nut on its seat with the bolt end in it."""
        height = height or across * 0.5
        self.plate(hexagon(u, v, across, turn), base + height, edge=across * 0.1)
        return self.plate(
            circle(u, v, across * 0.29), base + height + across * 0.18, edge=across * 0.08
        )

    def holes(self, centres, radius, floor=-50.0):
        """Drilled holes."""
        for u, v in centres:
            self.cut(circle(u, v, radius), floor)
        return self

    def thread(self, u0, u1, radius, pitch=6.0, v=0, centre=None):
        """A threaded length of rod."""
        count = max(2, int((u1 - u0) / pitch))
        pitch = (u1 - u0) / count
        profile = [
            (u0 + pitch * i / 2, radius * (1 if i % 2 else 0.86)) for i in range(2 * count + 1)
        ]
        return self.rod(profile, v=v, centre=radius if centre is None else centre)


def scale_bar(view, x, y, turn=0, *, length=300, squares=10):
    """The black and white rod laid beside a find, on the highest ground under it."""
    step = length / squares
    down = view.unit * view.foreshorten
    c, s = cos(radians(turn)), sin(radians(turn))
    along = np.linspace(-length / 2, length / 2, 40)
    rows = (y + along * s) * down + view.height / 2
    cols = (x + along * c) * view.unit + view.width / 2
    rows = np.clip(rows.astype(int), 0, view.rows - 1)
    cols = np.clip(cols.astype(int), 0, view.width - 1)
    z = float(np.percentile(view.ground[rows, cols], 92)) - view.lie
    for i in range(squares):
        part = view.part(x, y, turn, z=z, kind="white" if i % 2 else "black", rust=0.3, new=i == 0)
        part.plate(box(-length / 2 + (i + 0.5) * step, 0, step / 2 + 0.4, 9), 5, edge=0.5)
