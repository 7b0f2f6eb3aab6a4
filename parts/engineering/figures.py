"""Numbers as they are written in the sentences and formulas of a Calculation."""

from .sentences import amount
from .showing import significant


def sig(value: float, digits: int = 4) -> str:
    """Write `value` with `digits` significant figures, never as a power of ten.

    >>> sig(5773.50269), sig(0.0199983), sig(120000.0)
    ('5774', '0.02', '120000')
    """
    return significant(value, digits)


def full(value: float, unit: str = "") -> str:
    """Write an input of a formula, to seven figures: more than the answer is printed to.

    So whoever puts the printed inputs through the formula comes to the printed answer. With a
    unit it is a quantity, written in the reader's units.

    >>> full(1828.843), full(0.65), full(101.60469)
    ('1828.843', '0.65', '101.6047')
    """
    return amount(value, unit, 7) if unit else significant(value, 7)


def per_cent(part: float) -> str:
    """Write a part of one as a percentage.

    >>> per_cent(0.3934), per_cent(0.004)
    ('39 %', '0.4 %')
    """
    return f"{sig(100 * part, 2)} %"
