"""A slanting view of things lying on a ground, lit by one low sun and the sky.

Each thing is a height map with an underside, so that rods are round below and flanges overhang.
Lengths are drawing units, 1200 to the width of a picture; x right, y toward the viewer, z up.
"""

from math import cos, radians, sin, tan

import numpy as np
from PIL import Image

from . import metal
from .body import NONE, Layer, Part
from .noise import Noise, averaged, blurred, resized, smooth

F = np.float32


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
        """Begin a part at (x, y), turned by degrees, on height z; a new body unless told."""
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
        if self.lean < 0.01:
            return self._square_on()
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
            deepest = min(0, int(low.min()))
            span = number_of_rows + tallest - deepest
            high[gone] = deepest - 1
            best = np.full((span, c.stop - c.start), -1, np.int16)
            for step in range(deepest, tallest + 1):
                hit = (high >= step) & (low <= step)
                place = best[tallest - step : tallest - step + number_of_rows]
                np.maximum(place, np.where(hit, row_index, np.int16(-1)), out=place)
            first = r.start - tallest
            cut = max(0, -first)
            best, first = best[cut:], first + cut
            view = seen[first : first + len(best), c]
            best = best[: len(view)]
            nearer = best >= view
            view[nearer] = best[nearer]
            which[first : first + len(best), c][nearer] = number
            layer.shown = slice(first, min(first + len(best), self.height)), c
        seen, which = seen[: self.height], which[: self.height]
        hit = (seen - down[: self.height]) / F(max(1e-3, self.lean * self.unit))
        return seen, which, hit.astype(F)

    def _square_on(self):
        """The same for a level view, where whatever stands nearest is seen."""
        highest = self.ground[: self.height].copy()
        which = np.full((self.height, self.width), -1, np.int16)
        for number, layer in enumerate(self.layers):
            if (window := layer.window()) is None:
                continue
            r, c = slice(window[0].start, min(window[0].stop, self.height)), window[1]
            top = layer.top[r, c]
            nearer = top > highest[r, c]
            highest[r, c] = np.where(nearer, top, highest[r, c])
            which[r, c][nearer] = number
            layer.shown = r, c
        rows = np.arange(self.height, dtype=np.int32)[:, None]
        return np.broadcast_to(rows, which.shape).copy(), which, highest

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
            if layer.shown is None:
                continue
            rows, cols = np.nonzero(which[layer.shown] == i)
            if not len(rows):
                continue
            r, c = layer.window()
            spots = rows + layer.shown[0].start, cols + layer.shown[1].start
            at = seen[spots] - r.start, spots[1] - c.start
            solid = np.maximum(layer.top[r, c], self.ground[r, c])
            lx, ly = self._gradient(solid)
            reach = max(1, round(3 * self.unit))
            mx, my = self._gradient(averaged(averaged(solid, reach), reach))
            height = layer.top[r, c][at]
            wall = height - hit[spots] > 2.5 / (self.lean * self.unit + 0.05)
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
