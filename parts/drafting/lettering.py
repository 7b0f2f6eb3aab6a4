"""Measures and sums as they are set: raised and lowered figures, and what is said aloud."""

from __future__ import annotations

import re
from decimal import ROUND_HALF_UP, Decimal
from html import escape

from .pen import Drawn

# The face builds these by itself; all others are set from raised and lowered figures.
_BUILT = {(1, 2): "½", (1, 4): "¼", (3, 4): "¾"}
_SIGNS = {
    "½": "1/2",
    "¼": "1/4",
    "¾": "3/4",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
    "⅓": "1/3",
    "⅔": "2/3",
}
_NAMES = {
    2: ("half", "halves"),
    3: ("third", "thirds"),
    4: ("quarter", "quarters"),
    8: ("eighth", "eighths"),
    16: ("sixteenth", "sixteenths"),
    32: ("thirty-second", "thirty-seconds"),
    64: ("sixty-fourth", "sixty-fourths"),
}
_FRACTION = re.compile(
    r"(?:(?<![\d.,/])(\d+)[\s-]+)?(?<![\d.,/])(\d{1,3})\s*[/⁄]\s*(\d{1,3})(?![\d/])"
)


def _plain(text: str) -> str:
    for sign, spelt in _SIGNS.items():
        text = re.sub(rf"(\d)\s*{sign}", rf"\1 {spelt}", text).replace(sign, spelt)
    return text


def spoken(text: str) -> str:
    """Return a measure as it is said.

    >>> spoken("4 7/8 in")
    '4 and 7 eighths in'
    >>> spoken("3/4 in dia.")
    '3 quarters in dia.'
    """

    def say(found: re.Match) -> str:
        whole, top, foot = found[1], int(found[2]), int(found[3])
        one, many = _NAMES.get(foot, (f"over {foot}", f"over {foot}"))
        part = f"{top} {one if top == 1 else many}"
        return f"{whole} and {part}" if whole else part

    return _FRACTION.sub(say, _plain(text))


def set_measure(text: str) -> Drawn:
    """Return a measure as HTML, its fractions set, with a spoken text where that differs.

    >>> set_measure("36.5 mm")
    '<span class="measure">36.5 mm</span>'
    """
    plain = _plain(str(text))
    if not _FRACTION.search(plain):
        return Drawn(f'<span class="measure">{escape(str(text))}</span>')

    def build(found: re.Match) -> str:
        whole, top, foot = found[1], int(found[2]), int(found[3])
        if (top, foot) in _BUILT:
            part = _BUILT[top, foot]
        else:
            part = (
                f'<span class="frac"><span class="over">{top}</span>⁄'
                f'<span class="under">{foot}</span></span>'
            )
        return f"{whole} {part}" if whole else part

    shown = _FRACTION.sub(build, escape(plain, quote=False))
    return Drawn(
        f'<span class="measure"><span aria-hidden="true">{shown}</span>'
        f'<span class="spoken">{escape(spoken(text))}</span></span>'
    )


SIGNS_OF_MONEY = {"GBP": "£", "EUR": "€", "USD": "$", "CAD": "$", "AUD": "$", "NZD": "$"}


def money(amount: object, currency: str = "GBP", pence: bool | None = None) -> str:
    """Return a sum as written: "£1,180", "£12.50", "−£40".

    Args:
        amount: A Decimal, int or float; None gives an en dash.
        currency: Its letters, such as "GBP", or a sign already.
        pence: True writes them always, False rounds them away, None writes them when there are any.

    >>> money(1180), money("12.5"), money(-40), money(None), money(3, "SEK")
    ('£1,180', '£12.50', '−£40', '–', '3 SEK')
    """
    if amount is None or amount == "":
        return "–"
    value = Decimal(str(amount))
    small = value != value.to_integral_value() if pence is None else pence
    value = value.quantize(Decimal("0.01") if small else Decimal(1), ROUND_HALF_UP)
    text = f"{abs(value):,}"
    sign = "−" if value < 0 else ""
    known = SIGNS_OF_MONEY.get(currency) or (currency if currency in "£€$" else "")
    return f"{sign}{known}{text}" if known else f"{sign}{text} {currency}"


def short_money(amount: float, currency: str = "GBP") -> str:
    """Return a sum for a scale: "£10k".

    >>> short_money(10000), short_money(0), short_money(2500), short_money(500)
    ('£10k', '£0', '£2.5k', '£500')
    """
    if abs(amount) >= 1000:
        known = SIGNS_OF_MONEY.get(currency, "")
        text = f"{amount / 1000:g}k"
        return f"{known}{text}" if known else f"{text} {currency}"
    return money(round(amount), currency)
