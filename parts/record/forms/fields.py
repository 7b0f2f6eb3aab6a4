"""Widgets of the sheets: joined cells, materials by their lining, a stepper, photographs.

Use them as the `widget` of an ordinary form field. All of them work without a script.
"""

from datetime import date

from django import forms
from django.core.validators import MaxValueValidator

from parts.drafting.lining import FIRST_LOOK, MATERIALS

CONDITION_MEANINGS = {
    "0": "0: no harm to see.",
    "1": "1: light rust or wear, works as it is.",
    "2": "2: rust or cracks easy to see, shape still true.",
    "3": "3: broken, wasted or seized; not fit for use as it is.",
}


class Cells(forms.RadioSelect):
    """Choices as joined cells, all visible, the picked one solid blue. For fewer than nine.

    Args:
        meanings: A sentence for each value; that of the picked one is shown below the cells.
        big: True sets the value large above its word, as for condition classes.
        many: True lets the cells run over several rows.
    """

    template_name = "forms/cells.html"
    option_template_name = "forms/cell.html"
    # The fieldset of a group of radios carries the legend.
    use_fieldset = True

    def __init__(self, attrs=None, choices=(), *, meanings=None, big=False, many=False):
        super().__init__(attrs, choices)
        self.meanings = meanings or {}
        self.big = big
        self.many = many

    def get_context(self, name, value, attrs):
        context = super().get_context(name, value, attrs)
        chosen = [str(v) for v in context["widget"]["value"]]
        context["widget"] |= {
            "big": self.big,
            "many": self.many,
            "meanings": [(key, said, key in chosen) for key, said in self.meanings.items()],
        }
        return context

    def create_option(self, name, value, label, *args, **kwargs):
        option = super().create_option(name, value, label, *args, **kwargs)
        if value in (None, ""):
            option["label"] = "Not said"
        option["big"] = self.big
        return option


class ConditionCells(Cells):
    """The four condition classes, with what the picked one means."""

    def __init__(self, attrs=None, choices=()):
        super().__init__(attrs, choices, meanings=CONDITION_MEANINGS, big=True)


class Materials(forms.RadioSelect):
    """Materials as swatches of their section lining, the word below each.

    Args:
        first: The keys offered first; the others follow behind "Other materials". None shows all.
    """

    template_name = "forms/materials.html"
    use_fieldset = True

    def __init__(self, attrs=None, choices=(), *, first=FIRST_LOOK):
        super().__init__(attrs, choices)
        self.first = first

    def get_context(self, name, value, attrs):
        context = super().get_context(name, value, attrs)
        options = [
            option
            for _, group, _ in context["widget"]["optgroups"]
            for option in group
            if str(option["value"]) in MATERIALS
        ]
        if self.first:
            place = {key: i for i, key in enumerate(self.first)}
            front = sorted(
                (o for o in options if str(o["value"]) in place), key=lambda o: place[o["value"]]
            )
            rest = [o for o in options if str(o["value"]) not in place]
        else:
            front, rest = options, []
        context["widget"] |= {
            "front": front,
            "rest": rest,
            "rest_open": any(o["selected"] for o in rest),
        }
        return context


class Stepper(forms.NumberInput):
    """A whole number with large − and + beside it, which the script puts there."""

    template_name = "forms/stepper.html"

    def __init__(self, attrs=None, *, least=1, most=None):
        given = {"inputmode": "numeric", "min": least, "step": 1}
        if most is not None:
            given["max"] = most
        super().__init__(given | (attrs or {}))


class Unit(forms.TextInput):
    """A text or number with its unit inside the field, at the right.

    Args:
        unit: The unit that is meant when none is written.
        decimal: True brings up the number pad; False for measures with fractions or letters.
    """

    template_name = "forms/unit.html"

    def __init__(self, attrs=None, *, unit="", decimal=True):
        given = {"inputmode": "decimal" if decimal else "text", "autocomplete": "off"}
        super().__init__(given | (attrs or {}))
        self.unit = unit

    def get_context(self, name, value, attrs):
        context = super().get_context(name, value, attrs)
        context["widget"]["unit"] = self.unit
        return context


class Day(forms.DateInput):
    """A day, picked with the device's own calendar."""

    input_type = "date"

    def __init__(self, attrs=None):
        # The only form in which browsers take a day.
        super().__init__(attrs, format="%Y-%m-%d")


FIRST, LAST = date(1700, 1, 1), date(2199, 12, 31)


def within_reach(day: date) -> None:
    """Refuse a day that no engine saw or will see: a slip, and too far off to count from."""
    if not FIRST <= day <= LAST:
        raise forms.ValidationError(
            f"Give a day between {FIRST.year} and {LAST.year}, like 2026-05-01."
        )


class DayField(forms.DateField):
    """A day of a form that is not a row's own; a row's days are held so by `bounded`."""

    widget = Day
    default_validators = [within_reach]


# No number of pieces, item or version is larger. Sums of them fit any database, and lists memory.
MOST = 99_999
not_too_many = MaxValueValidator(MOST)


class WholeField(forms.IntegerField):
    """A whole number of a form that is not a row's own; a row's are held so by `bounded`."""

    default_validators = [not_too_many]


def bounded(form: forms.BaseForm) -> None:
    """Hold the days and whole numbers of a row within what can be counted with."""
    for field in form.fields.values():
        if isinstance(field, forms.DateField):
            field.validators.append(within_reach)
        elif type(field) is forms.IntegerField:
            field.validators.append(not_too_many)


class Photo(forms.FileInput):
    """One photograph, or several, taken or chosen; shown at once where the browser can.

    Args:
        press: The words on the target.
        several: True takes more than one. The form field must be able to clean a list.
    """

    template_name = "forms/photo.html"

    def __init__(self, attrs=None, *, press="Take a photograph", several=False):
        given = {"accept": "image/*,.heic,.heif"}
        # Told before the rest: a widget of several hands its field a list, of one a file.
        self.allow_multiple_selected = several
        super().__init__(given | (attrs or {}))
        self.press = press
        self.several = several

    def get_context(self, name, value, attrs):
        context = super().get_context(name, value, attrs)
        context["widget"] |= {"press": self.press, "several": self.several}
        return context


class PartChoice(forms.ModelChoiceField):
    """A part of the engine, told with its component."""

    def label_from_instance(self, part):
        return f"{part.item} {part.name}, {part.component.name}"
