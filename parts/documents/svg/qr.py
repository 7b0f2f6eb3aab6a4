"""Square codes: an address that a phone can read from a sheet."""

from __future__ import annotations

import segno

from .pen import Drawn


def square_code(text: str, *, said: str = "", scale: int = 3) -> Drawn:
    """Draw a square code of `text`, with the quiet border of four modules that readers need.

    Args:
        text: What the code says, an address.
        said: What it is, for those who do not see it.
        scale: The side of a module, px.
    """
    code = segno.make(text, error="m", micro=False)
    return Drawn(
        code.svg_inline(
            scale=scale, border=4, dark="#000", light="#fff", svgclass="qr-code", lineclass=None,
            title=said or None,
        )
    )  # fmt: skip
