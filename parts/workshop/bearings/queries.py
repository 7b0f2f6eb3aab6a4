"""The bearing sheet: metal, heats, clearance, pressure and the order of work."""

from collections.abc import Callable
from dataclasses import dataclass

from parts.care.queries import shown_written
from parts.engineering.bearings import white_metal
from parts.engineering.calculation import Calculation, Caution, Input, Origin
from parts.engineering.casting.cautions import LEAD
from parts.engineering.errors import EngineeringError, OutOfRange
from parts.engineering.figures import full
from parts.engineering.sentences import amount
from parts.record.models import Material, Part
from parts.workshop.metal.queries import metal_store
from parts.workshop.patterns.queries.pattern import open_jobs, other_route
from parts.workshop.shapes.queries.shapes import size_of

from .models import Bearing

STANDARD_GRAVITY = 9.80665  # m/s2
SIZES = ("journal", "shell", "length", "collar_diameter", "collar_thickness")

# Common practice of the trade, no source.
ORDER_OF_WORK = (
    "Look at the journal first: true it up before anything is poured, and measure it again.",
    "Melt the old metal out over a tray, no hotter than it needs, and keep it apart by its grade.",
    "Clean the shell to bright metal, pickle it if it is foul, and rinse it well.",
    "Tin the shell all over while it is hot. A place that is not tinned will not hold.",
    "Set up mandrel, shims and dams; seal them with fire clay, and dry all of it through.",
    "Warm mandrel, block and shell to the heats on this sheet, and prove that they are dry.",
    "Skim and stir the pot from the bottom. Check its heat with a pyrometer, not by a stick alone.",
    "Pour in one stream without a stop, and puddle it. Cool the shell from the bottom and back.",
    "Ring the shell when it is cold: a dead sound tells that it has not taken. Then pour again.",
    "Bore both halves together to the size on this sheet. Cut oil grooves, and round their edges.",
    "Scrape to the journal by blue. Shim to the running clearance, and turn it by hand.",
)


@dataclass(frozen=True)
class BearingSize:
    """A measured size of a bearing, in words.

    Args:
        sure: Its plus-or-minus; "" when none was given.
    """

    word: str
    written: str
    sure: str
    source: str


@dataclass(frozen=True)
class BearingSheet:
    """All figures of a poured bearing, for the bench.

    Args:
        sizes: The measured sizes.
        grade: The grade of white metal.
        calculations: Every figure that could be calculated, in the order of work.
        troubles: The reasons why others could not.
        other_route: A sentence when the part is to be bought or turned instead; "" otherwise.
        bore_mm: The finished bore: journal and clearance together.
        on_hand_kg: Reclaimed white metal that is free in the store; None where it is not shown.
    """

    part: Part
    row: Bearing
    sizes: list[BearingSize]
    grade: white_metal.Grade | None
    calculations: list[Calculation]
    troubles: list[str]
    order: tuple[str, ...]
    caution: Caution
    other_route: str
    bore_mm: float | None
    on_hand_kg: float | None

    def calculation_named(self, start: str) -> Calculation | None:
        return next((w for w in self.calculations if w.name.startswith(start)), None)

    @property
    def melt(self) -> Calculation | None:
        return self.calculation_named("White metal to melt")

    @property
    def enough(self) -> Calculation | None:
        return self.calculation_named("New white metal")

    @property
    def clearance(self) -> Calculation | None:
        return self.calculation_named("Running clearance")

    @property
    def bore(self) -> Calculation | None:
        return self.calculation_named("Bore it to")

    @property
    def heats(self) -> list[Calculation]:
        return [w for w in self.calculations if w.unit == "degC"]

    @property
    def service(self) -> list[Calculation]:
        names = ("Mean pressure", "Rubbing speed", "Pressure times")
        return [w for w in self.calculations if w.name.startswith(names)]


class _Figures:
    """Collects calculations, and the reasons for those that fail."""

    def __init__(self):
        self.calculations: list[Calculation] = []
        self.troubles: list[str] = []

    def add(self, calculate: Callable[[], Calculation]) -> Calculation | None:
        try:
            calculation = calculate()
        except EngineeringError as error:
            if str(error) not in self.troubles:
                self.troubles.append(str(error))
            return None
        self.calculations.append(calculation)
        return calculation


def bearing_sheet(part: Part, *, with_store: bool) -> BearingSheet | None:
    """Return the bearing sheet of a part; None when it has no bearing.

    Two queries, and two more with the store.
    """
    row = Bearing.objects.filter(part=part).select_related(*SIZES).first()
    if row is None:
        return None
    engine = part.engine
    on_hand = None
    if with_store:
        lots = metal_store(engine).lots
        on_hand = sum(lot.free_kg for lot in lots if lot.material == Material.WHITE_METAL)
    figures = _Figures()
    grade = None
    try:
        grade = white_metal.grade(row.grade)
    except EngineeringError as error:
        figures.troubles.append(str(error))
    bore = _sizes(row, engine.speed_rpm, figures)
    if grade:
        _metal(row, grade, bore, on_hand, figures)
        figures.add(lambda: white_metal.pouring(grade.key))
        for what in ("mandrel", "block", "shell"):
            figures.add(lambda what=what: white_metal.preheat(what))
    _service(row, grade, engine.speed_rpm, figures)
    return BearingSheet(
        part,
        row,
        [_size_line(row, name) for name in SIZES if getattr(row, name)],
        grade,
        figures.calculations,
        figures.troubles,
        ORDER_OF_WORK,
        LEAD,
        "" if row.poured_on else _other_route(part),
        bore,
        on_hand,
    )


def _other_route(part: Part) -> str:
    """Return a sentence when the part has jobs by other routes than casting. One query."""
    other = other_route(part, open_jobs(part))
    return f"The record has this part {other}. Pour it only if it is to be lined." if other else ""


def _size_line(row: Bearing, name: str) -> BearingSize:
    measure = getattr(row, name)
    words = {
        "journal": "Journal",
        "shell": "Inside of the shell",
        "length": "Length",
        "collar_diameter": "Outside of the collar",
        "collar_thickness": "Thickness of the collar",
    }
    sure = (
        shown_written(measure.plus_or_minus.lstrip("±+- "), measure.unit)
        if measure.plus_or_minus
        else ""
    )
    return BearingSize(
        words[name], shown_written(measure.written, measure.unit), sure, size_of(measure).source
    )


def _from(measure) -> tuple[Origin, str]:
    size = size_of(measure)
    return size.origin, size.source


def _sizes(row: Bearing, rpm: float | None, figures: _Figures) -> float | None:
    """Add clearance, bore and lining; return the finished bore [mm], None when not known."""
    journal = size_of(row.journal)
    clearance = figures.add(
        lambda: white_metal.clearance(journal.value, speed_rpm=rpm).with_origins(
            {"d": _from(row.journal)}
        )
    )
    if clearance is None:
        return None
    figures.add(lambda: white_metal.bore(journal, clearance))
    bore = journal.value + clearance.value
    figures.add(lambda: _lining(row, bore))
    return bore


def _lining(row: Bearing, bore: float) -> Calculation:
    thick = (row.shell.value - bore) / 2
    if thick <= 0:
        raise OutOfRange(
            f"The shell of {amount(row.shell.value, 'mm')} leaves no room for metal round a bore "
            f"of {amount(bore, 'mm')}: measure both again."
        )
    error = (size_of(row.shell).plus_minus + size_of(row.journal).plus_minus) / 2
    usual = white_metal.thickness(row.journal.value).with_origins({"d": _from(row.journal)})
    unusual = not 0.95 * usual.low <= thick <= 1.05 * usual.high
    span = f"{amount(usual.low, 'mm')} to {amount(usual.high, 'mm')}"
    words = (
        f"Outside the usual {span}: look whether the "
        "shell or the journal was measured wrongly, or was lined before."
        if unusual
        else f"Within the usual {span}."
    )
    return Calculation(
        "Thickness of the lining, finished",
        thick,
        "mm",
        "(S - B) ÷ 2",
        f"({full(row.shell.value, 'mm')} - {full(bore, 'mm')}) ÷ 2 = "
        f"{amount(thick, 'mm')}",
        (
            Input("S", "Inside of the shell", row.shell.value, "mm", *_from(row.shell)),
            Input("B", "Finished bore", bore, "mm", Origin.CALCULATED),
        ),
        usual.source,
        thick - error if error else None,
        thick + error if error else None,
        "from the plus-or-minus of shell and journal" if error else "",
        verdict=words,
        parts=(usual,),
    )  # fmt: skip


def _metal(row: Bearing, grade, bore, on_hand, figures: _Figures) -> None:
    if bore is None or bore >= row.shell.value:
        return
    origins = {
        "d": (Origin.CALCULATED, "journal and clearance"),
        "t": (Origin.CALCULATED, "shell less bore, on each side"),
        "L": _from(row.length),
        "b": (Origin.ASSUMED, white_metal.BORING_STOCK.source),
    }
    if row.collars and row.collar_diameter and row.collar_thickness:
        origins |= {"D": _from(row.collar_diameter), "w": _from(row.collar_thickness)}
    volume = figures.add(
        lambda: white_metal.shell(
            bore,
            (row.shell.value - bore) / 2,
            row.length.value,
            half=row.halves == 2,
            boring_stock_mm=white_metal.BORING_STOCK.value,
            collars=row.collars,
            collar_diameter_mm=row.collar_diameter.value if row.collar_diameter else 0.0,
            collar_thickness_mm=row.collar_thickness.value if row.collar_thickness else 0.0,
        ).with_origins(origins)
    )
    if volume is None:
        return
    melt = figures.add(lambda: white_metal.metal_to_melt(volume, grade.key, pieces=row.halves))
    if melt is not None:
        figures.calculations.insert(-1, melt.parts[0])
        if on_hand is not None:
            figures.add(lambda: white_metal.reclaimed(melt, on_hand, grade.key))


def _service(row: Bearing, grade, rpm: float | None, figures: _Figures) -> None:
    """Add pressure and rubbing speed, where load and speed are known."""
    journal, length = row.journal.value, row.length.value
    pressure = speed = None
    if row.load_kg:
        load = row.load_kg * STANDARD_GRAVITY
        pressure = figures.add(
            lambda: _with_load(row, white_metal.mean_pressure(load, journal, length))
        )
    else:
        figures.troubles.append("No load is entered, so no pressure is told.")
    if rpm:
        speed = figures.add(
            lambda: white_metal.journal_speed(journal, rpm).with_origins({"d": _from(row.journal)})
        )
    else:
        figures.troubles.append("The speed of the engine is not entered.")
    if pressure and speed and grade:
        figures.add(lambda: white_metal.pressure_velocity(pressure, speed, grade.base))


def _with_load(row: Bearing, calculation: Calculation) -> Calculation:
    """Return the pressure with the load as it was entered."""
    load = (Origin.ENTERED, f"the weight of {shown_written(row.load_written, row.load_unit)}")
    one = (Origin.ASSUMED, "it carries the load alone")
    return calculation.with_origins(
        {"d": _from(row.journal), "L": _from(row.length), "W": load, "n": one}
    )
