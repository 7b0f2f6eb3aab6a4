"""The invented story of the demonstration engines, as plain tables. No Django here.

Each engine has a folder in `tables/` with one CSV per table. `COLUMNS` says what every column
holds. The rules that hold for all of them:

* A day is `days_before` (or a column that says so): whole days before the last day of the story,
  which `engine.csv` gives as `last_day`. 0 is that day, a negative number a day still to come.
  `day(engine, text)` turns it into a date.
* `item` is the item number of a part, `component` the number of a component, `find` the `ref` of a
  find, `making` and `cost` the `key` of a job or cost item. Empty means none.
* `who`, `found_by`, `person` and `by` are names as people sign: the column `written_as` of
  `people.csv`.
* Sizes and masses are as people write them, units and all, to be read like typed ones.
* Yes and no are "yes" and "no". Money is in the engine's currency, with two places.
* Rows of `entries.csv` stand oldest first and are all that pieces are counted from.

Every person, firm, place and engine here is made up.
"""

import csv
from datetime import date, timedelta
from functools import cache
from pathlib import Path

TABLES = Path(__file__).parent / "tables"
ENGINES = ("harrow_gap", "ketterau")

COLUMNS = {
    "engine": {
        "key": "field of the engine; `last_day` anchors the story; `report_*` belong to a report",
        "value": "what it holds",
    },
    "sizes": {
        "name": "leading size: bore, stroke, flywheel, flywheel_face, rod, piston_rod, shaft",
        "written": "as written",
    },
    "people": {
        "username": "login, or empty for people who have none",
        "name": "full name",
        "written_as": "as they sign in the record",
        "role": "lead, helper or reader",
        "note": "what they are good at",
    },
    "components": {
        "number": "1 to 20",
        "name": "what it is called",
        "parent": "number of the component it stands in",
        "note": "",
    },
    "parts": {
        "item": "item number",
        "component": "number of its component",
        "name": "what it is called",
        "quantity": "pieces the engine should have, as corrected",
        "material": "key of the material",
        "route": "usual route of making",
        "fastener": "yes or no",
        "size": "finished size, as written",
        "mass": "mass of one piece, as written",
        "length": "longest side, as written",
        "note": "",
    },
    "corrections": {
        "item": "part whose quantity was put right; parts.csv holds the right one",
        "days_before": "when",
        "was": "quantity typed first",
        "became": "quantity after",
        "reason": "why",
        "who": "by whom",
    },
    "finds": {
        "ref": "the tag, or E01 and so on for what was still on the engine",
        "tag": "tag, or empty",
        "days_before": "day of the find",
        "quantity": "pieces under this tag",
        "looks_like": "short description",
        "material": "key of the material",
        "condition_class": "0 to 3",
        "found_by": "who",
        "where_found": "where it lay (a place: not for readers)",
        "depth": "below ground, as written",
        "kept_at": "where it is kept (a place: not for readers)",
        "mass": "mass of one piece, as written",
        "length": "longest side, as written",
        "odd": "empty, or tool, glass, bone, personal, other: no piece of the engine",
        "still_on_engine": "yes or no",
        "note": "",
    },
    "entries": {
        "days_before": "the day it happened",
        "kind": "identified, placed, beyond_repair, beyond_repair_placed, decided, stage, fitted, "
        "lost or left_off",
        "item": "part",
        "pieces": "how many began (or, negative, ceased) to stand so",
        "find": "find, always for identified",
        "job": "job, always for decided, stage and fitted",
        "stage": "key of the stage, for stage only",
        "reason": "why",
        "who": "by whom",
    },
    "jobs": {
        "key": "its key",
        "item": "part",
        "route": "cast, machine, fabricate, buy or borrow",
        "who": "whose hands",
        "metal": "material if not the part's own",
        "size": "size to make, as written",
        "wanted_by": "days before the last day; negative is to come",
        "reason": "why it is made",
    },
    "condition_notes": {
        "days_before": "when",
        "item": "part",
        "find": "find, when it is no part yet",
        "condition_class": "0 to 3",
        "urgency": "0 to 3",
        "who": "who looked",
        "seen": "what was seen",
        "recommendation": "what should be done",
    },
    "repairs": {
        "old": "yes: found so. no: done by us",
        "item": "part",
        "days_before": "done, or first seen",
        "when": "when an old one was done, as far as known",
        "what": "what was done",
        "how": "how",
        "who": "by whom, if known",
        "tells": "what it tells",
        "undone": "yes, partly, no or not_known",
        "keep": "yes or no",
    },
    "freeing": {
        "item": "part",
        "days_before": "when",
        "means": "penetrant, heat, cold, press, pull, shock, turn or cut",
        "how": "what was tried",
        "outcome": "nothing, moved, free or broke",
        "seen": "what happened",
        "who": "by whom",
    },
    "cost_items": {
        "key": "its key",
        "heading": "fasteners, castings, machining, material, carriage, hire or other",
        "what": "what for",
        "item": "part",
        "job": "job",
        "component": "component, when it is for no one part",
        "supplier": "",
        "note": "",
    },
    "cost_amounts": {
        "cost": "cost item",
        "days_before": "when",
        "basis": "estimated, quoted, ordered or paid",
        "low": "equal to likely but for an estimate",
        "likely": "amount; payments add up",
        "high": "equal to likely but for an estimate",
        "settles": "yes: nothing more to pay",
        "paper": "quote or receipt where one is on file",
    },
    "hours": {
        "days_before": "when",
        "person": "who",
        "hours": "hours given",
        "work": "site, lifting, cleaning, measuring, pattern, foundry, machining, fitting, office"
        " or other",
        "component": "component worked on",
        "note": "",
    },
    "diary": {
        "days_before": "when",
        "there": "who was there",
        "weather": "",
        "water": "",
        "done": "what was done",
        "next": "what is next",
        "recording": "name of a recording",
        "recording_minute": "minute and second in it",
    },
    "measurements": {
        "item": "part",
        "days_before": "when",
        "what": "what was measured",
        "written": "as written",
        "plus_or_minus": "how sure, as written",
        "instrument": "",
        "nominal": "yes: as made, not as found",
        "who": "by whom",
    },
    "photos": {
        "key": "its key",
        "days_before": "when",
        "item": "part",
        "find": "find",
        "component": "component",
        "credit": "who took it",
        "caption": "",
        "may_go_out": "yes: may be shown to funders",
    },
    "photo_pairs": {"before": "photo", "after": "photo", "view": "what both show"},
    "proposals": {
        "days_before": "when",
        "who": "helper",
        "item": "part",
        "matter": "beyond_repair, make, leave_off or correct",
        "route": "for make",
        "pieces": "how many",
        "words": "what they say",
        "answer": "open, accepted or declined",
        "answer_words": "what the lead says",
        "answered_days_before": "when",
    },
    "ownership": {
        "who": "",
        "right": "owns, allowed or ground",
        "since": "days before the last day",
        "until": "days before the last day, or empty",
        "terms": "",
    },
    "plan": {"name": "", "days_before": "the day it was frozen", "note": ""},
    "plan_points": {
        "days_before": "end of a month",
        "pieces": "pieces standing on the engine again",
        "hours": "hours given",
        "money": "money spent",
    },
}


@cache
def read(engine: str, table: str) -> tuple[dict[str, str], ...]:
    """Return the rows of one table of an engine as dicts of text."""
    with open(TABLES / engine / f"{table}.csv", encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))


def about(engine: str) -> dict[str, str]:
    """Return `engine.csv` as one dict: name, kind, units, last_day and so on."""
    return {row["key"]: row["value"] for row in read(engine, "engine")}


def day(engine: str, days_before: str | int) -> date:
    """Return the date that lies `days_before` the last day of the story of an engine."""
    last = date.fromisoformat(about(engine)["last_day"])
    return last - timedelta(days=int(days_before))
