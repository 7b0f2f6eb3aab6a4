"""Numbers as they are written in the sentences and formulas of a Working."""

from .constants import KG_PER_LB
from .showing import significant


def sig(value: float, digits: int = 4) -> str:
    """Write `value` with `digits` significant figures, never as a power of ten.

    >>> sig(5773.50269), sig(0.0199983), sig(120000.0)
    ('5774', '0.02', '120000')
    """
    return significant(value, digits)


def full(value: float) -> str:
    """Write an input of a formula, to seven figures: more than the answer is printed to.

    So whoever puts the printed inputs through the formula comes to the printed answer.

    >>> full(1828.843), full(0.65), full(101.60469)
    ('1828.843', '0.65', '101.6047')
    """
    return significant(value, 7)


def kg_lb(mass_kg: float) -> str:
    """Write a mass in both units, for a sentence that must be understood by anyone on the site.

    >>> kg_lb(1000)
    '1000 kg (2205 lb)'
    """
    return f"{sig(mass_kg)} kg ({sig(mass_kg / float(KG_PER_LB))} lb)"


def per_cent(part: float) -> str:
    """Write a part of one as a percentage.

    >>> per_cent(0.3934), per_cent(0.004)
    ('39 %', '0.4 %')
    """
    return f"{sig(100 * part, 2)} %"
