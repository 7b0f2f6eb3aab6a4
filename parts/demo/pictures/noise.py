"""Cheap smooth noise on a pixel grid, the grain of every drawn surface."""

import numpy as np
from PIL import Image

F = np.float32


def resized(array, width, height, how=Image.Resampling.BICUBIC):
    """Return a float array stretched to width by height pixels."""
    image = Image.fromarray(np.ascontiguousarray(array, dtype=F))
    return np.asarray(image.resize((width, height), how), dtype=F)


def blurred(array, step):
    """Return the array smoothed over about `step` pixels, by shrinking and stretching."""
    height, width = array.shape
    small = (max(2, round(width / step)), max(2, round(height / step)))
    shrunk = resized(array, *small, Image.Resampling.BOX)
    return resized(shrunk, width, height, Image.Resampling.BICUBIC)


def averaged(array, reach):
    """Return the running mean over a square of side 2 * reach + 1, the same wherever it falls."""
    for axis in (0, 1):
        pad = [(0, 0), (0, 0)]
        pad[axis] = (reach + 1, reach)
        total = np.cumsum(np.pad(array, pad, mode="edge"), axis=axis, dtype=np.float64)
        size, side = array.shape[axis], 2 * reach + 1
        high = total.take(range(side, side + size), axis=axis)
        low = total.take(range(size), axis=axis)
        array = ((high - low) / side).astype(F)
    return array


def smooth(low, high, value):
    """Return 0 below low, 1 above high, and an S-shaped rise between."""
    t = np.clip((value - low) / (high - low), 0, 1)
    return t * t * (3 - 2 * t)


def mix(a, b, t):
    """Blend two colours (or arrays) by t; colours are three numbers, t an image."""
    a, b = np.asarray(a, F), np.asarray(b, F)
    t = np.asarray(t, F)
    if a.ndim == 1 or b.ndim == 1 or a.ndim > t.ndim or b.ndim > t.ndim:
        t = t[..., None]
    return a + (b - a) * t


class Noise:
    """Noise fields of one picture size; `unit` is pixels per drawing unit."""

    def __init__(self, rng, width, height, unit):
        self.rng, self.width, self.height, self.unit = rng, width, height, unit

    def field(self, grain, across=None):
        """One octave, mean 0 and spread about 1; `grain` (and `across`) in drawing units."""
        gx = max(1.0, grain * self.unit)
        gy = max(1.0, (across or grain) * self.unit)
        cols = max(2, int(self.width / gx) + 2)
        rows = max(2, int(self.height / gy) + 2)
        cells = self.rng.standard_normal((rows, cols), dtype=F)
        if cols >= self.width and rows >= self.height:
            return cells[: self.height, : self.width]
        return resized(cells, self.width, self.height) * F(1.25)

    def cloud(self, grain, octaves=3, fall=0.5):
        """Several octaves, each half as coarse, spread about 1."""
        total, weight, power = 0, 1.0, 0.0
        for _ in range(octaves):
            total = total + self.field(grain) * F(weight)
            power += weight * weight
            grain, weight = grain / 2, weight * fall
        return total / F(power**0.5)
