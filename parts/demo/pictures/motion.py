"""The motion work: rods, crosshead, crank, eccentric, bearings."""

from .metal import GREEN
from .register import drawing
from .shapes import bar, box, circle, hexagon, polygon, ring, sector


@drawing("connecting_rod", "earth", rod=(60, 300, -4))
def connecting_rod(view):
    p = view.part(-20, -50, -11, kind="steel")
    p.rod([(-330, 40), (-180, 45), (-20, 50), (150, 45), (262, 38)], centre=58)
    p.plate(circle(-400, 0, 84), 96, edge=9, under=14)
    p.rod([(-345, 60), (-330, 52), (-322, 40)], centre=58)
    p.made_of("bronze", rust=view.rust * 0.8).plate(circle(-400, 0, 52), 104, edge=3, under=8)
    p.cut(circle(-400, 0, 34))
    # Strap end: a bow of flat iron round two brass halves, tightened by gib and cotter.
    p.made_of("steel").plate(box(372, 0, 122, 96, 52), 98, edge=7, under=10)
    p.plate(box(270, 0, 26, 96, 4), 98, edge=5, under=10)
    p.made_of("bronze", rust=view.rust * 0.8).plate(box(400, 0, 66, 66, 14), 106, edge=4)
    p.made_of("dark").plate(box(400, 0, 2, 64), 106.5, edge=0)
    p.cut(circle(400, 0, 44))
    p.made_of("steel").plate(box(296, -4, 12, 136, 2), 76, under=40, edge=3)
    p.plate(polygon([(312, -150), (330, -146), (324, 128), (312, 128)]), 70, under=44, edge=3)
    p.plate(box(300, -130, 22, 10, 2), 78, under=38, edge=3)
    p.plate(box(300, 122, 22, 10, 2), 78, under=38, edge=3)


@drawing("crosshead", "wet_ash", rod=(-40, 380, 3))
def crosshead(view):
    p = view.part(30, -30, -14, kind="cast")
    p.rod([(-400, 50), (-384, 58), (-250, 60), (-230, 66), (-100, 74)], centre=74)
    p.plate(
        polygon([(-150, -60), (-70, -150), (110, -150), (190, -60), (190, 60), (110, 150),
                 (-70, 150), (-150, 60)], 6), 108, edge=8, under=24,
    )  # fmt: skip
    p.cut(polygon([(-74, -128), (94, -128), (60, -96), (-40, -96)], 4), 70)
    p.cut(polygon([(-74, 128), (94, 128), (60, 96), (-40, 96)], 4), 70)
    for side in (-1, 1):
        p.made_of("cast").plate(box(20, side * 176, 190, 28, 3), 132, edge=4)
        p.made_of("bronze").plate(box(20, side * 198, 184, 12, 2), 126, edge=2)
        p.made_of("cast").plate(circle(20, side * 172, 15), 140, edge=3).cut(
            circle(20, side * 172, 6), 110
        )
    p.made_of("cast").plate(circle(20, 0, 92), 136, edge=9)
    p.made_of("machined", rust=view.rust * 0.85).plate(circle(20, 0, 66), 141, edge=2)
    p.cut(circle(20, 0, 46))
    p.cut(box(-318, 0, 52, 11, 3), 20)
    p.cut(bar((-404, 0), (-392, 0), 40), 60)


@drawing("guide_bar", "earth", rod=(120, 330, -8))
def guide_bar(view):
    for x, y, turn in ((-20, -130, -9), (30, 110, -6)):
        p = view.part(x, y, turn, kind="cast")
        shape = polygon([(-470, -34), (-300, -46), (300, -46), (470, -34), (470, 34), (300, 40),
                         (-300, 40), (-470, 34)], 4)  # fmt: skip
        p.plate(shape, 44, edge=5)
        p.made_of("machined", rust=view.rust * 0.9, turn=turn).plate(
            box(0, -4, 330, 30, 1), 48, edge=1
        )
        p.made_of("cast")
        for end in (-1, 1):
            p.plate(circle(end * 430, 0, 38), 58, edge=5).cut(circle(end * 430, 0, 17))
        p.cut(circle(0, -4, 9), 20)
        for u in (-120, 120):
            p.cut(bar((u - 60, -14), (u + 60, 8), 4), 42)


@drawing("crank_disc", "grass", clean="concrete", rod=(60, 440, 2))
def crank_disc(view):
    p = view.part(0, -20, 0, kind="cast", paint=GREEN)
    p.plate(circle(0, 0, 350), 70, edge=10)
    p.cut(ring(0, 0, 150, 300), 48)
    p.plate(circle(0, 0, 140), 118, edge=8)
    # The heavy side that balances the rod
    p.plate(sector(0, 0, 120, 316, 112, 248), 84, edge=7)
    p.plate(bar((60, 0), (235, 0), 92, 78), 92, edge=9)
    p.plate(circle(235, 0, 84), 112, edge=8)
    p.made_of("machined", paint=None, rust=view.rust * 0.8)
    p.plate(circle(0, 0, 96), 121, edge=2).cut(circle(0, 0, 78))
    p.cut(box(0, -84, 14, 18, 1), 30)
    p.plate(circle(235, 0, 58), 115, edge=2).cut(circle(235, 0, 42))


@drawing("crank_pin", "cloth", clean="cloth", rust=0.9, rod=(0, 300, -2))
def crank_pin(view):
    p = view.part(0, -40, -18, kind="steel")
    p.rod([(-330, 62), (-322, 66), (-130, 74), (-128, 74)], centre=108)
    p.rod([(-130, 108), (-124, 112), (-92, 112), (-86, 108)], centre=108)
    p.made_of("machined", rust=view.rust * 0.7).rod(
        [(-86, 90), (-76, 82), (180, 82), (190, 90)], centre=108
    )
    p.made_of("steel").rod([(190, 104), (196, 108), (226, 108), (234, 102)], centre=108)
    p.cut(box(-250, 0, 34, 13, 2), 90)
    p.cut(circle(40, 0, 10), 150)
    p.rod([(-378, 40), (-330, 40)], centre=108)
    p.thread(-380, -330, 44, 8, centre=108)


@drawing("crankshaft", "earth", clean="concrete", rod=(120, 340, 3))
def crankshaft(view):
    """The shaft of an overhung crank: crank seat, journals, eccentric and flywheel seats."""
    p = view.part(0, -30, -10, kind="steel")
    p.rod([(-560, 40), (-554, 45), (-470, 45)], centre=66)
    p.rod([(-470, 62), (-464, 66), (-446, 66), (-440, 62)], centre=66)
    p.made_of("machined", rust=view.rust * 0.9).rod([(-440, 48), (-270, 48)], centre=66)
    p.made_of("steel").rod([(-270, 62), (-264, 66), (-246, 66), (-240, 60)], centre=66)
    p.rod([(-240, 52), (-60, 52), (-40, 60), (190, 60), (206, 52), (300, 48)], centre=66)
    p.rod([(300, 58), (306, 62), (322, 62), (328, 58)], centre=66)
    p.made_of("machined", rust=view.rust * 0.9).rod([(328, 46), (480, 46)], centre=66)
    p.made_of("steel").rod([(480, 36), (540, 36), (546, 30)], centre=66)
    # Keyways: for the crank, the eccentric and the flywheel
    p.cut(box(-516, 0, 36, 11, 3), 98).cut(box(-180, 6, 30, 10, 10), 104)
    p.cut(box(76, 0, 92, 13, 4), 112)


@drawing("oil_engine_crankshaft", "earth", clean="concrete", rod=(200, 380, 3))
def oil_engine_crankshaft(view):
    p = view.part(-30, 30, -13, kind="steel")
    p.made_of("steel").rod([(-560, 40), (-552, 46), (-330, 46)], centre=50)
    p.made_of("machined", rust=view.rust * 0.85).rod([(-330, 42), (-180, 42)], centre=50)
    p.made_of("steel").rod([(-190, 50), (-150, 50)], centre=50)
    for u in (-112, 60):
        p.plate(polygon([(u - 38, -200), (u + 38, -200), (u + 38, 70), (u - 38, 70)], 12), 100,
                edge=10, under=2)  # fmt: skip
    p.made_of("machined", rust=view.rust * 0.85).rod([(-80, 44), (30, 44)], v=-150, centre=50)
    p.made_of("steel").rod([(98, 50), (140, 50)], centre=50)
    p.made_of("machined", rust=view.rust * 0.85).rod([(140, 42), (290, 42)], centre=50)
    p.made_of("steel").rod([(290, 48), (520, 48), (528, 42)], centre=50)
    p.cut(box(430, 0, 66, 10, 10), 84)


def strap_half(p, side, thick=64, *, only=0):
    """Half a strap with its lugs; broken across, `only` the piece left (-1) or right (1) of it."""
    half = ring(0, 0, 214, 268) & box(0, side * 160, 320, 156)
    p.plate(half & box(only * 190, side * 160, 160, 156) if only else half, thick, edge=7)
    for u in (only,) if only else (-1, 1):
        p.plate(box(u * 286, side * 26, 44, 24, 6), thick, edge=6)
        p.nut(u * 292, side * 34, 44, 26, thick)


@drawing("eccentric_sheave", "wet_ash", rod=(0, 400, -3))
def eccentric_sheave(view):
    p = view.part(0, -30, 24, kind="cast")
    p.plate(circle(0, 0, 268), 84, edge=5)
    p.made_of("machined", rust=view.rust * 0.85).plate(ring(0, 0, 232, 262), 86, edge=2)
    p.made_of("cast")
    p.cut(ring(0, 0, 212, 230), 74)
    p.cut((circle(0, 0, 206) - circle(78, 0, 134)) - box(-90, 0, 130, 16), 44)
    p.plate(circle(78, 0, 126), 124, edge=8)
    p.made_of("machined", rust=view.rust * 0.85).plate(circle(78, 0, 100), 127, edge=2)
    p.cut(circle(78, 0, 82)).cut(box(168, 0, 16, 12, 1))
    p.made_of("dark").plate(box(78, 0, 2, 270) & (circle(0, 0, 268) - circle(78, 0, 82)), 127.5,
                            edge=0, under=90)  # fmt: skip
    p.made_of("steel").nut(78, -104, 30, 10, 124)
    p.nut(78, 104, 30, 10, 124)


@drawing("eccentric_strap", "earth", rod=(60, 420, 3))
def eccentric_strap(view):
    """One half, broken across."""
    p = view.part(-60, -40, -14, kind="cast")
    strap_half(p, -1, only=-1)
    p.plate(circle(-120, -206, 22), 76, edge=4).cut(circle(-120, -206, 9), 40)
    q = view.part(70, -10, 3, kind="cast")
    strap_half(q, -1, only=1)
    q.made_of("machined").plate(ring(0, 0, 204, 216) & box(170, -160, 140, 156), 58, edge=2)


@drawing("eccentric_rod", "grass", rod=(-40, 300, 4))
def eccentric_rod(view):
    p = view.part(0, -20, -9, kind="steel")
    p.rod([(-430, 20), (-200, 24), (300, 32), (380, 36)], centre=46, flat=1)
    p.plate(polygon([(-520, -34), (-410, -34), (-390, -18), (-390, 18), (-410, 34), (-520, 34)], 4),
            78, under=14, edge=5)  # fmt: skip
    p.plate(circle(-510, 0, 46), 80, under=12, edge=6)
    p.made_of("bronze").plate(circle(-510, 0, 30), 84, under=8, edge=2).cut(circle(-510, 0, 19))
    p.made_of("steel").plate(polygon([(370, -36), (440, -70), (440, 70), (370, 36)], 3), 74,
                             under=18, edge=6)  # fmt: skip
    p.plate(box(452, 0, 18, 96, 3), 92, edge=4)
    for v in (-70, 70):
        p.rod([(466, 20), (490, 20)], v=v, centre=48)
        p.thread(486, 530, 13, 6, v=v, centre=48)


@drawing("main_bearing_cap", "slate", clean="boards", rod=(20, 360, -3))
def main_bearing_cap(view):
    p = view.part(0, -40, 10, kind="cast", paint=GREEN)
    p.plate(box(0, 0, 330, 112, 16), 70, edge=9)
    p.rod([(-150, 104), (-140, 112), (140, 112), (150, 104)], centre=44)
    p.plate(box(0, 0, 160, 96, 10), 126, edge=10)
    for u in (-252, 252):
        p.plate(circle(u, 0, 62), 88, edge=7).cut(circle(u, 0, 30))
    p.plate(circle(0, 0, 52), 172, edge=7)
    p.made_of("brass", paint=None).plate(circle(0, 0, 34), 178, edge=3).cut(circle(0, 0, 20), 120)


def half_brass(p, length=130, outer=150, inner=112):
    """A half bearing lying on its back, bore upward, with flanges at both ends."""
    p.plate(box(0, 0, length, outer, 2), outer, edge=4)
    for end in (-1, 1):
        p.plate(box(end * (length - 4), 0, 22, outer + 26, 8), outer + 1, edge=5)
    return p


@drawing("bearing_brass", "cloth", clean="cloth", rust=0.7, rod=(0, 400, 2))
def bearing_brass(view):
    p = view.part(-210, -10, 64, kind="bronze")
    half_brass(p)
    p.made_of("bronze").scoop(112, (-200, 200), 150)
    q = view.part(250, -30, 68, kind="bronze")
    q.rod([(-160, 172), (-134, 176), (-112, 176), (-108, 150), (108, 150), (112, 176), (134, 176),
           (160, 172)], centre=0, under=False)  # fmt: skip
    q.plate(circle(0, 0, 26), 152, edge=3).cut(circle(0, 0, 13), 100)


@drawing("pedestal", "earth", clean="concrete", tilt=46, rod=(40, 400, -2))
def pedestal(view):
    p = view.part(0, -60, 8, kind="cast", paint=GREEN)
    p.plate(box(0, 0, 400, 150, 20), 50, edge=9)
    for u in (-320, 320):
        p.plate(circle(u, 0, 60), 62, edge=6)
        p.made_of("steel", paint=None).nut(u, 0, 74, 42, 62)
        p.made_of("cast", paint=GREEN)
    p.plate(polygon([(-240, -108), (240, -108), (240, 108), (-240, 108)], 6), 120, edge=9)
    p.plate(polygon([(-200, -100), (200, -100), (200, 100), (-200, 100)], 6), 230, edge=9)
    p.scoop(118, (-160, 160), 232, across=True)
    p.made_of("bronze", paint=None, rust=view.rust * 0.7)
    p.saddle(118, 92, (-128, 128), 232)
    p.made_of("steel", paint=None)
    for u in (-168, 168):
        p.plate(circle(u, 0, 18), 320, edge=5, under=230)
        p.nut(u, 0, 40, 22, 232)


@drawing("barring_lever", "grass", clean="boards", rod=(80, 320, 2))
def barring_lever(view):
    p = view.part(-20, 0, -15, kind="steel")
    p.rod([(-540, 15), (-530, 18), (-300, 18), (120, 26), (360, 34)], centre=36)
    p.plate(polygon([(340, -34), (430, -44), (512, -10), (512, 10), (430, 44), (340, 34)], 4), 66,
            under=10, edge=6)  # fmt: skip
    p.plate(polygon([(430, -44), (470, -92), (500, -84), (476, -30)], 5), 60, under=14, edge=5)
    p.plate(hexagon(390, 0, 58, 12), 80, edge=5).cut(circle(390, 0, 13), 60)
