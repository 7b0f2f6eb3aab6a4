"""Forms for the shapes of a part, the faces of its pattern, and poured bearings.

A size is picked among the measures that were taken, or written anew: then it becomes a measure of
the part, with its instrument and day.
"""

from dataclasses import dataclass

from django import forms
from django.utils import timezone

from parts.care.models import Measurement
from parts.engineering import measures
from parts.engineering.errors import EngineeringError
from parts.engineering.measures.reading import whole
from parts.engineering.sentences import in_units
from parts.engineering.solids import masses
from parts.engineering.solids.shapes import SHAPES
from parts.record.forms import fields as sheet
from parts.record.forms.base import RecordForm, read_measure
from parts.record.forms.pieces import not_to_come

from .models import Body
from .queries.shapes import QUANTITY_OF_UNIT, size_of

Quantity = Measurement.Quantity
TAKEN = ("instrument", "measured_on", "measured_by", "as_made")


@dataclass(frozen=True)
class Wanted:
    """A size that a form asks for."""

    key: str
    label: str
    optional: bool = False
    quantity: str = Quantity.LENGTH

    @property
    def count(self) -> bool:
        return self.quantity == Quantity.COUNT


class SizesForm(RecordForm):
    """A form with sizes, each picked or written, and how the written ones were taken."""

    wanted: tuple[Wanted, ...] = ()

    def __init__(self, *args, known=(), now: dict | None = None, by: str = "", **kwargs):
        """`known` are the measures to choose from, `now` those that stand, by key."""
        self.known, self.now = list(known), now or {}
        super().__init__(*args, **kwargs)
        for one in self.wanted:
            self._size_fields(one)
        add = self.fields
        add["instrument"] = forms.CharField(
            label="Measured with", required=False, max_length=80, help_text="Outside micrometer."
        )
        add["measured_on"] = sheet.DayField(
            initial=timezone.localdate(),
            label="Measured on",
            validators=[not_to_come],
        )
        add["measured_by"] = forms.CharField(
            label="Measured by", required=False, max_length=80, initial=by
        )
        add["as_made"] = forms.BooleanField(
            required=False, label="The sizes written here are as made, not as found"
        )

    def besides(self) -> dict:
        return {"sizes": self.sizes}

    def _size_fields(self, one: Wanted) -> None:
        rows = [row for row in self.known if row.quantity == one.quantity]
        now = self.now.get(one.key)
        units = {Quantity.COUNT: "", Quantity.ANGLE: "°"}
        unit = units.get(one.quantity, self.engine.length_unit)
        self.fields[f"size_{one.key}"] = forms.CharField(
            label=one.label,
            required=False,
            max_length=60,
            initial="180" if one.quantity == Quantity.ANGLE and not now else None,
            widget=sheet.Unit(unit=unit, decimal=one.count),
        )
        self.fields[f"sure_{one.key}"] = forms.CharField(
            label="Plus or minus", required=False, max_length=60
        )
        self.fields[f"pick_{one.key}"] = forms.ChoiceField(
            label="Or as measured already",
            required=False,
            initial=now.pk if now else "",
            choices=[("", "None")]
            + [(row.pk, f"{row.what}: {row.written}, {row.day:%-d %b %Y}") for row in rows],
        )
        if one.count:
            self.fields[f"sure_{one.key}"].widget = forms.HiddenInput()

    def groups(self):
        """The fields of each size, side by side."""
        return [
            (one, self[f"size_{one.key}"], self[f"sure_{one.key}"], self[f"pick_{one.key}"])
            for one in self.wanted
        ]

    def others(self):
        """The fields that are no sizes."""
        heads = ("size_", "sure_", "pick_", "at_", "called")
        return [
            f for f in self.visible_fields() if not f.name.startswith(heads) and f.name not in TAKEN
        ]

    def taken(self):
        """How the sizes that are written here were taken."""
        return [self[name] for name in TAKEN]

    def places(self):
        """Where a shape stands in the part."""
        return [f for f in self.visible_fields() if f.name.startswith("at_")]

    def size_name(self, one: Wanted) -> str:
        """What a size that is written here will be called among the measures."""
        return one.label

    def clean(self):
        data = super().clean()
        self.sizes = {}
        for one in self.wanted:
            try:
                row = self._size(one, data)
            except forms.ValidationError as error:
                self.add_error(f"size_{one.key}", error)
                continue
            if row is not None:
                self.sizes[one.key] = row
            elif not one.optional:
                self.add_error(
                    f"size_{one.key}",
                    f"Give the {one.label.lower()}: write it, or pick a measure.",
                )
        return data

    def _size(self, one: Wanted, data: dict) -> Measurement | None:
        text = (data.get(f"size_{one.key}") or "").strip()
        if not text:
            picked = data.get(f"pick_{one.key}")
            return next((row for row in self.known if str(row.pk) == picked), None)
        row = Measurement(
            engine=self.engine,
            part=self.instance.part,
            what=self.size_name(one)[:80],
            quantity=one.quantity,
            written=text,
            nominal=data.get("as_made") or False,
            instrument=data.get("instrument") or "",
            day=data.get("measured_on") or timezone.localdate(),
            who=data.get("measured_by") or "",
        )
        if one.count:
            if whole(text, 6) is None:
                raise forms.ValidationError("A count is a whole number, like 8.")
            row.value = float(text)
            return row
        measure = read_measure(one.quantity, text, self.engine)
        row.unit, row.value = measure.unit, measure.value
        sure = (data.get(f"sure_{one.key}") or "").strip().lstrip("±+- ")
        if sure:
            try:
                row.plus_or_minus_value = (
                    measures.read_angle(sure)
                    if one.quantity == Quantity.ANGLE
                    else measures.read_length(sure, default=measure.unit)
                ).value
            except measures.MeasureError as error:
                raise forms.ValidationError(f"Plus or minus: {error}") from None
            row.plus_or_minus = sure
        return row


class PlaceField(forms.CharField):
    """A length along an axis, which may lie before the start: -1 1/2 in."""

    def __init__(self, engine, **kwargs):
        super().__init__(required=False, max_length=60, **kwargs)
        self.engine = engine
        self.widget = sheet.Unit(unit=engine.length_unit, decimal=False)

    def clean(self, value):
        text = (super().clean(value) or "").strip().replace("−", "-")
        if not text:
            return 0.0
        sign = -1 if text.startswith("-") else 1
        return sign * read_measure("length", text.lstrip("+- "), self.engine).value


class BodyForm(SizesForm):
    """One shape of a part, added or taken away."""

    class Meta:
        model = Body
        fields = ["name", "away", "times", "set_out", "along"]
        widgets = {
            "along": sheet.Cells,
            "times": sheet.Stepper,
            "set_out": sheet.Cells(many=True),
        }
        labels = {
            "name": "What it is",
            "away": "It is taken away: a bore, a hole, a keyway",
            "set_out": "How several of them are set out",
        }
        help_texts = {
            "along": "Which way it lies in the part.",
            "set_out": "So that the sketch draws them. Where it is not known they are only named.",
        }

    def __init__(self, *args, **kwargs):
        self.shape = SHAPES[kwargs["instance"].shape]
        self.wanted = tuple(
            Wanted(
                key,
                words.capitalize(),
                key in self.shape.optional,
                QUANTITY_OF_UNIT[self.shape.unit(key)],
            )
            for key, (_, words) in self.shape.sizes.items()
        )
        super().__init__(*args, **kwargs)
        self.fields["set_out"].choices = Body.SetOut.choices
        self.fields["spacing"] = PlaceField(
            self.engine,
            label="Diameter of the circle, or from one to the next",
            initial=_plain(self.instance.spacing_mm, self.engine),
        )
        for axis, word in (("x", "along"), ("y", "across"), ("z", "upright")):
            at = getattr(self.instance, f"at_{axis}_mm")
            self.fields[f"at_{axis}"] = PlaceField(
                self.engine,
                label=f"It begins, {word}",
                initial=_plain(at, self.engine),
                help_text="From the start of the part to the middle of its first face.",
            )
        self.order_fields(["name", "away", "times", "set_out", "spacing", "along"])

    def size_name(self, one: Wanted) -> str:
        name = (self.cleaned_data.get("name") or self.shape.name).strip()
        return f"{name}: {one.label.lower()}"

    def clean(self):
        data = super().clean()
        if data.get("set_out") and not data.get("spacing", 0) > 0:
            self.add_error("spacing", "Give the diameter of the circle, or how far apart they are.")
        if not self.errors:
            self._can_be(data)
        return data

    def _can_be(self, data) -> None:
        sizes = {key: size_of(row) for key, row in self.sizes.items()}
        try:
            masses.volume([masses.Body(self.shape.key, sizes, times=data["times"])])
        except EngineeringError as error:
            self.add_error(None, in_units(error, self.engine.units))

    def values(self) -> dict:
        data = self.cleaned_data
        places = {f"at_{a}_mm": data[f"at_{a}"] for a in "xyz"}
        return super().values() | places | {"spacing_mm": data["spacing"]}

    def _post_clean(self):
        super()._post_clean()
        self.instance.spacing_mm = self.cleaned_data.get("spacing", 0.0)
        for axis in "xyz":
            if f"at_{axis}" in self.cleaned_data:
                setattr(self.instance, f"at_{axis}_mm", self.cleaned_data[f"at_{axis}"])


def _plain(mm: float, engine) -> str:
    if not mm:
        return ""
    return ("-" if mm < 0 else "") + measures.write_again("length", abs(mm), engine.length_unit)


class ShapeForm(forms.Form):
    """Which shape comes next."""

    shape = forms.ChoiceField(
        choices=[(key, shape.name.capitalize()) for key, shape in SHAPES.items()],
        widget=sheet.Cells(many=True),
        required=False,
        label="Add a shape",
    )
