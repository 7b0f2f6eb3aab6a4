"""The engine, its components and parts, its sizes and who owns it."""

from django.core.validators import MinValueValidator
from django.db import models
from django.urls import reverse

from ..trade.measures import Units
from . import column
from .base import HasLength, HasMass, KeptManager, Record, exactly_or_more, holds, kept
from .choices import ROUTE_CHOICES, EngineKind, Material
from .standing import PartQuerySet


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
    pressure_written = column.open(
        models.CharField(
            "steam pressure", max_length=60, blank=True, help_text="By the gauge: 80 psi."
        )
    )
    pressure_unit = models.CharField(max_length=8, blank=True, editable=False)
    pressure_kpa = models.FloatField(null=True, blank=True, editable=False)
    exhaust_written = column.open(
        models.CharField(
            "exhaust pressure or vacuum",
            max_length=60,
            blank=True,
            help_text="26 inHg vacuum, 2 psi above the air, or 0.1 bar absolute.",
        )
    )
    exhaust_unit = models.CharField(max_length=8, blank=True, editable=False)
    exhaust_kpa = models.FloatField(
        null=True, blank=True, editable=False, help_text="By the gauge: less than 0 for a vacuum."
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
        ordering = ["name"]
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


class EngineSize(Record):
    """A leading size of the engine, from which figures and drawing proportions are taken."""

    class Name(models.TextChoices):
        BORE = "bore", "Bore"
        STROKE = "stroke", "Stroke"
        FLYWHEEL = "flywheel", "Flywheel diameter"
        FLYWHEEL_FACE = "flywheel_face", "Flywheel face"
        ROD = "rod", "Connecting rod, between centres"
        PISTON_ROD = "piston_rod", "Piston rod diameter"
        SHAFT = "shaft", "Crankshaft journal diameter"
        OVERHANG = "overhang", "Overhang, crank pin's centre to bearing's centre"

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="sizes"))
    name = column.open(models.CharField(max_length=20, choices=Name))
    written = column.open(models.CharField(max_length=60))
    unit = models.CharField(max_length=8, editable=False)
    value_mm = models.FloatField(editable=False)

    class Meta(Record.Meta):
        constraints = [
            kept(
                "engine",
                "name",
                name="engine_size_once",
                says="This size is written down already. Change that one.",
            ),
            holds(
                models.Q(value_mm__gt=0),
                name="engine_size_positive",
                says="A size must be more than nothing.",
            ),
        ]

    def __str__(self):
        return f"{self.get_name_display()} {self.written}"


class Component(Record):
    """A named assembly of the engine. Components nest."""

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


class Part(HasLength, HasMass, Record):
    """A kind of piece the engine should have, with an item number and a quantity.

    How its pieces stand is never stored: `Part.objects.standing(day)` works it out from the
    dated facts.
    """

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


class Measurement(Record):
    """A size or mass that was taken, or that a drawing gives: kept as it was written."""

    class Quantity(models.TextChoices):
        LENGTH = "length", "Length"
        MASS = "mass", "Mass"
        TEMPERATURE = "temperature", "Temperature"
        COUNT = "count", "Count"
        ANGLE = "angle", "Angle"

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="measurements"))
    part = column.open(
        models.ForeignKey(Part, models.PROTECT, null=True, blank=True, related_name="measurements")
    )
    find = column.open(
        models.ForeignKey(
            "parts.Find", models.PROTECT, null=True, blank=True, related_name="measurements"
        )
    )
    what = column.open(
        models.CharField(max_length=80, help_text="Between centres, or big end bore.")
    )
    quantity = column.open(
        models.CharField(max_length=12, choices=Quantity, default=Quantity.LENGTH)
    )
    written = column.open(models.CharField(max_length=60))
    unit = models.CharField(max_length=8, blank=True, editable=False)
    value = models.FloatField(editable=False, help_text="mm, kg, °C or a count")
    plus_or_minus = column.open(
        models.CharField(max_length=60, blank=True, help_text="How sure: 1/64 in.")
    )
    plus_or_minus_value = models.FloatField(null=True, blank=True, editable=False)
    nominal = column.open(models.BooleanField(default=False, help_text="As made, not as found."))
    instrument = column.open(models.CharField(max_length=80, blank=True))
    day = column.open(models.DateField())
    who = column.open(models.CharField(max_length=80, blank=True))

    class Meta(Record.Meta):
        ordering = ["what", "-day"]
        constraints = [exactly_or_more("part", "find", name="measurement_of_something")]

    def __str__(self):
        return f"{self.what}: {self.written}"


class Ownership(Record):
    """Who owns the engine, or allowed it to be taken, since when and on what terms."""

    class Right(models.TextChoices):
        OWNS = "owns", "Owns the engine"
        ALLOWED = "allowed", "Allowed its removal"
        GROUND = "ground", "Owns the ground"

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="ownerships"))
    who = column.personal(models.CharField(max_length=120))
    right = column.open(models.CharField(max_length=10, choices=Right, default=Right.OWNS))
    since = column.open(models.DateField())
    until = column.open(models.DateField(null=True, blank=True))
    terms = column.place(models.TextField(blank=True))

    class Meta(Record.Meta):
        ordering = ["-since"]
        constraints = [
            holds(
                models.Q(until__isnull=True) | models.Q(until__gte=models.F("since")),
                name="ownership_until_after_since",
                says="It cannot end before it began.",
            )
        ]

    named_by = ("who",)

    def __str__(self):
        return f"{self.who or 'Somebody'}, {self.get_right_display().lower()}"

    def passed(self) -> tuple[str, ...]:
        """Who owned the engine belongs to its record. Whoever owns the ground tells the place."""
        return ("who",) if self.right == self.Right.OWNS else ()


class Plan(Record):
    """What should be done by when: a frozen, dated copy. A new plan is a new row."""

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="plans"))
    name = column.open(models.CharField(max_length=120))
    frozen_on = column.open(models.DateField())
    note = column.place(models.TextField(blank=True))

    class Meta(Record.Meta):
        ordering = ["-frozen_on", "-pk"]

    def __str__(self):
        return self.name


class PlanPoint(models.Model):
    """What a plan says should be done by a day, counted from the start of the work."""

    plan = column.open(models.ForeignKey(Plan, models.CASCADE, related_name="points"))
    day = column.open(models.DateField())
    pieces = column.open(
        models.PositiveIntegerField(help_text="pieces standing on the engine again")
    )
    hours = column.open(
        models.DecimalField(max_digits=9, decimal_places=1, help_text="hours given")
    )
    money = column.money(
        models.DecimalField(max_digits=12, decimal_places=2, help_text="money spent")
    )

    class Meta:
        ordering = ["day"]
        constraints = [
            models.UniqueConstraint(
                fields=["plan", "day"],
                name="plan_day_once",
                violation_error_message="The plan has this day already.",
            ),
            holds(
                models.Q(hours__gte=0, money__gte=0),
                name="plan_not_negative",
                says="Hours and money of a plan cannot be less than nothing.",
            ),
        ]

    def __str__(self):
        return f"{self.plan}, {self.day}"
