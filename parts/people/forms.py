"""Forms for people and the hours they give."""

from django import forms
from django.contrib.auth import authenticate
from django.contrib.auth.forms import PasswordChangeForm

from parts.record.forms import fields as sheet
from parts.record.forms.base import RecordForm
from parts.record.models import Membership

from .models import HoursGiven

DAY = sheet.Day()
SECRET = forms.PasswordInput(attrs={"autocomplete": "new-password"}, render_value=False)

ROLE_MEANINGS = {
    "lead": "Decides and spends; may do all.",
    "helper": "Records, identifies and moves stages; proposes the rest.",
    "reader": "Looks, without places and stores.",
}


class PersonForm(forms.Form):
    """Someone to be let in."""

    username = forms.CharField(label="Login name", max_length=150, help_text="One word: tarrant.")
    full_name = forms.CharField(
        label="Name", max_length=150, required=False, help_text="As the record calls them."
    )
    role = forms.ChoiceField(
        choices=Membership.Role.choices,
        initial="helper",
        widget=sheet.Cells(meanings=ROLE_MEANINGS),
    )
    password = forms.CharField(
        label="First password",
        required=False,
        widget=SECRET,
        help_text="For someone without a login here. At least 8 characters, not only numbers.",
    )


class RoleForm(forms.Form):
    role = forms.ChoiceField(
        choices=Membership.Role.choices, widget=sheet.Cells(meanings=ROLE_MEANINGS)
    )
    seen = sheet.WholeField(widget=forms.HiddenInput)


class NewPasswordForm(forms.Form):
    password = forms.CharField(
        label="New password",
        widget=SECRET,
        help_text="At least 8 characters, not only numbers. Tell it to the person yourself.",
    )


class OwnPasswordForm(PasswordChangeForm):
    """A new password of one's own, against the old one."""

    def __init__(self, request, *args, **kwargs):
        self.request = request
        super().__init__(request.user, *args, **kwargs)
        for name, label in (
            ("old_password", "Present password"),
            ("new_password1", "New password"),
            ("new_password2", "New password again"),
        ):
            self.fields[name].label = label
        self.fields["new_password1"].help_text = "At least 8 characters, not only numbers."
        self.fields["new_password2"].help_text = ""

    def clean_old_password(self):
        """Asked where logins are, so that guessing here is slowed as it is there."""
        old, name = self.cleaned_data["old_password"], self.user.get_username()
        if authenticate(self.request, username=name, password=old) != self.user:
            raise forms.ValidationError("This is not your present password.")
        return old


class HoursForm(RecordForm):
    """Hours that a person gave."""

    class Meta:
        model = HoursGiven
        fields = ["person", "day", "hours", "work", "component", "part", "note"]
        widgets = {
            "day": DAY,
            "hours": sheet.Unit(unit="h"),
            "work": sheet.Cells(many=True),
        }

    def __init__(self, *args, people=(), **kwargs):
        super().__init__(*args, **kwargs)
        self.people = people
        self.fields["person"].widget.attrs["list"] = "people-known"
        self.fields["component"].empty_label = "Not assigned"
        self.fields["part"].empty_label = "No one part"
