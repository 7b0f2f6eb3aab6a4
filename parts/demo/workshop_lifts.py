"""Lifting gear of the sawmill engine, lifts that were made and lifts to come. All invented."""

from datetime import date, timedelta

from parts.lifting import actions as lifting_actions
from parts.lifting.models import Gear, Lift
from parts.record.actions import saving
from parts.record.models import Engine, Part

# kind, name, as its tag says (and for a whole sling legs and angle from the vertical), how many,
# inspected and to be inspected by (days before), owner, note
GEAR = (
    ("chain", "Chain sling A, 10 mm", ("4.25 t", 2, 45), 1, 96, -269, "M. Ellery",
     "Two legs, tag riveted: 4.25 t up to 45°"),
    ("chain", "Old shed chain", "2 tons", 2, 910, 545, "M. Ellery", "Long link, stretched?"),
    ("wire", "Wire ropes 1 and 2", "2 t", 2, 96, -269, "S. Whitlow", ""),
    ("web", "Green webs", "2 t", 4, 96, -269, "M. Ellery", "Cut edges: look before each lift"),
    ("web", "Grey web from the barn", "", 1, None, None, "", "Label gone"),
    ("shackle", "Bow shackles, 3/4 in", "4.75 t", 4, 96, -269, "M. Ellery", ""),
    ("shackle", "Bow shackles, 1/2 in", "2 t", 6, 96, -269, "M. Ellery", ""),
    ("hoist", "Chain block on the gantry", "3 t", 1, 60, -120, "M. Ellery", "Gantry plated 3 t"),
    ("hoist", "Hired crane at 6 m", "4.2 t", 1, 205, -30, "Drabble and Finch, hauliers",
     "From the table in its cab, at that reach only"),
    ("winch", "Hand winch", "1.6 t", 1, 96, -269, "S. Whitlow", ""),
    ("lorry", "Sal's truck", "30 cwt", 1, 140, -225, "S. Whitlow", "Payload off the plate"),
    ("lorry", "Low trailer", "2.5 t", 1, 140, -225, "Drabble and Finch, hauliers", ""),
    ("lorry", "Farm trailer", "", 1, None, None, "the Askew farm", "No plate"),
)  # fmt: skip
# name, {item: pieces}, mud and tackle, legs, angle, sling, shackle, hoist, planned and done (days
# before), how it went
LIFTS = (
    ("Flywheel out of its pit", {1501: 1}, "2 cwt", 2, 60, "Chain sling A, 10 mm",
     "Bow shackles, 3/4 in", "Hired crane at 6 m", 199, 199,
     "The crane showed 1.94 t with its chains. It stuck at the keys for an hour; nobody stood in "
     "the pit. Set down on sleepers by the north door."),
    ("Crankshaft off its bearings", {1201: 1, 1202: 1, 1401: 1}, "40 lb", 2, 55, "Green webs",
     "Bow shackles, 1/2 in", "Chain block on the gantry", 164, 164,
     "Webs round the journals' necks, wood between. Level at the second try."),
    ("Cylinder on to the bed", {201: 1, 401: 1}, "30 lb", 2, 60, "Green webs",
     "Bow shackles, 1/2 in", "Chain block on the gantry", -11, None, ""),
    ("Bedplate, to clean under it", {101: 1}, "3 cwt", 4, 45, "Old shed chain",
     "Bow shackles, 3/4 in", "Chain block on the gantry", -20, None, ""),
)  # fmt: skip


def load(engine: Engine, people: dict, last_day: date) -> list[Lift]:
    """Write the gear and the lifts; return the lifts.

    Args:
        engine: The sawmill engine. Parts that it does not have are left out.
        people: Users by the name they sign with.
        last_day: The last day of the story.
    """
    lead = people.get("M. Ellery")
    gear = {row[1]: _gear(engine, row, last_day, by=lead) for row in GEAR}
    return [_lift(engine, row, gear, last_day, by=lead) for row in LIFTS]


def _day(last_day: date, days_before: int | None) -> date | None:
    return None if days_before is None else last_day - timedelta(days=days_before)


def _gear(engine, row, last_day, *, by) -> Gear:
    kind, name, rated, how_many, inspected, due, owner, note = row
    tag = {"rated_legs": 1} if kind in Gear.SLINGS and rated else {}
    if isinstance(rated, tuple):
        rated, legs, angle = rated
        tag = {"rated_legs": legs, "rated_angle": angle, "rated_angle_from": "vertical"}
    gear = Gear(
        engine=engine,
        kind=kind,
        name=name,
        **tag,
        how_many=how_many,
        inspected_on=_day(last_day, inspected),
        inspect_by=_day(last_day, due),
        owner=owner,
        note=note,
        **Gear.rated.columns(rated, engine),
    )
    return saving.add(gear, by=by)


def _lift(engine, row, gear, last_day, *, by) -> Lift:
    name, loads, extra, legs, angle, sling, shackle, hoist, planned, done, happened = row
    lift = Lift(
        engine=engine,
        name=name,
        legs=legs,
        angle_deg=angle,
        sling=gear[sling],
        shackle=gear[shackle],
        hoist=gear[hoist],
        planned_for=_day(last_day, planned),
        done_on=_day(last_day, done),
        happened=happened,
        **Lift.extra.columns(extra, engine),
    )
    lifting_actions.add_lift(lift, by=by)
    for part in Part.objects.filter(engine=engine, item__in=loads).order_by("item"):
        lifting_actions.set_load(lift, part, min(loads[part.item], part.quantity), by=by)
    return lift
