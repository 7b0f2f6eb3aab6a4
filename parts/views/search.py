"""Part, tag or person."""

from django.shortcuts import redirect

from ..access import open_engine
from ..reckoning import search as reckoning
from .common import sheet


def search(request, engine):
    """What a few letters find. A tag that is typed exactly opens its find."""
    access = open_engine(request.user, engine)
    asked = request.GET.get("q", "").strip()[:80]
    find = reckoning.find_with_tag(access.engine, asked)
    if find:
        return redirect(find.get_absolute_url())
    found = reckoning.search(access.engine, asked)
    return sheet(request, access, "parts/search.html", 2, asked=asked, found=found)
