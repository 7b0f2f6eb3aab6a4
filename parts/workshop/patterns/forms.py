"""A face of a pattern."""

from django import forms

from parts.engineering.casting import patterns
from parts.engineering.errors import OutOfRange
from parts.engineering.sentences import in_units
from parts.record.forms import fields as sheet
from parts.workshop.shapes.forms import SizesForm, Wanted

from .models import PatternFace


class FaceForm(SizesForm):
    """A size of a casting that the pattern is made by. It is called what it is: bore, width."""

    wanted = (Wanted("finished", "Size, as it is when machined"),)

    class Meta:
        model = PatternFace
        fields = ["kind", "contraction_percent", "allowance_written", "draft_deg", "note"]
        labels = {
            "kind": "What lies at its ends",
            "contraction_percent": "Contraction, your own figure",
            "allowance_written": "Allowance on each machined surface, your own figure",
            "draft_deg": "Draft of each side, degrees",
            "note": "What the moulder should know of it",
        }
        help_texts = {
            "contraction_percent": "Per cent. Left empty, the table for this metal.",
            "allowance_written": "1/8 in. Left empty, the table for this metal and size.",
            "draft_deg": "Left empty, the usual: 1 outside, 2 inside, where up to 3 is usual too "
            "(from memory). 0 for none, as on a face that lies in the parting.",
        }

    called = forms.CharField(
        label="What this size is",
        required=False,
        max_length=80,
        help_text="Bore, width over the lugs, thickness of the flange.",
    )
    draft_deg = forms.FloatField(
        required=False, label=Meta.labels["draft_deg"], help_text=Meta.help_texts["draft_deg"]
    )
    kind = forms.ChoiceField(
        choices=[(key, face.name.capitalize()) for key, face in patterns.FACES.items()],
        widget=sheet.Cells(many=True),
        label="What lies at its ends",
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        if self.instance.pk is None:
            self.initial["draft_deg"] = None

    def size_name(self, one: Wanted) -> str:
        name = (self.cleaned_data.get("called") or "").strip()
        if not name:
            self.add_error("called", "Say what this size is, like “bore” or “width over the lugs”.")
        return name

    def clean(self):
        data = super().clean()
        if data.get("draft_deg") is None and data.get("kind"):
            data["draft_deg"] = patterns.usual_draft(data["kind"])
        if not self.errors:
            self._can_be(data)
        return data

    def _can_be(self, data) -> None:
        """The pattern sheet calculates with what is typed here: its bounds hold here too."""
        own, size = data.get("contraction_percent"), self.sizes["finished"].value
        given = {
            "contraction_percent": {"contraction": (own or 0.0) / 100},
            "allowance_written": {"allowance_mm": self.derived["allowance_mm"] or 0.0},
            "draft_deg": {"draft_deg": data["draft_deg"], "depth_mm": 1e-3},
        }
        free = {"contraction": 0.0, "allowance_mm": 0.0}
        for name, asked in given.items():
            try:
                patterns.pattern_size(size, "cast_iron", data["kind"], **free | asked)
            except OutOfRange as error:
                self.add_error(name, in_units(error, self.engine.units))
