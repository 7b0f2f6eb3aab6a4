"""A new plan."""

import re
from datetime import datetime
from decimal import Decimal, InvalidOperation

from django import forms

from parts.record.forms import fields as sheet


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
                f"Line {n} cannot be read: “{line.strip()}”. Enter a day and three figures with "
                "semicolons between: 2026-12-31; 120; 900; 12500"
            ) from None
        sheet.within_reach(point[0])
        if not small:
            raise forms.ValidationError(f"Line {n} has a figure below nothing, or too large.")
        return point
