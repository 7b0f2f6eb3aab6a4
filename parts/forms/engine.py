"""Forms for the engine itself: its data, sizes, owners and plan."""

import re
from datetime import datetime
from decimal import Decimal, InvalidOperation

from django import forms

from ..models import Engine, EngineSize, Ownership
from ..trade import measures, starters
from . import fields as sheet
from .base import RecordForm

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


class PlanForm(forms.Form):
    """A plan to be frozen: one line to a day."""

    name = forms.CharField(max_length=120, initial="Plan")
    frozen_on = sheet.DayField(label="Frozen on")
    lines = forms.CharField(
        label="What should be done by when",
        widget=forms.Textarea(attrs={"rows": 10}),
        help_text=(
            "A day, pieces on the engine again, hours given and money spent, counted from the "
            "start, one day to a line: 2026-12-31; 120; 900; 12500"
        ),
    )
    note = forms.CharField(required=False, widget=forms.Textarea(attrs={"rows": 2}))

    def clean_lines(self):
        points = []
        for n, line in enumerate(self.cleaned_data["lines"].splitlines(), 1):
            if line.strip():
                points.append(self._point(n, line))
        return points

    @staticmethod
    def _point(n: int, line: str) -> tuple:
        cells = [cell.strip().replace(",", "") for cell in re.split(r"[;\t]", line)]
        try:
            day, pieces, hours, money = cells
            point = (
                datetime.strptime(day, "%Y-%m-%d").date(),
                int(pieces),
                Decimal(hours),
                Decimal(money),
            )
            small = all(0 <= figure < 10**9 for figure in point[1:])
        except (ValueError, InvalidOperation):
            raise forms.ValidationError(
                f"Line {n} cannot be read: “{line.strip()}”. Write a day and three figures with "
                "semicolons between: 2026-12-31; 120; 900; 12500"
            ) from None
        sheet.within_reach(point[0])
        if not small:
            raise forms.ValidationError(f"Line {n} has a figure below nothing, or too large.")
        return point
