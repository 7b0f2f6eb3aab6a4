"""Forms for finds and the site diary."""

import re

from django import forms

from parts.engineering.measures.reading import whole
from parts.photos.actions.waiting import MOST
from parts.photos.forms import CarriesFiles, Pictures
from parts.record.actions.saving import Refused
from parts.record.forms import fields as sheet
from parts.record.forms.base import RecordForm
from parts.record.models import DiaryEntry, Find, Part

from .actions import tidy_tag

DAY = sheet.Day()
PLAIN = re.compile(r"[0-9]+(\.[0-9]*)?|\.[0-9]+")


class FindForm(CarriesFiles, RecordForm):
    """What was found, in the order of the hand: photograph, look, number, place."""

    refused_at = "quantity"
    file_field, most = "pictures", MOST
    pictures = Pictures(
        required=False, widget=sheet.Photo(press="Photograph it", several=True), label="Photo"
    )

    class Meta:
        model = Find
        fields = [
            "looks_like",
            "material",
            "quantity",
            "condition_class",
            "where_found",
            "depth_written",
            "length_written",
            "mass_written",
            "tag",
            "kept_at",
            "odd",
            "day",
            "found_by",
            "note",
        ]
        widgets = {
            "material": sheet.Materials,
            "quantity": sheet.Stepper,
            "condition_class": sheet.ConditionCells,
            "odd": forms.Select,
            "day": DAY,
            "note": forms.Textarea(attrs={"rows": 3}),
        }
        labels = {
            "looks_like": "What it looks like",
            "material": "Looks like",
            "quantity": "How many",
            "condition_class": "Condition",
            "length_written": "Longest side",
            "mass_written": "Mass of one",
            "found_by": "Found by",
        }
        help_texts = {
            "looks_like": "A few words will do: bent lever.",
            "condition_class": "A best guess will do.",
            "odd": "Tools, glass and bone are kept in the record too.",
        }

    field_order = ["pictures"]

    def __init__(self, *args, next_tag: str = "", **kwargs):
        super().__init__(*args, **kwargs)
        engine = self.engine
        small = "in" if engine.length_unit == "in" else "cm"
        self.fields["condition_class"].required = False
        self.fields["depth_written"].widget = sheet.Unit(unit=small, decimal=False)
        self.fields["length_written"].widget = sheet.Unit(unit=engine.length_unit, decimal=False)
        self.fields["mass_written"].widget = sheet.Unit(unit=engine.mass_unit, decimal=False)
        self.fields["depth_written"].help_text = "To the top of it."
        if next_tag:
            self.fields["tag"].help_text = f"Left empty, it is given {next_tag}."

    def clean_depth_written(self):
        """Below ground is said in small units: centimetres where the engine is metric."""
        text = self.cleaned_data["depth_written"].strip()
        if self.engine.length_unit == "mm" and PLAIN.fullmatch(text):
            return f"{text} cm"
        return text

    def clean_tag(self):
        try:
            return tidy_tag(self.cleaned_data["tag"], self.engine)
        except Refused as refusal:
            raise forms.ValidationError(str(refusal)) from None


class IdentifyForm(forms.Form):
    """What part a find is, and how many pieces of it."""

    part = forms.ModelChoiceField(
        Part.objects.none(),
        widget=forms.HiddenInput,
        error_messages={
            "required": "Choose the part that it is.",
            "invalid_choice": "There is no such part of this engine. Choose another.",
        },
    )
    pieces = sheet.WholeField(min_value=1, initial=1, widget=sheet.Stepper, label="How many")
    day = sheet.DayField()
    placed = forms.BooleanField(required=False, label="It stands on the engine")
    reason = forms.CharField(
        required=False, label="How you know", help_text="The cotter way fits the rod."
    )

    def __init__(self, *args, engine, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["part"].queryset = Part.objects.filter(engine=engine)

    @property
    def chosen(self) -> Part | None:
        """The part that was picked, before and after the form is sent."""
        try:
            return self.fields["part"].clean(self["part"].value())
        except forms.ValidationError:
            return None


class TakeBackForm(forms.Form):
    """That a find turned out not to be a part."""

    pieces = sheet.WholeField(min_value=1, initial=1, widget=sheet.Stepper, label="How many")
    day = sheet.DayField()
    reason = forms.CharField(
        label="Why", help_text="The bore is a sixteenth too small for the spindle."
    )


class DiaryForm(CarriesFiles, RecordForm):
    """A day on the site."""

    file_field, most = "pictures", MOST
    pictures = Pictures(
        required=False, widget=sheet.Photo(press="Add photographs", several=True), label="Photos"
    )

    class Meta:
        model = DiaryEntry
        fields = [
            "day",
            "there",
            "weather",
            "water",
            "done",
            "next",
            "recording",
            "recording_minute",
        ]
        widgets = {
            "day": DAY,
            "done": forms.Textarea(attrs={"rows": 5}),
            "next": forms.Textarea(attrs={"rows": 3}),
        }
        labels = {"recording_minute": "At minute"}
        help_texts = {
            "there": "Marta, Ned, two from the farm.",
            "weather": "Dry, cold wind.",
            "water": "Pit 40 cm, falling.",
            "recording": "The name of a sound or film recording, if there is one.",
        }

    def clean_recording_minute(self):
        text = self.cleaned_data["recording_minute"].strip()
        minutes = text.split(":")
        if text and not (len(minutes) in (2, 3) and all(whole(m) is not None for m in minutes)):
            raise forms.ValidationError("Enter minutes and seconds like 12:30.")
        return text
