"""Forms for the funders' report and its reading links."""

from dataclasses import fields

from django import forms

from parts.photos.forms import PhotoChoice
from parts.photos.models import Photo
from parts.record.forms import fields as sheet

from .queries.places import place_words
from .queries.report import Details


class PhotoChoices(forms.ModelMultipleChoiceField):
    label_from_instance = PhotoChoice.label_from_instance

    def _check_values(self, value):
        try:
            return super()._check_values(value)
        except OverflowError:  # a number that no database has for a row
            raise forms.ValidationError("Choose among the photographs shown.") from None


class ReportForm(forms.Form):
    """What a report is of, and the lead's own words."""

    title = forms.CharField(max_length=160)
    first_day = sheet.DayField(label="From")
    last_day = sheet.DayField(label="To")
    words = forms.CharField(
        required=False,
        label="In your own words",
        widget=forms.Textarea(attrs={"rows": 5}),
        help_text="Stands first. The rest is written from the record.",
    )
    next_words = forms.CharField(
        required=False, label="What is next", widget=forms.Textarea(attrs={"rows": 3})
    )
    photos = PhotoChoices(
        Photo.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        label="More photographs",
        help_text="Only those passed for funders stand here. Before and after come by themselves.",
    )
    passed = forms.BooleanField(
        required=False,
        label="I have read the words about places, and they may go out",
    )

    # The number it was drawn up under: sent twice, it is issued once.
    number = sheet.WholeField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args, engine, today, **kwargs):
        super().__init__(*args, **kwargs)
        self.engine, self.today = engine, today
        self.fields["photos"].queryset = Photo.objects.filter(engine=engine, may_go_out=True)

    def clean(self):
        data = super().clean()
        first, last = data.get("first_day"), data.get("last_day")
        if first and last and last < first:
            self.add_error("last_day", "The last day comes before the first. Change them round.")
        if last and last > self.today:
            self.add_error("last_day", "The last day has not come yet. Report up to today.")
        captions = [photo.caption for photo in data.get("photos") or ()]
        told = place_words(
            self.engine, data.get("words", ""), data.get("next_words", ""), *captions
        )
        if told and not data.get("passed"):
            self.add_error(
                "passed",
                "These words may tell where the site is or where parts are kept: "
                f"{', '.join(f'“{word}”' for word in told)}. Take them out, or say that they may "
                "go out.",
            )
        return data

    @property
    def details(self) -> Details:
        """What was entered, under the number that the form was shown with."""
        return Details(**{one.name: self.cleaned_data[one.name] for one in fields(Details)})


class LinkForm(forms.Form):
    """A reading link for someone without a login."""

    for_whom = forms.CharField(max_length=120, help_text="The county relics fund.")
    lapses_on = sheet.DayField(help_text="Within a year.")
