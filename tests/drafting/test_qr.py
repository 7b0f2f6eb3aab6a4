"""The square code on the page of a part."""

import re

import pytest

from parts.drafting.qr import square_code


@pytest.mark.outside("ISO/IEC 18004: sides of 21 + 4 (v - 1), border of 4 (from memory)")
@pytest.mark.parametrize(("text", "version"), [("HG-0032", 1), ("x" * 60, 4), ("x" * 200, 10)])
def test_square_code_has_its_modules_and_border(text, version):
    svg = square_code(text)
    side = int(re.search(r'viewBox="0 0 (\d+) \1"', svg)[1])
    assert side >= 21 + 8
    assert (side - 8 - 21) % 4 == 0
    assert side <= 21 + 4 * (version - 1) + 8


def test_square_code_has_a_title_and_no_style():
    svg = square_code("https://example.org/<a>", title='Opens "part 11" & more')
    assert "<title>Opens &quot;part 11&quot; &amp; more</title>" in svg or (
        '<title>Opens "part 11" &amp; more</title>' in svg
    )
    assert "style" not in svg
    assert 'width="132" height="132" role="img"' in svg
