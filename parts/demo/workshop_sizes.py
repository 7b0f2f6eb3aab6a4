"""The sizes of the castings of the demonstration: shapes, and what their patterns are made by.

All of it is invented, and agrees with the measures that the story tells already.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Size:
    """A measure to take up where it stands already, else to write."""

    what: str
    written: str
    sure: str = ""
    days: int = 20
    who: str = "M. Ellery"
    instrument: str = "Steel rule"
    nominal: bool = False
    count: bool = False
    angle: bool = False


LENGTH = Size("Finished length, off the chest, three readings", "444.5 mm", "0.5 mm", 21)
WIDTH = Size("Finished width, off the chest", "12 in", "1/64 in", 21)
THICK = Size("Finished thickness, off the old studs", "1 in", "1/32 in", 19, nominal=True)
STUD_HOLE = Size("Stud hole", "13/16 in", "1/64 in", 19)
PIN = Size("Diameter of the pin, as made", "3 1/2 in", "1 thou", 150, "J. Tarrant", "Micrometer")


def _made(what: str, written: str, sure: str, days: int, who: str, instrument="Steel rule") -> Size:
    """A size as it is to be made, worked out when the pattern was drawn."""
    return Size(what, written, sure, days, who, instrument, nominal=True)


# The strap: outside, bore, width and lugs.
STRAP = {
    "diameter": _made("Outside of the strap", "16 in", "1/32 in", 437, "M. Ellery", "Callipers"),
    "bore": _made("Bore of the strap", "14 in", "1/64 in", 437, "M. Ellery", "Inside callipers"),
    "length": _made("Width of the strap", "2 1/2 in", "1/64 in", 437, "M. Ellery"),
    "angle": Size("Half a ring", "180", "", 437, "M. Ellery", "From the drawing room", angle=True),
}
LUG = {
    "width": STRAP["length"],
    "thickness": _made("Lug, beyond the strap", "1 3/4 in", "1/32 in", 437, "M. Ellery"),
    "length": _made("Lug, thick at the joint", "1 1/2 in", "1/32 in", 437, "M. Ellery"),
}
STRAP_HOLE = _made("Bolt hole of the strap", "13/16 in", "1/64 in", 437, "M. Ellery")
# Two rings come out of one pot; each is reckoned by itself, with what is turned off it.
RING = {
    "diameter": _made("Outside of the ring", "12 1/4 in", "1/64 in", 507, "M. Ellery", "Callipers"),
    "bore": _made("Inside of the ring", "11 1/2 in", "1/64 in", 507, "M. Ellery", "Callipers"),
    "length": _made("Width of the ring", "3/4 in", "1/64 in", 507, "M. Ellery"),
}
GUIDE = {
    "body": _made("Outside of the body", "2 in", "1/64 in", 290, "N. Hollis", "Callipers"),
    "long": _made("Length of the body", "4 1/2 in", "1/64 in", 290, "N. Hollis"),
    "flange": _made("Outside of the flange", "2 3/4 in", "1/64 in", 290, "N. Hollis", "Callipers"),
    "thick": _made("Thickness of the flange", "1/2 in", "1/64 in", 290, "N. Hollis"),
    "bore": _made("Bore for the spindle", "1 1/4 in", "1/64 in", 290, "N. Hollis", "Plug"),
    "deep": _made("Depth of the bore", "4 1/2 in", "1/32 in", 290, "N. Hollis"),
}
NECK = {
    "diameter": _made("Outside of the bush", "3 in", "1/64 in", 9, "N. Hollis", "Callipers"),
    "bore": _made("Bore of the bush", "1 15/16 in", "1 thou", 9, "J. Tarrant", "Micrometer"),
    "length": _made("Length of the bush, over all", "1 3/4 in", "1/64 in", 9, "N. Hollis"),
}
BRASS = {
    "bore": _made("Bore of the brass", "5 1/2 in", "1/64 in", 381, "J. Tarrant", "Callipers"),
    "length": _made("Length over the flanges", "8 in", "1/64 in", 381, "J. Tarrant"),
    "flanges": Size("Flanges", "2", "", 381, "J. Tarrant", "Counted", count=True),
    "flange_diameter": _made("Across the flanges", "8 1/2 in", "1/32 in", 381, "J. Tarrant"),
    "flange_thickness": _made("Thickness of a flange", "1/2 in", "1/64 in", 381, "J. Tarrant"),
}
BOTTOM = _made("Outside of the shell", "7 1/2 in", "1/64 in", 381, "J. Tarrant", "Callipers")
TOP = _made("Outside of the shell", "7 1/8 in", "1/64 in", 381, "J. Tarrant", "Callipers")
# item: (name, shape, sizes, taken away, how many, along, begins [mm]), and how several are set out
BODIES = {
    402: (
        ("Cover", "plate", {"width": WIDTH, "thickness": THICK, "length": LENGTH},
         False, 1, "z", (0, 0, 0)),
        *(
            ("Stud hole, long side", "bar", {"diameter": STUD_HOLE, "length": THICK},
             True, 5, "y", (x, -12.7, 222.25), ("z", 85.725))
            for x in (-131, 131)
        ),
        *(
            ("Stud hole, short side", "bar", {"diameter": STUD_HOLE, "length": THICK},
             True, 2, "y", (0, -12.7, z), ("x", 85.725))
            for z in (21.4, 423.1)
        ),
    ),
    1405: (
        ("Strap", "sector", STRAP, False, 1, "x", (0, 0, 0)),
        *(
            ("Lug", "plate", LUG, False, 1, "z", (31.75, y, 0)) for y in (-225.425, 225.425)
        ),
        ("Bolt hole", "bar", {"diameter": STRAP_HOLE, "length": LUG["length"]},
         True, 2, "z", (31.75, 0, 0), ("y", 450.85)),
    ),
    804: (("Ring", "tube", RING, False, 1, "x", (0, 0, 0)),),
    411: (
        ("Flange", "bar", {"diameter": GUIDE["flange"], "length": GUIDE["thick"]},
         False, 1, "x", (0, 0, 0)),
        ("Body", "bar", {"diameter": GUIDE["body"], "length": GUIDE["long"]},
         False, 1, "x", (12.7, 0, 0)),
        ("Bore", "bar", {"diameter": GUIDE["bore"], "length": GUIDE["deep"]},
         True, 1, "x", (0, 0, 0)),
    ),
    208: (("Bush", "tube", NECK, False, 1, "x", (0, 0, 0)),),
    1305: (("Brass", "half_shell", {"diameter": BOTTOM, **BRASS}, False, 1, "x", (0, 0, 0)),),
    1306: (("Brass", "half_shell", {"diameter": TOP, **BRASS}, False, 1, "x", (0, 0, 0)),),
    1203: (
        ("Pin", "bar",
         {"diameter": PIN, "length": Size("Length of the pin", "7 3/8 in", "1/32 in", 150)},
         False, 1, "z", (0, 0, 0)),
        ("Collar", "bar",
         {"diameter": Size("Collar, diameter", "4 3/4 in", "1/64 in", 150),
          "length": Size("Collar, thickness", "5/8 in", "1/64 in", 150)},
         False, 1, "z", (0, 0, 187.325)),
    ),
    1501: (
        ("Flywheel", "flywheel",
         {
             "diameter": Size("Diameter", "7 ft", "1/8 in", 675),
             "rim_inside": Size("Inside of the rim", "6 ft 3 in", "1/4 in", 199,
                                instrument="Steel tape"),
             "face": Size("Face", "10 in", "1/16 in", 675),
             "hub": Size("Boss, diameter", "16 in", "1/8 in", 199),
             "hub_length": Size("Boss, length", "12 in", "1/16 in", 199),
             "bore": Size("Bore of the boss", "5 1/2 in", "1/64 in", 199),
             "arms": Size("Arms", "6", "", 199, instrument="Counted", count=True),
             "arm_width": Size("Arm at the boss, wide", "5 1/2 in", "1/8 in", 199),
             "arm_thickness": Size("Arm at the boss, thick", "2 3/4 in", "1/8 in", 199),
             "arm_width_at_rim": Size("Arm at the rim, wide", "4 1/2 in", "1/8 in", 199),
             "arm_thickness_at_rim": Size("Arm at the rim, thick", "2 1/4 in", "1/8 in", 199),
         },
         False, 1, "x", (0, 0, 0)),
    ),
}  # fmt: skip
# Sizes as made, beside those found that the story tells: what is worn.
AS_MADE = {
    1203: (("Diameter, largest", "3 1/2 in"), ("Diameter, smallest", "3 1/2 in")),
    1201: (("Crank end journal", "5 1/2 in"), ("Outer journal", "5 1/2 in")),
    201: (("Bore, middle, upright", "12 in"), ("Bore, middle, level", "12 in")),
}
# item: (size, kind of face, own allowance, draft, note), of every casting that has its pattern
FACES = {
    402: (
        (LENGTH, "rough", "", 1, "The edges are left as they come"),
        (WIDTH, "rough", "", 1, ""),
        (THICK, "face", "", 0, "Joint face down in the mould"),
    ),
    1405: (
        (STRAP["bore"], "bore", "", 2, "Bored as a pair, on the shims"),
        (STRAP["length"], "boss", "", 1, ""),
        (LUG["length"], "face", "", 0, "Joint face down in the mould"),
        (STRAP["diameter"], "rough", "", 1, ""),
    ),
    804: (
        (RING["diameter"], "boss", "", 1, "Two rings from one pot, parted off"),
        (RING["bore"], "bore", "", 2, ""),
        (RING["length"], "boss", "", 0, "With what the parting tool takes"),
    ),
    411: (
        (GUIDE["body"], "boss", "", 1, ""),
        (GUIDE["long"], "face", "", 0, ""),
        (GUIDE["flange"], "boss", "", 1, ""),
        (GUIDE["thick"], "boss", "", 0, ""),
        (GUIDE["bore"], "bore", "", 0, "Dry-sand core, closed at the far end"),
    ),
    208: (
        (NECK["diameter"], "boss", "", 1, ""),
        (NECK["bore"], "bore", "", 2, ""),
        (NECK["length"], "boss", "", 0, ""),
    ),
    1305: (
        (BRASS["bore"], "bore", "", 2, "Bored as a pair"),
        (BOTTOM, "boss", "", 1, ""),
        (BRASS["length"], "boss", "", 0, ""),
    ),
    1306: (
        (BRASS["bore"], "bore", "", 2, "Bored as a pair"),
        (TOP, "boss", "", 1, ""),
        (BRASS["length"], "boss", "", 0, ""),
    ),
    406: (
        (
            _made("Outside of the gland flange", "3 in", "1/64 in", 346, "N. Hollis"),
            "boss",
            "",
            1,
            "",
        ),
        (_made("Length of the gland", "2 1/4 in", "1/64 in", 346, "N. Hollis"), "boss", "", 0, ""),
        (
            _made("Bore of the gland", "1 1/4 in", "1/64 in", 346, "N. Hollis", "Plug"),
            "bore",
            "",
            2,
            "",
        ),
    ),
    207: (
        (
            _made("Outside of the gland flange", "4 1/2 in", "1/64 in", 367, "N. Hollis"),
            "boss",
            "",
            1,
            "",
        ),
        (_made("Length of the gland", "3 in", "1/64 in", 367, "N. Hollis"), "boss", "", 0, ""),
        (_made("Bore of the gland", "2 in", "1/64 in", 367, "N. Hollis"), "bore", "", 2, ""),
    ),
    506: (
        (
            _made("Outside of the bush", "2 1/4 in", "1/64 in", 395, "J. Tarrant", "Callipers"),
            "boss",
            "",
            1,
            "",
        ),
        (
            _made("Bore of the bush", "1 1/2 in", "1/64 in", 395, "J. Tarrant", "Inside callipers"),
            "bore",
            "",
            2,
            "",
        ),
        (_made("Length of the bush", "4 in", "1/64 in", 395, "J. Tarrant"), "boss", "", 0, ""),
    ),
    1107: (
        (
            _made(
                "Bore of the brass", "2 1/2 in", "1/64 in", 346, "J. Tarrant", "Inside callipers"
            ),
            "bore",
            "",
            2,
            "",
        ),
        (_made("Width of the brass", "3 in", "1/64 in", 346, "J. Tarrant"), "boss", "", 0, ""),
        (_made("Across the brass", "5 1/4 in", "1/32 in", 346, "J. Tarrant"), "boss", "", 1, ""),
    ),
    212: (
        (_made("Length of the cock", "5 in", "1/32 in", 290, "N. Hollis"), "rough", "", 1, ""),
        (
            _made(
                "Across the body of the cock", "1 3/4 in", "1/32 in", 290, "N. Hollis", "Callipers"
            ),
            "rough",
            "",
            1,
            "",
        ),
        (
            _made(
                "Bore for the plug, large end",
                "1 in",
                "1/64 in",
                290,
                "N. Hollis",
                "Inside callipers",
            ),
            "bore",
            "",
            2,
            "Tapered 1 in 8",
        ),
    ),
    1507: (
        (_made("Height over the ball", "33 in", "1/16 in", 416, "M. Ellery"), "rough", "", 1, ""),
        (_made("Across the foot", "5 in", "1/32 in", 416, "M. Ellery"), "rough", "", 1, ""),
        (
            _made("Ball, diameter", "3 in", "1/32 in", 416, "M. Ellery", "Callipers"),
            "rough",
            "",
            1,
            "",
        ),
    ),
}  # fmt: skip
