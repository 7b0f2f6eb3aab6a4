"""The metal and the pours of the demonstration: they load, keep the rules and agree."""

from datetime import timedelta
from decimal import Decimal as D

import pytest

from parts.demo import story, workshop_metal, workshop_shapes
from parts.money.queries.costs import cost_lines
from parts.money.queries.tally import cost_tally
from parts.record.actions import entries
from parts.workshop.metal.models import MetalLot
from parts.workshop.metal.queries import metal_store
from parts.workshop.pours.models import Pour
from parts.workshop.pours.queries.plan import pours_of
from parts.workshop.pours.queries.pour import pour_sheet
from tests import make

pytestmark = pytest.mark.django_db
LAST = make.FIRST_DAY + timedelta(days=300)


@pytest.fixture
def engine():
    """The castings of the story that the pours are of, as they stand on its last day."""
    engine = make.engine(mass_unit="kg")
    people = {name: make.user() for name in ("M. Ellery", "N. Hollis")}
    names = {int(row["item"]): row["name"] for row in story.read("harrow_gap", "parts")}
    for item, pieces, kg, material in (
        (212, 2, 0.55, "bronze"),
        (411, 1, 1.81, "bronze"),
        (208, 1, 0.91, "bronze"),
        (804, 2, 1.13, "cast_iron"),
    ):
        part = make.part(engine, pieces, item=item, name=names[item], material=material, mass_kg=kg)
        job = make.job(part, "cast", pieces)
        if item == 212:
            entries.reach(job, "poured", 2, day=LAST - timedelta(days=75), by=None)
    brass = make.part(engine, 1, item=1306, material="bronze")
    find = make.find(engine, tag="HG-0072", material="bronze")
    entries.identify(find, brass, 1, day=make.FIRST_DAY, by=None)
    entries.condemn(brass, 1, day=make.FIRST_DAY, by=None, reason="cracked")
    workshop_shapes.load(engine, people, LAST)
    what = f"{workshop_metal.BILL} for the cocks and tail guide"
    make.cost(engine, "castings", ("paid", make.FIRST_DAY, 335), what=what)
    workshop_metal.load(engine, people, LAST)
    return engine


def test_the_pour_hands_on_what_its_bill_paid_for(engine):
    """Metal (5.7 − 4.45) × 9.40 = 11.75, gas 18.00: out of the one bill, to the castings."""
    spent = {line.item: line.spent for line in cost_lines(engine)}
    # Gas by the mass poured, 2 × 1.05 and 3.45 kg; the metal of the waster came back.
    assert spent == {212: D("18.56"), 411: D("11.19"), None: D("305.25")}
    assert cost_tally(engine).spent == 335


def test_one_pour_happened_and_two_are_planned(engine):
    told = [(p.pour.number, p.pieces, p.good, bool(p.pour.poured_on)) for p in pours_of(engine)]
    assert sorted(told) == [(1, 3, 2, True), (2, 2, 0, False), (3, 2, 0, False)]
    assert all(p.pour.made_by for p in pours_of(engine))


def test_the_store_agrees_with_its_pours(engine):
    store = metal_store(engine)
    ingot = next(lot for lot in store.lots if lot.name == "Steam bronze ingot")
    # 25 bought, 5.7 charged for pour 1, 7.4 set aside for pour 2.
    assert ingot.on_hand_kg == pytest.approx(19.3)
    assert ingot.aside_kg == pytest.approx(7.4)
    returns = next(lot for lot in store.lots if lot.name == "Returns of pour 1")
    assert returns.on_hand_kg == 4.45
    first = pour_sheet(Pour.objects.get(number=1))
    assert first.charge.kg == pytest.approx(first.returned_kg + first.gone_kg)
    assert store.on_hand_kg == pytest.approx(
        sum(row[4] for row in workshop_metal.LOTS) - 0.6 - 5.7 + 4.45
    )


def test_every_charge_is_judged_and_within_its_limits(engine):
    for pour in Pour.objects.filter(metal="C92200"):
        charge = pour_sheet(pour).charge
        assert charge.trouble == ""
        assert charge.analysis
    iron = pour_sheet(Pour.objects.get(metal="grey_iron"))
    # Piston rings, of iron that suits them, soft enough for their section.
    assert iron.charge.trouble == ""
    assert not any(w.refused for w in iron.charge.analysis)
    assert "silicon is not judged" not in iron.charge.analysis[0].verdict
    assert not iron.limit.refused


def test_no_pour_to_come_is_short_of_metal(engine):
    for pour in Pour.objects.filter(poured_on=None):
        assert pour_sheet(pour).short == []


def test_the_sash_weights_are_good_for_no_ring(engine):
    lot = next(lot for lot in metal_store(engine).lots if lot.name == "Sash weights")
    assert lot.good_for.startswith("Good for weights")


def test_a_lot_is_the_cracked_brass_that_was_found(engine):
    assert MetalLot.objects.get(find__tag="HG-0072").name == "Cracked top brass"
