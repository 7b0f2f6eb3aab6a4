"""Forms for the engine itself: its data, sizes, owners and plan."""

import re

from django import forms

from parts.engineering import measures, starters
from parts.record.forms import fields as sheet
from parts.record.forms.base import RecordForm
from parts.record.models import Engine

from ..models import EngineSize, Ownership

DAY = sheet.Day()


class EngineForm(forms.ModelForm):
    """The engine's data and its leading sizes, kept as they are written."""

    seen = sheet.WholeField(widget=forms.HiddenInput, required=False)

    class Meta:
        model = Engine
        fields = [
            "name",
            "short_name",
            "kind",
            "maker",
            "built",
            "works_number",
            "speed_rpm",
            "story",
            "place",
            "tag_prefix",
            "currency",
            "length_unit",
            "mass_unit",
            "tape_unit",
            "ton",
            "readers_see_places",
        ]
        widgets = {
            "story": forms.Textarea(attrs={"rows": 4}),
            "place": forms.Textarea(attrs={"rows": 2}),
            "speed_rpm": sheet.Unit(unit="rpm"),
            "length_unit": sheet.Cells,
            "mass_unit": sheet.Cells,
            "tape_unit": sheet.Cells,
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        engine = self.instance
        self.fields["seen"].initial = engine.version if engine.pk else None
        sheet.bounded(self)
        known = {s.name: s.written for s in engine.sizes.all()} if engine.pk else {}
        for name, word in EngineSize.Name.choices:
            self.fields[f"size_{name}"] = forms.CharField(
                label=word,
                required=False,
                initial=known.get(name, ""),
                max_length=60,
                widget=sheet.Unit(unit=engine.length_unit if engine.pk else "", decimal=False),
            )

    def clean_tag_prefix(self):
        prefix = self.cleaned_data["tag_prefix"].strip().upper()
        if not re.fullmatch(r"[A-Z]{1,4}", prefix):
            raise forms.ValidationError("One to four letters, like HG.")
        return prefix

    def clean(self):
        data = super().clean()
        unit = data.get("length_unit", "in")
        for name in EngineSize.Name.values:
            text = (data.get(f"size_{name}") or "").strip()
            if text:
                try:
                    measures.read_length(text, default=unit)
                except measures.MeasureError as error:
                    self.add_error(f"size_{name}", str(error))
        return data

    def values(self) -> dict:
        """The engine's own fields and their new values."""
        return {k: v for k, v in self.cleaned_data.items() if k in self.Meta.fields}

    def sizes(self) -> dict[str, str]:
        """The leading sizes as they were written."""
        return {n: self.cleaned_data.get(f"size_{n}", "") for n in EngineSize.Name.values}


class NewEngineForm(EngineForm):
    """A new engine, which may begin from a starter list."""

    with_starter = forms.BooleanField(
        required=False,
        initial=True,
        label="Begin with the components and parts usual for this kind",
        help_text=starters.LINE,
    )

    field_order = ["name", "kind", "with_starter"]


class OwnershipForm(RecordForm):
    class Meta:
        model = Ownership
        fields = ["who", "right", "since", "until", "terms"]
        widgets = {
            "since": DAY,
            "until": DAY,
            "right": sheet.Cells,
            "terms": forms.Textarea(attrs={"rows": 3}),
        }
        help_texts = {"terms": "What was agreed, by letter or by word of mouth, and on what terms."}
