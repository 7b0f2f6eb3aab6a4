"""Forms for parts, components, what happens to pieces, and proposals."""

from django import forms

from parts.record.forms import fields as sheet
from parts.record.forms.base import RecordForm
from parts.record.forms.pieces import day_field, pieces_field
from parts.record.models import Component, Part

from ..models import Proposal
from ..queries.parts import Tree, next_free_item, next_free_number
from ..queries.pieces import MissingLine


class PartForm(RecordForm):
    """A kind of piece that the engine should have."""

    refused_at = "quantity"

    class Meta:
        model = Part
        fields = [
            "item",
            "name",
            "component",
            "quantity",
            "material",
            "usual_route",
            "fastener",
            "size",
            "length_written",
            "mass_written",
            "note",
        ]
        widgets = {
            "quantity": sheet.Stepper,
            "material": sheet.Materials,
            "usual_route": sheet.Cells(many=True),
            "note": forms.Textarea(attrs={"rows": 3}),
        }
        labels = {
            "quantity": "How many the engine should have",
            "usual_route": "Usual way of getting another",
            "fastener": "It is a bolt, nut, stud, pin or other fastening",
            "length_written": "Longest side",
            "mass_written": "Mass of one piece",
        }
        help_texts = {
            "name": "What people call it: crosshead slipper.",
            "item": "As in the parts list and on the drawing.",
            "size": "12 × 9 × 8 in, or 7/8 in × 4 in.",
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["length_written"].widget = sheet.Unit(
            unit=self.engine.length_unit, decimal=False
        )
        self.fields["mass_written"].widget = sheet.Unit(unit=self.engine.mass_unit, decimal=False)
        self.fields["component"].empty_label = "Choose a component"
        route = self.fields["usual_route"]
        route.choices = [("", "Not said"), *(c for c in route.choices if c[0])]
        if self.instance.pk:
            self.fields[
                "quantity"
            ].help_text = "A corrected number holds for all days of the record."
        elif not self.instance.item:
            self.initial["item"] = next_free_item(self.engine)
            self.fields["item"].help_text = "The next free one is filled in."


class ComponentForm(RecordForm):
    """A named assembly of the engine."""

    refused_at = "parent"

    class Meta:
        model = Component
        fields = ["number", "name", "parent", "note"]
        widgets = {"note": forms.Textarea(attrs={"rows": 3})}
        labels = {"parent": "It belongs to"}
        help_texts = {"name": "Cylinder and valve chest.", "parent": "Components can nest."}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        parent = self.fields["parent"]
        parent.empty_label = "The engine itself"
        if self.instance.pk:
            # Not itself and nothing within it.
            tree = Tree(Component.objects.filter(engine=self.engine))
            parent.queryset = parent.queryset.exclude(pk__in=tree.within(self.instance.pk))
        else:
            self.initial["number"] = next_free_number(self.engine)


class PiecesForm(forms.Form):
    """What happened to pieces of a part, on a day."""

    pieces = pieces_field()
    day = day_field("The day it happened")
    on_engine = forms.BooleanField(required=False, label="They stand on the engine")
    reason = forms.CharField(
        label="Why, or how you know",
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    def __init__(self, *args, why: str = "", why_needed=False, asks_place=False, room=0, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["reason"].required = why_needed
        self.fields["reason"].help_text = why
        self.fields["reason"].error_messages["required"] = f"Say why, for example: {why}"
        if room:
            word = "piece" if room == 1 else "pieces"
            self.fields["pieces"].help_text = f"{room} {word} at most, as the record stands."
        if not asks_place:
            del self.fields["on_engine"]


class StillForm(forms.Form):
    """Which parts of a component are still on the engine, and how many pieces of each."""

    day = day_field("Seen there on")

    def __init__(self, *args, lines: list[MissingLine], **kwargs):
        super().__init__(*args, **kwargs)
        self.lines = lines
        for line in lines:
            pk, name = line.part.pk, line.part.name
            self.fields[f"still_{pk}"] = forms.BooleanField(
                required=False, label=f"{line.part.item} {name}"
            )
            self.fields[f"n_{pk}"] = sheet.WholeField(
                required=False,
                initial=line.missing,
                min_value=1,
                label=f"Pieces of {name}",
                widget=forms.NumberInput(
                    attrs={"inputmode": "numeric", "aria-label": f"Pieces of {name}"}
                ),
            )

    @property
    def rows(self) -> list[tuple]:
        """For the page: the line, its tick and its number."""
        return [
            (line, self[f"still_{line.part.pk}"], self[f"n_{line.part.pk}"]) for line in self.lines
        ]

    def clean(self):
        data = super().clean()
        self.pieces = {}
        for line in self.lines:
            if not data.get(f"still_{line.part.pk}"):
                continue
            n = data.get(f"n_{line.part.pk}") or line.missing
            if n > line.missing:
                self.add_error(
                    f"n_{line.part.pk}", f"Only {line.missing} of it are not accounted for yet."
                )
            self.pieces[line.part] = n
        if not self.errors and not self.pieces:
            raise forms.ValidationError("Tick the parts that are still on the engine.")
        return data


class ProposalForm(RecordForm):
    """What a helper thinks a lead should decide."""

    class Meta:
        model = Proposal
        fields = ["matter", "pieces", "route", "words"]
        widgets = {
            "matter": sheet.Cells(many=True),
            "pieces": sheet.Stepper,
            "route": sheet.Cells(many=True),
            "words": forms.Textarea(attrs={"rows": 4}),
        }
        labels = {
            "matter": "What you think",
            "pieces": "How many pieces",
            "route": "How it could be made",
            "words": "Why",
        }
        help_texts = {
            "route": "Only if you think that it should be made.",
            "words": "What you saw, or what should be written instead.",
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        route = self.fields["route"]
        route.choices = [("", "Not said"), *(c for c in route.choices if c[0])]


class AnswerForm(forms.Form):
    """A lead's answer to a proposal."""

    answer = forms.ChoiceField(
        choices=[("accepted", "Accept it"), ("declined", "Decline it")],
        widget=sheet.Cells,
        error_messages={"required": "Accept it or decline it."},
    )
    day = day_field("The day it was decided")
    on_engine = forms.BooleanField(required=False, label="The pieces stand on the engine")
    words = forms.CharField(
        label="Your words",
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Needed when you decline: say why.",
    )
    seen = sheet.WholeField(widget=forms.HiddenInput)

    def __init__(self, *args, proposal: Proposal, **kwargs):
        super().__init__(*args, **kwargs)
        if proposal.matter != Proposal.Matter.BEYOND_REPAIR:
            del self.fields["on_engine"]
