"""Pages of the workshop: the part they are about, and the units that the address asks for."""

from django.shortcuts import get_object_or_404

from parts.engineering.measures import Units
from parts.engineering.measures.reading import whole

from ..models import Part
from .common import sheet


def part_of(access, pk) -> Part:
    return get_object_or_404(Part.objects.select_related("engine"), pk=pk, engine=access.engine)


UNITS = (("", "Project units"), ("metric", "mm, kg"), ("customary", "in, lb"))


def units_of(request, engine) -> tuple[Units, str]:
    """The units that the address asks for (?units=), else those of the engine."""
    asked = request.GET.get("units", "")
    if asked == "metric":
        return Units.metric(), asked
    if asked == "customary":
        return Units.customary("long" if engine.ton == "metric" else engine.ton), asked
    return engine.units, ""


def bench(request, access, template, sheet_no, **context):
    """Render a bench page: in the units that the address asks for."""
    units, asked = units_of(request, access.engine)
    context |= {"units": units, "units_asked": asked, "unit_choices": UNITS}
    return sheet(request, access, template, sheet_no, **context)


def picked(request, calculations, name="calculation"):
    """Return the place of the Calculation that the address asks for (?calculation=2), else 0."""
    place = whole(request.GET.get(name)) or 0
    return place if place < len(calculations) else 0
