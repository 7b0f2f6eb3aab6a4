"""The engine, its components and its parts."""

from django.core.validators import MinValueValidator
from django.db import models
from django.urls import reverse

from parts.engineering.measures import Units

from . import column
from .base import KeptManager, Record, holds, kept
from .choices import ROUTE_CHOICES, EngineKind, Material
from .measure import Measure
from .status import PartQuerySet


class Engine(Record):
    """What is being restored. The engine is the project."""

    class LengthUnit(models.TextChoices):
        IN = "in", "inches"
        MM = "mm", "millimetres"

    class MassUnit(models.TextChoices):
        LB = "lb", "pounds"
        KG = "kg", "kilograms"

    class TapeUnit(models.TextChoices):
        FT = "ft", "feet"
        M = "m", "metres"

    class Ton(models.TextChoices):
        LONG = "long", "long: ton 2240 lb, hundredweight 112 lb"
        SHORT = "short", "short: ton 2000 lb, hundredweight 100 lb"
        METRIC = "metric", "metric: tonne 1000 kg, hundredweight 50 kg"

    class Currency(models.TextChoices):
        GBP = "GBP", "pounds sterling (£)"
        EUR = "EUR", "euros (€)"
        USD = "USD", "US dollars ($)"
        CAD = "CAD", "Canadian dollars ($)"
        AUD = "AUD", "Australian dollars ($)"
        NZD = "NZD", "New Zealand dollars ($)"
        CHF = "CHF", "Swiss francs (CHF)"
        SEK = "SEK", "Swedish kronor (kr)"
        DKK = "DKK", "Danish kroner (kr)"
        NOK = "NOK", "Norwegian kroner (kr)"
        PLN = "PLN", "Polish złoty (zł)"
        CZK = "CZK", "Czech koruny (Kč)"

    name = column.open(models.CharField(max_length=120))
    short_name = column.open(
        models.CharField(max_length=40, blank=True, help_text="For narrow places.")
    )
    kind = column.open(models.CharField(max_length=30, choices=EngineKind))
    maker = column.open(models.CharField(max_length=120, blank=True))
    built = column.open(
        models.CharField(max_length=40, blank=True, help_text="1907, or about 1890.")
    )
    works_number = column.open(models.CharField(max_length=40, blank=True))
    story = column.open(
        models.TextField(blank=True, help_text="What it drove, when it stopped, how it lies.")
    )
    place = column.place(
        models.TextField(
            blank=True, help_text="Told only to leads and helpers, unless you allow readers."
        )
    )
    speed_rpm = column.open(
        models.FloatField(
            "speed", null=True, blank=True, validators=[MinValueValidator(0.1)], help_text="rpm"
        )
    )
    pressure = column.open(Measure("pressure", "steam pressure", help_text="By the gauge: 80 psi."))
    # By the gauge: less than 0 for a vacuum.
    exhaust = column.open(
        Measure(
            "exhaust",
            "exhaust pressure or vacuum",
            help_text="26 inHg vacuum, 2 psi above the air, or 0.1 bar absolute.",
        )
    )
    cut_off = column.open(
        models.FloatField(
            null=True, blank=True, help_text="Part of the stroke at which steam is shut off: 0.6."
        )
    )
    wheels = column.open(models.PositiveSmallIntegerField("flywheels", default=1))
    wheel_arms = column.open(models.PositiveSmallIntegerField("arms of a wheel", default=6))
    shop_rate = column.money(
        models.DecimalField(
            "cost of an hour at the bench", max_digits=8, decimal_places=2, default=0
        )
    )
    length_unit = column.open(
        models.CharField(max_length=2, choices=LengthUnit, default=LengthUnit.IN)
    )
    mass_unit = column.open(models.CharField(max_length=2, choices=MassUnit, default=MassUnit.LB))
    tape_unit = column.open(models.CharField(max_length=2, choices=TapeUnit, default=TapeUnit.FT))
    ton = column.open(models.CharField(max_length=6, choices=Ton, default=Ton.LONG))
    currency = column.open(models.CharField(max_length=3, choices=Currency, default=Currency.GBP))
    tag_prefix = column.open(
        models.CharField(
            max_length=4, default="BP", help_text="Letters before the four figures of a tag: HG."
        )
    )
    readers_see_places = column.open(
        models.BooleanField(
            default=False, help_text="Readers may see where finds lay and where parts are kept."
        )
    )
    demo = models.BooleanField(default=False, editable=False)

    class Meta(Record.Meta):
        ordering = ["name", "pk"]
        base_manager_name = "everything"
        constraints = [
            holds(
                models.Q(cut_off__isnull=True) | models.Q(cut_off__gt=0, cut_off__lte=1),
                name="engine_cut_off",
                says="The cut-off is a part of the stroke: more than 0 and no more than 1.",
            ),
            holds(
                models.Q(shop_rate__gte=0),
                name="engine_shop_rate",
                says="The cost of an hour cannot be less than nothing.",
            ),
        ]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        return reverse("parts:engine", args=[self.pk])

    @property
    def units(self) -> Units:
        """In which units people read lengths, masses and site tapes of this engine."""
        return Units(
            length=self.length_unit, mass=self.mass_unit, tape=self.tape_unit, ton=self.ton
        )

    @property
    def engine_id(self) -> int:
        return self.pk


class Component(Record):
    """A named assembly of the engine. Components nest."""

    deletable = leads_only = True

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="components"))
    parent = column.open(
        models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="children")
    )
    number = column.open(models.PositiveIntegerField(validators=[MinValueValidator(1)]))
    name = column.open(models.CharField(max_length=120))
    note = column.place(models.TextField(blank=True))

    class Meta(Record.Meta):
        ordering = ["number"]
        constraints = [
            kept(
                "engine",
                "number",
                name="component_number_once",
                says="Another component has this number.",
            ),
            holds(
                ~models.Q(parent=models.F("pk")),
                name="component_not_its_own_parent",
                says="A component cannot be part of itself.",
            ),
        ]

    def __str__(self):
        return f"{self.number} {self.name}"

    def get_absolute_url(self):
        return reverse("parts:component", args=[self.engine_id, self.pk])

    def reason_to_keep(self) -> str:
        if self.parts.exists() or self.children.exists():
            return "This component still has parts. Move them to another component first."
        return ""


class Part(Record):
    """A kind of piece the engine should have, with an item number and a quantity.

    Status of the pieces is never stored: `Part.objects.status(day)` works it out from the
    dated entries.
    """

    deletable = leads_only = True

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="parts"))
    component = column.open(models.ForeignKey(Component, models.PROTECT, related_name="parts"))
    item = column.open(
        models.PositiveIntegerField("item number", validators=[MinValueValidator(1)])
    )
    name = column.open(models.CharField(max_length=120))
    quantity = column.open(
        models.PositiveIntegerField(default=1, validators=[MinValueValidator(1)])
    )
    material = column.open(
        models.CharField(max_length=20, choices=Material, default=Material.NOT_KNOWN)
    )
    usual_route = column.open(models.CharField(max_length=12, choices=ROUTE_CHOICES, blank=True))
    fastener = column.open(models.BooleanField(default=False))
    size = column.open(
        models.CharField(
            "finished size",
            max_length=120,
            blank=True,
            help_text="12 × 9 × 8 in, or 7/8 in × 4 in.",
        )
    )
    # The longest side, and one piece.
    length = column.open(Measure("length"))
    mass = column.open(Measure("mass"))
    note = column.place(models.TextField(blank=True))

    objects = KeptManager.from_queryset(PartQuerySet)()
    everything = models.Manager()

    class Meta(Record.Meta):
        ordering = ["item"]
        constraints = [
            kept(
                "engine", "item", name="item_number_once", says="Another part has this item number."
            ),
            holds(
                models.Q(quantity__gt=0),
                name="part_quantity",
                says="The quantity must be 1 or more.",
            ),
            holds(
                models.Q(mass_kg__isnull=True) | models.Q(mass_kg__gt=0),
                name="part_mass_positive",
                says="A mass must be more than nothing.",
            ),
        ]

    def __str__(self):
        return f"{self.item} {self.name}"

    def get_absolute_url(self):
        return reverse("parts:part", args=[self.engine_id, self.pk])

    def reason_to_keep(self) -> str:
        if self.entries.exists() or self.cost_items.exists():
            return (
                "This part has finds, jobs or costs. Leave it off instead, or delete those first."
            )
        return ""

    @property
    def part_id(self) -> int:
        return self.pk
