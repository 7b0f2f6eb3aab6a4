"""Drawing in SVG: line samples, section lining, balloons, scales and charts.

Plain functions that take plain values and return `Drawn` text. They know no Django, no record and
no clock, so that a screen, a PDF and a test draw the same thing.

Every shape carries literal `fill` and `stroke` attributes in the colours of the day, because a PDF
takes no colour from a style sheet; and classes (`k-…` for strokes, `f-…` for fills), through which
`static/css/components.css` gives the colours of evening and sun. Nothing carries a `style`.
"""
