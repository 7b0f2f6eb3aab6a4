"""The engine house, the trench and the yard: pictures that bring their own surroundings.

Seen level: x runs right, y down the picture, z toward the viewer.
"""

from math import cos, radians, sin

import numpy as np

from .ground import Litter
from .metal import GREEN
from .noise import mix, smooth
from .register import scene
from .shapes import around, bar, box, circle, polygon, ring
from .wheels import stones

F = np.float32


def sky_over(view, cover, far=None):
    """Put cloud (and the slopes below `far`) wherever `cover` is 0, after the rest is lit."""
    n = view.noise
    cloud = smooth(-1.2, 1.4, n.cloud(360, 4))[: view.height]
    deep = np.clip((view.y[: view.height] + 450) / 700, 0, 1) + 0 * cloud
    sky = mix((150, 166, 178), (206, 210, 208), np.clip(0.65 * cloud + 0.5 * deep, 0, 1))
    if far is not None:
        slopes = view.albedo[: view.height] * F(0.94)
        sky = mix(sky, slopes, smooth(-3, 3, (view.y - far)[: view.height]))

    def light(view, out, top, n):
        return mix(sky, out, cover)

    view.glow = light


def hills(view, horizon):
    """Far slopes under the sky, as colour only; returns their upper edge by column."""
    x = view.x
    far = horizon - 78 - 30 * np.sin(x / 260 + 1) - 12 * np.sin(x / 90)
    near = horizon - 34 - 26 * np.sin(x / 180 + 2.4) - 6 * np.sin(x / 47)
    n = view.noise
    edge = n.cloud(26, 3) * 4
    view.albedo = mix(view.albedo, (118, 132, 128), smooth(-2, 2, view.y - far + 0.3 * edge))
    wood = (74, 90, 66) * (1 + 0.12 * n.cloud(20, 3))[..., None]
    view.albedo = mix(view.albedo, wood, smooth(-2, 2, view.y - near + edge))
    return far


def floor_from(view, horizon, *, rise=1.1, kind="grass"):
    """Ground from the horizon toward the viewer."""
    n = view.noise
    below = smooth(-3, 3, view.y - horizon) + 0 * view.x
    depth = np.clip(view.y - horizon, 0, None)
    # Grain grows toward the viewer.
    near = np.clip(depth / 300, 0, 1)
    lumps = n.cloud(70, 3) * near + n.field(26, 7) * (1 - near)
    grain = n.cloud(14, 2) * near + n.field(9, 3) * (1 - near)
    view.ground = view.ground * (1 - below) + below * (depth * rise + lumps * 3 * near + grain)
    tones = {
        "grass": ((66, 74, 42), (104, 104, 62)),
        "earth": ((78, 66, 52), (110, 96, 76)),
        "flags": ((112, 108, 100), (134, 130, 120)),
    }[kind]
    tone = mix(tones[0], tones[1], smooth(-1.4, 1.4, lumps + grain))
    view.albedo = mix(view.albedo, tone * (1 + 0.06 * grain)[..., None], below)
    return depth, below


def masonry(view, mask, *, course=46, seed_shift=0.0, tone=1.0, depth=1.0):
    """Rough coursed stone over the masked wall."""
    n = view.noise
    bend = n.cloud(220, 2) * 5 + n.field(40) * 1.6
    y = view.y + bend
    row = np.floor(y / course)
    rng = np.random.default_rng(17)
    shift, wide = rng.uniform(0, 90, 80).astype(F), rng.uniform(64, 120, 80).astype(F)
    pick = (row.astype(int) + 40) % 80
    x = (view.x + bend * 1.4 + shift[pick]) / wide[pick]
    stone = np.floor(x)
    in_y, in_x = y / course - row, x - stone
    edge = np.minimum(np.minimum(in_y, 1 - in_y) * course, np.minimum(in_x, 1 - in_x) * wide[pick])
    face = smooth(0.5, 6, edge + n.field(9) * 1.2)
    shades = rng.uniform(0.76, 1.14, 997).astype(F)
    shade = shades[(pick * 31 + stone.astype(int) * 7 + 700) % 997]
    relief = face * (5 + 9 * (shade - 0.95)) + n.cloud(20, 3) * 1.6 * face
    warm = shades[(pick * 13 + stone.astype(int) * 5 + 400) % 997]
    rock = mix((122, 114, 102), (142, 124, 98), smooth(0.8, 1.1, warm)) * (shade * tone)[..., None]
    rock = rock * (1 + 0.08 * n.cloud(12, 2))[..., None]
    wall = mix((138, 130, 116), rock, face)
    wall = mix(wall, (84, 88, 66), 0.5 * smooth(0.6, 2.2, n.cloud(120, 3)))
    view.albedo = mix(view.albedo, wall, mask)
    view.ground = view.ground + relief * mask * F(depth)


def out_of_doors(view, horizon=120):
    """Sky, hills and rough grass."""
    view.albedo[:] = 150
    far = hills(view, horizon)
    distant = view.albedo.copy()
    floor_from(view, horizon, kind="grass")
    _blades(view, horizon, 1500)
    cover = (smooth(-3, 3, view.y - horizon) + 0 * view.x)[: view.height]
    view.soil, view.soft, view.ground_bump = (86, 74, 52), 0.6, 0.5
    near, view.albedo = view.albedo, distant
    sky_over(view, cover, far)
    view.albedo = near
    _keep_objects(view)


def _keep_objects(view):
    """Objects in front of the sky are not sky."""
    sky = view.glow

    def light(v, out, top, n):
        shown = np.zeros((v.height, v.width), F)
        for layer in v.layers:
            shown = np.maximum(shown, (layer.top[: v.height] > -1e3) * F(1))
        return mix(sky(v, out.copy(), top, n), out, shown)

    view.glow = light


def _blades(view, horizon, count, floor=460):
    rng, litter = view.rng, Litter(view)
    greens = [(84, 98, 48), (104, 110, 60), (126, 118, 72), (66, 82, 42)]
    for y in np.sort(horizon + (floor - horizon) * rng.uniform(0, 1, count) ** 0.7):
        near = 0.15 + (y - horizon) / (floor - horizon)
        x, bend = rng.uniform(-610, 610), rng.normal() * 10 * near
        tall = rng.uniform(10, 30) * near
        colour = np.array(greens[rng.integers(4)]) * rng.uniform(0.7, 1.1)
        litter.stroke([(x, y), (x + bend * 0.4, y - tall * 0.6), (x + bend, y - tall)], colour, 4,
                      0.8 + 1.8 * near)  # fmt: skip
    litter.lay()


def standing_wheel(view, x, y, radius, z, *, paint=None, rust=None, spokes=6, start=14):
    """A flywheel on its shaft, seen square on."""
    p = view.part(x, y, 0, z=z, kind="cast", paint=paint, rust=rust)
    deep = 44
    inner = radius * 0.87
    for u, v in around(spokes, 1, start=start):
        p.cord(bar((u * radius * 0.12, v * radius * 0.12), (u * inner, v * inner), radius * 0.062,
                   radius * 0.044), radius * 0.055, centre=deep * 0.5)  # fmt: skip
    p.plate(ring(0, 0, inner, radius), deep, edge=9)
    p.plate(ring(0, 0, inner - 7, inner + 3), deep * 0.7, edge=5)
    p.plate(circle(0, 0, radius * 0.2), deep * 1.4, edge=8)
    p.made_of("machined", paint=None)
    p.plate(circle(0, 0, radius * 0.105), deep * 2.2, edge=5)
    return p


def timbers(view, lies, z, kind="wood"):
    """Fallen roof timbers: ends, half thickness."""
    for (x0, y0), (x1, y1), half in lies:
        p = view.part(0, 0, float(np.degrees(np.arctan2(y1 - y0, x1 - x0))), z=z, kind=kind,
                      rust=0.95, tone=0.8)  # fmt: skip
        c, s = cos(radians(p.turn)), sin(radians(p.turn))
        length = float(np.hypot(x1 - x0, y1 - y0))
        u, v = x0 * c + y0 * s, y0 * c - x0 * s
        p.plate(polygon([(u, v - half), (u + length, v - half * 0.9), (u + length - 12, v + half),
                         (u, v + half)]), 26, edge=6)  # fmt: skip


@scene("engine_house_before")
def engine_house_before(view):
    view.albedo[:] = 140
    n = view.noise
    far = hills(view, 110)
    distant = view.albedo.copy()
    floor_from(view, 110, kind="grass")
    # Two stumps of wall, the gable between them down
    ragged = n.cloud(40, 3) * 10
    x = view.x + 0 * ragged
    left = np.interp(view.x, [-620, -470, -455, -380, -372, -300, -292, -226, -210, -140],
                     [-470, -440, -300, -290, -200, -180, -80, -60, 60, 240])  # fmt: skip
    right = np.interp(view.x, [150, 205, 220, 300, 312, 400, 410, 520, 620],
                      [250, 110, -20, -40, -170, -190, -330, -350, -480])  # fmt: skip
    standing = np.minimum(np.where(x < 0, left, 900), np.where(x > 0, right, 900))
    wall = smooth(-2, 2, view.y - standing + ragged)
    view.ground = view.ground * (1 - wall) + wall * 60
    masonry(view, wall, tone=0.98)
    window = smooth(3, -3, np.maximum(np.abs(view.x + 520) - 44, np.abs(view.y + 60) - 84))
    view.albedo = mix(view.albedo, (34, 32, 30), window * wall)
    view.ground = view.ground - 30 * window * wall
    cover = np.maximum(wall, smooth(-3, 3, view.y - 110))[: view.height]
    near, view.albedo = view.albedo, distant
    sky_over(view, cover, far)
    view.albedo = near
    _keep_objects(view)
    standing_wheel(view, 40, 150, 286, 120)
    shaft = view.part(40, 150, 0, z=170, kind="steel")
    shaft.plate(circle(0, 0, 30), 30, edge=6)
    # The heap of stone and earth in front of it all
    crest = 190 + 40 * np.sin(view.x / 210 + 0.6) + 22 * np.sin(view.x / 83)
    crest = crest - 60 * smooth(260, 560, np.abs(view.x))
    inside = smooth(-4, 8, view.y - crest + n.cloud(70, 3) * 14)
    depth = np.clip(view.y - crest, 0, None)
    earth = mix((80, 68, 54), (114, 100, 80), smooth(-1.3, 1.4, n.cloud(22, 3)))
    view.albedo = mix(view.albedo, earth, inside)
    bank = 225 + depth * 0.8 + n.cloud(60, 3) * 9 + n.cloud(12, 2) * 2.2
    view.ground = np.where(inside > 0.5, bank, view.ground)
    view.soil, view.soft = (90, 76, 60), 1.0
    stones(view, 90, (-620, 620), (240, 470), kind="stone", sizes=(14, 50))
    timbers(view, [((-520, 400), (-200, 262), 15), ((-430, 250), (-150, 420), 13),
                   ((70, 400), (520, 268), 15), ((330, 250), (600, 420), 12)], 440)  # fmt: skip
    _blades(view, 250, 260)


@scene("engine_house_after", rust=0.02)
def engine_house_after(view):
    view.albedo[:] = 140
    horizon = 190
    masonry(view, smooth(3, -3, view.y - horizon) + 0 * view.x, tone=1.12, depth=0.8)
    lime = smooth(-1.6, 1.2, view.noise.cloud(200, 3))
    wall = smooth(3, -3, view.y - horizon)
    view.albedo = mix(view.albedo, (186, 180, 166), 0.45 * lime * wall)
    depth, below = floor_from(view, horizon, rise=1.0, kind="flags")
    seam = smooth(2.5, 0.8, np.abs((depth**0.8) % 26 - 13)) * below
    view.albedo = mix(view.albedo, (76, 72, 66), 0.5 * seam)
    window = smooth(3, -3, np.maximum(np.abs(view.x + 360) - 70, np.abs(view.y + 220) - 130))
    view.ground = view.ground - 24 * window
    lights = smooth(5, 3, np.abs((view.x + 360) % 46 - 23)) + smooth(4, 2, np.abs(view.y % 66 - 33))
    view.albedo = mix(
        view.albedo, mix((216, 226, 230), (92, 92, 86), np.clip(lights, 0, 1)), window
    )
    view.soft = 0.0
    paint, rust = GREEN, view.rust
    # Plinth, bed, cylinder to the left, shaft and wheel to the right
    block = view.part(-20, 300, 0, z=40, kind="stone", rust=0.1, tone=1.15)
    block.plate(box(0, 0, 520, 46), 190, edge=6)
    wheel = standing_wheel(view, 250, 60, 300, 120, paint=paint)
    wheel.made_of("machined", paint=None)
    bed = view.part(-20, 232, 0, z=60, kind="cast", paint=paint)
    bed.plate(box(-60, 0, 420, 26, 4), 190, edge=7)
    bed.plate(box(-60, 24, 440, 10, 3), 200, edge=4)
    stand = [(190, -26), (350, -26), (330, -140), (300, -170), (240, -170), (210, -140)]
    bed.plate(polygon(stand, 6), 200, edge=9)
    for u in (-400, -220, -40, 140, 320):
        bed.made_of("steel", paint=None).nut(u, 12, 26, 14, 200)
        bed.made_of("cast", paint=paint)
    cylinder = view.part(-20, 120, 0, z=110, kind="wood", rust=0.05, paint=(98, 58, 38))
    cylinder.rod([(-360, 76), (-170, 76)], centre=76)
    for v in range(-66, 67, 22):
        cylinder.cut(box(-265, v, 95, 1.4), 132 - abs(v) * 0.55)
    for u in (-330, -265, -200):
        cylinder.made_of("brass", rust=0.05, paint=None).rod([(u - 6, 79), (u + 6, 79)], centre=76)
    cylinder.rust = rust
    cylinder.made_of("cast", paint=paint).rod([(-400, 70), (-392, 92), (-362, 92), (-360, 76)],
                                              centre=76)  # fmt: skip
    cylinder.rod([(-172, 92), (-144, 92), (-140, 44), (-110, 34), (-104, 20)], centre=76)
    cylinder.plate(box(-265, -104, 84, 30, 5), 118, edge=7)
    cylinder.plate(polygon([(-350, 70), (-180, 70), (-170, 92), (-360, 92)]), 120, edge=5)
    motion = view.part(-20, 120, 0, z=226, kind="machined", rust=rust)
    motion.rod([(-104, 12), (20, 12)], centre=14)
    for v in (-46, 46):
        motion.plate(box(20, v, 118, 8, 1), 30, edge=2)
    motion.made_of("cast", paint=paint)
    motion.plate(box(136, 0, 14, 74, 3), 26, edge=4).plate(box(-96, 0, 10, 60, 3), 26, edge=4)
    motion.plate(box(-96, 72, 10, 20, 3), 26, edge=4).plate(box(136, 80, 16, 14, 3), 26, edge=4)
    motion.made_of("machined", paint=None).plate(box(20, 0, 34, 38, 3), 34, edge=4)
    motion.plate(circle(20, 0, 16), 46, edge=3)
    rod = view.part(0, 120, 0, z=268, kind="steel", rust=rust)
    pin = (222, -108)
    rod.cord(bar((0, 0), pin, 12, 15), 13)
    rod.plate(circle(0, 0, 22), 26, edge=4).plate(circle(*pin, 30), 32, edge=5)
    rod.made_of("brass", rust=0.05).plate(circle(*pin, 18), 36, edge=3)
    crank = view.part(250, 60, 0, z=252, kind="cast", paint=paint)
    crank.plate(circle(0, 0, 74), 14, edge=5)
    crank.made_of("machined", paint=None).plate(circle(0, 0, 22), 28, edge=4)
    governor = view.part(0, 0, 0, z=150, kind="steel", rust=0.1)
    governor.plate(box(-30, -10, 8, 104, 3), 22, edge=6)
    for s in (-1, 1):
        governor.cord(bar((-30, -106), (-30 + s * 54, -44), 5), 5, centre=14)
        governor.cord(bar((-30, -10), (-30 + s * 54, -44), 4), 4, centre=14)
        governor.made_of("brass", rust=0.05).ball(-30 + s * 58, -42, 20, centre=20)
        governor.made_of("steel")
    governor.made_of("brass", rust=0.05).ball(-30, -116, 10, centre=14)
    governor.plate(box(-30, -6, 16, 14, 3), 28, edge=5)


@scene("site_trench", tilt=34)
def site_trench(view):
    """A cutting beside the bed wall, boarded, with a tape and pegs."""
    from .ground import earth

    earth(view, leaves=22)
    n = view.noise
    along = (view.y - 30 - view.x * 0.16) + n.cloud(90, 3) * 8
    depth = smooth(176, 132, np.abs(along)) * smooth(-610, -520, view.x + n.cloud(60, 2) * 6)
    view.ground = view.ground - depth * 84
    raw = mix((98, 80, 60), (66, 56, 48), smooth(-1, 1.2, n.cloud(30, 3)))
    layers = mix(raw, (44, 41, 40), smooth(0.3, 0.9, np.sin(view.ground / 9 + n.cloud(80, 2))))
    view.albedo = mix(
        view.albedo, np.where(depth[..., None] > 0.95, raw, layers), smooth(0.05, 0.3, depth)
    )
    spoil = np.exp(-(((along + 300) / 90) ** 2)) * 70
    view.ground = view.ground + spoil * (1 + 0.1 * n.cloud(40, 3))
    # Masonry of the engine bed showing in the floor of the cut, a holding-down bolt through it
    for i in range(6):
        p = view.part(-330 + i * 128, -8 + i * 20.5, 9, z=-92, kind="stone", rust=0.7,
                      tone=0.85 + 0.07 * (i * 3 % 4))  # fmt: skip
        p.plate(box(0, 0, 60, 62, 6), 44, edge=9, lean=(view.rng.normal() * 0.04, 0))
    for u in (-200, 186):
        q = view.part(u, 14 + u * 0.16, 0, z=-60, kind="steel")
        q.plate(circle(0, 0, 15), 96, edge=4)
        q.plate(circle(0, 0, 26), 40, edge=5)
    f = view.part(330, 80, 30, z=-84, kind="cast")
    f.plate(ring(0, 0, 70, 104) & box(0, -80, 120, 110), 40, edge=6)
    for x, y in ((-440, 250), (470, 330)):
        peg = view.part(x, y, 0, kind="wood", rust=0.2)
        peg.plate(box(0, 0, 13, 13, 1), 92, edge=3)
        peg.made_of("white").plate(box(0, 0, 13.5, 13.5, 1), 96, edge=2)
    tape = view.part(0, 0, 0, kind="white", paint=(206, 178, 70))
    tape.plate(bar((-440, 262), (470, 342), 5), 16, edge=1)
    board = view.part(250, -210, 9, z=4, kind="wood", rust=0.6)
    board.plate(box(0, 0, 290, 34, 1), 30, edge=3)
    bucket = view.part(-380, -330, 0, kind="steel", rust=0.5)
    bucket.plate(circle(0, 0, 64), 104, edge=3).cut(circle(0, 0, 58), 70)
    bucket.made_of("sand", tone=1.4).paint_over(circle(0, 0, 56))
    spade = view.part(-60, 380, -20, z=10, kind="wood", rust=0.5)
    spade.cord(bar((-40, 0), (260, 0), 12), 12)
    spade.plate(box(272, 0, 12, 46, 8), 26, edge=8)
    spade.made_of("steel", rust=0.6)
    spade.plate(polygon([(-40, -44), (-160, -40), (-186, 0), (-160, 40), (-40, 44)], 4), 10, edge=3)
