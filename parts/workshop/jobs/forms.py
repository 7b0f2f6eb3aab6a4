"""Forms for jobs: deciding, moving stages, fitting, and setting back."""

from django import forms

from parts.record.forms import fields as sheet
from parts.record.forms.base import RecordForm
from parts.record.forms.pieces import not_to_come
from parts.record.models import Job, Material

from .queries.lines import SORTS, MakeChoices


def _pieces(label: str = "How many") -> forms.IntegerField:
    return sheet.WholeField(
        min_value=1,
        max_value=100_000,
        widget=sheet.Stepper,
        label=label,
        error_messages={"min_value": "Give a number of pieces, 1 or more."},
    )


class JobForm(RecordForm):
    """The details of a job that can be mended afterwards."""

    class Meta:
        model = Job
        fields = ["who", "size", "metal", "wanted_by", "reason", "note"]
        widgets = {
            "wanted_by": sheet.Day,
            "reason": forms.Textarea(attrs={"rows": 2}),
            "note": forms.Textarea(attrs={"rows": 3}),
        }
        labels = {"who": "Who makes it", "reason": "Why this way", "metal": "Material"}
        help_texts = {
            "who": "",
            "reason": "The pattern for the other one is at hand.",
            "size": "12 × 9 × 8 in. Left empty, the finished size of the part.",
            "metal": "",
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        part = self.instance.part
        self.fields["metal"].choices = [
            ("", f"As the part: {Material(part.material).label.lower()}"),
            *Material.choices,
        ]


class StepForm(forms.Form):
    """A number of pieces, a day, and what happened to them.

    Args:
        stages: (key, word) of the stages to choose from; empty where there is only one step.
        because: The label of the reason, where one must be given.
    """

    stage = forms.ChoiceField(widget=sheet.Cells(many=True), label="Stage")
    pieces = _pieces()
    day = sheet.DayField(validators=[not_to_come])
    reason = forms.CharField(required=False, label="Note", widget=forms.Textarea(attrs={"rows": 2}))
    also = forms.CharField(required=False, widget=forms.HiddenInput)
    asked = False

    def __init__(self, data=None, *, stages=(), because: str = "", example: str = "", **kwargs):
        super().__init__(data, **kwargs)
        if stages:
            self.fields["stage"].choices = stages
        else:
            del self.fields["stage"]
        if because:
            field = self.fields["reason"]
            field.required, field.label, field.help_text = True, because, example
            field.error_messages["required"] = f"Say why: for example “{example}”"

    def agreed_to(self, also: str) -> bool:
        """The person has seen that `also` is written too; if not, ask, keeping what was typed."""
        if self.cleaned_data.pop("also") == also or not also:
            return True
        self.asked = True
        self.add_error(
            None,
            f"This marks earlier stages as reached too: {also}. Save all of them, or cancel and "
            "say first which were really reached.",
        )
        self.data = self.data.copy()
        self.data[self.add_prefix("also")] = also
        return False


class MakeFilterForm(forms.Form):
    """Which lines are listed, and in what order. Every choice is one that the list has."""

    route = forms.ChoiceField(required=False, label="How")
    component = forms.ChoiceField(required=False)
    material = forms.ChoiceField(required=False)
    who = forms.ChoiceField(required=False, label="Who")
    stage = forms.ChoiceField(required=False)
    q = forms.CharField(
        required=False, label="Words", widget=forms.TextInput(attrs={"type": "search"})
    )
    sort = forms.ChoiceField(required=False, choices=list(SORTS.items()), label="In order of")

    def __init__(self, data, *, choices: MakeChoices):
        super().__init__(data, auto_id="filter_%s")
        for name, all_of_them, rows in (
            ("route", "Every way", choices.routes),
            ("component", "All components", choices.components),
            ("material", "All materials", choices.materials),
            ("who", "Everyone", [(who, who) for who in choices.people]),
            ("stage", "Any stage", choices.stages),
        ):
            self.fields[name].choices = [("", all_of_them), *rows]
