"""Square codes (QR): an address that a phone can read from a sheet."""

from __future__ import annotations

import segno

from .pen import Markup


def square_code(text: str, *, title: str = "", side: int = 132) -> Markup:
    """Draw a square code of `text`, with the border of four modules that readers need.

    Args:
        text: The content, an address.
        title: Text for screen readers.
        side: The side with the border, px.
    """
    code = segno.make(text, error="m", micro=False)
    svg = code.svg_inline(
        border=4,
        dark="#000",
        light="#fff",
        svgclass="qr-code",
        lineclass=None,
        title=title or None,
        omitsize=True,
    )
    return Markup(svg.replace("<svg ", f'<svg width="{side}" height="{side}" role="img" ', 1))
