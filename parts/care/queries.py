"""Measures, condition notes, repairs and the freeing log of a part."""

import re
from dataclasses import dataclass
from fractions import Fraction

from django.db.models import Q

from parts.engineering import measures
from parts.engineering.calculation import Caution
from parts.engineering.errors import EngineeringError
from parts.record.models import Engine, Find, Part, PieceEntry
from parts.record.queries.finds import identifications

from .models import ConditionNote, Freeing, Measurement, Repair

CUSTOMARY = ("in", "ft", "yd", "thou", "lb", "oz", "qr", "cwt", "ton", "F")
_NUMBER_ONLY = re.compile(r"[-0-9.,/⁄ ¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞]+$")
_UNIT_SIGNS = {"F": "°F", "C": "°C"}

# Common practice of the trade, no source; each defers to those who are competent for it.
FREEING_CAUTIONS = (
    Caution(
        "Find what is held back before you start: steam, air, a spring, a weight, a wheel.",
        "A seized piece can come free at once and move everything behind it. Block and chock the "
        "rest, vent what is closed, stand clear of the line of pull.",
    ),
    Caution(
        "No flame near oil, grease, penetrant or a closed space.",
        "Vapour in a cylinder, a hollow casting or a tank can burst it. Vent it, wipe it, keep an "
        "extinguisher at hand, and have hot work passed by whoever is competent for it there. "
        "Old paint and white metal hold lead, old packing may hold asbestos: do not heat them.",
    ),
    Caution(
        "Cast iron cracks: warm it slowly and all round, and never with blows.",
        "Uneven heat, a cold quench or a hammer breaks it where no one can see.",
    ),
    Caution(
        "Wear eye protection, and gloves that suit the stuff.",
        "Scale and chips fly from wedges, presses and blows. Penetrant fumes want fresh air: read "
        "the sheet that came with it.",
    ),
)
FREEING_DEFERS = (
    "These are the usual cautions, not a method. Where a press, a pull or heat can hurt someone, a "
    "competent person on the spot decides, under the rules of the place."
)
GRAPHITISED = (
    "Long in wet ground, cast iron can go soft under its skin and keep its shape: the iron is "
    "gone and graphite stays. Looks never pass it. Scrape or prick it, weigh it, ring it, and have "
    "it tested before it carries a load or pressure."
)


def shown_written(written: str, unit: str) -> str:
    """Return a measure as entered, with its unit if it was left out: "36.5" is "36.5 mm"."""
    text = written.strip()
    if unit == "deg" and _NUMBER_ONLY.match(text):
        return f"{text}°"
    return f"{text} {_UNIT_SIGNS.get(unit, unit)}".strip() if _NUMBER_ONLY.match(text) else text


def in_other_unit(quantity: str, unit: str, value: float | None, written: str = "") -> str:
    """Return a measure in the unit of the other system, no finer than it was entered.

    "" for a count.
    """
    if value is None:
        return ""
    customary = unit in CUSTOMARY
    try:
        if quantity == Measurement.Quantity.LENGTH:
            # A fraction of an inch is read off a rule, to about a tenth of a millimetre.
            fine = "." in written or unit == "thou"
            if customary:
                return measures.write_length(value if fine else round(value, 1), "mm")
            return _nearest_inch(value)
        if quantity == Measurement.Quantity.MASS:
            return measures.write_mass(value, "kg" if customary else "lb")
        if quantity == Measurement.Quantity.TEMPERATURE:
            return measures.write_temperature(value, "C" if customary else "F")
    except EngineeringError:
        return ""
    return ""


def _nearest_inch(mm: float) -> str:
    """Return a metric length in inches: as a fraction if it is one to the 64th, else decimal."""
    sixty_fourths = Fraction(mm) / Fraction(254, 10) * 64
    if abs(sixty_fourths - round(sixty_fourths)) < Fraction(1, 50):
        return measures.write_length(float(Fraction(round(sixty_fourths), 64) * Fraction(254, 10)))
    return f"{mm / 25.4:.3f} in"


@dataclass(frozen=True)
class MeasureLine:
    """A measure as entered, and in the other unit.

    Args:
        sure: Its plus-or-minus; "" when none was given.
    """

    row: Measurement
    written: str
    other: str
    sure: str

    @property
    def basis(self) -> str:
        return "as made" if self.row.nominal else "as found"


def measure_lines(rows) -> list[MeasureLine]:
    return [
        MeasureLine(
            row,
            shown_written(row.written, row.unit),
            in_other_unit(row.quantity, row.unit, row.value, row.written),
            shown_written(row.plus_or_minus, row.unit) if row.plus_or_minus else "",
        )
        for row in rows
    ]


def measurements_of(part: Part, find_ids) -> list[MeasureLine]:
    """Return measures of a part and of its finds. One query."""
    rows = Measurement.objects.filter(Q(part=part) | Q(find__in=find_ids)).select_related("find")
    return measure_lines(rows)


def notes_of(part: Part, find_ids) -> list[ConditionNote]:
    """Return condition notes of a part and of its finds, newest first. One query."""
    rows = ConditionNote.objects.filter(Q(part=part) | Q(find__in=find_ids))
    return list(rows.select_related("find").order_by("-day", "-pk"))


def repairs_of(part: Part) -> list[Repair]:
    """Return repairs of a part with their photographs, old ones first. Two queries."""
    return list(Repair.objects.filter(part=part).prefetch_related("photos"))


def freeings_of(part: Part) -> list[Freeing]:
    """Return the attempts to free a part, newest first. One query."""
    return list(Freeing.objects.filter(part=part))


def part_of_find(find: Find) -> Part | None:
    """Return the part of a find if it is exactly one; else None."""
    parts = identifications(find)
    return parts[0].part if len(parts) == 1 else None


def beyond_repair_pieces(part: Part) -> dict[bool, int]:
    """Return the pieces beyond repair, on the engine (True) and off it (False)."""
    pieces_by_place = {True: 0, False: 0}
    kinds = {PieceEntry.Kind.BEYOND_REPAIR_PLACED: True, PieceEntry.Kind.BEYOND_REPAIR: False}
    for kind, pieces in PieceEntry.objects.filter(part=part, kind__in=kinds).values_list(
        "kind", "pieces"
    ):
        pieces_by_place[kinds[kind]] += pieces
    return pieces_by_place


def instruments_used(engine: Engine) -> list[str]:
    """Return the instruments used before, to choose from."""
    rows = Measurement.objects.filter(engine=engine).exclude(instrument="")
    return list(rows.order_by("instrument").values_list("instrument", flat=True).distinct()[:30])
