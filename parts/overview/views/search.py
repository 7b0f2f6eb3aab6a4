"""Part, tag or person."""

from django.shortcuts import redirect

from parts.record.access import open_engine
from parts.record.views.common import sheet

from ..queries import search as queries


def search(request, engine):
    """What a few letters find. A tag that is typed exactly opens its find."""
    access = open_engine(request.user, engine)
    asked = request.GET.get("q", "").strip()[:80]
    find = queries.find_with_tag(access.engine, asked)
    if find:
        return redirect(find.get_absolute_url())
    found = queries.search(access.engine, asked)
    return sheet(request, access, "overview/search.html", 2, asked=asked, found=found)
