"""The metal store of the sawmill engine, its crucibles, one pour that happened and two to come.

All of it is invented. What the story says of castings poured stands already: the pour of late
summer is saved beside it and moves no stage.
"""

from datetime import date, timedelta
from decimal import Decimal

from parts.engineering.materials import properties
from parts.money.models import CostItem
from parts.record.actions import saving
from parts.record.models import Engine, Find, Job
from parts.workshop.metal import actions as metal_actions
from parts.workshop.metal.models import Crucible, MetalLot, MetalMove
from parts.workshop.pours.actions import pours
from parts.workshop.pours.actions.costs import BoughtItem
from parts.workshop.pours.actions.pours import Result, Weighed
from parts.workshop.pours.models import Pour

# name, material, known, scrap or alloy, kg, pounds sterling a kilogram, days before, where from,
# kept at, find
LOTS = (
    ("Steam bronze ingot", "bronze", "known", "C92200", 25.0, "9.40", 110,
     "Bought from a founder, his paper says C92200", "Foundry shelf, left", ""),
    ("Valve bodies", "brass", "assumed", "red_valves", 21.5, "4.80", 108,
     "A barrow load from a plumber who gave up", "Bin 1", ""),
    ("Bushes off the dead thresher", "bronze", "assumed", "bushes", 13.2, "5.20", 96,
     "The farm over the hill", "Bin 2", ""),
    ("Cracked top brass", "bronze", "assumed", "bushes", 10.0, "5.20", 90,
     "Off the engine, beyond repair", "Bench 4", "HG-0072"),
    ("Copper pipe", "copper", "assumed", "copper_pipe", 8.4, "6.10", 96,
     "Out of the farmhouse", "Bin 3", ""),
    ("Tin bar", "not_known", "assumed", "pure_tin", 4.0, "27.00", 88,
     "Bought", "Locked box", ""),
    ("Zinc bar", "not_known", "assumed", "pure_zinc", 2.0, "3.10", 88,
     "Bought", "Locked box", ""),
    ("Lead flashing", "lead", "assumed", "pure_lead", 6.5, "1.90", 80,
     "The old roof", "Bin 4, lid on", ""),
    ("White metal, old strips", "white_metal", "assumed", "old_tin_metal", 11.3, "14.00", 84,
     "Melted out of old shells at an autojumble stall", "Locked box", ""),
    ("Tin-base white metal, new", "white_metal", "known", "B23-2", 10.0, "31.00", 60,
     "Bought, with the maker's paper", "Locked box", ""),
    ("Engine blocks, broken", "cast_iron", "assumed", "engine_blocks", 62.0, "1.10", 64,
     "Two blocks from the garage in the village, broken with a sledge", "Under the bench", ""),
    ("Ferrosilicon, 75 %", "cast_iron", "assumed", "ferrosilicon", 2.0, "4.50", 64,
     "Bought", "Locked box", ""),
    ("Sash weights", "cast_iron", "assumed", "sash_weights", 46.0, "0.60", 70,
     "Pulled out of a chapel. For foundation washers, no more", "Under the bench", ""),
)  # fmt: skip
# name, kg of bronze, brim in litres, fit, days before
CRUCIBLES = (
    ("No. 16, bilge shape", 17.4, 2.45, True, 76),
    ("No. 14, iron only", 15.2, 2.15, True, 12),
    ("No. 30", 32.6, None, False, 76),
)
# The bill of the ingot and of the gas, among the costs of the story.
BILL = "September pour: gas and bronze"
COLD_SHUT = "Cold shut half way round, metal too cool when it reached the last mould"


def load(engine: Engine, people: dict, last_day: date) -> list[Pour]:
    """Write the store and the pours; return the pours.

    Args:
        engine: The sawmill engine. Castings that it does not have are left out.
        people: Users by the name they sign with.
        last_day: The last day of the story.
    """
    lead, moulder = people.get("M. Ellery"), people.get("N. Hollis")
    lots = {row[0]: _lot(engine, row, last_day, by=lead) for row in LOTS}
    pots = [_crucible(engine, row, last_day, by=lead) for row in CRUCIBLES]
    ingot, blocks = lots["Steam bronze ingot"], lots["Engine blocks, broken"]
    soft = lots["Ferrosilicon, 75 %"]
    bill = CostItem.objects.filter(engine=engine, what__startswith=BILL).first()
    if bill is not None:
        ingot = metal_actions.change_lot(ingot, {"bought_as": bill}, seen=ingot.version, by=lead)
    metal_actions.book(
        lots["Valve bodies"],
        -0.6,
        day=last_day - timedelta(days=40),
        by=moulder,
        written="600 g",
        unit="g",
        reason="Two plugs turned for the oil cups",
    )
    found = [
        _poured(engine, ingot, bill, pots[0], last_day - timedelta(days=75), by=lead),
        _planned(
            engine,
            Pour(metal="C92200", crucible=pots[0], planned_for=last_day + timedelta(days=16)),
            ((411, 1, 4.45), (208, 1, 2.7)),
            {ingot: Weighed(7.4, "7.4 kg", "kg")},
            by=lead,
        ),
        _planned(
            engine,
            Pour(metal="grey_iron", crucible=pots[1], planned_for=last_day + timedelta(days=16)),
            ((804, 2, 5.16),),
            {blocks: Weighed(10.6, "10.6 kg", "kg"), soft: Weighed(0.15, "150 g", "g")},
            by=lead,
        ),
    ]
    return [pour for pour in found if pour]


def _lot(engine, row, last_day, *, by) -> MetalLot:
    name, material, known, inside, kg, price, days, where, kept_at, tag = row
    alloy = known == MetalLot.Known.KNOWN
    find = Find.objects.filter(engine=engine, tag=tag).first() if tag else None
    lot = MetalLot(
        engine=engine,
        name=name,
        material=material,
        known=known,
        scrap_key="" if alloy else inside,
        percent=dict(properties.alloy(inside).nominal) if alloy else {},
        value_per_kg=Decimal(price),
        where_from=where,
        kept_at=kept_at,
        find=find,
    )
    move = MetalMove(
        day=last_day - timedelta(days=days), kg=kg, written=f"{kg:g} kg", unit="kg", reason=where
    )
    return metal_actions.new_lot(lot, move, by=by)


def _crucible(engine, row, last_day, *, by) -> Crucible:
    name, carries_kg, brim_l, good, days = row
    pot = Crucible(
        engine=engine,
        name=name,
        carries_kg=carries_kg,
        brim_l=brim_l,
        good=good,
        looked_on=last_day - timedelta(days=days),
    )
    return saving.add(pot, by=by)


def _castings(engine, wanted):
    jobs = {
        job.part.item: job
        for job in Job.objects.filter(engine=engine, route="cast").select_related("part")
    }
    return [(jobs[item], n, kg) for item, n, kg in wanted if item in jobs]


def _planned(engine, pour, wanted, charge, *, by) -> Pour | None:
    castings = _castings(engine, wanted)
    if not castings:
        return None
    pour.engine, pour.fuel, pour.burner_kw = engine, "propane", 28.0
    pour.who = "M. Ellery, N. Hollis"
    pours.plan(pour, castings, by=by)
    pours.set_aside(pour, charge, by=by)
    return pour


def _poured(engine, ingot, bill, pot, day, *, by) -> Pour | None:
    """Two drain cocks and the tail guide; the guide, poured last, was a waster."""
    castings = _castings(engine, ((212, 2, 1.05), (411, 1, 3.45)))
    if not castings:
        return None
    pour = Pour(
        engine=engine, metal="C92200", crucible=pot, planned_for=day, burner_kw=28.0,
        who="N. Hollis, M. Ellery",
    )  # fmt: skip
    pours.plan(pour, castings, by=by, already=True)
    results = {
        c.pk: Result(0, COLD_SHUT) if c.job.part.item == 411 else Result(c.pieces)
        for c in pour.castings.select_related("job__part")
    }
    values = {
        "poured_on": day,
        **Pour.temperature.columns("1155 C", engine),
        "happened": "Cocks clean. Ran to the end of the heat with the guide: next time it goes "
        "first, and hotter.",
    }
    return pours.record_result(
        pour,
        values,
        results,
        {ingot: Weighed(5.7, "5.7 kg", "kg")},
        Weighed(4.45, "4.45 kg", "kg"),
        [BoughtItem("Propane", Decimal("18.00"), bill)],
        by=by,
        move_stages=False,
    )
