"""The figures of an engine, calculated from its leading sizes: volume, power, torque, energy."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace

from parts.engineering.calculation import Calculation, Caution, Input, Origin
from parts.engineering.errors import EngineeringError
from parts.engineering.steam import crank, flywheel
from parts.engineering.steam import cylinder as steam
from parts.record.models import Engine

from ..models import EngineSize

Name = EngineSize.Name
# Diagram factors by kind: most engines are governed by throttling, four-valve ones by cut-off.
FACTORS = {"horizontal_four_valve": "drop_valve"}
USUAL_FACTOR = "throttled"
TO_THE_AIR = (Origin.ASSUMED, "it exhausts to the air: no exhaust pressure was entered")
NOT_FIT = Caution(
    "These figures tell what the engine was, not that it may be steamed or run.",
    "A display engine is not thereby fit to steam. Whether this one may be steamed, and whether "
    "its wheel may turn under power, is for a licensed inspector to say, under the code of the "
    "place, after boiler, pipes, stop valve, governor, wheel and guards are proved.",
)


@dataclass(frozen=True)
class Group:
    """The figures of the cylinder, the shaft or the wheel.

    Args:
        wants: What must be entered for the figures that are missing.
    """

    name: str
    calculations: list[Calculation]
    wants: list[str]


@dataclass(frozen=True)
class EngineFigures:
    """The figures of an engine, with the data they are calculated from.

    Args:
        sizes: The leading sizes as entered.
        inputs: Speed, pressure and cut-off in words, as (name, value).
    """

    engine: Engine
    sizes: list[EngineSize]
    groups: list[Group]
    caution: Caution = NOT_FIT
    inputs: list[tuple[str, str]] = field(default_factory=list)

    @property
    def calculations(self) -> list[Calculation]:
        return [w for group in self.groups for w in group.calculations]


class _Group:
    """Collects the calculations of a group, and what is missing for those that fail."""

    def __init__(self, name: str):
        self.name, self.calculations, self.wants = name, [], []

    def add(self, calculate: Callable[[], Calculation]) -> Calculation | None:
        try:
            calculation = calculate()
        except EngineeringError as error:
            if str(error) not in self.wants:
                self.wants.append(str(error))
            return None
        self.calculations.append(calculation)
        return calculation

    def want(self, **values) -> bool:
        """Return whether all values are known, and note those that are not."""
        missing = [name.replace("_", " ") for name, value in values.items() if not value]
        if missing:
            self.wants.append(f"Enter first: {', '.join(missing)}.")
        return not missing

    def done(self) -> Group:
        return Group(self.name, self.calculations, self.wants)


def engine_figures(engine: Engine) -> EngineFigures:
    """Return all figures of an engine. Four queries."""
    sizes = list(EngineSize.objects.filter(engine=engine).order_by("pk"))
    mm = {row.name: row.value_mm for row in sizes}
    cylinder = None
    piston = _Group("Cylinder and steam")
    power = swing = None
    if engine.kind == "oil_engine":
        piston.wants.append("No steam figures: this is an oil engine.")
        if mm.get(Name.STROKE) and engine.speed_rpm:
            piston.add(lambda: steam.piston_speed(mm[Name.STROKE], engine.speed_rpm))
    elif piston.want(bore=mm.get(Name.BORE), stroke=mm.get(Name.STROKE)):
        try:
            cylinder = steam.Cylinder(mm[Name.BORE], mm[Name.STROKE], mm.get(Name.PISTON_ROD, 0.0))
        except EngineeringError as error:
            piston.wants.append(str(error))
    if cylinder is not None:
        power, swing = _steam(piston, engine, cylinder, mm)
    shaft = _shaft(engine, mm, power, swing)
    wheel = _wheel(engine, mm, swing)
    return EngineFigures(
        engine,
        sizes,
        [piston.done(), shaft.done(), wheel.done()],
        inputs=_inputs(engine),
    )


def _inputs(engine: Engine) -> list[tuple[str, str]]:
    rows = [("Speed", f"{engine.speed_rpm:g} rpm" if engine.speed_rpm else "")]
    rows.append(("Steam, by the gauge", engine.pressure_written))
    rows.append(("Exhaust", engine.exhaust_written or "to the air (assumed)"))
    rows.append(("Cut-off", f"{engine.cut_off:g} of the stroke" if engine.cut_off else ""))
    return [(name, value or "not entered") for name, value in rows]


def _steam(piston: _Group, engine: Engine, cylinder, mm):
    """Add volume, speed, pressure and power; return the power and the effort of the crank."""
    piston.add(lambda: steam.swept_volume(cylinder))
    rpm = engine.speed_rpm
    if rpm:
        piston.add(lambda: steam.piston_speed(cylinder.stroke_mm, rpm))
    complete = piston.want(speed=rpm, steam_pressure=engine.pressure_kpa, cut_off=engine.cut_off)
    if not (engine.pressure_kpa and engine.cut_off):
        return None, None
    pressure, exhaust = steam.Gauge(engine.pressure_kpa), _exhaust(engine, piston)
    factor = FACTORS.get(engine.kind, USUAL_FACTOR)
    origins = _origins(engine)
    mean = piston.add(
        lambda: steam.mean_pressure(pressure, exhaust, engine.cut_off, factor=factor).with_origins(
            origins
        )
    )
    power = None
    if complete and mean is not None:
        power = piston.add(lambda: steam.indicated_power(cylinder, mean, rpm))
    return power, _effort(piston, engine, cylinder, (pressure, exhaust), mm, mean)


def _exhaust(engine: Engine, piston: _Group) -> steam.Pressure:
    if engine.exhaust_kpa is None:
        piston.wants.append(
            "It is taken to exhaust to the air, for no exhaust pressure is entered. A condensing "
            "engine gives more power and loads its shaft more: enter its vacuum."
        )
    return steam.Gauge(engine.exhaust_kpa or 0.0)


def _origins(engine: Engine) -> dict[str, tuple[Origin, str]]:
    """Return the origin of the back pressure when none was entered."""
    return {"p_b": TO_THE_AIR, "p₂": TO_THE_AIR} if engine.exhaust_kpa is None else {}


def _effort(piston: _Group, engine, cylinder, pressures, mm, mean):
    """Return the effort of the crank over a turn, reduced by the same diagram factor."""
    if mean is None:
        return None
    share = next(g for g in mean.inputs if g.letter == "f")
    try:
        effort = crank.crank_effort(
            cylinder,
            *pressures,
            engine.cut_off,
            rod_length_mm=mm.get(Name.ROD, 0.0),
            factor=share.value,
            steps=360,
        )
    except EngineeringError as error:
        piston.wants.append(str(error))
        return None
    origins = _origins(engine) | {"f": (share.origin, share.source)}
    load = crank.piston_load(cylinder, *pressures).with_origins(origins)
    return _Effort(
        replace(effort, calculation=effort.calculation.with_origins(origins)),
        load,
    )


@dataclass(frozen=True)
class _Effort:
    """The effort of the crank over a turn, and the load on the piston."""

    turn: crank.CrankEffort
    load: Calculation


def _shaft(engine: Engine, mm, power, effort: _Effort | None) -> _Group:
    shaft = _Group("Crank and shaft")
    if power is not None and engine.speed_rpm:
        shaft.add(lambda: steam.torque(power, engine.speed_rpm))
    if effort is not None:
        shaft.calculations += [effort.turn.calculation, effort.load]
    if shaft.want(crankshaft_journal=mm.get(Name.SHAFT)) and effort is not None:
        bending = None
        if mm.get(Name.OVERHANG):
            bending = shaft.add(lambda: crank.overhung_bending(effort.load, mm[Name.OVERHANG]))
        shaft.add(
            lambda: crank.shaft_stress(effort.turn.calculation, mm[Name.SHAFT], bending=bending)
        )
    if effort is None:
        shaft.wants.append("The effort on the crank follows from the steam.")
    return shaft


def _wheel(engine: Engine, mm, effort) -> _Group:
    wheel = _Group("Flywheel")
    diameter, rpm = mm.get(Name.FLYWHEEL), engine.speed_rpm
    if not wheel.want(flywheel_diameter=diameter, speed=rpm):
        return wheel
    wheel.add(lambda: flywheel.rim_speed(diameter, rpm, rule="cautious"))
    rim = _rim(engine)
    if rim is None:
        wheel.wants.append(
            "Enter the flywheel by its shape and sizes, with the inside of its rim: then "
            "the energy in it stands here."
        )
        return wheel
    rim_inertia = wheel.add(lambda: flywheel.rim_inertia(*rim))
    if rim_inertia is None:
        return wheel
    inertia = rim_inertia
    if engine.wheels > 1:
        inertia = wheel.add(lambda: _all_rims(rim_inertia, engine.wheels))
    wheel.add(lambda: flywheel.energy_stored(inertia, rpm))
    if effort is not None:
        wheel.add(lambda: flywheel.unsteadiness(effort.turn.swing_j, inertia, rpm))
    return wheel


def _all_rims(inertia: Calculation, wheels: int) -> Calculation:
    return Calculation(
        f"Inertia of {wheels} rims",
        inertia.value * wheels,
        "kg_m2",
        "n × I",
        "",
        (
            Input("n", "Flywheels", float(wheels), "", Origin.ENTERED, "the engine's data"),
            Input("I", inertia.name, inertia.value, "kg_m2", Origin.CALCULATED),
        ),
        "addition",
        limits="Taken as alike.",
        parts=(inertia,),
    )


def _rim(engine: Engine) -> tuple[float, float, float] | None:
    """Return outside, inside and face of the rim [mm] from the shape of the wheel. Two queries."""
    rows = engine.bodies.filter(shape="flywheel", away=False)
    body = rows.order_by("pk").first()
    if body is None:
        return None
    value = dict(body.sizes.values_list("key", "measurement__value"))
    names = ("diameter", "rim_inside", "face")
    return tuple(value[n] for n in names) if set(names) <= set(value) else None
