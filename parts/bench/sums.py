"""The timed calculations and their time limits."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

# Time limit of each case, by its name. [s]
PROMISED = {
    "simulation_case": 0.5,
    "posterior_case": 0.05,
    "bars_case": 3.0,
    "charge_case": 0.02,
}


@dataclass(frozen=True)
class TimedSum:
    """A timed calculation: its seconds, its limit, and what it is compared with."""

    sum: str
    seconds: float
    promised: float | None
    against: str

    @property
    def aim(self) -> bool | None:
        return None if self.promised is None else self.seconds <= self.promised


def cases() -> Iterator[tuple[str, Callable]]:
    """The cases by name, loaded only now: they bring NumPy and the solver."""
    from . import engineering, searching

    for module in (searching, engineering):
        for name in sorted(vars(module)):
            if name.endswith("_case"):
                yield name, getattr(module, name)


def time_sums() -> list[TimedSum]:
    return [
        TimedSum(word, seconds, PROMISED.get(name), against)
        for name, case in cases()
        for word, seconds, against in [case()]
    ]
