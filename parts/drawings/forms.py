"""Forms for sheets of one's own, their balloons, and the pieces of the elevation."""

from django import forms

from parts.photos.forms import CarriesFiles
from parts.record.forms import fields as sheet
from parts.record.forms.base import RecordForm
from parts.record.models import Component, Part

from .models import Balloon, Drawing


def choices_of(engine) -> list:
    """Components and parts of an engine, to choose one of: "component-3", "part-12"."""
    components = Component.objects.filter(engine=engine).order_by("number")
    parts = Part.objects.filter(engine=engine).order_by("item")
    return [
        (
            "Components",
            [
                (f"component-{pk}", f"{number} {name}")
                for pk, number, name in components.values_list("pk", "number", "name")
            ],
        ),
        (
            "Parts",
            [
                (f"part-{pk}", f"{item} {name}")
                for pk, item, name in parts.values_list("pk", "item", "name")
            ],
        ),
    ]


def chosen(engine, text: str) -> dict:
    """The part or component of an engine that a choice names: {"part": row, "component": None}."""
    what, _, pk = text.partition("-")
    rows = {"part": None, "component": None}
    model = {"part": Part, "component": Component}.get(what)
    if model is not None:
        rows[what] = model.objects.filter(engine=engine, pk=pk).first()
    return rows


class SheetForm(CarriesFiles, RecordForm):
    """A sheet of one's own: its name, and on a new one its picture."""

    file_field = "picture_file"
    picture_file = forms.FileField(
        label="Drawing, scan or photograph",
        widget=sheet.Photo(press="Choose or photograph the drawing"),
        help_text="JPEG, PNG, WebP or HEIC. The original is kept as it is.",
        error_messages={"required": "Choose the drawing first."},
    )

    class Meta:
        model = Drawing
        fields = ["name", "note", "order"]
        labels = {"order": "Its place among the sheets"}
        help_texts = {"note": "Where it is from: traced from the maker's print, or photographed."}

    field_order = ["picture_file", "name", "note", "order"]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        if not self.instance.pk:
            del self.fields["order"]


class BalloonForm(RecordForm):
    """A balloon: what it stands for, and where its leader ends."""

    of = forms.ChoiceField(
        label="Part or component",
        error_messages={"required": "Choose what the balloon stands for."},
    )
    across = forms.FloatField(
        min_value=0,
        max_value=100,
        label="Across, %",
        help_text="0 at the left edge, 100 at the right.",
        widget=forms.NumberInput(attrs={"step": "0.1", "inputmode": "decimal"}),
        error_messages={"required": "Say how far across: 50 is the middle."},
    )
    down = forms.FloatField(
        min_value=0,
        max_value=100,
        label="Down, %",
        help_text="0 at the top, 100 at the foot.",
        widget=forms.NumberInput(attrs={"step": "0.1", "inputmode": "decimal"}),
        error_messages={"required": "Say how far down: 50 is the middle."},
    )

    class Meta:
        model = Balloon
        fields: list[str] = []

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        row = self.instance
        self.fields["of"].choices = [("", "Choose one"), *choices_of(self.engine)]
        if row.pk:
            of = "part" if row.part_id else "component"
            self.fields["of"].initial = f"{of}-{row.part_id or row.component_id}"
            self.fields["across"].initial = round(100 * row.x, 1)
            self.fields["down"].initial = round(100 * row.y, 1)

    def clean(self):
        data = super().clean()
        if data.get("of"):
            self.derived |= chosen(self.engine, data["of"])
        # The fields show a place rounded: one that nobody touched stays where it is.
        for name, field in (("x", "across"), ("y", "down")):
            if data.get(field) is not None and field in self.changed_data:
                self.derived[name] = data[field] / 100
        # Before the row is checked: it must stand for one thing.
        for name, value in self.derived.items():
            setattr(self.instance, name, value)
        return data


class PieceForm(forms.Form):
    """What a piece of the elevation is."""

    BY_NAME, NOTHING = "by-name", "nothing"

    of = forms.ChoiceField(label="It is")

    def __init__(self, *args, engine, **kwargs):
        self.engine = engine
        super().__init__(*args, **kwargs)
        self.fields["of"].choices = [
            (self.BY_NAME, "What its name says"),
            (self.NOTHING, "Nothing of this engine: leave it out"),
            *choices_of(engine),
        ]

    def rows(self) -> dict:
        return chosen(self.engine, self.cleaned_data["of"])
