"""A slanting view of things lying on a ground, lit by one low sun and the sky.

Each thing is a height map with an underside, so that rods are round below and flanges overhang.
Lengths are drawing units, 1200 to the width of the picture; x runs right, y toward the viewer, z up.
"""

from math import cos, radians, sin, tan

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from . import metal
from .noise import Noise, blurred, mix, resized, smooth
from .shapes import Outline, box, circle, hexagon

F = np.float32
NONE = F(-9e3)


class Layer:
    """One body: top and underside heights over the plan, and which finish each spot has."""

    def __init__(self, height, width):
        self.top = np.full((height, width), NONE, F)
        self.under = np.full((height, width), F(9e3), F)
        self.finish = np.zeros((height, width), np.uint8)
        self.rows, self.cols = [height, 0], [width, 0]

    def window(self):
        """The part of the plan that holds anything, or None."""
        if self.rows[0] >= self.rows[1] or self.cols[0] >= self.cols[1]:
            return None
        return slice(*self.rows), slice(*self.cols)


class View:
    """A picture being drawn. Put parts in it, then call `photograph`."""

    def __init__(self, size, seed, *, tilt=32, rust=1.0, sun=None, fine=1.25):
        self.size, self.rust = size, rust
        self.rng = np.random.default_rng(seed)
        self.unit = size[0] / 1200 * fine
        self.width, self.height = round(size[0] * fine), round(size[1] * fine)
        self.lean, self.foreshorten = sin(radians(tilt)), cos(radians(tilt))
        # Rows past the bottom edge, so that tall things standing there still show.
        self.rows = self.height + int(260 * self.unit * self.lean)
        jitter = self.rng.normal(0, 8)
        azimuth, rise = sun or (214 + jitter, 40 + self.rng.normal(0, 3))
        a, e = radians(azimuth), radians(rise)
        self.light = np.array((cos(e) * cos(a), cos(e) * sin(a), sin(e)), F)
        self.slope = tan(e)
        self.strength = 1.2 + self.rng.normal(0, 0.1)
        self.warm = 1 + self.rng.normal(0, 0.02)
        self.noise = Noise(self.rng, self.width, self.rows, self.unit)
        self.x = ((np.arange(self.width, dtype=F) - self.width / 2) / self.unit)[None, :]
        self.y = ((np.arange(self.rows, dtype=F) - self.height / 2) / self.unit)[:, None]
        self.y = self.y / F(self.foreshorten)
        self.ground = np.zeros((self.rows, self.width), F)
        self.albedo = np.full((self.rows, self.width, 3), 120, F)
        self.ground_sheen, self.ground_bump = 0.03, 0.7
        self.soil, self.soft = (84, 70, 54), 0.0
        self.layers, self.finishes = [], []
        self.glow = None
        self.exposure = 1.0
        self.lie = 0.0  # how far things have sunk in: added to the height of every part

    def part(self, x=0, y=0, turn=0, *, z=0, kind="cast", rust=None, new=True, **finish):
        """Begin a part at (x, y), turned by degrees, resting at height z; a new body unless told."""
        if new or not self.layers:
            self.layers.append(Layer(self.rows, self.width))
        return Part(self, self.layers[-1], x, y, turn, z, kind, rust, finish)

    def named(self, finish):
        """The number of a finish in this picture."""
        if finish not in self.finishes:
            self.finishes.append(finish)
        return self.finishes.index(finish)

    # -- seeing -------------------------------------------------------------------------

    def _sight(self):
        """For each pixel: the plan row seen, the layer (or -1 for ground) and the height there."""
        rows, width = self.rows, self.width
        across = np.arange(width)[None, :]
        down = np.arange(rows, dtype=np.int32)[:, None]
        lift = np.ceil(down - self.ground * F(self.lean * self.unit)).astype(np.int32)
        seen = np.zeros((rows, width), np.int32)
        seen[np.clip(lift, 0, rows - 1), across] = np.broadcast_to(down, (rows, width))
        seen = np.maximum.accumulate(seen, axis=0)
        which = np.full((rows, width), -1, np.int16)
        for number, layer in enumerate(self.layers):
            window = layer.window()
            if window is None:
                continue
            r, c = window
            top, under = layer.top[r, c], layer.under[r, c]
            land = self.ground[r, c]
            gone = (top <= land) | (top <= NONE / 2)
            high = np.where(gone, -1, top * (self.lean * self.unit) + 0.5).astype(np.int16)
            low = np.maximum(under, land) * F(self.lean * self.unit)
            low = np.where(gone, 30000, np.minimum(low, 30000)).astype(np.int16)
            low = np.minimum(low, high)
            low[gone] = 30000
            number_of_rows = r.stop - r.start
            row_index = np.arange(r.start, r.stop, dtype=np.int16)[:, None]
            tallest = max(0, int(high.max()))
            best = np.full((number_of_rows + tallest, c.stop - c.start), -1, np.int16)
            for step in range(tallest + 1):
                hit = (high >= step) & (low <= step)
                place = best[tallest - step : tallest - step + number_of_rows]
                np.maximum(place, np.where(hit, row_index, np.int16(-1)), out=place)
            first = r.start - tallest
            cut = max(0, -first)
            best, first = best[cut:], first + cut
            view = seen[first : r.stop, c]
            nearer = best >= view
            view[nearer] = best[nearer]
            which[first : r.stop, c][nearer] = number
        seen, which = seen[: self.height], which[: self.height]
        hit = (seen - down[: self.height]) / F(max(1e-3, self.lean * self.unit))
        return seen, which, hit.astype(F)

    # -- light --------------------------------------------------------------------------

    def _shade(self, surface, receiver, shrink):
        """Share of the sun's light that reaches a height field below `surface`."""
        dx, dy = -self.light[0], -self.light[1] * self.foreshorten
        scale = self.unit / shrink
        rows, cols = surface.shape
        blocked = np.full(surface.shape, F(-50))
        reach = max(20.0, float(surface.max()) - float(receiver.min()))
        reach = min(reach / self.slope, 500)
        length = float(np.hypot(self.light[0], self.light[1]))
        distance = 2.0
        while distance < reach:
            # A point d away toward the sun, and the height a ray there must clear.
            sx = round(dx / length * distance * scale)
            sy = round(dy / length * distance * scale)
            if abs(sx) >= cols - 1 or abs(sy) >= rows - 1:
                break
            rise = surface - F(distance * self.slope)
            to_r = slice(max(0, sy), rows + min(0, sy))
            to_c = slice(max(0, sx), cols + min(0, sx))
            from_r = slice(max(0, -sy), rows + min(0, -sy))
            from_c = slice(max(0, -sx), cols + min(0, -sx))
            np.maximum(blocked[to_r, to_c], rise[from_r, from_c], out=blocked[to_r, to_c])
            distance = distance * 1.07 + 1.2
        return blurred(1 - smooth(-2, 9, blocked - receiver), max(1.5, 7 * scale))

    def _shrunk(self, array, shrink):
        return resized(array, self.width // shrink, self.rows // shrink, Image.Resampling.BOX)

    def photograph(self):
        """Light, look, expose and grain; returns the finished picture."""
        seen, which, hit = self._sight()
        index = seen * self.width + np.arange(self.width, dtype=np.int32)[None, :]

        def there(plan):
            return np.take(plan.reshape(-1), index)

        surface = self.ground.copy()
        for layer in self.layers:
            if (window := layer.window()) is not None:
                np.maximum(surface[window], layer.top[window], out=surface[window])
        shrink = 3 if self.unit > 0.8 else 2 if self.unit > 0.4 else 1
        small, land = self._shrunk(surface, shrink), self._shrunk(self.ground, shrink)
        full = (self.width, self.rows)
        sun_ground = resized(self._shade(small, land, shrink), *full, Image.Resampling.BILINEAR)
        sun_object = resized(self._shade(small, small, shrink), *full, Image.Resampling.BILINEAR)
        near = blurred(surface, max(2, 14 * self.unit))
        wide = blurred(surface, max(3, 60 * self.unit))
        height_there = there(self.ground)
        is_object = which >= 0
        top = height_there.copy()
        gx, gy = self._gradient(self.ground)
        nx, ny = there(gx), there(gy)
        number = np.zeros(which.shape, np.uint8)
        side = np.zeros(which.shape, bool)
        below = np.zeros(which.shape, F)
        for i, layer in enumerate(self.layers):
            mask = which == i
            if not mask.any():
                continue
            r, c = layer.window()
            spots = np.nonzero(mask)
            at = seen[spots] - r.start, spots[1] - c.start
            solid = np.maximum(layer.top[r, c], self.ground[r, c])
            lx, ly = self._gradient(solid)
            mx, my = self._gradient(blurred(solid, max(2, 8 * self.unit)))
            height = layer.top[r, c][at]
            wall = height - hit[spots] > 2.5 / (self.lean * self.unit + 0.05)
            wall &= self.lean > 0.01  # seen square on, no side shows
            under = layer.under[r, c][at]
            beneath = 1 - (hit[spots] - under) / (0.35 * (height - under) + 3)
            beneath = np.clip(beneath, 0, 1) * wall * (under > 3)
            hx = np.where(wall, mx[at] * 30, lx[at])
            hy = np.where(wall, my[at] * 30, ly[at])
            nx[spots], ny[spots] = hx, hy
            top[spots] = np.where(wall, hit[spots], height)
            side[spots], below[spots] = wall, beneath
            number[spots] = layer.finish[r, c][at]
        return self._expose(
            there, index, is_object, number, nx, ny, top, side, below,
            sun_ground, sun_object, near, wide,
        )  # fmt: skip

    def _gradient(self, height):
        gx = np.zeros_like(height)
        gy = np.zeros_like(height)
        gx[:, 1:-1] = (height[:, 2:] - height[:, :-2]) * F(self.unit / 2)
        gy[1:-1] = (height[2:] - height[:-2]) * F(self.unit * self.foreshorten / 2)
        return np.clip(gx, -6, 6), np.clip(gy, -6, 6)

    def _expose(
        self, there, index, is_object, number, nx, ny, top, side, below,
        sun_ground, sun_object, near, wide,
    ):  # fmt: skip
        height, width = self.height, self.width
        fresh = Noise(self.rng, width, height, self.unit)
        broad, middle = fresh.cloud(70, 2), fresh.cloud(16, 2)
        fine = fresh.cloud(3.2, 2, 0.8)
        sun = np.where(is_object, there(sun_object), there(sun_ground))
        hollow = (there(near) - top) / 30 + (there(wide) - top) / 110
        hollow = np.clip(hollow, 0, 2.2)
        colour = np.take(self.albedo.reshape(-1, 3), index, axis=0)
        spec = np.full((height, width), F(self.ground_sheen))
        bump = np.full((height, width), F(self.ground_bump))
        shine = np.zeros((height, width), bool)
        scale = 1 / np.sqrt(1 + nx * nx + ny * ny)
        for i, finish in enumerate(self.finishes):
            mask = is_object & (number == i)
            rows, cols = np.flatnonzero(mask.any(1)), np.flatnonzero(mask.any(0))
            if not len(rows):
                continue
            w = slice(rows[0], rows[-1] + 1), slice(cols[0], cols[-1] + 1)
            here = mask[w]
            patch = metal.Patch(
                broad[w], middle[w], fine[w], self._grain(finish, w), scale[w],
                np.clip(hollow[w] - 0.35, 0, 1), self.soil, self.soft,
            )  # fmt: skip
            skin, gloss, rough = metal.coat(finish, patch)
            colour[w][here] = skin[here]
            spec[w][here] = np.broadcast_to(gloss, here.shape)[here]
            bump[w][here] = np.broadcast_to(rough, here.shape)[here]
            shine[w][here] = finish.kind in metal.METALLIC and finish.paint is None
        # Pits and grit: small slopes added to the surface.
        grit = (fine * F(0.35) + middle * F(0.9)) * bump
        nx[:, 1:-1] += (grit[:, 2:] - grit[:, :-2]) * F(0.42)
        ny[1:-1] += (grit[2:] - grit[:-2]) * F(0.42)
        scale = 1 / np.sqrt(1 + nx * nx + ny * ny)
        n = (-nx * scale, -ny * scale, (1 - F(1.5) * below) * scale)
        return self._develop(colour, spec, shine, n, sun, hollow, side, below, fresh, top)

    def _grain(self, finish, w):
        """Long streaks along the finish's own direction."""
        rows, cols = w[0].stop - w[0].start, w[1].stop - w[1].start
        if finish.kind not in ("wood", "machined", "brass", "bronze", "copper", "white_metal"):
            return np.zeros((rows, cols), F)
        reach = int(np.hypot(rows, cols)) + 4
        long, thin = (160, 5) if finish.kind == "wood" else (120, 2)
        streaks = Noise(self.rng, reach, reach, self.unit).field(long, thin)
        if abs(finish.turn) > 1:
            image = Image.fromarray(streaks).rotate(-finish.turn, Image.Resampling.BILINEAR)
            streaks = np.asarray(image, F)
        a, b = (reach - rows) // 2, (reach - cols) // 2
        return streaks[a : a + rows, b : b + cols]

    def _develop(self, colour, spec, shine, n, sun, hollow, side, below, fresh, top):
        light, eye = self.light, (0.0, self.lean, self.foreshorten)
        lit = np.clip(n[0] * light[0] + n[1] * light[1] + n[2] * light[2], 0, 1) * sun
        sky = 0.62 + 0.38 * n[2] + 0.14 * np.clip(n[1], 0, 1)
        dim = 1 / (1 + 1.15 * hollow)
        dim = dim * (1 - F(0.4) * below)
        level = 0.66 * sky * dim + F(self.strength) * 0.86 * lit
        # The sky mirrored in bright metal: light above, dark where the ground shows in it.
        facing = n[1] * eye[1] + n[2] * eye[2]
        up = 2 * facing * n[2] - eye[2]
        half = np.array((light[0], light[1] + eye[1], light[2] + eye[2]))
        half = half / np.linalg.norm(half)
        glint = np.clip(n[0] * half[0] + n[1] * half[1] + n[2] * half[2], 0, 1)
        glint = glint**8
        glint = glint * glint * glint * (0.25 + 0.75 * sun)
        mirror = smooth(-0.25, 0.75, up) * dim
        base = level * np.where(shine, 1 - 0.55 * np.clip(spec, 0, 1), 1)
        out = colour * (base + np.where(shine, spec * mirror * 0.44, 0))[..., None]
        out += ((glint * spec) * 95 + np.where(shine, 0, spec * mirror * 14))[..., None]
        out[..., 0] *= self.warm + 0.03 * lit
        out[..., 2] *= 2 - self.warm - 0.05 * lit
        if self.glow is not None:
            out = self.glow(self, out, top, n)
        out *= F(self.exposure)
        return self._print(out, fresh)

    def _print(self, out, fresh):
        """Film: soft shoulder, dark corners, a little grain; shrunk to size."""
        x = np.linspace(-1, 1, self.width, dtype=F)[None, :]
        y = np.linspace(-1, 1, self.height, dtype=F)[:, None]
        out *= (1.06 - 0.16 * (x * x + y * y))[..., None]
        out = out / 255
        out = np.where(out > 0.7, 0.7 + (1 - np.exp(-(out - 0.7) / 0.3)) * 0.3, out)
        out += (fresh.field(1.0) * F(0.012))[..., None]
        image = Image.fromarray((np.clip(out, 0, 1) * 255).astype(np.uint8))
        return image.resize(self.size, Image.Resampling.LANCZOS)


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
        """A turned piece lying along u with a bore right through; takes a second body for its top."""
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


__all__ = ["Part", "View", "mix", "scale_bar"]
