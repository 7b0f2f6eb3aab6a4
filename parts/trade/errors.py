"""What the trade says when it cannot answer: always a sentence that a fitter understands."""


class TradeError(ValueError):
    """A sum that cannot be done as asked. The message is a whole sentence, fit for the screen."""


class OutOfRange(TradeError):
    """A size, mass or angle that cannot be, or lies outside what the rule covers."""


class UnknownName(TradeError):
    """A material, thread, grade or route that no table knows."""


class Infeasible(TradeError):
    """No answer meets every limit at once. The message names the limit that fails."""


def finite(name: str, value: float, *, above: float | None = 0.0, upto: float = 1e9) -> float:
    """Return `value` as a float, or raise OutOfRange in words.

    Args:
        name: What the figure is, in the words of the shop ("bore").
        value: The figure.
        above: The figure must be greater than this. [same unit] None lifts the limit.
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
    if above is not None and number <= above:
        raise OutOfRange(f"The {name} must be more than {above:g}; {number:g} was given.")
    if number > upto:
        raise OutOfRange(f"The {name} of {number:g} is more than can be ({upto:g} at most).")
    return number
