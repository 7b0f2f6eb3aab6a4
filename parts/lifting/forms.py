"""Forms for lifting gear, lifts, hauling, and the loads of a lorry."""

from django import forms

from parts.engineering import tables
from parts.record.forms import fields as sheet
from parts.record.forms.base import MeasureField, RecordForm
from parts.record.forms.fields import PartChoice
from parts.record.forms.pieces import not_to_come
from parts.record.models import Component, Part

from .models import Gear, Lift

PULLERS = (Gear.Kind.WINCH, Gear.Kind.HOIST, Gear.Kind.WIRE, Gear.Kind.CHAIN)


class GearChoice(forms.ModelChoiceField):
    """Gear by its name, with what its tag says."""

    def label_from_instance(self, gear):
        rated = gear.rated_written or "no mark"
        return f"{gear.name}, {rated}"


class GearForm(RecordForm):
    """A piece of gear, as its own tag says."""

    class Meta:
        model = Gear
        fields = [
            "kind",
            "name",
            "rated_written",
            "rated_legs",
            "rated_angle",
            "rated_angle_from",
            "how_many",
            "inspected_on",
            "inspect_by",
            "owner",
            "note",
        ]
        widgets = {
            "kind": sheet.Cells(many=True),
            "rated_legs": sheet.Cells(many=True),
            "rated_angle": sheet.Unit(unit="°"),
            "rated_angle_from": sheet.Cells,
            "how_many": sheet.Stepper,
            "inspected_on": sheet.Day,
            "inspect_by": sheet.Day,
            "note": forms.Textarea(attrs={"rows": 2}),
        }
        labels = {
            "name": "What it is called",
            "inspected_on": "Last inspected on",
            "owner": "Whose it is",
        }
        help_texts = {
            "name": "Chain sling 2, or the number stamped on it.",
            "rated_written": "Copied from the tag: 2 t. For a hoist what the hook may carry; for a "
            "lorry its payload. Left empty, it lifts nothing.",
            "rated_legs": "For slings. The tag of a chain sling with several legs usually rates "
            "the whole sling, with its legs at the angle on the tag.",
            "rated_angle": "For a whole sling. Of a range take the flattest: of 0–45° from the "
            "vertical, 45.",
            "how_many": "Slings with one tag count as one, whatever their legs.",
            "inspected_on": "By a competent person. Without it the gear is refused.",
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["rated_written"].widget = sheet.Unit(unit=self.engine.mass_unit, decimal=False)
        self.fields["inspected_on"].validators.append(not_to_come)

    def clean(self):
        data = super().clean()
        if self.derived.get("rated_kg") == 0:
            self.add_error("rated_written", "A rated load is more than nothing: 2 t.")
        self._clean_tag(data)
        done, due = data.get("inspected_on"), data.get("inspect_by")
        if done and due and due < done:
            self.add_error("inspect_by", "The next inspection comes after the last one.")
        return data

    def _clean_tag(self, data) -> None:
        """What the tag of a sling rates must be said in full; nothing else has such a tag."""
        names = ("rated_legs", "rated_angle", "rated_angle_from")
        if data.get("kind") not in Gear.SLINGS or not data.get("rated_written"):
            data |= {"rated_legs": None, "rated_angle": None, "rated_angle_from": ""}
            return
        legs, angle, counted_from = (data.get(name) for name in names)
        if legs is None and "rated_legs" not in self.errors:
            self.add_error("rated_legs", "Read the tag: does it rate one leg or the whole sling?")
        if legs == 1:
            data |= {"rated_angle": None, "rated_angle_from": ""}
        if legs is None or legs == 1 or "rated_angle" in self.errors:
            return
        if angle is None:
            self.add_error("rated_angle", "At which angle does the tag rate the whole sling?")
        elif not counted_from:
            self.add_error("rated_angle_from", "Is the angle counted from the vertical or not?")
        elif not 30 <= Gear(rated_angle=angle, rated_angle_from=counted_from).tag_angle <= 90:
            sentence = "No sling is rated with its legs flatter than 30° from the horizontal."
            self.add_error("rated_angle", sentence)


class LiftForm(RecordForm):
    """How a lift is rigged."""

    legs = forms.TypedChoiceField(
        coerce=int, choices=[(n, str(n)) for n in (1, 2, 3, 4)], widget=sheet.Cells, initial=2
    )

    class Meta:
        model = Lift
        fields = [
            "name",
            "planned_for",
            "extra_written",
            "legs",
            "angle_deg",
            "shared",
            "sling",
            "shackle",
            "hoist",
        ]
        field_classes = {"sling": GearChoice, "shackle": GearChoice, "hoist": GearChoice}
        widgets = {
            "planned_for": sheet.Day,
            "angle_deg": sheet.Unit(unit="°"),
            "shared": forms.CheckboxInput,
        }
        labels = {
            "name": "What is lifted",
            "planned_for": "Planned for",
            "extra_written": "Mud, water and tackle",
            "angle_deg": "Angle of the legs from the horizontal",
            "sling": "Sling, each leg",
            "shackle": "Shackle, each leg",
            "hoist": "Hoist or crane",
        }
        help_texts = {
            "name": "Flywheel off its shaft.",
            "extra_written": "What hangs on the hook beside the parts: 1 cwt.",
            "angle_deg": "90 hangs plumb; under 30 is never lifted.",
            "shared": "Only with a spreader that evens the legs out. Else two of four are counted.",
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        if not self.instance.pk:
            self.fields["angle_deg"].initial = 60
        self.fields["extra_written"].widget = sheet.Unit(unit=self.engine.mass_unit, decimal=False)
        self.fields["angle_deg"].min_value, self.fields["angle_deg"].max_value = 0, 90
        kinds = {"sling": Gear.SLINGS, "shackle": (Gear.Kind.SHACKLE,), "hoist": (Gear.Kind.HOIST,)}
        for name, which in kinds.items():
            field = self.fields[name]
            field.queryset = Gear.objects.filter(engine=self.engine, kind__in=which)
            field.empty_label = "None yet"

    def clean(self):
        data = super().clean()
        legs, angle = data.get("legs"), data.get("angle_deg")
        if legs == 1 and angle is not None and 0 < angle < 85:
            self.add_error("angle_deg", "One leg hangs plumb: write 90.")
        return data


class LoadForm(forms.Form):
    """Pieces of a part that hang on the hook."""

    part = PartChoice(Part.objects.none(), empty_label="Choose a part")
    pieces = sheet.WholeField(min_value=1, initial=1, widget=sheet.Stepper, label="How many")

    def __init__(self, *args, engine, **kwargs):
        super().__init__(*args, **kwargs)
        rows = Part.objects.filter(engine=engine).select_related("component").order_by("item")
        self.fields["part"].queryset = rows


class HappenedForm(RecordForm):
    """How a lift went."""

    class Meta:
        model = Lift
        fields = ["done_on", "happened"]
        widgets = {"done_on": sheet.Day, "happened": forms.Textarea(attrs={"rows": 4})}
        labels = {"done_on": "Done on", "happened": "How it went"}
        help_texts = {"happened": "What it weighed on the crane, what stuck, what to do otherwise."}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["done_on"].required = True
        self.fields["done_on"].validators.append(not_to_come)


class Figure(MeasureField):
    """A measure cleaned to its value in mm or kg, which is more than nothing."""

    def clean(self, value):
        measure = super().clean(value)
        if measure is not None and measure.value <= 0:
            raise forms.ValidationError("Enter more than nothing.")
        return measure and measure.value


def _rows(table: str) -> list[tuple[str, str]]:
    return [(row["key"], row["name"][:1].upper() + row["name"][1:]) for row in tables.read(table)]


class HaulForm(forms.Form):
    """What all sums of hauling ask for: the mass, and what is to pull it."""

    gear_kinds = PULLERS
    gear_label = "Winch or rope"

    def __init__(self, data=None, *, engine, **kwargs):
        super().__init__(data, auto_id="haul_%s", **kwargs)
        rows = Gear.objects.filter(engine=engine, kind__in=self.gear_kinds)
        own = self.own_fields(engine)
        mass = Figure("mass", engine=engine, label="Mass", help_text="26 cwt, or 1320 kg.")
        self.fields |= {"mass": mass} | own
        self.fields["gear"] = GearChoice(
            rows, required=False, empty_label="None yet", label=self.gear_label
        )

    def own_fields(self, engine) -> dict:
        return {}


def _slope() -> forms.FloatField:
    return forms.FloatField(
        initial=0,
        required=False,
        min_value=-45,
        max_value=45,
        label="Slope of the way, up",
        widget=sheet.Unit(unit="°"),
        help_text="Downhill with a minus.",
    )


class SlideForm(HaulForm):
    """Dragged on skids or rollers."""

    def own_fields(self, engine):
        surface = forms.ChoiceField(choices=_rows("friction"), label="What it slides or rolls on")
        return {"surface": surface, "slope": _slope()}


class BeddedForm(HaulForm):
    """Pulled out of the ground."""

    def own_fields(self, engine):
        ground = forms.ChoiceField(choices=_rows("ground_resistance"), label="How it lies")
        return {"ground": ground, "slope": _slope()}


class TackleForm(HaulForm):
    """Pulled through blocks."""

    def own_fields(self, engine):
        def whole(label, initial, least, most):
            return sheet.WholeField(
                label=label,
                initial=initial,
                min_value=least,
                max_value=most,
                widget=sheet.Stepper(least=least, most=most),
            )

        return {
            "parts": whole("Parts of rope at the moving block", 4, 1, 12),
            "lead_blocks": whole("Lead blocks", 0, 0, 6),
        }


class OffCentreForm(HaulForm):
    """Two legs with the heavy end nearer one of them."""

    gear_kinds = Gear.SLINGS
    gear_label = "Sling, each leg"

    def own_fields(self, engine):
        return {
            "near": Figure(
                "length", engine=engine, label="Level from the balance to the near fixing"
            ),
            "far": Figure(
                "length", engine=engine, label="Level from the balance to the far fixing"
            ),
            "height": Figure("length", engine=engine, label="Height of the hook over the fixings"),
        }


class LorryForm(forms.Form):
    """Which lorry fetches what."""

    lorry = GearChoice(Gear.objects.none(), empty_label="Choose a lorry")
    component = forms.ModelChoiceField(
        Component.objects.none(), required=False, empty_label="All components"
    )

    def __init__(self, data=None, *, engine):
        super().__init__(data, auto_id="lorry_%s")
        self.fields["lorry"].queryset = Gear.objects.filter(engine=engine, kind=Gear.Kind.LORRY)
        self.fields["component"].queryset = Component.objects.filter(engine=engine)
