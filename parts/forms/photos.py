"""Forms for photographs."""

from django import forms

from ..models import Photo, PhotoPair
from . import fields as sheet
from .base import RecordForm


class Pictures(forms.FileField):
    """Several pictures from one input; cleans to a list, which may be empty."""

    def clean(self, data, initial=None):
        files = data if isinstance(data, list | tuple) else [data]
        return [super(Pictures, self).clean(f, initial) for f in files if f] or (
            [super().clean(None, initial)] if self.required else []
        )


class PhotoForm(RecordForm):
    """A new photograph of something."""

    picture = forms.FileField(
        widget=sheet.Photo(press="Take or choose a photograph"),
        help_text="JPEG, PNG, WebP or HEIC. The original is kept as it is.",
        error_messages={"required": "Take or choose a photograph first."},
    )

    class Meta:
        model = Photo
        fields = ["day", "caption", "credit", "may_go_out"]
        widgets = {"day": sheet.Day()}

    field_order = ["picture", "caption", "day", "credit", "may_go_out"]

    def __init__(self, *args, may_pass: bool = False, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["day"].required = False
        self.fields["day"].help_text = "Left empty, the day that the picture itself tells."
        if not may_pass:
            del self.fields["may_go_out"]


class PhotoAboutForm(RecordForm):
    """What a photograph shows, changed afterwards."""

    class Meta:
        model = Photo
        fields = ["caption", "day", "credit", "part", "component", "may_go_out"]
        widgets = {"day": sheet.Day()}

    def __init__(self, *args, may_pass: bool = False, **kwargs):
        super().__init__(*args, **kwargs)
        if not may_pass:
            del self.fields["may_go_out"]


class PhotoChoice(forms.ModelChoiceField):
    def label_from_instance(self, photo):
        return f"{photo.day:%-d %b %Y}: {photo}"


class PairForm(RecordForm):
    """Two photographs of one view, before and after."""

    before = PhotoChoice(Photo.objects.none(), empty_label="Choose the photo before")
    after = PhotoChoice(Photo.objects.none(), empty_label="Choose the photo after")

    class Meta:
        model = PhotoPair
        fields = ["view", "before", "after"]
        help_texts = {"view": "What both show: the flywheel from the yard."}
