"""Forms for photographs."""

import uuid

from django import forms

from parts.record.forms import fields as sheet
from parts.record.forms.base import RecordForm

from .actions import waiting
from .actions.uploads import check_picture
from .models import Photo, PhotoPair


class Pictures(forms.FileField):
    """Several files from one input; cleans to a list of those that waited and those sent now."""

    def clean(self, data, initial=None):
        sent = data if isinstance(data, list | tuple) else [data]
        files = [*(initial or ()), *(super(Pictures, self).clean(f) for f in sent if f)]
        if self.required and not files:
            raise forms.ValidationError(self.error_messages["required"], code="required")
        return files


class CarriesFiles:
    """A form that carries files: its id, made where it was typed, and the files that wait for it.

    `file_field` names the field. With `user` the form is one for a new row; without, its row is
    there already and carries no files.
    """

    file_field = "picture"
    most = 1
    check = staticmethod(check_picture)

    def __init__(self, data=None, files=None, *args, user=None, **kwargs):
        self.user, self.waiting = user, []
        if user is not None and data is not None:
            data = data.copy()
        super().__init__(data, files, *args, **kwargs)
        if user is None:
            del self.fields[self.file_field]
            return
        self.uid = self._id_sent() or uuid.uuid4()
        self.fields["uid"] = forms.CharField(widget=forms.HiddenInput, initial=self.uid)
        if self.is_bound:
            self.data["uid"] = str(self.uid)
        if isinstance(self, forms.ModelForm):
            self.instance.uid = self.uid
        self._look_for_waiting()

    def _id_sent(self) -> uuid.UUID | None:
        try:
            return uuid.UUID(self.data.get("uid", ""))
        except ValueError:
            return None

    def _look_for_waiting(self) -> None:
        self.waiting = waiting.waiting(self.user, self.uid)
        field = self.fields[self.file_field]
        several = isinstance(field, Pictures)
        field.initial = self.waiting if several else next(iter(self.waiting), None)

    def clean(self):
        data = super().clean()
        data.pop("uid", None)  # no field of the row that is typed
        return data

    def let_wait(self) -> None:
        """Keep the files of a form that was refused."""
        sent = self.files.getlist(self.file_field) if self.files else []
        waiting.let_wait(self.user, self.uid, sent, check=self.check, most=self.most)
        self._look_for_waiting()

    def went_in(self) -> None:
        """Forget the files that waited."""
        waiting.done_waiting(self.user, self.uid)


class PhotoForm(CarriesFiles, RecordForm):
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
