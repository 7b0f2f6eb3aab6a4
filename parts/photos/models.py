"""Photos: the original kept untouched, and what is shown made from it."""

from django.db import models
from django.urls import reverse

from parts.care.models import Repair
from parts.record.models import Component, DiaryEntry, Engine, Find, Part, column
from parts.record.models.base import FromPhone, Record, holds, new_folder


def original_path(photo, filename) -> str:
    suffix = {"JPEG": "jpg", "PNG": "png", "WEBP": "webp", "HEIF": "heic"}[photo.format]
    return f"{new_folder('photos', photo.engine_id, photo.uid)}/original.{suffix}"


class Photo(FromPhone, Record):
    """A picture of something of the engine.

    The original is private and keeps its checksum. What is shown are upright JPEGs without
    metadata, 1600, 900 and 320 pixels on the long side, beside it.
    """

    deletable = True

    SIZES = (1600, 900, 320)

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="photos"))
    part = column.open(
        models.ForeignKey(Part, models.PROTECT, null=True, blank=True, related_name="photos")
    )
    find = column.open(
        models.ForeignKey(Find, models.PROTECT, null=True, blank=True, related_name="photos")
    )
    component = column.open(
        models.ForeignKey(Component, models.PROTECT, null=True, blank=True, related_name="photos")
    )
    repair = column.open(
        models.ForeignKey(Repair, models.PROTECT, null=True, blank=True, related_name="photos")
    )
    diary = column.place(
        models.ForeignKey(DiaryEntry, models.PROTECT, null=True, blank=True, related_name="photos")
    )
    original = models.FileField(upload_to=original_path, editable=False)
    format = models.CharField(max_length=4, editable=False)
    sha256 = models.CharField(max_length=64, editable=False)
    bytes = models.PositiveBigIntegerField(editable=False)
    width = models.PositiveIntegerField(editable=False)
    height = models.PositiveIntegerField(editable=False)
    day = column.open(models.DateField("taken on"))
    caption = column.place(models.CharField(max_length=200, blank=True))
    credit = column.open(models.CharField("taken by", max_length=80, blank=True))
    may_go_out = column.open(
        models.BooleanField(
            "may be shown to funders",
            default=False,
            help_text="Gives away no location.",
        )
    )

    class Meta(Record.Meta):
        ordering = ["-day", "-pk"]
        indexes = [models.Index(fields=["engine", "sha256"], name="photo_by_sum")]

    named_by = ("caption",)

    def __str__(self):
        return self.caption or f"Photo of {self.day}"

    def passed(self) -> tuple[str, ...]:
        """A photo that may be shown to funders may be shown with its caption."""
        return ("caption",) if self.may_go_out else ()

    def shown_path(self, size: int) -> str:
        """The storage name of the picture that is shown, `size` pixels on its long side."""
        return f"{self.original.name.rpartition('/')[0]}/{size}.jpg"

    @classmethod
    def derived_files(cls, name: str) -> tuple[str, ...]:
        return tuple(cls(original=name).shown_path(size) for size in cls.SIZES)

    def url(self, size: int) -> str:
        return reverse("parts:photo_file", args=[self.engine_id, self.pk, size])

    @property
    def small_url(self) -> str:
        return self.url(320)

    @property
    def middle_url(self) -> str:
        return self.url(900)

    @property
    def large_url(self) -> str:
        return self.url(1600)

    def reason_to_keep(self) -> str:
        if self.drawings.exists():
            return "A sheet with balloons is drawn on this picture. Delete the sheet first."
        return ""


class PhotoPair(Record):
    """Two photos of one view, before and after."""

    deletable = True

    engine = column.open(models.ForeignKey(Engine, models.PROTECT, related_name="photo_pairs"))
    before = column.open(models.ForeignKey(Photo, models.PROTECT, related_name="pairs_before"))
    after = column.open(models.ForeignKey(Photo, models.PROTECT, related_name="pairs_after"))
    view = column.open(models.CharField("the view", max_length=160))

    class Meta(Record.Meta):
        ordering = ["-pk"]
        constraints = [
            holds(
                ~models.Q(before=models.F("after")),
                name="pair_of_two",
                says="Choose two different photos: one before, one after.",
            )
        ]

    def __str__(self):
        return self.view
