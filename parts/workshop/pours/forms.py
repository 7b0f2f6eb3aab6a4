"""Forms for pours: plan one, set metal aside for it, and write down what came of it."""

from fractions import Fraction

from django import forms

from parts.engineering import tables
from parts.engineering.constants import KG_PER_LB
from parts.engineering.measures import Measure
from parts.engineering.showing import decimal
from parts.money.forms import MoneyField
from parts.record.forms import fields as sheet
from parts.record.forms.base import MeasureField, RecordForm
from parts.record.forms.pieces import not_to_come
from parts.workshop.metal.models import Crucible

from .models import Pour

FUELS = {row["key"]: row["name"] for row in tables.read("fuels")}


class PourForm(RecordForm):
    """What is poured, of what, from which crucible, when and by whom."""

    metal = forms.ChoiceField(label="Metal to pour")

    class Meta:
        model = Pour
        fields = ["metal", "crucible", "planned_for", "fuel", "burner_kw", "who"]
        widgets = {
            "planned_for": sheet.Day,
            "burner_kw": sheet.Unit(unit="kW"),
        }
        labels = {"burner_kw": "Power of the burner", "who": "Who is there"}
        help_texts = {
            "burner_kw": "On its plate. Left empty, no time is calculated.",
            "who": "Two people at least.",
        }

    def __init__(self, *args, metals, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["metal"].choices = metals
        self.fields["crucible"].queryset = Crucible.objects.filter(engine=self.engine, good=True)
        self.fields["crucible"].empty_label = "Choose a crucible"
        self.fields["fuel"] = forms.ChoiceField(choices=list(FUELS.items()), widget=sheet.Cells)
        self.order_fields(self._meta.fields)

    def clean_burner_kw(self):
        power = self.cleaned_data["burner_kw"]
        if power is not None and not 0 < power <= 10_000:
            raise forms.ValidationError("A burner gives more than nothing: 20 kW, say.")
        return power


class CastingsForm(forms.Form):
    """How many of each casting, and the mass of one as poured.

    Args:
        waiting: (key, title, pieces proposed, mass of one in kg or None, why it is short)
            of each casting.
    """

    def __init__(self, data=None, *, engine, waiting, **kwargs):
        super().__init__(data, **kwargs)
        self.rows = []
        for key, title, pieces, each_kg, short in waiting:
            self.fields[f"pieces_{key}"] = sheet.WholeField(
                min_value=0,
                max_value=10_000,
                initial=pieces,
                label=f"{title}: how many",
                widget=sheet.Stepper(least=0),
            )
            each = "" if each_kg is None else written_mass(each_kg, engine.mass_unit)
            self.fields[f"mass_{key}"] = MeasureField(
                "mass",
                engine=engine,
                initial=each,
                label=f"{title}: poured mass of one",
                help_text=f"With finishing stock, gates and risers. {short}".strip(),
            )
            self.rows.append(key)

    def castings(self) -> list[tuple[object, int, float]]:
        """(key, pieces, kg) of each casting that is to be poured."""
        data = self.cleaned_data
        return [
            (key, data[f"pieces_{key}"], data[f"mass_{key}"].value)
            for key in self.rows
            if data[f"pieces_{key}"] and data[f"mass_{key}"]
        ]


def written_mass(kg: float, unit: str) -> str:
    """A mass as it stands in a field, to a thousandth of the engine's unit.

    >>> written_mass(2.5, "kg"), written_mass(2.5, "lb"), written_mass(1234.5678, "kg")
    ('2.5 kg', '5.512 lb', '1234.568 kg')
    """
    each = 1 if unit == "kg" else KG_PER_LB
    return f"{decimal(Fraction(kg) / each, 3, 0)} {unit}"


class WeighForm(forms.Form):
    """How much of each lot.

    Args:
        lots: (key, label, help, written) of each lot of the charge.
        others: The same of each other lot that may go in.
    """

    def __init__(self, data=None, *, engine, lots, others=(), **kwargs):
        super().__init__(data, **kwargs)
        self.keys, self.first = [], len(lots) or len(others)
        for key, label, words, written in [*lots, *others]:
            self.fields[f"lot_{key}"] = MeasureField(
                "mass", engine=engine, required=False, label=label, help_text=words, initial=written
            )
            self.keys.append(key)

    @property
    def charged(self):
        """The fields of the lots of the charge."""
        return [self[f"lot_{key}"] for key in self.keys[: self.first]]

    @property
    def others(self):
        return [self[f"lot_{key}"] for key in self.keys[self.first :]]

    @property
    def others_open(self) -> bool:
        """Something was typed into one of the others: it must be seen."""
        return any(field.value() or field.errors for field in self.others)

    def weighed(self) -> dict[int, Measure]:
        """The mass by the key of each lot that something is taken of."""
        found = {key: self.cleaned_data.get(f"lot_{key}") for key in self.keys}
        return {key: value for key, value in found.items() if value}


class HappenedForm(forms.Form):
    """What came of a pour."""

    poured_on = sheet.DayField(validators=[not_to_come])
    temperature = MeasureField(
        "temperature", required=False, label="Poured at", help_text="As read: 2150 F, or 1180 C."
    )
    back = MeasureField(
        "mass",
        required=False,
        label="Back into the store",
        help_text="Gates, risers, wasters and what was over, as weighed.",
    )
    nothing_back = forms.BooleanField(
        required=False,
        label="Nothing came back",
        help_text="All of it is in the good castings, or lost.",
    )
    who = forms.CharField(required=False, max_length=160, label="Who was there")
    happened = forms.CharField(
        required=False, label="How it went", widget=forms.Textarea(attrs={"rows": 3})
    )
    already = forms.BooleanField(
        required=False,
        label="The stages are saved already",
        help_text="Then they are left as they are.",
    )
    stages = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, data=None, *, engine, castings, back_kg=None, **kwargs):
        super().__init__(data, **kwargs)
        self.engine = engine
        self.castings = castings
        self.usual_back = ""
        for name in ("temperature", "back"):
            self.fields[name].use(engine)
        if back_kg is not None:
            usual = written_mass(round(back_kg, 2), engine.mass_unit)
            self.usual_back = (
                f" About {usual} by the usual yield, were all good; each waster adds its own."
            )
            self.fields["back"].help_text += self.usual_back
        first = {}
        for casting in castings:
            first[f"good_{casting.pk}"] = sheet.WholeField(
                min_value=0,
                max_value=casting.pieces,
                label=f"{casting.job.part}: good ones, of {casting.pieces}",
                widget=sheet.Stepper(least=0, most=casting.pieces),
            )
            first[f"why_{casting.pk}"] = forms.CharField(
                required=False,
                max_length=160,
                label="What was wrong with the others",
                help_text="Misrun in the thin flange.",
            )
        self.fields |= first
        self.order_fields(["poured_on", "temperature", *first])

    def clean(self):
        data = super().clean()
        for casting in self.castings:
            good = data.get(f"good_{casting.pk}")
            if good is not None and good < casting.pieces and not data[f"why_{casting.pk}"].strip():
                self.add_error(
                    f"why_{casting.pk}", "Say what was wrong, like “misrun in the thin flange”."
                )
        self._what_came_back(data)
        return data

    def _what_came_back(self, data) -> None:
        """An empty mass is no answer: it would book gates and risers as good castings."""
        back = data.get("back")
        some = back is not None and back.value > 0
        if some and data.get("nothing_back"):
            self.add_error("nothing_back", f"{back.written} came back, or nothing: not both.")
        elif not some and not data.get("nothing_back") and "back" not in self.errors:
            self.add_error(
                "back",
                "How much came back? Weigh the gates, risers, wasters and what was over."
                f"{self.usual_back} If nothing did, tick “Nothing came back”.",
            )
        if not some:
            data["back"] = None

    def agreed_to(self, stages: str) -> bool:
        """The person has seen which stages are written; if not, ask, keeping what was typed."""
        if self.cleaned_data["already"] or self.cleaned_data["stages"] == stages:
            return True
        self.add_error(None, f"These stages will be marked as reached: {stages}. Is that so?")
        self.data = self.data.copy()
        self.data[self.add_prefix("stages")] = stages
        return False

    def results(self) -> dict[int, tuple[int, str]]:
        data = self.cleaned_data
        return {c.pk: (data[f"good_{c.pk}"], data[f"why_{c.pk}"]) for c in self.castings}

    def values(self) -> dict:
        """The fields of the pour that it fills."""
        data = self.cleaned_data
        read = data["temperature"]
        return {
            "poured_on": data["poured_on"],
            **Pour.temperature.columns(read.written if read else "", self.engine),
            "who": data["who"],
            "happened": data["happened"],
        }


class PourCostsForm(forms.Form):
    """Fuel and other items bought for a pour, and the cost that each is in already.

    Args:
        fuel: What the fuel is called.
        booked: (what, amount, id of the cost) of each item that is booked.
        costs: The costs that something can be taken out of.
    """

    MORE = 2

    def __init__(self, data=None, *, engine, fuel: str, booked=(), costs, **kwargs):
        super().__init__(data, **kwargs)
        booked = list(booked) or [(fuel, None, None)]
        self.engine, self.rows = engine, len(booked) + self.MORE
        for i in range(self.rows):
            what, amount, cost = booked[i] if i < len(booked) else ("", None, None)
            self.fields[f"what_{i}"] = forms.CharField(
                required=False,
                max_length=120,
                label="Fuel" if what == fuel else "Bought for it",
                initial=what,
                help_text="" if what else "Flux, moulding sand, a crucible.",
            )
            self.fields[f"amount_{i}"] = MoneyField(
                required=False,
                currency=engine.currency,
                label="What it cost",
                initial=amount,
                help_text="Of what was used. Left empty, nothing is booked.",
            )
            self.fields[f"cost_{i}"] = forms.ModelChoiceField(
                costs,
                required=False,
                label="Taken out of the cost",
                initial=cost,
                empty_label="None: it is in no cost yet",
                help_text="Where its bill is in the costs already, so that it counts once.",
            )

    def clean(self):
        data = super().clean()
        for i in range(self.rows):
            if data.get(f"amount_{i}") and not data.get(f"what_{i}", "").strip():
                self.add_error(f"what_{i}", "What was bought? For example propane, or flux.")
            if not data.get(f"amount_{i}") and data.get(f"cost_{i}"):
                self.add_error(f"amount_{i}", "How much of that cost was for this pour?")
        return data

    def items(self) -> list[tuple]:
        """(what, amount, cost or None) of each item that has an amount."""
        data = self.cleaned_data
        names = ("what", "amount", "cost")
        rows = (tuple(data[f"{name}_{i}"] for name in names) for i in range(self.rows))
        return [row for row in rows if row[1]]
