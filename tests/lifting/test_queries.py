"""Lifts: the figures by hand, and everything that must not be lifted refused in words."""

import math
from datetime import date, timedelta

import pytest

from parts.care.models import Measurement
from parts.lifting import actions as lifting_actions
from parts.lifting.models import Lift
from parts.lifting.queries import hauling
from parts.lifting.queries.lifts import gear_faults, lift_sheets, lifts_of
from parts.record.actions import entries, saving
from parts.record.actions.saving import Refused
from parts.record.models import Change
from parts.workshop.shapes.queries.masses import masses_of
from tests import make

pytestmark = pytest.mark.django_db
DAY = make.FIRST_DAY
TODAY = date(2026, 6, 1)


@pytest.fixture
def engine():
    return make.engine(mass_unit="kg", length_unit="mm")


def weighed(part, kg, sure=0.0, day=DAY):
    row = Measurement(
        engine=part.engine,
        part=part,
        what="mass",
        quantity="mass",
        written=f"{kg:g} kg",
        unit="kg",
        value=kg,
        day=day,
    )
    if sure:
        row.plus_or_minus, row.plus_or_minus_value = f"{sure:g} kg", sure
    return saving.add(row, by=None)


def rigged(engine, *loads, **fields):
    fields = {
        "sling": make.gear(engine, "chain", 2000),
        "shackle": make.gear(engine, "shackle", 2000),
        "hoist": make.gear(engine, "hoist", 3000),
    } | fields
    return make.lift(engine, *loads, **fields)


def shown(lift, today=TODAY):
    (one,) = lift_sheets([lifts_of(lift.engine).get(pk=lift.pk)], today)
    return one


def test_a_lift_by_hand(engine):
    """Step by step, with the sines of the tables: sin 60 = 0.8660.

    1. One piece weighed 1000 kg, right to 20 kg: 980 to 1020 kg.
    2. Two pieces typed in as 50 kg: 2 × 50 = 100 kg; a quarter more at most, 2 × 62.5 = 125 kg.
    3. Mud, water and tackle 60 kg.
    4. On the hook: at most 1020 + 125 + 60 = 1205 kg, which heads the sheet;
       at least 980 + 100 + 60 = 1140 kg.
    5. Two legs at 60 degrees: each carries at most 1205 / (2 × 0.8660) = 695.7 kg.
    6. Against a tag of 2000 kg: 695.7 / 2000 = 34.8 %. The hoist: 1205 / 3000 = 40.2 %.
    """
    wheel, ball = make.part(engine), make.part(engine, 2, mass_kg=50.0)
    weighed(wheel, 1000, 20)
    lift = rigged(
        engine, (wheel, 1), (ball, 2), extra_kg=60.0, extra_written="60 kg", extra_unit="kg"
    )
    one = shown(lift)
    assert (one.total.value, one.total.low, one.total.high) == pytest.approx((1205, 1140, 1205))
    assert one.leg.value == pytest.approx(695.7, abs=0.05)
    assert one.shackle.value == one.leg.value
    assert one.hoist.value == pytest.approx(1205)
    assert not one.refused
    assert "the hoist, at 40.2 % of its rating" in one.verdict
    assert "34.8 % of the rating" in one.leg.verdict
    assert all(w.cautions for w in one.calculations)


def test_two_of_four_legs_are_counted_unless_the_load_is_known_to_be_shared(engine):
    """600 kg at 90 - 30 = 60 degrees: two legs 600 / (2 × 0.8660) = 346.4 kg; three 230.9 kg."""
    part = make.part(engine)
    weighed(part, 600)
    four = shown(rigged(engine, (part, 1), legs=4))
    assert four.counted == 2
    assert four.leg.value == pytest.approx(346.4, abs=0.05)
    shared = shown(rigged(engine, (part, 1), legs=4, shared=True))
    assert shared.counted == 3
    assert shared.leg.value == pytest.approx(230.9, abs=0.05)


def test_over_the_rating_of_a_leg_it_is_refused(engine):
    """1800 kg on two legs at 30 degrees: 1800 / (2 × 0.5) = 1800 kg in each, over 1700 kg."""
    part = make.part(engine)
    weighed(part, 1800)
    sling = make.gear(engine, "chain", 1700, name="Chain 7")
    one = shown(rigged(engine, (part, 1), angle_deg=30.0, sling=sling))
    assert one.leg.value == pytest.approx(1800)
    assert one.verdict == "Do not lift."
    assert any("Over the rating: do not lift" in said and "Chain 7" in said for said in one.reasons)


def test_the_most_it_could_be_counts_against_the_tag_not_the_likely_mass(engine):
    """1900 kg typed in is under a hoist of 2000 kg; a quarter more, 2375 kg, is over it."""
    part = make.part(engine, mass_kg=1900.0)
    hoist = make.gear(engine, "hoist", 2000)
    one = shown(rigged(engine, (part, 1), sling=make.gear(engine, kg=5000), hoist=hoist))
    assert one.hoist.value == 2375
    assert one.refused
    assert "2375 kg" in " ".join(one.reasons)


def test_the_hoist_is_refused_by_itself(engine):
    part = make.part(engine)
    weighed(part, 900)
    one = shown(rigged(engine, (part, 1), hoist=make.gear(engine, "hoist", 800)))
    assert not one.leg.refused
    assert one.hoist.refused
    assert one.refused


@pytest.mark.outside(
    "29 CFR 1910.184 and OSHA's guidance on safe sling use, from memory: no angle under 30 degrees"
)
def test_under_30_degrees_it_is_refused(engine):
    part = make.part(engine)
    weighed(part, 10)
    one = shown(rigged(engine, (part, 1), angle_deg=29.0))
    assert one.leg.value is None
    assert one.shackle is None
    assert any("under the limit of 30°: do not lift" in said for said in one.reasons)


def test_one_leg_that_does_not_hang_plumb_is_told(engine):
    part = make.part(engine)
    weighed(part, 10)
    one = shown(rigged(engine, (part, 1), legs=1, angle_deg=60.0))
    assert one.refused
    assert "One leg hangs plumb" in one.trouble


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"inspected_on": None}, "No inspection of Chain 7 is entered"),
        ({"inspect_by": None}, "by when Chain 7 must be inspected again"),
        ({"inspect_by": date(2026, 5, 31)}, "The inspection of Chain 7 ran out on 31 May 2026."),
        ({"kg": None}, "Chain 7 carries no mark of its rated load"),
        ({"how_many": 1}, "of Chain 7; there is 1."),
    ],
)
@pytest.mark.parametrize("place", ["sling", "shackle"])
def test_gear_that_may_not_be_used_refuses_the_lift(engine, fields, words, place):
    part = make.part(engine)
    weighed(part, 10)
    gear = make.gear(engine, "chain" if place == "sling" else "shackle", name="Chain 7", **fields)
    one = shown(rigged(engine, (part, 1), **{place: gear}))
    assert one.verdict == "Do not lift."
    assert any(words in said for said in one.reasons)
    calculation = one.leg if place == "sling" else one.shackle
    assert calculation.refused
    assert words in calculation.verdict


def test_a_tag_of_a_whole_sling_is_read_as_such(engine):
    """1900 kg on two legs at 60 degrees is 1097 kg in each: under 2000 kg for one leg, over
    2000 / (2 × sin 45°) = 1414 kg only from 2449 kg on, but the whole sling takes 2000 kg."""
    part = make.part(engine)
    weighed(part, 1900)
    sling = make.gear(
        engine, "chain", 2000, rated_legs=2, rated_angle=45.0, rated_angle_from="vertical"
    )
    one = shown(rigged(engine, (part, 1), sling=sling))
    assert not one.refused
    assert one.leg.parts[0].value == pytest.approx(1414.2, abs=0.05)
    weighed(part, 2100, day=DAY + timedelta(days=1))
    assert any("together, however steep" in said for said in shown(one.lift).reasons)


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"rated_legs": None}, "for one leg, or for the whole sling?"),
        ({"rated_legs": 2}, "at which angle is the whole sling rated?"),
    ],
)
def test_a_sling_whose_tag_is_not_fully_read_lifts_nothing(engine, fields, words):
    part = make.part(engine)
    weighed(part, 10)
    one = shown(rigged(engine, (part, 1), sling=make.gear(engine, "chain", 2000, **fields)))
    assert one.refused
    assert any(words in said for said in one.reasons)


def test_legs_of_whole_slings_are_counted_by_the_leg(engine):
    whole = make.gear(
        engine, how_many=1, rated_legs=2, rated_angle=45.0, rated_angle_from="vertical"
    )
    assert gear_faults(whole, TODAY, 2) == []
    assert any("takes 4 legs" in said for said in gear_faults(whole, TODAY, 4))


def test_an_inspection_that_runs_out_before_the_planned_day_refuses(engine):
    part = make.part(engine)
    weighed(part, 10)
    gear = make.gear(engine, inspect_by=TODAY + timedelta(days=10))
    assert not shown(rigged(engine, (part, 1), sling=gear)).refused
    later = rigged(engine, (part, 1), sling=gear, planned_for=TODAY + timedelta(days=11))
    assert shown(later).refused
    # On the last day itself it is in date.
    assert gear_faults(gear, TODAY + timedelta(days=10)) == []
    # A lift that is done is judged by its own day.
    done = rigged(engine, (part, 1), sling=gear, done_on=TODAY)
    assert not shown(done, TODAY + timedelta(days=400)).refused


def test_a_part_of_unknown_mass_refuses_and_gives_no_figure(engine):
    known, part = make.part(engine), make.part(engine, name="Lost pedestal")
    weighed(known, 10)
    one = shown(rigged(engine, (known, 1), (part, 1)))
    assert one.total is None
    assert one.calculations == []
    assert any("Lost pedestal is not known: weigh it" in said for said in one.reasons)
    flat = " ".join(shown(rigged(engine, (part, 1), angle_deg=20.0)).reasons)
    assert "under the limit of 30°" in flat


def test_a_lift_without_load_or_gear_is_not_said_to_be_safe(engine):
    assert shown(make.lift(engine)).reasons[0] == "Nothing hangs on the hook yet."
    part = make.part(engine)
    weighed(part, 10)
    bare = shown(make.lift(engine, (part, 1)))
    assert bare.reasons == ["No sling is named yet.", "No hoist is named yet."]
    assert bare.leg.value == pytest.approx(10 / (2 * math.sin(math.pi / 3)))


def test_removed_gear_refuses(engine):
    part = make.part(engine)
    weighed(part, 10)
    gear = make.gear(engine, name="Chain 7")
    lift = rigged(engine, (part, 1), sling=gear)
    saving.remove(gear, by=None, reason="cut up")
    assert "Chain 7 is no longer in the list of gear." in shown(lift).reasons


def test_weighed_comes_before_shapes_and_shapes_before_what_was_typed(engine):
    """A bar of 100 mm by 1000 mm of steel: pi/4 × 0.1² × 1 × 7850 = 61.65 kg; a tenth over 67.82.

    Density of steel 7850 kg/m3, common practice.
    """
    part = make.part(engine, material="steel", mass_kg=80.0)
    assert masses_of(engine, [part])[part.pk].high == pytest.approx(100)  # 80 and a quarter
    make.body(part, "bar", {"diameter": 100, "length": 1000})
    shaped = masses_of(engine, [part])[part.pk]
    assert shaped.kg == pytest.approx(61.65, rel=0.003)
    assert shaped.high >= 1.1 * shaped.kg - 1e-9
    weighed(part, 63, 1)
    weighed(part, 62, 1, day=DAY + timedelta(days=5))
    mass = masses_of(engine, [part])[part.pk]
    assert (mass.kg, mass.low, mass.high) == (62, 61, 63)


def test_lifts_take_as_many_queries_however_many(engine, django_assert_num_queries):
    def grow(n):
        for _ in range(n):
            part = make.part(engine, material="steel")
            make.body(part, "bar", {"diameter": 100, "length": 500})
            rigged(engine, (part, 1))

    grow(2)
    with django_assert_num_queries(7):  # lifts, loads, parts; weighed; shapes, sizes, measures
        lift_sheets(list(lifts_of(engine)), TODAY)
    grow(30)
    with django_assert_num_queries(7):
        assert len(lift_sheets(list(lifts_of(engine)), TODAY)) == 32


def test_what_hangs_on_the_hook_has_its_history(engine):
    part = make.part(engine, 4, name="Ball")
    lift = make.lift(engine)
    lifting_actions.set_load(lift, part, 2, by=None)
    lifting_actions.set_load(lift, part, 2, by=None)  # a second time changes nothing
    lifting_actions.remove_load(lift, part, by=None)
    told = Change.objects.filter(kind="lift", verb="changed").order_by("pk")
    assert [(c.before["on the hook"], c.after["on the hook"]) for c in told] == [
        ("", f"2 × {part}"),
        (f"2 × {part}", ""),
    ]
    assert Lift.objects.get().version == 3


def test_no_more_pieces_hang_than_the_engine_has(engine):
    part, lift = make.part(engine, 2), make.lift(engine)
    for pieces in (0, 3):
        with pytest.raises(Refused, match="hang 1 to 2"):
            lifting_actions.set_load(lift, part, pieces, by=None)
    with pytest.raises(Refused, match="another engine"):
        lifting_actions.set_load(lift, make.part(make.engine()), 1, by=None)


# ---- Hauling and the lorry ----


def test_the_pull_of_a_winch_is_held_against_its_inspection_too(engine):
    """1000 kg on greased timber, level: friction 0.27, so 270 kg; 350 kg at the worst."""
    winch = make.gear(engine, "winch", 500)
    good = hauling.slide(1000, "greased_timber", 0, winch, TODAY)
    assert good.value == pytest.approx(270)
    assert not good.refused
    old = make.gear(engine, "winch", 500, inspect_by=date(2026, 5, 1))
    assert hauling.slide(1000, "greased_timber", 0, old, TODAY).refused
    assert hauling.free_bedded(1000, "mud_half", 0, old, TODAY).refused
    assert hauling.tackle(1000, 4, 0, old, TODAY).refused
    assert hauling.off_centre(100, 300, 600, 900, old, TODAY).refused


def found(engine, kg, n=1, **fields):
    part = make.part(engine, n, **fields)
    if kg is not None:
        weighed(part, kg)
    make.found(part, n)
    return part


def lorry(engine, kg=1000, **fields):
    return make.gear(engine, "lorry", kg, name="Flat bed", **fields)


def test_lorry_loads_by_hand(engine):
    """600 + 400 make one trip of 1000 kg, 500 + 450 another, and no fewer can carry 1950 kg."""
    for kg in (600, 500, 450, 400):
        found(engine, kg)
    make.part(engine, mass_kg=300.0)  # missing: not carried
    loads = hauling.lorry_loads(engine, lorry(engine), TODAY)
    assert [trip.kg for trip in loads.trips] == pytest.approx([1000, 950])
    assert loads.pieces == 4
    assert loads.calculation.value == 2


def test_what_the_lorry_cannot_carry_is_told_and_the_rest_goes(engine):
    found(engine, 1200, name="Bedplate")
    found(engine, None, name="Odd lump")
    found(engine, 300)
    loads = hauling.lorry_loads(engine, lorry(engine), TODAY)
    assert "Bedplate may weigh 1200 kg" in loads.too_heavy[0]
    assert [part.name for part in loads.unknown] == ["Odd lump"]
    assert [trip.kg for trip in loads.trips] == [300]


def test_small_pieces_of_a_part_go_as_a_bundle_and_heavy_ones_singly(engine):
    """20 staves of 1 kg make a bundle of 20 kg; two wheels of 600 kg want a trip each."""
    stave = found(engine, 1, 20)
    found(engine, 600, 2)
    loads = hauling.lorry_loads(engine, lorry(engine), TODAY)
    assert [trip.kg for trip in loads.trips] == [620, 600]
    assert any(f"{stave}, all 20" in name for trip in loads.trips for name in trip.pieces)


@pytest.mark.parametrize("fields", [{"kg": None}, {"inspect_by": DAY}, {"inspected_on": None}])
def test_a_lorry_without_payload_or_out_of_date_carries_nothing(engine, fields):
    found(engine, 10)
    loads = hauling.lorry_loads(engine, lorry(engine, **fields), TODAY)
    assert loads.faults
    assert not loads.trips


def test_lorry_loads_take_as_many_queries_however_many_parts(engine, django_assert_num_queries):
    truck = lorry(engine)

    def grow(n):
        for k in range(n):
            part = make.part(engine, 1, mass_kg=10.0 + k)
            entries.identify(make.find(engine), part, 1, day=DAY, by=None)
            make.body(part, "bar", {"diameter": 50 + k, "length": 500})

    grow(2)
    with django_assert_num_queries(5):
        hauling.lorry_loads(engine, truck, TODAY)
    grow(30)
    with django_assert_num_queries(5):
        hauling.lorry_loads(engine, truck, TODAY)
