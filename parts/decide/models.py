"""The options for a piece that is missing or beyond repair."""

from django.db import models

from parts.record.models import Engine, Part, column
from parts.record.models.base import Record, holds, kept


class Option(Record):
    """One way of dealing with a missing or beyond-repair part, weighed before it is decided."""

    deletable = leads_only = True

    class Way(models.TextChoices):
        SEARCH = "search", "Go on searching"
        REPAIR = "repair", "Repair"
        CAST = "cast", "Cast"
        MACHINE = "machine", "Machine from bar"
        FABRICATE = "fabricate", "Fabricate"
        BUY = "buy", "Buy in"
        BORROW = "borrow", "Borrow"
        LEAVE_OFF = "leave_off", "Leave off"

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="options"))
    part = column.open(models.ForeignKey(Part, models.PROTECT, related_name="options"))
    way = column.open(models.CharField(max_length=10, choices=Way))
    low = column.money(models.DecimalField(max_digits=12, decimal_places=2))
    likely = column.money(models.DecimalField(max_digits=12, decimal_places=2))
    high = column.money(models.DecimalField(max_digits=12, decimal_places=2))
    hours = column.open(models.DecimalField(max_digits=7, decimal_places=1, default=0))
    wants = column.place(
        models.TextField("what is not there yet", blank=True, help_text="No pattern, no quote.")
    )
    note = column.place(models.TextField(blank=True))

    class Meta(Record.Meta):
        ordering = ["pk"]
        constraints = [
            kept("part", "way", name="option_once", says="This way is weighed already."),
            holds(
                models.Q(low__gte=0, likely__gte=models.F("low"), high__gte=models.F("likely")),
                name="option_low_likely_high",
                says="Low, likely and high must rise, from nothing upwards: 80, 100, 140.",
            ),
        ]

    def __str__(self):
        return f"{self.get_way_display()}: {self.part}"
