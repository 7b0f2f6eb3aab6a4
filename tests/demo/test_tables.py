"""The invented story of the demonstration engines agrees with itself.

Nothing here checks the trade: the tables are made up. What is checked is that they could be true.
"""

import re
from collections import Counter, defaultdict
from datetime import date

import pytest

from parts.demo import load, story
from parts.engineering.measures import read_length, read_mass
from parts.engineering.routes import ROUTES

HEADINGS = {"fasteners", "castings", "machining", "material", "carriage", "hire", "other"}
BASES = ("estimated", "quoted", "ordered", "paid")
HG = "harrow_gap"

each_engine = pytest.mark.parametrize("engine", story.ENGINES)


def parts(engine):
    return {int(row["item"]): row for row in story.read(engine, "parts")}


def counts(engine, item, days_before=0):
    """The seven counts of one part, and what is over, filled as the design lays down."""
    have = Counter()
    for row in story.read(engine, "entries"):
        if int(row["item"]) == item and int(row["days_before"]) >= days_before:
            kind, pieces = row["kind"], int(row["pieces"])
            if kind == "stage":
                route = next(m for m in story.read(engine, "jobs") if m["key"] == row["job"])
                kind = "begun" if row["stage"] == ROUTES[route["route"]].begins else ""
            have[kind] += pieces
    return filled(have, int(parts(engine)[item]["quantity"]))


def filled(have, quantity):
    """How pieces stand when the need is filled in order from the sums of the entries by kind."""
    left = need = max(0, quantity - have["left_off"])
    found = have["identified"] - have["lost"] - have["placed"] - have["beyond_repair"]
    gives = {
        "fitted": have["fitted"],
        "in_place": have["placed"] - have["beyond_repair_placed"],
        "found": found,
        "being_made": have["begun"] - have["fitted"],
        "to_be_made": have["decided"] - have["begun"],
        "beyond_repair": have["beyond_repair"] + have["beyond_repair_placed"],
    }
    stands = {}
    for state, pieces in gives.items():
        stands[state] = min(left, max(0, pieces))
        left -= stands[state]
    stands["missing"] = left
    stands = {state: pieces for state, pieces in stands.items() if pieces}
    assert sum(stands.values()) == need
    made = ("being_made", "to_be_made")
    over = {
        "spare": max(0, gives["fitted"] + gives["in_place"] + gives["found"] - need),
        "over_made": sum(max(0, gives[s]) - stands.get(s, 0) for s in made),
    }
    return stands | {name: pieces for name, pieces in over.items() if pieces}


# The tables as tables


@each_engine
@pytest.mark.parametrize("table", story.COLUMNS)
def test_columns_are_those_the_story_says(engine, table):
    head = (story.TABLES / engine / f"{table}.csv").read_text(encoding="utf-8").split("\n")[0]
    assert head.split(",") == list(story.COLUMNS[table])


@each_engine
def test_no_other_tables_lie_about(engine):
    assert {file.stem for file in (story.TABLES / engine).glob("*")} == set(story.COLUMNS)


@each_engine
@pytest.mark.parametrize(
    ("table", "column"),
    [
        ("components", "number"),
        ("parts", "item"),
        ("finds", "ref"),
        ("jobs", "key"),
        ("cost_items", "key"),
        ("photos", "key"),
        ("plan_points", "days_before"),
        ("people", "written_as"),
    ],
)
def test_keys_are_given_once(engine, table, column):
    keys = [row[column] for row in story.read(engine, table)]
    assert len(keys) == len(set(keys))


@each_engine
def test_what_rows_point_at_is_there(engine):
    known = {
        "item": {row["item"] for row in story.read(engine, "parts")},
        "component": {row["number"] for row in story.read(engine, "components")},
        "parent": {row["number"] for row in story.read(engine, "components")},
        "find": {row["ref"] for row in story.read(engine, "finds")},
        "job": {row["key"] for row in story.read(engine, "jobs")},
        "cost": {row["key"] for row in story.read(engine, "cost_items")},
        "before": {row["key"] for row in story.read(engine, "photos")},
        "after": {row["key"] for row in story.read(engine, "photos")},
    }
    for table in story.COLUMNS:
        if table == "parts":
            continue
        for row in story.read(engine, table):
            for column in known.keys() & row.keys():
                assert not row[column] or row[column] in known[column], (table, row)


@each_engine
def test_signatures_are_of_known_people(engine):
    people = {row["written_as"] for row in story.read(engine, "people")}
    columns = {
        "entries": "who", "jobs": "who", "condition_notes": "who", "freeing": "who",
        "measurements": "who", "proposals": "who", "hours": "person", "finds": "found_by",
        "corrections": "who",
    }  # fmt: skip
    for table, column in columns.items():
        for row in story.read(engine, table):
            assert row[column] in people or (table == "jobs" and not row[column]), (table, row)


@each_engine
def test_nothing_but_plans_and_wishes_lies_ahead(engine):
    for table in story.COLUMNS:
        if table != "plan_points":
            for row in story.read(engine, table):
                assert int(row.get("days_before", 0)) >= 0, (table, row)


@each_engine
def test_every_measure_can_be_read(engine):
    for table in ("parts", "finds"):
        for row in story.read(engine, table):
            if row["length"]:
                read_length(row["length"])
            if row["mass"]:
                read_mass(row["mass"])
            if row.get("depth"):
                read_length(row["depth"])
    for row in story.read(engine, "sizes"):
        read_length(row["written"])
    for row in story.read(engine, "measurements"):
        reader = read_mass if row["what"].startswith("Mass") else read_length
        reader(row["written"])
        if row["plus_or_minus"]:
            reader(row["plus_or_minus"])


@each_engine
def test_item_numbers_follow_their_component(engine):
    for item, row in parts(engine).items():
        assert item // 100 == int(row["component"])
        assert row["route"] in ROUTES


# Entries that count


@each_engine
def test_entries_stand_oldest_first(engine):
    days = [int(row["days_before"]) for row in story.read(engine, "entries")]
    assert days == sorted(days, reverse=True)


@each_engine
def test_never_more_identified_than_found_nor_before_it_was(engine):
    finds = {row["ref"]: row for row in story.read(engine, "finds")}
    identified = Counter()
    for row in story.read(engine, "entries"):
        if row["kind"] == "identified":
            find = finds[row["find"]]
            identified[row["find"]] += int(row["pieces"])
            assert 0 <= identified[row["find"]] <= int(find["quantity"]), row
            assert int(row["days_before"]) <= int(find["days_before"]), row
            assert not find["odd"], row


@each_engine
def test_pieces_are_never_in_two_ways_at_once(engine):
    """No balance goes below zero on any day, and what is placed, lost or condemned was there."""
    by_day = defaultdict(list)
    for row in story.read(engine, "entries"):
        by_day[-int(row["days_before"])].append(row)
    have = defaultdict(Counter)
    for _, rows in sorted(by_day.items()):
        for row in rows:
            have[row["item"]][row["kind"]] += int(row["pieces"])
        for item in {row["item"] for row in rows}:
            n = have[item]
            assert min(n.values()) >= 0, (item, n)
            assert n["beyond_repair_placed"] <= n["placed"], (item, n)
            assert n["placed"] + n["lost"] + n["beyond_repair"] <= n["identified"], (item, n)
            assert n["left_off"] <= int(parts(engine)[int(item)]["quantity"])


@each_engine
def test_no_stage_runs_ahead_of_the_one_before(engine):
    jobs = {row["key"]: row for row in story.read(engine, "jobs")}
    reached = defaultdict(Counter)
    by_day = defaultdict(list)
    for row in story.read(engine, "entries"):
        if row["job"]:
            assert row["item"] == jobs[row["job"]]["item"], row
            by_day[-int(row["days_before"])].append(row)
    for _, rows in sorted(by_day.items()):
        for row in rows:
            reached[row["job"]][row["stage"] or row["kind"]] += int(row["pieces"])
        for key in {row["job"] for row in rows}:
            stages = [stage.key for stage in ROUTES[jobs[key]["route"]].stages]
            assert reached[key].keys() <= {"decided", *stages, "fitted"}, key
            run = [reached[key][name] for name in ("decided", *stages, "fitted")]
            assert run == sorted(run, reverse=True), (key, rows[0]["days_before"], run)
            assert run[-1] >= 0


def test_jobs_stand_at_every_stage_of_every_route():
    seen = defaultdict(set)
    reached = defaultdict(Counter)
    for row in story.read(HG, "entries"):
        if row["job"]:
            reached[row["job"]][row["stage"] or row["kind"]] += int(row["pieces"])
    for job in story.read(HG, "jobs"):
        names = ["decided", *(s.key for s in ROUTES[job["route"]].stages), "fitted"]
        on = [name for name in names if reached[job["key"]][name] > 0]
        if on:
            seen[job["route"]].add(on[-1])
    for route in ROUTES.values():
        assert {stage.key for stage in route.stages} <= seen[route.key], route.key
        if route.key != "borrow":
            assert {"decided", "fitted"} <= seen[route.key], route.key


@pytest.mark.parametrize(
    ("item", "standing"),
    [
        # Eight bolts, five found and one of them beyond repair, four decided; three since fitted.
        (903, {"found": 4, "fitted": 3, "being_made": 1}),
        # A missing piece that turned up after its casting was poured.
        (406, {"found": 1, "over_made": 1}),
        # And one that turned up after the new one was fitted.
        (1111, {"fitted": 1, "spare": 1}),
        # Beyond repair, then repaired.
        (202, {"found": 1}),
        (805, {"found": 1}),
        # A wasted casting, moulded again.
        (411, {"being_made": 1}),
        # A fitted piece taken off.
        (1305, {"fitted": 1, "being_made": 1}),
        # A decision reopened.
        (701, {"missing": 1}),
        # Two of six left off.
        (1507, {"found": 1, "being_made": 3}),
        # More found than needed.
        (205, {"found": 22, "spare": 1}),
        # Stolen from the store.
        (1311, {"found": 1, "being_made": 1}),
        (412, {"missing": 1}),
        # A half-ordered lot.
        (404, {"found": 4, "being_made": 5, "to_be_made": 5}),
        # A quantity corrected, and some beyond repair that are being made again.
        (301, {"being_made": 48}),
        # All left off.
        (216, {}),
        # Broken on the engine.
        (102, {"in_place": 3, "fitted": 2, "being_made": 1}),
        # Beyond repair and nobody has decided.
        (502, {"beyond_repair": 1}),
        # Lifted off and put back.
        (1501, {"in_place": 1}),
    ],
)
def test_the_worked_cases_are_all_in_the_story(item, standing):
    assert counts(HG, item) == standing


def test_the_wheel_was_off_in_the_summer():
    last = date.fromisoformat(story.about(HG)["last_day"])
    assert counts(HG, 1501, (last - date(2026, 7, 1)).days) == {"found": 1}


def test_pieces_accounted_for_make_a_curve():
    """From nothing two years ago, rising for most of the time, to well over half."""
    total = 0
    curve = []
    for days_before in (720, 540, 400, 250, 120, 0):
        have = total = 0
        for item in parts(HG):
            stands = counts(HG, item, days_before)
            total += sum(n for s, n in stands.items() if s not in ("spare", "over_made"))
            have += sum(stands.get(state, 0) for state in ("fitted", "in_place", "found"))
        curve.append(have)
    assert curve[0] == 0
    assert curve == sorted(curve)
    assert len(set(curve)) == len(curve)
    assert 0.4 < curve[-1] / total < 0.7


# Size and sense of the story


def test_the_story_is_as_large_as_a_real_one():
    size = {table: len(story.read(HG, table)) for table in story.COLUMNS}
    assert 12 <= size["components"] <= 16
    assert 170 <= size["parts"] <= 190
    assert size["finds"] >= 90
    assert size["condition_notes"] >= 60
    assert size["freeing"] >= 8
    assert size["jobs"] >= 35
    assert size["cost_items"] >= 60
    assert size["hours"] >= 200
    assert size["diary"] >= 30
    assert size["photos"] >= 44
    assert size["photo_pairs"] >= 6
    old = Counter(row["old"] for row in story.read(HG, "repairs"))
    assert old["yes"] >= 12
    assert old["no"] >= 10
    finds = story.read(HG, "finds")
    assert sum(row["still_on_engine"] == "yes" for row in finds) >= 20
    assert sum(bool(row["odd"]) for row in finds) >= 4
    named = Counter()
    for row in story.read(HG, "entries"):
        if row["kind"] == "identified":
            named[row["find"]] += int(row["pieces"])
    unknown = [row for row in finds if not row["odd"] and not named[row["ref"]]]
    assert len(unknown) >= 8
    assert sum(bool(row["recording"]) for row in story.read(HG, "diary")) >= 4


def test_the_second_engine_is_small_and_of_other_units():
    about = story.about("ketterau")
    assert (about["length_unit"], about["mass_unit"], about["currency"]) == ("mm", "kg", "EUR")
    assert story.about(HG)["currency"] == "GBP"
    assert 35 <= len(story.read("ketterau", "parts")) <= 50
    assert 12 <= sum(bool(row["tag"]) for row in story.read("ketterau", "finds")) <= 16


@each_engine
def test_tags_run_on_and_rise_with_the_days(engine):
    prefix = story.about(engine)["tag_prefix"]
    tagged = [row for row in story.read(engine, "finds") if row["tag"]]
    assert [row["tag"] for row in tagged] == [f"{prefix}-{n:04}" for n in range(1, len(tagged) + 1)]
    days = [int(row["days_before"]) for row in tagged]
    assert days == sorted(days, reverse=True)


def test_whoever_found_something_was_there_that_day():
    there = {row["days_before"]: row["there"] for row in story.read(HG, "diary")}
    for row in story.read(HG, "finds"):
        assert row["days_before"] in there, row
        assert row["found_by"] in there[row["days_before"]], row


@each_engine
def test_nobody_works_more_than_a_long_day(engine):
    worked = Counter()
    for row in story.read(engine, "hours"):
        worked[row["person"], row["days_before"]] += float(row["hours"])
    assert max(worked.values()) <= 13


def test_who_was_on_the_site_gave_hours():
    gave = {(row["person"], row["days_before"]) for row in story.read(HG, "hours")}
    for row in story.read(HG, "diary"):
        for person in row["there"].split(", "):
            assert (person, row["days_before"]) in gave, (person, row["days_before"], row["done"])


@each_engine
def test_each_photo_has_its_file_and_each_file_its_photo(engine):
    photos = {row["key"]: row for row in story.read(engine, "photos")}
    assert {file.stem for file in (load.PHOTOS / engine).glob("*.jpg")} == set(photos)
    for row in photos.values():
        assert row["item"] or row["find"] or row["component"], row
        assert len(row["caption"]) <= 200
        assert not re.search(r"\b[Ss]quare [A-F]\d", row["caption"]), "a caption tells no place"
    for row in story.read(engine, "photo_pairs"):
        before, after = photos[row["before"]], photos[row["after"]]
        assert int(before["days_before"]) >= int(after["days_before"]), row
        assert (before["item"], before["component"]) == (after["item"], after["component"]), row


@each_engine
def test_nobody_writes_the_same_sentence_twice(engine):
    columns = {
        "condition_notes": "seen", "diary": "done", "repairs": "what", "freeing": "how",
        "cost_items": "what", "photos": "caption",
    }  # fmt: skip
    for table, column in columns.items():
        words = [row[column] for row in story.read(engine, table)]
        assert len(words) == len(set(words)), table


# Money


def spent_and_final(engine):
    """Per heading: what is paid, and low, likely and high of what it will come to."""
    items = {row["key"]: row["heading"] for row in story.read(engine, "cost_items")}
    rows = defaultdict(list)
    for row in story.read(engine, "cost_amounts"):
        rows[row["cost"]].append(row)
    spent, final = Counter(), defaultdict(lambda: [0.0, 0.0, 0.0])
    for key, amounts in rows.items():
        paid = sum(float(row["likely"]) for row in amounts if row["basis"] == "paid")
        spent[items[key]] += paid
        whole = [row for row in amounts if row["basis"] != "paid"]
        whole.sort(key=lambda row: (BASES.index(row["basis"]), -int(row["days_before"])))
        for place, column in enumerate(("low", "likely", "high")):
            settled = any(row["settles"] == "yes" for row in amounts)
            comes_to = paid if settled else max(paid, float(whole[-1][column]))
            final[items[key]][place] += comes_to
    return spent, final


@each_engine
def test_amounts_are_of_a_kind_and_in_order(engine):
    items = {row["key"]: row for row in story.read(engine, "cost_items")}
    assert {row["heading"] for row in items.values()} <= HEADINGS
    seen = defaultdict(list)
    for row in story.read(engine, "cost_amounts"):
        low, likely, high = (float(row[c]) for c in ("low", "likely", "high"))
        assert 0 < low <= likely <= high, row
        assert row["basis"] == "estimated" or low == high, row
        assert row["settles"] == "no" or row["basis"] == "paid", row
        seen[row["cost"]].append(row)
    assert seen.keys() == items.keys()
    for key, rows in seen.items():
        days = [int(row["days_before"]) for row in rows]
        assert days == sorted(days, reverse=True), key
        bases = [BASES.index(row["basis"]) for row in rows]
        assert bases == sorted(bases), key
        settled = [row["settles"] for row in rows]
        assert "yes" not in settled[:-1], key
        assert settled[-1] == "yes" or any(row["basis"] != "paid" for row in rows), key


def test_the_sums_are_those_of_a_job_of_this_size():
    spent, final = spent_and_final(HG)
    assert 18_000 <= sum(spent.values()) <= 19_000
    low, likely, high = (sum(row[place] for row in final.values()) for place in range(3))
    assert 45_000 <= likely <= 50_000
    assert low < likely < high
    assert set(spent) == HEADINGS
    tally = Counter(row["heading"] for row in story.read(HG, "cost_items"))
    assert tally["fasteners"] >= 15
    assert tally["castings"] >= 20
    bases = Counter(row["basis"] for row in story.read(HG, "cost_amounts"))
    assert min(bases[basis] for basis in BASES) >= 20


def test_a_job_and_its_cost_are_of_one_part_or_bought_in_one_lot():
    jobs = {row["key"]: row["item"] for row in story.read(HG, "jobs")}
    for row in story.read(HG, "cost_items"):
        if row["job"]:
            assert row["item"] == jobs[row["job"]], row


@each_engine
def test_the_plan_rises_to_its_end(engine):
    points = story.read(engine, "plan_points")
    for column in ("pieces", "hours", "money"):
        run = [float(row[column]) for row in points]
        assert run == sorted(run)
        assert run[-1] > 0
    days = [int(row["days_before"]) for row in points]
    assert days == sorted(days, reverse=True)
    need = sum(int(row["quantity"]) for row in parts(engine).values())
    assert int(points[-1]["pieces"]) <= need
    frozen = story.read(engine, "plan")[0]["days_before"]
    assert int(frozen) > 0 > days[-1]


def test_the_photographs_of_the_demonstration_stay_light():
    assert sum(file.stat().st_size for file in load.PHOTOS.rglob("*.jpg")) < 6_000_000
