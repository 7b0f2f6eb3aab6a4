"""The verbs of the workshop and of drawings, each with a small act, for the test of history."""

from datetime import timedelta
from decimal import Decimal

from parts.actions import (
    bars,
    bodies,
    drawings,
    fasteners,
    lifts,
    metal,
    options,
    pour_costs,
    pours,
)
from parts.actions.pours import Result, Weighed
from parts.models import (
    Balloon,
    Drawing,
    Measurement,
    Option,
)
from tests import make

DAY = make.FIRST_DAY
NEXT = DAY + timedelta(days=1)


def _sizes(b, *keys):
    return {key: make.measurement(b.part, 20 + 10 * n) for n, key in enumerate(keys)}


def _body(b):
    return make.body(b.part, "bar", {"diameter": 20, "length": 90}, by=b.lead)


def _bearing(b):
    return make.bearing(b.part, {"journal": 60, "shell": 75, "length": 120})


def _pour(b):
    return make.pour(b.engine, (b.making, 1, 2.5), by=b.lead)


def _set_aside(b):
    pour, lot = _pour(b), make.lot(b.engine)
    return pour, lot, pours.set_aside(pour, {lot: Weighed(2.6)}, by=b.lead)


def _sheet(b):
    row = Drawing(engine=b.engine, name="Plan")
    return drawings.keep_sheet(row, make.upload(), by=b.lead)


def _balloon(b):
    row = Balloon(engine=b.engine, drawing=_sheet(b), part=b.part, x=0.5, y=0.5)
    return drawings.set_balloon(row, by=b.lead)


def _happened(b):
    pour, lot, _ = _set_aside(b)
    casting = pour.castings.get()
    return pours.happened(
        pour,
        {"poured_on": NEXT},
        {casting.pk: Result(1)},
        {lot: Weighed(2.6)},
        by=b.lead,
    )


def _booked_again(b):
    bought = [pour_costs.BoughtItem("Propane", Decimal(8))]
    return pour_costs.book(_happened(b), bought, by=b.lead)


WAYS = {
    "pour_costs.book": _booked_again,
    "pour_costs.unbook": lambda b: pour_costs.unbook(_happened(b), by=b.lead, reason="undone"),
    "pours.undo": lambda b: pours.undo(_happened(b), by=b.lead, reason="the wrong pour"),
    "bars.add_bar": lambda b: make.bar(b.engine, 2, by=b.lead),
    "bars.book": lambda b: bars.book(make.bar(b.engine, 2), -1, day=DAY, by=b.lead),
    "bars.freeze": lambda b: make.cut_plan(b.engine, by=b.lead),
    "bars.cut": lambda b: bars.cut(make.cut_plan(b.engine), day=NEXT, by=b.lead, seen=1),
    "bars.take_back": lambda b: bars.take_back(
        make.cut_plan(b.engine), by=b.lead, reason="other steel"
    ),
    "bodies.write_measures": lambda b: bodies.write_measures(b.part, _new_size(b), by=b.lead),
    "bodies.add_body": _body,
    "bodies.change_body": lambda b: bodies.change_body(
        _body(b), {"name": "Shank"}, seen=1, by=b.lead, sizes=_sizes(b, "diameter", "length")
    ),
    "bodies.add_face": lambda b: make.face(b.part, make.measurement(b.part, 30)),
    "bodies.change_face": lambda b: bodies.change_face(
        make.face(b.part, make.measurement(b.part, 30)),
        {"note": "joint down"},
        seen=1,
        by=b.lead,
        sizes=_sizes(b, "finished"),
    ),
    "bodies.write_bearing": _bearing,
    "bodies.change_bearing": lambda b: bodies.change_bearing(
        _bearing(b),
        {"note": "scraped"},
        seen=1,
        by=b.lead,
        sizes={n: make.measurement(b.part, v) for n, v in [("journal", 61), ("shell", 76)]}
        | {"length": make.measurement(b.part, 121)},
    ),
    "options.weigh": lambda b: options.weigh(_option(b), by=b.lead),
    "options.choose": lambda b: options.choose(
        b.part, "machine", 1, day=DAY, by=b.lead, reason="there is bar"
    ),
    "metal.new_lot": lambda b: make.lot(b.engine, by=b.lead),
    "metal.book": lambda b: metal.book(make.lot(b.engine), -1, day=DAY, by=b.lead),
    "metal.change_lot": lambda b: metal.change_lot(
        make.lot(b.engine), {"note": "clean"}, seen=1, by=b.lead
    ),
    "metal.unwrite": lambda b: metal.unwrite(
        metal.book(make.lot(b.engine), -1, day=DAY, by=b.lead), by=b.lead, reason="other lot"
    ),
    "pours.plan": _pour,
    "pours.change": lambda b: pours.change(_pour(b), {"who": "two"}, seen=1, by=b.lead),
    "pours.set_aside": _set_aside,
    "pours.free": lambda b: pours.free(_set_aside(b)[0], by=b.lead),
    "pours.give_up": lambda b: pours.give_up(_pour(b), by=b.lead, reason="rain"),
    "pours.happened": _happened,
    "fasteners.pick_thread": lambda b: fasteners.pick_thread(
        make.part(b.engine, fastener=True), "BSW", "1/2 in", sure=True, by=b.lead
    ),
    "fasteners.choose": lambda b: fasteners.choose(
        make.fastener(make.part(b.engine, 4, fastener=True)).part, "buy", 2, day=DAY, by=b.lead
    ),
    "lifts.plan": lambda b: make.lift(b.engine, by=b.lead),
    "lifts.hang": lambda b: make.lift(b.engine, (b.part, 1), by=b.lead),
    "lifts.take_off": lambda b: lifts.take_off(make.lift(b.engine, (b.part, 1)), b.part, by=b.lead),
    "drawings.keep_sheet": _sheet,
    "drawings.set_balloon": _balloon,
    "drawings.change_balloon": lambda b: drawings.change_balloon(
        _balloon(b), {"x": 0.25}, seen=1, by=b.lead
    ),
    "drawings.tie_piece": lambda b: drawings.tie_piece(
        b.engine, "flywheel", by=b.lead, part=b.part
    ),
    "drawings.untie_piece": lambda b: (
        drawings.tie_piece(b.engine, "flywheel", by=b.lead, part=b.part),
        drawings.untie_piece(b.engine, "flywheel", by=b.lead),
    ),
}


def _new_size(b):
    row = Measurement(
        engine=b.engine, part=b.part, what="bore", written="1 in", unit="in", value=25.4, day=DAY
    )
    return {"bore": row}


def _option(b):
    return Option(engine=b.engine, part=b.part, way="cast", low=1, likely=2, high=3)
