"""Django's own admin as a yardstick: the same parts, bare, and with what the parts list tells.

The bare list (`parts.admin.PartAdmin`) shows columns of one table and works nothing out. The full
one shows how the pieces of each part stand, and beside each choice of a filter how many parts it
has: the nearest that the admin comes to the answer of the parts list, though without its sums.
"""

from django.contrib import admin
from django.test import RequestFactory

from parts.record.models import Engine, Part
from parts.record.models.status import FILL_ORDER


class FullPartAdmin(admin.ModelAdmin):
    """Parts with how their pieces stand, and counted choices. Registered nowhere."""

    list_display = ("item", "name", "component", "material", "quantity", *FILL_ORDER)
    list_filter = ("engine", "component", "material", "usual_route")
    list_select_related = ("component",)
    list_per_page = 100
    ordering = ("item",)
    show_facets = admin.ShowFacets.ALWAYS

    def get_queryset(self, request):
        return Part.objects.status()


def _count(state: str):
    def count(self, part):
        return getattr(part, state)

    count.short_description = state
    return count


for _state in FILL_ORDER:
    setattr(FullPartAdmin, _state, _count(_state))


def full_list(engine: Engine, user):
    """Answer with the full list, called past the middleware, which favours it."""
    request = RequestFactory().get("/", {"engine__id__exact": engine.pk})
    request.user = user
    answer = FullPartAdmin(Part, admin.site).changelist_view(request)
    return answer.render()
