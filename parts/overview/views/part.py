"""The page of one part."""

from django.shortcuts import get_object_or_404

from parts.drafting.qr import square_code
from parts.drawings.views import zone_of_part
from parts.engine.queries import pieces
from parts.engine.views.pieces import acts_open
from parts.record.access import open_engine
from parts.record.models import Part
from parts.record.views.common import sheet

from ..queries.part import part_sheet


def part(request, engine, pk):
    """One part, whole."""
    access = open_engine(request.user, engine)
    row = get_object_or_404(
        Part.objects.select_related("component", "engine"), pk=pk, engine=access.engine
    )
    shown = part_sheet(row)
    address = request.build_absolute_uri(row.get_absolute_url())
    return sheet(
        request,
        access,
        "overview/part.html",
        2,
        part=row,
        shown=shown,
        zone=zone_of_part(access.engine, row),
        qr=square_code(address, title=f"Square code that opens part {row.item} on a phone"),
        acts=acts_open(access, pieces.balance_of(row)),
    )
