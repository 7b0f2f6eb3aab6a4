"""Pictures of the demonstration engine, drawn as if photographed on site, bench or floor.

Nothing here is a photograph. Each picture is a height map of the part on a drawn ground, lit by a
low sun, so that a fitter knows the part and a funder sees rust turn to clean metal.
"""

from functools import partial
from zlib import crc32

from . import fastenings, motion, scenes, shop, steam, wheels  # noqa: F401  (they enter drawings)
from .body import scale_bar
from .ground import GROUNDS, HARD
from .register import DRAWINGS
from .relief import View

SIZE = (1200, 900)


def keys():
    """Return the names of all drawings, sorted."""
    return sorted(DRAWINGS)


def draw(key, *, seed=0, size=SIZE, rust=None, ground=None):
    """Return one picture as an RGB image, the same for the same arguments.

    rust runs from 1 (as found) to 0 (cleaned and oiled, or painted); when left out, the state the
    drawing is usually seen in. ground is a key of GROUNDS; when left out, where it was found or,
    for rust under a half, where it was cleaned. Raises KeyError for an unknown key or ground.
    """
    entry = DRAWINGS[key]
    rust = entry.rust if rust is None else min(1.0, max(0.0, float(rust)))
    # The same ground and lie before and after would need the same chance: seed by key alone.
    view = View(size, (crc32(key.encode()), seed), tilt=entry.tilt, rust=rust)
    if not entry.whole:
        ground = ground or (entry.ground if rust >= 0.5 else entry.clean)
        GROUNDS[ground](view)
        view.lie = 4.0 * (ground == "cloth") if ground in HARD else -view.soft * (3 + 11 * rust)
    elif ground is not None and ground not in GROUNDS:
        raise KeyError(ground)
    entry.paint(view)
    if entry.rod:
        scale_bar(view, *entry.rod)
    return view.photograph()


PICTURES = {key: partial(draw, key) for key in keys()}

__all__ = ["GROUNDS", "PICTURES", "SIZE", "draw", "keys"]
