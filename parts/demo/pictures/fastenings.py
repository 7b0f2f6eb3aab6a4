"""Bolts, nuts, cotters, lagging, governor pieces and small things out of the ground."""

import numpy as np

from .register import drawing
from .shapes import Outline, bar, box, broken, circle, hexagon, polygon, ring


@drawing("foundation_bolt", "slate", rod=(-60, 350, 3))
def foundation_bolt(view):
    p = view.part(0, -90, -12, kind="steel")
    p.rod([(-420, 25), (250, 25)], centre=36)
    p.thread(250, 470, 24, 8, centre=36)
    p.plate(polygon([(-440, -54), (-392, -54), (-392, 54), (-440, 54)], 4), 66, under=6, edge=6)
    p.cut(box(-330, 0, 44, 9, 2))
    p.plate(hexagon(356, 0, 84, 16), 68, under=4, edge=7)
    q = view.part(150, 150, 22, kind="cast")
    q.plate(box(0, 0, 104, 104, 6), 26, edge=5).plate(circle(0, 0, 50), 36, edge=5)
    q.cut(circle(0, 0, 30))
    r = view.part(-180, 140, 14, kind="steel")
    r.plate(polygon([(-100, -18), (100, -30), (100, 10), (-100, 8)], 2), 18, edge=4)


@drawing("nut", "earth", clean="cloth", tilt=42, rod=(0, 390, 2))
def nut(view):
    p = view.part(-140, -60, 9, kind="steel")
    _big_nut(p, 250, 132)
    q = view.part(230, -110, 25, kind="steel")
    _big_nut(q, 170, 90)
    # One on its edge, leaning
    r = view.part(210, 150, -20, kind="steel")
    r.plate(hexagon(0, 0, 150, 4), 78, edge=16).cut(circle(0, 0, 41))
    r.plate(ring(0, 0, 41, 50), 74, edge=4)


def _big_nut(p, across, high):
    p.plate(circle(0, 0, across * 0.56) & hexagon(0, 0, across), high, edge=across * 0.11)
    p.plate(circle(0, 0, across * 0.47), high + 1, edge=across * 0.05)
    p.cut(circle(0, 0, across * 0.27))
    for i in range(4):
        low = high * (0.2 + 0.2 * i)
        p.plate(ring(0, 0, across * 0.25, across * 0.28), low, edge=4)


@drawing("stud", "boards", clean="cloth", rust=0.9, rod=(0, 330, -3))
def stud(view):
    for i, (x, y, turn) in enumerate(((-60, -150, -14), (60, -30, 4), (-20, 120, -7))):
        p = view.part(x, y, turn, kind="steel")
        p.thread(-330, -190, 26, 9, centre=30)
        p.rod([(-190, 27), (20 - 30 * i, 27)], centre=30)
        p.thread(20 - 30 * i, 320, 26, 9, centre=30)
        p.rod([(320, 24), (332, 18)], centre=30)
        if i == 1:
            p.plate(hexagon(180, 0, 94, 8), 72, under=2, edge=8)


@drawing("gib_and_cotter", "cloth", clean="cloth", rust=0.85, rod=(0, 380, 2))
def gib_and_cotter(view):
    p = view.part(0, -130, -10, kind="steel")
    p.plate(polygon([(-370, -46), (370, -46), (370, 60), (318, 60), (318, 16), (-318, 16),
                     (-318, 60), (-370, 60)], 3), 44, edge=6)  # fmt: skip
    q = view.part(10, 90, -6, kind="steel")
    q.plate(polygon([(-400, -26), (400, -48), (408, -34), (408, 34), (400, 48), (-400, 26)], 3), 42,
            edge=7)  # fmt: skip
    for u in (-300, -250):
        q.cut(circle(u, 0, 8))
    s = view.part(330, 250, 30, kind="steel")
    s.rod([(-20, 8), (110, 8)], centre=14)
    s.plate(box(-40, 0, 22, 22, 3), 30, edge=4)


@drawing("lagging_band", "grass", clean="boards", rod=(60, 430, -2))
def lagging_band(view):
    p = view.part(-20, -20, 16, kind="brass")
    arc = ring(0, 0, 286, 294) - polygon([(210, 130), (330, 190), (290, 260), (180, 190)])
    p.plate(arc, 64, edge=1)
    for u, v, t in ((258, 128, -30), (196, 214, 50)):
        p.plate(box(u, v, 34, 7, 2, turn=t), 64, edge=2)
    q = view.part(300, 250, -24, kind="brass")
    q.plate(polygon([(-180, -22), (150, -30), (158, 26), (-170, 24)], 2), 7, edge=2, lean=(0.05, 0))
    q.holes([(-150, 0), (130, 0)], 6)
    q.made_of("steel").rod([(190, 10), (260, 10)], centre=14)
    q.plate(hexagon(196, 0, 34, 0), 28, edge=4)


@drawing("lagging_staves", "earth", clean="boards", rust=0.9, rod=(0, 420, 2))
def lagging_staves(view):
    lies = ((-10, -250, -3, 0), (20, -172, -1, 0), (-30, -92, 1, 0), (10, -12, -2, 0),
            (40, 66, 3, 0), (-40, 150, 2, 0), (30, 20, 24, 26), (-60, -90, -19, 26))  # fmt: skip
    for i, (x, y, turn, z) in enumerate(lies):
        half = 400 - 28 * (i % 3)
        paint = (92, 46, 34) if view.rust < 0.5 else None
        p = view.part(x, y, turn, z=z, kind="wood", paint=paint, tone=0.86 + 0.06 * (i * 5 % 4))
        shape = [(-half, -30), (half, -30), (half, 30), (-half, 30)]
        if view.rust > 0.5 and i % 2:
            shape = [(-half, -30), (half - 90, -30), (half - 60, -16), (half - 20, -8),
                     (half - 44, 6), (half - 4, 14), (half - 30, 30), (-half, 30)]  # fmt: skip
        p.plate(polygon(shape), 26, edge=5)
        p.cut(box(0, -26, half, 3), 17)
        p.made_of("steel")
        for u in (-half * 0.8, half * 0.55):
            p.plate(circle(u, 4, 6), 29, edge=2)
    q = view.part(10, -40, 86, z=52, kind="brass", rust=view.rust * 0.9)
    q.plate(box(-10, 260, 210, 15, 2), 5, edge=1)


@drawing("governor_ball", "wet_ash", clean="cloth", rod=(-20, 380, 3))
def governor_ball(view):
    p = view.part(-190, -30, -24, kind="cast")
    p.ball(0, 0, 128, centre=128)
    p.made_of("steel").rod([(118, 26), (128, 24), (420, 16), (424, 16)], centre=128)
    p.plate(circle(446, 0, 34), 148, under=104, edge=6).cut(circle(446, 0, 15))
    p.rod([(-146, 18), (-120, 22)], centre=128)
    q = view.part(250, 160, 0, kind="cast")
    q.ball(0, 0, 128, centre=116)
    q.made_of("steel").plate(circle(6, 4, 21), 248, under=200, edge=5)


@drawing("governor_spindle", "earth", clean="boards", rod=(-80, 370, -3))
def governor_spindle(view):
    p = view.part(10, -40, -10, kind="steel")
    p.rod([(-470, 16), (-460, 20), (-180, 20), (-180, 28), (400, 28)], centre=92)
    p.rod([(400, 24), (470, 20), (476, 14)], centre=92)
    p.made_of("brass", rust=view.rust * 0.8)
    p.rod([(20, 44), (60, 44), (62, 70), (82, 70), (84, 46), (112, 46), (114, 70), (134, 70),
           (136, 44), (190, 44)], centre=92)  # fmt: skip
    p.made_of("cast").rod([(-200, 54), (-150, 54), (-146, 40), (-120, 34)], centre=92)
    # Bevel pinion at the foot, with its teeth
    p.rod([(372, 88), (384, 90), (430, 56), (434, 40)], centre=92)
    for i in range(-5, 6):
        angle = i * 0.3
        v, h = 88 * np.sin(angle), 88 * np.cos(angle)
        p.body().rod([(376, 10), (392, 10), (424, 7)], v=float(v), centre=92 + float(h) * 0.9)
    q = view.part(10, -40, -10, kind="steel")
    for side in (-1, 1):
        q.cord(bar((-176, side * 44), (-110, side * 190), 13), 13, centre=92)
        q.plate(circle(-172, side * 46, 26), 110, under=74, edge=5)
        q.plate(circle(-106, side * 196, 24), 108, under=74, edge=5)
        q.cut(circle(-106, side * 196, 11))


@drawing("white_metal_scraps", "boards", clean="boards", rust=0.6, rod=(0, 410, 2))
def white_metal_scraps(view):
    rng = view.rng
    for i in range(15):
        a = rng.uniform(0, 6.28)
        r = 235 * rng.uniform(0.05, 1) ** 0.6
        size = rng.uniform(44, 100)
        angles = np.sort(rng.uniform(0, 6.28, 7))
        points = [(size * np.cos(t), size * 0.7 * np.sin(t)) for t in angles]
        p = view.part(r * np.cos(a), -30 + r * np.sin(a), rng.uniform(0, 180), kind="white_metal",
                      rust=view.rust * rng.uniform(0.5, 1.2))  # fmt: skip
        lean = (rng.normal() * 0.2, rng.normal() * 0.2)
        p.plate(polygon(broken(points, rng, 4, 3), 4), 26 + i * 3, edge=9, lean=lean)
    for x, y, turn in ((-270, 130, 30), (280, 40, -50), (120, -190, 10)):
        p = view.part(x, y, turn, kind="white_metal")
        p.plate(box(0, 0, 96, 74, 4), 62, edge=8).scoop(62, (-130, 130), 66)
        p.cut(polygon(broken([(40, -90), (120, -90), (120, 20), (80, 0)], rng, 5)), -50)
    for _ in range(26):
        x, y = rng.normal() * 210, -20 + rng.normal() * 170
        p = view.part(x, y, kind="white_metal", new=_ == 0)
        p.ball(0, 0, rng.uniform(5, 15), flat=0.6)


@drawing("name_plate", "cloth", clean="cloth", rust=0.7, tilt=24, rod=(0, 330, 2))
def name_plate(view):
    p = view.part(0, -60, -5, z=5, kind="brass")
    oval = Outline(lambda u, v: (np.hypot(u / 400, v / 212) - 1) * 240, (-400, 400, -212, 212))
    inner = Outline(lambda u, v: (np.hypot(u / 372, v / 186) - 1) * 220, (-372, 372, -186, 186))
    p.plate(oval, 15, edge=4)
    p.made_of("dark" if view.rust < 0.4 else "brass", tone=1.0 if view.rust < 0.4 else 0.55)
    p.cut(inner, 9, wall=1).paint_over(inner)
    p.made_of("brass")
    p.letters("HARROW GAP", 0, -68, 78, 16)
    p.letters("No. 412", 0, 20, 76, 16)
    p.letters("1907", 0, 106, 84, 16)
    p.plate(box(0, -20, 250, 3), 15, edge=1)
    for u in (-340, 340):
        p.made_of("brass").plate(circle(u, 0, 20), 19, edge=3)
        p.cut(circle(u, 0, 9), 2)


@drawing("spanner_old", "earth", clean="boards", rod=(80, 320, 4))
def spanner_old(view):
    p = view.part(0, -30, -17, kind="steel")
    p.plate(bar((-330, 0), (300, 0), 25, 31), 30, edge=8)
    p.plate(circle(-392, 0, 84), 42, edge=8)
    p.plate(circle(372, 0, 108), 46, edge=9)
    p.cut(box(-452, -14, 70, 38, 4, turn=15))
    p.cut(box(440, 20, 84, 54, 4, turn=15))
    p.made_of("steel").letters("1 1/8", -20, 0, 36, 31)


@drawing("bottle_glass", "earth", clean="cloth", rust=0.9, rod=(0, 360, -3))
def bottle_glass(view):
    p = view.part(-110, -50, -14, kind="glass")
    p.rod([(-290, 58), (-270, 92), (-258, 98), (60, 98), (110, 84), (150, 46), (178, 34), (236, 31),
           (238, 40), (268, 40), (272, 30)], centre=88)  # fmt: skip
    p.letters("BREWERY", -90, 0, 46, 188)
    rng = view.rng
    for x, y, turn in ((270, 60, 20), (330, 150, 80), (190, 170, -30)):
        q = view.part(x, y, turn, kind="glass")
        shard = broken([(-60, -30), (50, -44), (64, 20), (-20, 46)], rng, 4, 3)
        q.plate(polygon(shard), 14, edge=3)


@drawing("bone_fragment", "earth", clean="cloth", rust=0.8, rod=(0, 360, 3))
def bone_fragment(view):
    p = view.part(-40, -40, -20, kind="bone")
    p.rod([(-300, 62), (-262, 54), (-200, 42), (0, 36), (140, 40), (200, 50)], centre=46, flat=0.8)
    p.ball(-312, -34, 54, centre=46, flat=0.8).ball(-306, 36, 46, centre=44, flat=0.8)
    p.cut(polygon(broken([(60, -70), (240, -70), (240, 70), (168, 70), (120, 0)], view.rng, 7)))
    q = view.part(230, 110, 30, kind="bone", tone=0.9)
    points = [(-70, -24), (60, -34), (84, 6), (20, 30), (-60, 20)]
    q.plate(polygon(broken(points, view.rng, 5, 3), 2), 26, edge=14)
