"""The record in Django's admin, to look at only.

Nothing can be added, changed or removed here: every change goes through an action, which
checks the version and writes the history.
"""

from django.contrib import admin

from parts import models
from parts.record.models import column


class LookOnly(admin.ModelAdmin):
    """A list and a page of rows that nobody can write."""

    list_per_page = 100
    show_full_result_count = False

    def get_queryset(self, request):
        # Whoever is let into the admin runs the machine that holds the record.
        column.let_see(frozenset(), request.user.pk)
        return self.model._base_manager.all()

    def has_add_permission(self, request):
        return False

    def has_change_permission(self, request, obj=None):
        return False

    def has_delete_permission(self, request, obj=None):
        return False


@admin.register(models.Engine)
class EngineAdmin(LookOnly):
    list_display = ("name", "kind", "maker", "built", "removed_at")
    search_fields = ("name", "maker")


@admin.register(models.Component)
class ComponentAdmin(LookOnly):
    list_display = ("number", "name", "engine", "removed_at")
    list_select_related = ("engine",)
    list_filter = ("engine",)
    search_fields = ("name",)


@admin.register(models.Part)
class PartAdmin(LookOnly):
    list_display = ("item", "name", "component", "quantity", "material", "removed_at")
    list_select_related = ("component",)
    list_filter = ("engine", "material")
    search_fields = ("name", "item")


@admin.register(models.Find)
class FindAdmin(LookOnly):
    list_display = ("tag", "looks_like", "engine", "quantity", "day", "found_by", "removed_at")
    list_select_related = ("engine",)
    list_filter = ("engine",)
    search_fields = ("tag", "looks_like")


@admin.register(models.PieceEntry)
class FactAdmin(LookOnly):
    list_display = ("day", "kind", "pieces", "part", "find", "removed_at")
    list_select_related = ("part", "find")
    list_filter = ("engine", "kind")


@admin.register(models.Job)
class JobAdmin(LookOnly):
    list_display = ("part", "route", "removed_at")
    list_select_related = ("part",)
    list_filter = ("engine", "route")


@admin.register(models.CostItem)
class CostItemAdmin(LookOnly):
    list_display = ("what", "heading", "engine", "removed_at")
    list_select_related = ("engine",)
    list_filter = ("engine", "heading")
    search_fields = ("what",)


@admin.register(models.Membership)
class MembershipAdmin(LookOnly):
    list_display = ("user", "engine", "role", "removed_at")
    list_select_related = ("user", "engine")
    list_filter = ("engine", "role")


@admin.register(models.Change)
class ChangeAdmin(LookOnly):
    list_display = ("at", "title", "verb", "by_name", "engine")
    list_select_related = ("engine",)
    list_filter = ("engine", "kind", "verb")
    date_hierarchy = "at"
