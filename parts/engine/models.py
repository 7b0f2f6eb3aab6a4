"""The leading sizes of an engine, who owns it, and what helpers propose."""

from django.db import models

from parts.record.models import ROUTE_CHOICES, Engine, Part, column
from parts.record.models.base import Record, holds, kept


class EngineSize(Record):
    """A leading size of the engine, from which figures and drawing proportions are taken."""

    deletable = leads_only = True

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
                says="This size is saved already. Change that one.",
            ),
            holds(
                models.Q(value_mm__gt=0),
                name="engine_size_positive",
                says="A size must be more than nothing.",
            ),
        ]

    def __str__(self):
        return f"{self.get_name_display()} {self.written}"


class Ownership(Record):
    """Who owns the engine, or allowed it to be taken, since when and on what terms."""

    deletable = leads_only = True

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
        ordering = ["-since", "pk"]
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


class Proposal(Record):
    """What a helper thinks a lead should decide. The lead accepts or declines it."""

    class Matter(models.TextChoices):
        BEYOND_REPAIR = "beyond_repair", "This is beyond repair"
        MAKE = "make", "Make this"
        LEAVE_OFF = "leave_off", "Leave this off"
        CORRECT = "correct", "The record is wrong"

    class Answer(models.TextChoices):
        OPEN = "open", "Waiting"
        ACCEPTED = "accepted", "Accepted"
        DECLINED = "declined", "Declined"

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="proposals"))
    part = column.open(models.ForeignKey(Part, models.PROTECT, related_name="proposals"))
    matter = column.open(models.CharField(max_length=16, choices=Matter))
    route = column.open(models.CharField(max_length=12, choices=ROUTE_CHOICES, blank=True))
    pieces = column.open(models.PositiveIntegerField(default=1))
    words = column.place(models.TextField())
    answer = column.open(models.CharField(max_length=10, choices=Answer, default=Answer.OPEN))
    answer_words = column.place(models.TextField(blank=True))

    class Meta(Record.Meta):
        ordering = ["-made_at", "pk"]
        constraints = [
            holds(
                models.Q(pieces__gt=0),
                name="proposal_pieces",
                says="Give a number of pieces, 1 or more.",
            )
        ]

    def __str__(self):
        return f"{self.get_matter_display()}: {self.part}"
