"""The people of an engine, what they propose, and what is shown to people without a login."""

from django.conf import settings
from django.db import models

from . import column
from .base import Record, holds, kept, new_folder
from .choices import ROUTE_CHOICES, Work
from .engine import Component, Engine, Part


class Membership(Record):
    """A person of an engine, and what they may do there."""

    class Role(models.TextChoices):
        LEAD = "lead", "Lead"
        HELPER = "helper", "Helper"
        READER = "reader", "Reader"

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="memberships"))
    user = column.open(
        models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="memberships")
    )
    role = column.open(models.CharField(max_length=8, choices=Role))

    class Meta(Record.Meta):
        ordering = ["role", "user__first_name", "user__username"]
        constraints = [
            kept(
                "engine",
                "user",
                name="member_once",
                says="This person belongs to the engine already.",
            )
        ]

    def __str__(self):
        return f"{self.user}, {self.get_role_display().lower()}"


class Proposal(Record):
    """What a helper thinks a lead should decide. The lead accepts or declines it."""

    class Matter(models.TextChoices):
        PAST_USE = "past_use", "This is past use"
        MAKE = "make", "Make this"
        LEAVE_OFF = "leave_off", "Leave this off"
        CORRECT = "correct", "The record is wrong"

    class Answer(models.TextChoices):
        OPEN = "open", "Waiting"
        ACCEPTED = "accepted", "Accepted"
        DECLINED = "declined", "Declined"

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="proposals"))
    part = column.open(models.ForeignKey(Part, models.PROTECT, related_name="proposals"))
    matter = column.open(models.CharField(max_length=10, choices=Matter))
    route = column.open(models.CharField(max_length=12, choices=ROUTE_CHOICES, blank=True))
    pieces = column.open(models.PositiveIntegerField(default=1))
    words = column.place(models.TextField())
    answer = column.open(models.CharField(max_length=10, choices=Answer, default=Answer.OPEN))
    answer_words = column.place(models.TextField(blank=True))

    class Meta(Record.Meta):
        ordering = ["-made_at"]
        constraints = [
            holds(
                models.Q(pieces__gt=0),
                name="proposal_pieces",
                says="Give a number of pieces, 1 or more.",
            )
        ]

    def __str__(self):
        return f"{self.get_matter_display()}: {self.part}"


def pdf_path(report, filename="") -> str:
    return f"{new_folder('reports', report.engine_id, report.number)}/report.pdf"


class Report(Record):
    """A report to funders, frozen as it was sent: the page, the PDF and the pictures shown.

    `page` is HTML with relative addresses, so that the same copy serves a member and a reading
    link. It holds no position. `tables` are the tables inside the PDF, by file name. Whatever the
    report shows is taken from this row and from its pictures, never from the record of today.
    """

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="reports"))
    number = column.open(models.PositiveIntegerField())
    title = column.open(models.CharField(max_length=160))
    first_day = column.open(models.DateField())
    last_day = column.open(models.DateField())
    words = column.open(models.TextField(blank=True, help_text="In the lead's own words."))
    next_words = column.open(models.TextField("what is next", blank=True))
    page = models.TextField(editable=False)
    engine_name = models.CharField(max_length=120, blank=True, editable=False)
    drawn_up = models.CharField("drawn up by", max_length=150, blank=True, editable=False)
    tables = models.JSONField(default=dict, blank=True, editable=False)
    pdf = models.FileField(upload_to=pdf_path, editable=False, blank=True)
    photos = column.open(models.ManyToManyField("parts.Photo", related_name="reports", blank=True))

    class Meta(Record.Meta):
        ordering = ["-number"]
        constraints = [
            kept(
                "engine",
                "number",
                name="report_number_once",
                says="Another report has this number.",
            ),
            holds(
                models.Q(last_day__gte=models.F("first_day")),
                name="report_days",
                says="The last day cannot come before the first.",
            ),
        ]

    @property
    def pictures(self):
        """The photographs that it shows, those too that were removed from the record since."""
        return self.photos.model.everything.filter(reports=self)

    def __str__(self):
        return self.title


class ReadingLink(Record):
    """A secret address that shows one frozen report without a login. Only its hash is kept."""

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="reading_links"))
    report = column.open(models.ForeignKey(Report, models.PROTECT, related_name="reading_links"))
    for_whom = column.personal(models.CharField(max_length=120))
    secret_sha256 = models.CharField(max_length=64, unique=True, editable=False)
    lapses_on = column.open(models.DateField())
    withdrawn_at = models.DateTimeField(null=True, blank=True, editable=False)
    last_read_at = models.DateTimeField(null=True, blank=True, editable=False)
    times_read = models.PositiveIntegerField(default=0, editable=False)

    class Meta(Record.Meta):
        ordering = ["-made_at"]

    named_by = ("for_whom",)

    def __str__(self):
        return f"For {self.for_whom or 'somebody'}, until {self.lapses_on}"


class HoursGiven(Record):
    """Hours that a person gave, and to what."""

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="hours"))
    person = column.personal(models.CharField(max_length=80))
    day = column.open(models.DateField())
    hours = column.open(models.DecimalField(max_digits=5, decimal_places=2))
    work = column.open(models.CharField(max_length=12, choices=Work))
    component = column.open(
        models.ForeignKey(Component, models.PROTECT, null=True, blank=True, related_name="hours")
    )
    part = column.open(
        models.ForeignKey(Part, models.PROTECT, null=True, blank=True, related_name="hours")
    )
    note = column.place(models.CharField(max_length=200, blank=True))

    class Meta(Record.Meta):
        ordering = ["-day", "person"]
        verbose_name_plural = "hours given"
        indexes = [models.Index(fields=["engine", "day"], name="hours_by_day")]
        constraints = [
            holds(
                models.Q(hours__gt=0, hours__lte=24),
                name="hours_of_a_day",
                says="Hours of one day are more than 0 and no more than 24.",
            )
        ]

    named_by = ("person",)

    def __str__(self):
        return f"{self.person or 'Somebody'}, {self.hours} h, {self.day}"
