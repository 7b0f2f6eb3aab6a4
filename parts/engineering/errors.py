"""Errors of the calculations: each message is a sentence that a fitter understands."""

from .sentences import amount, sentence


class EngineeringError(ValueError):
    """A calculation that cannot be done. The message is a whole sentence, fit for the screen."""

    def __init__(self, message: str = ""):
        super().__init__(sentence(message))


class OutOfRange(EngineeringError):
    """A size, mass or angle that cannot be, or lies outside what the rule covers."""


class UnknownName(EngineeringError):
    """A material, thread, grade or route that no table knows."""


class Infeasible(EngineeringError):
    """No answer meets every limit at once. The message names the limit that fails."""


def finite(
    name: str,
    value: float,
    unit: str = "",
    *,
    above: float | None = 0.0,
    least: float | None = None,
    upto: float = 1e9,
) -> float:
    """Return `value` as a float, or raise OutOfRange in words.

    Args:
        name: What the figure is, in the words of the shop ("bore").
        value: The figure.
        unit: Its unit, so that the message can use the reader's units ("" for a plain number).
        above: The figure must be greater than this. [same unit] None lifts the limit.
        least: The figure must not be less than this; replaces `above`. [same unit]
        upto: The figure must not be greater than this. [same unit]

    Raises:
        OutOfRange: the figure is no number, not finite, or outside the limits.
    """
    try:
        number = float(value)
    except (TypeError, ValueError):
        raise OutOfRange(f"The {name} must be a number, not {value!r}.") from None
    if number != number or number in (float("inf"), float("-inf")):
        raise OutOfRange(f"The {name} must be a finite number.")
    entry = amount(number, unit, 6)
    if least is not None and number < least:
        raise OutOfRange(
            f"The {name} cannot be less than {_bound(least, unit)}; {entry} was given."
        )
    if least is None and above is not None and number <= above:
        raise OutOfRange(f"The {name} must be more than {_bound(above, unit)}; {entry} was given.")
    if number > upto:
        raise OutOfRange(
            f"The {name} of {entry} is more than can be ({amount(upto, unit)} at most)."
        )
    return number


def _bound(limit: float, unit: str) -> str:
    return amount(limit, unit) if limit else "0"
