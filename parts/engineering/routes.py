"""The routes by which a piece can be replaced, and the stages of each."""

from dataclasses import dataclass

from .errors import UnknownName


@dataclass(frozen=True)
class Stage:
    """A step of the work. The record stores its key; people read its word."""

    key: str
    word: str


@dataclass(frozen=True)
class Route:
    """A route by which a piece can be replaced.

    Args:
        key: What the record stores.
        word: What people read: "cast".
        title: The head over a list of such pieces: "To cast".
        gloss: One short explanation.
        stages: The stages in order. After the last of them the piece is fitted.
        begins: The key of the stage that begins *being made*.
    """

    key: str
    word: str
    title: str
    gloss: str
    stages: tuple[Stage, ...]
    begins: str

    def stage(self, key: str) -> Stage:
        for stage in self.stages:
            if stage.key == key:
                return stage
        raise UnknownName(f"To {self.word} has no stage called {key!r}.")

    def place(self, key: str) -> int:
        """Return the place of a stage in the order, counted from 0."""
        return self.stages.index(self.stage(key))


def _stages(text: str) -> tuple[Stage, ...]:
    return tuple(Stage(word.strip().replace(" ", "_"), word.strip()) for word in text.split(","))


ROUTES = {
    route.key: route
    for route in (
        Route(
            "cast",
            "cast",
            "To cast",
            "Pattern shop, then the foundry",
            _stages("measured, drawn, pattern made, moulded, poured, fettled, machined"),
            "pattern_made",
        ),
        Route(
            "machine",
            "machine",
            "To machine",
            "From bar or forging",
            _stages("measured, drawn, stock in, machined"),
            "stock_in",
        ),
        Route(
            "fabricate",
            "fabricate",
            "To fabricate",
            "Plate, strip and timber",
            _stages("measured, drawn, material in, cut, joined, machined"),
            "material_in",
        ),
        Route(
            "buy",
            "buy in",
            "To buy in",
            "Stock goods",
            _stages("priced, ordered, received"),
            "ordered",
        ),
        Route(
            "borrow",
            "borrow",
            "To borrow",
            "On loan, to go back",
            _stages("asked, agreed, received"),
            "agreed",
        ),
    )
}


def route(key: str) -> Route:
    """Return the route stored as `key`. Raises UnknownName."""
    try:
        return ROUTES[key]
    except KeyError:
        raise UnknownName(f"There is no way of making called {key!r}.") from None
