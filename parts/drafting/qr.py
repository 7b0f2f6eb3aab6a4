"""Square codes: an address that a phone can read from a sheet."""

from __future__ import annotations

import segno

from .pen import Drawn


def square_code(text: str, *, said: str = "", side: int = 132) -> Drawn:
    """Draw a square code of `text`, with the quiet border of four modules that readers need.

    Args:
        text: What the code says, an address.
        said: What it is, for those who do not see it.
        side: The side of the whole, border too, px.
    """
    code = segno.make(text, error="m", micro=False)
    drawn = code.svg_inline(
        border=4,
        dark="#000",
        light="#fff",
        svgclass="qr-code",
        lineclass=None,
        title=said or None,
        omitsize=True,
    )
    return Drawn(drawn.replace("<svg ", f'<svg width="{side}" height="{side}" role="img" ', 1))
