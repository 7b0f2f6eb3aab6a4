"""What a surface looks like, from rust and scale to clean, oiled, machined or painted."""

from dataclasses import dataclass

import numpy as np

from .noise import mix, smooth

GREEN = (34, 62, 46)
RED_LEAD = (112, 46, 33)

# Clean colour, corroded colour, stain, sheen when clean
METALS = {
    "cast": ((92, 91, 89), None, None, 0.32),
    "machined": ((164, 164, 162), None, None, 0.95),
    "steel": ((116, 116, 116), None, None, 0.6),
    "brass": ((168, 136, 66), (92, 86, 54), (70, 108, 86), 0.85),
    "bronze": ((150, 104, 60), (86, 68, 46), (66, 98, 80), 0.75),
    "copper": ((172, 98, 66), (84, 56, 44), (74, 122, 104), 0.8),
    "white_metal": ((158, 158, 156), (118, 117, 112), (88, 86, 80), 0.5),
}


@dataclass(frozen=True)
class Finish:
    """A surface: what it is made of, how far gone (0 to 1), paint, and the run of its grain."""

    kind: str
    rust: float = 1.0
    paint: tuple | None = None
    turn: float = 0.0
    tone: float = 1.0


@dataclass
class Patch:
    """The pictured surroundings of one surface, pixel by pixel."""

    broad: np.ndarray
    middle: np.ndarray
    fine: np.ndarray
    grain: np.ndarray
    up: np.ndarray
    low: np.ndarray
    soil: tuple
    soft: float


def rusty(p):
    """Deep brown scale, orange bloom, black pits."""
    colour = mix((68, 48, 38), (110, 71, 50), smooth(-1.1, 1.0, p.broad + 0.5 * p.middle))
    colour = mix(colour, (146, 94, 60), 0.75 * smooth(0.5, 1.9, p.middle + 0.35 * p.fine))
    colour = mix(
        colour, (46, 36, 32), 0.7 * smooth(0.1, 2.0, -p.middle - 0.55 * p.broad - 0.3 * p.fine)
    )
    pits = smooth(1.2, 2.1, p.fine + 0.5 * p.middle)
    colour = mix(colour, (30, 23, 21), 0.6 * pits)
    return colour * (1 + 0.07 * p.fine)[..., None]


def iron(finish, p):
    """Iron and steel: clean metal showing through as the rust goes."""
    clean, _, _, sheen = METALS[finish.kind]
    base = np.asarray(clean, np.float32) * (1 + 0.05 * p.broad + 0.04 * p.fine)[..., None]
    if finish.kind == "machined":
        base = base * (1 + 0.05 * p.grain)[..., None]
    else:
        base = mix(base, (70, 66, 62), 0.5 * smooth(0.2, 1.8, p.middle))
    if finish.paint:
        base = np.asarray(finish.paint, np.float32) * (1 + 0.05 * p.broad)[..., None]
        base = base * (1 + 0.02 * p.fine)[..., None]
        sheen = 0.55
    rust = finish.rust
    edge = 1.9 - 5.0 * rust
    bloom = smooth(edge - 0.7, edge + 0.5, p.broad * 0.7 + p.middle * 0.75)
    if rust <= 0.02:
        bloom = 0.25 * smooth(1.6, 2.6, p.broad * 0.7 + p.middle) * (0 if finish.paint else 1)
    colour = mix(base, rusty(p), bloom)
    spec = sheen * (1 - bloom) + 0.05 * bloom
    bump = bloom * 1.0 + (1 - bloom) * {"cast": 0.42, "steel": 0.22, "machined": 0.05}[finish.kind]
    if finish.paint:
        bump = bloom + (1 - bloom) * 0.16
    return colour, spec, bump


def yellow(finish, p):
    """Brass, bronze, copper, white metal: dull skin, green in the hollows."""
    clean, dull, stain, sheen = METALS[finish.kind]
    skin = smooth(-0.8, 0.8, p.broad * 0.6 + p.middle * 0.4 + 3.2 * finish.rust - 1.6)
    colour = mix(np.asarray(clean, np.float32) * (1 + 0.04 * p.middle)[..., None], dull, skin)
    colour = mix(colour, stain, finish.rust * 0.75 * smooth(0.3, 1.5, p.middle + p.low))
    colour = colour * (1 + 0.05 * p.fine + 0.03 * p.grain)[..., None]
    return colour, sheen * (1 - 0.75 * skin), 0.12 + 0.5 * finish.rust + 0 * skin


def wood(finish, p):
    """Timber: grain lines, greyed when old."""
    fresh = np.asarray((166, 128, 82) if finish.rust < 0.5 else (104, 90, 72), np.float32)
    rings = 0.5 + 0.5 * np.sin(p.grain * 3.2 + p.broad * 0.8)
    colour = mix(fresh * 0.72, fresh * 1.08, rings) * (1 + 0.05 * p.fine)[..., None]
    if finish.paint:
        colour = mix(colour, finish.paint, 0.86 + 0 * p.fine)
    colour = mix(colour, (52, 44, 36), finish.rust * 0.5 * smooth(0.4, 1.6, p.middle))
    return colour, 0.12 + 0 * p.fine, 0.2 + 0.5 * finish.rust + 0 * p.fine


def plain(colour, spec, bump, stain=0.0):
    """A surface of one colour."""

    def coat(finish, p):
        tint = np.asarray(finish.paint or colour, np.float32)
        out = tint * (1 + 0.06 * p.broad + 0.05 * p.middle + 0.04 * p.fine)[..., None]
        if stain:
            out = mix(out, (62, 50, 38), finish.rust * stain * smooth(0, 1.6, p.middle + p.broad))
        return out, spec + 0 * p.fine, bump + 0 * p.fine

    return coat


COATS = {
    "cast": iron,
    "machined": iron,
    "steel": iron,
    "brass": yellow,
    "bronze": yellow,
    "copper": yellow,
    "white_metal": yellow,
    "wood": wood,
    "dark": plain((20, 18, 17), 0.02, 0.3),
    "white": plain((216, 214, 206), 0.12, 0.05, 0.25),
    "black": plain((27, 27, 28), 0.12, 0.05, 0.1),
    "bone": plain((128, 112, 84), 0.06, 0.5, 1.0),
    "glass": plain((34, 52, 36), 0.9, 0.03, 0.25),
    "sand": plain((64, 52, 42), 0.03, 0.8),
    "leather": plain((72, 48, 34), 0.2, 0.4, 0.5),
    "rope": plain((150, 128, 92), 0.05, 0.5, 0.3),
    "cloth": plain((120, 116, 104), 0.02, 0.3, 0.4),
    "slate": plain((92, 96, 102), 0.12, 0.5, 0.2),
    "brick": plain((136, 78, 58), 0.02, 0.7, 0.3),
    "stone": plain((124, 116, 102), 0.03, 0.8, 0.4),
    "paper": plain((206, 196, 170), 0.03, 0.05, 0.1),
    "glow": plain((255, 176, 64), 0.0, 0.05),
}
METALLIC = {"cast", "machined", "steel", "brass", "bronze", "copper", "white_metal"}


def coat(finish, p):
    """Colour (0 to 255), sheen and roughness of one surface, with soil lodged on it."""
    colour, spec, bump = COATS[finish.kind](finish, p)
    colour = colour * finish.tone
    soil = p.soft * max(0.0, finish.rust - 0.45) * 1.5
    if soil > 0.01 and finish.kind not in ("dark", "glow", "sand"):
        lodged = soil * smooth(0.7, 1.7, 0.8 * p.broad + 0.5 * p.middle + 1.2 * p.low) * p.up
        colour = mix(colour, p.soil, 0.8 * lodged)
        spec = spec * (1 - lodged)
    return colour, spec, bump
