"""The verbs of the workshop and of drawings, each with a small act, for the test of history."""

from datetime import timedelta
from decimal import Decimal

from parts.care.models import Measurement
from parts.decide import actions as decide_actions
from parts.decide.models import Option
from parts.drawings import actions as drawings_actions
from parts.drawings.models import Balloon, Drawing
from parts.lifting import actions as lifting_actions
from parts.workshop.bars import actions as bars_actions
from parts.workshop.bearings import actions as bearings_actions
from parts.workshop.fasteners import actions as fasteners_actions
from parts.workshop.metal import actions as metal_actions
from parts.workshop.patterns import actions as patterns_actions
from parts.workshop.pours.actions import costs, pours
from parts.workshop.pours.actions.pours import Result, Weighed
from parts.workshop.shapes import actions as shapes_actions
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
    return make.pour(b.engine, (b.job, 1, 2.5), by=b.lead)


def _set_aside(b):
    pour, lot = _pour(b), make.lot(b.engine)
    return pour, lot, pours.set_aside(pour, {lot: Weighed(2.6)}, by=b.lead)


def _sheet(b):
    row = Drawing(engine=b.engine, name="Plan")
    return drawings_actions.add_sheet(row, make.upload(), by=b.lead)


def _balloon(b):
    row = Balloon(engine=b.engine, drawing=_sheet(b), part=b.part, x=0.5, y=0.5)
    return drawings_actions.add_balloon(row, by=b.lead)


def _happened(b):
    pour, lot, _ = _set_aside(b)
    casting = pour.castings.get()
    return pours.record_result(
        pour,
        {"poured_on": NEXT},
        {casting.pk: Result(1)},
        {lot: Weighed(2.6)},
        by=b.lead,
    )


def _booked_again(b):
    bought = [costs.BoughtItem("Propane", Decimal(8))]
    return costs.book(_happened(b), bought, by=b.lead)


WAYS = {
    "workshop.pours.costs.book": _booked_again,
    "workshop.pours.costs.unbook": lambda b: costs.unbook(_happened(b), by=b.lead, reason="undone"),
    "workshop.pours.pours.undo": lambda b: pours.undo(
        _happened(b), by=b.lead, reason="the wrong pour"
    ),
    "workshop.bars.add_bar": lambda b: make.bar(b.engine, 2, by=b.lead),
    "workshop.bars.book": lambda b: bars_actions.book(
        make.bar(b.engine, 2), -1, day=DAY, by=b.lead
    ),
    "workshop.bars.save_cutting_list": lambda b: make.cut_plan(b.engine, by=b.lead),
    "workshop.bars.cut": lambda b: bars_actions.cut(
        make.cut_plan(b.engine), day=NEXT, by=b.lead, seen=1
    ),
    "workshop.bars.take_back": lambda b: bars_actions.take_back(
        make.cut_plan(b.engine), by=b.lead, reason="other steel"
    ),
    "workshop.shapes.add_measures": lambda b: shapes_actions.add_measures(
        b.part, _new_size(b), by=b.lead
    ),
    "workshop.shapes.add_body": _body,
    "workshop.shapes.change_body": lambda b: shapes_actions.change_body(
        _body(b), {"name": "Shank"}, seen=1, by=b.lead, sizes=_sizes(b, "diameter", "length")
    ),
    "workshop.patterns.add_face": lambda b: make.face(b.part, make.measurement(b.part, 30)),
    "workshop.patterns.change_face": lambda b: patterns_actions.change_face(
        make.face(b.part, make.measurement(b.part, 30)),
        {"note": "joint down"},
        seen=1,
        by=b.lead,
        sizes=_sizes(b, "finished"),
    ),
    "workshop.bearings.add_bearing": _bearing,
    "workshop.bearings.change_bearing": lambda b: bearings_actions.change_bearing(
        _bearing(b),
        {"note": "scraped"},
        seen=1,
        by=b.lead,
        sizes={n: make.measurement(b.part, v) for n, v in [("journal", 61), ("shell", 76)]}
        | {"length": make.measurement(b.part, 121)},
    ),
    "decide.add_option": lambda b: decide_actions.add_option(_option(b), by=b.lead),
    "decide.choose": lambda b: decide_actions.choose(
        b.part, "machine", 1, day=DAY, by=b.lead, reason="there is bar"
    ),
    "workshop.metal.new_lot": lambda b: make.lot(b.engine, by=b.lead),
    "workshop.metal.book": lambda b: metal_actions.book(make.lot(b.engine), -1, day=DAY, by=b.lead),
    "workshop.metal.change_lot": lambda b: metal_actions.change_lot(
        make.lot(b.engine), {"note": "clean"}, seen=1, by=b.lead
    ),
    "workshop.metal.delete_move": lambda b: metal_actions.delete_move(
        metal_actions.book(make.lot(b.engine), -1, day=DAY, by=b.lead),
        by=b.lead,
        reason="other lot",
    ),
    "workshop.pours.pours.plan": _pour,
    "workshop.pours.pours.change": lambda b: pours.change(
        _pour(b), {"who": "two"}, seen=1, by=b.lead
    ),
    "workshop.pours.pours.set_aside": _set_aside,
    "workshop.pours.pours.free": lambda b: pours.free(_set_aside(b)[0], by=b.lead),
    "workshop.pours.pours.cancel": lambda b: pours.cancel(_pour(b), by=b.lead, reason="rain"),
    "workshop.pours.pours.record_result": _happened,
    "workshop.fasteners.pick_thread": lambda b: fasteners_actions.pick_thread(
        make.part(b.engine, fastener=True), "BSW", "1/2 in", sure=True, by=b.lead
    ),
    "workshop.fasteners.choose": lambda b: fasteners_actions.choose(
        make.fastener(make.part(b.engine, 4, fastener=True)).part, "buy", 2, day=DAY, by=b.lead
    ),
    "lifting.add_lift": lambda b: make.lift(b.engine, by=b.lead),
    "lifting.set_load": lambda b: make.lift(b.engine, (b.part, 1), by=b.lead),
    "lifting.remove_load": lambda b: lifting_actions.remove_load(
        make.lift(b.engine, (b.part, 1)), b.part, by=b.lead
    ),
    "drawings.add_sheet": _sheet,
    "drawings.add_balloon": _balloon,
    "drawings.change_balloon": lambda b: drawings_actions.change_balloon(
        _balloon(b), {"x": 0.25}, seen=1, by=b.lead
    ),
    "drawings.tie_piece": lambda b: drawings_actions.tie_piece(
        b.engine, "flywheel", by=b.lead, part=b.part
    ),
    "drawings.untie_piece": lambda b: (
        drawings_actions.tie_piece(b.engine, "flywheel", by=b.lead, part=b.part),
        drawings_actions.untie_piece(b.engine, "flywheel", by=b.lead),
    ),
}


def _new_size(b):
    row = Measurement(
        engine=b.engine, part=b.part, what="bore", written="1 in", unit="in", value=25.4, day=DAY
    )
    return {"bore": row}


def _option(b):
    return Option(engine=b.engine, part=b.part, way="cast", low=1, likely=2, high=3)
