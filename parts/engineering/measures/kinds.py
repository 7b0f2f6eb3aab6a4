"""The kinds of measure that people write, and the units of each."""

from fractions import Fraction
from functools import cache

from ..constants import (
    G_M_S2,
    KG_PER_LB,
    KG_PER_OZ,
    KPA_PER_ATM,
    KPA_PER_MMHG,
    KPA_PER_PSI,
    KW_PER_HP,
    MM_PER_FT,
    MM_PER_IN,
    MM_PER_YD,
    N_PER_LBF,
    NM_PER_LBFT,
    TONS,
)
from ..errors import UnknownName
from .reading import Kind, Unit

LENGTH = Kind(
    "length",
    (
        Unit("in", MM_PER_IN, "foot", ("inch", "inches", "ins", '"', "″", "”", "''", "′′", "’’")),
        Unit("ft", MM_PER_FT, "foot", ("foot", "feet", "'", "′", "’")),
        Unit("yd", MM_PER_YD, "foot", ("yard", "yards", "yds")),
        Unit("thou", MM_PER_IN / 1000, "foot", ("thous", "thousandths", "mil", "mils")),
        Unit("mm", Fraction(1), "metre", ("millimetre", "millimetres", "millimeters")),
        Unit("cm", Fraction(10), "metre", ("centimetre", "centimetres", "centimeters")),
        Unit("m", Fraction(1000), "metre", ("metre", "metres", "meter", "meters")),
    ),
    ("1 3/8 in", "36.5 mm"),
    Fraction(10_000_000),
    "10 km",
)

TEMPERATURE = Kind(
    "temperature",
    (
        Unit("F", Fraction(5, 9), "F", ("°F", "° F", "deg F", "degF", "degrees F", "Fahrenheit")),
        Unit("C", Fraction(1), "C", ("°C", "° C", "deg C", "degC", "degrees C", "Celsius")),
        Unit("°", Fraction(1), "", ("deg", "degrees")),
    ),
    ("2150 F", "1180 C"),
    Fraction(4000),
    "4000 °C",
    signed=True,
)
ABSOLUTE_ZERO_C = Fraction(-27315, 100)

ANGLE = Kind(
    "angle",
    (
        Unit("deg", Fraction(1), "deg", ("°", "degree", "degrees")),
        Unit("min", Fraction(1, 60), "deg", ("'", "′", "’", "minutes")),
        Unit("s", Fraction(1, 3600), "deg", ('"', "″", "”", "''", "sec", "seconds")),
    ),
    ("55 deg", "1° 30'"),
    Fraction(360),
    "a full turn",
)
PRESSURE = Kind(
    "pressure",
    (
        Unit("psi", KPA_PER_PSI, "", ("lb/in2", "lb/in²", "lbs/in2", "lb per sq in", "psig")),
        Unit("kPa", Fraction(1)),
        Unit("MPa", Fraction(1000)),
        Unit("bar", Fraction(100), "", ("bars",)),
        Unit("atm", KPA_PER_ATM),
        Unit("kg/cm2", G_M_S2 * 10, "", ("kg/cm²", "kgf/cm2")),
        Unit("inHg", KPA_PER_MMHG * MM_PER_IN, "", ("in Hg", "in. Hg", "inches of mercury")),
        Unit("mmHg", KPA_PER_MMHG, "", ("mm Hg", "torr", "Torr", "millimetres of mercury")),
    ),
    ("100 psi", "7 bar"),
    Fraction(10**6),
    "1000 MPa",
)
FORCE = Kind(
    "force",
    (
        Unit("lbf", N_PER_LBF, "", ("lb", "lbs", "pounds")),
        Unit("N", Fraction(1), "", ("newton", "newtons")),
        Unit("kN", Fraction(1000)),
        Unit("kgf", G_M_S2, "", ("kg", "kp")),
    ),
    ("1200 lbf", "5 kN"),
    Fraction(10**8),
    "100 MN",
)
TORQUE = Kind(
    "torque",
    (
        Unit("lb·ft", NM_PER_LBFT, "", ("lb ft", "lbf ft", "ft lb", "ft·lb", "ft-lb", "lb-ft")),
        Unit("lb·in", NM_PER_LBFT / 12, "", ("lb in", "lbf in", "in lb", "in-lb", "lb-in")),
        Unit("N·m", Fraction(1), "", ("N m", "Nm", "N-m")),
        Unit("kN·m", Fraction(1000), "", ("kN m", "kNm")),
    ),
    ("60 lb ft", "80 Nm"),
    Fraction(10**8),
    "100 MN·m",
)
POWER = Kind(
    "power",
    (
        Unit("hp", KW_PER_HP, "", ("horsepower", "horse power", "ihp", "bhp")),
        Unit("kW", Fraction(1)),
        Unit("W", Fraction(1, 1000), "", ("watt", "watts")),
    ),
    ("175 hp", "130 kW"),
    Fraction(10**6),
    "1000 MW",
)
THREAD = Kind(
    "thread pitch",
    (
        Unit("tpi", Fraction(0), "", ("threads per inch", "threads per in", "per inch", "per in")),
        Unit("mm", Fraction(1)),
        Unit("in", MM_PER_IN, "", ('"', "″", "inch")),
    ),
    ("13 tpi", "1.75 mm"),
    Fraction(1000),
    "1 m",
)


@cache
def mass_kind(ton: str) -> Kind:
    """Return how masses are read when `ton` ("long", "short" or "metric") is meant."""
    if ton not in TONS:
        raise UnknownName(f"There is no ton called {ton!r}; it is long, short or metric.")
    tons, cwt, quarter = TONS[ton]
    family = "kilogram" if ton == "metric" else "pound"
    return Kind(
        "mass",
        (
            Unit("oz", KG_PER_OZ, "pound", ("ounce", "ounces", "ozs")),
            Unit("lb", KG_PER_LB, "pound", ("lbs", "pound", "pounds")),
            Unit("qr", quarter, family, ("qrs", "quarter", "quarters")),
            Unit("cwt", cwt, family, ("cwts", "hundredweight", "hundredweights")),
            Unit("ton", tons, family, ("tons",)),
            Unit("long ton", TONS["long"][0], "pound", ("long tons",)),
            Unit("short ton", TONS["short"][0], "pound", ("short tons",)),
            Unit("g", Fraction(1, 1000), "kilogram", ("gram", "grams", "gramme", "grammes")),
            Unit("kg", Fraction(1), "kilogram", ("kgs", "kilo", "kilos", "kilogram", "kilograms")),
            Unit("t", Fraction(1000), "kilogram", ("tonne", "tonnes", "metric ton", "metric tons")),
        ),
        ("12 lb 6 oz", "5.6 kg"),
        Fraction(10_000_000),
        "10,000 t",
    )
