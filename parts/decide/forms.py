"""Forms for weighing ways and choosing one."""

from django import forms

from parts.engineering.routes import ROUTES
from parts.record.forms import fields as sheet
from parts.record.forms.base import RecordForm
from parts.record.forms.pieces import not_to_come
from parts.record.models import Job
from parts.workshop.jobs.forms import JobForm

from .models import Option


class OptionForm(RecordForm):
    """What a way would cost, what it takes, and what is not there yet."""

    class Meta:
        model = Option
        fields = ["low", "likely", "high", "hours", "wants", "note"]
        widgets = {
            "wants": forms.Textarea(attrs={"rows": 3}),
            "note": forms.Textarea(attrs={"rows": 3}),
        }
        labels = {
            "low": "Cost, at least",
            "likely": "Cost, likely",
            "high": "Cost, at most",
            "hours": "Hours of our own",
        }
        help_texts = {
            "hours": "Hours are not in the cost.",
            "wants": "One thing to a line: no pattern, no quote.",
        }

    def clean(self):
        data = super().clean()
        low, likely, high = (data.get(name) for name in ("low", "likely", "high"))
        if None not in (low, likely, high) and not 0 <= low <= likely <= high:
            self.add_error(
                "likely", "Low, likely and high must rise, from nothing upwards: 80, 100, 140."
            )
        return data


class DecideForm(JobForm):
    """Which way is chosen, for how many pieces, and why."""

    route = forms.ChoiceField(
        choices=Option.Way.choices,
        widget=sheet.Cells(many=True),
        label="Which way",
        error_messages={"required": "Choose how it will be made or got, or what is done instead."},
    )
    pieces = sheet.WholeField(
        min_value=1,
        max_value=100_000,
        widget=sheet.Stepper,
        label="How many",
        error_messages={"min_value": "Give a number of pieces, 1 or more."},
    )
    day = sheet.DayField(label="Decided on", validators=[not_to_come])
    into_tally = forms.BooleanField(
        required=False,
        label="Add this estimate to the costs",
        help_text="For a way of making that has figures above.",
    )

    class Meta(JobForm.Meta):
        model = Job

    field_order = [
        "route",
        "pieces",
        "reason",
        "who",
        "size",
        "metal",
        "wanted_by",
        "note",
        "into_tally",
        "day",
    ]

    def clean(self):
        data = super().clean()
        way = data.get("route")
        if way and way not in ROUTES and not (data.get("reason") or "").strip():
            self.add_error("reason", "Say why: the reason is kept with the choice.")
        return data

    def details(self) -> dict:
        """The fields of a job."""
        return {
            name: self.cleaned_data[name] for name in ("who", "size", "metal", "wanted_by", "note")
        }
