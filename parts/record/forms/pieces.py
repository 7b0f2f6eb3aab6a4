"""Fields and checks of forms about pieces."""

from django import forms
from django.utils import timezone

from . import fields as sheet


def has_come(day):
    """Refuse a day that has yet to come: what is saved has happened."""
    if day > timezone.localdate():
        raise forms.ValidationError(
            f"{day:%-d %b %Y} has not come yet. Give the day it happened, "
            f"like {timezone.localdate():%-d %b %Y}."
        )


def day_field(label: str = "Day") -> forms.DateField:
    return sheet.DayField(label=label, validators=[has_come])


def pieces_field(label: str = "How many pieces") -> forms.IntegerField:
    return sheet.WholeField(
        label=label,
        min_value=1,
        max_value=100_000,
        widget=sheet.Stepper,
        error_messages={"min_value": "Give a number of pieces, 1 or more."},
    )


class ReasonForm(forms.Form):
    """Why a row is removed or brought back."""

    reason = forms.CharField(
        label="Why",
        max_length=400,
        help_text="Typed twice.",
        error_messages={"required": "Say why, for example: typed twice."},
    )

    def __init__(self, *args, needed=True, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["reason"].required = needed


def not_to_come(day):
    """A day on which something happened is not one that has yet to come."""
    if day > timezone.localdate():
        raise forms.ValidationError(
            f"{day:%-d %b %Y} has not come yet. Give the day it happened, like "
            f"{timezone.localdate():%-d %b %Y}."
        )
