"""The metal store and the pour plan against examples worked by hand, and mass conserved."""

import time
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from parts.engineering.materials import properties
from parts.record.actions import entries
from parts.record.models import Job, Part, PieceEntry
from parts.workshop.metal import actions as metal_actions
from parts.workshop.metal.models import MetalLot
from parts.workshop.metal.queries import metal_store, moves_of
from parts.workshop.pours.actions import pours
from parts.workshop.pours.actions.pours import Result, Weighed
from parts.workshop.pours.queries.plan import pour_plan
from parts.workshop.pours.queries.pour import expected_back_kg, pour_sheet
from tests import make

pytestmark = pytest.mark.django_db
DAY = make.FIRST_DAY


def casting(engine, pieces=1, kg=1.0, material="bronze", **fields):
    part = make.part(engine, pieces, material=material, mass_kg=kg, **fields)
    return make.job(part, "cast", pieces)


def pure(engine, key, kg, value=0):
    return make.lot(
        engine, kg, name=key, scrap_key=f"pure_{key}", material="not_known", value_per_kg=value
    )


def plate(engine, **fields):
    """A bronze plate 100 x 100 x 20 mm to be cast, machined all over its thickness by 3 mm."""
    part = make.part(engine, 1, material="bronze", name="Plate", **fields)
    thick = make.measurement(part, 20, what="Thickness")
    make.body(part, "plate", {"width": 100, "length": 100, "thickness": thick})
    make.face(part, thick, "boss", allowance_mm=3.0, allowance_written="3 mm")
    return make.job(part, "cast", 1)


# Finishing stock


def test_the_charge_of_a_pour_holds_the_finishing_stock(engine):
    # Worked by hand: tin bronze 8.8 g/cm3, 200 cm3 finished, 260 cm3 with 3 mm on both sides,
    # the usual yield of the table.
    plate(engine)
    make.crucible(engine, 12.0)
    (metal,) = pour_plan(engine).metals
    (waiting,) = metal.waiting
    share = properties.figure("tin_bronze", "yield").value
    assert waiting.poured_kg == pytest.approx(0.260 * 8.8 / share)
    assert waiting.short == ""


def test_a_charge_that_leaves_out_the_stock_is_not_called_enough(engine):
    job = casting(engine, 2, 1.0, name="Bush", item=9)
    make.crucible(engine, 12.0)
    (waiting,) = pour_plan(engine).metals[0].waiting
    assert waiting.short.startswith("Short by the finishing stock")
    pour = make.pour(engine, (job, 2, waiting.poured_kg))
    (said,) = pour_sheet(pour).short
    assert "9 Bush: Short by the finishing stock" in said
    # Somebody added it by hand: the sheet takes the word for it.
    assert pour_sheet(make.pour(engine, (casting(engine), 1, 2.5))).short == []


def test_less_poured_than_the_casting_holds_is_said(engine):
    pour = make.pour(engine, (plate(engine), 1, 2.0))
    (said,) = pour_sheet(pour).short
    assert "less than the casting itself, 2.317 kg" in said


def test_less_set_aside_than_is_wanted_is_said(engine):
    pour = make.pour(engine, (plate(engine), 1, 4.0))
    lot = make.lot(engine, 10)
    pours.set_aside(pour, {lot: Weighed(3.0, "3 kg", "kg")}, by=None)
    (said,) = pour_sheet(pour).short
    assert said.startswith("3 kg")
    assert "are wanted" in said


def test_the_pour_plan_takes_as_many_queries_however_many_castings(
    engine, django_assert_num_queries
):
    make.crucible(engine, 12.0)
    plate(engine)
    with CaptureQueriesContext(connection) as few:
        pour_plan(engine)
    for _ in range(6):
        part = plate(engine).part
        make.face(part, make.measurement(part, 5, what="Bore"), "bore")
    with django_assert_num_queries(len(few)):
        pour_plan(engine)


# Iron


def iron(engine, key, kg=40.0, value="0.60"):
    return make.lot(
        engine, kg, name=key, scrap_key=key, material="cast_iron", value_per_kg=Decimal(value)
    )


@pytest.fixture
def rings(engine):
    job = casting(engine, 2, 1.0, "cast_iron", name="Piston ring", item=4)
    return make.pour(engine, (job, 2, 1.9), metal="grey_iron", pot=make.crucible(engine, 12.0))


def test_piston_rings_are_not_poured_of_sash_weights(engine, rings):
    iron(engine, "sash_weights")
    charge = pour_sheet(rings).charge
    assert charge.weights == ()
    assert charge.trouble.startswith("No iron in the store suits 4 Piston ring.")
    assert "Hard and often white" in charge.trouble
    # Dearer iron that suits is taken, and the sash weights are left.
    iron(engine, "engine_blocks", value="1.20")
    charge = pour_sheet(rings).charge
    assert [w.lot.name for w in charge.weights] == ["engine_blocks"]
    assert charge.trouble == ""
    (judged,) = charge.analysis
    assert judged.name == "Carbon equivalent of the charge, for 4 Piston ring"
    assert 3.5 < judged.low < judged.value < judged.high < 4.5
    assert "test wedge" in judged.verdict


def test_what_was_set_aside_all_the_same_is_called_unsuitable(engine, rings):
    weights = iron(engine, "sash_weights")
    pours.set_aside(rings, {weights: Weighed(4.2, "4.2 kg", "kg")}, by=None)
    charge = pour_sheet(rings).charge
    assert charge.analysis[0].refused
    assert charge.trouble.startswith("Not suitable for piston rings")


def test_sash_weights_are_proposed_for_foundation_washers(engine):
    iron(engine, "sash_weights")
    washers = casting(engine, 4, 0.9, "cast_iron", name="Foundation washer")
    charge = pour_sheet(make.pour(engine, (washers, 4, 1.6), metal="grey_iron")).charge
    assert [w.lot.name for w in charge.weights] == ["sash_weights"]
    assert not charge.analysis[0].refused


def test_iron_that_nobody_knows_is_not_judged_and_the_sheet_says_how_to_look(engine, rings):
    lot = make.lot(engine, 40, name="Old heap", scrap_key="", material="cast_iron")
    pours.set_aside(rings, {lot: Weighed(4.2, "4.2 kg", "kg")}, by=None)
    charge = pour_sheet(rings).charge
    assert charge.analysis == ()
    assert "break a piece" in charge.trouble


def test_the_section_of_a_casting_comes_from_its_shapes(engine):
    # A plate 12.7 mm thick wants 2.475 % silicon in the melt: no machinery iron has it.
    iron(engine, "machinery_heavy")
    part = make.part(engine, 1, material="cast_iron", name="Bracket", mass_kg=1.0)
    make.body(part, "plate", {"width": 100, "length": 100, "thickness": 12.7})
    pour = make.pour(engine, (make.job(part, "cast", 1), 1, 1.9), metal="grey_iron")
    charge = pour_sheet(pour).charge
    assert "A section of 12.7 mm wants about 2.5 % silicon" in charge.trouble


# The store


def test_the_store_adds_up_what_came_and_went(engine):
    bushes = make.lot(engine, 10, value_per_kg=Decimal("4.50"))
    metal_actions.book(bushes, -2.5, day=DAY, by=None)
    metal_actions.book(bushes, 1.0, day=DAY + timedelta(days=1), by=None)
    make.lot(engine, 4, material="brass", scrap_key="red_valves")
    store = metal_store(engine)
    line = store.lot(bushes.pk)
    # 10 + 1 in, 2.5 out: 8.5 left at 4.50 is 38.25.
    assert (line.in_kg, line.out_kg, line.on_hand_kg) == (11.0, 2.5, 8.5)
    assert line.worth == Decimal("38.25")
    assert store.on_hand_kg == 12.5
    assert store.by_material == [("brass", 4.0), ("bronze", 8.5)]
    assert [m.left_kg for m in moves_of(bushes)] == [8.5, 7.5, 10.0]
    # The usual of old bushes, with its range as the scrap table has it.
    tin = next(s for s in line.shares if s.element == "Sn")
    assert (tin.percent, tin.low, tin.high, tin.guessed) == (8.0, 6.0, 10.0, True)


def test_a_lot_that_nobody_knows_says_so_and_goes_into_no_charge(engine):
    lot = make.lot(engine, 9, scrap_key="", percent={})
    line = metal_store(engine).lot(lot.pk)
    assert line.metal is None
    assert "have it assayed" in line.evidence
    sheet = pour_sheet(make.pour(engine, (casting(engine), 1, 1.0)))
    assert sheet.charge.weights == ()
    assert "holds nothing for" in sheet.charge.trouble


# The plan


def test_castings_of_one_metal_are_gathered_for_the_crucible(engine):
    """Two of 4 kg and four of 1 kg, tin bronze, in a crucible that carries 12 kg.

    1. Yield 0.525, loss 0.0175: each kilogram of casting takes 1 ÷ (0.525 × 0.9825) =
       1.93869 kg of charge.
    2. So the large take 7.75475 kg, the small 1.93869 kg; all six 23.2642 kg.
    3. 23.2642 ÷ 12 = 1.94: two pours at least.
    4. 7.75475 + 2 × 1.93869 = 11.6321 kg ≤ 12, twice: two pours do.
    """
    large, small = casting(engine, 2, 4.0, name="Large"), casting(engine, 4, 1.0, name="Small")
    make.crucible(engine, 12.0)
    (plan,) = pour_plan(engine).metals
    assert (plan.material, plan.metal, plan.pieces) == ("bronze", "tin_bronze", 6)
    each = {w.job_id: w.charge_kg for w in plan.waiting}
    assert each[small.pk] == pytest.approx(1.93869, abs=1e-5)
    assert each[large.pk] == pytest.approx(7.75475, abs=1e-5)
    assert [p.charge_kg for p in plan.proposed] == pytest.approx([11.6321, 11.6321], abs=1e-4)
    assert all(p.take == f"{large.pk}x1,{small.pk}x2" for p in plan.proposed)
    assert plan.charge_kg == pytest.approx(23.2642, abs=1e-4)


def test_the_smallest_crucible_that_carries_it_is_proposed(engine):
    casting(engine, 1, 1.0)
    make.crucible(engine, 30.0, name="large")
    make.crucible(engine, 3.0, name="small")
    make.crucible(engine, 2.0, name="cracked", good=False)
    (plan,) = pour_plan(engine).metals
    assert plan.proposed[0].crucible.name == "small"


def test_a_crucible_that_held_iron_is_not_proposed_for_bronze(engine):
    small, large = make.crucible(engine, 5.0, name="small"), make.crucible(engine, 12.0)
    iron = casting(engine, 1, 1.0, "cast_iron")
    make.pour(engine, (iron, 1, 1.6), metal="grey_iron", pot=small)
    casting(engine, 1, 1.0)
    casting(engine, 1, 1.0, "brass")
    plans = {m.material: m for m in pour_plan(engine).metals}
    assert {plans[m].proposed[0].crucible for m in ("brass", "bronze")} == {large}
    bronze = make.pour(engine, (casting(engine), 1, 1.9), pot=large)
    assert not any("another metal" in c.act for c in pour_sheet(bronze).cautions)
    wrong = make.pour(engine, (casting(engine), 1, 1.9), pot=small)
    assert "another metal" in pour_sheet(wrong).cautions[0].act
    # Brass and bronze share a crucible; iron and they do not.
    assert pour_plan(engine, material="brass").metals[0].proposed[0].crucible == large


def test_poured_and_planned_castings_wait_no_more(engine):
    job = casting(engine, 5, 1.0)
    entries.reach(job, "poured", 2, day=DAY, by=None)
    make.pour(engine, (job, 1, 1.9))
    (plan,) = pour_plan(engine).metals
    assert (plan.pieces, plan.planned, plan.proposed[0].pieces) == (2, 1, 2)


def test_a_casting_too_big_or_of_unknown_mass_is_told_and_the_rest_is_planned(engine):
    casting(engine, 1, 30.0, name="Bracket")
    casting(engine, 1, None, name="Cock")
    casting(engine, 1, 1.0, name="Bush")
    casting(engine, 1, 3.0, "wood", name="Handle")
    make.crucible(engine, 12.0)
    bronze, wood = pour_plan(engine).metals
    assert [w.line.name for w in bronze.too_big] == ["Bracket"]
    assert "Bracket takes 58.16 kg and the crucible carries 12 kg" in bronze.too_big[0].too_big
    assert [w.line.name for w in bronze.unknown] == ["Cock"]
    assert bronze.proposed[0].pieces == 1
    assert wood.proposed == ()
    assert "No table here" in wood.unknown[0].why_not


def test_only_what_has_its_pattern_is_planned_when_asked(engine):
    casting(engine, 1, 1.0)
    ready = casting(engine, 1, 1.0)
    entries.reach(ready, "pattern_made", 1, day=DAY, by=None)
    make.crucible(engine, 12.0)
    (plan,) = pour_plan(engine, ready=True).metals
    assert [w.job_id for w in plan.waiting] == [ready.pk]


# A pour


def gunmetal(engine):
    """A pour of two castings of gunmetal and a store of pure metals."""
    job = casting(engine, 2, 2.5)
    lots = {
        "copper": pure(engine, "copper", 30, 8),
        "tin": pure(engine, "tin", 5, 30),
        "zinc": pure(engine, "zinc", 2, 3),
    }
    pot = make.crucible(engine, 12.0)
    return make.pour(engine, (job, 2, 4.9125), metal="C90500", pot=pot), lots


def test_the_proposed_charge_fills_the_crucible_and_keeps_the_limits(engine):
    """2 × 4.9125 = 9.825 kg to pour; ÷ (1 − 0.0175) = 10 kg to charge."""
    pour, _ = gunmetal(engine)
    sheet = pour_sheet(pour)
    assert sheet.to_charge.value == pytest.approx(10.0)
    assert sheet.charge.kg == pytest.approx(10.0)
    assert sheet.charge.status == "proposed"
    free = {line.pk: line.free_kg for line in metal_store(engine).lots}
    assert all(w.kg <= free[w.lot.pk] + 1e-9 for w in sheet.charge.weights)
    limits = {"copper": (86, 89), "tin": (9, 11), "zinc": (1, 3)}
    found = {w.name.split()[2]: w.value for w in sheet.charge.analysis}
    assert all(low <= found[e] <= high for e, (low, high) in limits.items())


def test_a_charge_set_aside_is_judged_as_it_stands(engine):
    """8.8 kg copper, 1.0 kg tin, 0.2 kg zinc, by hand.

    1. What melting leaves: 8.8 × 0.995 = 8.756; 1.0 × 0.99 = 0.990; 0.2 × 0.95 = 0.190.
    2. In all 9.936 kg, enough for the 9.825 kg to pour.
    3. Shares: 8.756 ÷ 9.936 = 88.124 %; 0.990 ÷ 9.936 = 9.964 %; 0.190 ÷ 9.936 = 1.912 %.
    4. Cost: 8.8 × 8 + 1.0 × 30 + 0.2 × 3 = 101.
    """
    pour, lots = gunmetal(engine)
    kg = {"copper": 8.8, "tin": 1.0, "zinc": 0.2}
    pours.set_aside(pour, {lots[k]: Weighed(v) for k, v in kg.items()}, by=None)
    sheet = pour_sheet(pour)
    assert sheet.charge.status == "set aside"
    assert sheet.charge.melt.value == pytest.approx(9.936)
    found = {w.name.split()[2]: w.value for w in sheet.charge.analysis}
    assert found["copper"] == pytest.approx(88.124, abs=1e-3)
    assert found["tin"] == pytest.approx(9.964, abs=1e-3)
    assert found["zinc"] == pytest.approx(1.912, abs=1e-3)
    assert sheet.charge.cost.value == pytest.approx(101.0)
    assert {w.lot.name: w.kg for w in sheet.charge.weights} == kg
    # Copper is charged first, zinc last.
    assert [w.lot.name for w in sheet.charge.weights] == ["copper", "tin", "zinc"]


def test_a_charge_that_misses_its_limits_says_which_and_what_to_add(engine):
    job = casting(engine, 1, 2.0)
    lot = make.lot(engine, 20, percent={"Cu": 95, "Sn": 5}, known="assayed")
    pour = make.pour(engine, (job, 1, 3.93), metal="C90500")
    sheet = pour_sheet(pour)
    assert sheet.charge.weights == ()
    assert "Too little tin" in sheet.charge.trouble
    assert "Add " in sheet.charge.trouble
    pours.set_aside(pour, {lot: Weighed(4.0)}, by=None)
    assert "Too little tin" in pour_sheet(pour).charge.trouble


def test_mass_is_conserved_from_the_store_to_castings_and_back(engine):
    """The store holds 37 kg; 10 are charged and 4.6 come back: 31.6 stand in it after.

    Of the 10 charged, 4.6 came back and 5.4 are castings, dross and fume.
    """
    pour, lots = gunmetal(engine)
    kg = {"copper": 8.8, "tin": 1.0, "zinc": 0.2}
    before = metal_store(engine)
    assert before.on_hand_kg == 37.0
    pours.set_aside(pour, {lots[k]: Weighed(v) for k, v in kg.items()}, by=None)
    aside = metal_store(engine)
    assert (aside.on_hand_kg, aside.aside_kg) == (37.0, pytest.approx(10.0))
    (row,) = pour.castings.all()
    pours.record_result(
        pour,
        {"poured_on": DAY + timedelta(days=9)},
        {row.pk: Result(1, "cold shut")},
        {lots[k]: Weighed(v) for k, v in kg.items()},
        Weighed(4.6),
        by=None,
    )
    pour.refresh_from_db()
    sheet, after = pour_sheet(pour), metal_store(engine)
    assert after.aside_kg == 0
    assert after.on_hand_kg == pytest.approx(31.6)
    assert sheet.charge.status == "used"
    assert sheet.charge.kg == pytest.approx(10.0)
    assert sheet.charge.kg == pytest.approx(sheet.returned_kg + sheet.gone_kg)
    assert sheet.gone_kg == pytest.approx(5.4)
    # What came back is what the charge became: step 3 above.
    returns = after.lot(MetalLot.objects.get(name="Returns of pour 1").pk)
    shares = {s.element: s.percent for s in returns.shares}
    assert shares["Cu"] == pytest.approx(88.124, abs=1e-3)
    assert returns.evidence.startswith("Calculated. From the charge of pour 1")
    # Pure tin is 99.5 to 100 %, so of the tin in the melt at least 0.995 × 9.964 = 9.914 %.
    tin = next(s for s in returns.shares if s.element == "Sn")
    assert (tin.low, tin.high) == (
        pytest.approx(9.914, abs=1e-3),
        pytest.approx(9.964, abs=1e-3),
    )
    assert (sheet.good, sheet.pieces) == (1, 2)


def test_returns_of_returns_are_known_too_and_keep_their_range(engine):
    lot, job = make.lot(engine, 20), casting(engine, 4, 1.0)
    for n, charged, back in ((1, 4.0, 2.5), (2, 2.0, 0.5)):
        source = lot if n == 1 else MetalLot.objects.get(name="Returns of pour 1")
        pour = make.pour(engine, (job, 1, 1.9))
        (row,) = pour.castings.all()
        pours.record_result(
            pour,
            {"poured_on": DAY + timedelta(days=n)},
            {row.pk: Result(1)},
            {source: Weighed(charged)},
            Weighed(back),
            by=None,
        )
    second = MetalLot.objects.get(name="Returns of pour 2")
    tin = next(s for s in metal_store(engine).lot(second.pk).shares if s.element == "Sn")
    assert tin.percent == pytest.approx(8.0, abs=0.1)
    assert (tin.low, tin.high) == (pytest.approx(6.0, abs=0.2), pytest.approx(10.0, abs=0.2))


def test_what_should_come_back_is_the_melt_less_the_castings(engine):
    """9.825 kg poured at a yield of 0.525 are 5.158 kg of castings.

    The charge of the example leaves 9.936 kg: 9.936 − 5.158 = 4.778 kg.
    """
    pour, lots = gunmetal(engine)
    kg = {"copper": 8.8, "tin": 1.0, "zinc": 0.2}
    pours.set_aside(pour, {lots[k]: Weighed(v) for k, v in kg.items()}, by=None)
    assert expected_back_kg(pour_sheet(pour)) == pytest.approx(4.778, abs=1e-3)


def test_iron_that_nobody_knows_is_charged_by_value_and_not_called_suitable(engine):
    job = casting(engine, 1, 5.0, "cast_iron")
    make.lot(engine, 6, material="cast_iron", scrap_key="", name="old grate", value_per_kg=1)
    make.lot(engine, 6, material="cast_iron", scrap_key="", name="sash weights")
    pour = make.pour(engine, (job, 1, 7.72), metal="grey_iron")
    charge = pour_sheet(pour).charge
    # 7.72 ÷ (1 − 0.035) = 8 kg: all 6 of what is worth nothing, then 2 of the other.
    assert [(w.lot.name, round(w.kg, 6)) for w in charge.weights] == [
        ("sash weights", 6.0),
        ("old grate", 2.0),
    ]
    assert "Nobody has said what iron sash weights and old grate is" in charge.trouble


def test_heat_fuel_and_time_come_with_their_cautions(engine):
    pour, _ = gunmetal(engine)
    pour.burner_kw = 20.0
    sheet = pour_sheet(pour)
    names = [w.name for w in sheet.calculations]
    assert {"Heat to melt", "Pouring temperature", "Time at the burner"} <= set(names)
    assert any("water" in c.act for c in sheet.cautions)
    assert any("gas bottles" in c.act for c in sheet.cautions)


# Large engines


def large(engine, parts=5000, cast=600):
    component = make.component(engine)
    Part.objects.bulk_create(
        [
            Part(
                engine=engine,
                component=component,
                item=10_000 + n,
                name=f"Part {n}",
                material=("bronze", "brass", "cast_iron", "aluminium")[n % 4],
                mass_kg=0.2 + (n * 37 % 211) / 60,
            )
            for n in range(parts)
        ],
        batch_size=500,
    )
    rows = list(Part.objects.filter(engine=engine, item__gte=10_000).order_by("item")[:cast])
    jobs = Job.objects.bulk_create([Job(engine=engine, part=part, route="cast") for part in rows])
    PieceEntry.objects.bulk_create(
        [
            PieceEntry(engine=engine, part=m.part, job=m, kind="decided", pieces=1, day=DAY)
            for m in jobs
        ],
        batch_size=500,
    )


def asked_for(engine) -> int:
    with CaptureQueriesContext(connection) as asked:
        pour_plan(engine)
    return len(asked)


def test_the_plan_of_5000_parts_takes_the_queries_of_a_small_one(engine):
    make.crucible(engine, 14.0)
    casting(engine, 2)
    few = asked_for(engine)
    large(engine)
    assert asked_for(engine) == few
    begun = time.perf_counter()
    plan = pour_plan(engine)
    # Three times the promised 300 ms, for machines that are busy with other things.
    assert time.perf_counter() - begun < 0.9
    assert plan.pieces == 602
    proposed = sum(p.pieces for m in plan.metals for p in m.proposed)
    assert proposed + sum(w.pieces for m in plan.metals for w in m.too_big) == 602
    for metal_plan in plan.metals:
        assert all(p.charge_kg <= p.limit_kg + 1e-9 for p in metal_plan.proposed)
