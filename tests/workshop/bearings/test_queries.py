"""The bearing sheet: worked by hand beside each figure."""

from math import pi

import pytest

from parts.engineering.calculation import Origin
from parts.workshop.bearings.queries import bearing_sheet
from parts.workshop.metal.models import MetalLot, MetalMove
from tests import make

pytestmark = pytest.mark.django_db
SIZES = {"journal": 100, "shell": 112, "length": 150}


@pytest.fixture
def part():
    return make.part(make.engine(speed_rpm=120), material="white_metal")


def _sheet(part, **fields):
    make.bearing(part, SIZES, **fields)
    return bearing_sheet(part, with_store=True)


def test_bore_clearance_and_metal_follow_from_the_measured_sizes(part):
    # Two thousandths and one for each inch: 0.002 + 0.001 x 100/25.4 in = 0.1508 mm.
    # Bore 100.1508 mm; lining (112 - 100.1508)/2 = 5.9246 mm.
    # Half shell, mandrel smaller by 2.4 mm: pi/8 x (112² - 97.7508²) x 150 = 176 054 mm3;
    # two of them of grade 2.
    sheet = _sheet(part)
    assert sheet.clearance.value == pytest.approx(0.1508, abs=1e-4)
    assert sheet.bore.value == pytest.approx(100.1508, abs=1e-4)
    assert sheet.calculation_named("Thickness of the lining").value == pytest.approx(
        5.9246, abs=1e-4
    )
    half = sheet.calculation_named("White metal in the half").value
    assert half == pytest.approx(pi / 8 * (112**2 - 97.7508**2) * 150, rel=1e-5)
    stays = sheet.calculation_named("White metal in the bearing")
    assert stays.value == pytest.approx(2 * half * 7390e-9, rel=1e-6)
    # A fifth over for the gate, and dross: more is melted than stays.
    assert sheet.melt.value > 1.2 * stays.value
    assert {w.unit for w in sheet.heats} == {"degC"}
    assert len(sheet.heats) == 4


def test_the_store_says_whether_it_is_enough(part):
    sheet = _sheet(part)
    assert sheet.on_hand_kg == 0
    assert sheet.enough.verdict.startswith("Not enough")
    lot = MetalLot.objects.create(engine=part.engine, name="Old shells", material="white_metal")
    MetalMove.objects.create(engine=part.engine, lot=lot, day=make.FIRST_DAY, kg=50)
    other = MetalLot.objects.create(engine=part.engine, name="Gunmetal", material="bronze")
    MetalMove.objects.create(engine=part.engine, lot=other, day=make.FIRST_DAY, kg=99)
    sheet = bearing_sheet(part, with_store=True)
    assert sheet.on_hand_kg == 50
    assert sheet.enough.verdict.startswith("Enough")
    # Whoever may not see the store is not told what lies in it.
    hidden = bearing_sheet(part, with_store=False)
    assert hidden.on_hand_kg is None
    assert hidden.enough is None


def test_pressure_and_speed_where_load_and_speed_are_known(part):
    # 500 kg on 100 x 150 mm: 500 x 9.80665 / 15 000 mm2 = 0.32689 N/mm2 = 326.9 kPa.
    # pi x 0.1 m x 120/60 = 0.6283 m/s; the product is 205.4 kPa m/s.
    sheet = _sheet(part, load_written="500 kg", load_unit="kg", load_kg=500)
    assert [w.value for w in sheet.service] == pytest.approx([326.89, 0.62832, 205.39], rel=1e-4)
    assert sheet.service[0].inputs[0].source == "the weight of 500 kg"


def test_what_is_not_known_is_said(part):
    part.engine.speed_rpm = None
    part.engine.save()
    sheet = _sheet(part)
    assert sheet.troubles == [
        "No load is entered, so no pressure is told.",
        "The speed of the engine is not entered.",
    ]


def test_a_shell_smaller_than_its_bore_is_a_sentence(part):
    make.bearing(part, SIZES | {"shell": 99})
    sheet = bearing_sheet(part, with_store=True)
    assert "leaves no room for metal" in sheet.troubles[0]
    assert sheet.melt is None


def test_a_fast_shaft_gets_no_clearance_by_these_rules(part):
    part.engine.speed_rpm = 900
    part.engine.save()
    sheet = _sheet(part)
    assert sheet.clearance is None
    assert "up to 600 rpm" in sheet.troubles[0]


def test_no_bearing_no_sheet(part):
    assert bearing_sheet(part, with_store=True) is None


@pytest.mark.parametrize(
    ("error", "given", "words"),
    [
        # 1/64 in is 0.397 mm; the clearance of a 100 mm journal is 0.1508 mm.
        (0.397, False, "No bore can be given"),
        (0.1, True, "more than half the clearance"),
        (0.025, True, ""),
        (None, True, "was not entered"),
    ],
)
def test_a_bore_is_only_given_from_a_journal_measured_well_enough(part, error, given, words):
    journal = make.measurement(part, SIZES["journal"], error, what="journal")
    row = make.bearing(part, SIZES)
    row.journal = journal
    row.save()
    bore = bearing_sheet(part, with_store=False).bore
    assert (bore.value is not None) is given
    assert bore.refused is not given
    assert words in bore.verdict
    if words:
        assert "Measure it again with a micrometer" in bore.verdict
    if given and error:
        # The interval has the rules of clearance and the error of the measure in it.
        assert bore.low < 100.1508 - error < 100.1508 + error < bore.high


def test_what_is_measured_and_what_is_calculated_are_told_apart(part):
    make.bearing(part, SIZES)
    shown = bearing_sheet(part, with_store=False)
    origin = {g.letter: g.origin for g in shown.calculation_named("White metal in the half").inputs}
    assert origin == {
        "d": Origin.CALCULATED, "t": Origin.CALCULATED, "L": Origin.MEASURED, "b": Origin.ASSUMED,
    }  # fmt: skip
    length = shown.row.length
    length.nominal = True
    length.save()
    again = bearing_sheet(part, with_store=False).calculation_named("White metal in the half")
    assert next(g.origin for g in again.inputs if g.letter == "L") is Origin.ENTERED
