"""Forms for bars: stock lengths, the store, blanks, and the saw."""

from django import forms

from parts.engineering.measures import write_again
from parts.money.forms import MoneyField
from parts.record.forms import fields as sheet
from parts.record.forms.base import RecordForm, read_measure
from parts.record.forms.pieces import not_to_come

from .models import Bar, BarBlank

TURNED_FIRST = ("steel", "wrought_iron", "brass", "bronze", "copper", "cast_iron")


class BarForm(RecordForm):
    """Bars in the store: of which metal and section, how long."""

    class Meta:
        model = Bar
        fields = ["material", "section", "across_written", "length_written", "offcut", "kept_at"]
        widgets = {
            "material": sheet.Materials(first=TURNED_FIRST),
            "section": sheet.Cells(many=True),
        }
        labels = {
            "across_written": "Across",
            "length_written": "Length of one",
            "offcut": "Offcuts",
            "kept_at": "Where they are kept",
        }
        help_texts = {
            "across_written": "Diameter, or across the flats: 7/8 in, 22 mm.",
            "length_written": "3 m, 12 ft, 16 1/4 in.",
        }

    def clean(self):
        data = super().clean()
        for name, value in (("across_written", "across_mm"), ("length_written", "length_mm")):
            mm = self.derived.get(value)
            if mm is not None and not 0 < mm <= 100_000:
                self.add_error(name, "Give a size of more than nothing: 7/8 in, or 22 mm.")
        return data


class NewBarForm(BarForm):
    """Bars that come into the store."""

    bars = sheet.WholeField(
        min_value=1,
        max_value=100_000,
        label="How many lie there",
        initial=1,
        widget=sheet.Stepper,
        error_messages={"min_value": "Give a number of bars, 1 or more."},
    )
    day = sheet.DayField(label="Since", validators=[not_to_come])
    reason = forms.CharField(
        required=False, max_length=200, label="Where from", help_text="Bought, or off the heap."
    )

    def besides(self) -> dict:
        return {name: self.cleaned_data[name] for name in ("bars", "day", "reason")}


class StockForm(BarForm):
    """A length that can be bought, with its price."""

    price = MoneyField(required=False, label="Price of one bar", help_text="12.50")

    class Meta(BarForm.Meta):
        fields = [
            "material",
            "section",
            "across_written",
            "length_written",
            "price",
            "supplier",
        ]
        labels = BarForm.Meta.labels | {"length_written": "Length as it is sold"}

    field_order = Meta.fields

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["price"].use(self.engine.currency)


class BookForm(forms.Form):
    """Bars into the store or out of it."""

    way = forms.ChoiceField(
        choices=[("in", "Into the store"), ("out", "Out of it")],
        widget=sheet.Cells,
        label="Which way",
    )
    bars = sheet.WholeField(
        min_value=1,
        max_value=100_000,
        label="How many bars",
        widget=sheet.Stepper,
        error_messages={"min_value": "Give a number of bars, 1 or more."},
    )
    day = sheet.DayField(validators=[not_to_come])
    reason = forms.CharField(max_length=200, label="Why, or where from", required=False)


class BlankForm(RecordForm):
    """What a job is turned from."""

    holding = forms.CharField(
        required=False,
        max_length=40,
        label="To hold by in the chuck",
        help_text="1 in, 25 mm. Cut off at the end. Left empty, nothing.",
        widget=sheet.Unit(decimal=False),
    )

    class Meta:
        model = BarBlank
        fields = ["section", "across_written", "length_written", "faces"]
        widgets = {"section": sheet.Cells(many=True), "faces": sheet.Stepper(least=0, most=2)}
        labels = {
            "across_written": "Bar, across",
            "length_written": "Finished length, head and all",
        }
        help_texts = {
            "across_written": "Of the bar it is turned from: 7/8 in, 22 mm.",
            "length_written": "4 1/2 in, 114 mm. What is faced off is added for you.",
        }

    field_order = ["section", "across_written", "length_written", "faces", "holding"]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        if self.instance.holding_mm:
            self.fields["holding"].initial = write_again(
                "length", self.instance.holding_mm, self.engine.length_unit
            )

    def clean_faces(self):
        faces = self.cleaned_data["faces"]
        if faces not in (0, 1, 2):
            raise forms.ValidationError("A blank has 0, 1 or 2 ends that are faced.")
        return faces

    def clean(self):
        data = super().clean()
        text = (data.get("holding") or "").strip()
        self.derived["holding_mm"] = 0.0
        if text:
            try:
                self.derived["holding_mm"] = read_measure("length", text, self.engine).value
            except forms.ValidationError as error:
                self.add_error("holding", error)
        if not 0 <= self.derived["holding_mm"] <= 10_000:
            self.add_error("holding", "Give what the chuck needs, like 1 in or 25 mm.")
        for name, value in (("across_written", "across_mm"), ("length_written", "length_mm")):
            mm = self.derived.get(value)
            if mm is not None and not 0 < mm <= 100_000:
                self.add_error(name, "Give a size of more than nothing: 4 1/2 in, or 114 mm.")
        return data


class SawForm(forms.Form):
    """The saw: how wide it cuts, and what comes off the end of each bar."""

    kerf = forms.CharField(
        required=False, max_length=20, label="Saw cut", widget=sheet.Unit(decimal=False)
    )
    trim = forms.CharField(
        required=False,
        max_length=20,
        label="End trim",
        widget=sheet.Unit(decimal=False),
    )

    def __init__(self, data, *, engine):
        self.engine = engine
        self.usual = {"kerf": "1/8 in", "trim": "1/4 in"}
        if engine.length_unit == "mm":
            self.usual = {"kerf": "3 mm", "trim": "5 mm"}
        typed = {name: (data.get(name) or "").strip() or word for name, word in self.usual.items()}
        super().__init__(typed, auto_id="saw_%s")

    def _read(self, name: str, most: float) -> float:
        mm = read_measure("length", self.cleaned_data[name], self.engine).value
        if not 0 <= mm <= most:
            raise forms.ValidationError(f"Give a width up to {most:g} mm: {self.usual[name]}.")
        return mm

    def clean_kerf(self):
        return self._read("kerf", 20)

    def clean_trim(self):
        return self._read("trim", 500)

    @property
    def saw(self) -> tuple[float, float]:
        """Kerf and end trim in mm: what was typed, or the usual where that cannot be read."""
        self.is_valid()
        return tuple(
            self.cleaned_data[name]
            if isinstance(self.cleaned_data.get(name), float)
            else read_measure("length", word, self.engine).value
            for name, word in self.usual.items()
        )


class FreezeForm(forms.Form):
    """Draw up the plan that was seen."""

    mark = forms.CharField(max_length=16)
    kerf = forms.FloatField(min_value=0, max_value=20)
    trim = forms.FloatField(min_value=0, max_value=500)
    tally = forms.BooleanField(required=False)


class CutForm(forms.Form):
    """That a cutting list was sawn."""

    day = sheet.DayField(label="Sawn on", validators=[not_to_come])
    keep = forms.CharField(
        max_length=20,
        label="Offcuts worth keeping, from",
        help_text="4 in, 100 mm. Shorter ones are thrown away.",
        widget=sheet.Unit(decimal=False),
    )
    stages = forms.BooleanField(
        required=False,
        initial=True,
        label="The pieces have their stock in",
        help_text="Left off, they stay open and are planned again.",
    )
    seen = sheet.WholeField(widget=forms.HiddenInput)

    def __init__(self, *args, engine, **kwargs):
        self.engine = engine
        super().__init__(*args, **kwargs)

    def clean_keep(self):
        mm = read_measure("length", self.cleaned_data["keep"], self.engine).value
        if not 0 < mm <= 10_000:
            raise forms.ValidationError("Give a length of more than nothing: 4 in, or 100 mm.")
        return mm
