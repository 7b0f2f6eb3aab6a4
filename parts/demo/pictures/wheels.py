"""The big castings: flywheel, rim segment, bedplate; and the small oil engine."""

from itertools import pairwise
from math import cos, pi, radians, sin

import numpy as np

from .metal import GREEN, RED_LEAD
from .register import drawing
from .shapes import around, bar, box, broken, circle, polygon, ring, sector


def wheel(p, radius, *, spokes=6, start=12, rim=0.1, deep=60, hub=0.17, bore=0.09, paint=None):
    """A spoked wheel lying flat: rim, tapering arms, hub with its bore and keyway."""
    inner = radius * (1 - rim)
    for u, v in around(spokes, 1, start=start):
        p.cord(bar((u * radius * hub, v * radius * hub), (u * inner, v * inner), radius * 0.058,
                   radius * 0.044), radius * 0.055, centre=deep * 0.55)  # fmt: skip
    p.plate(ring(0, 0, inner, radius), deep, edge=deep * 0.1)
    p.plate(ring(0, 0, inner - radius * 0.018, inner + 4), deep * 0.72, edge=6)
    p.plate(circle(0, 0, radius * hub), deep * 1.25, edge=deep * 0.12)
    p.made_of("machined", paint=None).plate(
        circle(0, 0, radius * hub * 0.72), deep * 1.28, edge=2, under=deep
    )
    p.cut(circle(0, 0, radius * bore))
    p.cut(box(0, -radius * bore, radius * 0.018, radius * 0.03))
    return p.made_of("cast", paint=paint)


def heap(view, centre_y, *, fall, high, rough=10):
    """Bank the ground up behind a line, so that it buries what lies there."""
    n = view.noise
    edge = view.y - centre_y + n.cloud(150, 3) * 46
    rise = high / (1 + np.exp(-edge / fall))
    view.ground = view.ground + rise + n.cloud(60, 3) * rough * rise / high
    return rise / high


@drawing("flywheel_buried", "earth", clean="earth", tilt=38, rod=(-380, -430, 6))
def flywheel_buried(view):
    heap(view, 60, fall=40, high=150, rough=16)
    p = view.part(20, 90, 0, z=20, kind="cast")
    wheel(p, 500, deep=92)
    stones(view, 40, (-560, 560), (120, 560), 150)


@drawing("flywheel_clear", "grass", clean="concrete", tilt=38, rod=(-20, 540, 2))
def flywheel_clear(view):
    p = view.part(0, -10, 0, kind="cast", paint=GREEN)
    wheel(p, 500, deep=92, paint=GREEN)


@drawing("flywheel_rim_segment", "wet_ash", clean="concrete", rod=(-60, 430, 3))
def flywheel_rim_segment(view):
    p = view.part(0, 500, 0, kind="cast", paint=GREEN)
    p.plate(sector(0, 0, 590, 742, 232, 306), 112, edge=9)
    p.plate(sector(0, 0, 574, 600, 233, 305), 84, edge=6)
    # The joint faces have pockets for the shrink links; the broken arm stands in from the rim.
    for a in (236.5, 301.5):
        c, s = cos(radians(a)), sin(radians(a))
        p.cut(
            bar((666 * c - 20 * s, 666 * s + 20 * c), (666 * c + 20 * s, 666 * s - 20 * c), 20), 70
        )
    a = radians(268)
    tip = (470 * cos(a), 470 * sin(a))
    p.cord(bar(tip, (600 * cos(a), 600 * sin(a)), 44, 52), 48, centre=56)
    rough = [(tip[0] - 90, tip[1] - 60), (tip[0] + 90, tip[1] - 60), (tip[0] + 90, tip[1] + 14),
             (tip[0] - 90, tip[1] + 34)]  # fmt: skip
    p.cut(polygon(broken([(x, y + 20) for x, y in rough], view.rng, 12)))


def stones(view, count, across, down, high=0.0, *, kind="stone", sizes=(16, 56)):
    """Tumbled blocks lying on the ground."""
    rng = view.rng
    for _ in range(count):
        x, y, size = rng.uniform(*across), rng.uniform(*down), rng.uniform(*sizes)
        row = int(np.clip(y * view.unit * view.foreshorten + view.height / 2, 0, view.rows - 1))
        col = int(np.clip(x * view.unit + view.width / 2, 0, view.width - 1))
        p = view.part(x, y, rng.uniform(0, 180), z=float(view.ground[row, col]) - size * 0.2,
                      kind=kind, new=False, rust=0.7, tone=rng.uniform(0.75, 1.1))  # fmt: skip
        tall, wide = rng.uniform(0.55, 0.9), rng.uniform(0.6, 1.0)
        angles = np.linspace(0, 2 * pi, rng.integers(5, 8))[:-1] + rng.uniform(0, 1)
        rough = rng.uniform(0.8, 1.15, len(angles)) * size
        points = [(r * cos(t), r * wide * sin(t)) for r, t in zip(rough, angles, strict=True)]
        p.plate(polygon(points), size * tall, edge=size * 0.2,
                lean=(rng.normal() * 0.2, rng.normal() * 0.2))  # fmt: skip


def bed(view, x, y, turn, z=0.0, paint=GREEN):
    """The bedplate from above: two long rails, cross members, bearing seats, cylinder seat."""
    p = view.part(x, y, turn, z=z, kind="cast", paint=paint)
    p.plate(box(0, 0, 540, 190, 14) - box(-60, 0, 330, 112, 10), 84, edge=8)
    p.plate(box(0, 0, 556, 206, 16) - box(-60, 0, 346, 128, 14), 40, edge=6)
    p.plate(box(0, -150, 500, 22, 4), 100, edge=6)
    p.plate(box(0, 150, 500, 22, 4), 100, edge=6)
    p.plate(box(-70, 0, 26, 124, 4), 74, edge=7)
    p.plate(box(400, 0, 118, 176, 10), 112, edge=8)
    p.plate(box(-450, 0, 70, 176, 10), 104, edge=8)
    p.scoop(84, (-190, 190), 118, across=True, v=400)
    p.made_of("machined", paint=None, rust=view.rust * 0.92)
    for v in (-150, 150):
        p.plate(box(140, v, 150, 17, 2), 106, edge=1)
    p.made_of("steel", paint=None)
    for u in (-470, -250, 40, 288, 500):
        for v in (-168, 168):
            if (u + v) % 3:
                p.cut(circle(u, v, 15))
            else:
                p.nut(u, v, 44, 24, 106)
    p.cut(circle(-450, 0, 44), 20)
    return p


@drawing("bedplate_buried", "earth", clean="earth", tilt=42, rod=(-380, -300, 3))
def bedplate_buried(view):
    heap(view, 70, fall=46, high=150, rough=14)
    bed(view, 10, -10, -7, z=-4)
    stones(view, 26, (-560, 560), (170, 620), 150)


@drawing("bedplate_clear", "slate", clean="concrete", tilt=42, rod=(20, 480, 2))
def bedplate_clear(view):
    bed(view, 0, -20, -7)


@drawing("oil_engine_flywheel", "grass", clean="concrete", tilt=36, rod=(20, 520, 3))
def oil_engine_flywheel(view):
    p = view.part(0, -20, 0, kind="cast", paint=RED_LEAD)
    for i in range(6):
        # Arms bowed against shrinkage
        a = radians(60 * i + 8)
        points = []
        for t in np.linspace(0.12, 0.86, 8):
            b = a + 0.5 * (t - 0.5) * (t - 0.1) * 2
            points.append((440 * t * cos(b), 440 * t * sin(b)))
        for one, two in pairwise(points):
            p.cord(bar(one, two, 30), 30, centre=62)
    p.plate(ring(0, 0, 366, 440), 130, edge=10)
    p.plate(circle(0, 0, 96), 150, edge=10)
    p.made_of("machined", paint=None).plate(circle(0, 0, 66), 153, edge=2, under=100)
    p.cut(circle(0, 0, 44)).cut(box(0, -46, 9, 14))
    p.made_of("steel").plate(circle(252, -318, 16), 210, edge=4, under=120)


@drawing("oil_engine_body", "earth", clean="concrete", tilt=46, rod=(-240, 460, 2))
def oil_engine_body(view):
    paint = RED_LEAD
    p = view.part(60, 20, 22, kind="cast", paint=paint)
    p.plate(polygon([(-250, -150), (260, -150), (260, 150), (-250, 150)], 12), 60, edge=10)
    p.plate(polygon([(-220, -118), (220, -128), (220, 128), (-220, 118)], 10), 190, edge=16)
    p.cut(box(40, 0, 120, 92, 16), 70)
    # Cylinder with its water hopper, head to the left
    q = view.part(60, 20, 22, kind="cast", paint=paint)
    q.rod([(-420, 96), (-412, 104), (-376, 104), (-372, 128), (-200, 128), (-196, 112),
           (-110, 112)],
          centre=210)  # fmt: skip
    q.plate(box(-286, 0, 84, 116, 10), 400, edge=8, under=210)
    q.cut(box(-286, 0, 68, 100, 8), 320)
    q.made_of("dark", paint=None).paint_over(box(-286, 0, 66, 98, 8))
    q.body().made_of("brass", paint=None, rust=view.rust * 0.7)
    q.plate(circle(-330, 0, 15), 330, edge=3, under=250)
    # Crankshaft across the open bed, a bearing each side
    r = view.part(60, 20, 112, z=0, kind="steel")
    r.rod([(-330, 30), (-120, 30)], v=-60, centre=206)
    r.rod([(-40, 30), (40, 30)], v=-100, centre=224)
    r.rod([(120, 30), (300, 30)], v=-60, centre=206)
    for u in (-62, 62):
        r.plate(box(u, -80, 22, 66, 20), 246, under=160, edge=6)
    s = view.part(60, 20, 22, kind="cast", paint=paint)
    for v in (-122, 122):
        s.rod([(-4, 40), (124, 40)], v=v, centre=200)
        s.body().plate(box(60, v, 70, 36, 8), 240, edge=8)
        s.made_of("brass", paint=None, rust=view.rust * 0.7)
        s.plate(circle(60, v, 16), 284, edge=4, under=230)
        s.made_of("steel", paint=None).nut(14, v, 30, 16, 240).nut(106, v, 30, 16, 240)
        s.made_of("cast", paint=paint)
    for u in (-206, 216):
        for v in (-136, 136):
            s.made_of("steel", paint=None).nut(u, v, 34, 20, 60)
