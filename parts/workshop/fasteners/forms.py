"""Forms for fasteners: what was measured, which thread it is, what was asked for one."""

from django import forms

from parts.engineering import measures
from parts.engineering.errors import EngineeringError
from parts.engineering.fasteners.threads import INCH, SERIES, thread
from parts.money.forms import MoneyField
from parts.record.forms import fields as sheet
from parts.record.forms.base import RecordForm
from parts.record.forms.pieces import has_come

from .models import Fastener, Quote

SERIES_CHOICES = [("", "Not settled yet"), *((key, row[1]) for key, row in SERIES.items())]
SHORT = {"inputmode": "numeric"}


class FastenerForm(RecordForm):
    """What a fastener is, as it was measured or named."""

    pitch = forms.CharField(
        required=False,
        max_length=40,
        label="Threads per inch, or pitch",
        help_text="13, 11 1/2, or 1.75 mm. Count over 20 threads if as many are left.",
        widget=sheet.Unit(unit="tpi", decimal=False),
    )
    series = forms.ChoiceField(required=False, choices=SERIES_CHOICES, label="Thread, if known")

    class Meta:
        model = Fastener
        fields = [
            "kind",
            "head",
            "length_written",
            "crest_written",
            "pitch",
            "flank_deg",
            "flats_written",
            "series",
            "size",
            "sure",
            "nuts",
            "spares",
            "minutes_setting",
            "minutes_each",
        ]
        widgets = {
            "kind": sheet.Cells(many=True),
            "head": sheet.Cells(many=True),
            "flank_deg": sheet.Unit(unit="°"),
            "nuts": sheet.Stepper(least=0),
            "spares": sheet.Stepper(least=0),
            "minutes_setting": sheet.Unit(unit="min"),
            "minutes_each": sheet.Unit(unit="min"),
        }
        labels = {
            "length_written": "Length",
            "crest_written": "Over the best-kept crests",
            "flank_deg": "Angle of the flanks",
            "flats_written": "Across the flats of its own head or nut",
            "size": "Its size there",
            "sure": "The thread is certain",
            "nuts": "Nuts with each",
            "spares": "Spares to have",
            "minutes_setting": "Minutes to set up for the lot",
            "minutes_each": "Minutes to make one",
        }
        help_texts = {
            "length_written": "Under the head to the point; of a stud, end to end.",
            "crest_written": "By micrometer where the rust is least.",
            "flank_deg": "By thread gauges: 60 or 55.",
            "size": "3/4, 1 1/8, M12 or 2.",
        }

    field_order = Meta.fields

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        tpi = self.instance.threads_per_inch
        if tpi:
            whole = abs(tpi * 4 - round(tpi * 4)) < 1e-6
            self.fields["pitch"].initial = f"{tpi:g}" if whole else f"{INCH / tpi:g} mm"
        for name in ("minutes_setting", "minutes_each"):
            self.fields[name].min_value = 0

    def clean_pitch(self):
        text = (self.cleaned_data["pitch"] or "").strip()
        self.tpi = None
        if text:
            try:
                pitch = measures.read_thread_pitch(text, "tpi").value
                self.tpi = measures.threads_per_inch(pitch)
            except EngineeringError as error:
                raise forms.ValidationError(str(error)) from None
        return text

    def clean_flank_deg(self):
        angle = self.cleaned_data["flank_deg"]
        if angle is not None and not 20 <= angle <= 100:
            raise forms.ValidationError("Flanks stand at 20 to 100 degrees: 60, 55 or 47.5.")
        return angle

    def _minutes(self, name):
        minutes = self.cleaned_data[name]
        if minutes is not None and not 0 <= minutes <= 100_000:
            raise forms.ValidationError("Give minutes from nothing upwards: 12.")
        return minutes

    def clean_minutes_setting(self):
        return self._minutes("minutes_setting")

    def clean_minutes_each(self):
        return self._minutes("minutes_each")

    def clean(self):
        data = super().clean()
        series, size = data.get("series"), (data.get("size") or "").strip()
        if bool(series) != bool(size):
            self.add_error("size", "Give the thread and its size together: Unified coarse, 3/4.")
        elif series:
            try:
                data["size"] = thread(series, size).size
            except EngineeringError as error:
                self.add_error("size", str(error))
        if data.get("sure") and not series:
            self.add_error("sure", "Say which thread it is before it is certain.")
        if "pitch" not in self.errors:
            self.derived["threads_per_inch"] = getattr(self, "tpi", None)
        return data


class PickForm(forms.Form):
    """Which of the threads it may be it is held to be."""

    series = forms.ChoiceField(choices=SERIES_CHOICES[1:])
    size = forms.CharField(max_length=12)
    sure = forms.BooleanField(required=False)


class ChooseForm(forms.Form):
    """To make or to buy, and whether its cost goes into the tally."""

    way = forms.ChoiceField(choices=[("machine", "Make them"), ("buy", "Buy them")])
    tally = forms.BooleanField(required=False)


class QuoteForm(RecordForm):
    """What a supplier asks."""

    each = MoneyField(label="Price of one", help_text="4.20")
    carriage = MoneyField(label="Carriage and the like, for the whole", required=False)

    class Meta:
        model = Quote
        fields = ["supplier", "day", "each", "carriage", "least", "good_until", "note"]
        widgets = {"day": sheet.Day, "good_until": sheet.Day, "least": sheet.Stepper}
        labels = {"day": "Day of the quote", "good_until": "Holds until", "least": "Least order"}
        help_texts = {"good_until": "Left empty, it stands until another is written."}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for name in ("each", "carriage"):
            self.fields[name].use(self.engine.currency)
        self.fields["day"].validators.append(has_come)

    def clean_carriage(self):
        return self.cleaned_data["carriage"] or 0

    def clean(self):
        data = super().clean()
        day, until = data.get("day"), data.get("good_until")
        if day and until and until < day:
            self.add_error("good_until", "It cannot expire before it was given.")
        return data
