"""Cylinder, piston and valve gear, and the fittings that pass steam, oil and water."""

from math import cos, radians, sin

from .metal import GREEN
from .register import drawing
from .shapes import around, bar, box, circle, hexagon, path, polygon, ring


@drawing("piston", "wet_ash", clean="cloth", tilt=48, rod=(20, 400, 2))
def piston(view):
    p = view.part(0, -40, 20, kind="cast")
    p.plate(circle(0, 0, 236), 44, edge=3)
    for low, high in ((44, 66), (66, 104), (104, 126), (126, 176)):
        groove = high - low < 30
        if groove:
            p.body().made_of("steel").plate(circle(0, 0, 226), high, under=low, edge=0)
        else:
            p.body().made_of("cast").plate(circle(0, 0, 236), high, under=low, edge=4)
    p.cut(circle(0, 0, 84), 160)
    p.made_of("machined", rust=view.rust * 0.9).plate(circle(0, 0, 46), 190, under=150, edge=4)
    p.made_of("steel").plate(hexagon(0, 0, 112, 12), 208, under=150, edge=8)
    p.plate(circle(0, 0, 34), 226, under=150, edge=6)
    p.plate(box(0, 0, 74, 5), 196, under=150, edge=2)
    for u, v in ((-156, 0), (156, 0)):
        p.made_of("cast").cut(circle(u, v, 17), 120)


@drawing("piston_ring", "slate", clean="boards", rod=(60, 420, -3))
def piston_ring(view):
    p = view.part(-150, -60, 0, kind="cast")
    gap = polygon([(150, 96), (260, 130), (254, 152), (144, 118)])
    p.plate(ring(0, 0, 216, 244) - gap, 26, edge=2)
    # The second ring broke in two as it came out.
    q = view.part(160, 20, 30, z=24, kind="cast")
    q.plate(ring(0, 0, 216, 244) & box(0, -130, 300, 130), 26, edge=2)
    r = view.part(330, 190, 160, z=2, kind="cast")
    r.plate((ring(0, 0, 216, 244) & box(0, -130, 300, 134)) - box(-200, -60, 90, 80), 26, edge=2)


@drawing("piston_rod", "earth", rod=(-100, 280, 4))
def piston_rod(view):
    p = view.part(0, -60, -8, kind="steel")
    p.made_of("machined", rust=view.rust * 0.92).rod([(-400, 36), (330, 36)], centre=44)
    p.made_of("steel").rod([(330, 34), (336, 28), (430, 22)], centre=44)
    p.thread(430, 500, 23, 7, centre=44)
    p.rod([(-540, 24), (-530, 30), (-412, 36), (-400, 36)], centre=44)
    p.cut(box(-466, 0, 32, 9, 3), 4)
    q = view.part(410, 120, 0, kind="steel")
    q.plate(hexagon(0, 0, 92, 12), 54, edge=9).cut(circle(0, 0, 25))


@drawing("cylinder", "earth", clean="concrete", tilt=42, rod=(-320, 470, 2))
def cylinder(view):
    p = view.part(-40, 10, 27, kind="cast")
    profile = [(-330, 196), (-296, 196), (-294, 160), (-270, 146), (270, 146), (294, 160),
               (296, 196), (330, 196)]  # fmt: skip
    p.tube(profile, 112, centre=196)
    # The valve face on top: two steam ports and the wide exhaust between, studs round it.
    p.plate(box(0, 0, 196, 124, 8), 366, under=196, edge=7)
    p.made_of("machined", rust=view.rust * 0.93).plate(box(0, 0, 122, 84, 2), 371, edge=2)
    for u, half in ((-74, 10), (0, 24), (74, 10)):
        p.cut(box(u, 0, half, 60, 4), 300, kind="dark")
    p.made_of("steel")
    for u in (-170, -86, 0, 86, 170):
        for v in (-103, 103):
            p.plate(circle(u, v, 9), 400 if (u + v) % 4 else 368, edge=3, under=340)
    for v in (-36, 36):
        for u in (-170, 170):
            p.plate(circle(u, v, 9), 398, edge=3, under=340)
    q = view.part(-40, 10, 27, kind="steel")
    for v, h in around(8, 158, start=22):
        q.layer = view.part(kind="steel").layer
        q.rod([(330, 16), (346, 16), (346, 9), (364, 9)], v=v, centre=196 + h)


@drawing("cylinder_cover", "grass", clean="boards", rod=(40, 430, 3))
def cylinder_cover(view):
    p = view.part(0, -40, 12, kind="cast", paint=GREEN)
    p.plate(circle(0, 0, 300), 44, edge=6)
    p.plate(circle(0, 0, 226), 58, edge=10, dish=22)
    p.plate(ring(0, 0, 196, 206), 86, edge=5)
    p.plate(circle(0, 0, 100), 150, edge=8)
    p.plate(box(0, 0, 152, 52, 50), 168, edge=7)
    p.made_of("brass", paint=None, rust=view.rust * 0.8).plate(circle(0, 0, 42), 182, edge=4)
    p.cut(circle(0, 0, 27))
    p.made_of("steel").nut(-116, 0, 40, 22, 168)
    p.cut(circle(116, 0, 14), 120)
    for i, (u, v) in enumerate(around(10, 264)):
        if i in (3, 7):
            p.made_of("steel").nut(u, v, 44, 24, 44, turn=17 * i)
        else:
            p.cut(circle(u, v, 15))


@drawing("steam_chest", "earth", clean="concrete", tilt=40, rod=(-120, 420, -3))
def steam_chest(view):
    p = view.part(0, -60, -16, kind="cast", paint=GREEN)
    p.plate(box(0, 0, 300, 205, 14), 150, edge=6)
    p.cut(box(0, 0, 236, 142, 20), 6, wall=0.5)
    p.made_of("machined", paint=None, rust=view.rust * 0.95)
    p.plate(box(0, 0, 292, 197, 10) - box(0, 0, 240, 146, 20), 152, edge=2)
    p.cut(box(0, 0, 236, 142, 20), 6, wall=0.5)
    spots = [(u, v) for u in (-268, -134, 0, 134, 268) for v in (-174, 174)]
    spots += [(u, v) for u in (-268, 268) for v in (-60, 60)]
    p.holes(spots, 13)
    p.made_of("cast", paint=GREEN).rod([(296, 50), (352, 50), (352, 74), (376, 74)], centre=78)
    p.made_of("brass", paint=None, rust=view.rust * 0.8).rod([(376, 40), (404, 36)], centre=78)
    p.made_of("cast", paint=GREEN)
    q = view.part(0, -60, 74, kind="cast", paint=GREEN)
    q.rod([(200, 58), (262, 58), (264, 98), (288, 98)], centre=98)
    q.made_of("dark").rod([(288, 48), (290, 47)], centre=98)


@drawing("chest_cover", "slate", clean="boards", rod=(0, 430, 2))
def chest_cover(view):
    p = view.part(0, -40, -9, kind="cast", paint=GREEN)
    p.plate(box(0, 0, 360, 240, 18), 40, edge=6)
    p.plate(box(0, 0, 264, 148, 12), 62, edge=10)
    p.cut(box(0, 0, 220, 104, 10), 50)
    for v in (-52, 52):
        p.plate(box(0, v, 214, 9, 4), 62, edge=5)
    p.plate(box(0, 0, 9, 104, 4), 62, edge=5)
    spots = [(u, v) for u in (-318, -159, 0, 159, 318) for v in (-198, 198)]
    spots += [(u, v) for u in (-318, 318) for v in (-66, 66)]
    p.holes(spots, 16)
    p.made_of("steel", paint=None).nut(-159, 198, 48, 26, 40)
    if view.rust > 0.5:
        # A corner gone: broken off with a hammer when the nuts would not turn.
        p.cut(polygon([(300, -260), (400, -260), (400, -120), (352, -150), (338, -186)]))


@drawing("slide_valve", "cloth", clean="boards", rust=0.9, rod=(20, 400, 3))
def slide_valve(view):
    p = view.part(0, -40, -14, kind="cast")
    p.plate(box(0, 0, 268, 186, 6), 70, edge=4)
    p.made_of("machined", rust=view.rust * 0.85).plate(
        box(0, 0, 264, 182, 4) - box(0, 0, 132, 126, 12), 73, edge=2
    )
    p.made_of("cast").cut(box(0, 0, 128, 122, 24), 10, wall=4, kind="cast")
    for u in (-236, -196, 200, 240):
        p.cut(bar((u - 16, -150), (u + 10, 160), 2.5), 71)
    q = view.part(0, -40, -14, kind="cast")
    for side in (-1, 1):
        q.plate(polygon([(-40, side * 184), (40, side * 184), (30, side * 222), (-30, side * 222)]),
                58, edge=6)  # fmt: skip


@drawing("valve_spindle", "wet_ash", rod=(0, 260, -5))
def valve_spindle(view):
    p = view.part(10, -70, -11, kind="steel")
    p.rod([(-420, 18), (160, 18)], centre=36)
    p.thread(160, 400, 17, 7, centre=36)
    p.rod([(400, 14), (440, 14)], centre=36)
    p.plate(box(-472, 0, 60, 38, 10), 68, under=6, edge=6)
    p.plate(circle(-520, 0, 42), 66, under=8, edge=6)
    p.cut(circle(-520, 0, 19))
    for u in (196, 238, 340):
        p.plate(box(u, 0, 15, 29, 2), 66, under=8, edge=4)
        p.plate(box(u, 0, 13, 16, 1), 72, under=4, edge=3)


@drawing("stop_valve", "earth", clean="boards", rod=(120, 440, 3))
def stop_valve(view):
    p = view.part(-30, 70, -22, kind="bronze")
    for s in (-1, 1):
        ends = [(-238, 106), (-208, 106), (-206, 66), (-130, 62)]
        p.rod(ends if s < 0 else [(-u, r) for u, r in reversed(ends)], centre=106)
    p.ball(0, 0, 122, centre=108, flat=0.86)
    q = view.part(-30, 70, -112, kind="bronze")
    q.rod([(60, 70), (132, 70), (134, 88), (158, 88), (160, 56), (232, 46), (234, 60), (262, 60),
           (264, 22)], centre=106)  # fmt: skip
    q.made_of("steel").rod([(262, 17), (372, 17)], centre=106)
    for v in (-60, 60):
        q.rod([(152, 9), (186, 9), (186, 16), (202, 16)], v=v, centre=106)
    # The hand wheel, seen on edge but for its tilt
    w = q.body().made_of("cast")
    w.rod([(356, 126), (362, 132), (378, 132), (384, 126)], centre=132)
    w.body().rod([(350, 30), (392, 30)], centre=106)
    w.made_of("steel").rod([(392, 20), (408, 20)], centre=106)


@drawing("lubricator", "boards", clean="cloth", rust=0.6, rod=(60, 360, -2))
def lubricator(view):
    p = view.part(-40, -50, -16, kind="brass")
    p.thread(-380, -318, 26, 8, centre=112)
    p.rod([(-318, 28), (-290, 28), (-288, 52), (-252, 52), (-250, 30), (-190, 30), (-176, 60),
           (-150, 96), (-110, 110), (40, 110), (80, 98), (106, 70), (112, 60)],
          centre=112)  # fmt: skip
    p.rod([(112, 72), (116, 78), (150, 78), (154, 70), (158, 34), (186, 30), (190, 20)], centre=112)
    for u in (-104, 30):
        p.rod([(u, 112), (u + 4, 115), (u + 10, 115), (u + 14, 112)], centre=112)
    p.body().rod([(206, 16), (214, 21), (300, 21), (308, 16)], v=0, centre=112)
    q = view.part(-40, -50, 74, z=0, kind="brass")
    q.rod([(-70, 16), (70, 16)], v=-196, centre=112)
    q.ball(-76, -196, 20, centre=112).ball(76, -196, 20, centre=112)
    r = view.part(-40, -50, -106, kind="brass")
    r.rod([(40, 18), (96, 18), (96, 30), (120, 30), (122, 14), (168, 14)], v=-220, centre=112)


@drawing("drain_cock", "wet_ash", clean="cloth", rod=(80, 380, 3))
def drain_cock(view):
    p = view.part(-40, -30, -15, kind="brass")
    p.thread(-330, -240, 36, 9, centre=70)
    p.plate(hexagon(-204, 0, 104, 0), 122, under=18, edge=8)
    p.rod([(-160, 40), (-80, 44), (80, 44), (130, 32), (230, 28), (236, 40), (262, 40)], centre=70)
    p.made_of("brass").rod([(-82, 60), (82, 60)], centre=70)
    p.body().plate(circle(0, 0, 62), 146, under=20, edge=6)
    p.plate(circle(0, 0, 48), 168, under=100, edge=5)
    p.plate(box(0, 0, 22, 22, 2), 190, under=150, edge=3)
    p.body().made_of("bronze")
    p.cord(path([(0, 0), (40, -80), (60, -180), (62, -250)], 17), 17, centre=182)
    p.ball(62, -256, 27, centre=182)
    p.plate(circle(0, 0, 40), 196, under=172, edge=6)


@drawing("oil_cup", "cloth", clean="cloth", rust=0.7, rod=(40, 380, -2))
def oil_cup(view):
    p = view.part(-150, -30, -24, kind="brass")
    p.thread(-270, -190, 24, 8, centre=102)
    p.plate(hexagon(-150, 0, 86, 0), 144, under=60, edge=7)
    p.rod([(-116, 30), (-96, 34), (-70, 84), (-40, 100), (110, 100), (116, 94)], centre=102)
    p.rod([(116, 105), (122, 108), (146, 108), (152, 100), (168, 60), (174, 26), (190, 22)],
          centre=102)  # fmt: skip
    q = view.part(300, 60, 0, kind="brass")
    q.plate(hexagon(0, 0, 100, 10), 20, edge=5)
    q.plate(circle(0, 0, 104), 96, under=30, edge=8)
    q.cut(circle(0, 0, 90), 34, wall=3)
    q.plate(circle(0, 0, 17), 92, edge=3).cut(circle(0, 0, 9), 20)


@drawing("gland", "earth", clean="boards", rod=(0, 370, 2))
def gland(view):
    p = view.part(0, -50, 18, kind="bronze")
    p.plate(bar((-170, 0), (170, 0), 72) | circle(0, 0, 136), 56, edge=7)
    p.plate(circle(0, 0, 106), 74, edge=7)
    p.cut(circle(0, 0, 54))
    p.plate(ring(0, 0, 54, 70), 70, edge=3)
    p.holes([(-176, 0), (176, 0)], 26)
    q = view.part(0, -50, 18, kind="steel", rust=min(1, view.rust))
    q.plate(circle(176, 0, 19), 92, edge=5)
    q.plate(hexagon(176, 0, 60, 8), 84, under=56, edge=6)


@drawing("packing_nut", "wet_ash", clean="cloth", rust=0.8, tilt=44, rod=(20, 360, -3))
def packing_nut(view):
    p = view.part(0, -30, 14, kind="bronze")
    p.plate(circle(0, 0, 152), 34, edge=5)
    p.plate(hexagon(0, 0, 252, 8), 150, edge=12)
    p.plate(circle(0, 0, 122), 158, edge=6)
    p.cut(circle(0, 0, 62), -60)
    p.plate(ring(0, 0, 62, 76), 154, edge=3)
    q = view.part(280, 150, 0, kind="rope")
    q.cord(path([(20 + 84 * cos(radians(a)), 60 * sin(radians(a))) for a in range(-150, 160, 22)],
                15), 15)  # fmt: skip
