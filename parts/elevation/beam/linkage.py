"""Where the points of the motion of the beam engine stand."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, sqrt

from .. import shapes as sh
from ..proportions import Proportions
from ..shapes import Point


@dataclass(frozen=True)
class Linkage:
    """Where the points of the motion stand, in bores about the crank centre.

    Args:
        arm: From the beam's centre to an end.
        link: The length of the main link.
        centre: Of the beam.
        tilt: Of the beam, anticlockwise. [degrees]
        crank_end, steam_end: The end gudgeons.
        cap: The head of the piston rod.
        joint: Where the parallel bar, back link and radius rod meet.
        fixed: The stud of the radius rod.
        rod_x: The line of the piston rod.
        bed: The top of the bed.
    """

    arm: float
    link: float
    centre: Point
    tilt: float
    crank_end: Point
    steam_end: Point
    cap: Point
    joint: Point
    fixed: Point
    rod_x: float
    bed: float

    def on_beam(self, part: float) -> Point:
        """Return a point of the beam's centre line: -1 the steam end, 1 the crank end."""
        return sh.at_angle(*self.centre, self.arm * part, self.tilt)


def linkage(p: Proportions) -> Linkage:
    """Return the points of the motion; the rod between its pins is as long as it is."""
    r, arm = p.crank, 1.5 * p.stroke
    pin = p.crank_pin()
    swing = sqrt(1 - (r / arm) ** 2)
    mean = arm * (1 + swing) / 2
    centre = (-mean, sqrt(p.rod**2 - (0.35 * r) ** 2))
    # The beam's tilt is the one at which the crank end stands a rod's length from the pin.
    low, high = -45.0, 45.0
    for _ in range(60):
        tilt = (low + high) / 2
        x, y = sh.at_angle(*centre, arm, tilt)
        if hypot(x - pin[0], y - pin[1]) < p.rod:
            low = tilt
        else:
            high = tilt
    link = 0.58 * p.stroke
    steam = sh.at_angle(*centre, -arm, tilt)
    rod_x = -2 * mean
    cap = (rod_x, steam[1] - sqrt(max(link**2 - (steam[0] - rod_x) ** 2, 0.01)))
    half = sh.at_angle(*centre, -arm / 2, tilt)
    joint = (half[0] + cap[0] - steam[0], half[1] + cap[1] - steam[1])
    return Linkage(
        arm,
        link,
        centre,
        tilt,
        sh.at_angle(*centre, arm, tilt),
        steam,
        cap,
        joint,
        (rod_x, centre[1] - link),
        rod_x,
        -max(0.5, 1.1 * p.shaft),
    )
