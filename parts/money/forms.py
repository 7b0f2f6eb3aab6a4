"""Forms for costs: money as people write it, amounts on a rising basis, papers."""

import re
from decimal import Decimal

from django import forms
from django.utils import timezone

from parts.drafting.lettering import SIGNS_OF_MONEY, money
from parts.photos.actions.uploads import check_paper
from parts.photos.forms import CarriesFiles
from parts.record.forms import fields as sheet
from parts.record.forms.base import RecordForm
from parts.record.models import Basis, Component, Engine, Heading, Job, Part

from .models import CostAmount, CostItem, CostPaper
from .queries.costs import CostLine, Range

MOST = Decimal("9999999999.99")
_LETTERS = {code: {code} for code in Engine.Currency.values}
_LETTERS |= {"£": {"GBP"}, "€": {"EUR"}, "zł": {"PLN"}, "kč": {"CZK"}}
_LETTERS |= {"$": {"USD", "CAD", "AUD", "NZD"}, "kr": {"SEK", "DKK", "NOK"}}
_WORDS = "|".join(re.escape(sign) for sign in _LETTERS)
_SIGN = re.compile(rf"^({_WORDS})\.?\s*|\s*({_WORDS})\.?$", re.IGNORECASE)
# Whole thousands parted by one sort of mark, then a point or comma before the small money.
_PLAIN = re.compile(r"[0-9]+(?:[.,][0-9]{1,2})?|[.,][0-9]{1,2}")
_PARTED = re.compile(r"[0-9]{1,3}(?:([,. '’])[0-9]{3})(?:\1[0-9]{3})*(?:[.,][0-9]{1,2})?")


def read_money(text: str, currency: str = "GBP") -> Decimal:
    """Read an amount of money as people write it: `1,250.50`, `£85`, `1 250,50`, `85 kr`.

    Raises:
        forms.ValidationError: in words, with an example, when it cannot be read, is less than
            nothing, or is written in another currency than `currency`.

    >>> read_money("£1,250.50"), read_money("1 250,5"), read_money("85")
    (Decimal('1250.50'), Decimal('1250.50'), Decimal('85.00'))
    """
    like = "Enter it like 1,250.50 or 85."
    typed = re.sub(r"[\u00a0\u2009\u202f]", " ", text).strip()
    figures = typed
    for _ in range(2):
        found = _SIGN.search(figures)
        if not found:
            break
        sign = found[1] or found[2]
        if currency not in (_LETTERS.get(sign.upper()) or _LETTERS[sign.lower()]):
            raise forms.ValidationError(
                f"Costs of this engine are in {dict(Engine.Currency.choices)[currency]}, "
                f"not in “{sign}”. {like}"
            )
        figures = (figures[: found.start()] + figures[found.end() :]).strip()
    if figures.startswith(("-", "−", "–")):
        raise forms.ValidationError(f"An amount cannot be less than nothing. {like}")
    if not _reads(figures):
        raise forms.ValidationError(f"“{typed[:40]}” is no amount of money. {like}")
    whole, small = _parted(figures)
    if len(whole.lstrip("0")) > 10:
        raise forms.ValidationError(f"{money(MOST, currency)} is the most that can be kept.")
    return Decimal(f"{whole or 0}.{small or 0}").quantize(Decimal("0.01"))


def _reads(figures: str) -> bool:
    if len(figures) > 30:
        return False
    if _PLAIN.fullmatch(figures):
        return True
    parted = _PARTED.fullmatch(figures)
    if not parted:
        return False
    # "1.250" may mean one and a quarter, or twelve hundred and fifty: ask. "1,250" is plain.
    mark, tail = parted[1], re.search(r"[.,]([0-9]{1,2})$", figures)
    if mark == "." and not tail and figures.count(".") == 1:
        return False
    return not (tail and tail[0][0] == mark)


def _parted(figures: str) -> tuple[str, str]:
    tail = re.search(r"[.,]([0-9]{1,2})$", figures)
    head = figures[: tail.start()] if tail else figures
    return re.sub(r"[^0-9]", "", head), tail[1] if tail else ""


class MoneyField(forms.CharField):
    """An amount of money, read as people write it."""

    def __init__(self, *, currency: str = "GBP", **kwargs):
        super().__init__(max_length=40, **kwargs)
        self.use(currency)

    def use(self, currency: str) -> None:
        self.currency = currency
        sign = SIGNS_OF_MONEY.get(currency, currency)
        self.widget = sheet.Unit(unit=sign)
        self.widget.is_required = self.required
        self.widget.attrs |= self.widget_attrs(self.widget)

    def to_python(self, value):
        text = super().to_python(value)
        return read_money(text, self.currency) if text else None

    def run_validators(self, value):
        """The length was a matter of the text; it has been read by now."""

    def prepare_value(self, value):
        return f"{value:.2f}" if isinstance(value, Decimal) else value


class CostForm(RecordForm):
    """What a cost is for."""

    item_number = sheet.WholeField(
        required=False,
        min_value=1,
        label="Part, by its item number",
        help_text="13. Left empty where it is of no one part.",
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
    )

    class Meta:
        model = CostItem
        fields = ["heading", "what", "job", "component", "supplier", "note"]
        widgets = {
            "heading": sheet.Cells(many=True),
            "note": forms.Textarea(attrs={"rows": 3}),
        }
        labels = {"what": "What it is for", "supplier": "From whom"}
        help_texts = {
            "what": "Pattern and casting, two brasses.",
            "component": "Where it is of no one part: the part knows its own component.",
        }

    field_order = ["heading", "what", "item_number", "job", "component", "supplier", "note"]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        item = self.instance
        self.fields["heading"].choices = Heading.choices
        self.fields["component"].queryset = Component.objects.filter(engine=self.engine)
        self.fields["component"].empty_label = "Not assigned"
        if item.part is not None:
            self.fields["item_number"].initial = item.part.item
        if item.job_id is None and (item.part_id is None or not item.pk):
            del self.fields["job"]
            return
        jobs = Job.objects.filter(engine=self.engine, part_id=item.part_id)
        self.fields["job"].queryset = jobs.select_related("part")
        self.fields["job"].empty_label = "Of the part, not of a job"

    def clean_item_number(self):
        number = self.cleaned_data["item_number"]
        if number is None:
            return None
        part = Part.objects.filter(engine=self.engine, item=number).first()
        if part is None:
            raise forms.ValidationError(f"No part of this engine has the item number {number}.")
        self.cleaned_data["part"] = part
        return number

    def clean(self):
        data = super().clean()
        part = data.get("part")
        job = data.get("job") if "job" in self.fields else None
        if job and part and job.part_id != part.pk:
            self.add_error("job", f"That job is of {job.part}, not of {part}.")
        part = job.part if job else part
        data["part"] = part
        if part is not None:
            data["component"] = None
        return data

    def _post_clean(self):
        super()._post_clean()
        self.instance.part = self.cleaned_data.get("part")

    def values(self) -> dict:
        return super().values() | {"part": self.cleaned_data["part"]}


def rest_field() -> forms.TypedChoiceField:
    """Whether a payment settles a cost; None while nobody has said."""
    return forms.TypedChoiceField(
        choices=[("False", "Yes, the rest is still to pay"), ("True", "No, nothing more")],
        coerce=lambda value: value == "True",
        empty_value=None,
        required=False,
        widget=sheet.Cells(many=True),
        label="More to pay of it?",
        help_text="Of a payment that is less than was expected.",
    )


def rest_question(lines: list[CostLine], paid: Decimal, currency: str) -> str:
    """What to ask when `paid` is less than the lines stand on; "" when nothing need be asked."""
    whole = sum((line.expected for line in lines if line.expected), Range())
    if paid >= whole.high:
        return ""
    standing = money(whole.likely, currency)
    if not whole.certain:
        standing += f" ({money(whole.low, currency)} to {money(whole.high, currency)})"
    rest = whole.less(paid)
    return (
        f"{money(paid, currency)} is paid and {standing} was expected. Is the rest still to pay, "
        f"{money(rest.likely, currency) if rest.likely else 'up to ' + money(rest.high, currency)}"
        ", or does this settle it?"
    )


class SettlesForm(forms.Form):
    """Which of the costs still to come a receipt, order or quote settles.

    Args:
        lines: The costs it may settle.
        paid: What is paid; None of an order, a quote or an estimate.
        one: It replaces one of them at most, as an estimate does.
        carry: What was sent already and is sent again with the answer, where it asks by itself.
    """

    FURTHER = "none"
    settles = forms.MultipleChoiceField(
        widget=forms.CheckboxSelectMultiple,
        label="Which of these does it settle?",
        error_messages={"required": "Choose what it settles, or that it is a further cost."},
        help_text="Of several, the sum is shared by what is still to come of each.",
    )
    rest = rest_field()

    def __init__(
        self,
        data=None,
        *,
        lines: list[CostLine],
        currency: str,
        paid: Decimal | None = None,
        one: bool = False,
        carry: dict[str, str] | None = None,
    ):
        # Asked for the first time, it has no answer that could be wrong.
        super().__init__(data if data and "settles_asked" in data else None)
        self.lines, self.currency, self.paid, self.one = lines, currency, paid, one
        if one:
            self.fields["settles"].label = "Which of these does it replace?"
            self.fields["settles"].help_text = "One of them at most: it then counts once."
        for name, value in {"settles_asked": "yes", **(carry or {})}.items():
            self.fields[name] = forms.CharField(initial=value, widget=forms.HiddenInput)
        self.fields["settles"].choices = [
            *((str(line.pk), self._words(line)) for line in lines),
            (self.FURTHER, "None of these: it is a further cost"),
        ]
        if paid is None:
            del self.fields["rest"]

    def _words(self, line: CostLine) -> str:
        word, to_come = line.basis_word.lower(), money(line.to_come.likely, self.currency)
        return f"{line.what}: {word}, {to_come} still to come"

    def clean(self):
        data = super().clean()
        chosen = data.get("settles") or []
        if self.FURTHER in chosen and len(chosen) > 1:
            self.add_error("settles", "It is one of them, or it is a further cost: not both.")
        elif self.one and len(chosen) > 1:
            self.add_error("settles", "It replaces one of them. Settle the others by themselves.")
        elif self.paid is not None and data.get("rest") is None and self.settled:
            before = sum((line.paid for line in self.settled), Decimal(0))
            if asked := rest_question(self.settled, before + self.paid, self.currency):
                self.add_error("rest", asked)
        return data

    @property
    def settled(self) -> list[CostLine]:
        """The costs that were chosen; none where it is a further cost."""
        chosen = self.cleaned_data.get("settles") or []
        return [line for line in self.lines if str(line.pk) in chosen]

    @property
    def rest_stands(self) -> bool:
        """The rest is still to come, unless somebody said that nothing is."""
        return not self.cleaned_data.get("rest")


class AmountForm(RecordForm):
    """An amount of a cost on a day. With `optional`, nothing need be given."""

    likely = MoneyField(label="Amount", help_text="Of an estimate: what is likely. 1,250.50")
    low = MoneyField(required=False, label="Low")
    high = MoneyField(required=False, label="High")
    settles = rest_field()

    class Meta:
        model = CostAmount
        fields = ["basis", "likely", "low", "high", "day", "settles", "note"]
        widgets = {"basis": sheet.Cells, "day": sheet.Day}
        help_texts = {
            "note": "By letter of the 3rd, or invoice 114.",
        }

    def __init__(self, *args, optional: bool = False, line: CostLine | None = None, **kwargs):
        super().__init__(*args, **kwargs)
        self.optional, self.line = optional, line
        if self.instance.pk and self.instance.basis == Basis.PAID:
            self.initial["settles"] = str(self.instance.settles)
        else:
            self.initial.pop("settles", None)
        for name in ("likely", "low", "high"):
            self.fields[name].use(self.engine.currency)
        self.fields["basis"].choices = Basis.choices
        self.fields["low"].help_text = "Only for an estimate."
        self.fields["high"].help_text = "Only for an estimate."
        amount = self.instance
        if amount.pk and amount.low == amount.high:
            self.initial |= {"low": None, "high": None}
        if optional:
            self.fields["likely"].required = False
            # The first amount of a cost: nothing was expected of it before.
            del self.fields["settles"]

    @property
    def given(self) -> bool:
        """An amount was written, not only the fields that were filled in beforehand."""
        typed = [self.data.get(self.add_prefix(n), "").strip() for n in ("likely", "low", "high")]
        return any(typed)

    def clean(self):
        data = super().clean()
        if self.errors or (self.optional and not self.given):
            return data
        low, likely, high = data.get("low"), data.get("likely"), data.get("high")
        if likely is None:
            self.add_error(
                "likely", "Say what is likely. For example low 80, likely 100, high 140."
            )
        elif data.get("basis") != Basis.ESTIMATED:
            self._one_figure(data, low, likely, high)
        else:
            self._range(data, low, likely, high)
        self._payment(data)
        return data

    def _one_figure(self, data, low, likely, high) -> None:
        for name, end in (("low", low), ("high", high)):
            if end not in (None, likely):
                self.add_error(
                    name,
                    "Only an estimate has a range. A quote, an order or a payment is one figure: "
                    "leave this empty.",
                )
        data["low"] = data["high"] = likely

    def _range(self, data, low, likely, high) -> None:
        low = likely if low is None else low
        high = likely if high is None else high
        told = [money(amount, self.engine.currency) for amount in (low, likely, high)]
        if low > likely:
            self.add_error(
                "low",
                f"Low is {told[0]} and likely {told[1]}: low cannot be more. Like 80, 100, 140.",
            )
        if high < likely:
            self.add_error(
                "high",
                f"High is {told[2]} and likely {told[1]}: high cannot be less. Like 80, 100, 140.",
            )
        data["low"], data["high"] = low, high

    def _payment(self, data) -> None:
        if data.get("basis") == Basis.PAID:
            day = data.get("day")
            if day and day > timezone.localdate():
                self.add_error(
                    "day",
                    "A payment cannot be dated in the future. Write it as ordered until it is "
                    f"paid, or a day like {timezone.localdate():%-d %b %Y}.",
                )
            if data.get("settles") is None and self.line is not None:
                self._ask_for_the_rest(data)
        elif data.get("settles"):
            self.add_error("settles", "Only a payment can say that nothing more is to pay.")
        if "settles" in self.fields:
            data["settles"] = bool(data.get("settles"))

    def _ask_for_the_rest(self, data) -> None:
        if self.line.settled and self.initial.get("settles") != "True":
            return
        before = self.line.paid
        if self.initial.get("basis") == Basis.PAID and self.instance.pk:
            before -= self.initial["likely"]
        asked = rest_question([self.line], before + data["likely"], self.engine.currency)
        if asked and not self.errors:
            self.add_error("settles", asked)


class PaperForm(CarriesFiles, forms.Form):
    """A quote, order or receipt."""

    file_field, check = "file", staticmethod(check_paper)
    file = forms.FileField(
        label="Paper",
        help_text="A PDF, or a picture of it: JPEG, PNG, WebP or HEIC.",
        widget=forms.ClearableFileInput(attrs={"accept": "application/pdf,image/*,.heic,.heif"}),
        error_messages={"required": "Choose the PDF or the picture first."},
    )
    kind = forms.ChoiceField(choices=CostPaper.Kind.choices, widget=sheet.Cells, label="It is a")
    name = forms.CharField(max_length=160, help_text="Foundry quote 114.")
    day = sheet.DayField(label="Dated")


class CostFilterForm(forms.Form):
    """Which costs are listed. Every choice is one that the costs have."""

    heading = forms.ChoiceField(required=False)
    basis = forms.ChoiceField(required=False, label="Basis")
    component = forms.ChoiceField(required=False)
    q = forms.CharField(
        required=False, label="Words", widget=forms.TextInput(attrs={"type": "search"})
    )

    def __init__(self, data, *, components):
        super().__init__(data, auto_id="filter_%s")
        self.fields["heading"].choices = [("", "All headings"), *Heading.choices]
        self.fields["basis"].choices = [("", "Any"), *Basis.choices]
        self.fields["component"].choices = [
            ("", "All components"),
            *((str(row.key or "none"), row.word) for row in components),
        ]
