"""The metal store: lots of metal, what moved in and out of them, and crucibles."""

from django.db import models

from parts.record.models import Engine, Find, Material, column
from parts.record.models.base import Record, holds


class MetalLot(Record):
    """A lot of reclaimed or bought metal. What is left of it is the sum of its moves."""

    class Known(models.TextChoices):
        ASSAYED = "assayed", "Assayed"
        KNOWN = "known", "Source the seller"
        ASSUMED = "assumed", "Assumed, as usual for such scrap"

    engine = column.place(models.ForeignKey(Engine, models.PROTECT, related_name="metal_lots"))
    name = column.place(models.CharField(max_length=120))
    material = column.place(models.CharField(max_length=20, choices=Material))
    known = column.place(
        models.CharField("composition", max_length=8, choices=Known, default=Known.ASSUMED)
    )
    scrap_key = column.place(
        models.CharField(max_length=30, blank=True, help_text="Row of the scrap table.")
    )
    percent = column.place(
        models.JSONField(default=dict, blank=True, help_text="Element: percent by mass.")
    )
    find = column.place(
        models.ForeignKey(Find, models.PROTECT, null=True, blank=True, related_name="metal_lots")
    )
    where_from = column.place(models.CharField(max_length=160, blank=True))
    kept_at = column.place(models.CharField("where it is kept", max_length=120, blank=True))
    value_per_kg = column.place(
        models.DecimalField("value of a kilogram", max_digits=9, decimal_places=2, default=0)
    )
    bought_as = column.place(
        models.ForeignKey("CostItem", models.PROTECT, null=True, blank=True, related_name="lots")
    )
    note = column.place(models.TextField(blank=True))

    class Meta(Record.Meta):
        ordering = ["material", "name", "pk"]
        constraints = [
            holds(
                models.Q(value_per_kg__gte=0),
                name="lot_value",
                says="A value cannot be less than nothing.",
            )
        ]

    def __str__(self):
        return self.name


class Crucible(Record):
    """A crucible that is owned, and how much it may carry."""

    engine = column.place(models.ForeignKey(Engine, models.PROTECT, related_name="crucibles"))
    name = column.place(models.CharField(max_length=80, help_text="No. 16, bilge shape."))
    carries_kg = column.place(models.FloatField(help_text="Of bronze, filled as far as is safe."))
    brim_l = column.place(
        models.FloatField("brim volume", null=True, blank=True, help_text="litres")
    )
    good = column.place(models.BooleanField("fit for use", default=True))
    looked_on = column.place(models.DateField("last inspected", null=True, blank=True))

    class Meta(Record.Meta):
        ordering = ["-carries_kg", "pk"]
        constraints = [
            holds(
                models.Q(carries_kg__gt=0),
                name="crucible_carries",
                says="What it carries must be more than nothing.",
            )
        ]

    def __str__(self):
        return self.name


class MetalMove(Record):
    """Metal into or out of a lot. Below nothing no lot goes: the action holds that under a lock."""

    engine = column.place(models.ForeignKey(Engine, models.PROTECT, related_name="metal_moves"))
    lot = column.place(models.ForeignKey(MetalLot, models.PROTECT, related_name="moves"))
    day = column.place(models.DateField())
    kg = column.place(models.FloatField(help_text="In is positive, out is negative."))
    written = column.place(models.CharField(max_length=60, blank=True))
    unit = column.place(models.CharField(max_length=8, blank=True, editable=False))
    pour = column.place(
        models.ForeignKey("Pour", models.PROTECT, null=True, blank=True, related_name="moves")
    )
    planned = column.place(
        models.BooleanField(default=False, help_text="Set aside for a pour that has not happened.")
    )
    reason = column.place(models.CharField(max_length=200, blank=True))

    class Meta(Record.Meta):
        ordering = ["day", "pk"]
        indexes = [models.Index(fields=["lot", "day"], name="metal_move_of_lot")]
        constraints = [
            holds(~models.Q(kg=0), name="metal_move_some", says="Give a mass other than nothing.")
        ]

    def __str__(self):
        return f"{self.lot}: {self.kg:+g} kg"
