"""Forms for measures, condition notes, repairs and the freeing log."""

import re

from django import forms

from parts.engineering import measures
from parts.engineering.errors import EngineeringError
from parts.engineering.measures.reading import whole
from parts.record.forms import fields as sheet
from parts.record.forms.base import RecordForm, read_measure
from parts.record.forms.pieces import has_come

from .models import ConditionNote, Freeing, Measurement, Repair

Quantity = Measurement.Quantity
_DIFFERENCE = re.compile(r"([0-9]+(?:\.[0-9]+)?)\s*°?\s*([FC]?)", re.IGNORECASE)
MORE = forms.Textarea(attrs={"rows": 3})

URGENCY_MEANINGS = {
    "0": "Can wait: nothing gets worse.",
    "1": "Within a few years: it gets worse slowly.",
    "2": "Within months: before the next winter, or before it is fitted.",
    "3": "Now: it may fall, break or be lost.",
}


class CareForm(RecordForm):
    """A form with a day that has come, and who."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["day"].validators.append(has_come)


class MeasurementForm(CareForm):
    """A size, mass, temperature or count, kept as it is written."""

    class Meta:
        model = Measurement
        fields = [
            "what",
            "quantity",
            "written",
            "plus_or_minus",
            "nominal",
            "instrument",
            "day",
            "who",
        ]
        widgets = {"quantity": sheet.Cells(many=True), "day": sheet.Day}
        labels = {
            "what": "What was measured",
            "quantity": "Kind of measure",
            "written": "The measure",
            "plus_or_minus": "Plus or minus",
            "nominal": "As it was made, not as it is found",
            "instrument": "Measured with",
            "who": "Measured by",
        }
        help_texts = {
            "nominal": "From a drawing, a stamp, or worked back from wear.",
            "instrument": "Outside micrometer, steel rule, spring balance.",
            "plus_or_minus": "How sure you are of it: 1/64 in.",
        }

    def __init__(self, *args, instruments=(), **kwargs):
        super().__init__(*args, **kwargs)
        inches = self.engine.length_unit == "in"
        units = f"{self.engine.length_unit} or {self.engine.mass_unit}"
        example = "4 7/8 in, 3' 0 1/2\", 12 lb 6 oz" if inches else "124 mm, 1.24 m, 5.6 kg"
        self.fields["written"].help_text = f"{example}. With no unit, {units} is meant."
        self.fields["written"].widget.attrs |= {"autocomplete": "off"}
        self.fields["instrument"].widget.attrs["list"] = "instruments-known"
        self.instruments = instruments

    def clean(self):
        data = super().clean()
        quantity, text = data.get("quantity"), (data.get("written") or "").strip()
        if not quantity or not text:
            return data
        try:
            unit, value = self._read(quantity, text)
        except forms.ValidationError as error:
            self.add_error("written", error)
            return data
        self.derived = {"unit": unit, "value": value, "plus_or_minus_value": None}
        sure = (data.get("plus_or_minus") or "").strip()
        if sure:
            try:
                self.derived["plus_or_minus_value"] = self._read_sure(quantity, sure, unit)
            except forms.ValidationError as error:
                self.add_error("plus_or_minus", error)
        return data

    def _read(self, quantity: str, text: str) -> tuple[str, float]:
        if quantity == Quantity.COUNT:
            if whole(text, 9) is None:
                raise forms.ValidationError("A count is a whole number, like 8.")
            return "", float(text)
        measure = read_measure(quantity, text, self.engine)
        return measure.unit, measure.value

    def _read_sure(self, quantity: str, text: str, unit: str) -> float:
        """How sure, in the unit of the measure where none is written."""
        text = text.lstrip("±+- ")
        try:
            if quantity == Quantity.LENGTH:
                return measures.read_length(text, default=unit).value
            if quantity == Quantity.MASS:
                return measures.read_mass(text, default=unit, ton=self.engine.ton).value
        except EngineeringError as error:
            raise forms.ValidationError(str(error)) from None
        read = _DIFFERENCE.fullmatch(text)
        if not read:
            raise forms.ValidationError("Enter how sure you are as a number, like 5.")
        if quantity == Quantity.TEMPERATURE and (read[2].upper() or unit) == "F":
            return float(read[1]) * 5 / 9
        return float(read[1])


class NoteForm(CareForm):
    """A dated look at a part or find."""

    version_field = "version_seen"
    version_seen = sheet.WholeField(widget=forms.HiddenInput, required=False)
    seen = forms.CharField(
        label="What was seen",
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="What you saw, felt or tested: cotter drawn, strap sound, no crack by dye.",
        error_messages={"required": "Enter what you saw, in a few words: light rust all over."},
    )
    field_order = ["condition_class", "seen"]

    class Meta:
        model = ConditionNote
        fields = ["condition_class", "seen", "urgency", "recommendation", "day", "who"]
        widgets = {
            "condition_class": sheet.ConditionCells,
            "urgency": sheet.Cells(meanings=URGENCY_MEANINGS),
            "recommendation": MORE,
            "day": sheet.Day,
        }
        labels = {"condition_class": "Condition class", "day": "Looked at on"}
        help_texts = {
            "condition_class": "The four classes and their order are borrowed from EN 16096.",
            "recommendation": "Oil and wrap; measure the bore before it is machined.",
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        if not self.instance.pk:
            # A class is a judgement: nobody's is filled in for them.
            self.fields["condition_class"].initial = None


class RepairForm(CareForm):
    """An old repair as found, or work done now."""

    fit_again = sheet.WholeField(
        required=False,
        min_value=0,
        initial=0,
        widget=sheet.Stepper(least=0),
        label="Pieces that are fit for use again",
        help_text="The verdict “beyond repair” is withdrawn for them, on the day of the repair.",
    )
    on_engine = forms.BooleanField(required=False, label="Those pieces stand on the engine")

    class Meta:
        model = Repair
        fields = ["what", "how", "when", "day", "who", "tells", "undone", "keep"]
        widgets = {
            "day": sheet.Day,
            "how": MORE,
            "tells": MORE,
            "undone": sheet.Cells(many=True),
        }
        labels = {"who": "By whom", "undone": "Can it be undone", "keep": "It should be kept"}

    def __init__(self, *args, beyond_repair: dict[bool, int] | None = None, **kwargs):
        super().__init__(*args, **kwargs)
        old = self.instance.old
        out = ["fit_again", "on_engine"] if old else ["when", "tells"]
        held = beyond_repair or {}
        if not sum(held.values()):
            out += ["fit_again", "on_engine"]
        elif not (held.get(True) and held.get(False)):
            self.fields["on_engine"].initial = bool(held.get(True))
        for name in set(out):
            self.fields.pop(name, None)
        self._words(old)

    def besides(self) -> dict:
        names = ("fit_again", "on_engine")
        return {name: self.cleaned_data[name] or 0 for name in names if name in self.fields}

    def _words(self, old: bool) -> None:
        helps = (
            {
                "what": "Brass liner let into the big end strap.",
                "how": "Hand cut, let in with a file, two countersunk screws.",
                "when": "About 1930.",
                "day": "The day it was first seen.",
                "who": "If it is known, or told: the smith at the crossroads, so they say.",
                "tells": "The strap wore before anyone could get another; it ran twenty years so.",
            }
            if old
            else {
                "what": "Crack in the bracket stitched.",
                "how": "What was used, and how it was done.",
                "day": "The day it was done.",
            }
        )
        for name, words in helps.items():
            if name in self.fields:
                self.fields[name].help_text = words
        self.fields["day"].label = "First seen" if old else "Done on"


class FreeingForm(CareForm):
    """One attempt at freeing a seized or bedded piece."""

    version_field = "version_seen"
    version_seen = sheet.WholeField(widget=forms.HiddenInput, required=False)
    seen = forms.CharField(
        label="What happened",
        required=False,
        widget=MORE,
        help_text="Turned an eighth and stopped; oil came through the far side.",
    )
    field_order = ["means", "how", "outcome", "seen"]

    class Meta:
        model = Freeing
        fields = ["means", "how", "outcome", "seen", "day", "who"]
        widgets = {
            "means": sheet.Cells(many=True),
            "how": MORE,
            "outcome": sheet.Cells(many=True),
            "day": sheet.Day,
        }
        labels = {"means": "With what", "outcome": "What came of it", "who": "Who tried"}
        help_texts = {
            "how": "What, how much, how long: penetrant every evening for a week.",
        }
