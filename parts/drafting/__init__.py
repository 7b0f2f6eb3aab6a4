"""Drawing in SVG: line samples, section lining, balloons, scales and charts.

Functions that take plain values and return `Markup`. The drawing modules import no Django, no
record and no clock, so that a screen, a PDF and a test draw the same thing.

Every shape has literal `fill` and `stroke` attributes in the colours of the light display, because
a PDF takes no colours from a style sheet, and classes (`k-…` for strokes, `f-…` for fills), by
which `static/css/components.css` gives the other displays their colours. Nothing has a `style`.
"""
