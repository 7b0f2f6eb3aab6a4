"""The machinist's part of the workshop: fasteners, quotes, bars and cuts; and lifting gear."""

from django.core.validators import MinValueValidator
from django.db import models
from django.urls import reverse

from . import column
from .base import Record, holds, kept
from .choices import Material
from .engine import Engine, Part
from .making import Making


class Option(Record):
    """One way of dealing with a missing or past-use part, weighed before it is decided."""

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


class Fastener(Record):
    """What a fastener is: its thread, length and head, measured or named."""

    class Kind(models.TextChoices):
        BOLT = "bolt", "Bolt"
        STUD = "stud", "Stud"
        NUT = "nut", "Nut"
        SCREW = "screw", "Set screw"
        WASHER = "washer", "Washer"
        PIN = "pin", "Pin or cotter"

    class Head(models.TextChoices):
        HEXAGON = "hexagon", "Hexagon"
        SQUARE = "square", "Square"
        COUNTERSUNK = "countersunk", "Countersunk"
        CHEESE = "cheese", "Cheese"
        NONE = "none", "None"

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="fasteners"))
    part = column.open(models.ForeignKey(Part, models.PROTECT, related_name="fasteners"))
    kind = column.open(models.CharField(max_length=8, choices=Kind, default=Kind.BOLT))
    head = column.open(models.CharField(max_length=12, choices=Head, default=Head.HEXAGON))
    series = column.open(
        models.CharField(max_length=12, blank=True, help_text="A series of trade.threads.")
    )
    size = column.open(
        models.CharField(max_length=12, blank=True, help_text="Its nominal size there.")
    )
    sure = column.open(models.BooleanField("thread is certain", default=False))
    length_written = column.open(models.CharField("length", max_length=60, blank=True))
    length_unit = models.CharField(max_length=8, blank=True, editable=False)
    length_mm = models.FloatField(null=True, blank=True, editable=False)
    crest_written = column.open(models.CharField("over the crests", max_length=60, blank=True))
    crest_unit = models.CharField(max_length=8, blank=True, editable=False)
    crest_mm = models.FloatField(null=True, blank=True, editable=False)
    threads_per_inch = column.open(models.FloatField(null=True, blank=True))
    flank_deg = column.open(models.FloatField("flank angle", null=True, blank=True))
    flats_written = column.open(models.CharField("across flats", max_length=60, blank=True))
    flats_unit = models.CharField(max_length=8, blank=True, editable=False)
    flats_mm = models.FloatField(null=True, blank=True, editable=False)
    nuts = column.open(models.PositiveSmallIntegerField("nuts with each", default=0))
    spares = column.open(models.PositiveSmallIntegerField(default=0))
    minutes_each = column.open(models.FloatField("minutes to make one", null=True, blank=True))
    minutes_setting = column.open(models.FloatField("minutes to set up", null=True, blank=True))

    class Meta(Record.Meta):
        ordering = ["part__item"]
        constraints = [
            kept("part", name="fastener_once", says="This part has its thread written already.")
        ]

    def __str__(self):
        return f"{self.get_kind_display()} of {self.part}"


class Quote(Record):
    """What a supplier asks for a piece, and from when."""

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="quotes"))
    part = column.open(models.ForeignKey(Part, models.PROTECT, related_name="quotes"))
    supplier = column.money(models.CharField(max_length=120))
    day = column.money(models.DateField())
    each = column.money(models.DecimalField("price of one", max_digits=10, decimal_places=2))
    carriage = column.money(models.DecimalField(max_digits=10, decimal_places=2, default=0))
    least = column.money(
        models.PositiveIntegerField("least order", default=1, validators=[MinValueValidator(1)])
    )
    good_until = column.money(models.DateField(null=True, blank=True))
    note = column.place(models.CharField(max_length=200, blank=True))

    class Meta(Record.Meta):
        ordering = ["-day"]
        constraints = [
            holds(
                models.Q(each__gte=0, carriage__gte=0),
                name="quote_not_negative",
                says="A price cannot be less than nothing.",
            )
        ]

    def __str__(self):
        return f"{self.supplier}, {self.day}"


class Bar(Record):
    """Bar of one section: a stock length that can be bought, or bars and offcuts in the store."""

    class Section(models.TextChoices):
        ROUND = "round", "Round"
        HEXAGON = "hexagon", "Hexagon"
        SQUARE = "square", "Square"
        FLAT = "flat", "Flat"

    engine = column.place(models.ForeignKey(Engine, models.PROTECT, related_name="bars"))
    material = column.place(models.CharField(max_length=20, choices=Material))
    section = column.place(models.CharField(max_length=8, choices=Section, default=Section.ROUND))
    across_written = column.place(models.CharField("across", max_length=60))
    across_unit = column.place(models.CharField(max_length=8, blank=True, editable=False))
    across_mm = column.place(models.FloatField(editable=False))
    length_written = column.place(models.CharField("length", max_length=60))
    length_unit = column.place(models.CharField(max_length=8, blank=True, editable=False))
    length_mm = column.place(models.FloatField(editable=False))
    in_store = column.place(
        models.BooleanField(default=False, help_text="In the store, not to be bought.")
    )
    offcut = column.place(models.BooleanField(default=False))
    price = column.place(
        models.DecimalField(
            "price of one bar", max_digits=10, decimal_places=2, null=True, blank=True
        )
    )
    supplier = column.place(models.CharField(max_length=120, blank=True))
    kept_at = column.place(models.CharField("where it is kept", max_length=120, blank=True))

    class Meta(Record.Meta):
        ordering = ["material", "section", "across_mm", "-length_mm"]
        constraints = [
            holds(
                models.Q(length_mm__gt=0, across_mm__gt=0),
                name="bar_sizes",
                says="A bar has a size across and a length, both more than nothing.",
            )
        ]

    def __str__(self):
        return f"{self.across_written} {self.get_section_display().lower()}, {self.length_written}"


class CutPlan(Record):
    """A cutting list as it was cut, or is about to be: frozen, with what it took and left."""

    engine = column.place(models.ForeignKey(Engine, models.PROTECT, related_name="cut_plans"))
    number = column.place(models.PositiveIntegerField())
    drawn_on = column.place(models.DateField())
    cut_on = column.place(models.DateField(null=True, blank=True))
    kerf_mm = column.place(models.FloatField())
    end_trim_mm = column.place(models.FloatField(default=0))
    plan = column.place(
        models.JSONField(help_text="Bars with their cuts, as trade.bars gave them.")
    )
    note = column.place(models.TextField(blank=True))

    class Meta(Record.Meta):
        ordering = ["-number"]
        constraints = [
            kept("engine", "number", name="cut_plan_once", says="Another plan has this number.")
        ]

    def __str__(self):
        return f"Cutting list {self.number}"


class BarMove(Record):
    """Bars into or out of the store. Fewer than none there never are: the action holds that."""

    engine = column.place(models.ForeignKey(Engine, models.PROTECT, related_name="bar_moves"))
    bar = column.place(models.ForeignKey(Bar, models.PROTECT, related_name="moves"))
    day = column.place(models.DateField())
    bars = column.place(models.IntegerField(help_text="In is positive, out is negative."))
    cut_plan = column.place(
        models.ForeignKey(CutPlan, models.PROTECT, null=True, blank=True, related_name="moves")
    )
    reason = column.place(models.CharField(max_length=200, blank=True))

    class Meta(Record.Meta):
        ordering = ["day", "pk"]
        constraints = [
            holds(~models.Q(bars=0), name="bar_move_some", says="Give a number of bars.")
        ]

    def __str__(self):
        return f"{self.bar}: {self.bars:+d}"


class BarBlank(Record):
    """The blank a making is turned from: which bar, how long, with what to face off."""

    engine = column.place(models.ForeignKey(Engine, models.PROTECT, related_name="bar_blanks"))
    making = column.place(models.ForeignKey(Making, models.PROTECT, related_name="bar_blanks"))
    section = column.place(
        models.CharField(max_length=8, choices=Bar.Section, default=Bar.Section.ROUND)
    )
    across_written = column.place(models.CharField("across", max_length=60))
    across_unit = column.place(models.CharField(max_length=8, blank=True, editable=False))
    across_mm = column.place(models.FloatField(editable=False))
    length_written = column.place(models.CharField("finished length", max_length=60))
    length_unit = column.place(models.CharField(max_length=8, blank=True, editable=False))
    length_mm = column.place(models.FloatField(editable=False))
    faces = column.place(models.PositiveSmallIntegerField("ends faced", default=2))
    holding_mm = column.place(models.FloatField("to hold by", default=0, help_text="millimetres"))

    class Meta(Record.Meta):
        ordering = ["making__part__item"]
        constraints = [
            kept("making", name="blank_once", says="This making has its blank already."),
            holds(
                models.Q(length_mm__gt=0, across_mm__gt=0),
                name="blank_sizes",
                says="A blank has a size across and a length, both more than nothing.",
            ),
        ]

    def __str__(self):
        return f"Blank of {self.making.part}"


class Gear(Record):
    """A sling, shackle or hoist that is owned, with what its own tag says."""

    class Kind(models.TextChoices):
        CHAIN = "chain", "Chain sling"
        WIRE = "wire", "Wire rope sling"
        WEB = "web", "Web sling"
        SHACKLE = "shackle", "Shackle"
        HOIST = "hoist", "Hoist or chain block"
        JACK = "jack", "Jack"
        WINCH = "winch", "Winch"
        LORRY = "lorry", "Lorry or trailer"

    class AngleFrom(models.TextChoices):
        NONE = "", "Not given"
        VERTICAL = "vertical", "From the vertical"
        HORIZONTAL = "horizontal", "From the horizontal"

    SLINGS = (Kind.CHAIN, Kind.WIRE, Kind.WEB)

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="gear"))
    kind = column.open(models.CharField(max_length=8, choices=Kind))
    name = column.open(models.CharField(max_length=120))
    rated_written = column.open(
        models.CharField("rated load on its tag", max_length=60, blank=True)
    )
    rated_unit = models.CharField(max_length=8, blank=True, editable=False)
    rated_kg = models.FloatField(null=True, blank=True, editable=False)
    rated_legs = column.open(
        models.PositiveSmallIntegerField(
            "what the rated load is for",
            choices=[
                (1, "One leg, pulled straight"),
                (2, "The whole sling of 2 legs"),
                (3, "The whole sling of 3 legs"),
                (4, "The whole sling of 4 legs"),
            ],
            null=True,
            blank=True,
        )
    )
    rated_angle = column.open(models.FloatField("angle on the tag", null=True, blank=True))
    rated_angle_from = column.open(
        models.CharField("counted from", max_length=10, choices=AngleFrom, default="", blank=True)
    )
    how_many = column.open(models.PositiveSmallIntegerField(default=1))
    inspected_on = column.open(models.DateField(null=True, blank=True))
    inspect_by = column.open(models.DateField("next inspection by", null=True, blank=True))
    owner = column.open(models.CharField(max_length=120, blank=True))
    note = column.place(models.TextField(blank=True))

    class Meta(Record.Meta):
        ordering = ["kind", "name"]
        verbose_name_plural = "gear"
        constraints = [
            holds(
                models.Q(rated_kg__isnull=True) | models.Q(rated_kg__gt=0),
                name="gear_rated",
                says="A rated load is more than nothing.",
            )
        ]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        return reverse("parts:gear", args=[self.engine_id])

    @property
    def tag_angle(self) -> float | None:
        """The angle on the tag, from the horizontal. [deg]"""
        if self.rated_angle is None or not self.rated_angle_from:
            return None
        upright = self.rated_angle_from == self.AngleFrom.VERTICAL
        return 90.0 - self.rated_angle if upright else self.rated_angle


class Lift(Record):
    """A lift that was thought through: what hangs on it, by which gear, at which angle."""

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="lifts"))
    name = column.open(models.CharField(max_length=120))
    extra_written = column.open(
        models.CharField("mud, water and tackle", max_length=60, blank=True)
    )
    extra_unit = models.CharField(max_length=8, blank=True, editable=False)
    extra_kg = models.FloatField(default=0, editable=False)
    legs = column.open(models.PositiveSmallIntegerField(default=2))
    angle_deg = column.open(
        models.FloatField("angle of the legs", help_text="From the horizontal.")
    )
    shared = column.open(
        models.BooleanField("the load is known to be shared equally by all legs", default=False)
    )
    sling = column.open(
        models.ForeignKey(
            Gear, models.PROTECT, null=True, blank=True, related_name="lifts_by_sling"
        )
    )
    shackle = column.open(
        models.ForeignKey(
            Gear, models.PROTECT, null=True, blank=True, related_name="lifts_by_shackle"
        )
    )
    hoist = column.open(
        models.ForeignKey(
            Gear, models.PROTECT, null=True, blank=True, related_name="lifts_by_hoist"
        )
    )
    planned_for = column.open(models.DateField(null=True, blank=True))
    done_on = column.open(models.DateField(null=True, blank=True))
    happened = column.place(models.TextField("how it went", blank=True))

    class Meta(Record.Meta):
        ordering = ["-pk"]
        constraints = [
            holds(
                models.Q(legs__gte=1, legs__lte=4, angle_deg__gt=0, angle_deg__lte=90),
                name="lift_legs_and_angle",
                says="A lift has 1 to 4 legs, at an angle of more than 0 and up to 90 degrees.",
            )
        ]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        return reverse("parts:lift", args=[self.engine_id, self.pk])


class LiftLoad(Record):
    """How many pieces of a part hang on a lift at once."""

    lift = column.open(models.ForeignKey(Lift, models.PROTECT, related_name="loads"))
    part = column.open(models.ForeignKey(Part, models.PROTECT, related_name="lift_loads"))
    pieces = column.open(
        models.PositiveSmallIntegerField(default=1, validators=[MinValueValidator(1)])
    )

    class Meta(Record.Meta):
        ordering = ["part__item"]
        constraints = [
            kept("lift", "part", name="lift_load_once", says="This part is on the lift already."),
            holds(
                models.Q(pieces__gt=0),
                name="lift_load_pieces",
                says="Give a number of pieces, 1 or more.",
            ),
        ]

    def __str__(self):
        return f"{self.pieces} × {self.part}"
