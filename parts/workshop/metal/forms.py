"""Forms for the metal store: a lot, metal in and out, and crucibles."""

import re

from django import forms

from parts.engineering.casting import lots as casting_lots
from parts.engineering.casting import melting
from parts.engineering.errors import EngineeringError
from parts.engineering.materials import properties
from parts.engineering.measures import write_again
from parts.engineering.sentences import in_units
from parts.money.forms import MoneyField
from parts.money.models import CostItem
from parts.record.forms import fields as sheet
from parts.record.forms.base import MeasureField, RecordForm
from parts.record.forms.pieces import not_to_come
from parts.record.models import Find, Material

from .models import Crucible, MetalLot

LIKE = "Enter element and per cent, like Cu 85, Sn 5, Pb 5, Zn 5, or an alloy number like C83600."
_PAIR = re.compile(
    r"([A-Za-z]{1,2})\s*:?\s*(\d+(?:[.,]\d+)?)\s*%?|(\d+(?:[.,]\d+)?)\s*%?\s*([A-Za-z]{1,2})"
)


def read_composition(text: str) -> dict[str, float]:
    """Read what is in a metal as people write it. Raises forms.ValidationError in words.

    >>> read_composition("Cu 85, sn 5; 5 % Pb zn 5")
    {'Cu': 85.0, 'Sn': 5.0, 'Pb': 5.0, 'Zn': 5.0}
    >>> read_composition("c83600")["Cu"]
    85.0
    """
    typed = text.strip()
    try:
        return dict(properties.alloy(typed.upper()).nominal)
    except EngineeringError:
        pass
    found: dict[str, float] = {}
    rest = _PAIR.sub(lambda pair: _take(pair, found), typed)
    if rest.strip(" ,;/\t\n.") or not found:
        raise forms.ValidationError(f"“{typed[:60]}” cannot be read. {LIKE}")
    total = sum(found.values())
    if total < 80:
        raise forms.ValidationError(
            f"The shares come to {total:g} %. Of a whole lot they come to nearly 100 %."
        )
    try:
        casting_lots.composition(casting_lots.Lot("this lot", found))
    except EngineeringError as error:
        raise forms.ValidationError(str(error)) from None
    return found


def _take(pair, found) -> str:
    sign = (pair[1] or pair[4]).capitalize()
    try:
        properties.element_name(sign)
    except EngineeringError as error:
        raise forms.ValidationError(f"{error} {LIKE}") from None
    if sign in found:
        raise forms.ValidationError(f"{sign} stands twice. {LIKE}")
    found[sign] = float((pair[2] or pair[3]).replace(",", "."))
    return ""


def shown_composition(percent: dict) -> str:
    """A composition as it is typed, what there is most of first.

    >>> shown_composition({"Cu": 85.0, "Sn": 4.5})
    'Cu 85, Sn 4.5'
    """
    by_share = sorted((percent or {}).items(), key=lambda one: (-float(one[1]), one[0]))
    return ", ".join(f"{sign} {float(share):g}" for sign, share in by_share)


class LotForm(RecordForm):
    """What a lot is, where from and where it lies."""

    composition = forms.CharField(
        required=False,
        label="What is in it",
        help_text=f"By assay or from the seller. {LIKE}",
    )
    value = MoneyField(required=False, label="Value of a kilogram")

    class Meta:
        model = MetalLot
        fields = [
            "name",
            "material",
            "known",
            "scrap_key",
            "where_from",
            "kept_at",
            "find",
            "bought_as",
            "note",
        ]
        widgets = {
            "known": sheet.Cells(many=True),
            "find": forms.HiddenInput,
            "note": forms.Textarea(attrs={"rows": 2}),
        }
        labels = {
            "name": "What it is called",
            "material": "Kind",
            "known": "How is it known what is in it",
            "where_from": "Where from",
            "bought_as": "Bought under the cost",
        }
        help_texts = {
            "bought_as": "Then its metal is handed on from there to the castings, and counts once.",
            "name": "Valve bodies from the scrap yard at Cold Garth.",
            "where_from": "Whom it was bought from, or what it was.",
        }

    field_order = [
        "name",
        "material",
        "known",
        "scrap_key",
        "composition",
        "where_from",
        "kept_at",
        "value",
        "bought_as",
        "note",
    ]

    def __init__(self, *args, may_price: bool = False, **kwargs):
        super().__init__(*args, **kwargs)
        lot = self.instance
        self.fields["material"].choices = [
            *[c for c in Material.choices if c[0] in METALS],
            (Material.NOT_KNOWN, "Tin, zinc, antimony or something else"),
        ]
        self.fields["scrap_key"] = forms.ChoiceField(
            required=False,
            label="The usual of",
            choices=[("", "None of these"), *casting_lots.scrap_keys().items()],
            help_text="Where it is assumed. The table has a range for each; an assay is better.",
            initial=lot.scrap_key,
        )
        self.order_fields(self.field_order)
        self.fields["composition"].initial = shown_composition(lot.percent)
        self.fields["find"].queryset = Find.objects.filter(engine=self.engine)
        self.fields["bought_as"].queryset = CostItem.objects.billed(self.engine)
        self.fields["bought_as"].empty_label = "None: found, given, or not in the costs"
        if may_price:
            self.fields["value"].use(self.engine.currency)
            self.fields["value"].initial = lot.value_per_kg if lot.pk else None
        else:
            del self.fields["value"], self.fields["bought_as"]
        if lot.pk:
            del self.fields["find"]

    def clean(self):
        data = super().clean()
        text, known = data.get("composition") or "", data.get("known")
        self.derived["percent"] = {}
        if known == MetalLot.Known.ASSUMED:
            if text.strip():
                self.add_error("composition", "It is assumed, so choose what it is usual of.")
        elif not text.strip():
            self.add_error("composition", f"What is in it? {LIKE}")
        else:
            try:
                self.derived["percent"] = read_composition(text)
            except forms.ValidationError as error:
                self.add_error("composition", error)
            data["scrap_key"] = ""
        if "value" in self.fields:
            self.derived["value_per_kg"] = data.get("value") or 0
        return data


METALS = {
    "cast_iron", "steel", "wrought_iron", "brass", "bronze", "copper", "white_metal", "lead",
    "aluminium",
}  # fmt: skip


class FirstMassForm(forms.Form):
    """How much there is of a new lot, and since when."""

    mass = MeasureField("mass", label="How much", help_text="As weighed: 12 lb 6 oz, or 5.6 kg.")
    day = sheet.DayField(label="Came in on", validators=[not_to_come])

    def __init__(self, *args, engine, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["mass"].use(engine)


class MoveForm(FirstMassForm):
    """Metal into or out of a lot."""

    reason = forms.CharField(max_length=200, label="What for")

    def __init__(self, *args, out: bool, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["day"].label = "On"
        self.fields["reason"].help_text = (
            "Two bushes turned from the bar." if out else "Bought, or turned up in the shed."
        )


class WhyForm(forms.Form):
    """Why something is taken back."""

    reason = forms.CharField(
        max_length=200, label="Why", error_messages={"required": "Say why it is taken back."}
    )


class CrucibleForm(RecordForm):
    """A crucible that is owned."""

    carries = MeasureField(
        "mass",
        label="It may carry, of bronze",
        help_text="Filled as far as is safe. Less of a lighter metal; never more of a heavier one.",
    )

    class Meta:
        model = Crucible
        fields = ["name", "brim_l", "good", "looked_on"]
        widgets = {
            "brim_l": sheet.Unit(unit="litres"),
            "looked_on": sheet.Day,
        }
        labels = {"brim_l": "Room to the brim"}
        help_texts = {
            "name": "No. 16, bilge shape.",
            "brim_l": "By water weighed in it before it is fired: 1 kg is 1 litre.",
        }

    field_order = ["name", "carries", "brim_l", "good", "looked_on"]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["carries"].use(self.engine)
        if self.instance.pk:
            self.fields["carries"].initial = write_again(
                "mass", self.instance.carries_kg, self.engine.mass_unit, self.engine.ton
            )
        self.fields["looked_on"].validators.append(not_to_come)

    def clean_brim_l(self):
        litres = self.cleaned_data["brim_l"]
        if litres is not None and not 0 < litres <= 1000:
            raise forms.ValidationError("A crucible holds more than nothing and under 1000 litres.")
        return litres

    def clean(self):
        data = super().clean()
        carries = data.get("carries")
        if carries is not None:
            try:
                melting.crucible_limit(carries.value, "tin_bronze")
            except EngineeringError as error:
                self.add_error("carries", in_units(error, self.engine.units))
            self.derived["carries_kg"] = carries.value
        return data
