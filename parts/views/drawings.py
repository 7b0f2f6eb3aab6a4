"""The general arrangement, the engine's own sheets, and what the pieces of the drawing are."""

from dataclasses import dataclass
from datetime import date

from django.urls import reverse

from ..documents import general_arrangement as document
from ..documents.svg.lines import STATES
from ..reckoning import arrangement as reckoning
from .common import today

SHEET = 1


@dataclass(frozen=True)
class Asked:
    """What an address asks of the drawing: ?day= ?state= ?balloons= ?part= or ?component=."""

    day: date | None
    state: str
    balloons: str
    what: str
    pk: int

    @classmethod
    def of(cls, request) -> "Asked":
        """Read an address; what cannot be read is as if it were not asked."""
        get = request.GET
        what = next((name for name in ("part", "component") if get.get(name)), "")
        return cls(
            _day(get.get("day", "")),
            get["state"] if get.get("state") in STATES else "",
            "parts" if get.get("balloons") == "parts" else "components",
            what,
            _number(get.get(what, "")),
        )

    def query(self, **changes) -> str:
        """The same address with changes: "?day=2026-05-01&state=missing"."""
        told = {
            "day": self.day.isoformat() if self.day else "",
            "state": self.state,
            "balloons": self.balloons if self.balloons == "parts" else "",
            self.what: str(self.pk) if self.what and self.pk else "",
        } | changes
        return "?" + "&".join(f"{name}={value}" for name, value in told.items() if name and value)

    def without_pick(self, **changes) -> str:
        return self.query(**({self.what: ""} | changes))


def _day(text: str) -> date | None:
    try:
        asked = date.fromisoformat(text)
    except ValueError:
        return None
    return asked if asked < today() else None


def _number(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 19 else 0


def address_of(engine: int, shown: reckoning.Shown) -> str:
    """The page of a component or a part."""
    return reverse(f"parts:{shown.what}", args=[engine, shown.pk])


def elevation(request, access, **how) -> dict:
    """Draw what an address asks for: the context of whatever page shows the elevation."""
    asked = Asked.of(request)
    engine = access.engine
    stood = reckoning.as_it_stood(engine, asked.day)
    picked = stood.shown(asked.what, asked.pk) if asked.what else None

    def href(shown: reckoning.Shown) -> str:
        # The first press picks it, the second opens it.
        if shown == picked:
            return address_of(engine.pk, shown)
        return asked.without_pick(**{shown.what: shown.pk}) + "#drawing"

    drawing = None
    if document.can_draw(engine.kind):
        drawing = document.draw(
            stood,
            balloons=asked.balloons,
            picked=picked,
            state=asked.state,
            href=href,
            **how,
        )
    return {
        "asked": asked,
        "stood": stood,
        "drawing": drawing,
        "picked": picked,
        "picked_line": drawing.picked if drawing else None,
        "picked_url": address_of(engine.pk, picked) if picked else "",
        "days": [
            (one, asked.query(day="" if one.day == today() else one.day.isoformat()))
            for one in reckoning.days_of(engine, today())
        ],
        "day_shown": asked.day or today(),
        "own_sheets": reckoning.sheets_of(engine),
        "state_link": asked.query(state="")
        + ("&" if asked.query(state="") != "?" else "")
        + "state=",
        "to_components": asked.without_pick(balloons=""),
        "to_parts": asked.without_pick(balloons="parts"),
        "to_all_states": asked.query(state=""),
        "to_unpicked": asked.without_pick(),
    }


def zone_of_part(engine, part) -> str:
    """The zone of the elevation that shows a part: "C4"; nothing where none does."""
    if not document.can_draw(engine.kind):
        return ""
    return document.zone_of(reckoning.outline(engine, part.component), part.pk)
