"""Typesetting of measures and money: fractions, and the text for screen readers."""

from __future__ import annotations

import re
from decimal import ROUND_HALF_UP, Decimal
from html import escape

from .pen import Markup

# The font has these; all other fractions are set from raised and lowered figures.
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
    """Return a measure as it is spoken.

    >>> spoken("4 7/8 in")
    '4 and 7 eighths in'
    >>> spoken("3/4 in dia.")
    '3 quarters in dia.'
    """

    def replace(match: re.Match) -> str:
        whole, top, foot = match[1], int(match[2]), int(match[3])
        one, many = _NAMES.get(foot, (f"over {foot}", f"over {foot}"))
        part = f"{top} {one if top == 1 else many}"
        return f"{whole} and {part}" if whole else part

    return _FRACTION.sub(replace, _plain(text))


def set_measure(text: str) -> Markup:
    """Return a measure as HTML with typeset fractions, and a spoken text where that differs.

    >>> set_measure("36.5 mm")
    '<span class="measure">36.5 mm</span>'
    """
    plain = _plain(str(text))
    if not _FRACTION.search(plain):
        return Markup(f'<span class="measure">{escape(str(text))}</span>')

    def replace(match: re.Match) -> str:
        whole, top, foot = match[1], int(match[2]), int(match[3])
        if (top, foot) in _BUILT:
            part = _BUILT[top, foot]
        else:
            part = (
                f'<span class="frac"><span class="over">{top}</span>⁄'
                f'<span class="under">{foot}</span></span>'
            )
        return f"{whole} {part}" if whole else part

    typeset = _FRACTION.sub(replace, escape(plain, quote=False))
    return Markup(
        f'<span class="measure"><span aria-hidden="true">{typeset}</span>'
        f'<span class="spoken">{escape(spoken(text))}</span></span>'
    )


SIGNS_OF_MONEY = {"GBP": "£", "EUR": "€", "USD": "$", "CAD": "$", "AUD": "$", "NZD": "$"}


def money(amount: object, currency: str = "GBP", pence: bool | None = None) -> str:
    """Return an amount of money as text: "£1,180", "£12.50", "−£40".

    Args:
        amount: A Decimal, int or float; None gives an en dash.
        currency: Its letters, such as "GBP", or its symbol.
        pence: True always writes them, False rounds them off, None writes them when there are any.

    >>> money(1180), money("12.5"), money(-40), money(None), money(3, "SEK")
    ('£1,180', '£12.50', '−£40', '–', '3 SEK')
    """
    if amount is None or amount == "":
        return "–"
    value = Decimal(str(amount))
    has_pence = value != value.to_integral_value() if pence is None else pence
    value = value.quantize(Decimal("0.01") if has_pence else Decimal(1), ROUND_HALF_UP)
    text = f"{abs(value):,}"
    sign = "−" if value < 0 else ""
    symbol = SIGNS_OF_MONEY.get(currency) or (currency if currency in "£€$" else "")
    return f"{sign}{symbol}{text}" if symbol else f"{sign}{text} {currency}"


def short_money(amount: float, currency: str = "GBP") -> str:
    """Return an amount of money for a scale: "£10k".

    >>> short_money(10000), short_money(0), short_money(2500), short_money(500)
    ('£10k', '£0', '£2.5k', '£500')
    """
    if abs(amount) >= 1000:
        symbol = SIGNS_OF_MONEY.get(currency, "")
        text = f"{amount / 1000:g}k"
        return f"{symbol}{text}" if symbol else f"{text} {currency}"
    return money(round(amount), currency)
