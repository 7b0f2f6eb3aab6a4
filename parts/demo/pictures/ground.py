"""What things lie on: earth and leaves, grass, ash, slate, boards, cloth, concrete, sand."""

from math import cos, pi, sin

import numpy as np
from PIL import Image, ImageDraw

from .noise import blurred, mix, smooth

F = np.float32


class Litter:
    """Loose things drawn on the plan: a colour sheet, a height sheet and where they lie."""

    def __init__(self, view):
        self.view = view
        size = (view.width, view.rows)
        self.colour = Image.new("RGB", size)
        self.height = Image.new("F", size, 0)
        self.mask = Image.new("L", size, 0)
        self.pens = [ImageDraw.Draw(i) for i in (self.colour, self.height, self.mask)]

    def place(self, x, y):
        """Drawing units to pixels of the plan."""
        v = self.view
        return (x * v.unit + v.width / 2, y * v.unit * v.foreshorten + v.height / 2)

    def anywhere(self):
        """A random spot on the plan."""
        v = self.view
        far = v.rows / v.unit / v.foreshorten
        near = v.height / v.unit / v.foreshorten / 2
        return v.rng.uniform(-610, 610), v.rng.uniform(-near, far - near)

    def patch(self, points, colour, height):
        """A filled polygon."""
        pts = [self.place(*p) for p in points]
        for pen, fill in zip(self.pens, (tuple(int(c) for c in colour), height, 255), strict=True):
            pen.polygon(pts, fill=fill)

    def stroke(self, points, colour, height, width):
        """A line of blades or twigs."""
        pts = [self.place(*p) for p in points]
        w = max(1, round(width * self.view.unit))
        for pen, fill in zip(self.pens, (tuple(int(c) for c in colour), height, 255), strict=True):
            pen.line(pts, fill=fill, width=w)

    def lay(self, *, shade=0.0, soften=0.0):
        """Put it all on the view's ground; `soften` rounds the tops (drawing units)."""
        view = self.view
        mask = np.asarray(self.mask, F) / 255
        height = np.asarray(self.height, F)
        if soften * view.unit > 1.5:
            height = blurred(height, soften * view.unit)
        view.albedo = mix(view.albedo, np.asarray(self.colour, F), mask)
        view.ground = view.ground + height * mask
        if shade:
            around = blurred(mask * height, 10 * view.unit)
            view.albedo *= (1 - shade * np.clip(around - height * mask, 0, 8) / 8)[..., None]


def leaf(litter, rng, x, y, size, colour, height=5.0):
    """A fallen leaf, pointed at both ends, with its midrib."""
    turn, curl = rng.uniform(0, 2 * pi), rng.uniform(-0.3, 0.3)
    wide = rng.uniform(0.36, 0.6)
    c, s = cos(turn), sin(turn)

    def spot(u, v):
        v = v + curl * u * u / size
        return x + u * c - v * s, y + u * s + v * c

    ts = np.linspace(0, pi, 9)
    edge = [(-size * cos(t), size * wide * sin(t) ** 1.2) for t in ts]
    low = [(u, -v) for u, v in reversed(edge)]
    litter.patch([spot(*p) for p in edge], colour, height)
    litter.patch([spot(*p) for p in low], [c * 0.86 for c in colour], height * 0.7)
    rib = [spot(u, 0) for u in np.linspace(-size * 1.25, size, 6)]
    litter.stroke(rib, [c * 0.62 for c in colour], height * 0.9, 1.6)


def pebbles(litter, rng, count, sizes, colours, height=0.7):
    """Small stones."""
    for _ in range(count):
        x, y = litter.anywhere()
        r = rng.uniform(*sizes)
        angles = np.linspace(0, 2 * pi, 8)[:-1] + rng.uniform(0, 1)
        radii = r * rng.uniform(0.7, 1.15, 7)
        colour = np.array(colours[rng.integers(len(colours))]) * rng.uniform(0.8, 1.15)
        for share in (1.0, 0.72, 0.42):
            points = [
                (x + a * share * cos(t), y + a * share * sin(t) * 0.85)
                for a, t in zip(radii, angles, strict=True)
            ]
            litter.patch(points, np.clip(colour, 0, 255), r * height * (1.35 - share))


LEAVES = [(142, 104, 52), (120, 82, 42), (98, 70, 40), (156, 128, 62), (104, 92, 50), (84, 58, 38)]


def earth(view, leaves=34):
    """Trodden brown earth with small stones and fallen leaves."""
    n, rng = view.noise, view.rng
    lumps, grain = n.cloud(120, 3), n.cloud(18, 3, 0.7)
    view.ground = lumps * 5 + grain * 1.0 + n.field(4) * 0.25
    tone = 1 + 0.09 * lumps + 0.08 * grain
    view.albedo = mix((80, 66, 52), (103, 88, 70), smooth(-1, 1.5, grain)) * tone[..., None]
    litter = Litter(view)
    stones = [(120, 110, 96), (98, 92, 84), (134, 120, 100), (82, 72, 62)]
    pebbles(litter, rng, 190, (2, 7), stones)
    pebbles(litter, rng, 26, (8, 19), stones, 0.55)
    litter.lay(shade=0.3, soften=3)
    litter = Litter(view)
    for _ in range(26):
        x, y = litter.anywhere()
        t, length = rng.uniform(0, pi), rng.uniform(20, 70)
        bend = rng.uniform(-8, 8)
        points = [(x, y), (x + length * cos(t) / 2 + bend, y + length * sin(t) / 2)]
        points.append((x + length * cos(t), y + length * sin(t)))
        litter.stroke(points, (70, 56, 42), 3, rng.uniform(1.5, 4))
    for _ in range(leaves):
        colour = LEAVES[rng.integers(len(LEAVES))]
        leaf(litter, rng, *litter.anywhere(), rng.uniform(16, 44), colour, 7)
    litter.lay(shade=0.3)
    view.soil, view.soft, view.ground_bump = (92, 74, 56), 1.0, 0.75


def grass(view):
    """Rough grass, some of it dead."""
    n, rng = view.noise, view.rng
    lumps = n.cloud(160, 2)
    view.ground = lumps * 7 + n.field(20) * 2
    view.albedo = mix((58, 56, 34), (82, 76, 46), smooth(-1, 1, n.field(30)))
    litter = Litter(view)
    greens = [
        (88, 104, 48),
        (72, 92, 42),
        (112, 120, 62),
        (132, 124, 76),
        (60, 78, 38),
        (150, 140, 92),
    ]
    tuft = rng.uniform(0, 2 * pi)
    spots = [litter.anywhere() for _ in range(2600)]
    for i, (x, y) in enumerate(spots):
        t = tuft + rng.normal() * 1.1 + (i % 7) * 0.12
        length = rng.uniform(18, 58)
        bend = rng.normal() * 9
        colour = np.array(greens[rng.integers(len(greens))]) * (0.55 + 0.5 * i / len(spots))
        middle = (x + length * 0.5 * cos(t) + bend, y + length * 0.5 * sin(t))
        end = (x + length * cos(t), y + length * sin(t) + bend)
        litter.stroke([(x, y), middle, end], colour, 3 + 7 * i / len(spots), rng.uniform(1.4, 3.4))
    for _ in range(7):
        colour = LEAVES[rng.integers(len(LEAVES))]
        leaf(litter, rng, *litter.anywhere(), rng.uniform(14, 26), colour, 9)
    litter.lay(shade=0.45)
    view.soil, view.soft, view.ground_bump = (78, 66, 46), 0.9, 0.5


def wet_ash(view):
    """Wet boiler ash: black grit, clinker and a film of water."""
    n, rng = view.noise, view.rng
    lumps, grain = n.cloud(90, 3), n.cloud(11, 3, 0.8)
    view.ground = lumps * 6 + grain * 2.8
    tone = 1 + 0.12 * lumps + 0.14 * grain
    view.albedo = mix((50, 47, 45), (74, 69, 64), smooth(-0.6, 1.8, grain)) * tone[..., None]
    litter = Litter(view)
    cinders = [(92, 84, 78), (64, 58, 56), (112, 92, 78), (44, 42, 42), (120, 112, 106)]
    pebbles(litter, rng, 420, (2, 9), cinders, 0.8)
    pebbles(litter, rng, 30, (10, 24), cinders[:4], 0.7)
    litter.lay(shade=0.35, soften=3)
    level = -5.5
    wet = smooth(1.2, -1.2, view.ground - level)
    view.ground = np.maximum(view.ground, level)
    view.albedo = mix(view.albedo, (60, 63, 66), wet * 0.75)
    view.soil, view.soft, view.ground_bump, view.ground_sheen = (58, 54, 51), 1.0, 1.3, 0.22


def slate(view):
    """Slate waste: flat grey-blue pieces over each other."""
    n, rng = view.noise, view.rng
    view.albedo = mix((66, 64, 62), (92, 90, 88), smooth(-1, 1, n.cloud(16)))
    view.ground = n.cloud(60) * 3
    blues = [
        (92, 97, 106),
        (80, 84, 92),
        (108, 110, 116),
        (98, 92, 98),
        (72, 78, 84),
        (120, 118, 116),
    ]
    litter = Litter(view)
    for i in range(330):
        x, y = litter.anywhere()
        size, t = rng.uniform(20, 95) * (1.15 - 0.5 * i / 330), rng.uniform(0, pi)
        thin = rng.uniform(0.35, 0.75)
        angles = np.sort(rng.uniform(0, 2 * pi, 6))
        points = []
        for a in angles:
            u, v = size * cos(a), size * thin * sin(a)
            points.append((x + u * cos(t) - v * sin(t), y + u * sin(t) + v * cos(t)))
        colour = np.array(blues[rng.integers(len(blues))]) * rng.uniform(0.78, 1.12)
        litter.patch(points, colour, 4 + 14 * i / 330 + rng.uniform(-2, 2))
    litter.lay(shade=0.4)
    slabs = np.asarray(view.albedo).mean(axis=2)
    view.ground = view.ground + n.field(70) * 1.2 + (slabs - 90) * 0.03
    view.soil, view.soft, view.ground_bump = (86, 82, 78), 0.5, 0.45


def boards(view, tone=1.0):
    """The top of a fitter's bench: worn planks, oil stains, seams."""
    n = view.noise
    wide = 210
    row = np.floor((view.y + 60) / wide)
    across = (view.y + 60) / wide - row
    shades = view.rng.uniform(0.82, 1.12, 64).astype(F)
    shift = shades[(row.astype(int) + 20) % 64]
    grain, knots = n.field(420, 6), n.cloud(150, 2)
    rings = 0.5 + 0.5 * np.sin(grain * 2.6 + knots * 1.2 + shift * 40)
    base = mix((100, 82, 62), (136, 115, 88), smooth(0.1, 1, rings)) * (shift * tone)[..., None]
    base = base * (1 + 0.05 * n.field(90, 2.5))[..., None]
    stains = smooth(0.6, 2.6, n.cloud(90, 4, 0.7))
    view.albedo = mix(base, (60, 48, 38), 0.34 * stains)
    seam = smooth(0.016, 0.004, np.minimum(across, 1 - across)) + 0 * view.x
    view.albedo = mix(view.albedo, (28, 22, 18), 0.9 * seam)
    view.ground = rings * 0.5 - 4 * seam + n.field(30, 3) * 0.3
    litter = Litter(view)
    for x in (-430, 350):
        for r in range(-4, 6):
            for off in (60, 150):
                nail = (x + view.rng.normal() * 6, r * wide - 60 + off)
                angles = np.linspace(0, 2 * pi, 10)
                points = [(nail[0] + 5 * cos(a), nail[1] + 5 * sin(a)) for a in angles]
                litter.patch(points, (48, 42, 40), -1)
    litter.lay()
    view.soft, view.ground_bump, view.ground_sheen = 0.0, 0.25, 0.12


def cloth(view):
    """A canvas sheet spread out, with folds."""
    n = view.noise
    folds = n.cloud(240, 2) + 0.6 * n.field(500, 90)
    ridge = np.exp(-((folds * 2.2) ** 2))
    weave = np.sin(view.x * 1.35) * 0.25 + np.sin(view.y * 1.35) * 0.25
    view.ground = ridge * 5 + n.cloud(120, 2) * 3 + weave * 0.3
    view.albedo = mix((132, 128, 115), (146, 142, 129), smooth(-2, 2, n.cloud(90)))
    view.albedo = mix(view.albedo, (92, 84, 72), 0.45 * smooth(1.0, 2.8, n.cloud(40, 4, 0.7)))
    view.soft, view.ground_bump, view.ground_sheen = 0.0, 0.22, 0.0


def concrete(view):
    """A workshop floor: grey, stained, one crack."""
    n, rng = view.noise, view.rng
    broad, fine = n.cloud(200, 3), n.cloud(5, 2)
    view.ground = broad * 0.6 + fine * 0.12
    view.albedo = mix((118, 116, 111), (142, 140, 134), smooth(-1.2, 1.2, broad + 0.3 * fine))
    view.albedo = mix(view.albedo, (86, 82, 76), 0.5 * smooth(0.8, 2.6, n.cloud(110, 4, 0.7)))
    litter = Litter(view)
    x, y = -620, rng.uniform(-260, 60)
    points = [(x, y)]
    while x < 620:
        x, y = x + rng.uniform(14, 50), y + rng.normal() * 14 + 5
        points.append((x, y))
    litter.stroke(points, (70, 68, 64), -2.5, 2.2)
    pebbles(litter, rng, 60, (1, 3), [(96, 92, 86), (150, 146, 138)])
    litter.lay()
    view.soft, view.ground_bump, view.ground_sheen = 0.0, 0.16, 0.06


def sand(view):
    """Moulder's floor: black sand, raked and trodden."""
    n = view.noise
    lumps, grain = n.cloud(90, 3), n.cloud(7, 2, 0.8)
    view.ground = lumps * 5 + grain * 1.2
    tone = 1 + 0.1 * lumps + 0.12 * grain
    view.albedo = mix((54, 44, 37), (78, 64, 52), smooth(-1, 1.6, grain + lumps)) * tone[..., None]
    view.soil, view.soft, view.ground_bump = (60, 49, 40), 0.4, 0.9


GROUNDS = {
    "earth": earth,
    "grass": grass,
    "wet_ash": wet_ash,
    "slate": slate,
    "boards": boards,
    "cloth": cloth,
    "concrete": concrete,
    "sand": sand,
}
HARD = ("boards", "cloth", "concrete")
