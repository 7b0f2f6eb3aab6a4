"""Shapes, pattern, bearings and ways of the demonstration: they load, and agree with its story."""

from datetime import date

import pytest

from parts.care.models import Measurement
from parts.decide.queries import decide_page
from parts.demo import story, workshop_shapes, workshop_sizes
from parts.engine.models import EngineSize
from parts.engine.queries.figures import engine_figures
from parts.engineering import measures
from parts.record.models import Part
from parts.workshop.bearings.queries import bearing_sheet
from parts.workshop.patterns.queries.pattern import pattern_sheet
from parts.workshop.shapes.queries.shapes import body_sheet
from tests import make

pytestmark = pytest.mark.django_db
LAST = date(2026, 11, 24)
ITEMS = {402, 1203, 1201, 201, 1501, 1408, 1410, 701, 1001, *workshop_sizes.FACES}


@pytest.fixture
def engine():
    """The parts that the shapes are of, with the measures and sizes that the story tells."""
    engine = make.engine(speed_rpm=120, mass_unit="kg")
    for row in story.read("harrow_gap", "parts"):
        if int(row["item"]) in ITEMS:
            mass = measures.read_mass(row["mass"]).value if row["mass"] else None
            make.part(
                engine, int(row["quantity"]), item=int(row["item"]), name=row["name"],
                material=row["material"], mass_kg=mass,
            )  # fmt: skip
    parts = {part.item: part for part in Part.objects.filter(engine=engine)}
    for row in story.read("harrow_gap", "measurements"):
        if int(row["item"]) in parts and not row["what"].startswith("Mass"):
            read = measures.read_length(row["written"])
            Measurement.objects.create(
                engine=engine, part=parts[int(row["item"])], what=row["what"], day=LAST,
                written=row["written"], unit=read.unit, value=read.value,
                nominal=row["nominal"] == "yes",
            )  # fmt: skip
    for row in story.read("harrow_gap", "sizes"):
        value = measures.read_length(row["written"]).value
        EngineSize.objects.create(
            engine=engine, name=row["name"], written=row["written"], unit="in", value_mm=value
        )
    workshop_shapes.load(engine, {"M. Ellery": make.user()}, LAST)
    return engine


def _part(engine, item) -> Part:
    return Part.objects.select_related("engine").get(engine=engine, item=item)


@pytest.mark.parametrize("item", workshop_sizes.BODIES)
def test_masses_from_shapes_agree_with_those_of_the_parts_list(engine, item):
    part = _part(engine, item)
    assert body_sheet(part).mass.value == pytest.approx(part.mass_kg, rel=0.06)


def test_measures_that_stand_already_are_taken_up(engine):
    lengths = Measurement.objects.filter(what=workshop_sizes.LENGTH.what)
    assert lengths.count() == 1
    assert _part(engine, 402).bodies.get(shape="plate").sizes.filter(measurement=lengths.get())


def test_wear_is_told_of_pin_shaft_and_bore(engine):
    worn = {item: body_sheet(_part(engine, item)).wear for item in (1203, 1201, 201)}
    assert [len(one) for one in worn.values()] == [2, 2, 2]
    assert all(one.calculation.value > 0 for one in worn[1203])
    assert all(one.calculation.value < 0 for one in worn[201])  # a bore grows


@pytest.mark.parametrize("item", workshop_sizes.FACES)
def test_every_pattern_has_its_sizes_and_masses(engine, item):
    sheet = pattern_sheet(_part(engine, item))
    assert [line.trouble for line in sheet.lines] == [""] * len(workshop_sizes.FACES[item])
    assert sheet.trouble == ""
    # Where the shapes are known, so is what the machine takes off.
    assert (sheet.short == "") is (item in workshop_sizes.BODIES or item == 1507)


def test_no_pattern_is_made_without_sizes_nor_sizes_taken_after_it():
    made = {
        int(row["item"]): int(row["days_before"])
        for row in story.read("harrow_gap", "entries")
        if row["stage"] == "pattern_made"
    }
    assert len(made) > 8
    for item, days_before in made.items():
        assert item in workshop_sizes.FACES, item
        for size, *_ in workshop_sizes.FACES[item]:
            assert size.days >= days_before, (item, size)


# What each instrument can tell, at the best [mm]. Common practice, no source.
FINEST = {
    "steel rule": 0.25, "steel tape": 0.5, "callipers": 0.2, "inside callipers": 0.2,
    "vernier": 0.02, "micrometer": 0.005, "bore gauge": 0.005, "slip gauges": 0.005,
    "depth gauge": 0.02, "dial gauge": 0.01, "trammel": 0.2, "scribing block": 0.2, "plug": 0.01,
    "string": 0.2, "water level": 0.5, "rod": 1, "counted": 0, "from the drawing room": 0,
}  # fmt: skip


def test_nobody_reads_an_instrument_finer_than_it_can_tell():
    taken = [
        (row["what"], row["plus_or_minus"], row["instrument"])
        for engine in story.ENGINES
        for row in story.read(engine, "measurements")
        if not row["what"].startswith("Mass")
    ]
    sizes = [size for shapes in workshop_sizes.BODIES.values() for _, _, of, *_ in shapes
             for size in of.values()]  # fmt: skip
    sizes += [size for faces in workshop_sizes.FACES.values() for size, *_ in faces]
    sizes += [size for _, of, _ in workshop_shapes.BEARINGS for size in of.values()]
    taken += [(size.what, size.sure, size.instrument) for size in sizes]
    for what, sure, instrument in taken:
        if sure:
            finest = FINEST[instrument.lower()]
            assert measures.read_length(sure).value >= finest, (what, sure, instrument)


def test_one_bearing_is_poured_and_one_waits(engine):
    done = bearing_sheet(_part(engine, 1410), with_store=True)
    waits = bearing_sheet(_part(engine, 1408), with_store=True)
    assert done.row.poured_on
    assert waits.row.poured_on is None
    for sheet in (done, waits):
        assert sheet.melt.value > 0
        assert not any(w.refused for w in sheet.calculations)
    # Two halves of about 4 lb each, as the parts list has them; what is bored out is in it.
    assert waits.calculation_named("White metal in the bearing").value == pytest.approx(
        2 * 1.81, rel=0.1
    )


def test_the_ways_are_weighed(engine):
    shown = decide_page(_part(engine, 701), LAST)
    assert shown.option("cast").likely == 1180
    assert shown.option("search").hours == 24


def test_every_figure_of_the_engine_is_there(engine):
    shown = engine_figures(engine)
    assert all(group.wants == [] for group in shown.groups)
    assert len(shown.calculations) >= 10
