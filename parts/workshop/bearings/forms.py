"""The sizes and the service of a bearing."""

from django import forms

from parts.engineering.bearings import white_metal
from parts.engineering.errors import EngineeringError, OutOfRange
from parts.engineering.sentences import in_units
from parts.record.forms import fields as sheet
from parts.record.forms.pieces import not_to_come
from parts.workshop.shapes.forms import SizesForm, Wanted

from .models import Bearing


class BearingForm(SizesForm):
    """A bearing that is poured with white metal."""

    wanted = (
        Wanted("journal", "Diameter of the journal"),
        Wanted("shell", "Inside of the shell"),
        Wanted("length", "Length of the bearing"),
        Wanted("collar_diameter", "Outside of the collar", optional=True),
        Wanted("collar_thickness", "Thickness of the collar", optional=True),
    )

    class Meta:
        model = Bearing
        fields = ["halves", "collars", "grade", "load_written", "poured_on", "note"]
        widgets = {"poured_on": sheet.Day, "note": forms.Textarea(attrs={"rows": 3})}
        labels = {"load_written": "Load on it", "note": "How it went, or what to mind"}
        help_texts = {
            "load_written": "What it carries, as a mass: 18 cwt. Left empty, no pressure is told.",
            "poured_on": "Once it is poured.",
        }

    halves = forms.TypedChoiceField(
        choices=[(2, "In two halves"), (1, "Whole")], coerce=int, widget=sheet.Cells, initial=2
    )
    collars = forms.TypedChoiceField(
        choices=[(0, "None"), (1, "One"), (2, "Two")], coerce=int, widget=sheet.Cells, initial=0
    )
    grade = forms.ChoiceField(label="White metal")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["grade"].choices = [
            (one.key, f"Grade {one.key}, {one.base}-base: {one.service}")
            for one in white_metal.grades()
        ]
        self.fields["poured_on"].validators.append(not_to_come)

    def clean(self):
        data = super().clean()
        if data.get("collars") and not {"collar_diameter", "collar_thickness"} <= set(self.sizes):
            self.add_error("collars", "A collar needs its outside and its thickness.")
        if not data.get("collars"):
            for key in ("collar_diameter", "collar_thickness"):
                self.sizes.pop(key, None)
        if not self.errors:
            self._can_be(data)
        return data

    def _can_be(self, data) -> None:
        """A lining finds room in the shell, or nothing on the sheet could be calculated."""
        mm = {key: row.value for key, row in self.sizes.items()}
        try:
            bore = mm["journal"] + white_metal.clearance(mm["journal"]).value
            if mm["shell"] <= bore:
                raise OutOfRange("The shell leaves no room for metal round the journal.")
            white_metal.shell(
                bore,
                (mm["shell"] - bore) / 2,
                mm["length"],
                boring_stock_mm=white_metal.BORING_STOCK.value,
                collars=data["collars"],
                collar_diameter_mm=mm.get("collar_diameter", 0.0),
                collar_thickness_mm=mm.get("collar_thickness", 0.0),
            )
        except EngineeringError as error:
            self.add_error(None, in_units(error, self.engine.units))
