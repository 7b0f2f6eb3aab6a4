"""The pattern sheet: sizes and masses, worked by hand beside each."""

import pytest

from parts.engineering.calculation import Origin
from parts.workshop.patterns.queries.pattern import pattern_sheet
from tests import make

pytestmark = pytest.mark.django_db
OWN = {"allowance_mm": 3.0, "allowance_written": "3 mm", "contraction_percent": 1.0}


@pytest.fixture
def part():
    return make.part(make.engine(tag_prefix="HG"), 2, item=402, material="cast_iron")


def test_allowance_comes_first_then_contraction(part):
    # Outside, machined both ends: (444.5 + 2 x 3) x 1.01 = 455.005 mm.
    # Bore, machined: (60 - 2 x 3) x 1.01 = 54.54 mm. Step: 80 x 1.01 = 80.8 mm.
    make.face(part, make.measurement(part, 444.5, what="Length"), "boss", **OWN)
    make.face(part, make.measurement(part, 60, what="Bore"), "bore", **OWN)
    make.face(part, make.measurement(part, 80, what="Step"), "step", **OWN)
    lines = pattern_sheet(part).lines
    assert [line.size.value for line in lines] == pytest.approx([455.005, 54.54, 80.8])
    assert [line.word for line in lines] == ["pattern", "core", "pattern"]
    assert lines[0].shrinks_mm == pytest.approx(4.505)
    assert lines[0].allowance.value == 3
    assert lines[2].allowance is None
    assert lines[0].size.inputs[0].source.startswith("Length: 444.5 mm")


def test_without_own_figures_the_tables_answer_with_their_range(part):
    make.face(part, make.measurement(part, 444.5, what="Length"), "boss")
    (line,) = pattern_sheet(part).lines
    assert line.size.low < line.size.value < line.size.high
    assert "Ask the founder" in line.size.cautions[-1].act
    assert "either way here" in line.size.cautions[-1].why


def test_draft_is_added_last_over_the_least_outside_size(part):
    # 100 x 1.01 = 101 mm; a draw of 20 mm at 2 degrees leans 20 x tan 2° = 0.6984 mm a side:
    # 101 + 2 x 0.6984 = 102.397 mm at the parting.
    make.face(part, make.measurement(part, 20, what="Thickness"), "rough", contraction_percent=1)
    wide = make.measurement(part, 100, what="Width")
    make.face(part, wide, "rough", contraction_percent=1, draft_deg=2)
    line = pattern_sheet(part).lines[1]
    assert line.size.value == pytest.approx(101)
    assert line.with_draft.value == pytest.approx(102.397, abs=1e-3)
    assert "the least outside size" in line.with_draft.limits


def test_masses_finished_as_cast_poured_and_to_charge(part):
    # A plate 100 x 100 x 20 mm of iron: 200 000 mm3, 1.44 kg. Its thickness is machined both
    # sides, 3 mm each: 26 mm, 1.872 kg, so 0.432 kg of stock. Two of them: 3.744 kg as cast;
    # with the yield of the table, 0.65, 5.76 kg are poured.
    thick = make.measurement(part, 20, what="Thickness")
    make.body(part, "plate", {"width": 100, "length": 100, "thickness": thick})
    make.face(part, thick, "boss", **OWN)
    sheet = pattern_sheet(part)
    assert sheet.mass_from == "from its shapes"
    finished, stock, cast, poured, charge = sheet.masses
    assert finished.value == pytest.approx(1.44)
    assert stock.value == pytest.approx(0.432)
    assert cast.value == pytest.approx(3.744)
    assert poured.value == pytest.approx(5.76)
    assert charge.value > poured.value
    assert charge.cautions


def test_stock_that_no_shape_knows_leaves_the_charge_short_and_is_said(part):
    thick = make.measurement(part, 20, what="Thickness")
    make.body(part, "plate", {"width": 100, "length": 100, "thickness": thick})
    make.face(part, thick, "boss", **OWN)
    assert pattern_sheet(part).short == ""
    make.face(part, make.measurement(part, 60, what="Bore"), "bore", **OWN)
    sheet = pattern_sheet(part)
    assert sheet.short == "Short by the finishing stock: that of “Bore” is not known."
    assert sheet.masses[1].value == pytest.approx(0.432)


def test_a_casting_that_nothing_is_machined_off_is_not_short(part):
    make.measurement(part, 10, what="Mass", quantity="mass")
    make.face(part, make.measurement(part, 60, what="Width"), "rough", contraction_percent=1)
    assert pattern_sheet(part).short == ""


def test_the_job_says_how_many_and_of_what(part):
    make.job(part, "cast", 1)
    assert pattern_sheet(part).pieces == 1
    job = make.job(part, "cast", 1)
    job.metal = "bronze"
    job.save()
    sheet = pattern_sheet(part)
    assert sheet.metal == "bronze"
    assert sheet.notes[0] == "1 to cast. Metal: bronze. Pattern and core box are marked HG 402."


def test_a_part_that_is_bought_or_found_is_not_said_to_be_cast(part):
    assert pattern_sheet(part).to_cast.startswith("None is to be cast")
    part.usual_route = "buy"
    sheet = pattern_sheet(part)
    assert sheet.to_cast.startswith("Not to be cast: the record has it to buy in.")
    assert sheet.notes[0].startswith("Not to be cast")
    make.job(part, "machine", 1)
    assert "to machine" in pattern_sheet(part).to_cast
    # One of the two is cast after all: the sheet is for that one.
    make.job(part, "cast", 1)
    assert pattern_sheet(part).to_cast == "1 to cast."


def test_what_cannot_be_reckoned_is_a_sentence(part):
    make.face(part, make.measurement(part, 5, what="Oil hole"), "bore", **OWN)
    sheet = pattern_sheet(part)
    assert sheet.lines[0].size is None
    assert "closes the bore" in sheet.lines[0].trouble
    assert "No mass is known" in sheet.trouble
    part.material = "not_known"
    part.save()
    assert "not known" in pattern_sheet(part).lines[0].trouble


def test_a_weighed_old_one_stands_in_when_there_are_no_shapes(part):
    make.measurement(part, 10, what="Mass", quantity="mass")
    sheet = pattern_sheet(part)
    assert (sheet.mass_from, sheet.masses[0].value) == ("weighed", 10)
    # No size stands on its pattern sheet, so nobody knows what the machine takes off.
    assert sheet.short.startswith("Short by the finishing stock")


def test_the_sheet_takes_as_many_queries_however_many_faces(part, django_assert_num_queries):
    size = make.measurement(part, 50)
    make.body(part, "plate", {"width": size, "length": size, "thickness": size})
    for n in range(32):
        make.face(part, make.measurement(part, 50 + n), "boss", **OWN)
        if n in (1, 31):
            with django_assert_num_queries(5):
                pattern_sheet(part)


def test_the_origin_of_a_mass_follows_the_record(part):
    def origin() -> Origin:
        cast = next(w for w in pattern_sheet(part).masses if w.name == "Mass as cast")
        return next(g.origin for g in cast.inputs if g.letter == "F")

    part.mass_kg = 12.0
    part.save()
    assert origin() is Origin.ENTERED
    make.measurement(part, 11.5, what="Mass", quantity="mass", unit="kg")
    assert origin() is Origin.MEASURED
    make.body(part, "bar", {"diameter": 100, "length": 200})
    assert origin() is Origin.CALCULATED
