"""Reports, frozen as they were sent, and the links that show them."""

from django.db import models

from parts.record.models import Engine, column
from parts.record.models.base import Record, holds, kept, new_folder


def pdf_path(report, filename="") -> str:
    return f"{new_folder('reports', report.engine_id, report.number)}/report.pdf"


class Report(Record):
    """A report to funders, frozen as it was sent: the page, the PDF and the pictures shown.

    `page` is HTML with relative addresses, so that the same copy serves a member and a reading
    link. It contains no locations. `tables` are the tables inside the PDF, by file name. What the
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
        ordering = ["-made_at", "pk"]

    named_by = ("for_whom",)

    def __str__(self):
        return f"For {self.for_whom or 'somebody'}, until {self.lapses_on}"
