"""Pattern shop, foundry, machine shop and lifting tackle."""

from math import cos, sin

import numpy as np

from .motion import half_brass, strap_half
from .noise import mix, smooth
from .register import drawing, scene
from .shapes import bar, box, broken, circle, path, polygon, ring

F = np.float32
PATTERN_RED = (118, 40, 32)


def _bench(view):
    """A rule of the pattern shop and shavings round what lies on its bench."""
    q = view.part(330, 230, 34, kind="wood", rust=0)
    q.plate(box(0, 0, 150, 22, 2), 20, edge=3)
    q.made_of("steel", rust=0.1).plate(box(176, 0, 36, 16, 1), 14, under=6, edge=1)
    rng = view.rng
    for _ in range(26):
        x, y, r = rng.uniform(-520, 520), rng.uniform(-440, 480), rng.uniform(10, 22)
        a, sweep = rng.uniform(0, 6.3), rng.uniform(2.4, 5.5)
        points = []
        for t in np.linspace(0, 1, 7):
            b, tight = a + sweep * t, r * (1 - 0.3 * t)
            points.append((x + tight * cos(b), y + tight * sin(b)))
        s = view.part(0, 0, 0, kind="wood", rust=0, tone=1.25, new=False)
        s.plate(path(points, 3.4), 13, edge=2)


@drawing("pattern_on_bench", "boards", clean="boards", rust=0.1, tilt=40, rod=(-120, 400, 2))
def pattern_on_bench(view):
    """The pattern of a half brass, bore upward, its core prints black at both ends."""
    p = view.part(-60, -60, -12, kind="wood", rust=0, paint=PATTERN_RED)
    half_brass(p, length=170)
    p.made_of("black", paint=None)
    for end in (-1, 1):
        p.plate(box(end * 214, 0, 26, 112, 3), 148, edge=4)
    p.made_of("wood", paint=PATTERN_RED).scoop(112, (-192, 192), 150)
    _bench(view)


@drawing("strap_pattern", "boards", clean="boards", rust=0.1, tilt=40, rod=(-120, 400, 2))
def strap_pattern(view):
    """The pattern of half a strap: a half ring with its lugs, the bolt holes' core prints black."""
    p = view.part(-40, -150, -8, kind="wood", rust=0, paint=PATTERN_RED)
    strap_half(p, 1)
    p.made_of("black", paint=None)
    for u in (-1, 1):
        p.plate(circle(u * 292, 26, 13), 92, edge=3)
    _bench(view)


@drawing("core_box", "boards", clean="boards", rust=0.1, tilt=40, rod=(0, 400, -2))
def core_box(view):
    for x, y, turn, pins in ((-240, -50, -12, True), (270, -20, -6, False)):
        p = view.part(x, y, 90 + turn, kind="wood", rust=0)
        p.plate(box(0, 0, 230, 150, 3), 104, edge=3)
        p.made_of("wood", paint=(140, 112, 58)).scoop(66, (-240, 240), 106)
        p.scoop(86, (-120, 120), 106)
        p.made_of("wood", paint=None)
        for u, v in ((-188, -120), (188, 120)):
            if pins:
                p.made_of("brass", rust=0.2).plate(circle(u, v, 12), 128, edge=6)
            else:
                p.cut(circle(u, v, 12), 60)
        p.made_of("wood").plate(box(0, -174, 60, 22, 4), 50, edge=6)
    p = view.part(20, 300, -4, kind="sand", tone=2.0)
    p.rod([(-170, 40), (-90, 40), (-84, 54), (84, 54), (90, 40), (170, 40)])


@drawing("mould_open", "sand", clean="sand", rust=0.6, tilt=36, rod=(0, 500, 2))
def mould_open(view):
    for x, drag in ((-285, True), (300, False)):
        p = view.part(x, -30, -3 if drag else 4, kind="cast", rust=0.75)
        p.plate(box(0, 0, 262, 330, 10), 122, edge=5)
        p.plate(box(0, 0, 282, 26, 6), 80, edge=5)
        for v in (-230, 230):
            p.plate(box(0, v, 278, 15, 4), 100, edge=4)
        p.plate(circle(0, -352, 30), 100, edge=5).plate(circle(0, 352, 30), 100, edge=5)
        for v in (-354, 354):
            if drag:
                p.made_of("steel").plate(circle(0, v, 10), 156, edge=4)
            else:
                p.cut(circle(0, v, 10), 60)
        p.made_of("sand", rust=0, tone=1.55).cut(box(0, 0, 244, 312, 8), 118, wall=0.5)
        p.paint_over(box(0, 0, 244, 312, 8))
        if drag:
            # The half left by the pattern, its two core seats, the gate and the runner
            p.cut(box(-30, 0, 104, 200, 6), 62, wall=4).cut(box(-30, 0, 100, 190, 30), 22, wall=4)
            for v in (-196, 196):
                p.cut(box(-30, v, 122, 18, 6), 56, wall=4).cut(box(-30, v * 1.2, 74, 26, 4), 40)
            p.cut(box(92, 0, 40, 12, 4), 100, wall=3).cut(box(150, 0, 18, 120, 6), 92, wall=3)
            p.cut(circle(150, 110, 30), 84, wall=3)
        else:
            p.cut(circle(-150, 110, 34), -50, wall=4)
            p.cut(circle(30, 0, 26), -50, wall=4)
            p.cut(box(30, 0, 104, 200, 6), 96, wall=4)
            for u, v in ((-190, -200), (60, 250), (-60, -270), (160, 60)):
                p.cut(circle(u, v, 4), 70)


def _gate(p):
    """Runner, gate and riser still on a raw casting."""
    p.plate(box(0, 176, 20, 40, 4), 40, edge=6, under=10)
    p.plate(box(0, 220, 190, 22, 6), 44, edge=8)
    p.plate(circle(-168, 220, 36), 190, edge=10, dish=-14)


@drawing("casting_raw", "sand", clean="concrete", rust=0.85, tilt=44, rod=(20, 420, 3))
def casting_raw(view):
    p = view.part(0, -70, -9, kind="bronze", rust=0.16 + 0.25 * view.rust, tone=0.7)
    half_brass(p, length=200).scoop(112, (-240, 240), 150)
    _gate(p)
    rng = view.rng
    flash = [(-226, -182), (226, -182), (226, 182), (-226, 182)]
    p.plate(polygon(broken(flash, rng, 9, 12)), 22, edge=2, under=16)
    for _ in range(18):
        u, v = rng.uniform(-290, 290), rng.uniform(-90, 90)
        q = p.made_of("sand", tone=1.4)
        q.plate(polygon(broken([(u - 16, v - 8), (u + 18, v - 10), (u + 10, v + 12)], rng, 3)),
                61, edge=5)  # fmt: skip


@drawing("casting_machined", "boards", clean="boards", rust=0.05, tilt=44, rod=(20, 420, 3))
def casting_machined(view):
    for x, turn in ((-240, 58), (250, 66)):
        p = view.part(x, -60, turn, kind="bronze", rust=0.05)
        half_brass(p).made_of("bronze", rust=0.0, tone=1.5).scoop(112, (-200, 200), 150)
    rng = view.rng
    for _ in range(34):
        x, y, r = rng.uniform(-460, 460), rng.uniform(90, 430), rng.uniform(4, 11)
        s = view.part(x, y, rng.uniform(0, 180), kind="machined", rust=0.0, new=False)
        s.plate(ring(0, 0, r - 2.5, r) & box(0, -r / 2, r, r / 1.4), 9, edge=2)


@drawing("lathe_work", "concrete", clean="concrete", rust=0.15, tilt=44, rod=None)
def lathe_work(view):
    view.albedo = view.albedo * 0.7
    green = (62, 74, 68)
    bed = view.part(0, 130, 0, kind="cast", rust=0.08, paint=green)
    bed.plate(box(60, 0, 760, 150, 4), 96, edge=6)
    bed.made_of("machined", paint=None, rust=0.05)
    for v in (-118, -70, 84, 126):
        bed.plate(box(60, v, 760, 15, 2), 116, edge=5)
    bed.made_of("steel", paint=None).rod([(-700, 14), (800, 14)], v=190, centre=70)
    # Headstock, chuck and jaws
    head = view.part(-520, 130, 0, kind="cast", rust=0.08, paint=green)
    head.plate(box(-60, 0, 200, 160, 20), 330, edge=22)
    head.body().rod([(120, 90), (150, 90), (152, 70), (168, 70)], centre=296)
    head.made_of("machined", paint=None, rust=0.1)
    head.body().rod([(164, 176), (174, 184), (254, 184), (264, 176)], centre=296)
    head.made_of("steel", rust=0.15)
    for v, h in ((-120, 20), (62, 112), (70, -96)):
        head.body().rod([(262, 30), (330, 30)], v=v, centre=296 + h)
    # The piston rod end being turned, with the tool at the shoulder
    work = view.part(-520, 130, 0, kind="steel", rust=0.75)
    work.rod([(262, 86), (470, 86)], centre=296)
    work.made_of("machined", rust=0.0).rod([(470, 76), (474, 72), (690, 72), (694, 54), (860, 54),
                                            (864, 50)], centre=296)  # fmt: skip
    slide = view.part(40, 260, 0, kind="cast", rust=0.08, paint=green)
    slide.plate(box(-20, -40, 150, 180, 6), 150, edge=6)
    slide.made_of("machined", paint=None, rust=0.08)
    slide.plate(box(-20, 20, 84, 110, 3), 200, edge=5)
    slide.plate(box(-20, -8, 64, 64, 4), 286, edge=5)
    for u in (-58, 18):
        for v in (-46, 30):
            slide.made_of("steel").plate(box(u, v, 10, 10, 1), 318, edge=3)
    slide.body().made_of("steel", rust=0.2)
    slide.plate(polygon([(-40, -20), (-8, -20), (-8, -118), (-34, -146), (-40, -118)]), 292,
                under=262, edge=4)  # fmt: skip
    slide.made_of("steel").body().rod([(150, 10), (230, 10)], v=40, centre=160)
    slide.ball(240, 40, 22, centre=160)
    tail = view.part(470, 130, 0, kind="cast", rust=0.08, paint=green)
    tail.plate(box(110, 0, 110, 130, 10), 150, edge=8)
    tail.plate(box(110, 0, 96, 84, 20), 250, edge=16)
    tail.rod([(0, 76), (10, 84), (220, 84)], centre=296)
    tail.made_of("machined", paint=None, rust=0.05)
    tail.body().rod([(-130, 6), (-80, 36), (-70, 40), (4, 40)], centre=296)
    rng = view.rng
    for _ in range(70):
        x, y, r = rng.normal() * 120 + 60, 130 + rng.normal() * 110, rng.uniform(5, 16)
        s = view.part(x, y, rng.uniform(0, 180), z=100, kind="machined", rust=0.0, new=False)
        s.layer = bed.layer
        s.plate(ring(0, 0, r - 2.5, r) & box(0, -r / 2, r, r / 1.4), 24, edge=2)


def _ember(x, y, z, power, colour=(255, 132, 40)):
    """Light from a glowing thing at a point of the picture: shop dark, near faces lit."""

    def light(view, out, top, n):
        px = (x - view.x[:, : view.width]) / 1.0
        py = (y - view.y[: view.height]) + 0 * px
        pz = z - top
        square = px * px + py * py + pz * pz + 3000
        far = np.sqrt(square)
        facing = np.clip((n[0] * px + n[1] * py + n[2] * pz) / far, 0, 1)
        fall = power * (0.18 + facing) / square
        haze = 0.14 * np.exp(-(px * px + py * py) / (2 * 210.0**2))
        tint = np.asarray(colour, F)
        base = out * F(0.3) + (out * tint / 255) * (fall * 5)[..., None].astype(F)
        return base + tint * haze[..., None].astype(F)

    return light


def _molten(view, then):
    """Keep molten metal bright whatever the light: white at the heart, orange at the skin."""

    def light(view, out, top, n):
        hot = view.molten
        out = then(view, out, top, n)
        colour = mix((255, 120, 30), (255, 232, 168), np.clip(hot, 0, 1))
        return mix(out, colour, smooth(0.02, 0.3, hot))

    view.glow = light


@drawing("pouring", "sand", clean="sand", rust=0.7, tilt=44, rod=None)
def pouring(view):
    mould = view.part(170, 190, -4, kind="cast", rust=0.75)
    mould.plate(box(0, 0, 300, 190, 10), 150, edge=6)
    for u in (-170, 0, 170):
        mould.plate(box(u, 0, 14, 204, 3), 130, edge=4)
    mould.made_of("sand", rust=0, tone=1.5).cut(box(0, 0, 280, 172, 8), 146, wall=0.5)
    mould.paint_over(box(0, 0, 280, 172, 8))
    mould.cut(circle(-120, -10, 44), 118, wall=4)
    mould.cut(circle(140, 20, 26), 96)
    # Crucible in its shank, tipped toward the cup
    pot = view.part(-170, 20, 22, z=90, kind="dark", tone=2.6)
    pot.rod([(-190, 96), (-172, 116), (-60, 140), (70, 142), (118, 132), (122, 126)], centre=150)
    pot.made_of("steel", rust=0.9)
    pot.rod([(-34, 148), (-30, 152), (6, 152), (10, 148)], centre=150)
    pot.body()
    for side in (-1, 1):
        pot.cord(bar((-10, side * 150), (-20, side * 560), 15), 15, centre=150)
    x, y = view.x[:, : view.width], view.y[: view.height] * view.foreshorten
    view.molten = _stream(x, y)
    _molten(view, _ember(20, 120, 230, 26000.0))
    view.exposure = 0.95


def _stream(x, y):
    """How hot each pixel is: the lip of the pot, the stream, the cup, sparks."""
    hot = np.zeros(np.broadcast_shapes(x.shape, y.shape), F)
    lip = np.hypot((x - -46) / 34, (y - -92) / 84)
    c, s = cos(0.33), sin(0.33)
    u, v = (x + 50) * c + (y + 90) * s, -(x + 50) * s + (y + 90) * c
    lip = np.hypot(u / 36, v / 88)
    hot = np.maximum(hot, smooth(1.05, 0.6, lip) * 0.9)
    t = np.clip((y + 40) / 112, 0, 1)
    centre = -26 + 76 * np.sqrt(t)
    width = 15 - 6 * t
    stream = smooth(1.2, 0.3, np.abs(x - centre) / width) * ((y > -50) & (y < 78))
    hot = np.maximum(hot, stream)
    cup = np.hypot((x - 50) / 34, (y - 76) / 22)
    return np.maximum(hot, smooth(1.05, 0.5, cup) * 0.85).astype(F)


@scene("hoist_lift", rust=0.8)
def hoist_lift(view):
    from .scenes import out_of_doors

    out_of_doors(view, horizon=150)
    for (x0, y0), (x1, y1), z in (((-420, 330), (10, -420), 150), ((430, 350), (-10, -420), 160),
                                  ((70, 190), (0, -420), 90)):  # fmt: skip
        p = view.part(0, 0, 0, z=z, kind="wood", rust=0.9)
        p.cord(bar((x0, y0), (x1, y1), 19, 14), 17)
    t = view.part(0, 0, 0, z=210, kind="steel", rust=0.5)
    t.plate(box(0, -400, 44, 20, 8), 30, edge=6)
    t.plate(polygon([(-26, -382), (26, -382), (34, -330), (20, -300), (-20, -300), (-34, -330)], 4),
            44, edge=8)  # fmt: skip
    for x in (-12, 14):
        _chain(view, x, -304, x, -150 if x < 0 else -10, 215)
    hook = view.part(0, 0, 0, z=215, kind="steel", rust=0.5)
    hook.plate(box(-12, -140, 26, 24, 8), 40, edge=7)
    hook.cord(path([(-12, -118), (-12, -96), (10, -84), (12, -64), (-8, -52), (-30, -62)], 9), 9)
    _chain(view, -10, -70, -150, 40, 205)
    _chain(view, -10, -70, 130, 40, 205)
    load = view.part(-10, 120, 3, z=180, kind="cast")
    load.rod([(-250, 118), (-222, 118), (-220, 92), (-196, 86), (196, 86), (220, 92), (222, 118),
              (250, 118)], centre=60)  # fmt: skip
    load.plate(box(0, -60, 130, 50, 4), 150, edge=7)
    load.plate(box(0, 0, 150, 70, 6), 158, edge=8)
    for u in (-128, 128):
        load.made_of("rope").plate(box(u, 0, 12, 98, 3), 160, edge=6)
    rope = view.part(0, 0, 0, z=120, kind="rope")
    rope.cord(path([(240, 130), (330, 220), (470, 330)], 5), 5)


def _chain(view, x0, y0, x1, y1, z):
    """Links by turns flat and on edge."""
    length = float(np.hypot(x1 - x0, y1 - y0))
    turn = float(np.degrees(np.arctan2(y1 - y0, x1 - x0)))
    p = view.part(x0, y0, turn, z=z, kind="steel", rust=0.55)
    for i in range(int(length / 15)):
        u = 7 + i * 15
        if i % 2:
            p.plate(bar((u - 6, 0), (u + 6, 0), 4), 12, edge=4)
        else:
            p.plate(bar((u - 6, 0), (u + 6, 0), 8) - bar((u - 6, 0), (u + 6, 0), 3), 9, edge=4)
